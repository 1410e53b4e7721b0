#include "solve/network.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <numeric>

namespace loomproof::solve {

namespace {

constexpr int most_steps = 200;
constexpr double enough = 1e-11; // residual, relative to the largest current
/// Currents below a tenth of a milliamp are noise on a vehicle: the residual is not measured against less.
constexpr double least_amps = 1e-4;
/// Of the slope of the energy at the start of a step: so much may be left at its end; where nothing says that the energy has fallen up to
/// there, beyond its least only so little.
constexpr double near_enough = 0.1, least_beyond = 1e-4;
/// Of the slope at the start of a step: what all branches together that are taken for straight along it may add to a slope on the way.
/// Half of the least that the search minds; it says only how far to go, and the next step asks every device again.
constexpr double hardly_bent = 5e-5;
constexpr double least_move = 1e-10; // volts: a smaller step changes nothing that anybody reads

std::atomic<std::size_t> points_so_far{0};

bool straight(Device::Law law) {
    return law == Device::Law::open || law == Device::Law::resistor || law == Device::Law::source ||
           law == Device::Law::current;
}

std::vector<std::pair<std::uint32_t, std::uint32_t>> couplings(std::span<const Ends> branches) {
    std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs; // node 0 is the reference: it is in no row
    for (const Ends& e : branches)
        if (e.a != 0 && e.b != 0 && e.a != e.b) pairs.emplace_back(e.a - 1, e.b - 1);
    return pairs;
}

} // namespace

Network::Network(std::uint32_t nodes, std::span<const Ends> branches)
    : nodes_(std::max(nodes, 1U)),
      branches_(branches.begin(), branches.end()),
      elimination_(nodes_ - 1, couplings(branches)),
      unbalanced_(nodes_),
      stiffness_(nodes_),
      direction_(nodes_),
      further_(nodes_) {
    std::size_t pair = 0;
    for (const Ends& e : branches_) slot_.push_back(e.a != 0 && e.b != 0 && e.a != e.b ? elimination_.slot(pair++) : 0);
}

void Network::answer(const std::vector<double>& volts, Answers& out) const {
    for (const auto& branches : of_law_)
        for (std::uint32_t k : branches) {
            const Response r = respond(devices_[k], volts[branches_[k].a] - volts[branches_[k].b]);
            out.amps[k] = r.amps;
            out.siemens[k] = r.siemens;
        }
    if (!probe_) return;
    const Response r = respond(probe_->device, volts[probe_->node]);
    out.amps.back() = r.amps;
    out.siemens.back() = r.siemens;
}

/// Fills conductances and what does not balance at each node; returns the largest current.
double Network::conduct(const Answers& answers) {
    elimination_.clear();
    std::ranges::fill(unbalanced_, 0.0);
    double largest = least_amps;
    const auto add = [&](std::uint32_t a, std::uint32_t b, std::uint32_t slot, double amps, double siemens) {
        unbalanced_[a] += amps;
        unbalanced_[b] -= amps;
        largest = std::max(largest, std::abs(amps));
        if (a == b) return;
        if (a != 0 && b != 0)
            elimination_.coupling(slot) += siemens;
        else
            elimination_.excess(std::max(a, b) - 1) += siemens;
    };
    for (std::uint32_t k : conducting_)
        add(branches_[k].a, branches_[k].b, slot_[k], answers.amps[k], answers.siemens[k]);
    if (probe_ && probe_->node != 0) add(probe_->node, 0, 0, answers.amps.back(), answers.siemens.back());
    return largest;
}

/// Is what does not balance nothing at all? The last digit of the volts is a current too, in what conducts well: closer than a few of
/// those nothing can come.
bool Network::balances(const Answers& answers, double largest, double highest) {
    std::ranges::fill(stiffness_, 0.0);
    for (std::uint32_t k : conducting_) {
        stiffness_[branches_[k].a] += answers.siemens[k];
        stiffness_[branches_[k].b] += answers.siemens[k];
    }
    if (probe_) stiffness_[probe_->node] += answers.siemens.back();
    for (std::uint32_t n = 1; n < nodes_; ++n)
        if (!(std::abs(unbalanced_[n]) <= enough * largest + 8 * 2.2e-16 * highest * stiffness_[n])) return false;
    return true;
}

/// Sums over the branches of (current at volts + t d) times (volts of d across it), and of its conductance times those volts squared.
Network::Slope Network::slope_along(const std::vector<double>& volts, double t) const {
    Slope sum{straight_.slope + straight_.growth * t, straight_.growth};
    const auto add = [&](const Device& device, double v, double step) {
        if (step == 0) return;
        const Response r = respond(device, v + t * step);
        sum.slope += r.amps * step;
        sum.growth += r.siemens * step * step;
    };
    for (std::uint32_t k : bent_) {
        const Ends e = branches_[k];
        add(devices_[k], volts[e.a] - volts[e.b], direction_[e.a] - direction_[e.b]);
    }
    if (probe_) add(probe_->device, volts[probe_->node], direction_[probe_->node]);
    return sum;
}

/// The slopes at the start and at the end of the whole step, where the answers are known already.
std::pair<double, double> Network::slopes_of(const Answers& start, const Answers& whole) const {
    double at_start = 0, at_whole = 0;
    for (std::uint32_t k : conducting_) {
        const double step = direction_[branches_[k].a] - direction_[branches_[k].b];
        at_start += start.amps[k] * step;
        at_whole += whole.amps[k] * step;
    }
    if (probe_) {
        at_start += start.amps.back() * direction_[probe_->node];
        at_whole += whole.amps.back() * direction_[probe_->node];
    }
    return {at_start, at_whole};
}

/// How fast the slope grows at the end of the whole step, and what of it the branches are that are straight along it. `ends`: the slopes at
/// the start and at the end. Where a device's tangents at both ends are all but the line between its currents there, its current on the way
/// lies on that line as well: none of the laws bends one way and back. Beyond the end nobody has asked it; where the search may go there,
/// only laws that are straight everywhere count as such.
double Network::prepare_search(const Answers& start, const Answers& whole, std::pair<double, double> ends) {
    double growth = 0;
    straight_ = {};
    bent_.clear();
    const double least =
        ends.second < 0 ? -1 : hardly_bent * std::abs(ends.first) / static_cast<double>(conducting_.size());
    for (std::size_t law = 0; law < of_law_.size(); ++law)
        for (std::uint32_t k : of_law_[law]) {
            const double step = direction_[branches_[k].a] - direction_[branches_[k].b];
            growth += whole.siemens[k] * step * step;
            const double more = whole.amps[k] - start.amps[k];
            if (straight(static_cast<Device::Law>(law))) {
                straight_.slope += start.amps[k] * step;
                straight_.growth += start.siemens[k] * step * step;
            } else if (std::max(std::abs(more - start.siemens[k] * step), std::abs(more - whole.siemens[k] * step)) *
                           std::abs(step) <=
                       least) {
                straight_.slope += start.amps[k] * step;
                straight_.growth += more * step;
            } else {
                bent_.push_back(k);
            }
        }
    if (probe_) growth += whole.siemens.back() * direction_[probe_->node] * direction_[probe_->node];
    return growth;
}

/// Where along d the energy is as good as least. It is convex, so its slope only grows: bracket, then interpolate where the slopes at
/// both ends are alike. Where they are not, far along d a diode's slope is a million times the one at the start, and the line between them
/// says nothing; but the slope itself is straight there, and Newton's step back ends where the diode begins to bend.
double Network::best_step(const std::vector<double>& volts, double at_start, Slope at_high) const {
    double low = 0, high = 1, slope_low = at_start;
    while (at_high.slope < 0 && high < 1e6) {
        low = high;
        slope_low = at_high.slope;
        high *= 2;
        at_high = slope_along(volts, high);
    }
    for (int i = 0; i < 60 && high - low > 1e-12 * high; ++i) {
        const bool alike = at_high.slope < 10 * -slope_low && -slope_low < 10 * at_high.slope;
        double t = alike ? low - slope_low * (high - low) / (at_high.slope - slope_low)
                         : high - at_high.slope / at_high.growth;
        if (i % 3 == 2 || !(t > low && t < high)) t = (low + high) / 2;
        const Slope here = slope_along(volts, t);
        // Of a convex energy no slope lies about the way to either side: up to `low` it has fallen by -slope_low * low at least, from there
        // to t it has risen by no more than slope * (t - low).
        const bool fallen = here.slope * (t - low) <= 0.5 * -slope_low * low;
        const double most = -at_start * (fallen ? near_enough : least_beyond);
        if (here.slope >= near_enough * at_start && here.slope <= most) return t;
        if (here.slope < 0) {
            low = t;
            slope_low = here.slope;
        } else {
            high = t;
            at_high = here;
        }
    }
    return (low + high) / 2;
}

void Network::find_islands(std::vector<bool>& island) const {
    std::vector<std::uint32_t> parent(nodes_);
    std::iota(parent.begin(), parent.end(), 0U);
    const auto root = [&](std::uint32_t n) {
        while (parent[n] != n) n = parent[n] = parent[parent[n]];
        return n;
    };
    for (std::uint32_t k : conducting_) {
        const std::uint32_t x = root(branches_[k].a), y = root(branches_[k].b);
        parent[std::max(x, y)] = std::min(x, y);
    }
    for (std::uint32_t n = 0; n < nodes_; ++n) island[n] = root(n) != 0 && !(probe_ && root(probe_->node) == root(n));
}

Solution Network::solve(std::span<const Device> devices, std::span<const double> start, std::optional<Probe> probe) {
    points_so_far.fetch_add(1, std::memory_order_relaxed);
    devices_ = devices;
    probe_ = probe;
    Solution s;
    s.volts.assign(nodes_, 0);
    if (start.size() == nodes_) s.volts.assign(start.begin(), start.end());
    s.volts[0] = 0;
    conducting_.clear();
    for (auto& branches : of_law_) branches.clear();
    for (std::uint32_t k = 0; k < branches_.size(); ++k) {
        if (devices_[k].law == Device::Law::open) continue;
        conducting_.push_back(k);
        of_law_[static_cast<std::size_t>(devices_[k].law)].push_back(k);
    }
    s.island.assign(nodes_, false);
    find_islands(s.island);
    for (Answers* a : {&here_, &there_}) {
        a->amps.assign(branches_.size() + 1, 0);
        a->siemens.assign(branches_.size() + 1, 0);
    }

    answer(s.volts, here_);
    for (s.steps = 0; s.steps < most_steps; ++s.steps) {
        const double largest = conduct(here_);
        double highest = 1;
        for (double v : s.volts) highest = std::max(highest, std::abs(v));
        double worst = 0;
        for (std::uint32_t n = 1; n < nodes_; ++n) worst = std::max(worst, std::abs(unbalanced_[n]));
        s.residual = worst / largest;
        elimination_.factor();
        elimination_.solve({unbalanced_.data() + 1, nodes_ - 1}, {direction_.data() + 1, nodes_ - 1});
        double longest = 0;
        for (std::uint32_t n = 1; n < nodes_; ++n) {
            direction_[n] = -direction_[n];
            longest = std::max(longest, std::abs(direction_[n]));
        }
        const bool no_step_left = longest < 1e-15 * highest;
        if ((longest <= least_move || no_step_left) && balances(here_, largest, highest)) {
            s.converged = true;
            break;
        }
        if (no_step_left) break;
        for (std::uint32_t n = 0; n < nodes_; ++n) further_[n] = s.volts[n] + direction_[n];
        answer(further_, there_);
        const auto [at_start, at_whole] = slopes_of(here_, there_);
        if (!(at_start < 0) ||
            std::abs(at_whole) <= near_enough * -at_start) { // near enough: Newton's own step converges fastest
            std::swap(s.volts, further_);
            std::swap(here_, there_);
            continue;
        }
        const double t = best_step(s.volts, at_start, {at_whole, prepare_search(here_, there_, {at_start, at_whole})});
        if (!std::isfinite(t)) break;
        for (std::uint32_t n = 1; n < nodes_; ++n) s.volts[n] += t * direction_[n];
        answer(s.volts, here_);
    }
    s.amps.assign(here_.amps.begin(), here_.amps.end() - 1);
    return s;
}

std::size_t operating_points() { return points_so_far.load(std::memory_order_relaxed); }

std::vector<double> Network::small_change(std::uint32_t in, std::uint32_t out) {
    std::vector<double> amps(nodes_, 0), volts(nodes_, 0);
    amps[in] += 1;
    amps[out] -= 1;
    elimination_.solve({amps.data() + 1, nodes_ - 1}, {volts.data() + 1, nodes_ - 1});
    return volts;
}

Solution solve(std::uint32_t nodes, std::span<const Branch> branches, std::span<const double> start) {
    std::vector<Ends> ends;
    std::vector<Device> devices;
    for (const Branch& b : branches) {
        ends.push_back({b.a, b.b});
        devices.push_back(b.device);
    }
    return Network(nodes, ends).solve(devices, start);
}

} // namespace loomproof::solve
