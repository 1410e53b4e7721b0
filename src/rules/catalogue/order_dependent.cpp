#include "base/number.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule order_dependent; // rule_list.hpp lists it

namespace {

using solve::Trouble;

/// Those that end differently, and those that the operation moves whichever way it ends: it is them that the former race against.
std::vector<ControlId> racing(const Circuit& c, const solve::Behaviour& behaviour, const Trouble& t) {
    std::vector<ControlId> found;
    for (std::size_t i = 0; i < c.controls.size(); ++i) {
        const ControlId control{i};
        if (c.at(control).type != Control::Type::relay) continue;
        const std::uint8_t before = t.by ? behaviour.states[t.before].positions[i] : c.at(control).rest;
        const bool moves = std::ranges::any_of(
            t.ends, [&](solve::StateId end) { return behaviour.states[end].positions[i] != before; });
        if (moves || std::ranges::find(t.relays, control) != t.relays.end()) found.push_back(control);
    }
    return found;
}

void say(const Study& s, const solve::Behaviour& behaviour, const Trouble& t, Report& report) {
    const Circuit& c = s.circuit;
    const std::vector<ControlId> racers = racing(c, behaviour, t);
    std::vector<PartId> parts;
    for (ControlId control : racers)
        if (std::ranges::find(parts, c.at(control).part) == parts.end()) parts.push_back(c.at(control).part);
    // Two coils of one part are told apart by their names.
    const auto name = [&](ControlId control) {
        const Control& it = c.at(control);
        const auto others = std::ranges::count_if(racers, [&](ControlId o) { return c.at(o).part == it.part; });
        return name_of(c, it.part) + (others > 1 && !it.name.empty() ? " " + it.name : "");
    };
    std::vector<solve::Operation> way = behaviour.way_to(t.before);
    if (t.by) way.push_back(*t.by);

    std::vector<std::string> ends;
    for (solve::StateId end : t.ends) {
        std::vector<std::string> in;
        for (ControlId control : racers)
            if (behaviour.states[end].positions[control.index] != c.at(control).rest) in.push_back(name(control));
        ends.push_back(!in.empty()          ? fmt::format("{} pulled in", list_of(in))
                       : racers.size() == 1 ? name(racers.front()) + " at rest"
                                            : "none of them pulled in");
    }
    std::vector<std::string> names, subjects;
    for (ControlId control : racers) names.push_back(name(control));
    for (PartId p : parts) subjects.push_back(name_of(c, p));
    Finding f;
    f.rule = order_dependent.id;
    f.severity = Severity::fault;
    const std::string after = way.empty() ? "when the battery is joined" : solve::said(c, behaviour, way) + ", and";
    // The other ones move and come back: in the end they stand as they stood.
    const bool few = ends.size() <= 3;
    f.headline = sentence_start(
        names.size() == 1
            ? fmt::format("{} it is luck whether {} ends pulled in or at rest.", after, names.front())
            : fmt::format("{} it is luck how it ends{}.", after,
                          few ? ": with " + list_of(ends, "or with")
                              : fmt::format("; {} ways are possible for {}", ends.size(), list_of(names))));
    f.place = where_it_lies(c, parts.front());
    for (PartId p : parts) f.cites.push_back(cite_part(c, p));
    f.why = fmt::format("{} the same moment, and the quicker one decides{}. Two relays of one kind differ by some "
                        "milliseconds, warm ones from cold ones too, so it changes from day to day.",
                        names.size() == 1 ? "Relays are on their way at" : list_of(names) + " move at",
                        few && names.size() > 1 ? "" : ": it ends with " + list_of(ends, "or with"));
    f.limit = "none: relays pull in and let go in no order that a file could state";
    f.cures.push_back(
        {"Let one relay wait for the other: feed its coil over the other's contact, so that only one can be first."});
    f.subjects = subjects;
    report.findings.push_back(std::move(f));
}

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, order_dependent.id, "whether the order of relays matters");
    if (!survey) return;
    for (const Trouble& t : survey->behaviour.troubles)
        if (t.kind == Trouble::Kind::race && t.relays.size() > 0) say(s, survey->behaviour, t, report);
    if (!survey->behaviour.complete)
        report.not_checked.push_back(
            open_for_positions(s, order_dependent.id, "whether the order of relays matters in every switch position"));
}

} // namespace

const Rule order_dependent = {
    "order-dependent",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a switch after which it is luck how the relays end",
    "always a fault",
    {
        "One operation can end in two different ways, and both are stable: which of the relays is faster decides.",
        "It works on the bench and fails on a cold morning. Relays of one kind differ by milliseconds.",
        "Let one relay wait for the other: feed its coil over the other's contact.",
        "None. All orders are tried, also several relays at the same moment; only what relays must do counts.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1
relay K1 "left", 5-pin, resistor 680 ohm
relay K2 "right", 5-pin, resistor 680 ohm
splice SP1, crimp
lamp E1, 5 W
lamp E2, 5 W
wire from battery:+ to F1, 1 mm2 red, 0.1 m
wire from F1 to S1, 1 mm2 red, 0.5 m
wire from S1 to SP1, 1 mm2 red, 0.5 m
wire from SP1 to K1:30, 1 mm2 red, 0.1 m
wire from SP1 to K2:30, 1 mm2 red, 0.1 m
wire W6 from K1:87a to K2:86, 1 mm2 red, 0.1 m
wire W7 from K2:87a to K1:86, 1 mm2 red, 0.1 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
wire from K2:85 to ground, 1 mm2 black, 0.3 m
wire from K1:87 to E1, 1 mm2 red, 0.3 m
wire from K2:87 to E2, 1 mm2 red, 0.3 m
wire from E1:- to ground, 1 mm2 black, 0.3 m
wire from E2:- to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1
relay K1 "left", 5-pin, resistor 680 ohm
relay K2 "right", 5-pin, resistor 680 ohm
splice SP1, crimp
lamp E1, 5 W
lamp E2, 5 W
wire from battery:+ to F1, 1 mm2 red, 0.1 m
wire from F1 to S1, 1 mm2 red, 0.5 m
wire from S1 to SP1, 1 mm2 red, 0.5 m
wire from SP1 to K1:30, 1 mm2 red, 0.1 m
wire from SP1 to K2:30, 1 mm2 red, 0.1 m
wire W6 from K1:87a to K2:86, 1 mm2 red, 0.1 m
switch S2 "left"
wire W7 from SP1 to S2, 1 mm2 red, 0.1 m
wire W8 from S2 to K1:86, 1 mm2 red, 0.1 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
wire from K2:85 to ground, 1 mm2 black, 0.3 m
wire from K1:87 to E1, 1 mm2 red, 0.3 m
wire from K2:87 to E2, 1 mm2 red, 0.3 m
wire from E1:- to ground, 1 mm2 black, 0.3 m
wire from E2:- to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
