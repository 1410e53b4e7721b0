#pragma once
/// What the graph holds, for graph.cpp and walk.cpp alone: Boost.Graph's compressed rows of both directions of every edge.

#include "circuit/blocks.hpp"
#include "circuit/graph.hpp"

#include <cstdint>
#include <utility>
#include <vector>

#include <boost/graph/compressed_sparse_row_graph.hpp>

namespace loomproof {

struct Graph::Impl {
    struct Arc {
        Number edge = 0;
    };
    /// Both directions of every edge, the arcs of a vertex in text order.
    using Net = boost::compressed_sparse_row_graph<boost::directedS, boost::no_property, Arc, boost::no_property,
                                                   Number, Number>;

    View view;
    std::vector<EdgeRef> edges; ///< in text order; an edge's place here is its number
    std::vector<std::pair<TerminalId, TerminalId>> ends;
    Net net;
    std::vector<bool>
        divides; ///< by edge: a contact of a control that has contacts which are never all closed together

    explicit Impl(const View& v) : view(v) {
        const Circuit& c = view.circuit();
        edges.reserve(view.wires().size() + view.primitives().size());
        ends.reserve(edges.capacity());
        for (WireId w : view.wires()) add({w, {}}, c.at(w).a, c.at(w).b);
        for (PrimitiveId p : view.primitives()) add({{}, p}, c.at(p).a, c.at(p).b);
        build_net();
        find_what_divides();
    }

    void add(EdgeRef edge, TerminalId a, TerminalId b) {
        if (!a.exists() || !b.exists()) return;
        edges.push_back(edge);
        ends.emplace_back(a, b);
    }

    void build_net() {
        std::vector<std::pair<Number, Number>> pairs;
        std::vector<Arc> numbers;
        pairs.reserve(2 * edges.size());
        numbers.reserve(2 * edges.size());
        for (Number e = 0; e < edges.size(); ++e) {
            const auto [a, b] = ends[e];
            pairs.emplace_back(a.index, b.index);
            pairs.emplace_back(b.index, a.index);
            numbers.insert(numbers.end(), 2, {e});
        }
        net = Net(boost::edges_are_unsorted_multi_pass, pairs.begin(), pairs.end(), numbers.begin(), terminals());
    }

    void find_what_divides() {
        const Circuit& c = view.circuit();
        std::vector<std::uint64_t> common(c.controls.size(), ~std::uint64_t{0});
        for (PrimitiveId p : view.primitives())
            if (c.at(p).element == Element::contact && c.at(p).control.exists())
                common[c.at(p).control.index] &= c.at(p).closed_in;
        for (const EdgeRef& e : edges)
            divides.push_back(!e.is_wire() && c.at(e.primitive).element == Element::contact &&
                              c.at(e.primitive).control.exists() && common[c.at(e.primitive).control.index] == 0);
    }

    Number terminals() const { return static_cast<Number>(view.circuit().terminals.size()); }

    template <class F> void each_arc(Number from, F f) const {
        const auto [begin, end] = boost::out_edges(from, net);
        for (auto a = begin; a != end; ++a) f(net[*a].edge, static_cast<Number>(boost::target(*a, net)));
    }

    /// Which edges pass from at least one of their ends.
    std::vector<bool> passing(const Passes& passes) const {
        std::vector<bool> open(edges.size());
        for (Number e = 0; e < edges.size(); ++e)
            open[e] = passes(edges[e], ends[e].first) || passes(edges[e], ends[e].second);
        return open;
    }
};

} // namespace loomproof
