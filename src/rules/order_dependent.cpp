#include "base/number.hpp"
#include "rules/all.hpp"
#include "rules/phrases.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

using solve::Trouble;

void say(const Study& s, const solve::Behaviour& behaviour, const Trouble& t, Report& report) {
    const Circuit& c = s.circuit;
    std::vector<PartId> parts;
    for (ControlId control : t.relays)
        if (std::ranges::find(parts, c.at(control).part) == parts.end()) parts.push_back(c.at(control).part);
    std::vector<solve::Operation> way = behaviour.way_to(t.before);
    if (t.by) way.push_back(*t.by);

    std::vector<std::string> ends;
    for (solve::StateId end : t.ends) {
        std::vector<std::string> in;
        for (ControlId control : t.relays)
            if (behaviour.states[end].positions[control.index] != c.at(control).rest)
                in.push_back(name_of(c, c.at(control).part));
        ends.push_back(in.empty() ? "none of them pulled in" : fmt::format("{} pulled in", list_of(in)));
    }
    std::vector<std::string> names;
    for (PartId p : parts) names.push_back(name_of(c, p));
    Finding f;
    f.rule = order_dependent.id;
    f.severity = Severity::fault;
    f.headline =
        sentence_start(fmt::format("Which of {} is faster decides what happens after this: {}.", list_of(names),
                                   way.empty() ? "the battery is joined" : solve::said(c, behaviour, way)));
    f.place = where_it_lies(c, parts.front());
    for (PartId p : parts) f.cites.push_back(cite_part(c, p));
    f.why = fmt::format("It ends with {}. Two relays of one kind differ by some milliseconds, warm ones from cold ones "
                        "too, so it changes from day to day.",
                        list_of(ends, "or with"));
    f.limit = "none: relays pull in and let go in no order that a file could state";
    f.cures.push_back(
        {"Let one relay wait for the other: feed its coil over the other's contact, so that only one can be first."});
    f.subjects = names;
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
    "relays of which the faster one decides where the circuit ends",
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
