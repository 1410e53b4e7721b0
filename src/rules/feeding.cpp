#include "rules/feeding.hpp"

#include "rules/survey.hpp"

#include <algorithm>
#include <optional>

namespace loomproof::rules {

namespace {

/// The first pair of ways that can be gone at the same time, as one set of demands.
std::optional<Demands> together(const Spread& live, TerminalId fed, const Spread& ground, TerminalId other) {
    for (std::uint32_t l : live.ways_to(fed))
        for (std::uint32_t g : ground.ways_to(other)) {
            if (!fit_together(live.demands(l), ground.demands(g))) continue;
            Demands both = live.demands(l);
            for (const auto& [control, positions] : ground.demands(g)) {
                const auto same = std::ranges::find(both, control, &Demands::value_type::first);
                if (same == both.end())
                    both.emplace_back(control, positions);
                else
                    same->second &= positions;
            }
            return both;
        }
    return std::nullopt;
}

/// Bare ends in what is joined to an end that is not fed: switches, plugs, splices that lead nowhere yet.
struct Bare {
    std::vector<TerminalId> due;
    std::vector<PartId> joined;      ///< relays and switches
    std::vector<TerminalId> outputs; ///< of relays with a wire on another output: nobody has to wire these
    bool not_due = false, untraced = false;
};

/// An output of a relay that has a wire on another one, and that nobody said is still to wire.
bool is_free_output(const Study& s, TerminalId t) {
    const Circuit& c = s.circuit;
    const auto is_output = [&](TerminalId o) { return c.at(o).role == Role::make || c.at(o).role == Role::rest; };
    return c.part_of(t).kind == Kind::relay && is_output(t) &&
           std::ranges::none_of(c.still_to_wire, [&](const StillToWire& w) { return w.terminal == t; }) &&
           std::ranges::any_of(c.part_of(t).terminals,
                               [&](TerminalId o) { return is_output(o) && !s.now.wires_at(o).empty(); });
}

/// `not_live`: not beyond what is live in every position, which nothing that is still to come makes ground.
Bare bare_ends(const Study& s, const Sides& sides, const Ends& ends, std::vector<TerminalId> starts,
               bool not_live = false) {
    const Circuit& c = s.circuit;
    std::vector<bool> seen(c.terminals.size(), false);
    const std::vector<TerminalId> joined = region(s.now, std::move(starts), Through::what_conducts, [&](TerminalId t) {
        if (seen[t.index] || s.reference[t.index] || (not_live && sides.live_always(t))) return false;
        seen[t.index] = true;
        return true;
    });
    Bare bare;
    for (TerminalId t : joined) {
        if (s.reference[t.index]) continue;
        const Terminal& terminal = c.at(t);
        const Kind kind = c.at(terminal.part).kind;
        if ((kind == Kind::relay || kind == Kind::switching) &&
            std::ranges::find(bare.joined, terminal.part) == bare.joined.end())
            bare.joined.push_back(terminal.part);
        bare.untraced = bare.untraced || sides.untraced(t) || kind == Kind::unknown_end;
        // An end that a cut left is bare until something is joined to it.
        const bool cut_end = (kind == Kind::cut || kind == Kind::loose_end) && s.now.wires_at(t).size() < 2;
        if (cut_end || kind == Kind::not_known || c.at(terminal.part).poisoned) bare.not_due = true;
        if (!s.now.wires_at(t).empty() || terminal.internal) {
            // A joint with one wire only leads nowhere either.
            if ((kind == Kind::splice || kind == Kind::bus) && s.now.wires_at(t).size() == 1 &&
                s.now.primitives_at(t).empty())
                bare.not_due = true;
            continue;
        }
        const bool bolted = std::ranges::any_of(s.now.primitives_at(t),
                                                [&](PrimitiveId p) { return c.at(p).purpose == Purpose::mounting; });
        if (bolted || kind == Kind::metal || kind == Kind::ground) continue;
        const bool listed_as_open =
            std::ranges::any_of(ends.open(), [&](const Ends::Open& o) { return o.terminal == t && o.due; });
        if (listed_as_open)
            bare.due.push_back(t);
        else if (is_free_output(s, t))
            bare.outputs.push_back(t);
        else
            bare.not_due = true;
    }
    return bare;
}

} // namespace

static bool ever_together(const Spread& live, TerminalId a, TerminalId b) {
    for (std::uint32_t way : live.ways_to(a))
        for (std::uint32_t other : live.ways_to(b))
            if (fit_together(live.demands(way), live.demands(other))) return true;
    return false;
}

Feeding feeding_of(const Study& s, const Sides& sides, const Ends& ends, TerminalId a, TerminalId b, bool polar) {
    Feeding f;
    const Spread &plus = sides.plus(), &minus = sides.minus();
    auto demands = together(plus, a, minus, b);
    if (!demands && !polar) demands = together(plus, b, minus, a);
    if (demands) {
        f.how = Feeding::How::can;
        f.demands = std::move(*demands);
        return f;
    }
    if (sides.untraced(a) || sides.untraced(b)) {
        f.untraced = true;
        return f;
    }
    const bool live_a = sides.live(a), live_b = sides.live(b), ground_a = sides.ground(a), ground_b = sides.ground(b);
    if (live_a && live_b && !ground_a && !ground_b) {
        // Fed from two sides that are never live together, it gets its current back through what else hangs there: a tell-tale between
        // left and right.
        if (!ever_together(sides.live(), a, b)) return f;
        // Bare ends may still become its ground.
        const Bare of_a = bare_ends(s, sides, ends, {a}, true), of_b = bare_ends(s, sides, ends, {b}, true);
        // Two relays that put either end on plus when pulled in, and whose other outputs were to be its ground at rest.
        if (!of_a.outputs.empty() && !of_b.outputs.empty()) {
            f.open = of_a.outputs;
            for (TerminalId t : of_b.outputs)
                if (std::ranges::find(f.open, t) == f.open.end()) f.open.push_back(t);
        }
        const bool outputs = f.open.empty() && !(of_a.outputs.empty() && of_b.outputs.empty());
        f.untraced = of_a.untraced || of_b.untraced;
        f.how =
            f.untraced || of_a.not_due || of_b.not_due || outputs ? Feeding::How::not_known : Feeding::How::both_live;
        f.wrong = polar || sides.live_always(a) == sides.live_always(b) ? b : sides.live_always(a) ? a : b;
        return f;
    }
    if ((live_a && ground_b) || (live_b && ground_a)) {
        const bool right_way = (sides.plus().reached(a) && sides.minus().reached(b)) || !polar;
        f.how =
            right_way ? Feeding::How::never_both : Feeding::How::not_known; // the wrong way round: reversed-polarity
        return f;
    }
    if (live_a || live_b) {
        f.how = Feeding::How::no_ground;
        return f;
    }
    if (sides.ground_always(a) && sides.ground_always(b)) {
        f.how = Feeding::How::both_ground;
        return f;
    }
    Bare bare = bare_ends(s, sides, ends, {a, b});
    f.untraced = bare.untraced;
    f.open = std::move(bare.due);
    f.joined = std::move(bare.joined);
    f.how = bare.untraced || bare.not_due || !bare.outputs.empty() ? Feeding::How::not_known : Feeding::How::not_fed;
    return f;
}

bool perhaps_through_others(const Study& s, const Sides& sides, const Primitive& p) {
    std::vector<bool> seen(s.circuit.terminals.size(), false);
    const std::vector<TerminalId> joined = region(
        s.now, {p.a, p.b}, Through::loads_too,
        [&](TerminalId t) {
            if (seen[t.index] || s.reference[t.index]) return false;
            seen[t.index] = true;
            return true;
        },
        p.part);
    return std::ranges::any_of(joined, [&](TerminalId t) { return !s.reference[t.index] && sides.live(t); });
}

bool a_source_floats(const Study& s, const Sides& sides, const Ends& ends) {
    return std::ranges::any_of(missing_grounds(s, sides, ends),
                               [](const MissingGround& m) { return m.source || m.metal.exists(); });
}

std::vector<PartId> relays_that_never(const Study& s, const Demands& demands) {
    std::vector<PartId> never;
    const Survey* survey = survey_of(s);
    if (!survey) return never;
    for (const auto& [control, positions] : demands) {
        if (s.circuit.at(control).type != Control::Type::relay) continue;
        const bool ever = std::ranges::any_of(survey->behaviour.states, [&](const solve::State& state) {
            return (positions >> state.positions[control.index] & 1) != 0;
        });
        if (!ever) never.push_back(s.circuit.at(control).part);
    }
    return never;
}

} // namespace loomproof::rules
