#include "circuit/graph.hpp"

#include "circuit/blocks.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>
#include <numeric>
#include <queue>
#include <tuple>
#include <utility>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/compressed_sparse_row_graph.hpp>
#include <boost/graph/push_relabel_max_flow.hpp>

namespace loomproof {

namespace {

struct Arc {
    Number edge = 0;
};
/// Both directions of every edge, the arcs of a vertex in text order.
using Net =
    boost::compressed_sparse_row_graph<boost::directedS, boost::no_property, Arc, boost::no_property, Number, Number>;

/// What a way has used of the controls that matter: sorted, one entry a control, the positions still possible.
using Used = std::vector<std::pair<ControlId, std::uint64_t>>;

/// Every way that fits `tight` fits `loose` as well.
bool covers(const Used& loose, const Used& tight) {
    return std::ranges::all_of(loose, [&](const auto& entry) {
        const auto found = std::ranges::lower_bound(tight, entry.first, {}, &Used::value_type::first);
        return found != tight.end() && found->first == entry.first && (found->second & ~entry.second) == 0;
    });
}

} // namespace

struct Graph::Impl {
    View view;
    std::vector<EdgeRef> edges; ///< in text order; an edge's place here is its number
    std::vector<std::pair<TerminalId, TerminalId>> ends;
    Net net;
    std::vector<bool>
        divides; ///< by edge: a contact of a control that has contacts which are never all closed together

    explicit Impl(const View& v) : view(v) {
        const Circuit& c = view.circuit();
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
        struct Leaving {
            Number to, edge;
        };
        const Rows<Leaving> leaving(terminals(), [&](const auto& add) {
            for (Number e = 0; e < edges.size(); ++e) {
                add(ends[e].first.index, Leaving{ends[e].second.index, e});
                add(ends[e].second.index, Leaving{ends[e].first.index, e});
            }
        });
        std::vector<std::pair<Number, Number>> pairs;
        std::vector<Arc> numbers;
        pairs.reserve(2 * edges.size());
        numbers.reserve(2 * edges.size());
        for (Number from = 0; from < terminals(); ++from)
            for (const Leaving& arc : leaving[from]) {
                pairs.emplace_back(from, arc.to);
                numbers.push_back({arc.edge});
            }
        net = Net(boost::edges_are_sorted, pairs.begin(), pairs.end(), numbers.begin(), terminals(),
                  static_cast<Number>(pairs.size()));
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

    /// Is a way that has used `used` still possible over this edge, which divides? Then `used` is narrowed to what is left.
    bool narrow(Used& used, EdgeRef edge) const {
        const Primitive& p = view.circuit().at(edge.primitive);
        auto place = std::ranges::lower_bound(used, p.control, {}, &Used::value_type::first);
        if (place == used.end() || place->first != p.control)
            place = used.insert(place, {p.control, ~std::uint64_t{0}});
        place->second &= p.closed_in;
        return place->second != 0;
    }
};

Graph::Graph(const View& v) : impl_(std::make_unique<Impl>(v)) {}
Graph::~Graph() = default;
Graph::Graph(Graph&&) noexcept = default;
Graph& Graph::operator=(Graph&&) noexcept = default;

const View& Graph::view() const { return impl_->view; }

Step Reach::step(TerminalId t) const {
    const Label& l = labels_[best_[t.index]];
    return {l.edge, l.from == none ? TerminalId{} : labels_[l.from].at, l.distance};
}

std::vector<EdgeRef> Reach::path_to(TerminalId t) const {
    std::vector<EdgeRef> path;
    for (std::uint32_t l = best_[t.index]; labels_[l].from != none; l = labels_[l].from)
        path.push_back(labels_[l].edge);
    std::ranges::reverse(path);
    return path;
}

std::vector<TerminalId> Reach::stops_to(TerminalId t) const {
    std::vector<TerminalId> stops;
    for (std::uint32_t l = best_[t.index]; l != none; l = labels_[l].from) stops.push_back(labels_[l].at);
    std::ranges::reverse(stops);
    return stops;
}

namespace {

/// A way that waits to be followed: least length first, then fewest edges, then the earlier last edge; the label's number makes the
/// order total.
struct Waiting {
    double distance;
    Number edges, last, label;
    auto operator<=>(const Waiting&) const = default;
};

/// What waits, in that order. Nothing nearer than what came out last goes in any more, so only ways as long as that one need an order
/// yet. All others lie by the highest binary digit in which their distance differs from it (positive numbers are ordered as their
/// digits are) and are dealt out again when it is their turn: one heap of them all would miss the cache at each step down.
class Queue {
  public:
    bool empty() const { return near_.empty() && filled_ == 0; }
    void push(const Waiting& w) {
        const auto differs =
            static_cast<std::size_t>(std::bit_width(std::bit_cast<std::uint64_t>(w.distance) ^ distance_));
        if (differs == 0) return near_.push(w);
        far_[differs - 1].push_back(w);
        filled_ |= std::uint64_t{1} << (differs - 1);
    }
    Waiting pop() { ///< precondition: not empty
        if (near_.empty()) deal();
        const Waiting first = near_.top();
        near_.pop();
        return first;
    }

  private:
    void deal() {
        std::vector<Waiting>& nearest = far_[static_cast<std::size_t>(std::countr_zero(filled_))];
        filled_ &= filled_ - 1;
        distance_ = std::bit_cast<std::uint64_t>(std::ranges::min(nearest, {}, &Waiting::distance).distance);
        for (const Waiting& w : nearest) push(w); // all of them into nearer lists
        nearest.clear();
    }

    std::uint64_t distance_ = 0; ///< digits of what came out last
    std::uint64_t filled_ = 0;   ///< which of the lists are not empty
    std::priority_queue<Waiting, std::vector<Waiting>, std::greater<>> near_;
    std::array<std::vector<Waiting>, 64> far_;
};

} // namespace

Reach Graph::walk(std::span<const TerminalId> starts, const Passes& passes, const LengthOf& length,
                  Positions positions) const {
    constexpr std::size_t most_ways = 16;
    Queue queue;
    std::vector<Used> used{{}};  // what ways have used; most have used nothing that matters: the first
    std::vector<Number> used_by; // by label: which of those
    // Settled labels of one terminal: the best, from there on by label. Only where controls count are there several.
    std::vector<Number> also;
    Reach reach;
    reach.best_.assign(impl_->terminals(), Reach::none);

    const auto add = [&](TerminalId at, Number edge, Number from, double distance, Number count, Number uses) {
        queue.push({distance, count, edge, static_cast<Number>(reach.labels_.size())});
        reach.labels_.push_back({at, edge == nothing ? EdgeRef{} : impl_->edges[edge], from, distance});
        used_by.push_back(uses);
        also.push_back(Reach::none);
    };
    const auto known = [&](Number terminal, Number uses) {
        for (Number l = reach.best_[terminal]; l != Reach::none; l = also[l])
            if (used_by[l] == 0 || covers(used[used_by[l]], used[uses])) return true;
        return false;
    };

    for (TerminalId t : starts) add(t, nothing, Reach::none, 0, 0, 0);
    while (!queue.empty()) {
        const auto [distance, count, last, label] = queue.pop();
        const TerminalId here = reach.labels_[label].at;
        if (known(here.index, used_by[label])) continue;
        if (Number& best = reach.best_[here.index]; best == Reach::none) {
            best = label;
            reach.order_.push_back(here);
        } else {
            std::size_t ways = 0;
            for (Number l = best; l != Reach::none; l = also[l]) ++ways;
            if (ways == most_ways) used_by[label] = 0;
            also[label] = std::exchange(also[best], label);
        }
        impl_->each_arc(here.index, [&, distance = distance, count = count, label = label](Number edge, Number to) {
            const EdgeRef e = impl_->edges[edge];
            if (known(to, used_by[label]) || !passes(e, here)) return;
            Number uses = used_by[label];
            if (positions == Positions::one_per_control && impl_->divides[edge]) {
                Used more = used[uses];
                if (!impl_->narrow(more, e)) return;
                uses = static_cast<Number>(used.size());
                used.push_back(std::move(more));
            }
            add(TerminalId{to}, edge, label, distance + length(e), count + 1, uses);
        });
    }
    return reach;
}

std::vector<std::uint32_t> Graph::components(const Passes& passes) const {
    const Number n = impl_->terminals();
    std::vector<Number> below(n); // a terminal of the same set with a smaller number, or itself: the set's first
    std::iota(below.begin(), below.end(), Number{0});
    const auto first = [&](Number t) {
        while (below[t] != t) t = below[t] = below[below[t]];
        return t;
    };
    for (Number e = 0; e < impl_->edges.size(); ++e) {
        const auto [a, b] = impl_->ends[e];
        if (!passes(impl_->edges[e], a) && !passes(impl_->edges[e], b)) continue;
        const Number one = first(a.index), other = first(b.index);
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
    for (Number e = 0; e < impl_->edges.size(); ++e) {
        const EdgeRef edge = impl_->edges[e];
        const auto [a, b] = impl_->ends[e];
        const bool forward = passes(edge, a), backward = passes(edge, b);
        const double most = forward || backward ? capacity(edge) : 0;
        net.push_back({a.index, b.index, forward ? most : 0, backward ? most : 0});
    }
    for (TerminalId t : sources) net.push_back({all_sources, t.index, std::numeric_limits<double>::infinity(), 0});
    const NetCut found = loomproof::smallest_cut(all_sources + 1, net, all_sources, sink.index);
    Cut cut{found.capacity, {}};
    for (Number e : found.edges) cut.edges.push_back(impl_->edges[e]);
    return cut;
}

// ---- bridges and cyclic blocks -----------------------------------------------------------------------------------------

namespace {

/// For each edge: its block, or `nothing` where it lies in no cycle or does not pass; and whether it is a bridge.
struct EdgeRoles {
    std::vector<Number> cyclic;
    std::vector<bool> bridge;
};

EdgeRoles edge_roles(Number vertices, const std::vector<std::pair<TerminalId, TerminalId>>& ends,
                     const std::vector<bool>& open) {
    const auto edges = static_cast<Number>(ends.size());
    BlockSearch search(
        vertices, edges, [&](Number e) -> bool { return open[e]; },
        [&](Number e) {
            return std::pair{ends[e].first.index, ends[e].second.index};
        });
    search.run();
    std::vector<Number> size(search.blocks);
    for (Number e = 0; e < edges; ++e)
        if (open[e]) ++size[search.block[e]];

    EdgeRoles roles{std::vector<Number>(edges, nothing), std::vector<bool>(edges)};
    std::vector<Number> number(search.blocks, nothing);
    Number next = 0;
    for (Number e = 0; e < edges; ++e) {
        if (!open[e]) continue;
        const Number block = search.block[e];
        if (size[block] == 1 && ends[e].first != ends[e].second) {
            roles.bridge[e] = true;
            continue;
        }
        if (number[block] == nothing) number[block] = next++;
        roles.cyclic[e] = number[block];
    }
    return roles;
}

} // namespace

std::vector<EdgeRef> Graph::bridges(const Passes& passes) const {
    const EdgeRoles roles = edge_roles(impl_->terminals(), impl_->ends, impl_->passing(passes));
    std::vector<EdgeRef> result;
    for (Number e = 0; e < impl_->edges.size(); ++e)
        if (roles.bridge[e]) result.push_back(impl_->edges[e]);
    return result;
}

Graph::Blocks Graph::cyclic_blocks(const Passes& passes) const {
    const EdgeRoles roles = edge_roles(impl_->terminals(), impl_->ends, impl_->passing(passes));
    const Circuit& c = impl_->view.circuit();
    Blocks blocks;
    blocks.wire.resize(c.wires.size());
    blocks.primitive.resize(c.primitives.size());
    for (Number e = 0; e < impl_->edges.size(); ++e) {
        if (roles.cyclic[e] == nothing) continue;
        const EdgeRef edge = impl_->edges[e];
        (edge.is_wire() ? blocks.wire[edge.wire.index] : blocks.primitive[edge.primitive.index]) = roles.cyclic[e];
    }
    return blocks;
}

std::vector<TerminalId> Graph::loop_through(EdgeRef edge, const Passes& passes) const {
    const std::vector<bool> open = impl_->passing(passes);
    const auto place = std::ranges::find(impl_->edges, edge);
    if (place == impl_->edges.end()) return {};
    const auto through = static_cast<Number>(place - impl_->edges.begin());
    if (!open[through]) return {};
    const auto [a, b] = impl_->ends[through];
    std::vector<TerminalId> before(impl_->terminals());
    std::vector<TerminalId> queue{b};
    before[b.index] = a;
    for (std::size_t next = 0; next < queue.size() && queue[next] != a; ++next) {
        const TerminalId here = queue[next];
        impl_->each_arc(here.index, [&](Number e, Number to) {
            if (e == through || !open[e] || before[to].exists()) return;
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
