#include "solve/elimination.hpp"

#include <algorithm>
#include <set>

namespace loomproof::solve {

namespace {

/// Neighbours that are not yet taken out, with the slot of the coupling.
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

} // namespace

Elimination::Elimination(std::uint32_t nodes, std::span<const std::pair<std::uint32_t, std::uint32_t>> pairs) {
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
    arms_from_.push_back(0);
    while (!waiting.empty()) {
        const std::uint32_t node = waiting.begin()->second;
        waiting.erase(waiting.begin());
        order_.push_back(node);
        const Neighbours around = std::move(near[node]);
        for (const auto& [other, slot] : around) {
            waiting.erase({near[other].size(), other});
            erase(near[other], node);
            arms_.push_back({other, slot});
        }
        for (std::size_t i = 0; i < around.size(); ++i)
            for (std::size_t j = i + 1; j < around.size(); ++j) {
                const std::uint32_t x = around[i].first, y = around[j].first;
                const std::uint32_t* known = find(near[x], y);
                mesh_.push_back(known ? *known : slots);
                if (known) continue;
                insert(near[x], y, slots);
                insert(near[y], x, slots);
                ++slots;
            }
        for (const auto& [other, slot] : around) waiting.insert({near[other].size(), other});
        arms_from_.push_back(static_cast<std::uint32_t>(arms_.size()));
    }
    place_.resize(nodes);
    for (std::uint32_t k = 0; k < nodes; ++k) place_[order_[k]] = k;
    for (Arm& arm : arms_) arm.place = place_[arm.place]; // until now the node: it had no place yet
    given_excess_.resize(nodes);
    given_coupling_.resize(slots);
    excess_.resize(nodes);
    coupling_.resize(slots);
    pivot_ohms_.resize(nodes);
    share_.resize(arms_.size());
    gathered_.resize(nodes);
    work_.resize(nodes);
}

void Elimination::clear() {
    std::ranges::fill(given_excess_, 0.0);
    std::ranges::fill(given_coupling_, 0.0);
}

void Elimination::factor() {
    excess_ = given_excess_;
    coupling_ = given_coupling_;
    const std::uint32_t* mesh = mesh_.data();
    for (std::size_t k = 0; k < order_.size(); ++k) {
        const std::size_t first = arms_from_[k], last = arms_from_[k + 1];
        const double own = excess_[k];
        double pivot = own;
        for (std::size_t i = first; i < last; ++i) pivot += coupling_[arms_[i].slot];
        // Nothing: the last node of a part of its own, with nothing left to couple.
        const double inverse = pivot_ohms_[k] = pivot > 0 ? 1 / pivot : 0;
        for (std::size_t i = first; i < last; ++i) {
            share_[i] = coupling_[arms_[i].slot] * inverse;
            excess_[arms_[i].place] += share_[i] * own;
        }
        for (std::size_t i = first; i < last; ++i)
            for (std::size_t j = i + 1; j < last; ++j) coupling_[*mesh++] += share_[i] * coupling_[arms_[j].slot];
    }
}

void Elimination::solve(std::span<const double> amps, std::span<double> volts) const {
    const std::size_t nodes = order_.size();
    for (std::size_t k = 0; k < nodes; ++k) gathered_[k] = amps[order_[k]];
    for (std::size_t k = 0; k < nodes; ++k) {
        const double here = gathered_[k];
        for (std::size_t i = arms_from_[k]; i < arms_from_[k + 1]; ++i) gathered_[arms_[i].place] += share_[i] * here;
    }
    // From the last node that was taken out to the first: its own amps, and its share of each neighbour's volts.
    for (std::size_t k = order_.size(); k-- > 0;) {
        double v = gathered_[k] * pivot_ohms_[k];
        for (std::size_t i = arms_from_[k]; i < arms_from_[k + 1]; ++i) v += share_[i] * work_[arms_[i].place];
        work_[k] = v;
        volts[order_[k]] = v;
    }
}

void Elimination::resistances(std::span<double> ohms) const {
    // Volts at one node for an ampere into another: by slot for neighbours, by place for a node itself. What a node sees is what it
    // conducts to nobody, and its share of what its neighbours see of one another.
    std::vector<double> between(coupling_.size(), 0), own(order_.size(), 0);
    std::size_t mesh_end = mesh_.size();
    for (std::size_t k = order_.size(); k-- > 0;) {
        const std::size_t first = arms_from_[k], arms = arms_from_[k + 1] - first;
        const std::uint32_t* mesh = mesh_.data() + (mesh_end -= arms > 0 ? arms * (arms - 1) / 2 : 0);
        for (std::size_t i = 0; i < arms; ++i)
            between[arms_[first + i].slot] = share_[first + i] * own[arms_[first + i].place];
        for (std::size_t i = 0; i < arms; ++i)
            for (std::size_t j = i + 1; j < arms; ++j) {
                const double both = between[*mesh++];
                between[arms_[first + i].slot] += share_[first + j] * both;
                between[arms_[first + j].slot] += share_[first + i] * both;
            }
        double sees = pivot_ohms_[k];
        for (std::size_t i = 0; i < arms; ++i) sees += share_[first + i] * between[arms_[first + i].slot];
        own[k] = sees;
        ohms[order_[k]] = sees;
    }
}

} // namespace loomproof::solve
