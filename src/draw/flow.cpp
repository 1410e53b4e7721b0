#include "draw/flow.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <deque>

namespace loomproof::draw {
namespace {

struct Link {
    std::size_t a, b;
    double conductance;
};

// Equal to within what the iteration can promise.
constexpr double nothing = 1e-7;

class Solver {
  public:
    explicit Solver(const View& view) : view_(view), circuit_(view.circuit()) {
        flow_.potential.assign(circuit_.terminals.size(), 0.5);
        flow_.met.assign(circuit_.terminals.size(), 0);
        fixed_.assign(circuit_.terminals.size(), false);
        collect();
    }

    Flow run() {
        note_ways();
        number();
        iterate();
        return std::move(flow_);
    }

  private:
    void fix(TerminalId t, double value) {
        fixed_[t.index] = true;
        flow_.potential[t.index] = value;
    }

    bool wired_to_other_source(TerminalId pole) const {
        for (const WireId w : view_.wires_at(pole)) {
            const Part& other = circuit_.part_of(circuit_.at(w).other(pole));
            if (other.kind == Kind::battery) return true;
        }
        return false;
    }

    void collect() {
        for (const WireId w : view_.wires()) {
            const Wire& wire = circuit_.at(w);
            if (wire.a != wire.b) links_.push_back({wire.a.index, wire.b.index, 1});
        }
        const bool positive_ground = circuit_.vehicle.positive_ground;
        for (const PrimitiveId p : view_.primitives()) {
            const Primitive& primitive = circuit_.at(p);
            if (primitive.a == primitive.b || primitive.purpose == Purpose::conversion) continue;
            if (primitive.element != Element::source) {
                const bool joint = primitive.element == Element::joint || primitive.element == Element::contact;
                links_.push_back({primitive.a.index, primitive.b.index, joint ? 20.0 : 1.0});
                continue;
            }
            const TerminalId feed = positive_ground ? primitive.b : primitive.a,
                             ground = positive_ground ? primitive.a : primitive.b;
            const Kind kind = circuit_.at(primitive.part).kind;
            if (kind == Kind::alternator) {
                // Drawn like a load: below the battery that it charges.
                links_.push_back({feed.index, ground.index, 0.01});
                continue;
            }
            // Of batteries in a row, the poles between them find their own level.
            links_.push_back({feed.index, ground.index, 1});
            if (kind != Kind::battery || !wired_to_other_source(feed)) fix(feed, 1);
            if (kind == Kind::battery && !wired_to_other_source(ground)) fix(ground, 0);
        }
        for (const PartId id : view_.parts()) {
            const Part& part = circuit_.at(id);
            if (part.kind == Kind::metal || part.kind == Kind::ground)
                for (const TerminalId t : part.terminals) fix(t, 0);
            if (part.kind == Kind::alternator) add_signals(part);
            // Nothing is known of what lies inside: taken as one piece.
            if (part.kind == Kind::not_known)
                for (std::size_t i = 1; i < part.terminals.size(); ++i)
                    links_.push_back({part.terminals[0].index, part.terminals[i].index, 1});
        }
    }

    // Current for the exciter comes in through the lamp terminal; the sense terminal only looks.
    void add_signals(const Part& part) {
        const auto minus = std::find_if(part.terminals.begin(), part.terminals.end(),
                                        [&](TerminalId t) { return circuit_.at(t).role == Role::minus; });
        if (minus == part.terminals.end()) return;
        for (const TerminalId t : part.terminals)
            if (circuit_.at(t).role == Role::signal) links_.push_back({t.index, minus->index, 1});
    }

    // What may_turn goes by.
    void note_ways() {
        const std::size_t n = circuit_.terminals.size();
        for (Flow::Ways* ways : {&flow_.onwards, &flow_.back, &flow_.closed, &flow_.joined}) ways->resize(n);
        for (std::vector<bool>* those :
             {&flow_.feed, &flow_.alternator, &flow_.battery, &flow_.earth, &flow_.ground, &flow_.lamp})
            those->assign(n, false);
        const auto way = [&](TerminalId a, TerminalId b) {
            flow_.onwards[a.index].push_back(b.index);
            flow_.back[b.index].push_back(a.index);
        };
        const auto both = [](Flow::Ways& ways, TerminalId a, TerminalId b) {
            ways[a.index].push_back(b.index);
            ways[b.index].push_back(a.index);
        };
        const auto pass = [&](TerminalId a, TerminalId b, bool no_load, bool metal) {
            way(a, b);
            way(b, a);
            if (no_load) both(flow_.closed, a, b);
            if (metal) both(flow_.joined, a, b);
        };
        for (const WireId w : view_.wires())
            if (const Wire& wire = circuit_.at(w); wire.a != wire.b) pass(wire.a, wire.b, true, true);
        const bool positive_ground = circuit_.vehicle.positive_ground;
        std::vector<std::size_t> lamps;
        for (const PrimitiveId p : view_.primitives()) {
            const Primitive& primitive = circuit_.at(p);
            if (primitive.purpose == Purpose::charge_lamp_terminal) lamps.push_back(primitive.a.index);
            if (primitive.a == primitive.b || primitive.purpose == Purpose::conversion) continue;
            if (primitive.element == Element::source) {
                const std::size_t plus = (positive_ground ? primitive.b : primitive.a).index;
                flow_.feed[plus] = true;
                (circuit_.at(primitive.part).kind == Kind::battery ? flow_.battery : flow_.alternator)[plus] = true;
                continue;
            }
            const bool metal = primitive.element == Element::joint;
            // Where plus is ground, all current runs the other way, against what is drawn.
            if (primitive.element == Element::junction)
                positive_ground ? way(primitive.b, primitive.a) : way(primitive.a, primitive.b);
            else
                pass(primitive.a, primitive.b,
                     metal || primitive.element == Element::contact || primitive.element == Element::protector, metal);
        }
        for (std::size_t t = 0; t < n; ++t) flow_.earth[t] = fixed_[t] && flow_.potential[t] < 0.5;
        for (std::size_t t = 0; t < n; ++t)
            if (flow_.earth[t]) spread(t, flow_.ground);
        for (const std::size_t t : lamps) spread(t, flow_.lamp);
    }
    // All that metal joins to it, up to a source.
    void spread(std::size_t from, std::vector<bool>& those) {
        std::deque<std::size_t> queue{from};
        while (!queue.empty()) {
            const std::size_t t = queue.front();
            queue.pop_front();
            if (those[t] || flow_.feed[t]) continue;
            those[t] = true;
            queue.insert(queue.end(), flow_.joined[t].begin(), flow_.joined[t].end());
        }
    }

    void number() {
        std::vector<std::vector<std::size_t>> beside(circuit_.terminals.size());
        for (const Link& link : links_) {
            beside[link.a].push_back(link.b);
            beside[link.b].push_back(link.a);
        }
        std::vector<bool> seen(circuit_.terminals.size(), false);
        int next = 0;
        std::deque<std::size_t> queue;
        const auto start = [&](std::size_t t) {
            if (seen[t]) return;
            seen[t] = true;
            queue.push_back(t);
        };
        const auto walk = [&] {
            while (!queue.empty()) {
                const std::size_t t = queue.front();
                queue.pop_front();
                flow_.met[t] = next++;
                for (const std::size_t n : beside[t]) start(n);
            }
        };
        for (std::size_t t = 0; t < fixed_.size(); ++t)
            if (fixed_[t] && flow_.potential[t] > 0.5) start(t);
        walk();
        for (std::size_t t = 0; t < fixed_.size(); ++t) {
            start(t);
            walk();
        }
    }

    // Terminals that hang on no fixed one keep the potential they start with.
    void iterate() {
        const std::size_t n = fixed_.size();
        std::vector<double>& x = flow_.potential;
        std::vector<double> r(n, 0), p, q(n, 0), weight(n, 0);
        for (const Link& l : links_) {
            weight[l.a] += l.conductance;
            weight[l.b] += l.conductance;
        }
        const auto apply = [&](const std::vector<double>& v, std::vector<double>& out) {
            std::fill(out.begin(), out.end(), 0.0);
            for (const Link& l : links_) {
                const double current = l.conductance * (v[l.a] - v[l.b]);
                out[l.a] += current;
                out[l.b] -= current;
            }
            for (std::size_t i = 0; i < n; ++i)
                if (fixed_[i]) out[i] = 0;
        };
        apply(x, r);
        for (double& v : r) v = -v;
        const auto scaled = [&](const std::vector<double>& v) {
            std::vector<double> z(n, 0);
            for (std::size_t i = 0; i < n; ++i)
                if (!fixed_[i] && weight[i] > 0) z[i] = v[i] / weight[i];
            return z;
        };
        const auto dot = [&](const std::vector<double>& a, const std::vector<double>& b) {
            double sum = 0;
            for (std::size_t i = 0; i < n; ++i) sum += a[i] * b[i];
            return sum;
        };
        std::vector<double> z = scaled(r);
        p = z;
        double rho = dot(r, z);
        for (std::size_t k = 0; k < 4 * n + 50 && rho > 1e-24; ++k) {
            apply(p, q);
            const double curvature = dot(p, q);
            if (curvature <= 0) break;
            const double alpha = rho / curvature;
            for (std::size_t i = 0; i < n; ++i) {
                x[i] += alpha * p[i];
                r[i] -= alpha * q[i];
            }
            z = scaled(r);
            const double fresh = dot(r, z);
            for (std::size_t i = 0; i < n; ++i) p[i] = z[i] + fresh / rho * p[i];
            rho = fresh;
        }
    }

    const View& view_;
    const Circuit& circuit_;
    Flow flow_;
    std::vector<bool> fixed_;
    std::vector<Link> links_;
};

} // namespace

bool Flow::flows(TerminalId a, TerminalId b) const {
    return std::abs(potential[a.index] - potential[b.index]) > nothing;
}

bool Flow::runs(TerminalId a, TerminalId b) const {
    const double fall = potential[a.index] - potential[b.index];
    if (std::abs(fall) > nothing) return fall > 0;
    return met[a.index] < met[b.index];
}

namespace {

// Is one of the goals found on the ways from `from`, past no other goal and not over `without`?
bool leads_to(const std::vector<std::vector<std::size_t>>& ways, std::size_t from, std::size_t without,
              const std::vector<bool>& goal, const std::vector<bool>& end) {
    std::vector<bool> seen(ways.size(), false);
    seen[without] = seen[from] = true;
    std::vector<std::size_t> stack{from};
    while (!stack.empty()) {
        const std::size_t t = stack.back();
        stack.pop_back();
        if (goal[t]) return true;
        if (end[t]) continue;
        for (const std::size_t next : ways[t])
            if (!seen[next]) {
                seen[next] = true;
                stack.push_back(next);
            }
    }
    return false;
}

} // namespace

bool Flow::may_turn(TerminalId a, TerminalId b) const {
    if (lamp[a.index] || lamp[b.index]) return true;
    // On the ground side: another way to ground that does not lead over `b`.
    if (ground[a.index] && ground[b.index]) return leads_to(joined, a.index, b.index, earth, feed);
    if (leads_to(back, b.index, a.index, feed, ground) && leads_to(onwards, a.index, b.index, ground, feed))
        return true;
    return leads_to(closed, b.index, a.index, alternator, ground) &&
           leads_to(closed, a.index, b.index, battery, ground);
}

Flow find_flow(const View& view) { return Solver(view).run(); }

} // namespace loomproof::draw
