#include "base/number.hpp"
#include "base/words.hpp"
#include "rules/alternator_lines.hpp"
#include "rules/ends.hpp"
#include "rules/fault_current.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule excitation_lost; // rule_list.hpp lists it

namespace {

/// A lamp of 2 W at 12 V lets 0.17 A through and wakes an alternator, a light-emitting diode with its 20 mA does not (common practice, from
/// memory). At 24 V half of it.
constexpr Amps wakes{0.1};

/// What takes the charge lamp's current away from the lamp terminal: a diode the wrong way round, a load tied to the same line.
struct Diverted {
    PartId to;
    Amps amps;
    bool over_diode = false;
};

/// The most of it over one part at the lamp's line: what wires and joints alone tie to the lamp terminal.
Diverted diverted(const Study& s, const Primitive& rotor, const solve::Point& point) {
    const Circuit& c = s.circuit;
    const Spread line(s.now, {.starts = {rotor.a},
                              .over_contacts = false,
                              .over_protectors = false,
                              .over_diodes = false,
                              .not_into = &s.reference});
    Diverted most;
    for (PrimitiveId id : s.now.primitives()) {
        const Primitive& p = c.at(id);
        if (p.part == rotor.part || line.reached(p.a) == line.reached(p.b) || !point.primitive_amps[id.index]) continue;
        if (p.element != Element::junction && !is_load(p)) continue;
        // Along with the lamp's current: out of the line where plus is live, into it where minus is.
        const double out = point.primitive_amps[id.index]->si * (line.reached(p.a) ? 1 : -1) * (s.from_plus() ? 1 : -1);
        if (out > most.amps.si) most = {p.part, Amps{out}, p.element == Element::junction};
    }
    return most;
}

/// The wire that ties its line to ground over wires and joints alone; none where nothing does.
WireId to_ground(const Study& s, TerminalId lamp) {
    const auto home = [&](TerminalId t) { // what is tied to ground is all of the reference, the lamp's line too
        return s.circuit.part_of(t).kind == Kind::metal ||
               std::ranges::any_of(s.now.primitives_at(t),
                                   [&](PrimitiveId p) { return s.circuit.at(p).element == Element::source; });
    };
    const Reach reach = s.graph.walk(
        std::vector{lamp},
        [&](EdgeRef e, TerminalId from) {
            if (home(from)) return false;
            return e.is_wire() ? !s.circuit.at(e.wire).poisoned : s.circuit.at(e.primitive).element == Element::joint;
        },
        &Edge::metres);
    for (TerminalId t : reach.in_order()) {
        if (!home(t) || !s.reference[t.index]) continue;
        const std::vector<EdgeRef> way = reach.path_to(t);
        for (auto e = way.rbegin(); e != way.rend(); ++e)
            if (e->is_wire()) return e->wire;
    }
    return {};
}

/// Does the file show what could wake it: a lamp or resistor on that line, or any way to a live pole? The wire to the trigger of a converter or
/// to the coil of a charging relay alone is what somebody adds who leaves the maker's lamp undrawn.
bool is_its_lamp_drawn(const Study& s, const Primitive& rotor) {
    const Circuit& c = s.circuit;
    const Reach reach = s.graph.walk(
        std::vector{rotor.a},
        [&](EdgeRef e, TerminalId from) {
            return !s.reference[from.index] && (e.is_wire() || c.at(e.primitive).part != rotor.part);
        },
        &Edge::metres);
    return std::ranges::any_of(reach.in_order(), [&](TerminalId t) {
        switch (c.part_of(t).kind) {
        case Kind::lamp:
        case Kind::led:
        case Kind::resistor:
        case Kind::unknown_end:
        case Kind::not_known: return true;
        default: break;
        }
        return s.reference[t.index] ? false : std::ranges::any_of(s.now.primitives_at(t), [&](PrimitiveId id) {
            return c.at(id).element == Element::source;
        });
    });
}

/// An alternator that is said to have a lamp terminal, and nothing on it: nobody says it wakes by itself. In what is not finished it stands
/// under what is still to wire.
void look_at_bare_lamp_terminals(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    const Ends ends(s);
    for (PartId id : s.now.parts()) {
        const Part& part = c.at(id);
        if (part.kind != Kind::alternator || part.poisoned || !s.now.has(id, Attr::lamp_stamp)) continue;
        const TerminalId lamp = part.terminals[2];
        const bool any = std::ranges::any_of(part.terminals, [&](TerminalId t) { return !s.now.wires_at(t).empty(); });
        if (!any || !s.now.wires_at(lamp).empty() || !ends.due(lamp)) continue;
        if (ends.doubtful()) {
            report.not_checked.push_back(
                open_until_mended(excitation_lost.id, fmt::format("whether {} begins to charge", name_of(c, id))));
            continue;
        }
        Finding f;
        f.rule = excitation_lost.id;
        f.severity = Severity::fault;
        f.headline =
            fmt::format("Nothing is wired to the lamp terminal of {}: it does not begin to charge.", name_of(c, id));
        f.place = where_it_lies(c, id);
        f.cites.push_back(cite_part(c, id, "said to have one"));
        f.why = "The lamp's current wakes the alternator; without it the battery alone feeds the car, and no lamp "
                "says so.";
        f.limit = "an alternator with a lamp terminal needs that lamp's current, 0.1 A or more at 12 V (common "
                  "practice, from memory)";
        f.cures.push_back({fmt::format("Feed {} over a charge lamp of 2 to 3 W from the ignition.", name_of(c, lamp))});
        f.cures.push_back(
            {"If its sheet says that it wakes by itself, take the words \"lamp terminal\" off its line."});
        f.measure =
            "Engine running, meter across the battery: 13.8 V or more, it charges; what it had at rest, it does "
            "not.";
        f.subjects = {name_of(c, lamp), name_of(c, id)};
        report.findings.push_back(std::move(f));
    }
}

/// Tied to the ignition without a lamp or a resistor: whether that is right hangs on what the alternator does at that terminal while it turns.
void ask_what_is_fed_straight(const Study& s, const Sides& sides, const Primitive& rotor, Report& report) {
    const Circuit& c = s.circuit;
    const std::string stamp = lower(s.now.word(rotor.part, Attr::lamp_stamp));
    for (const char* ignition : {"ig", "ign", "15", "a"}) // an input for the ignition by its stamp
        if (stamp == ignition) return;
    if (s.now.is_factory(rotor.part) || !sides.live(rotor.a)) return;
    const std::uint32_t way = sides.live().ways_to(rotor.a).front();
    const std::vector<EdgeRef> edges = sides.live().edges(way);
    // What a diode keeps from coming back keeps nothing alive; its own output is no ignition.
    if (std::ranges::any_of(
            edges, [&](EdgeRef e) { return !e.is_wire() && c.at(e.primitive).element == Element::junction; }) ||
        c.at(sides.live().start(way)).part == rotor.part)
        return;
    const std::string lamp = name_of(c, rotor.a), name = name_of(c, rotor.part);
    const std::string when = positions_in_words(c, sides.live().demands(way));
    WireId into;
    for (WireId w : s.now.wires_at(rotor.a)) into = w;
    report.not_checked.push_back(
        {excitation_lost.id, fmt::format("what {} does while {} turns", lamp, name),
         fmt::format("it is live {}, without a lamp or a resistor before it",
                     when.empty() ? "at all times" : "with " + when),
         fmt::format("Look into its sheet. If it is the lamp terminal of one with exciter diodes (D+, 61, L), it gives "
                     "some 14 V back while it turns: the engine may run on with the key off, until those diodes burn, "
                     "and no lamp tells that it has stopped charging; put a charge lamp of 2 to 3 W, or a resistor of "
                     "50 to 100 ohm, 5 W, into {}. If it only wants the ignition's plus to wake, the wire is right: "
                     "write its stamp behind {}, lamp terminal IG.",
                     into.exists() ? called(c, into) : "that wire", name)});
}

void run(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    const auto alternator = std::ranges::find(s.now.parts(), Kind::alternator, [&](PartId p) { return c.at(p).kind; });
    if (alternator == s.now.parts().end()) return;
    look_at_bare_lamp_terminals(s, report);
    if (!c.has_mistakes)
        if (const Survey* survey = survey_of(s))
            judge_alternator_lines(s, *survey, excitation_lost.id, wakes * (12 / c.vehicle.system.si), report);
    std::vector<PrimitiveId> rotors;
    for (PrimitiveId id : s.now.primitives())
        if (const Primitive& p = c.at(id);
            p.purpose == Purpose::charge_lamp_terminal && !c.at(p.part).poisoned && !s.now.wires_at(p.a).empty())
            rotors.push_back(id);
    if (rotors.empty()) return;
    const Ends ends(s);
    const auto what = [&](PrimitiveId id) {
        return fmt::format("whether {} begins to charge", name_of(c, c.at(id).part));
    };
    if (ends.doubtful())
        return report.not_checked.push_back(open_until_mended(excitation_lost.id, what(rotors.front())));
    const Survey* survey = survey_or_say(s, report, excitation_lost.id, what(rotors.front()));
    if (!survey) return;
    const Sides sides(s);
    for (PrimitiveId id : rotors) {
        const Primitive& p = c.at(id);
        ask_what_is_fed_straight(s, sides, p, report);
        const auto seen = std::ranges::find(survey->rotors, id, &RotorSeen::terminal);
        if (seen == survey->rotors.end() || sides.untraced(p.a) ||
            seen->most >= wakes * 12 / s.circuit.vehicle.system.si)
            continue;
        if (seen->most < Amps{1e-3} && !c.vehicle.described) continue; // its lamp may not be drawn
        if (seen->most < Amps{1e-3} && !is_its_lamp_drawn(s, p) && !to_ground(s, p.a).exists()) {
            report.not_checked.push_back(
                {excitation_lost.id, what(id), fmt::format("what wakes it over {} is not drawn", name_of(c, p.a)),
                 "Ignition on, engine off: where the charge lamp lights, it is wired; draw it."});
            continue;
        }
        // An end that is still to wire says nothing yet; a monitor in the line is an end about which nothing is concluded.
        const HangsOn on = what_it_hangs_on(s, sides, ends, p.part);
        if (!on.unfinished.empty()) continue;
        if (!survey->behaviour.complete) {
            report.not_checked.push_back(open_for_positions(s, excitation_lost.id, what(id)));
            continue;
        }
        Finding f;
        f.rule = excitation_lost.id;
        f.severity = Severity::fault;
        const std::string name = name_of(c, p.part), lamp = name_of(c, p.a);
        const bool none = seen->most < Amps{1e-3};
        f.headline =
            none ? fmt::format("{} gets no current in any switch position: {} does not begin to charge.", lamp, name)
                 : fmt::format("{} gets {} at most: too little for {} to begin to charge.", lamp,
                               text(rounded(seen->most, 2)), name);
        f.place = where_it_lies(c, p.part);
        f.cites.push_back(cite_terminal(s.now, p.a));
        f.why = none ? "The lamp's current wakes the alternator; without it the battery alone feeds the car, and no "
                       "lamp says so."
                     : fmt::format("The charge lamp's current wakes the alternator ({}). With too little it wakes "
                                   "late, at high speed, or never.",
                                   when(s, survey->behaviour, seen->most_at));
        f.limit = "0.1 A at 12 V: a lamp of 2 to 3 W wakes one, a light-emitting diode does not (common practice, from "
                  "memory)";
        const Diverted away = diverted(s, p, survey->behaviour.point(seen->most_at));
        if (away.amps > seen->most && away.amps > Amps{1e-3}) {
            // A larger lamp would only push more through that.
            const std::string taker = away.over_diode ? "the diode of " + name_of(c, away.to) : called(c, away.to);
            f.why += fmt::format(" Here {} takes {} of what the charge lamp lets through.", taker,
                                 text(rounded(away.amps, 2)));
            f.subjects = {lamp, name, name_of(c, away.to)};
            f.cites.push_back(cite_part(c, away.to, "takes the lamp's current"));
            if (away.over_diode) {
                f.cures.push_back({fmt::format("Turn {} round or take it off this line: its band belongs on the side "
                                               "of {}.",
                                               taker, lamp)});
            } else {
                f.cures.push_back({fmt::format("Take {} off this line.", taker)});
                f.cures.push_back({fmt::format("If it has to work while the alternator charges, let a relay feed it "
                                               "from the battery, and tie only the relay's coil to {}.",
                                               lamp)});
            }
            f.hangs_on = on.names;
            report.findings.push_back(std::move(f));
            continue;
        }
        if (const WireId wire = to_ground(s, p.a); wire.exists()) {
            // A larger lamp would only send more past it.
            const std::string which = called(c, wire);
            f.why += fmt::format(" Here {} leads it to ground, past the alternator.", which);
            f.cites.push_back({c.at(wire).span, "leads it to ground"});
            f.subjects.push_back(subject_of(c, wire));
            f.cures.push_back(
                {fmt::format("Take {} off: the charge lamp gets its ground through {} alone.", which, lamp)});
            f.hangs_on = on.names;
            report.findings.push_back(std::move(f));
            continue;
        }
        if (!none)
            f.cures.push_back(
                {"Fit a lamp of 2 to 3 W, or put a resistor of 50 to 100 ohm, 5 W, beside the light-emitting diode."});
        f.cures.push_back({fmt::format("Feed {} over a charge lamp of 2 to 3 W from the ignition.", lamp)});
        f.subjects = {lamp, name};
        f.hangs_on = on.names;
        report.findings.push_back(std::move(f));
    }
}

} // namespace

const Rule excitation_lost = {
    "excitation-lost",
    Severity::fault,
    Quantifier::forall,
    Harm::other,
    "an alternator that does not wake, loses its sense wire, is parted from the battery by a switch, or gives more "
    "than "
    "the fuse in its lead carries",
    "always a fault; alternators of which no lamp terminal is said or wired wake by themselves and are left alone, and "
    "so is, "
    "in a vehicle partly described, one whose terminal gets nothing",
    {
        "With the engine standing, no switch position lets enough current into the alternator's lamp terminal. Or its "
        "sense wire is dead while the engine may run. Or a switch can part its main lead from every battery meanwhile. "
        "Or the fuse in that lead is smaller than what it gives: it opens while a flat battery is charged.",
        "The charge lamp's current wakes the alternator. Without it the battery runs flat on the road and no lamp "
        "warns.",
        "A charge lamp of 2 to 3 W from the ignition; with a light-emitting diode a resistor of 50 to 100 ohm, 5 W, "
        "beside it. In the charging lead a fuse for all that the alternator gives, with wire to suit.",
        "0.1 A at 12 V (common practice, from memory). Sense wire and main lead are followed in the positions in which "
        "the engine runs; where the file says nothing of the engine, a sense wire in those in which the lamp terminal "
        "is "
        "fed, and a main lead past every switch by hand. A lamp terminal that the ignition feeds without a lamp or a "
        "resistor is "
        "asked for: what it does hangs on the alternator.",
        R"(loom 1
battery, 60 Ah
alternator G1, 65 A
switch S1 "ignition"
led H1 "charge lamp", 0.02 A
fuse F1, 10 A
bus BB15
lamp E1 "side lamp", 5 W
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 1.5 mm2 red, 1 m
wire W3 from S1 to BB15, 1.5 mm2 black, 1 m
wire W4 from BB15 to E1, 1.5 mm2 black, 1 m
wire W5 from E1 to ground, 1.5 mm2 brown, 0.5 m
wire W8 from G1:B+ to battery:+, 10 mm2 red, 0.15 m
wire W9 from BB15 to H1:+, 1.5 mm2 blue, 1 m
wire W10 from H1:- to G1:L, 1.5 mm2 blue, 1 m
)",
        R"(loom 1
battery, 60 Ah
alternator G1, 65 A
switch S1 "ignition"
lamp H1 "charge lamp", 3 W
fuse F1, 10 A
bus BB15
lamp E1 "side lamp", 5 W
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 1.5 mm2 red, 1 m
wire W3 from S1 to BB15, 1.5 mm2 black, 1 m
wire W4 from BB15 to E1, 1.5 mm2 black, 1 m
wire W5 from E1 to ground, 1.5 mm2 brown, 0.5 m
wire W8 from G1:B+ to battery:+, 10 mm2 red, 0.15 m
wire W9 from BB15 to H1:+, 1.5 mm2 blue, 1 m
wire W10 from H1:- to G1:L, 1.5 mm2 blue, 1 m
)",
    },
    run,
};

} // namespace loomproof::rules
