#!/usr/bin/env python3
"""Makes tests/published/network/*.csv: DC networks with the answers of ngspice.

Needs python3 and the Debian package ngspice (39.3 was used). Run from anywhere:

    python3 tests/ngspice/network_cases.py

Each case is one file with four kinds of line:

    branch,<from>,<to>,<kind>,<value>,<value 2>,<current in A>,<current by decimals>
    node,<node>,<voltage against node 0 in V>,<voltage by decimals>
    seen,<above>,<below>,<open-circuit V>,<resistance in ohm>,<short-circuit A>
    # comment

Kinds: resistance (ohm), emf (V, ohm), current (A), power (W), open. A current is
positive from <from> to <to> through the branch; an EMF raises <to>.

How ngspice is asked. Every branch has an ammeter (a source of 0 V) in series, so
each current is an unknown of ngspice's own equations and not a difference of two
printed voltages. Printed with 15 digits. A constant-power branch is a behavioural
current source P/V, with the tolerances tightened to 1e-10; ngspice starts from
zero volts, so a .nodeset with the voltages of the unloaded network leads it to the
upper of the two operating points. Zero ohm is a 0 V source. Thevenin: one run open,
one with a 0 V source between the two nodes; the resistance is the quotient.

ngspice itself works in doubles with node voltages as unknowns and so loses up to
nine digits where 10 uohm lie in a network of 400 V. The last column of branch and
node lines is therefore a second answer: the same equations, solved here with 80
decimal digits (started from ngspice's answer where constant power makes them
quadratic). It carries tests far below what ngspice resolves. The line

    resolution,<A>,<V>

is the largest distance between the two answers in the case: what ngspice resolves.

All values are rounded to f32 first: that is what the library takes.

All networks are invented. The seed is fixed: a run gives the same networks.
"""

import decimal
import pathlib
import random
import struct
import subprocess
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
OUT = HERE.parent / "published" / "network"


def f32(value):
    return struct.unpack("f", struct.pack("f", value))[0]


class Case:
    def __init__(self, name, words):
        self.name, self.words = name, words
        self.branches, self.seen = [], []
        self.nodes = 1

    def node(self):
        self.nodes += 1
        return self.nodes - 1

    def add(self, a, b, kind, value=0.0, second=0.0):
        assert a != b
        self.branches.append((a, b, kind, f32(value), f32(second)))

    def r(self, a, b, ohm):
        self.add(a, b, "resistance", ohm)

    def emf(self, minus, plus, volt, ohm):
        self.add(minus, plus, "emf", volt, ohm)

    def current(self, a, b, ampere):
        self.add(a, b, "current", ampere)

    def power(self, a, b, watt):
        self.add(a, b, "power", watt)

    def deck(self, loaded=True, nodeset=None, short=None, without_power=False):
        lines = [self.name, ".options reltol=1e-10 abstol=1e-13 vntol=1e-11 itl1=1000 gmin=1e-30"]
        for k, (a, b, kind, value, second) in enumerate(self.branches):
            m, e = f"m{k}", f"e{k}"
            if kind == "open" or (kind == "power" and (not loaded or without_power)):
                continue
            # Ammeter: its branch current is positive from + to - through it.
            lines.append(f"Vam{k} {a} {m} 0")
            if kind == "resistance":
                if value == 0.0:
                    lines.append(f"Vlk{k} {m} {b} 0")
                else:
                    lines.append(f"R{k} {m} {b} {value!r}")
            elif kind == "emf":
                if second == 0.0:
                    lines.append(f"Vem{k} {b} {m} {value!r}")
                else:
                    lines.append(f"Vem{k} {e} {m} {value!r}")
                    lines.append(f"R{k} {e} {b} {second!r}")
            elif kind == "current":
                lines.append(f"I{k} {m} {b} {value!r}")
            elif kind == "power":
                lines.append(f"B{k} {m} {b} I={value!r}/(V({m})-V({b}))")
        if short:
            lines.append(f"Vshort {short[0]} {short[1]} 0")
        if nodeset:
            for key, volt in nodeset.items():
                lines.append(f".nodeset V({key})={volt!r}")
        lines += [".control", "set numdgt=16", "op"]
        lines += [f"print v({n})" for n in range(1, self.nodes)]
        for k, (_, _, kind, _, _) in enumerate(self.branches):
            if kind == "open" or (kind == "power" and (not loaded or without_power)):
                continue
            lines.append(f"print i(vam{k})")
            lines.append(f"print v(m{k})")
        if short:
            lines.append("print i(vshort)")
        lines += [".endc", ".end"]
        return "\n".join(lines) + "\n"

    def run(self, **how):
        with tempfile.NamedTemporaryFile("w", suffix=".cir") as file:
            file.write(self.deck(**how))
            file.flush()
            done = subprocess.run(
                ["ngspice", "-b", file.name], capture_output=True, text=True, timeout=60
            )
        found = {}
        for line in done.stdout.splitlines():
            parts = line.split(" = ")
            if len(parts) == 2 and parts[0].strip()[:2] in ("v(", "i("):
                found[parts[0].strip()] = float(parts[1])
        text = (done.stdout + done.stderr).lower()
        # The exit status says nothing: batch mode without .plot always ends with 1.
        wanted = self.deck(**how).count("\nprint ")
        if len(found) != wanted or "singular" in text or "no convergence" in text or "gmin step" in text:
            raise SystemExit(f"{self.name}: ngspice failed\n{done.stdout}\n{done.stderr}")
        return found

    def solve_exactly(self, start):
        """Node voltages and branch currents with 80 digits; start: ngspice's answer."""
        decimal.getcontext().prec = 80
        D = decimal.Decimal
        n = self.nodes - 1
        live = [k for k, b in enumerate(self.branches) if b[2] != "open"]
        size = n + len(live)
        volt = [D(0)] * self.nodes
        amp = {k: D(0) for k in range(len(self.branches))}
        for node in range(1, self.nodes):
            volt[node] = D(start[f"v({node})"])
        for k in live:
            amp[k] = D(start[f"i(vam{k})"])
        has_power = any(b[2] == "power" for b in self.branches)
        for _ in range(6 if has_power else 1):
            matrix = [dict() for _ in range(size)]
            right = [D(0)] * size
            for column, k in enumerate(live, n):
                a, b, kind, value, second = self.branches[k]
                for node, sign in ((a, 1), (b, -1)):
                    if node:
                        matrix[node - 1][column] = D(sign)
                row = matrix[column]
                # row: va * x - vb * x + i * y = right
                x, y, z = D(1), D(0), D(0)
                if kind == "resistance":
                    y = -D(value)
                elif kind == "emf":
                    y, z = -D(second), -D(value)
                elif kind == "current":
                    x, y, z = D(0), D(1), D(value)
                elif kind == "power":
                    u, i = volt[a] - volt[b], amp[k]
                    x, y, z = i, u, D(value) + u * i
                if a and x:
                    row[a - 1] = x
                if b and x:
                    row[b - 1] = -x
                if y:
                    row[column] = y
                right[column] = z
            answer = eliminate(matrix, right)
            volt = [D(0)] + answer[:n]
            for column, k in enumerate(live, n):
                amp[k] = answer[column]
        return volt, amp

    def write(self):
        has_power = any(kind == "power" for _, _, kind, _, _ in self.branches)
        nodeset = None
        if has_power:
            first = self.run(loaded=False)
            nodeset = {str(n): first[f"v({n})"] for n in range(1, self.nodes)}
            for k, (a, _, kind, _, _) in enumerate(self.branches):
                if kind == "power":
                    nodeset[f"m{k}"] = first.get(f"v({a})", 0.0)
        found = self.run(nodeset=nodeset)
        exact_volt, exact_amp = self.solve_exactly(found)
        ampere = max(
            abs(float(exact_amp[k]) - found[f"i(vam{k})"])
            for k, b in enumerate(self.branches)
            if b[2] != "open"
        )
        volt = max(abs(float(exact_volt[n]) - found[f"v({n})"]) for n in range(1, self.nodes))
        lines = [
            f"# {self.words}",
            f"# {self.nodes} nodes, {len(self.branches)} branches",
            f"resolution,{ampere:.3e},{volt:.3e}",
        ]
        for k, (a, b, kind, value, second) in enumerate(self.branches):
            current = 0.0 if kind == "open" else found[f"i(vam{k})"]
            lines.append(f"branch,{a},{b},{kind},{value!r},{second!r},{current!r},{float(exact_amp[k])!r}")
        for n in range(1, self.nodes):
            lines.append(f"node,{n},{found[f'v({n})']!r},{float(exact_volt[n])!r}")
        for a, b in self.seen:
            idle = self.run(without_power=True)
            short = self.run(without_power=True, short=(a, b))["i(vshort)"]
            open_volt = idle.get(f"v({a})", 0.0) - idle.get(f"v({b})", 0.0)
            lines.append(f"seen,{a},{b},{open_volt!r},{open_volt / short!r},{short!r}")
        (OUT / f"{self.name}.csv").write_text("\n".join(lines) + "\n")
        print(f"{self.name}: {self.nodes} nodes, {len(self.branches)} branches, {ampere:.1e} A, {volt:.1e} V")


def eliminate(matrix, right):
    """Gauss with sparse rows; the largest element of a column is its pivot."""
    size = len(right)
    todo = list(range(size))
    done = []
    for column in range(size):
        pivot = max(
            (r for r in todo if column in matrix[r]), key=lambda r: abs(matrix[r][column])
        )
        todo.remove(pivot)
        done.append(pivot)
        head = matrix[pivot]
        for r in todo:
            if column in matrix[r]:
                ratio = matrix[r].pop(column) / head[column]
                for c, value in head.items():
                    if c != column:
                        matrix[r][c] = matrix[r].get(c, 0) - ratio * value
                right[r] -= ratio * right[pivot]
    answer = [decimal.Decimal(0)] * size
    for column in reversed(range(size)):
        pivot = done[column]
        rest = sum(v * answer[c] for c, v in matrix[pivot].items() if c != column)
        answer[column] = (right[pivot] - rest) / matrix[pivot][column]
    return answer


def string(case, minus, volt, boxes, rng, contactor=15e-6):
    """Battery boxes in series with fuse, contactor and cable; returns the plus end."""
    here = minus
    for _ in range(boxes):
        plus, fused, out, end = (case.node() for _ in range(4))
        case.emf(here, plus, volt, 0.02 * rng.uniform(0.8, 1.3))
        case.r(plus, fused, 180e-6)
        case.r(fused, out, contactor)
        case.r(out, end, 350e-6 * rng.uniform(0.5, 2))
        here = end
    return here


def cases():
    # 1 smallest network: a divider behind a 10 uohm contact
    c = Case("divider-behind-contact", "10 uohm contact in series with two 10 kohm resistors")
    a, b, m = c.node(), c.node(), c.node()
    c.emf(0, a, 400, 0.05)
    c.r(a, b, 10e-6)
    c.r(b, m, 10e3)
    c.r(m, 0, 10e3)
    c.seen = [(b, 0), (m, 0)]
    yield c

    # 2 parallel strings with unequal EMF and resistance
    c = Case("two-strings-unequal", "two strings, 0.7 V apart, sharing 180 A")
    bar, s1, s2 = c.node(), c.node(), c.node()
    c.emf(0, s1, 401.2, 0.061)
    c.emf(0, s2, 400.5, 0.083)
    c.r(s1, bar, 420e-6)
    c.r(s2, bar, 510e-6)
    c.current(bar, 0, 180)
    c.seen = [(bar, 0)]
    yield c

    # 3 four strings, one left out
    rng = random.Random(3)
    c = Case("four-strings-one-out", "four strings of two boxes, the contactor of one open, 12 ohm load, bleed 10 kohm")
    bar = c.node()
    for k in range(4):
        end = string(c, 0, 64.0 + 0.05 * k, 2, rng)
        if k == 2:
            c.add(end, bar, "open")
        else:
            c.r(end, bar, 10e-6)
    c.r(bar, 0, 12)
    c.r(bar, 0, 10e3)
    c.seen = [(bar, 0)]
    yield c

    # 4 unbalanced bridge with a 10 uohm diagonal
    c = Case("bridge-with-contact", "bridge of 1 to 10 kohm with a 10 uohm diagonal")
    p, x, y = c.node(), c.node(), c.node()
    c.emf(0, p, 800, 0.1)
    c.r(p, x, 1e3)
    c.r(p, y, 3.3e3)
    c.r(x, 0, 10e3)
    c.r(y, 0, 4.7e3)
    c.r(x, y, 10e-6)
    c.seen = [(p, 0), (x, 0)]
    yield c

    # 5 ladder of contacts with bleeds at each rung
    c = Case("ladder-60", "ladder of 59 contacts of 10 uohm with 10 kohm at each rung")
    here = c.node()
    c.emf(0, here, 350, 0.08)
    for k in range(58):
        there = c.node()
        c.r(here, there, 10e-6 * (1 + k % 3))
        c.r(there, 0, 10e3 - 50 * k)
        here = there
    c.seen = [(here, 0), (here, 1)]
    yield c

    # 6 vehicle without links: distribution with consumers of constant power
    rng = random.Random(6)
    c = Case("consumers-constant-power", "one string, drive 90 kW, heater, converter, compressor, bleeds")
    plus = string(c, 0, 96.0, 4, rng)
    bar, minus = c.node(), c.node()
    c.r(plus, bar, 600e-6)
    c.r(minus, 0, 600e-6)
    for watt in (90e3, 6e3, 2.2e3, 3.5e3):
        f, lp, lm = c.node(), c.node(), c.node()
        c.r(bar, f, 300e-6)
        c.r(f, lp, 1.1e-3 * rng.uniform(0.5, 3))
        c.r(lm, minus, 1.1e-3 * rng.uniform(0.5, 3))
        c.power(lp, lm, watt)
        c.r(lp, lm, 33e3 / 4)
    c.seen = [(bar, minus)]
    yield c

    # 7 the same kind regenerating while the heater runs
    rng = random.Random(7)
    c = Case("regeneration", "drive returns 60 kW, heater takes 7 kW, two strings charge")
    bar, minus = c.node(), c.node()
    for volt in (355.0, 354.2):
        plus = string(c, minus, volt / 3, 3, rng)
        c.r(plus, bar, 10e-6)
    drive = c.node()
    c.r(bar, drive, 900e-6)
    c.power(drive, minus, -60e3)
    heater = c.node()
    c.r(bar, heater, 8e-3)
    c.power(heater, minus, 7e3)
    c.r(minus, 0, 2e-3)
    c.r(bar, minus, 10e3)
    c.seen = [(drive, minus)]
    yield c

    # 8 a load near its limit
    c = Case("near-the-limit", "two loads together at 98 % of what the feeder can bring")
    p, q, s = c.node(), c.node(), c.node()
    c.emf(0, p, 96, 0.05)
    c.r(p, q, 0.05)
    c.r(q, s, 10e-6)
    c.power(q, 0, 14e3)
    c.power(s, 0, 0.98 * 96 * 96 / 0.4 - 14e3)
    yield c

    # 9 charging by constant current through a long cable with taps
    c = Case("charging-with-taps", "150 A charging current, taps between boxes, insulation of 10 kohm each pole")
    nodes = [0] + [c.node() for _ in range(8)]
    for k in range(8):
        c.emf(nodes[k], nodes[k + 1], 48.3 + 0.1 * k, 4e-3)
    inlet = c.node()
    c.r(inlet, nodes[8], 1.4e-3)
    c.current(inlet, 0, -150)
    c.r(nodes[3], 0, 470)
    c.r(nodes[5], nodes[2], 10e3)
    chassis = c.node()
    c.r(nodes[8], chassis, 10e3)
    c.r(0, chassis, 9.1e3)
    c.seen = [(nodes[8], chassis), (nodes[5], nodes[2])]
    yield c

    # 10 links and an ideal EMF
    c = Case("links-and-ideal-emf", "zero-ohm links in a tree, an ideal EMF, loads behind them")
    a, b, d, e, f = (c.node() for _ in range(5))
    c.emf(0, a, 120, 0)
    c.r(a, b, 0)
    c.r(b, d, 0)
    c.r(b, e, 25e-6)
    c.r(d, 0, 4)
    c.r(e, 0, 10e3)
    c.r(f, e, 0)
    c.r(f, 0, 0.5)
    c.current(d, 0, 7)
    yield c

    # 11 bolted short at the load end
    rng = random.Random(11)
    c = Case("bolted-short", "short of 100 uohm at the load end of two strings, link capacitor bleed beside it")
    bar = c.node()
    for volt in (48.0, 47.9):
        end = string(c, 0, volt, 2, rng)
        c.r(end, bar, 20e-6)
    far = c.node()
    c.r(bar, far, 1.8e-3)
    c.r(far, 0, 100e-6)
    c.r(far, 0, 2.2e3)
    c.seen = [(bar, 0)]
    yield c

    # 12 to 17 random meshes
    for number, (nodes, chords) in enumerate(
        [(10, 15), (20, 30), (30, 50), (40, 60), (50, 75), (60, 110)]
    ):
        rng = random.Random(120 + number)
        c = Case(
            f"mesh-{nodes}",
            f"random mesh of {nodes} nodes, 10 uohm to 10 kohm, several EMFs and current sources",
        )
        for k in range(1, nodes):
            c.node()
            c.r(rng.randrange(k), k, 10 ** rng.uniform(-5, 4))
        for _ in range(chords):
            a, b = rng.sample(range(nodes), 2)
            if rng.random() < 0.25:
                c.emf(a, b, rng.uniform(10, 450), 10 ** rng.uniform(-2, 2))
            else:
                c.r(a, b, 10 ** rng.uniform(-5, 4))
        for _ in range(3):
            a, b = rng.sample(range(nodes), 2)
            c.current(a, b, rng.uniform(-200, 200))
        c.seen = [tuple(rng.sample(range(nodes), 2)) for _ in range(4)]
        yield c


if __name__ == "__main__":
    OUT.mkdir(parents=True, exist_ok=True)
    for case in cases():
        case.write()
