#include "circuit/graph_net.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <queue>
#include <tuple>
#include <utility>

namespace loomproof {

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

std::vector<TerminalId> Reach::in_order() const {
    std::vector<std::uint32_t> order;
    for (std::uint32_t l = 0; l < labels_.size(); ++l)
        if (best_[labels_[l].at.index] == l) order.push_back(l);
    std::ranges::sort(order, {}, [&](std::uint32_t l) { return std::pair(labels_[l].rank(), l); });
    std::vector<TerminalId> terminals;
    for (std::uint32_t l : order) terminals.push_back(labels_[l].at);
    return terminals;
}

namespace {

/// What a way has used of the controls that matter: sorted, one entry a control, the positions still possible.
using Used = std::vector<std::pair<ControlId, std::uint64_t>>;

/// Every way that fits `tight` fits `loose` as well.
bool covers(const Used& loose, const Used& tight) {
    return std::ranges::all_of(loose, [&](const auto& entry) {
        const auto found = std::ranges::lower_bound(tight, entry.first, {}, &Used::value_type::first);
        return found != tight.end() && found->first == entry.first && (found->second & ~entry.second) == 0;
    });
}

/// Is a way that has used `used` still possible over this contact, which divides? Then `used` is narrowed to what is left.
bool narrow(Used& used, const Primitive& p) {
    auto place = std::ranges::lower_bound(used, p.control, {}, &Used::value_type::first);
    if (place == used.end() || place->first != p.control) place = used.insert(place, {p.control, ~std::uint64_t{0}});
    place->second &= p.closed_in;
    return place->second != 0;
}

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

/// What waits, roughly nearest first: by the leading digits of the distance (to a quarter of a power of two), and in the order of coming
/// where those are the same. Nothing nearer than what came out last goes in any more, but by those digits' breadth. All that is farther
/// lies by the highest binary digit in which it differs from that (positive numbers are ordered as their digits are) and is dealt
/// out again when it is its turn: one heap of them all would miss the cache at each step down.
class Roughly {
  public:
    bool empty() const { return next_ == near_.size() && filled_ == 0; }
    void push(double distance, Number label) {
        put({static_cast<std::uint32_t>(std::bit_cast<std::uint64_t>(distance) >> 50), label});
    }
    Number pop() { ///< precondition: not empty
        if (next_ == near_.size()) deal();
        return near_[next_++];
    }

  private:
    struct Waits {
        std::uint32_t digits; ///< sign, exponent, and two of the mantissa (IEEE 754)
        Number label;
    };
    void put(const Waits& w) {
        if (w.digits <= now_) return near_.push_back(w.label);
        const auto differs = static_cast<std::size_t>(std::bit_width(w.digits ^ now_) - 1);
        far_[differs].push_back(w);
        filled_ |= std::uint32_t{1} << differs;
    }
    void deal() {
        near_.clear();
        next_ = 0;
        std::vector<Waits>& nearest = far_[static_cast<std::size_t>(std::countr_zero(filled_))];
        filled_ &= filled_ - 1;
        now_ = std::ranges::min(nearest, {}, &Waits::digits).digits;
        for (const Waits& w : nearest) put(w); // all of them into nearer lists
        nearest.clear();
    }

    std::uint32_t now_ = 0, filled_ = 0; ///< digits of what came out last; which of the lists are not empty
    std::size_t next_ = 0;
    std::vector<Number> near_;
    std::array<std::vector<Waits>, 14> far_; ///< as many as digits
};

} // namespace

/// The walk where no control counts. Who is reached goes on roughly when it is his turn, and once more where a better way to him comes up
/// after that: seldom, and nothing has to be put in order to the last digit. Nothing where the other walk has to be taken: where ways
/// improve again and again (in a mesh that could go on for very long), and where adding up has rounded away what one way was longer
/// than another.
std::optional<Reach> Graph::walk_plainly(std::span<const TerminalId> starts, const Passes& passes,
                                         const LengthOf& length) const {
    constexpr std::size_t most_times = 4; // that a label goes on, in the mean
    using Label = Reach::Label;
    Reach reach;
    reach.best_.assign(impl_->terminals(), Reach::none);
    std::vector<Label>& labels = reach.labels_;
    Roughly queue;
    bool rounded_away = false;
    std::size_t gone = 0;

    const auto add = [&](Number terminal) -> Label& {
        reach.best_[terminal] = static_cast<Number>(labels.size());
        Label& made = labels.emplace_back();
        made.at = TerminalId{terminal};
        return made;
    };
    const auto wait = [&](Label& label) {
        label.waits = true;
        queue.push(label.distance, reach.best_[label.at.index]);
    };
    for (TerminalId t : starts)
        if (!reach.reached(t)) wait(add(t.index));
    while (!queue.empty()) {
        const Number from = queue.pop();
        if (!std::exchange(labels[from].waits, false)) continue; // it has been its turn, by a shorter way
        if (rounded_away || ++gone > most_times * labels.size()) return std::nullopt;
        const TerminalId here = labels[from].at;
        const double distance = labels[from].distance;
        const Number edges = labels[from].edges, before = labels[from].from;
        impl_->each_arc(here.index, [&](Number edge, Number to) {
            const Number known = reach.best_[to];
            // Whoever is no farther than here has nothing to gain. The way back is the commonest, and known without a look at its label,
            // for which a large circuit would wait for memory.
            if (known == before && known != Reach::none) return;
            if (known != Reach::none && labels[known].rank() <= std::tuple(distance, edges, EdgeRef{})) return;
            const Edge& e = impl_->edges[edge];
            if (!passes(e, here)) return;
            const double farther = distance + length(e);
            Label& there = known == Reach::none ? add(to) : labels[known];
            if (known != Reach::none && std::tuple(farther, edges + 1, EdgeRef(e)) >= there.rank()) {
                // A shorter way to here may have more edges, and from here on be no shorter.
                rounded_away = rounded_away || (there.from == from && there.edge == e && there.edges <= edges);
                return;
            }
            const bool sooner = !there.waits || farther < there.distance;
            there.edge = e;
            there.from = from;
            there.edges = edges + 1;
            there.distance = farther;
            if (sooner) wait(there);
        });
    }
    if (rounded_away) return std::nullopt;
    return reach;
}

/// The walk that settles one terminal after the other, nearest first.
Reach Graph::walk_settling(std::span<const TerminalId> starts, const Passes& passes, const LengthOf& length,
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
        reach.labels_.push_back({at, edge == nothing ? EdgeRef{} : impl_->edges[edge], from, count, false, distance});
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
        } else {
            std::size_t ways = 0;
            for (Number l = best; l != Reach::none; l = also[l]) ++ways;
            if (ways == most_ways) used_by[label] = 0;
            also[label] = std::exchange(also[best], label);
        }
        impl_->each_arc(here.index, [&, distance = distance, count = count, label = label](Number edge, Number to) {
            const Edge& e = impl_->edges[edge];
            if (known(to, used_by[label]) || !passes(e, here)) return;
            Number uses = used_by[label];
            if (positions == Positions::one_per_control && e.divides) {
                Used more = used[uses];
                if (!narrow(more, impl_->view.circuit().at(e.primitive))) return;
                uses = static_cast<Number>(used.size());
                used.push_back(std::move(more));
            }
            add(TerminalId{to}, edge, label, distance + length(e), count + 1, uses);
        });
    }
    return reach;
}

Reach Graph::walk(std::span<const TerminalId> starts, const Passes& passes, const LengthOf& length,
                  Positions positions) const {
    if (positions == Positions::any)
        if (auto reach = walk_plainly(starts, passes, length)) return *std::move(reach);
    return walk_settling(starts, passes, length, positions);
}

} // namespace loomproof
