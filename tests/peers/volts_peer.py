"""Volts and amps of generated circuits, calculated a second time.

Which wire joins what comes from the generator's own edge list; what the parts are made of comes as figures without laws (volts_dump). The
laws of the elements are written down here anew, and solved densely with numpy: nothing of Loomproof's numbering, ordering, factorisation
or line search is used. The two must agree at every terminal and in every wire.

Laws and figures: a filament's current goes with (V/Vrated)^0.55 (an encyclopedia, after a standard handbook) and a cold one conducts 12 times
as well (common practice: 10 to 15); copper has 58 MS/m and 0.393 % more resistance for each kelvin (IEC 60028); rested volts of a battery
from a battery forum's table; contacts, holes and bolts as the program prints them among its assumptions (a maker's sheet; common practice).
"""

import collections
import math
import pathlib
import subprocess
import sys

import numpy

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
import suite

CIRCUITS = 500
TOOLS = suite.PROGRAM.parent

CONTACT = {"relay": 0.002, "switch": 0.005, "feed": 0.01}
JOINT = {"hole": 0.003, "mounting": 0.001}
LEAK = 1e-12
# Limits of relays as shares of the coil's volts: must pull in, may release, must release.
MUST_PULL_IN, MUST_RELEASE = 2 / 3, 0.1

Part = collections.namedtuple("Part", "element purpose part a b control closed volts amps ohms strong chemistry")
Point = collections.namedtuple("Point", "positions volts amps")


class Circuit:
    def __init__(self, name):
        self.name = name
        self.nodes, self.edges, self.areas, self.parts, self.fuses, self.points = {}, [], {}, [], {}, []

    def node(self, name):
        return self.number.setdefault(name, len(self.number))

    def charged_bank(self):
        """Where no alternator is drawn, the first battery is the charged one, with those that wires alone join to it."""
        batteries = [p for p in self.parts if p.element == "source" and p.strong != "limited" and p.ohms]
        self.number = {}
        pairs = [(self.node(self.nodes[e["a"]]), self.node(self.nodes[e["b"]])) for e in self.edges if e["kind"] == "wire"]
        pairs += [(self.node(p.a), self.node(p.b)) for p in self.parts if p.element == "joint" and p.purpose != "mounting"]
        poles = [(self.node(p.a), self.node(p.b)) for p in batteries]
        ground = self.node(self.reference)
        joined = groups(pairs, len(self.number))
        ground = joined[ground]  # what all share is no wire between two
        bank = [0] if batteries else []
        for at in bank:
            plus, minus = (joined[n] for n in poles[at])
            bank += [i for i, (a, b) in enumerate(poles) if i not in bank and (plus != ground and plus in (joined[a], joined[b]) or joined[a] == minus != ground)]
        return [batteries[i] for i in bank]

    def starters(self):
        return [p for p in self.parts if p.element == "machine" and any(q.part == p.part and q.purpose in ("solenoid", "hold-in") for q in self.parts)]

    def elements(self, positions, cold=False):
        """(a, b, law, figures) of everything that conducts; what has no resistance comes as law `None`. Cold: the amps warm no wire and no fuse."""
        self.number = {}
        alternator = any(p.element == "source" and p.strong == "limited" for p in self.parts)
        bank = self.charged_bank()
        for e in self.edges:
            if e["kind"] != "wire":
                continue
            area, place, doubled, most = self.areas[e["name"], e["piece"]]
            ohms = e["length"] / 58e6 / area * max(0.1, 1 + 0.00393 * (place - 20))
            ends = self.node(self.nodes[e["a"]]), self.node(self.nodes[e["b"]])
            what = ("wire", e["name"], e["piece"])
            if ohms < 1e-6:
                yield (*ends, None, (), what)
            elif most > 0 and not cold:
                yield (*ends, "warmed", (ohms, doubled, most), what)
            else:
                yield (*ends, "ohms", (ohms,), what)
        for p in self.parts:
            ends = self.node(p.a), self.node(p.b)
            what = (p.element, p.part)
            volts = p.volts or self.system
            ohms = p.ohms or volts / (p.amps or 1)
            pulled = positions.get(p.control, 0) >= 1
            if p.element == "joint":
                if p.purpose == "mounting" and p.ohms:
                    yield (*ends, "ohms", (p.ohms,), what)
                else:
                    yield (*ends, "ohms", (JOINT[p.purpose],), what) if p.purpose in JOINT else (*ends, None, (), what)
            elif p.element == "contact":
                if p.closed >> positions[p.control] & 1:
                    yield (*ends, "ohms", (contact_ohms(p),), what)
            elif p.element == "protector":
                at_rest, doubled, most = self.fuses[p.part]
                yield (*ends, "warmed", (at_rest, doubled, most), what) if most > 0 and not cold else (*ends, "ohms", (at_rest,), what)
            elif p.element == "meter":
                yield (*ends, "ohms", (p.ohms or 0.001,), what)
            elif p.element == "junction":
                yield (*ends, "diode", (), what)
            elif p.element == "filament":
                yield (*ends, "filament", (volts, volts / ohms), what)
            elif p.element == "constant power":
                yield (*ends, "power", (volts, volts * volts / ohms), what)
            elif p.element == "source" and p.strong == "limited":
                if self.running:
                    yield (*ends, "generator", (volts, 0.002, p.amps or 65), what)
            elif p.element == "source":
                charging = self.running and (p in bank and not alternator or not p.ohms)
                rested = 12.8 if p.chemistry in ("AGM", "gel") else 13.3 if p.chemistry == "lithium" else 12.6
                force = (14.2 if charging else rested) * volts / 12
                yield (*ends, "battery", (force, p.ohms, 50 * p.ohms) if p.ohms else (force, 0.01, 0.01), what)
            elif p.purpose == "solenoid":
                yield (*ends, "ohms", (ohms * 3 if pulled else ohms,), what)
            elif p.purpose == "sensing":  # 5 mA at rest (common practice), its coil once it is in
                yield (*ends, "ohms", (p.ohms if pulled else volts / 0.005,), what)
            elif p.purpose == "leak":
                yield (*ends, "diode", (), what)
            elif p.purpose == "charge lamp" and self.running:
                # The rotor's diodes hang on the same windings as the main ones, so L follows B+ (alternator handbooks, from memory).
                main = next(q for q in self.parts if q.part == p.part and q.element == "source")
                yield self.node(p.a), self.node(main.a), "generator", (0, 1, 1), what
            elif p.purpose == "armature" and self.running:  # a dynamo that delivers: what, nobody works out
                continue
            else:
                yield (*ends, "ohms", (ohms,), what)


def contact_ohms(p):
    """A usual one, or, where it is made for so many amps (dumped in their column), one that loses 0.1 V at these."""
    usual = CONTACT[p.purpose]
    return min(usual, 0.1 / p.amps) if p.purpose != "feed" and p.amps else usual


def conduct(law, f, v):
    """Current and slope of many elements of one law at once; f: rows of figures."""
    if law == "ohms":
        return v / f[0], 1 / f[0]
    if law == "warmed":  # v = ohms i (1 + (i/doubled)^2), resistance at most `most` times as large
        ohms, doubled, most = f
        y = numpy.abs(v) / (ohms * doubled)
        # the one real root of x^3 + x - y: Cardano
        s = numpy.sqrt(y * y / 4 + 1 / 27)
        x = numpy.cbrt(y / 2 + s) - 1 / (3 * numpy.cbrt(y / 2 + s))
        for _ in range(2):  # small y cancel in Cardano's form
            x = x - (x**3 + x - y) / (3 * x * x + 1)
        far = y >= numpy.sqrt(most - 1) * most
        amps = numpy.where(far, v / (ohms * most), numpy.sign(v) * x * doubled)
        return amps, numpy.where(far, 1 / (ohms * most), 1 / (ohms * (1 + 3 * x * x)))
    if law == "filament":
        volts, rated = f
        share = numpy.maximum(numpy.abs(v) / volts, 1e-300)
        cold = share <= 12 ** (-1 / 0.45)
        hot = rated * share**0.55
        return numpy.where(cold, 12 * rated / volts * v, numpy.sign(v) * hot), numpy.where(cold, 12 * rated / volts, 0.55 * hot / (share * volts))
    if law == "diode":
        saturation = 1 / math.expm1(0.75 / 0.045)
        knee = 0.045 * math.log(200 / saturation + 1)
        at = numpy.minimum(v, knee)
        amps, slope = saturation * numpy.expm1(at / 0.045), saturation / 0.045 * numpy.exp(at / 0.045)
        return amps + slope * (v - at) + LEAK * at, slope + LEAK
    if law == "battery":
        r = numpy.where(v > f[0], f[2], f[1])
        return (v - f[0]) / r, 1 / r
    if law == "generator":
        volts, ohms, most = f
        given = (volts - v) / ohms
        middle = (given > 0) & (given < most)
        return -numpy.clip(given, 0, most) + LEAK * v, numpy.where(middle, 1 / ohms, LEAK)
    if law == "power":  # with its current held; see solve()
        volts, amps = f
        off, full = 0.5 * volts, 0.7 * volts
        slope = numpy.where((v > off) & (v < full), amps / (full - off), 0)
        return amps * numpy.clip((v - off) / (full - off), 0, 1) + LEAK * v, slope + LEAK
    raise ValueError(law)


def groups(pairs, size):
    parent = list(range(size))

    def root(n):
        while parent[n] != n:
            parent[n] = parent[parent[n]]
            n = parent[n]
        return n

    for a, b in pairs:
        parent[root(a)] = root(b)
    return [root(n) for n in range(size)]


def solve(circuit, positions):
    """Volts by node name (None: floats), amps by wire, volts across each coil by relay. While a starter turns, all is cold: that lasts seconds."""
    warm = solve_at(circuit, positions, cold=False)
    if not turns(circuit, warm[0], 0.02):
        return warm
    cold = solve_at(circuit, positions, cold=True)
    return cold if turns(circuit, cold[0], 0.25) else warm


def turns(circuit, volts, share):
    """Has a starter more than that share of the system's volts?"""
    return any(None not in (volts[p.a], volts[p.b]) and abs(volts[p.a] - volts[p.b]) > share * circuit.system for p in circuit.starters())


def solve_at(circuit, positions, cold):
    elements = list(circuit.elements(positions, cold))
    reference = circuit.node(circuit.reference)
    size = len(circuit.number)
    merged = groups([(a, b) for a, b, law, *_ in elements if law is None], size)
    island = groups([(a, b) for a, b, *_ in elements], size)
    kept = sorted(set(merged))
    # One node of each island counts as zero.
    zero = {island[reference]: merged[reference]}
    for n in kept:
        zero.setdefault(island[n], n)
    place = {n: i for i, n in enumerate(n for n in kept if zero[island[n]] != n)}
    laws = collections.defaultdict(list)
    for a, b, law, figures, what in elements:
        if law is not None and merged[a] != merged[b]:
            laws[law].append((place.get(merged[a], -1), place.get(merged[b], -1), figures, what))
    n = len(place)
    blocks = []
    for law, items in laws.items():
        a = numpy.array([i[0] for i in items])
        b = numpy.array([i[1] for i in items])
        blocks.append([law, a, b, numpy.array([i[2] for i in items], dtype=float).T])
    power = next((block for block in blocks if block[0] == "power"), None)
    if power is not None:
        watts = power[3][1].copy()
        power[3][1] = watts / power[3][0]
    x = numpy.zeros(n + 1)  # the last one is zero volts

    def currents(x):
        sums, matrix, largest = numpy.zeros(n + 1), numpy.zeros((n + 1, n + 1)), 1e-4
        for law, a, b, f in blocks:
            amps, slope = conduct(law, f, x[a] - x[b])
            numpy.add.at(sums, a, amps)
            numpy.add.at(sums, b, -amps)
            numpy.add.at(matrix, (a, a), slope)
            numpy.add.at(matrix, (b, b), slope)
            numpy.add.at(matrix, (a, b), -slope)
            numpy.add.at(matrix, (b, a), -slope)
            largest = max(largest, numpy.abs(amps).max())
        return sums[:n], matrix[:n, :n], largest

    def along(x, d):  # slope of the energy: what flows times what it is moved by
        return sum(float(numpy.dot(conduct(law, f, x[a] - x[b])[0], d[a] - d[b])) for law, a, b, f in blocks)

    for rounds in range(100):
        for steps in range(200):
            sums, matrix, largest = currents(x)
            step = numpy.append(-numpy.linalg.solve(matrix, sums), 0) if n else x
            if steps < 20 and numpy.abs(step).max(initial=0) > 50:  # where nothing but leaks hold a node: a shorter way, downhill all the same
                step = numpy.append(-numpy.linalg.solve(matrix + 0.01 * numpy.eye(n), sums), 0)
            # Between microohms and a diode that blocks lie 18 digits: a dense solution then keeps but five of the volts behind the diode.
            if numpy.abs(step).max(initial=0) < (1e-12 if steps < 30 else 1e-5) and numpy.abs(sums).max(initial=0) < 1e-9 * max(largest, 1):
                break
            low, high = 0.0, 1.0
            if along(x + step, step) > 0.3 * abs(along(x, step)):  # beyond the lowest point: halve
                for _ in range(200):
                    middle = (low + high) / 2
                    if along(x + middle * step, step) > 0:
                        high = middle
                    else:
                        low = middle
                    if high - low < 1e-3 * high:
                        break
            x = x + high * step
        else:
            raise ArithmeticError(f"{circuit.name}: no operating point")
        if power is None:
            break
        wanted = watts / numpy.maximum(x[power[1]] - x[power[2]], 0.7 * power[3][0])
        change = wanted - power[3][1]
        if numpy.abs(change / wanted).max() < 1e-11:
            break
        power[3][1] += change * (1 if rounds < 40 else 0.5)

    def volts(node):
        return x[place.get(merged[node], n)]

    floats = island[reference]
    result = {name: volts(i) if island[i] == floats else None for name, i in circuit.number.items()}
    amps = {}
    for a, b, law, figures, what in elements:
        if what[0] == "wire" and law is not None:
            amps[what[1:]] = float(conduct(law, numpy.array(figures)[:, None], numpy.array([volts(a) - volts(b)]))[0][0])
    coils = {p.control: abs(volts(circuit.number[p.a]) - volts(circuit.number[p.b])) / (p.volts or circuit.system)
             for p in circuit.parts if p.purpose in ("coil", "solenoid") and p.control}
    for hold in circuit.parts:  # two windings on one core: both pull at rest, the hold-in winding's amps count once it is in
        if hold.purpose == "hold-in" and hold.control:
            pull = next(p for p in circuit.parts if p.purpose == "pull-in" and p.part == hold.part)
            ohms = [p.ohms or (p.volts or circuit.system) / p.amps for p in (hold, pull)]
            both = sum((volts(circuit.number[p.a]) - volts(circuit.number[p.b])) / r for p, r in zip((hold, pull), ohms))
            lasting = ohms[0] if positions.get(hold.control, 0) >= 1 else ohms[0] * ohms[1] / sum(ohms)
            coils[hold.control] = abs(both) * lasting / (hold.volts or circuit.system)
    return result, amps, coils


def figure(text):
    return None if text == "-" else float(text)


def read(text):
    circuits = []
    for line in text.splitlines():
        kind, *f = line.split("\t")
        if kind == "file":
            c = Circuit(f[0])
            circuits.append(c)
        elif kind == "node":
            c.nodes[f[0]] = f[1]
        elif kind == "edge":
            c.edges.append({"kind": f[0], "a": f[1], "b": f[2], "name": f[3], "piece": f[4], "length": float(f[5]), "control": f[7], "closed": f[8]})
        elif kind == "condition":
            c.running, c.system, c.reference = f[1] == "running", float(f[2]), f[3]
        elif kind == "area":
            c.areas[f[0], f[1]] = tuple(map(float, f[2:]))
        elif kind == "part":
            c.parts.append(Part(*f[:6], int(f[6]), figure(f[7]), figure(f[8]), figure(f[9]), f[10], f[11]))
        elif kind == "fuse":
            c.fuses[f[0]] = tuple(map(float, f[1:]))
        elif kind == "point":
            c.points.append(Point({k: int(v) for k, _, v in (item.rpartition("=") for item in f)}, {}, {}))
        elif kind == "volts":
            c.points[-1].volts[f[0]] = figure(f[1])
        elif kind == "amps":
            c.points[-1].amps[f[0], f[1]] = float(f[2])
    return circuits


def setUpModule():
    global circuits, solved
    dump = subprocess.run([TOOLS / "volts_dump", str(CIRCUITS)], check=True, capture_output=True, encoding="utf-8").stdout
    circuits = read(dump)
    solved = [(c, p, *solve(c, p.positions)) for c in circuits for p in c.points]


class Agreement(suite.TestCase):
    def test_there_are_so_many_circuits_and_of_every_kind(self):
        self.assertEqual(len(circuits), CIRCUITS)
        self.assertGreater(len(solved), 1.9 * CIRCUITS)
        for element, purpose in (("filament", "plain"), ("junction", "suppressor"), ("contact", "relay"), ("constant power", "plain"), ("machine", "plain")):
            having = sum(any(p.element == element and p.purpose == purpose for p in c.parts) for c in circuits)
            self.assertGreater(having, CIRCUITS / 20, element)
        pulled = sum(v >= 1 for c, p, *_ in solved for q in c.parts if q.purpose == "coil" for v in [p.positions.get(q.control, 0)])
        self.assertGreater(pulled, CIRCUITS / 10)

    def test_contacts_join_what_the_generator_says(self):
        compared = 0
        for c in circuits:
            ours = {(frozenset((p.a, p.b)), p.control) for p in c.parts if p.element == "contact"}
            for e in c.edges:
                if e["kind"] == "contact":
                    a, b = c.nodes[e["a"]], c.nodes[e["b"]]
                    if (frozenset((a, b)), e["control"]) in ours:
                        compared += 1
                    else:
                        self.assertTrue(any(x.startswith("inside ") for pair, k in ours for x in pair), (c.name, e))
        self.assertGreater(compared, 1000)

    def test_volts(self):
        compared, worst, wrong = 0, 0, []
        for c, p, volts, _, _ in solved:
            for name, ours in p.volts.items():
                if name not in volts:
                    continue
                theirs = volts[name]
                compared += 1
                if (ours is None) != (theirs is None):
                    wrong.append((c.name, name, ours, theirs))
                elif ours is not None:
                    worst = max(worst, abs(ours - theirs))
                    if abs(ours - theirs) > 1e-6:
                        wrong.append((c.name, name, ours, theirs))
        print(f"{compared} volts compared, worst difference {worst:.2g} V")
        self.assertEqual(wrong[:20], [], f"{len(wrong)} of {compared}")
        self.assertGreater(compared, 30000)

    def test_amps(self):
        compared, worst, wrong = 0, 0, []
        for c, p, _, amps, _ in solved:
            for wire, theirs in amps.items():
                compared += 1
                difference = abs(p.amps[wire] - theirs) / (1 + abs(theirs))
                worst = max(worst, difference)
                if difference > 1e-6:
                    wrong.append((c.name, wire, p.amps[wire], theirs))
        print(f"{compared} amps compared, worst difference {worst:.2g}")
        self.assertEqual(wrong[:20], [], f"{len(wrong)} of {compared}")
        self.assertGreater(compared, 20000)

    def test_relays_rest_where_their_volts_let_them(self):
        compared = 0
        for c, p, _, _, coils in solved:
            for relay, share in coils.items():
                compared += 1
                at = p.positions[relay]
                self.assertFalse(at == 0 and share > MUST_PULL_IN + 1e-6, (c.name, relay, share))
                self.assertFalse(at >= 1 and share < MUST_RELEASE - 1e-6, (c.name, relay, share))
        self.assertGreater(compared, 300)


if __name__ == "__main__":
    suite.main()
