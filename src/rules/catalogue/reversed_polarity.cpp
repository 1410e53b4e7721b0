#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "rules/converter_ways.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule reversed_polarity; // rule_list.hpp lists it

namespace {

struct Ways {
    std::uint32_t plus, minus;
};

/// Plus at one end while minus is at the other, in some position; the first such pair.
std::optional<Ways> together(const Sides& sides, TerminalId plus, TerminalId minus) {
    for (std::uint32_t p : sides.plus().ways_to(plus))
        for (std::uint32_t m : sides.minus().ways_to(minus))
            if (fit_together(sides.plus().demands(p), sides.minus().demands(m))) return Ways{p, m};
    return std::nullopt;
}

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report), sides_(s) {}

    void run() {
        for (PartId battery : s_.reversed_batteries) say_battery(battery);
        if (!s_.reversed_batteries.empty()) return;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.element == Element::source && c_.at(p.part).kind == Kind::battery && !c_.at(p.part).poisoned)
                look_at_battery(p);
            if (!minds(p) || c_.at(p.part).poisoned || sides_.untraced(p.a) || sides_.untraced(p.b)) continue;
            if (together(sides_, p.a, p.b))
                continue; // it works in some position; the other way round is then meant, or back-fed
            if (const auto wrong = together(sides_, p.b, p.a)) say(p, *wrong);
        }
    }

  private:
    bool minds(const Primitive& p) const {
        if (c_.at(p.a).stamp != "+" || c_.at(p.b).stamp != "-")
            return false; // pins called supply and ground follow the body's pole
        return spec_of(c_.at(p.part).kind).wrong_way && !s_.now.has(p.part, Attr::reversible);
    }

    // A battery the wrong way round --------------------------------------------------------------------------------------------

    void look_at_battery(const Primitive& p) {
        const TerminalId live = s_.from_plus() ? p.a : p.b, ground = s_.from_plus() ? p.b : p.a;
        if (s_.now.wires_at(ground).empty()) return;
        // Meant to stand in a row, and turned: the one takes from the volts of the other.
        if (in_rows(p) && !s_.reference[live.index])
            for (PrimitiveId id : s_.now.primitives()) {
                const Primitive& other = c_.at(id);
                if (other.element != Element::source || c_.at(other.part).kind != Kind::battery || other.part == p.part)
                    continue;
                const TerminalId others_live = s_.from_plus() ? other.a : other.b,
                                 others_ground = s_.from_plus() ? other.b : other.a;
                // Of the two the one is turned that is not on the body.
                const bool on_body = on_metal(others_ground) && !on_metal(ground);
                if (on_body && wired_together(live, others_live, false) && !grounds_joined(ground, others_ground))
                    return say_against(p, live, ground, other, others_live);
            }
        if (s_.reference[ground.index]) return;
        if (s_.reference[live.index]) return say_battery_turned(p, live, ground);
        // In a row with another one on purpose, it feeds 24 V; beside that other one at the same time it is shorted.
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& other = c_.at(id);
            if (other.element != Element::source || c_.at(other.part).kind != Kind::battery || other.part == p.part)
                continue;
            const TerminalId others_live = s_.from_plus() ? other.a : other.b;
            if (wired_together(ground, others_live, false) && wired_together(live, others_live, true))
                return say_in_row(p, live, ground, others_live);
        }
    }

    /// Has the system more volts than this battery, so that several stand in a row?
    bool in_rows(const Primitive& p) const {
        constexpr double more = 1.5;
        return p.voltage.known() && c_.vehicle.system.si > more * p.voltage.nominal.si;
    }

    bool grounds_joined(TerminalId a, TerminalId b) const { return ground_walk(s_, a).reached(b); }
    bool on_metal(TerminalId pole) const {
        const Reach all = ground_walk(s_, pole);
        return std::ranges::any_of(all.in_order(), [&](TerminalId t) { return c_.part_of(t).kind == Kind::metal; });
    }

    /// Over wires and joints alone, or over what can close and open as well.
    bool wired_together(TerminalId a, TerminalId b, bool over_contacts) const {
        const Spread from(s_.now, {.starts = {a},
                                   .over_contacts = over_contacts,
                                   .over_protectors = over_contacts,
                                   .over_diodes = false,
                                   .not_beyond = &s_.reference});
        return from.reached(b);
    }

    Finding start_battery(const Primitive& p, TerminalId live, TerminalId ground) const {
        Finding f;
        f.rule = reversed_polarity.id;
        f.severity = Severity::danger;
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(cite_terminal(s_.now, ground, "belongs on ground"));
        if (s_.reference[live.index]) f.cites.push_back(cite_terminal(s_.now, live, "on ground"));
        f.subjects.push_back(name_of(c_, p.part));
        f.limit = "the battery's own marks, as the file names its poles";
        for (TerminalId t : {live, ground}) {
            f.subjects.push_back(name_of(c_, t));
            for (WireId w : s_.now.wires_at(t)) f.subjects.push_back(subject_of(c_, w));
        }
        return f;
    }

    void say_battery_turned(const Primitive& p, TerminalId live, TerminalId ground) {
        Finding f = start_battery(p, live, ground);
        const bool alone = std::ranges::none_of(
            s_.now.parts(), [&](PartId other) { return other != p.part && c_.at(other).kind == Kind::battery; });
        f.headline = sentence_start(fmt::format("{} is the wrong way round: {} is on ground, and {} goes to the feed.",
                                                called(c_, p.part), name_of(c_, live), name_of(c_, ground)));
        f.why = alone ? "Alternator and radio, control units and LED lamps do not stand it: many are spoilt the moment "
                        "it is connected."
                      : "As soon as it meets the other battery both are in a row, with nothing but cables between: "
                        "some hundred amps flow, cables and contacts burn, and the battery may burst.";
        f.cures.push_back(
            {fmt::format("Exchange its two cables, with the battery out of the circuit: {} belongs on ground.",
                         name_of(c_, ground))});
        if (alone)
            f.cures.push_back({fmt::format("If the car has {} on the body, write so in the file: system {}, {} ground.",
                                           s_.from_plus() ? "plus" : "minus", text(c_.vehicle.system),
                                           s_.from_plus() ? "positive" : "negative")});
        report_.findings.push_back(std::move(f));
    }

    void say_in_row(const Primitive& p, TerminalId live, TerminalId ground, TerminalId others_live) {
        Finding f = start_battery(p, live, ground);
        f.headline = fmt::format("{} is on {}, not on ground: {} is in a row with the other battery, and its {} is "
                                 "joined to that one as well.",
                                 name_of(c_, ground), name_of(c_, others_live), called(c_, p.part), stamp_of(c_, live));
        f.why = "So joined it is shorted over the cables between the two: some hundred amps flow, cables and contacts "
                "burn, and the battery may burst.";
        // What the system is made for comes first.
        const std::string apart =
            fmt::format("take the joint between {} and {} out", name_of(c_, live), name_of(c_, others_live));
        if (in_rows(p)) {
            f.cures.push_back({fmt::format("For {} {}.", text(c_.vehicle.system), apart)});
        } else {
            f.cures.push_back({fmt::format("Put the cable of {} on ground.", name_of(c_, ground))});
            f.cures.push_back({fmt::format("If twice the volts are what is wanted, {}.", apart)});
        }
        report_.findings.push_back(std::move(f));
    }

    void say_against(const Primitive& p, TerminalId live, TerminalId ground, const Primitive& other,
                     TerminalId others_live) {
        Finding f = start_battery(p, live, ground);
        f.cites = {cite_terminal(s_.now, live, fmt::format("on {}", name_of(c_, others_live))),
                   cite_terminal(s_.now, ground, "goes to the feed")};
        f.headline = sentence_start(
            fmt::format("{} is the wrong way round in its row: {} is on {}, so the two work against one another.",
                        called(c_, p.part), name_of(c_, live), name_of(c_, others_live)));
        f.why =
            fmt::format("{} and {} in a row that way give nothing; the system needs {}. Whoever finds everything dead "
                        "and joins the loose ends shorts them.",
                        text(p.voltage.nominal), text(other.voltage.nominal), text(c_.vehicle.system));
        f.cures.push_back(
            {fmt::format("Exchange its two cables, with both batteries out of the circuit: {} belongs on {}, "
                         "and {} feeds the system. See to fuses and wires after that.",
                         name_of(c_, ground), name_of(c_, others_live), name_of(c_, live))});
        f.subjects.push_back(name_of(c_, other.part));
        // All that hangs there gets its feed once the battery is turned.
        std::vector<bool> seen(c_.terminals.size(), false);
        const auto fresh = [&](TerminalId at) {
            if (seen[at.index] || c_.part_of(at).kind == Kind::metal) return false;
            seen[at.index] = true;
            return true;
        };
        for (TerminalId t : region(s_.now, {ground}, Through::what_conducts, fresh))
            if (const std::string name = name_of(c_, c_.at(t).part);
                std::ranges::find(f.subjects, name) == f.subjects.end())
                f.subjects.push_back(name);
        report_.findings.push_back(std::move(f));
    }

    void say(const Primitive& p, const Ways& wrong) {
        const Kind kind = c_.at(p.part).kind;
        Finding f;
        f.rule = reversed_polarity.id;
        f.severity = Severity::fault;
        f.headline =
            sentence_start(fmt::format("{} is the wrong way round: plus comes to its end {}, ground is on its end {}.",
                                       called(c_, p.part), stamp_of(c_, p.b), stamp_of(c_, p.a)));
        f.place = where_it_lies(c_, p.part);
        const auto cite = [&](TerminalId t, const char* label) {
            f.cites.push_back(cite_terminal(s_.now, t, label));
            if (!s_.now.wires_at(t).empty()) f.subjects.push_back(c_.at(s_.now.wires_at(t).front()).name);
        };
        f.subjects.push_back(name_of(c_, p.part));
        const bool from_plus = s_.from_plus();
        cite(p.b, from_plus ? "fed" : "on ground");
        cite(p.a, from_plus ? "on ground" : "fed");
        f.why = spec_of(kind).wrong_way;
        const std::string when_so = positions_in_words(c_, sides_.plus().demands(wrong.plus));
        if (!when_so.empty()) f.why += fmt::format(" That is so with {}.", when_so);
        f.limit = "the part's own marks, as the file names its ends";
        f.cures.push_back({fmt::format("Exchange its two wires: what is on {} goes to {}, and the other way round.",
                                       stamp_of(c_, p.b), stamp_of(c_, p.a))});
        if (kind == Kind::motor)
            f.cures.push_back({"If it may turn either way, or has a wound field, write \"reversible\" behind it."});
        f.path = stops_in_words(c_, sides_.plus().stops(wrong.plus));
        report_.findings.push_back(std::move(f));
    }

    /// What now lets current through the wrong way, and what opens on its way.
    void say_battery(PartId battery) {
        const bool from_plus = s_.from_plus();
        const auto& t = c_.at(battery).terminals;
        const TerminalId live = from_plus ? t[0] : t[1], ground = from_plus ? t[1] : t[0];
        Finding f;
        f.rule = reversed_polarity.id;
        f.severity = Severity::danger;
        f.headline = sentence_start(fmt::format("{} is the wrong way round: its {} is on the body, which is {} here.",
                                                c_.at(battery).named ? called(c_, battery) : "the battery",
                                                from_plus ? "plus" : "minus", from_plus ? "minus" : "plus"));
        f.place = where_it_lies(c_, battery);
        f.cites = {cite_terminal(s_.now, live, "goes to the body"), cite_terminal(s_.now, ground, "feeds the vehicle")};
        f.subjects.push_back(name_of(c_, battery));
        std::vector<std::string> rectifiers, spoilt;
        for (PartId p : s_.now.parts()) {
            const Kind kind = c_.at(p).kind;
            if (kind == Kind::alternator) rectifiers.push_back(name_of(c_, p));
            if (spec_of(kind).spoilt_wrong_way) spoilt.push_back(called(c_, p));
        }
        if (!rectifiers.empty())
            f.why = fmt::format("The diodes of {} lie straight across the battery now: hundreds of amps, held back by "
                                "nothing but the wires, until a link or fuse opens or they burn. ",
                                rectifiers == std::vector<std::string>{"alternator"} ? "the alternator"
                                                                                     : list_of(rectifiers));
        f.why += spoilt.empty() ? "Electronic units, LED lamps and diodes across coils do not stand it."
                                : fmt::format("Nor does what has diodes inside stand it: {}.", list_of(spoilt));
        f.limit = fmt::format("the vehicle has its {} on the body", from_plus ? "minus" : "plus");
        f.cures.push_back({fmt::format(
            "Take both cables off the battery, the one to the body first, and exchange them: {} goes to the body. "
            "Before you connect it again test the links and fuses{}. Then "
            "mark both cables at both ends.",
            from_plus ? "minus" : "plus",
            rectifiers.empty() ? ""
                               : ", and the alternator's diodes (ohms from its output to its case, both ways round)")});
        f.cures.push_back({fmt::format(
            "If the vehicle has its {} on the body: write it at the head of the file: system {}, {} ground",
            from_plus ? "plus" : "minus", text(c_.vehicle.system), from_plus ? "positive" : "negative")});
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    Sides sides_;
};

void run(const Study& s, Report& report) {
    Judge(s, report).run();
    if (s.reversed_batteries.empty()) judge_converter_ends(s, report);
}

} // namespace

const Rule reversed_polarity = {
    "reversed-polarity",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a battery, LED lamp, electronic unit, outlet, charger or motor the wrong way round",
    "a danger for a battery, else a fault",
    {
        "Plus comes to the end that belongs on ground, and the other way round, in every switch position in which "
        "anything comes to it. Or a charger's in and out are exchanged: it empties the battery that it shall charge.",
        "LED lamps stay dark, electronic units are spoilt, motors with magnets turn backwards. A battery the wrong way "
        "round shorts itself over the "
        "alternator's diodes, or through another battery.",
        "Exchange the two wires. Of a battery: with both cables off, the one that goes to ground off first and on "
        "last.",
        "The part's own marks, as the file names its ends. Lamps, horns, heaters and resistors work either way round; "
        "so does a motor that the file calls "
        "reversible. Cars with plus on the body are judged by potential, not by colour.",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "light bar", 16 A
led E1 "light bar", 60 W
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to E1:-, 2.5 mm2 red, 1 m
wire from E1:+ to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "light bar", 16 A
led E1 "light bar", 60 W
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to E1:+, 2.5 mm2 red, 1 m
wire from E1:- to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
