"""The same questions put to networkx: seconds for building, shortest ways, blocks and pieces, in one line."""

import sys
import time

import networkx


def timed(work):
    began = time.process_time()
    work()
    return time.process_time() - began


def main():
    with open(sys.argv[1], encoding="ascii") as file:
        terminals, start = (int(word) for word in file.readline().split())
        edges = [(int(a), int(b), float(length)) for a, b, length in (line.split() for line in file)]
    net = networkx.MultiGraph()

    def build():
        net.add_nodes_from(range(terminals))
        net.add_weighted_edges_from(edges)

    times = [
        timed(build),
        timed(lambda: networkx.single_source_dijkstra(net, start)),
        timed(lambda: list(networkx.biconnected_components(networkx.Graph(net)))),
        timed(lambda: list(networkx.connected_components(net))),
    ]
    print(*times)


if __name__ == "__main__":
    main()
