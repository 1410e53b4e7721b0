#include "circuit/graph_net.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/push_relabel_max_flow.hpp>

namespace loomproof {

Graph::Graph(const View& v) : impl_(std::make_unique<Impl>(v)) {}
Graph::~Graph() = default;
Graph::Graph(Graph&&) noexcept = default;
Graph& Graph::operator=(Graph&&) noexcept = default;

const View& Graph::view() const { return impl_->view; }

std::vector<std::uint32_t> Graph::components(const Passes& passes) const {
    const Number n = impl_->terminals();
    std::vector<Number> below(n); // a terminal of the same set with a smaller number, or itself: the set's first
    std::iota(below.begin(), below.end(), Number{0});
    const auto first = [&](Number t) {
        while (below[t] != t) t = below[t] = below[below[t]];
        return t;
    };
    for (const Edge& e : impl_->edges) {
        if (!passes(e, e.a) && !passes(e, e.b)) continue;
        const Number one = first(e.a.index), other = first(e.b.index);
        below[std::max(one, other)] = std::min(one, other);
    }
    std::vector<Number> result(n);
    Number next = 0;
    for (Number t = 0; t < n; ++t) result[t] = below[t] == t ? next++ : result[first(t)];
    return result;
}

// ---- smallest cut ------------------------------------------------------------------------------------------------------

namespace {

using FlowTraits = boost::adjacency_list_traits<boost::vecS, boost::vecS, boost::directedS>;
struct FlowArc {
    std::int64_t capacity = 0, residual = 0;
    FlowTraits::edge_descriptor reverse;
};
using FlowNet = boost::adjacency_list<boost::vecS, boost::vecS, boost::directedS, boost::no_property, FlowArc>;

/// One direction and its empty reverse: the algorithm wants reverse arcs that carry nothing of their own.
void add_arc(FlowNet& net, Number from, Number to, std::int64_t capacity) {
    if (capacity == 0 || from == to) return;
    const auto there = boost::add_edge(from, to, FlowArc{capacity, 0, {}}, net).first;
    net[there].reverse = boost::add_edge(to, from, FlowArc{0, 0, there}, net).first;
}

/// Amps as whole thousandths, so that the flow is exact.
std::int64_t counted(double amps) { return std::llround(std::min(amps, 1e6) * 1e3); }

/// Nodes reached from `source` over edges that `lets` through, given an edge and whether it is taken forwards.
template <class Lets> std::vector<bool> flood(Number nodes, std::span<const NetEdge> edges, Number source, Lets lets) {
    std::vector<std::vector<Number>> at(nodes);
    for (Number e = 0; e < edges.size(); ++e) {
        at[edges[e].a].push_back(e);
        at[edges[e].b].push_back(e);
    }
    std::vector<bool> reached(nodes);
    std::vector<Number> open{source};
    reached[source] = true;
    while (!open.empty()) {
        const Number here = open.back();
        open.pop_back();
        for (Number e : at[here]) {
            const bool forwards = edges[e].a == here;
            const Number to = forwards ? edges[e].b : edges[e].a;
            if (reached[to] || !lets(e, forwards)) continue;
            reached[to] = true;
            open.push_back(to);
        }
    }
    return reached;
}

} // namespace

NetCut smallest_cut(std::uint32_t nodes, std::span<const NetEdge> edges, std::uint32_t source, std::uint32_t sink) {
    const auto worth = [&](Number e, bool forwards) { return forwards ? edges[e].forward : edges[e].backward; };
    const auto unlimited = [&](Number e, bool forwards) { return std::isinf(worth(e, forwards)); };
    if (flood(nodes, edges, source, unlimited)[sink]) return {std::numeric_limits<double>::infinity(), {}};

    // Now some set of limiting edges separates the two, so an edge worth more than all of them together is in no smallest cut.
    std::int64_t beyond_all = 1;
    for (const NetEdge& e : edges)
        for (double amps : {e.forward, e.backward})
            if (!std::isinf(amps)) beyond_all += counted(amps);
    const auto whole = [&](double amps) { return std::isinf(amps) ? beyond_all : counted(amps); };

    FlowNet net(nodes);
    for (const NetEdge& e : edges) {
        add_arc(net, e.a, e.b, whole(e.forward));
        add_arc(net, e.b, e.a, whole(e.backward));
    }
    boost::push_relabel_max_flow(net, source, sink, boost::get(&FlowArc::capacity, net),
                                 boost::get(&FlowArc::residual, net), boost::get(&FlowArc::reverse, net),
                                 boost::get(boost::vertex_index, net));

    // The side of the source: what is still reachable over arcs with something left.
    std::vector<bool> near(nodes);
    std::vector<Number> open{source};
    near[source] = true;
    while (!open.empty()) {
        const Number here = open.back();
        open.pop_back();
        for (const auto [begin, end] = boost::out_edges(here, net);
             const auto arc : boost::make_iterator_range(begin, end)) {
            const auto to = static_cast<Number>(boost::target(arc, net));
            if (near[to] || net[arc].residual == 0) continue;
            near[to] = true;
            open.push_back(to);
        }
    }
    NetCut cut;
    for (Number e = 0; e < edges.size(); ++e) {
        if (near[edges[e].a] == near[edges[e].b] || worth(e, near[edges[e].a]) <= 0) continue;
        cut.edges.push_back(e);
        cut.capacity += worth(e, near[edges[e].a]);
    }
    return cut;
}

Graph::Cut Graph::smallest_cut(std::span<const TerminalId> sources, TerminalId sink, const Passes& passes,
                               const CapacityOf& capacity) const {
    const Number all_sources = impl_->terminals();
    std::vector<NetEdge> net;
    for (const Edge& e : impl_->edges) {
        const bool forward = passes(e, e.a), backward = passes(e, e.b);
        const double most = forward || backward ? capacity(e) : 0;
        net.push_back({e.a.index, e.b.index, forward ? most : 0, backward ? most : 0});
    }
    for (TerminalId t : sources) net.push_back({all_sources, t.index, std::numeric_limits<double>::infinity(), 0});
    const NetCut found = loomproof::smallest_cut(all_sources + 1, net, all_sources, sink.index);
    Cut cut{found.capacity, {}};
    for (Number e : found.edges) cut.edges.push_back(impl_->edges[e]);
    return cut;
}

// ---- bridges and cyclic blocks -----------------------------------------------------------------------------------------

namespace {

/// The blocks of the open edges.
struct EdgeBlocks {
    std::vector<Number> of;   ///< by edge; nothing where it is not open
    std::vector<Number> size; ///< by block: how many edges lie in it

    bool is_cyclic(const Edge& edge, Number e) const {
        return of[e] != nothing && (size[of[e]] > 1 || edge.a == edge.b);
    }
    bool is_bridge(const Edge& edge, Number e) const { return of[e] != nothing && !is_cyclic(edge, e); }
};

template <class Net> EdgeBlocks edge_blocks(const Net& net, const std::vector<char>& open) {
    const auto is_open = [&](Number e) { return open[e] != 0; };
    BlockSearch search(net.terminals(), static_cast<Number>(open.size()), net, is_open);
    search.run();
    EdgeBlocks found{std::move(search.block), std::vector<Number>(search.blocks)};
    for (Number block : found.of)
        if (block != nothing) ++found.size[block];
    return found;
}

} // namespace

std::vector<EdgeRef> Graph::bridges(const Passes& passes) const {
    const EdgeBlocks found = edge_blocks(*impl_, impl_->passing(passes));
    std::vector<EdgeRef> result;
    for (Number e = 0; e < impl_->edges.size(); ++e)
        if (found.is_bridge(impl_->edges[e], e)) result.push_back(impl_->edges[e]);
    return result;
}

Graph::Blocks Graph::cyclic_blocks(const Passes& passes) const {
    const EdgeBlocks found = edge_blocks(*impl_, impl_->passing(passes));
    const Circuit& c = impl_->view.circuit();
    Blocks blocks;
    blocks.wire.resize(c.wires.size());
    blocks.primitive.resize(c.primitives.size());
    std::vector<Number> number(found.size.size(), nothing); // in the order of their first edges, bridges left out
    Number next = 0;
    for (Number e = 0; e < impl_->edges.size(); ++e) {
        const Edge& edge = impl_->edges[e];
        if (!found.is_cyclic(edge, e)) continue;
        Number& here = number[found.of[e]];
        if (here == nothing) here = next++;
        (edge.is_wire() ? blocks.wire[edge.wire.index] : blocks.primitive[edge.primitive.index]) = here;
    }
    return blocks;
}

std::vector<TerminalId> Graph::loop_through(EdgeRef edge, const Passes& passes) const {
    const std::vector<char> open = impl_->passing(passes);
    const auto place = std::ranges::find_if(impl_->edges, [&](const Edge& e) { return e == edge; });
    if (place == impl_->edges.end()) return {};
    const auto through = static_cast<Number>(place - impl_->edges.begin());
    if (open[through] == 0) return {};
    const TerminalId a = place->a, b = place->b;
    std::vector<TerminalId> before(impl_->terminals());
    std::vector<TerminalId> queue{b};
    before[b.index] = a;
    for (std::size_t next = 0; next < queue.size() && queue[next] != a; ++next) {
        const TerminalId here = queue[next];
        impl_->each_arc(here.index, [&](Number e, Number to) {
            if (e == through || open[e] == 0 || before[to].exists()) return;
            before[to] = here;
            queue.push_back(TerminalId{to});
        });
    }
    if (!before[a.index].exists()) return {};
    std::vector<TerminalId> loop{a};
    if (a != b) // for a wire with both ends on one terminal the loop is that terminal twice
        for (TerminalId t = before[a.index]; t != a; t = before[t.index]) loop.push_back(t);
    loop.push_back(a);
    std::ranges::reverse(loop);
    return loop;
}

} // namespace loomproof
