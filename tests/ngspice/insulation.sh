#!/bin/sh
# Numeric cases for the insulation checks, solved by ngspice (apt-get install ngspice).
#
#   sh tests/ngspice/insulation.sh
#
# writes tests/ngspice/isolation.csv and tests/ngspice/touch.csv. The tests read
# those files; ngspice itself is not needed to run them.
set -eu
here=$(dirname "$0")
work=$(mktemp -d)
trap 'rm -r "$work"' EXIT

# Voltage across a pole with the meter (and for the third reading the resistor)
# there. Arguments: pack, R+ , R-, meter, resistor or "none", pole.
reading() {
    case $6 in negative) node=n ;; positive) node=p ;; esac
    {
        echo "isolation"
        echo "V1 p n $1"
        echo "Rp p 0 $2"
        echo "Rn n 0 $3"
        echo "Rm $node 0 $4"
        [ "$5" = none ] || echo "Ro $node 0 $5"
        echo ".options reltol=1e-9 gmin=1e-18"
        echo ".control"
        echo "set numdgt=10"
        echo "op"
        echo "print abs(v($node))"
        echo ".endc"
        echo ".end"
    } >"$work/op.cir"
    timeout 20 ngspice -b "$work/op.cir" 2>/dev/null </dev/null | awk '/^abs/ { print $3 }'
}

out=$here/isolation.csv
echo "pack_v,positive_ohm,negative_ohm,meter_ohm,resistor_ohm,inserted_at,negative_v,positive_v,with_v" >"$out"
while read -r u rp rn rm ro at; do
    vn=$(reading "$u" "$rp" "$rn" "$rm" none negative)
    vp=$(reading "$u" "$rp" "$rn" "$rm" none positive)
    vw=$(reading "$u" "$rp" "$rn" "$rm" "$ro" "$at")
    echo "$u,$rp,$rn,$rm,$ro,$at,$vn,$vp,$vw" >>"$out"
done <<'CASES'
400 1000000 2000000 10000000 200000 negative
400 1000000 2000000 10000000 200000 positive
800 400000 400000 10000000 400000 negative
800 400000 400000 1000000000000 80000 positive
403 40300 5000000 10000000 40300 negative
403 5000000 40300 10000000 40300 positive
806 5000000 5000000 10000000 403000 negative
144 14400 20000 1000000 72000 negative
96 3000000 2000000 10000000 48000 positive
710 1200 900000 10000000 71000 negative
60 2000000 2000000 2000000 30000 negative
1000 100000 50000000 11000000 500000 negative
355 177500 177500 10000000 177500 positive
650 800000 200000 10000000 65000 positive
CASES

# Energy in a body that touches the positive pole, from the moment of touching
# until the capacitors have settled. The isolation resistances are left out, so
# that no steady current adds to it. Arguments: pack, C+, C-, body, voltage of the
# positive pole to chassis before.
out=$here/touch.csv
echo "pack_v,positive_f,negative_f,body_ohm,touched_v,energy_j" >"$out"
while read -r u cp cn rb v; do
    tau=$(awk "BEGIN { print $rb * ($cp + $cn) }")
    vn=$(awk "BEGIN { print $v - $u }")
    {
        echo "touch"
        echo "V1 q n $u"
        echo "Rs q p 1m"
        echo "Cp p 0 $cp IC=$v"
        echo "Cn n 0 $cn IC=$vn"
        echo "Rb p 0 $rb"
        echo "Be e 0 V = v(p) * v(p) / $rb"
        echo ".options reltol=1e-6"
        awk "BEGIN { print \".tran \" $tau / 1000, $tau * 20, 0, $tau / 1000, \"uic\" }"
        echo ".control"
        echo "set numdgt=10"
        echo "run"
        echo "meas tran energy integ v(e)"
        echo ".endc"
        echo ".end"
    } >"$work/tran.cir"
    e=$(timeout 15 ngspice -b "$work/tran.cir" 2>/dev/null </dev/null | awk '/^energy/ { print $3 }')
    echo "$u,$cp,$cn,$rb,$v,$e" >>"$out"
done <<'CASES'
400 4.7e-7 4.7e-7 1000 200
400 4.7e-7 4.7e-7 1000 400
800 2.2e-7 1.0e-6 575 800
800 2.2e-7 1.0e-6 575 500
144 1.0e-5 4.7e-6 2000 144
CASES
