#pragma once
/// The blocks of a net (its biconnected pieces), for the graph and blocks.cpp alone.

#include <algorithm>
#include <cstdint>
#include <vector>

namespace loomproof {

using Number = std::uint32_t;
inline constexpr Number nothing = 0xffffffff;

/// One end of an edge, as seen from the vertex at the other.
struct BlockArc {
    Number edge, to;
};

/// Every open edge with the number of its block (the biconnected component of edges). An edge alone in its block is a
/// bridge, unless both its ends are one vertex. Depth first without recursion; the way back is barred by edge, not by
/// vertex, so two wires between the same two terminals are a cycle.
///
/// `arcs[vertex]` are the arcs of a vertex, by number; an edge of a vertex with itself may stand there once or twice. `open(edge)` is
/// asked for each arc. Both must outlive the search.
template <class Arcs, class Open> class BlockSearch {
  public:
    std::vector<Number> entered; ///< by vertex: when it was first seen, or nothing
    std::vector<Number> block;   ///< by edge, or nothing
    Number blocks = 0;

    BlockSearch(Number vertices, Number edges, const Arcs& arcs, const Open& open)
        : entered(vertices, nothing), block(edges, nothing), arcs_(arcs), open_(open), low_(vertices) {}

    void run() {
        for (Number v = 0; v < entered.size(); ++v)
            if (entered[v] == nothing) run_from(v);
    }

    /// Precondition: not entered yet.
    void run_from(Number vertex) {
        enter(vertex, nothing);
        while (!stack_.empty()) {
            if (Frame& top = stack_.back(); top.next < top.end)
                step(top);
            else
                leave();
        }
    }

  private:
    struct Frame {
        Number vertex, parent_edge, next, end; ///< the next arc to look at, and one past the last
    };

    void enter(Number vertex, Number parent_edge) {
        entered[vertex] = low_[vertex] = clock_++;
        stack_.push_back({vertex, parent_edge, 0, static_cast<Number>(arcs_[vertex].size())});
    }

    void close_block(Number last_edge) {
        Number e = nothing;
        do {
            e = open_edges_.back();
            open_edges_.pop_back();
            block[e] = blocks;
        } while (e != last_edge);
        ++blocks;
    }

    void leave() {
        const Frame done = stack_.back();
        stack_.pop_back();
        if (stack_.empty()) return;
        const Number above = stack_.back().vertex;
        low_[above] = std::min(low_[above], low_[done.vertex]);
        if (low_[done.vertex] >= entered[above]) close_block(done.parent_edge);
    }

    void step(Frame& frame) {
        const Number here = frame.vertex;
        const BlockArc arc = arcs_[here][frame.next++];
        if (arc.edge == frame.parent_edge || !open_(arc.edge)) return;
        if (arc.to == here) {
            if (block[arc.edge] == nothing) block[arc.edge] = blocks++;
        } else if (entered[arc.to] == nothing) {
            open_edges_.push_back(arc.edge);
            enter(arc.to, arc.edge); // `frame` is no longer valid
        } else if (entered[arc.to] < entered[here]) {
            open_edges_.push_back(arc.edge);
            low_[here] = std::min(low_[here], entered[arc.to]);
        }
    }

    const Arcs& arcs_;
    const Open& open_;
    std::vector<Number> low_, open_edges_;
    std::vector<Frame> stack_;
    Number clock_ = 0;
};

} // namespace loomproof
