#pragma once
/// The blocks of a net (its biconnected pieces), for the graph and blocks.cpp alone.

#include "base/rows.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

namespace loomproof {

using Number = std::uint32_t;
inline constexpr Number nothing = 0xffffffff;

/// Every passing edge with the number of its block (the biconnected component of edges). An edge alone in its block is a
/// bridge, unless both its ends are one terminal. Depth first without recursion; the way back is barred by edge, not by
/// vertex, so two wires between the same two terminals are a cycle.
struct BlockSearch {
    struct Frame {
        Number vertex, parent_edge;
        std::size_t next;
    };
    struct Arc {
        Number edge, to;
    };
    Rows<Arc> arcs; ///< by vertex
    std::vector<Number> entered, low, block, open_edges;
    std::vector<Frame> stack;
    Number clock = 0, blocks = 0;

    /// Of the edges those that are `open`, each between the two vertices that `ends(edge)` gives.
    template <class Open, class Ends>
    BlockSearch(Number vertices, Number edges, const Open& open, const Ends& ends)
        : arcs(vertices,
               [&](const auto& add) {
                   for (Number e = 0; e < edges; ++e) {
                       if (!open(e)) continue;
                       const auto [a, b] = ends(e);
                       add(a, Arc{e, b});
                       if (a != b) add(b, Arc{e, a});
                   }
               }),
          entered(vertices, nothing),
          low(vertices),
          block(edges, nothing) {}

    void enter(Number vertex, Number parent_edge) {
        entered[vertex] = low[vertex] = clock++;
        stack.push_back({vertex, parent_edge, 0});
    }

    void close_block(Number last_edge) {
        Number e = nothing;
        do {
            e = open_edges.back();
            open_edges.pop_back();
            block[e] = blocks;
        } while (e != last_edge);
        ++blocks;
    }

    void leave() {
        const Frame done = stack.back();
        stack.pop_back();
        if (stack.empty()) return;
        const Number above = stack.back().vertex;
        low[above] = std::min(low[above], low[done.vertex]);
        if (low[done.vertex] >= entered[above]) close_block(done.parent_edge);
    }

    void step(Frame& frame) {
        const Number here = frame.vertex;
        const auto [edge, to] = arcs[here][frame.next++];
        if (edge == frame.parent_edge) return;
        if (to == here) {
            if (block[edge] == nothing) block[edge] = blocks++;
        } else if (entered[to] == nothing) {
            open_edges.push_back(edge);
            enter(to, edge); // `frame` is no longer valid
        } else if (entered[to] < entered[here]) {
            open_edges.push_back(edge);
            low[here] = std::min(low[here], entered[to]);
        }
    }

    void run_from(Number vertex) {
        if (entered[vertex] != nothing || arcs[vertex].empty()) return;
        enter(vertex, nothing);
        while (!stack.empty()) {
            if (Frame& top = stack.back(); top.next < arcs[top.vertex].size())
                step(top);
            else
                leave();
        }
    }

    void run() {
        for (Number v = 0; v < arcs.size(); ++v) run_from(v);
    }
};

} // namespace loomproof
