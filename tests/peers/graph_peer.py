"""What protects each wire, how far each is unprotected, which are bridges, which lie in a cycle: calculated a second time.

The circuits come from the generator (scenario_tool), which knows them as plain edge lists with numbers of its own. Loomproof
reads the same circuits as text (graph_dump). Here networkx (Dijkstra, bridges, biconnected components) and scipy (maximum
flow) work on the edge lists; the two must agree wire by wire. networkx merges doubled wires in some of these, so doubled
edges are counted here.
"""

import collections
import functools
import math
import pathlib
import subprocess
import sys
import tempfile

import networkx
import numpy
import scipy.sparse
import scipy.sparse.csgraph

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
import suite

CIRCUITS = 205
TOOLS = suite.PROGRAM.parent

METAL = {"wire", "joint", "contact"}
SOLID = {"wire", "joint"}
# Flows are counted in tenths of an amp; no cut of real fuses comes near this.
UNLIMITED = 10_000_000

Edge = collections.namedtuple("Edge", "kind a b name piece length rating")
Wire = collections.namedtuple("Wire", "protection rules bridge block unprotected")


class Circuit:
    """One edge list. What it is asked, it calculates without a look at Loomproof's answer."""

    def __init__(self):
        self.names = {}
        self.edges = []
        self.sources = []
        self.limited = {}
        self.body = None
        self.plus_is_ground = False

    def finish(self):
        solid = networkx.Graph()
        solid.add_nodes_from(self.names)
        solid.add_edges_from((e.a, e.b) for e in self.edges if e.kind in SOLID)
        self.reference = networkx.node_connected_component(solid, self.body)
        self.sources = [s for s in self.sources if s not in self.reference]
        self.wires = [e for e in self.edges if e.kind == "wire"]

    def arcs(self, kinds):
        """What fault current can follow, outwards from the sources, each way: (from, to, edge)."""
        for e in self.edges:
            if e.a in self.reference or e.b in self.reference or e.kind not in kinds:
                continue
            against = e.kind == "diode" and self.plus_is_ground
            if e.kind != "diode" or not against:
                yield e.a, e.b, e
            if e.kind != "diode" or against:
                yield e.b, e.a, e

    def unprotected(self):
        """By wire: source name -> length to the wire's far end over nothing that protects."""
        graph = networkx.DiGraph()
        graph.add_nodes_from(self.names)
        for a, b, e in self.arcs(METAL | {"diode"}):
            if not graph.has_edge(a, b) or graph[a][b]["length"] > e.length:
                graph.add_edge(a, b, length=e.length)
        result = {(w.name, w.piece): {} for w in self.wires}
        for source in self.sources:
            away = networkx.single_source_dijkstra_path_length(graph, source, weight="length")
            for w in self.wires:
                if w.a in self.reference or w.b in self.reference:
                    continue
                near = min(away.get(w.a, math.inf), away.get(w.b, math.inf))
                if near < math.inf:
                    result[w.name, w.piece][self.names[source]] = near + w.length
        return result

    @functools.cache
    def protection(self, limited=False):
        """By wire: the larger of the largest flows from all sources into its two ends, the wire itself taken out.

        With `limited` also from those that limit their own current, as far as they do.
        """
        most_of = {source: UNLIMITED for source in self.sources}
        if limited and not self.limited:
            return self.protection(False)
        if limited:
            most_of.update((node, round(amps * 10)) for node, amps in self.limited.items())
        number = {n: i + 1 for i, n in enumerate(self.names)}
        arcs = list(self.arcs(METAL | {"diode", "protector"}))
        heads = [0] * len(most_of) + [number[a] for a, _, _ in arcs]
        tails = [number[s] for s in most_of] + [number[b] for _, b, _ in arcs]
        flows = list(most_of.values())
        for _, _, e in arcs:
            limits = e.kind == "protector" and math.isfinite(e.rating)
            flows.append(round(e.rating * 10) if limits else UNLIMITED)
        flows = numpy.array(flows, dtype=numpy.int32)
        places = collections.defaultdict(list)
        for i, (_, _, e) in enumerate(arcs):
            places[id(e)].append(i + len(most_of))
        size = len(number) + 1
        result = {}
        for w in self.wires:
            without = flows.copy()
            without[places[id(w)]] = 0
            net = scipy.sparse.coo_matrix((without, (heads, tails)), shape=(size, size)).tocsr()
            net.data = numpy.minimum(net.data, UNLIMITED).astype(numpy.int32)
            most = 0
            for end in (w.a, w.b):
                if end not in self.reference:
                    most = max(most, scipy.sparse.csgraph.maximum_flow(net, 0, number[end]).flow_value)
            result[w.name, w.piece] = math.inf if most >= UNLIMITED else most / 10
        return result

    def metal(self):
        """The metal as a simple graph, and how often each pair is joined."""
        graph = networkx.Graph()
        times = collections.Counter()
        for e in self.edges:
            if e.kind in METAL and e.a != e.b:
                graph.add_edge(e.a, e.b)
                times[frozenset((e.a, e.b))] += 1
        return graph, times

    def bridges(self):
        graph, times = self.metal()
        pairs = {frozenset(pair) for pair in networkx.bridges(graph) if times[frozenset(pair)] == 1}
        return {(w.name, w.piece) for w in self.wires if frozenset((w.a, w.b)) in pairs}

    def blocks(self):
        """The wires that lie in cycles, as sets: two in one set lie in one simple cycle."""
        graph, times = self.metal()
        block_of = {}
        for number, edges in enumerate(networkx.biconnected_component_edges(graph)):
            if len(edges) > 1 or times[frozenset(edges[0])] > 1:
                block_of.update((frozenset(e), number) for e in edges)
        sets = collections.defaultdict(set)
        for w in self.wires:
            block = block_of.get(frozenset((w.a, w.b)))
            if block is not None:
                sets[block].add((w.name, w.piece))
        return {frozenset(s) for s in sets.values()}


def read_edges(path):
    circuits = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        kind, *fields = line.split("\t")
        if kind == "file":
            circuit = circuits[fields[0]] = Circuit()
        elif kind == "circuit":
            circuit.plus_is_ground = fields[0] == "plus"
        elif kind == "node":
            circuit.names[int(fields[0])] = fields[1]
        elif kind == "body":
            circuit.body = int(fields[0])
        elif kind == "source":
            circuit.sources.append(int(fields[0]))
        elif kind == "limited":
            circuit.limited[int(fields[0])] = float(fields[1])
        elif kind == "edge":
            what, a, b, name, piece, length, rating = fields[:7]
            circuit.edges.append(Edge(what, int(a), int(b), name, int(piece), float(length), float(rating)))
    for circuit in circuits.values():
        circuit.finish()
    return circuits


def read_dump(text):
    files = {}
    for line in text.splitlines():
        kind, *fields = line.split("\t")
        if kind == "file":
            wires = {}
            files[fields[0]] = (int(fields[1]), wires)
        else:
            name, piece, protection, rules, bridge, block, *unprotected = fields
            lengths = {}
            for item in unprotected:
                source, _, length = item.rpartition("=")
                lengths[source] = float(length)
            amps, judged = (0.0 if figure == "none" else float(figure) for figure in (protection, rules))
            wires[name, int(piece)] = Wire(amps, judged, bridge == "bridge", None if block == "-" else int(block), lengths)
    return files


def setUpModule():
    global ours, theirs
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([TOOLS / "scenario_tool", "batch", folder, str(CIRCUITS)], check=True)
        files = sorted(pathlib.Path(folder).glob("*.loom"))
        dump = subprocess.run([TOOLS / "graph_dump", *files], check=True, capture_output=True, encoding="utf-8").stdout
        theirs = read_edges(pathlib.Path(folder) / "edges.tsv")
        ours = read_dump(dump)


class Agreement(suite.TestCase):
    def each(self):
        self.assertEqual(sorted(ours), sorted(theirs))
        for name, circuit in theirs.items():
            yield name, circuit, ours[name][1]

    def agree(self, mismatches, compared, at_least):
        self.assertEqual(mismatches[:20], [], f"{len(mismatches)} of {compared}")
        self.assertGreaterEqual(compared, at_least, "so few comparisons prove little")

    def test_every_circuit_is_understood(self):
        self.assertGreaterEqual(len(ours), 200)
        self.assertEqual([name for name, (findings, _) in ours.items() if findings > 0], [])
        for name, circuit, wires in self.each():
            self.assertEqual(sorted(wires), sorted((w.name, w.piece) for w in circuit.wires), name)

    def test_unprotected_lengths(self):
        mismatches, compared = [], 0
        for name, circuit, wires in self.each():
            for key, lengths in circuit.unprotected().items():
                got = wires[key].unprotected
                compared += len(lengths)
                same = got.keys() == lengths.keys() and all(math.isclose(got[s], lengths[s], rel_tol=1e-9) for s in got)
                if not same:
                    mismatches.append((name, key, got, lengths))
        self.agree(mismatches, compared, 1200)

    def protection(self, limited, field):
        mismatches, values = [], collections.Counter()
        for name, circuit, wires in self.each():
            for key, amps in circuit.protection(limited).items():
                values[amps] += 1
                got = getattr(wires[key], field)
                if not math.isclose(got, amps, abs_tol=0.06):  # flows are counted in tenths
                    mismatches.append((name, key, got, amps))
        self.agree(mismatches, values.total(), 8000)
        self.assertGreater(len(values), 12, "so few different ratings prove little")

    def test_protection_by_smallest_cut(self):
        self.protection(False, "protection")

    def test_protection_as_the_rules_reckon_it(self):
        self.protection(True, "rules")

    def test_bridges(self):
        mismatches, compared = [], 0
        for name, circuit, wires in self.each():
            bridges = circuit.bridges()
            compared += len(bridges)
            for key, wire in wires.items():
                if wire.bridge != (key in bridges):
                    mismatches.append((name, key, wire.bridge))
        self.agree(mismatches, compared, 4000)

    def test_cyclic_blocks(self):
        mismatches, cyclic = [], 0
        for name, circuit, wires in self.each():
            sets = collections.defaultdict(set)
            for key, wire in wires.items():
                if wire.block is not None:
                    sets[wire.block].add(key)
            blocks = circuit.blocks()
            cyclic += sum(map(len, blocks))
            if {frozenset(s) for s in sets.values()} != blocks:
                mismatches.append((name, sorted(map(sorted, sets.values())), sorted(map(sorted, blocks))))
        self.agree(mismatches, cyclic, 800)


if __name__ == "__main__":
    suite.main()
