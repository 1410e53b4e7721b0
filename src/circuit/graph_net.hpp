#pragma once
/// What the graph holds, for graph.cpp and walk.cpp alone: Boost.Graph's compressed rows of both directions of every edge.

#include "circuit/blocks.hpp"
#include "circuit/graph.hpp"

#include <cstddef>
#include <cstdint>
#include <tuple>
#include <utility>
#include <vector>

#include <boost/graph/compressed_sparse_row_graph.hpp>
#include <boost/iterator/counting_iterator.hpp>
#include <boost/iterator/transform_iterator.hpp>

namespace loomproof {

struct Graph::Impl {
    struct Arc {
        Number edge = 0;
    };
    /// Both directions of every edge, the arcs of a vertex in text order.
    using Net = boost::compressed_sparse_row_graph<boost::directedS, boost::no_property, Arc, boost::no_property,
                                                   Number, Number>;

    View view;
    std::vector<Edge> edges; ///< in text order; an edge's place here is its number
    Net net;

    explicit Impl(const View& v) : view(v) {
        const Circuit& c = view.circuit();
        edges.reserve(view.wires().size() + view.primitives().size());
        for (WireId id : view.wires()) {
            const Wire& w = c.at(id);
            add({{id, {}}, w.a, w.b, Element::joint, false, w.length.or_else(Metres{0}).si});
        }
        const std::vector<bool> divided = divided_controls();
        for (PrimitiveId id : view.primitives()) {
            const Primitive& p = c.at(id);
            const bool divides = p.element == Element::contact && p.control.exists() && divided[p.control.index];
            add({{{}, id}, p.a, p.b, p.element, divides, 0});
        }
        // Every edge twice, there and back, told while the rows are filled: a list of them would be as large as the net itself.
        const auto arcs = [this](const auto& told) {
            const boost::counting_iterator<Number> first(0);
            return std::pair{
                boost::make_transform_iterator(first, told),
                boost::make_transform_iterator(first + static_cast<std::ptrdiff_t>(2 * edges.size()), told)};
        };
        const auto [begin, end] = arcs([this](Number arc) {
            const Edge& e = edges[arc / 2];
            return arc % 2 == 0 ? std::pair{e.a.index, e.b.index} : std::pair{e.b.index, e.a.index};
        });
        const auto numbers = arcs([](Number arc) { return Arc{arc / 2}; }).first;
        net = Net(boost::edges_are_unsorted_multi_pass, begin, end, numbers, terminals());
    }

    void add(const Edge& edge) {
        if (edge.a.exists() && edge.b.exists()) edges.push_back(edge);
    }

    /// By control: has it contacts which are never all closed together?
    std::vector<bool> divided_controls() const {
        const Circuit& c = view.circuit();
        std::vector<std::uint64_t> common(c.controls.size(), ~std::uint64_t{0});
        for (PrimitiveId id : view.primitives())
            if (const Primitive& p = c.at(id); p.element == Element::contact && p.control.exists())
                common[p.control.index] &= p.closed_in;
        std::vector<bool> divided(common.size());
        for (std::size_t i = 0; i < common.size(); ++i) divided[i] = common[i] == 0;
        return divided;
    }

    Number terminals() const { return static_cast<Number>(view.circuit().terminals.size()); }

    /// The arcs of one vertex, in text order.
    class Arcs {
      public:
        Arcs(const Net& net, Number from) : net_(net) { std::tie(begin_, end_) = boost::out_edges(from, net); }
        std::size_t size() const { return static_cast<std::size_t>(end_ - begin_); }
        BlockArc operator[](Number i) const {
            const auto arc = *(begin_ + i);
            return {net_[arc].edge, static_cast<Number>(boost::target(arc, net_))};
        }

      private:
        const Net& net_;
        boost::graph_traits<Net>::out_edge_iterator begin_, end_;
    };
    Arcs operator[](Number vertex) const { return {net, vertex}; }

    template <class F> void each_arc(Number from, F f) const {
        const auto [begin, end] = boost::out_edges(from, net);
        for (auto a = begin; a != end; ++a) f(net[*a].edge, static_cast<Number>(boost::target(*a, net)));
    }

    /// Which edges pass from at least one of their ends.
    std::vector<char> passing(const Passes& passes) const {
        std::vector<char> open(edges.size()); // no bits: they are asked for at each arc
        for (Number e = 0; e < edges.size(); ++e)
            open[e] = static_cast<char>(passes(edges[e], edges[e].a) || passes(edges[e], edges[e].b));
        return open;
    }
};

} // namespace loomproof
