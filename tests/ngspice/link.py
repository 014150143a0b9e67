#!/usr/bin/env python3
"""Transients of precharge, discharge and string joins, solved by ngspice
(apt-get install ngspice).

    python3 tests/ngspice/link.py

writes precharge.csv, discharge.csv and join.csv beside this file.
`tests/tests/ngspice_link.rs` reads them; ngspice itself is not needed there.

A load draws nothing below the voltage from which it starts: a behavioural current
source with a step there. The step is why a reltol of 1e-6 needs a maximum step of a
20,000th of the run.
"""

import csv
import math
import pathlib
import subprocess
import tempfile

HERE = pathlib.Path(__file__).parent
STEPS = 20_000


def simulate(title, lines, stop, measures):
    """Runs a netlist and returns what `measures` names; None where it never happens."""
    deck = [title, *lines, ".options reltol=1e-6 abstol=1e-9 vntol=1e-6 method=gear"]
    deck.append(f".tran {stop / STEPS:.9g} {stop:.9g} 0 {stop / STEPS:.9g} uic")
    deck += [".control", "set numdgt=10", "run", *measures, ".endc", ".end"]
    with tempfile.TemporaryDirectory() as work:
        path = pathlib.Path(work) / "t.cir"
        path.write_text("\n".join(deck) + "\n")
        out = subprocess.run(
            ["ngspice", "-b", str(path)],
            capture_output=True, text=True, timeout=120, stdin=subprocess.DEVNULL, check=False,
        ).stdout
    found = {}
    for line in out.splitlines():
        words = line.replace("=", " = ").split()
        if len(words) >= 3 and words[1] == "=":
            try:
                found[words[0]] = float(words[2])
            except ValueError:
                found[words[0]] = None
    return found


def load(number, kind, size, start):
    draws = {"power": f"{size}/max(v(l),1e-3)", "current": f"{size}", "resistance": f"v(l)/{size}"}
    return f"Bload{number} l 0 I = v(l) >= {start} ? {draws[kind]} : 0"


# source, resistance, capacitance, start, loads "kind size from; ...", target, moment
PRECHARGE = [
    (403.2, 47, 1.152e-3, 0, "", 383.04, 0.1),
    (806.4, 100, 2.2e-3, 0, "", 790, 0.4),
    (144, 20, 6.8e-3, 30, "", 138, 0.2),
    (403.2, 47, 1.152e-3, 0, "current 0.3 150", 380, 0.12),
    (288, 47, 1.152e-3, 0, "current 0.6 150; current 0.2 150", 273.6, 0.3),
    (400, 47, 1e-3, 0, "resistance 3000 0", 380, 0.1),
    (400, 22, 2e-3, 0, "resistance 900 0; resistance 5000 200", 384, 0.09),
    (400, 47, 1e-3, 0, "power 200 150", 370, 0.1),
    (400, 47, 1e-3, 0, "power 60 150", 380, 0.15),
    (710, 68, 1.1e-3, 0, "power 300 250; current 0.1 0", 670, 0.16),
    (144, 15, 4e-3, 0, "power 40 60; resistance 2000 0", 135, 0.1),
    (403.2, 33, 1e-3, 60, "power 100 200; current 0.2 120; resistance 8000 0", 380, 0.08),
]

# start, resistance, capacitance, Y to chassis of the pole that is not at chassis, safe, moment
DISCHARGE = [
    (403.2, 33e3, 1.152e-3, 0.415e-6, 60, 30),
    (806.4, 875, 2.2e-3, 0.64e-6, 60, 3),
    (144, 10e3, 6.8e-3, 1e-6, 75, 25),
    (400, 2640, 1e-3, 0, 60, 1),
]

# voltages, string resistances, path, capacitance per string (charge per volt), moment
JOIN = [
    (131, 125, 0.024, 0.0265, 0.0, 18000, 300),
    (402.0, 400.5, 0.051, 0.051, 0.004, 6000, 200),
    (790, 806.4, 0.079, 0.085, 0.012, 3400, 400),
    (120, 118.5, 0.02, 0.03, 10.0, 18000, 60000),
]


def precharge():
    rows = []
    for source, r, c, start, loads, target, moment in PRECHARGE:
        lines = [f"V1 s 0 {source}", f"R1 s l {r}", f"C1 l 0 {c} IC={start}"]
        for number, one in enumerate(filter(None, loads.split("; "))):
            lines.append(load(number, *one.split()))
        lines += [f"Bheat h 0 V = (v(s)-v(l))*(v(s)-v(l))/{r}", "Rheat h 0 1"]
        stop = 10 * r * c
        found = simulate("precharge", lines, stop, [
            f"meas tran reached when v(l)={target} rise=1",
            f"meas tran late find v(l) at={stop * 0.999}",
            f"meas tran volts find v(l) at={moment}",
            f"meas tran joules integ v(h) from=0 to={moment}",
        ])
        rows.append([source, r, c, start, loads, target, moment,
                     found.get("reached") or "never", found["late"], found["volts"],
                     found["joules"]])
    write("precharge.csv", ["source_v", "resistance_ohm", "capacitance_f", "start_v", "loads",
                            "target_v", "moment_s", "reached_s", "late_v", "moment_v",
                            "moment_j"], rows)


def discharge():
    rows = []
    for start, r, c, y, safe, moment in DISCHARGE:
        lines = [f"C1 l 0 {c} IC={start}", f"R1 l 0 {r}"]
        if y:
            lines.append(f"C2 l 0 {y} IC={start}")
        stop = 4 * r * (c + y)
        found = simulate("discharge", lines, stop, [
            f"meas tran reached when v(l)={safe} fall=1",
            f"meas tran volts find v(l) at={moment}",
        ])
        rows.append([start, r, c, y, safe, moment, found["reached"], found["volts"]])
    write("discharge.csv", ["start_v", "resistance_ohm", "capacitance_f", "y_f", "safe_v",
                            "moment_s", "reached_s", "moment_v"], rows)


def join():
    rows = []
    for one, other, ra, rb, path, per_volt, moment in JOIN:
        # The difference alone: a capacitor of thousands of farads at hundreds of volts
        # would leave no digits for it.
        lines = [f"C1 a 0 {per_volt} IC={one - other}", f"C2 b 0 {per_volt} IC=0",
                 f"R1 a b {ra + rb + path}",
                 f"Bi i 0 V = (v(a)-v(b))/{ra + rb + path}", "Ri i 0 1"]
        stop = 12 * (ra + rb + path) * per_volt / 2
        first = stop / STEPS
        found = simulate("join", lines, stop, [
            f"meas tran early find v(i) at={first}",
            f"meas tran amperes find v(i) at={moment}",
            "meas tran coulombs integ v(i)",
        ])
        tau = (ra + rb + path) * per_volt / 2
        rows.append([one, other, ra, rb, path, per_volt, moment,
                     found["early"] * math.exp(first / tau), found["amperes"],
                     found["coulombs"]])
    write("join.csv", ["one_v", "other_v", "one_ohm", "other_ohm", "path_ohm",
                       "coulombs_per_volt", "moment_s", "first_a", "moment_a", "charge_c"],
          rows)


def write(name, header, rows):
    with open(HERE / name, "w", newline="", encoding="ascii") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)


if __name__ == "__main__":
    precharge()
    discharge()
    join()
