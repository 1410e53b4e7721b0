"""The same questions put to networkx: seconds for each, the number of pieces, then the ways by node up to what protects, and over the whole feed net."""

import math
import sys
import time

import networkx


def timed(work):
    began = time.process_time()
    answer = work()
    return time.process_time() - began, answer


def main():
    with open(sys.argv[1], encoding="ascii") as file:
        terminals, start = (int(word) for word in file.readline().split())
        edges = [
            (int(a), int(b), {"weight": float(length), "lets": int(lets)})
            for a, b, length, lets in (line.split() for line in file)
        ]
    net = networkx.MultiGraph()

    def build():
        net.add_nodes_from(range(terminals))
        net.add_edges_from(edges)

    def unprotected(_a, _b, side_by_side):
        return min((e["weight"] for e in side_by_side.values() if e["lets"] == 0), default=None)

    def fed(_a, _b, side_by_side):
        return min((e["weight"] for e in side_by_side.values() if e["lets"] != 2), default=None)

    answers = [
        timed(build),
        timed(lambda: networkx.single_source_dijkstra(net, start, weight=unprotected)[0]),
        timed(lambda: networkx.single_source_dijkstra(net, start, weight=fed)[0]),
        # Its biconnected_components (2.8) copies the list of edges still open for each block, which took 40 s on 100000 wires and
        # made us look better than we are. This is the same search without that list.
        timed(lambda: list(networkx.articulation_points(networkx.Graph(net)))),
        timed(lambda: list(networkx.connected_components(net))),
    ]
    print(*(seconds for seconds, _ in answers), len(answers[4][1]))
    for _, away in answers[1:3]:
        print(*(repr(away.get(node, math.inf)) for node in range(terminals)))


if __name__ == "__main__":
    main()
