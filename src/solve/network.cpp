#include "solve/network.hpp"

#include "solve/lanes.hpp"

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
/// Of the slope of the energy at the start of a step: so much may be left where the energy is taken for least; beyond that, where nothing says
/// that it has fallen up to there, only so little.
constexpr double near_enough = 0.1, least_beyond = 1e-4;
/// Newton's own step is doubled where it leaves more than that, and the energy still falls. A diode on its way down leaves 1/e of its current
/// at each step: a little less, so that its steps are doubled.
constexpr double falls_on = 0.35;
constexpr int most_doublings = 20;
/// Of the slope at the start of a step: what all branches together that are taken for straight along it may add to a slope on the way.
/// Half of the least that the search minds; it says only how far to go, and the next step asks every device again.
constexpr double hardly_bent = 5e-5;
constexpr double least_move = 1e-10; // volts: a smaller step changes nothing that anybody reads

std::atomic<std::size_t> points_so_far{0};

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
      row_(nodes_),
      root_(nodes_),
      stiffness_(nodes_),
      direction_(nodes_) {
    for (std::uint32_t n = 1; n < nodes_; ++n) row_[n] = elimination_.place(n - 1) + 1;
    std::size_t pair = 0;
    for (const Ends& e : branches_) slot_.push_back(e.a != 0 && e.b != 0 && e.a != e.b ? elimination_.slot(pair++) : 0);
    for (Trial* t : {&here_, &there_}) {
        t->volts.resize(nodes_);
        t->left_over.resize(nodes_);
        t->amps.resize(1); // the probe's: nothing is laid out where there is no branch at all
        t->siemens.resize(1);
    }
    find_roots();
}

void Network::lay_out(std::span<const Device> devices) {
    if (!devices_.set(devices)) return;
    places_.clear();
    for (std::uint32_t k : devices_.numbers())
        places_.push_back({row_[branches_[k].a], row_[branches_[k].b], slot_[k]});
    across_.resize(places_.size());
    for (Trial* t : {&here_, &there_}) t->amps.resize(places_.size() + 1), t->siemens.resize(places_.size() + 1);
    find_roots();
}

void Network::ask(Trial& trial) {
    for (std::size_t k = 0; k < places_.size(); ++k) across_[k] = trial.volts[places_[k].a] - trial.volts[places_[k].b];
    devices_.respond(across_, trial.amps, trial.siemens);
    std::ranges::fill(trial.left_over, 0.0);
    for (std::size_t k = 0; k < places_.size(); ++k) {
        trial.left_over[places_[k].a] -= trial.amps[k];
        trial.left_over[places_[k].b] += trial.amps[k];
    }
    const Response r = probe_ && probe_->node != 0 ? respond(probe_->device, trial.volts[probe_->node]) : Response{};
    trial.amps.back() = r.amps;
    trial.siemens.back() = r.siemens;
    if (probe_) trial.left_over[probe_->node] -= r.amps;
    trial.left_over[0] = 0; // what flows there is what the reference takes
    trial.largest = largest_size(trial.amps, least_amps);
}

/// Fills the conductances.
void Network::conduct(const Trial& trial) {
    elimination_.clear();
    for (std::size_t k = 0; k < places_.size(); ++k) {
        const auto [a, b, slot] = places_[k];
        if (a == b) continue;
        if (a != 0 && b != 0)
            elimination_.coupling(slot) += trial.siemens[k];
        else
            elimination_.excess_at(std::max(a, b) - 1) += trial.siemens[k];
    }
    if (probe_ && probe_->node != 0) elimination_.excess_at(probe_->node - 1) += trial.siemens.back();
}

/// Is what does not balance nothing at all? The last digit of the volts is a current too, in what conducts well: closer than a few of
/// those nothing can come.
bool Network::balances(const Trial& trial) {
    const double highest = largest_size(trial.volts, 1);
    std::ranges::fill(stiffness_, 0.0);
    for (std::size_t k = 0; k < places_.size(); ++k) {
        stiffness_[places_[k].a] += trial.siemens[k];
        stiffness_[places_[k].b] += trial.siemens[k];
    }
    if (probe_) stiffness_[probe_->node] += trial.siemens.back();
    for (std::uint32_t n = 1; n < nodes_; ++n)
        if (!(std::abs(trial.left_over[n]) <= enough * trial.largest + 8 * 2.2e-16 * highest * stiffness_[n]))
            return false;
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
        const Place& p = places_[k];
        add(devices_.at(k), volts[p.a] - volts[p.b], direction_[p.a] - direction_[p.b]);
    }
    if (probe_) add(probe_->device, volts[probe_->node], direction_[probe_->node]);
    return sum;
}

/// How fast the slope grows at the end of the whole step, and what of it the branches are that are straight along it. `at_start`: the slope
/// there. Where a device's tangents at both ends are all but the line between its currents there, its current on the way lies on that line
/// as well: none of the laws bends one way and back.
double Network::prepare_search(const Trial& start, const Trial& whole, double at_start) {
    double growth = 0;
    straight_ = {};
    bent_.clear();
    const double least = hardly_bent * std::abs(at_start) / static_cast<double>(places_.size());
    for (std::uint32_t k = 0; k < places_.size(); ++k) {
        const double step = direction_[places_[k].a] - direction_[places_[k].b];
        growth += whole.siemens[k] * step * step;
        const double more = whole.amps[k] - start.amps[k];
        if (k < devices_.straight()) {
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

/// Where between `low` and the end of the step the energy is as good as least; its slope rises from below zero to above. It is convex, so
/// its slope only grows: interpolate where the slopes at both ends are alike. Where they are not, far along the step a diode's slope is a
/// million times the one at the start, and the line between them says nothing; but the slope itself is straight there, and Newton's step
/// back ends where the diode begins to bend.
double Network::best_step(const std::vector<double>& volts, double at_start, Along low_end, Slope at_high) const {
    auto [low, slope_low] = low_end;
    double high = 1;
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

void Network::find_roots() {
    std::iota(root_.begin(), root_.end(), 0U);
    const auto root = [&](std::uint32_t n) {
        while (root_[n] != n) n = root_[n] = root_[root_[n]];
        return n;
    };
    for (const Place& p : places_) {
        const std::uint32_t x = root(p.a), y = root(p.b);
        root_[std::max(x, y)] = std::min(x, y);
    }
    for (std::uint32_t n = 0; n < nodes_; ++n) root_[n] = root_[root_[n]]; // lower ones point at their root already
}

/// The volts so far along the step.
void Network::go(const Trial& from, double share, Trial& to) const {
    for (std::uint32_t n = 1; n < nodes_; ++n) to.volts[n] = from.volts[n] + share * direction_[n];
}

/// Of the energy along the step, at its volts. The sum over the branches of amps times volts across is one over the nodes, too.
double Network::slope(const Trial& at) const { return -sum_of_products(at.left_over, direction_); }

Solution Network::solve(std::span<const Device> devices, std::span<const double> start, std::optional<Probe> probe) {
    points_so_far.fetch_add(1, std::memory_order_relaxed);
    lay_out(devices);
    probe_ = probe;
    if (probe_) probe_->node = row_[probe_->node];
    Solution s;
    s.island.resize(nodes_);
    const std::uint32_t probed = probe_ ? root_[probe_->node] : 0;
    for (std::uint32_t n = 0; n < nodes_; ++n) s.island[n] = root_[row_[n]] != 0 && root_[row_[n]] != probed;

    if (start.size() == nodes_)
        for (std::uint32_t n = 0; n < nodes_; ++n) here_.volts[row_[n]] = start[n];
    else
        std::ranges::fill(here_.volts, 0.0);
    here_.volts[0] = there_.volts[0] = 0;
    ask(here_);
    for (s.steps = 0; s.steps < most_steps; ++s.steps) {
        conduct(here_);
        direction_ = here_.left_over;
        elimination_.factor_and_solve({direction_.data() + 1, nodes_ - 1});
        if (const double longest = largest_size(direction_, 0); longest <= least_move) {
            s.converged = balances(here_);
            if (s.converged || longest < 1e-15 * largest_size(here_.volts, 1)) break; // no step is left
        }
        go(here_, 1, there_);
        ask(there_);
        double at_start = slope(here_), at_end = slope(there_);
        Along falling{0, at_start};
        for (int doubled = 0; doubled < most_doublings && at_end < (doubled == 0 ? falls_on : near_enough) * at_start;
             ++doubled) {
            falling = {0.5, 2 * at_end};
            for (double& step : direction_) step *= 2;
            go(here_, 1, there_);
            ask(there_);
            at_start *= 2;
            at_end = slope(there_);
        }
        if (!(at_start < 0) || at_end <= near_enough * -at_start) {
            std::swap(here_, there_);
            continue;
        }
        const double growth = prepare_search(here_, there_, at_start);
        const double t = best_step(here_.volts, at_start, falling, {at_end, growth});
        if (!std::isfinite(t)) break;
        go(here_, t, here_);
        ask(here_);
    }
    s.residual = largest_size(here_.left_over, 0) / here_.largest;
    s.volts.resize(nodes_);
    for (std::uint32_t n = 0; n < nodes_; ++n) s.volts[n] = here_.volts[row_[n]];
    s.amps.assign(branches_.size(), 0);
    for (std::size_t k = 0; k < places_.size(); ++k) s.amps[devices_.numbers()[k]] = here_.amps[k];
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
