#include "solve/elimination.hpp"

#include <algorithm>
#include <numeric>
#include <set>

namespace loomproof::solve {

namespace {

using Neighbours = std::vector<std::pair<std::uint32_t, std::uint32_t>>;

const std::uint32_t* find(const Neighbours& all, std::uint32_t node) {
    const auto at = std::lower_bound(all.begin(), all.end(), std::pair{node, std::uint32_t{0}});
    return at != all.end() && at->first == node ? &at->second : nullptr;
}

void insert(Neighbours& all, std::uint32_t node, std::uint32_t slot) {
    all.insert(std::lower_bound(all.begin(), all.end(), std::pair{node, std::uint32_t{0}}), {node, slot});
}

void erase(Neighbours& all, std::uint32_t node) {
    all.erase(std::lower_bound(all.begin(), all.end(), std::pair{node, std::uint32_t{0}}));
}

/// Turns "how many of each" into "where each begins", with the end behind the last.
void add_up(std::vector<std::uint32_t>& counts) {
    std::exclusive_scan(counts.begin(), counts.end(), counts.begin(), 0U);
}

} // namespace

Elimination::Elimination(std::uint32_t nodes, std::span<const std::pair<std::uint32_t, std::uint32_t>> pairs) {
    // A slot is a pair of neighbours in the order in which they were seen, until all arms are known.
    std::vector<Neighbours> near(nodes);
    std::uint32_t slots = 0;
    for (const auto& [a, b] : pairs) {
        const std::uint32_t* known = find(near[a], b);
        slot_of_.push_back(known ? *known : slots);
        if (known) continue;
        insert(near[a], b, slots);
        insert(near[b], a, slots);
        ++slots;
    }
    given_ = slots;

    std::set<std::pair<std::size_t, std::uint32_t>> waiting; // fewest neighbours first, then the smaller number
    for (std::uint32_t n = 0; n < nodes; ++n) waiting.insert({near[n].size(), n});
    std::vector<Neighbours> arms; // by place: its neighbours then
    while (!waiting.empty()) {
        const std::uint32_t node = waiting.begin()->second;
        waiting.erase(waiting.begin());
        order_.push_back(node);
        const Neighbours& around = arms.emplace_back(std::move(near[node]));
        for (const auto& [other, slot] : around) {
            waiting.erase({near[other].size(), other});
            erase(near[other], node);
        }
        for (std::size_t i = 0; i < around.size(); ++i)
            for (std::size_t j = i + 1; j < around.size(); ++j) {
                const std::uint32_t x = around[i].first, y = around[j].first;
                if (find(near[x], y)) continue;
                insert(near[x], y, slots);
                insert(near[y], x, slots);
                ++slots;
            }
        for (const auto& [other, slot] : around) waiting.insert({near[other].size(), other});
    }
    place_.resize(nodes);
    for (std::uint32_t k = 0; k < nodes; ++k) place_[order_[k]] = k;
    order_by_level(arms);
    std::vector<std::uint32_t> arm_of_slot(slots);
    for (std::uint32_t k = 0; k < nodes; ++k) {
        for (auto& [other, slot] : arms[k]) other = place_[other];
        std::ranges::sort(arms[k]);
        arms_from_.push_back(static_cast<std::uint32_t>(to_.size()));
        for (const auto& [place, slot] : arms[k]) {
            arm_of_slot[slot] = static_cast<std::uint32_t>(to_.size());
            to_.push_back(place);
            of_.push_back(k);
        }
    }
    arms_from_.push_back(static_cast<std::uint32_t>(to_.size()));
    for (std::uint32_t& slot : slot_of_) slot = arm_of_slot[slot];
    for (std::uint32_t k = 0; k < nodes; ++k) {
        mesh_from_.push_back(static_cast<std::uint32_t>(mesh_.size()));
        for (std::uint32_t i = arms_from_[k]; i < arms_from_[k + 1]; ++i)
            for (std::uint32_t j = i + 1; j < arms_from_[k + 1]; ++j) {
                const auto first = to_.begin() + arms_from_[to_[i]], last = to_.begin() + arms_from_[to_[i] + 1];
                mesh_.push_back(static_cast<std::uint32_t>(std::lower_bound(first, last, to_[j]) - to_.begin()));
            }
    }
    mesh_from_.push_back(static_cast<std::uint32_t>(mesh_.size()));
    list_givers();
    for (std::uint32_t k = 0; k < nodes; ++k) {
        const std::uint32_t count = arms_from_[k + 1] - arms_from_[k];
        if (runs_.empty() || runs_.back().arms != count) runs_.push_back({k, k, count});
        runs_.back().end = k + 1;
    }
    given_excess_.resize(nodes);
    given_coupling_.resize(slots);
    excess_.resize(nodes);
    coupling_.resize(slots);
    share_.resize(slots);
    pivot_ohms_.resize(nodes);
    touched_.resize(nodes);
    work_.resize(nodes);
}

/// Whoever receives something comes later than the giver; else the order is free, and fill the same. By levels, those of one level do not
/// wait for one another: the processor works on several at once, where along a string of wires each waits for the last digit of the one before.
void Elimination::order_by_level(std::vector<Neighbours>& arms) {
    const std::size_t nodes = order_.size();
    std::vector<std::uint32_t> level(nodes, 0), by_level(nodes);
    for (std::uint32_t k = 0; k < nodes; ++k)
        for (const auto& [other, slot] : arms[k]) level[place_[other]] = std::max(level[place_[other]], level[k] + 1);
    std::iota(by_level.begin(), by_level.end(), 0U);
    std::ranges::stable_sort(by_level, {}, [&](std::uint32_t k) { return std::pair{level[k], arms[k].size()}; });
    std::vector<Neighbours> sorted;
    std::vector<std::uint32_t> order;
    for (std::uint32_t k : by_level) {
        sorted.push_back(std::move(arms[k]));
        order.push_back(order_[k]);
    }
    arms = std::move(sorted);
    order_ = std::move(order);
    for (std::uint32_t k = 0; k < nodes; ++k) place_[order_[k]] = k;
}

void Elimination::list_givers() {
    givers_from_.assign(order_.size() + 1, 0);
    handed_from_.assign(to_.size() + 1, 0);
    for (std::uint32_t to : to_) ++givers_from_[to];
    for (std::uint32_t arm : mesh_) ++handed_from_[arm];
    add_up(givers_from_);
    add_up(handed_from_);
    givers_.resize(to_.size());
    handed_.resize(mesh_.size());
    std::vector<std::uint32_t> next = givers_from_;
    for (std::uint32_t arm = 0; arm < to_.size(); ++arm) givers_[next[to_[arm]]++] = arm;
    next = handed_from_;
    const std::uint32_t* mesh = mesh_.data();
    for (std::size_t k = 0; k < order_.size(); ++k)
        for (std::uint32_t i = arms_from_[k]; i < arms_from_[k + 1]; ++i)
            for (std::uint32_t j = i + 1; j < arms_from_[k + 1]; ++j) handed_[next[*mesh++]++] = {i, j};
}

void Elimination::clear() {
    all_changed_ = true;
    std::ranges::fill(given_excess_, 0.0);
    std::ranges::fill(given_coupling_, 0.0);
}

void Elimination::change_excess(std::uint32_t node, double siemens) {
    const std::uint32_t place = place_[node];
    if (given_excess_[place] == siemens) return;
    given_excess_[place] = siemens;
    touch(place);
}

void Elimination::change_coupling(std::uint32_t slot, double siemens) {
    if (given_coupling_[slot] == siemens) return;
    given_coupling_[slot] = siemens;
    touch(of_[slot]);
}

/// All to whom a place hands something lie on its way up the tree: the nearest of them is the next on it.
void Elimination::touch(std::uint32_t place) {
    if (all_changed_ || touched_[place]) return;
    way_from_.push_back(static_cast<std::uint32_t>(ways_.size()));
    for (;;) {
        touched_[place] = true;
        ways_.push_back(place);
        if (arms_from_[place] == arms_from_[place + 1]) return;
        place = to_[arms_from_[place]];
        if (touched_[place]) return;
    }
}

void Elimination::factor() {
    if (all_changed_) return factor_all();
    // A later way ends where an earlier one goes on, never the other way round: so the last one is the first to go.
    for (std::size_t end = ways_.size(); !way_from_.empty(); way_from_.pop_back()) {
        for (std::size_t i = way_from_.back(); i < end; ++i) work_out_anew(ways_[i]);
        end = way_from_.back();
    }
    for (std::uint32_t k : ways_) touched_[k] = false;
    ways_.clear();
}

/// All places in their order, with their first arm and their number of arms. Most have one or two: there the compiler knows the number.
template <class Take> inline void Elimination::each_place(const Take& take) const {
    for (const Run& run : runs_) {
        std::uint32_t arm = arms_from_[run.from];
        if (run.arms == 1)
            for (std::uint32_t k = run.from; k < run.end; ++k) take(k, arm++, 1);
        else if (run.arms == 2)
            for (std::uint32_t k = run.from; k < run.end; ++k, arm += 2) take(k, arm, 2);
        else
            for (std::uint32_t k = run.from; k < run.end; ++k, arm += run.arms) take(k, arm, run.arms);
    }
}

void Elimination::factor_all() {
    excess_ = given_excess_;
    coupling_ = given_coupling_;
    each_place([&](std::uint32_t k, std::uint32_t first, std::uint32_t arms) { hand_on(k, first, arms); });
    all_is_worked_out();
}

void Elimination::factor_and_solve(std::span<double> x) {
    excess_ = given_excess_;
    coupling_ = given_coupling_;
    each_place([&](std::uint32_t k, std::uint32_t first, std::uint32_t arms) {
        hand_on(k, first, arms);
        hand_amps(x, k, first, arms);
    });
    all_is_worked_out();
    take_back(x);
}

void Elimination::all_is_worked_out() {
    for (std::uint32_t k : ways_) touched_[k] = false;
    ways_.clear();
    way_from_.clear();
    all_changed_ = false;
}

/// Takes a place out whose excess and couplings are complete, and adds its share to what its neighbours have.
inline void Elimination::hand_on(std::uint32_t place, std::uint32_t first, std::uint32_t arms) {
    if (arms == 2) return hand_on_two(place, first);
    const double own = excess_[place];
    double pivot = own;
    for (std::uint32_t i = first; i < first + arms; ++i) pivot += coupling_[i];
    // Nothing: the last node of a part of its own, with nothing left to couple.
    const double inverse = pivot_ohms_[place] = pivot > 0 ? 1 / pivot : 0;
    for (std::uint32_t i = first; i < first + arms; ++i) {
        share_[i] = coupling_[i] * inverse;
        excess_[to_[i]] += share_[i] * own;
    }
    if (arms < 2) return;
    const std::uint32_t* mesh = mesh_.data() + mesh_from_[place];
    for (std::uint32_t i = first; i < first + arms; ++i)
        for (std::uint32_t j = i + 1; j < first + arms; ++j) coupling_[*mesh++] += share_[i] * coupling_[j];
}

/// The same in the middle of a string of wires, as most places are, without a loop.
inline void Elimination::hand_on_two(std::uint32_t place, std::uint32_t first) {
    const double own = excess_[place], one = coupling_[first], other = coupling_[first + 1];
    const double pivot = own + one + other;
    const double inverse = pivot_ohms_[place] = pivot > 0 ? 1 / pivot : 0;
    const double share_one = share_[first] = one * inverse, share_other = share_[first + 1] = other * inverse;
    excess_[to_[first]] += share_one * own;
    excess_[to_[first + 1]] += share_other * own;
    coupling_[mesh_[mesh_from_[place]]] += share_one * other;
}

/// The same by collecting what others have handed on to it: each sum as hand_on would have made it.
void Elimination::work_out_anew(std::uint32_t place) {
    double own = given_excess_[place];
    for (std::uint32_t g = givers_from_[place]; g < givers_from_[place + 1]; ++g)
        own += share_[givers_[g]] * excess_[of_[givers_[g]]];
    excess_[place] = own;
    const std::uint32_t first = arms_from_[place], last = arms_from_[place + 1];
    double pivot = own;
    for (std::uint32_t i = first; i < last; ++i) {
        double siemens = given_coupling_[i];
        for (std::uint32_t h = handed_from_[i]; h < handed_from_[i + 1]; ++h)
            siemens += share_[handed_[h].share] * coupling_[handed_[h].coupling];
        coupling_[i] = siemens;
        pivot += siemens;
    }
    const double inverse = pivot_ohms_[place] = pivot > 0 ? 1 / pivot : 0;
    for (std::uint32_t i = first; i < last; ++i) share_[i] = coupling_[i] * inverse;
}

/// What flows in at a place flows on to its neighbours, by their shares.
inline void Elimination::hand_amps(std::span<double> amps, std::uint32_t place, std::uint32_t first,
                                   std::uint32_t arms) const {
    const double here = amps[place];
    for (std::uint32_t i = first; i < first + arms; ++i) amps[to_[i]] += share_[i] * here;
}

/// From the last place that was taken out to the first: its own amps become volts, and its share of each neighbour's volts is added.
void Elimination::take_back(std::span<double> x) const {
    const auto take = [&](std::uint32_t k, std::uint32_t first, std::uint32_t arms) {
        double v = x[k] * pivot_ohms_[k];
        for (std::uint32_t i = first; i < first + arms; ++i) v += share_[i] * x[to_[i]];
        x[k] = v;
    };
    for (auto run = runs_.rbegin(); run != runs_.rend(); ++run) {
        std::uint32_t arm = arms_from_[run->end];
        if (run->arms == 1)
            for (std::uint32_t k = run->end; k-- > run->from;) take(k, --arm, 1);
        else if (run->arms == 2)
            for (std::uint32_t k = run->end; k-- > run->from;) take(k, arm -= 2, 2);
        else
            for (std::uint32_t k = run->end; k-- > run->from;) take(k, arm -= run->arms, run->arms);
    }
}

void Elimination::solve(std::span<const double> amps, std::span<double> volts) const {
    for (std::size_t k = 0; k < order_.size(); ++k) work_[k] = amps[order_[k]];
    each_place([&](std::uint32_t k, std::uint32_t first, std::uint32_t arms) { hand_amps(work_, k, first, arms); });
    take_back(work_);
    for (std::size_t k = 0; k < order_.size(); ++k) volts[order_[k]] = work_[k];
}

void Elimination::resistances(std::span<double> ohms) const {
    // Volts at one node for an ampere into another: by arm for neighbours, by place for a node itself. What a node sees is what it
    // conducts to nobody, and its share of what its neighbours see of one another.
    std::vector<double> between(to_.size(), 0), own(order_.size(), 0);
    for (std::size_t k = order_.size(); k-- > 0;) {
        const std::uint32_t first = arms_from_[k], last = arms_from_[k + 1];
        for (std::uint32_t i = first; i < last; ++i) between[i] = share_[i] * own[to_[i]];
        const std::uint32_t* mesh = mesh_.data() + mesh_from_[k];
        for (std::uint32_t i = first; i < last; ++i)
            for (std::uint32_t j = i + 1; j < last; ++j) {
                const double both = between[*mesh++];
                between[i] += share_[j] * both;
                between[j] += share_[i] * both;
            }
        double sees = pivot_ohms_[k];
        for (std::uint32_t i = first; i < last; ++i) sees += share_[i] * between[i];
        own[k] = sees;
        ohms[order_[k]] = sees;
    }
}

} // namespace loomproof::solve
