#include "solve/settle.hpp"

#include <algorithm>
#include <map>

namespace loomproof::solve {

namespace {

constexpr std::size_t most_at_once = 5; // relays of which every set is tried
constexpr double same_volts = 1e-6;     // closer than that, which of two is larger is told by rounding alone

std::string key_of(const Positions& p) { return {p.begin(), p.end()}; }

/// Situations within reach of a start, numbered in the order in which they were found.
struct Reachable {
    std::vector<SituationId> order;
    std::map<SituationId, std::size_t> place;
    std::vector<std::vector<Next>> next; ///< by place
    bool cut_short = false;

    std::size_t add(SituationId id) {
        const auto [at, fresh] = place.try_emplace(id, order.size());
        if (fresh) order.push_back(id);
        return at->second;
    }
};

Reachable reachable(Situations& all, SituationId start) {
    Reachable r;
    r.add(start);
    for (std::size_t i = 0; i < r.order.size(); ++i) {
        const Situations::Following& following = all.next(r.order[i]);
        r.cut_short = r.cut_short || following.missing;
        r.next.push_back(following.all);
        for (const Next& n : r.next.back()) r.add(n.to);
    }
    return r;
}

/// By place: reached from `from` over the steps that `wanted` lets through.
template <class Wanted>
std::vector<bool> reached(const Reachable& r, const std::vector<std::size_t>& from, Wanted wanted) {
    std::vector<bool> seen(r.order.size(), false);
    std::vector<std::size_t> work = from;
    for (std::size_t s : from) seen[s] = true;
    while (!work.empty()) {
        const std::size_t s = work.back();
        work.pop_back();
        for (const Next& n : r.next[s]) {
            const std::size_t to = r.place.at(n.to);
            if (!wanted(n) || seen[to]) continue;
            seen[to] = true;
            work.push_back(to);
        }
    }
    return seen;
}

/// Strongly connected parts over single moves (Tarjan 1972, without recursion); numbered by place.
std::vector<std::size_t> connected_parts(const Reachable& r) {
    constexpr std::size_t none = ~std::size_t{0};
    const std::size_t n = r.order.size();
    std::vector<std::size_t> number(n, none), low(n, 0), part(n, none), stack;
    std::vector<std::pair<std::size_t, std::size_t>> work; // place, next edge
    std::size_t count = 0, parts = 0;
    for (std::size_t root = 0; root < n; ++root) {
        if (number[root] != none) continue;
        work.emplace_back(root, 0);
        while (!work.empty()) {
            auto& [s, edge] = work.back();
            if (edge == 0) {
                number[s] = low[s] = count++;
                stack.push_back(s);
            }
            bool deeper = false;
            while (edge < r.next[s].size()) {
                const Next& step = r.next[s][edge++];
                if (step.moves.size() != 1) continue;
                const std::size_t to = r.place.at(step.to);
                if (number[to] == none) {
                    work.emplace_back(to, 0);
                    deeper = true;
                    break;
                }
                if (part[to] == none) low[s] = std::min(low[s], number[to]);
            }
            if (deeper) continue;
            const std::size_t done = s;
            if (low[done] == number[done]) {
                std::size_t member;
                do {
                    member = stack.back();
                    stack.pop_back();
                    part[member] = parts;
                } while (member != done);
                ++parts;
            }
            work.pop_back();
            if (!work.empty()) low[work.back().first] = std::min(low[work.back().first], low[done]);
        }
    }
    return part;
}

/// The moves inside one part.
struct Inside {
    std::vector<std::size_t> places;
    std::vector<std::pair<std::size_t, Move>> moves; ///< from where
};

/// No relay that has to move is left waiting all the time.
bool fair(const Situations& all, const Reachable& r, const Inside& c) {
    std::vector<std::uint16_t> waiting = all.at(r.order[c.places.front()]).restless;
    for (std::size_t s : c.places)
        std::erase_if(waiting, [&](std::uint16_t relay) {
            return !std::ranges::binary_search(all.at(r.order[s]).restless, relay);
        });
    return std::ranges::all_of(waiting, [&](std::uint16_t relay) {
        return std::ranges::any_of(c.moves, [&](const auto& m) { return m.second.relay == relay; });
    });
}

/// Each relay's largest volts where it lets go lie below its smallest where it pulls in: one and the same relay can do both.
bool one_relay_can(const Situations& all, const Reachable& r, const Inside& c) {
    std::map<std::uint16_t, std::pair<double, double>> range; // release, pull-in
    for (const auto& [s, m] : c.moves) {
        const Situation& from = all.at(r.order[s]);
        auto& [release, pull] = range.try_emplace(m.relay, -1.0, 1e300).first->second;
        const double volts = from.coil_volts[m.relay];
        if (m.to < all.position(r.order[s], m.relay))
            release = std::max(release, volts);
        else
            pull = std::min(pull, volts);
    }
    return std::ranges::all_of(range, [](const auto& x) { return x.second.first + same_volts < x.second.second; });
}

} // namespace

Limits usual_limits(Volts nominal) {
    return {must_pull_in_share * nominal.si, may_pull_in_share * nominal.si, may_release_share * nominal.si,
            must_release_share * nominal.si};
}

Limits limits_of(const Circuit& c, const Primitive& coil) {
    const double in = coil.voltage.known() ? coil.voltage.nominal.si : 0;
    if (coil.purpose == Purpose::sensing) {
        const double out = coil.lets_go.known() ? coil.lets_go.nominal.si : in;
        return {in, in, out, out};
    }
    return usual_limits(in > 0 ? coil.voltage.nominal : c.vehicle.system);
}

Situations::Situations(Model& model, std::vector<Limits> limits, std::size_t most)
    : model_(model), limits_(std::move(limits)), most_(most) {
    for (std::size_t i = limits_.size(); i < model.coils().size(); ++i) {
        const Primitive& coil = model.circuit().at(model.coils()[i].primitive);
        limits_.push_back(limits_of(model.circuit(), coil));
    }
}

std::optional<SituationId> Situations::find(const Positions& positions, std::span<const double> near) {
    std::string key = key_of(positions);
    if (const auto known = known_.find(key); known != known_.end()) return known->second;
    if (all_.size() >= most_) return std::nullopt;
    const auto id = static_cast<SituationId>(all_.size());
    known_.emplace(std::move(key), id);
    Model::Quick q = model_.quick(positions, near);
    Situation s;
    s.positions = positions;
    s.coil_volts = std::move(q.coil_volts);
    s.nodes = std::move(q.nodes);
    s.solved = q.settled;
    judge(s);
    all_.push_back(std::move(s));
    next_.emplace_back();
    return id;
}

void Situations::judge(Situation& s) const {
    for (std::size_t i = 0; i < model_.coils().size(); ++i) {
        const auto relay = static_cast<std::uint16_t>(i);
        const ControlId control = model_.coils()[i].control;
        const std::uint8_t at = s.positions[control.index];
        const auto last = static_cast<std::uint8_t>(model_.circuit().at(control).positions.size() - 1);
        const double volts = s.coil_volts[i];
        const Limits& l = limits_[i];
        const bool pulls = volts >= l.must_pull_in, drops = volts <= l.must_release;
        if (at == 0) {
            if (volts >= l.may_pull_in) s.moves.push_back({relay, 1, pulls});
            if (pulls) s.restless.push_back(relay);
        } else if (at == last) {
            if (volts <= l.may_release) s.moves.push_back({relay, static_cast<std::uint8_t>(at - 1), drops});
            if (drops) s.restless.push_back(relay);
        } else {
            const bool may_fall = volts <= l.may_release;
            if (may_fall) s.moves.push_back({relay, static_cast<std::uint8_t>(at - 1), drops});
            if (!drops) s.moves.push_back({relay, static_cast<std::uint8_t>(at + 1), !may_fall});
            s.restless.push_back(relay);
        }
    }
}

const Situations::Following& Situations::next(SituationId id) {
    if (next_[id]) return *next_[id];
    const Situation& from = all_[id];
    std::vector<std::vector<Move>> by_relay;
    for (const Move& m : from.moves) {
        if (by_relay.empty() || by_relay.back().front().relay != m.relay) by_relay.emplace_back();
        by_relay.back().push_back(m);
    }
    // Every choice of: not now, or one of its moves, for each relay; as sets that grow.
    std::vector<std::vector<Move>> sets = {{}};
    if (by_relay.size() <= most_at_once) {
        for (const auto& choices : by_relay) {
            const std::size_t before = sets.size();
            for (const Move& m : choices)
                for (std::size_t i = 0; i < before; ++i) {
                    sets.push_back(sets[i]);
                    sets.back().push_back(m);
                }
        }
        sets.erase(sets.begin());
    } else {
        ++coarse_;
        sets.clear();
        std::vector<Move> all;
        for (const auto& choices : by_relay) {
            for (const Move& m : choices) sets.push_back({m});
            all.push_back(choices.back());
        }
        sets.push_back(all);
    }
    Following out;
    for (std::vector<Move>& set : sets) {
        Positions p = from.positions;
        Next n;
        for (const Move& m : set) {
            p[model_.coils()[m.relay].control.index] = m.to;
            n.must = n.must && m.must;
        }
        const auto to = find(p, from.nodes);
        if (!to) {
            out.missing = true;
            continue;
        }
        n.to = *to;
        n.moves = std::move(set);
        out.all.push_back(std::move(n));
    }
    return next_[id].emplace(std::move(out));
}

Settled Situations::settle(SituationId start) {
    Settled out;
    if (at(start).moves.empty()) {
        out.ends = {start};
        out.sure = 1;
        out.passed = {start};
        return out;
    }
    const Reachable r = reachable(*this, start);
    out.cut_short = r.cut_short;
    out.passed = r.order;
    const auto stable = [&](std::size_t s) { return at(r.order[s]).stable(); };
    const std::vector<bool> surely = reached(r, {0}, [](const Next& n) { return n.must; });
    for (const bool wanted : {true, false})
        for (std::size_t s = 0; s < r.order.size(); ++s)
            if (stable(s) && surely[s] == wanted) {
                out.ends.push_back(r.order[s]);
                out.sure += wanted ? 1 : 0;
            }

    const std::vector<std::size_t> part = connected_parts(r);
    std::map<std::size_t, Inside> parts;
    for (std::size_t s = 0; s < r.order.size(); ++s) {
        parts[part[s]].places.push_back(s);
        for (const Next& n : r.next[s])
            if (n.moves.size() == 1 && part[r.place.at(n.to)] == part[s])
                parts[part[s]].moves.emplace_back(s, n.moves.front());
    }
    const std::vector<bool> surely_single =
        reached(r, {0}, [](const Next& n) { return n.must && n.moves.size() == 1; });
    for (const auto& [number, c] : parts) {
        if (c.moves.empty() || !fair(*this, r, c)) continue;
        const std::vector<bool> onward = reached(r, c.places, [](const Next& n) { return n.moves.size() == 1; });
        bool exit = false;
        for (std::size_t s = 0; s < r.order.size(); ++s) exit = exit || (onward[s] && stable(s));
        Chatter chatter;
        chatter.certain =
            !exit && !r.cut_short && std::ranges::any_of(c.places, [&](std::size_t s) { return surely_single[s]; });
        if (!chatter.certain && !one_relay_can(*this, r, c)) continue;
        for (std::size_t s : c.places) chatter.situations.push_back(r.order[s]);
        for (const auto& [s, m] : c.moves) chatter.relays.push_back(m.relay);
        std::ranges::sort(chatter.situations);
        std::ranges::sort(chatter.relays);
        chatter.relays.erase(std::unique(chatter.relays.begin(), chatter.relays.end()), chatter.relays.end());
        out.chatter.push_back(std::move(chatter));
    }
    return out;
}

} // namespace loomproof::solve
