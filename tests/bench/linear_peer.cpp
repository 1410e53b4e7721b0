// The solver beside Eigen's sparse Cholesky factorisation, on the network of one and the same circuit: the goals that stand in numbers.
#include "bench/linear_peer.hpp"

#include "bench/factor_peers.hpp"
#include "bench/measure.hpp"
#include "circuit/read.hpp"
#include "solve/lanes.hpp"
#include "solve/model.hpp"
#include "support/scenario/scenario.hpp"

#include <Eigen/SparseCholesky>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace loomproof::bench {

namespace {

using solve::Device;
using solve::Ends;
using solve::Response;

/// The matrix of a network's couplings, its places found once.
class Theirs {
  public:
    Theirs(std::uint32_t nodes, const std::vector<Ends>& ends, const std::vector<Device>& devices)
        : nodes_(nodes), matrix_(size(), size()), diagonal_(nodes) {
        std::vector<Eigen::Triplet<double>> entries;
        for (int n = 0; n < size(); ++n) entries.emplace_back(n, n, 1.0);
        for (const Ends& e : ends)
            if (e.a != 0 && e.b != 0 && e.a != e.b) {
                entries.emplace_back(row(std::max(e.a, e.b)), row(std::min(e.a, e.b)), 0.0);
            }
        matrix_.setFromTriplets(entries.begin(), entries.end());
        for (int n = 0; n < size(); ++n) diagonal_[n + 1] = &matrix_.coeffRef(n, n);
        devices_.set(devices);
        across_.resize(devices_.size());
        for (std::uint32_t k : devices_.numbers()) {
            const Ends e = ends_.emplace_back(ends[k]);
            const auto at = [&](std::uint32_t a, std::uint32_t b) -> double* {
                return a == 0 || b == 0 ? nullptr : &matrix_.coeffRef(row(std::max(a, b)), row(std::min(a, b)));
            };
            places_.push_back(e.a == e.b ? Places{} : Places{at(e.a, e.a), at(e.b, e.b), at(e.a, e.b)});
        }
        ldlt_.analyzePattern(matrix_);
    }

    /// What every device answers at some volts, and what of it flows into each node.
    struct Answers {
        std::vector<double> amps, siemens;
        Eigen::VectorXd into;
        double largest = 0;
    };
    void answer(const std::vector<double>& volts, Answers& out) {
        out.amps.resize(ends_.size());
        out.siemens.resize(ends_.size());
        out.into.setZero(nodes_);
        for (std::size_t k = 0; k < ends_.size(); ++k) across_[k] = volts[ends_[k].a] - volts[ends_[k].b];
        devices_.respond(across_, out.amps, out.siemens);
        for (std::size_t k = 0; k < ends_.size(); ++k) {
            out.into[ends_[k].a] -= out.amps[k];
            out.into[ends_[k].b] += out.amps[k];
        }
        out.largest = solve::largest_size(out.amps, 1e-4);
    }

    void assemble(const Answers& answers) {
        std::fill(matrix_.valuePtr(), matrix_.valuePtr() + matrix_.nonZeros(), 0.0);
        // What floats is held by next to nothing: Eigen has no other way with a part that touches no reference.
        for (std::uint32_t n = 1; n < nodes_; ++n) *diagonal_[n] = 1e-12;
        for (std::size_t k = 0; k < ends_.size(); ++k) {
            const double siemens = answers.siemens[k];
            const Places& p = places_[k];
            if (p.a != nullptr) *p.a += siemens;
            if (p.b != nullptr) *p.b += siemens;
            if (p.both != nullptr) *p.both -= siemens;
        }
        right_ = answers.into.tail(size());
    }
    void assemble(const std::vector<double>& volts) {
        answer(volts, here_);
        assemble(here_);
    }
    Lower lower() const {
        Lower out;
        out.size = size();
        out.from.assign(matrix_.outerIndexPtr(), matrix_.outerIndexPtr() + size() + 1);
        out.row.assign(matrix_.innerIndexPtr(), matrix_.innerIndexPtr() + matrix_.nonZeros());
        out.value.assign(matrix_.valuePtr(), matrix_.valuePtr() + matrix_.nonZeros());
        return out;
    }
    const Eigen::VectorXd& right() const { return right_; }
    void factor() { ldlt_.factorize(matrix_); }
    const Eigen::VectorXd& solve() { return step_ = ldlt_.solve(right_); }
    /// The same by another's factorisation, from the numbers as they are here now.
    void step_by(const FactorPeer& peer) {
        peer.numbers({matrix_.valuePtr(), static_cast<std::size_t>(matrix_.nonZeros())});
        peer.factor();
        x_.assign(right_.begin(), right_.end());
        peer.solve(x_);
        step_ = Eigen::Map<const Eigen::VectorXd>(x_.data(), size());
    }
    /// Volts everywhere where an ampere flows in at a node.
    void from(std::uint32_t node) {
        right_.setZero();
        right_[row(node)] = 1;
        step_ = ldlt_.solve(right_);
    }
    double unbalanced() const { return right_.lpNorm<Eigen::Infinity>(); }

    /// The same Newton with the same line search, ended by the balance of its currents: volts by node. With Eigen's factorisation, or with
    /// the peer's. It asks the devices no more often than ours does: straight ones (and what bends too little to be seen) not at all along a step, none twice at the same volts.
    std::vector<double> operating_point(std::vector<double> volts, const FactorPeer* peer) {
        std::vector<double> further(nodes_, 0);
        answer(volts, here_);
        for (int round = 0; round < 200; ++round) {
            assemble(here_);
            const double off = unbalanced();
            if (peer) {
                step_by(*peer);
            } else {
                factor();
                solve();
            }
            // The currents balance. What only a leak holds still moves, by a share a round, as the guard above conducts no less: to
            // wait for it took three times the rounds and made us look better than we are. Those volts are millivolts apart,
            // which the row shows.
            if (off <= 1e-11 * here_.largest) break;
            const auto look_further = [&] {
                for (std::uint32_t n = 1; n < nodes_; ++n) further[n] = volts[n] + step_[row(n)];
                answer(further, there_);
                return -there_.into.tail(size()).dot(step_);
            };
            double start = -here_.into.tail(size()).dot(step_), end = look_further(), low = 0, slope_low = start;
            for (int doubled = 0; doubled < 20 && end < (doubled == 0 ? 0.35 : 0.1) * start; ++doubled) {
                low = 0.5, slope_low = 2 * end;
                step_ *= 2, start *= 2;
                end = look_further();
            }
            if (!(start < 0) || end <= 0.1 * -start) {
                std::swap(volts, further);
                std::swap(here_, there_);
                continue;
            }
            const double t = best_step(volts, start, low, slope_low, end);
            for (std::uint32_t n = 1; n < nodes_; ++n) volts[n] += t * step_[row(n)];
            answer(volts, here_);
        }
        return volts;
    }

  private:
    struct Slope {
        double slope = 0, growth = 0;
    };
    double best_step(const std::vector<double>& volts, double start, double low, double slope_low, double end) {
        Slope at_high{end, 0};
        straight_ = {};
        bent_.clear();
        const double least = 5e-5 * std::abs(start) / static_cast<double>(ends_.size());
        for (std::size_t k = 0; k < ends_.size(); ++k) {
            const double across = step_across(k), more = there_.amps[k] - here_.amps[k];
            at_high.growth += there_.siemens[k] * across * across;
            const double bend =
                std::max(std::abs(more - here_.siemens[k] * across), std::abs(more - there_.siemens[k] * across));
            if (k < devices_.straight()) {
                straight_.slope += here_.amps[k] * across;
                straight_.growth += here_.siemens[k] * across * across;
            } else if (bend * std::abs(across) <= least) {
                straight_.slope += here_.amps[k] * across;
                straight_.growth += more * across;
            } else {
                bent_.push_back(k);
            }
        }
        double high = 1;
        for (int i = 0; i < 60 && high - low > 1e-12 * high; ++i) {
            const bool alike = at_high.slope < 10 * -slope_low && -slope_low < 10 * at_high.slope;
            double t = alike ? low - slope_low * (high - low) / (at_high.slope - slope_low)
                             : high - at_high.slope / at_high.growth;
            if (i % 3 == 2 || !(t > low && t < high)) t = (low + high) / 2;
            const Slope here = slope(volts, t);
            const bool fallen = here.slope * (t - low) <= 0.5 * -slope_low * low;
            if (here.slope >= 0.1 * start && here.slope <= -start * (fallen ? 0.1 : 1e-4)) return t;
            if (here.slope < 0)
                low = t, slope_low = here.slope;
            else
                high = t, at_high = here;
        }
        return (low + high) / 2;
    }
    double step_across(std::size_t k) const {
        const Ends e = ends_[k];
        return (e.a == 0 ? 0 : step_[row(e.a)]) - (e.b == 0 ? 0 : step_[row(e.b)]);
    }
    struct Places {
        double *a = nullptr, *b = nullptr, *both = nullptr;
    };
    static int row(std::uint32_t node) { return static_cast<int>(node) - 1; }
    int size() const { return static_cast<int>(nodes_) - 1; }
    Slope slope(const std::vector<double>& volts, double t) const {
        Slope sum{straight_.slope + straight_.growth * t, straight_.growth};
        for (std::size_t k : bent_) {
            const Ends e = ends_[k];
            const double across = step_across(k);
            if (across == 0) continue;
            const Response r = respond(devices_.at(k), volts[e.a] - volts[e.b] + t * across);
            sum.slope += r.amps * across;
            sum.growth += r.siemens * across * across;
        }
        return sum;
    }

    std::uint32_t nodes_;
    solve::Devices devices_;
    std::vector<Ends> ends_; ///< by place of a device
    std::vector<double> across_;
    Eigen::SparseMatrix<double> matrix_;
    Eigen::VectorXd right_, step_;
    std::vector<double> x_;
    std::vector<Places> places_;
    std::vector<double*> diagonal_; ///< by node
    Answers here_, there_;
    Slope straight_;
    std::vector<std::size_t> bent_;
    Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> ldlt_;
};

void row(const std::string& what, double ours, const std::string& peer, double theirs, double goal) {
    say(fmt::format("  {:<52} ours {:9.3f} ms  {:<7} {:9.3f} ms  ratio {:6.1f}  goal >= {:.1f}  {}", what, ours * 1e3,
                    peer, theirs * 1e3, theirs / ours, goal, theirs / ours >= goal ? "reached" : "MISSED"));
}

void compare(int wires) {
    const std::string text = scenario::write(scenario::make(1, wires, scenario::Profile::stress)).main();
    Sources sources;
    const Reading reading = read_circuit_text(sources, "stress", text);
    const View now = View::now(reading.circuit);
    solve::Model model(now);
    solve::Positions p = solve::at_rest(reading.circuit);
    for (std::size_t i = 0; i < p.size(); ++i)
        p[i] = static_cast<std::uint8_t>(reading.circuit.controls[i].positions.size() - 1);
    const solve::Model::Raw raw = model.raw(p);
    const auto nodes = static_cast<std::uint32_t>(raw.solution.volts.size());
    say(fmt::format("{} wires, {} nodes, {} branches", now.wires().size(), nodes, raw.ends.size()));

    // One linear system: conductances and balance at the operating point, factor, solve.
    std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
    for (const Ends& e : raw.ends)
        if (e.a != 0 && e.b != 0 && e.a != e.b) pairs.emplace_back(e.a - 1, e.b - 1);
    solve::Elimination own(nodes - 1, pairs);
    std::vector<double> amps(nodes - 1, 0), volts(nodes - 1, 0);
    const auto fill = [&] {
        own.clear();
        std::ranges::fill(amps, 0.0);
        std::size_t pair = 0;
        for (std::size_t k = 0; k < raw.ends.size(); ++k) {
            const Ends e = raw.ends[k];
            const Response r = respond(raw.devices[k], raw.solution.volts[e.a] - raw.solution.volts[e.b]);
            if (e.a != 0) amps[e.a - 1] -= r.amps;
            if (e.b != 0) amps[e.b - 1] += r.amps;
            if (e.a == e.b) continue;
            if (e.a != 0 && e.b != 0)
                own.coupling(own.slot(pair++)) += r.siemens;
            else
                own.excess(std::max(e.a, e.b) - 1) += r.siemens;
        }
    };
    const std::size_t times = wires <= 1000 ? 101 : 21;
    Theirs theirs(nodes, raw.ends, raw.devices);
    theirs.assemble(raw.solution.volts);
    std::vector<double> siemens;
    for (std::size_t k = 0; k < raw.ends.size(); ++k)
        siemens.push_back(
            respond(raw.devices[k], raw.solution.volts[raw.ends[k].a] - raw.solution.volts[raw.ends[k].b]).siemens);
    const auto refill = [&] {
        own.clear();
        std::size_t pair = 0;
        for (std::size_t k = 0; k < raw.ends.size(); ++k) {
            const Ends e = raw.ends[k];
            if (e.a == e.b) continue;
            if (e.a != 0 && e.b != 0)
                own.coupling(own.slot(pair++)) += siemens[k];
            else
                own.excess(std::max(e.a, e.b) - 1) += siemens[k];
        }
    };
    const double our_step = median_seconds(
        [&] {
            refill();
            own.factor();
            own.solve(amps, volts);
        },
        times);
    const double their_step = median_seconds(
        [&] {
            theirs.factor();
            theirs.solve();
        },
        times);
    const double our_factor = median_seconds(
        [&] {
            own.factor_all();
            own.solve(amps, volts);
        },
        times);
    const double goal = wires <= 1000 ? 2.5 : 3.5;
    say(fmt::format("  conductances put in, factor, solve: ours {:.3f} ms", our_step * 1e3));
    row("factor, solve", our_factor, "Eigen", their_step, goal);
    const std::vector<FactorPeer> peers = factor_peers(theirs.lower());
    if (peers.empty()) say("  KLU and CHOLMOD are not installed (.ci/install bench): no row for them");
    const auto right_side = [&] { return std::vector<double>(theirs.right().begin(), theirs.right().end()); };
    for (const FactorPeer& peer : peers) {
        std::vector<double> x;
        const double taken = median_seconds(
            [&] {
                x = right_side();
                peer.factor();
                peer.solve(x);
            },
            times);
        row("factor, solve", our_factor, peer.name, taken, goal);
    }

    // One switch state more where every load is straight: the contacts of five controls go over, all else conducts as before. The peer brings
    // its factor up to date by rank-one changes, ours works out anew what hangs on those contacts, without a subtraction.
    solve::Positions flipped = p;
    for (std::size_t i = 0, changed = 0; i < flipped.size() && changed < 5; ++i)
        if (flipped[i] != reading.circuit.controls[i].rest) flipped[i] = reading.circuit.controls[i].rest, ++changed;
    const solve::Model::Raw other = model.raw(flipped);
    std::vector<double> there = siemens;
    std::vector<Change> forth, back;
    std::vector<std::size_t> moved;
    for (std::size_t k = 0; k < raw.ends.size(); ++k) {
        const bool was_open = raw.devices[k].law == Device::Law::open,
                   opens = other.devices[k].law == Device::Law::open;
        if (was_open == opens || raw.ends[k].a == raw.ends[k].b) continue;
        there[k] = opens ? 0 : respond(other.devices[k], 0).siemens;
        moved.push_back(k);
        const int a = static_cast<int>(raw.ends[k].a) - 1, b = static_cast<int>(raw.ends[k].b) - 1;
        forth.push_back({a, b, there[k] - siemens[k]});
        back.push_back({a, b, siemens[k] - there[k]});
    }
    // Contacts beside others between the same two nodes share a place with these.
    std::vector<std::uint32_t> slots;
    for (std::size_t k = 0, pair = 0; k < raw.ends.size(); ++k) {
        const Ends e = raw.ends[k];
        slots.push_back(e.a != 0 && e.b != 0 && e.a != e.b ? own.slot(pair++) : 0);
    }
    struct Place {
        std::uint32_t excess_of, slot; ///< the node beside the reference, or 0 and a coupling
        std::vector<std::size_t> branches;
    };
    std::vector<Place> places;
    for (std::size_t k : moved) {
        const auto place = [&](std::size_t i) {
            const Ends e = raw.ends[i];
            return e.a == e.b             ? std::pair{~0U, 0U}
                   : e.a == 0 || e.b == 0 ? std::pair{std::max(e.a, e.b), 0U}
                                          : std::pair{0U, slots[i]};
        };
        places.push_back({place(k).first, slots[k], {}});
        for (std::size_t i = 0; i < raw.ends.size(); ++i)
            if (place(i) == place(k)) places.back().branches.push_back(i);
    }
    for (const FactorPeer& peer : peers) {
        if (!peer.change) continue;
        const auto ours = [&](const std::vector<double>& conduct) {
            for (const Place& place : places) {
                double sum = 0;
                for (std::size_t k : place.branches) sum += conduct[k];
                if (place.excess_of != 0)
                    own.change_excess(place.excess_of - 1, sum);
                else
                    own.change_coupling(place.slot, sum);
            }
            own.factor();
            own.solve(amps, volts);
        };
        std::vector<double> x;
        const auto peers_way = [&](const std::vector<Change>& changes) {
            peer.change(changes);
            x = right_side();
            peer.solve(x);
        };
        peer.factor();
        const double our_two = median_seconds([&] { ours(there), ours(siemens); }, times);
        const double their_two = median_seconds([&] { peers_way(forth), peers_way(back); }, times);
        ours(siemens);
        double apart = 0;
        for (std::size_t n = 0; n < x.size(); ++n) apart = std::max(apart, std::abs(x[n] - volts[n]));
        row(fmt::format("one state more, all straight, {} contacts ({:.0e} V)", forth.size(), apart), our_two / 2,
            peer.name, their_two / 2, 1.8);
    }

    // Operating points with lamps, diodes and wires that get warm: from nothing, and one switch state more from the one before, with five
    // controls elsewhere. Every conductance is another one then, so nobody can keep his factor.
    solve::Network network(nodes, raw.ends);
    Theirs curved(nodes, raw.ends, raw.devices);
    std::vector<const FactorPeer*> newtons{nullptr};
    for (const FactorPeer& peer : peers) newtons.push_back(&peer);
    std::vector<bool> island;
    const auto points = [&](const std::string& what, const std::vector<double>& start, double least) {
        solve::Solution found;
        const double our_point = median_seconds([&] { found = network.solve(raw.devices, start); }, times / 4);
        island = found.island;
        for (const FactorPeer* peer : newtons) {
            std::vector<double> their_volts;
            const double taken = median_seconds([&] { their_volts = curved.operating_point(start, peer); }, times / 4);
            double apart = 0;
            for (std::uint32_t n = 0; n < nodes; ++n)
                if (!found.island[n]) apart = std::max(apart, std::abs(found.volts[n] - their_volts[n]));
            row(fmt::format("{} ({:.0e} V apart)", what, apart), our_point, peer ? peer->name : "Eigen", taken, least);
        }
    };
    points("operating point from nothing", std::vector<double>(nodes, 0), 3);
    points("one switch state more, 5 controls moved", other.solution.volts, 1.8);

    // The resistance seen from every node, at once.
    fill();
    own.factor();
    const double our_all = median_seconds([&] { own.resistances(volts); }, times);
    const double seen_goal = wires <= 1000 ? 40 : 150;
    std::vector<double> seen(nodes - 1, 0);
    if (wires <= 1000) {
        const double their_all = seconds([&] {
            for (std::uint32_t n = 1; n < nodes; ++n) theirs.from(n);
        });
        row("resistance seen from every node", our_all, "Eigen", their_all, seen_goal);
    }
    for (const FactorPeer& peer : peers) {
        if (!peer.seen) continue;
        peer.factor();
        const double taken = seconds([&] { peer.seen(seen); });
        double apart_by = 0;
        for (std::uint32_t n = 0; n + 1 < nodes; ++n)
            if (!island[n + 1] && volts[n] < 1e6) // the peer holds what is all but an island by a guard of its own
                apart_by = std::max(apart_by, std::abs(seen[n] - volts[n]) / std::abs(volts[n]));
        row(fmt::format("the same, sparse right-hand sides ({:.0e} apart)", apart_by), our_all, peer.name, taken,
            seen_goal);
    }
}

} // namespace

void beside_eigen() {
    say("one linear network beside Eigen's SimplicialLDLT, KLU and CHOLMOD (orders of elimination found beforehand, as "
        "ours)");
    for (const int wires : {1000, 10000}) compare(wires);
}

} // namespace loomproof::bench
