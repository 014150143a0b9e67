#!/usr/bin/env python3
"""Makes tests/ngspice/fault.csv: short circuits in time, as ngspice computes them.

Needs python3 and the Debian package ngspice (39.3 was used). Run from anywhere:

    python3 tests/ngspice/fault_cases.py

Each case is a few lines:

    case,<name>,<end in s>
    branch,<from>,<to>,<EMF or voltage of the capacitor in V>,<ohm>,<H>,<F or 0>
    watch,<branch>,<peak in A>,<at s>,<current at the end in A>,<I2t to the end in A2s>

or, for a fuse under a rising current,

    melt,<name>,<V>,<ohm>,<H>,<melting time in s>,<current:seconds>...
    reach,<name>,<V>,<ohm>,<H>,<I2t in A2s>,<time in s>

A current is positive from <from> to <to>; an EMF raises <to>. Currents start from
zero, capacitors from their voltage. Joule integral and melting share are integrated by
ngspice itself: a source of i^2, or of 1/t_m(i), into one farad. t_m is a straight line
over logarithms between the points, as the library reads a curve. At least 20,000 steps
to the end, reltol 1e-5 (tighter, and the swings of a capacitor stop ngspice with
"timestep too small"). All values are rounded to f32 first. All networks are invented.
"""

import math
import pathlib
import struct
import subprocess
import tempfile

OUT = pathlib.Path(__file__).resolve().parent / "fault.csv"


def f32(value):
    return struct.unpack("f", struct.pack("f", value))[0]


def ngspice(lines):
    with tempfile.TemporaryDirectory() as work:
        path = pathlib.Path(work) / "case.cir"
        path.write_text("\n".join(lines) + "\n")
        run = subprocess.run(
            ["ngspice", "-b", str(path)],
            capture_output=True, text=True, timeout=600, stdin=subprocess.DEVNULL,
        )
    found = {}
    for line in run.stdout.splitlines():
        parts = line.split("=")
        if len(parts) >= 2 and parts[0].strip().startswith(("pk", "q", "end", "tm")):
            found[parts[0].strip()] = float(parts[1].split()[0])
            if "at" in line and len(parts) >= 3:
                found[parts[0].strip() + "_at"] = float(parts[2].split()[0])
    wanted = {line.split()[2] for line in lines if line.startswith("meas")}
    if not wanted <= set(found):
        raise RuntimeError("\n".join(lines) + run.stdout + run.stderr)
    return found


OPTIONS = ".options reltol=1e-5 abstol=1e-3 vntol=1e-3 chgtol=1e-7 method=trap"


def transient(out, name, until, branches, watched):
    branches = [(a, b, *map(f32, rest)) for a, b, *rest in branches]
    until = f32(until)
    lines = [name]
    for k, (a, b, volts, ohms, henries, farads) in enumerate(branches):
        # from -> ammeter -> R -> L -> source or C -> to
        lines.append(f"Vm{k} {a} a{k} 0")
        lines.append(f"R{k} a{k} b{k} {max(ohms, 1e-9):.9g}")
        lines.append(f"L{k} b{k} c{k} {henries:.9g} ic=0")
        if farads > 0:
            # The second end is above the first: current from first to second discharges.
            lines.append(f"C{k} {b} c{k} {farads:.9g} ic={volts:.9g}")
        else:
            lines.append(f"V{k} {b} c{k} {volts:.9g}")
    for k in watched:
        lines.append(f"B{k} 0 q{k} I=i(Vm{k})*i(Vm{k})")
        lines.append(f"Cq{k} q{k} 0 1 ic=0")
        lines.append(f"Rq{k} q{k} 0 1e15")
    lines += [OPTIONS, f".tran {until/20000:.9g} {until*1.001:.9g} 0 {until/20000:.9g} uic"]
    lines += [".control", "set numdgt=10", "run"]
    for k in watched:
        lines.append(f"meas tran pk{k} MAX i(Vm{k}) from=0 to={until:.9g}")
        lines.append(f"meas tran pkm{k} MIN i(Vm{k}) from=0 to={until:.9g}")
        lines.append(f"meas tran end{k} find i(Vm{k}) at={until:.9g}")
        lines.append(f"meas tran q{k} find v(q{k}) at={until:.9g}")
    lines += [".endc", ".end"]
    found = ngspice(lines)
    out.append(f"case,{name},{until!r}")
    for a, b, *rest in branches:
        out.append(",".join(["branch", str(a), str(b), *map(repr, rest)]))
    for k in watched:
        largest = max((f"pk{k}", f"pkm{k}"), key=lambda name: abs(found[name]))
        out.append(
            f"watch,{k},{abs(found[largest])!r},{found[largest + '_at']!r},"
            f"{found[f'end{k}']!r},{found[f'q{k}']!r}"
        )


def rise(kind, out, name, volts, ohms, henries, until, rate, target, words):
    volts, ohms, henries = map(f32, (volts, ohms, henries))
    lines = [
        name,
        f"V1 1 0 {volts:.9g}",
        f"R1 1 2 {ohms:.9g}",
        f"L1 2 3 {henries:.9g} ic=0",
        "Vm 3 0 0",
        f"B1 0 q I={rate}",
        "Cq q 0 1 ic=0",
        "Rq q 0 1e15",
        OPTIONS,
        f".tran {until/40000:.9g} {until:.9g} 0 {until/40000:.9g} uic",
        ".control", "set numdgt=10", "run",
        f"meas tran tm WHEN v(q)={target:.9g}",
        ".endc", ".end",
    ]
    time = ngspice(lines)["tm"]
    out.append(f"{kind},{name},{volts!r},{ohms!r},{henries!r},{words(time)}")


def melt(out, name, volts, ohms, henries, until, points):
    points = [(f32(i), f32(t)) for i, t in points]
    pairs = sorted((math.log(i), math.log(t)) for i, t in points)
    # Straight on beyond both ends: below the curve the share is too small to matter in
    # these cases; above it the I2t of the first point.
    low, high = pairs[0], pairs[-1]
    pairs = [(low[0] - 1e-6, low[1] + 40)] + pairs
    pairs = pairs + [(high[0] + 5, high[1] - 10)]
    flat = ",".join(f"{x:.12g},{y:.12g}" for x, y in pairs)
    rate = f"exp(-pwl(ln(max(i(Vm),1e-3)),-30,60,{flat}))"
    listed = ",".join(f"{i!r}:{t!r}" for i, t in points)
    rise("melt", out, name, volts, ohms, henries, until, rate, 1.0,
         lambda time: f"{time!r},{listed}")


def reach(out, name, volts, ohms, henries, until, target):
    target = f32(target)
    rise("reach", out, name, volts, ohms, henries, until, "i(Vm)*i(Vm)", target,
         lambda time: f"{target!r},{time!r}")


def main():
    out = ["# made by tests/ngspice/fault_cases.py with ngspice 39.3"]
    # One loop: battery and bolted fault.
    for name, u, r, l, until in [
        ("rl 403 V at the pack", 403.2, 0.0518, 14e-6, 1e-3),
        ("rl long cable", 403.2, 0.0712, 31e-6, 3e-3),
        ("rl 144 V before the rise ends", 144.0, 0.0241, 9e-6, 2e-4),
        ("rl 806 V", 806.4, 0.0795, 33e-6, 5e-3),
    ]:
        transient(out, name, until, [(0, 1, u, r, l, 0), (1, 0, 0, 1e-6, 1e-9, 0)], [1])
    # One loop: capacitor.
    for name, v, r, l, c, until in [
        ("rlc zeta 0.18", 400.0, 0.008, 5e-7, 1e-3, 8e-4),
        ("rlc zeta 0.55", 806.0, 0.014, 1.8e-7, 1.1e-3, 3e-4),
        ("rlc zeta 1", 400.0, 0.02828427, 1e-7, 5e-4, 2e-4),
        ("rlc zeta 2.8", 144.0, 0.03, 2e-7, 6.8e-3, 2e-3),
    ]:
        transient(out, name, until, [(0, 1, v, r, l, c), (1, 0, 0, 1e-6, 1e-9, 0)], [1])
    # Battery and capacitor into one fault.
    for name, u, rp, lp, c, rc, lc, rf, lf, until in [
        ("pack and capacitor 400 V", 403.2, 0.0518, 14e-6, 1e-3, 3e-3, 1e-7, 2e-3, 3e-7, 5e-4),
        ("pack and capacitor 800 V", 800.0, 0.1, 25e-6, 1e-3, 3e-3, 8e-8, 5e-3, 4e-7, 5e-4),
        ("pack and large capacitor 144 V", 144.0, 0.024, 9e-6, 6.8e-3, 2e-3, 9e-8, 2e-3, 6e-7, 4e-3),
        ("pack and small capacitor", 403.2, 0.052, 15e-6, 5e-5, 2e-3, 4e-8, 9e-3, 1.2e-6, 2e-3),
    ]:
        transient(
            out, name, until,
            [(0, 1, u, rp, lp, 0), (0, 1, u, rc, lc, c), (1, 0, 0, rf, lf, 0)],
            [0, 1, 2],
        )
    # Two strings that are not alike, one common cable.
    transient(
        out, "two strings on one cable", 3e-3,
        [(0, 1, 144.0, 0.0263, 11e-6, 0), (0, 1, 143.2, 0.0311, 19e-6, 0),
         (1, 0, 0, 0.0042, 4e-6, 0)],
        [0, 1, 2],
    )
    # A short in one string of three: two feed back into what is left of it.
    transient(
        out, "back-feed into a faulted string", 2e-3,
        [(0, 1, 800.0, 0.15, 20e-6, 0), (0, 1, 800.0, 0.15, 20e-6, 0),
         (0, 2, 400.0, 0.075, 10e-6, 0), (2, 3, 400.0, 0.075, 10e-6, 0),
         (3, 1, 0, 0.002, 1e-6, 0), (2, 0, 0, 1e-6, 1e-9, 0)],
        [0, 2, 3, 5],
    )
    # A vehicle: pack, four consumers with capacitors, fault at the end of one branch.
    def consumer(node, r, l, c):
        return [(1, node, 0, r, l, 0), (0, node, 403.2, 1e-3, 2e-8, c)]
    transient(
        out, "fault at the heater, capacitors of three others", 4e-3,
        [(0, 1, 403.2, 0.0525, 17e-6, 0), *consumer(2, 4e-4, 8e-7, 1e-3),
         *consumer(3, 0.0119, 1.3e-6, 1e-4), *consumer(4, 0.0093, 1.5e-6, 4.7e-5),
         (1, 5, 0, 0.0106, 1.7e-6, 0), (5, 0, 0, 1e-6, 1e-9, 0)],
        [0, 1, 3, 7],
    )
    # Two strings, two inverters, fault on the bars.
    transient(
        out, "two strings and two inverters, fault on the bars", 1e-2,
        [(0, 1, 806.4, 0.0826, 27e-6, 0), (0, 1, 806.4, 0.0851, 31e-6, 0),
         (1, 2, 0, 1.3e-3, 2.1e-6, 0), (0, 2, 806.4, 1e-3, 2e-8, 1.1e-3),
         (1, 3, 0, 4.9e-3, 7.8e-6, 0), (0, 3, 806.4, 1e-3, 2e-8, 1.1e-3),
         (1, 0, 0, 1e-6, 1e-9, 0)],
        [0, 1, 2, 4, 6],
    )
    curve = [(600, 1000), (800, 60), (1000, 12), (1500, 1.5), (2500, 0.15), (4000, 0.03),
             (8000, 0.005), (15000, 0.0012)]
    melt(out, "fuse melts in the rise", 403.2, 0.0504, 60e-6, 0.02, curve)
    melt(out, "fuse melts after the rise", 350.0, 0.12, 30e-6, 0.2, curve)
    melt(out, "fuse melts long after the rise", 350.0, 0.25, 30e-6, 3.0, curve)
    melt(out, "fuse above its curve", 806.4, 0.04, 18e-6, 0.004, curve)
    reach(out, "i2t in the rise", 403.2, 0.0518, 14e-6, 1e-3, 1000.0)
    reach(out, "i2t after the rise", 806.4, 0.0795, 33e-6, 1e-2, 3.2e5)
    OUT.write_text("\n".join(out) + "\n")


main()
