#include "base/number.hpp"
#include "rules/called_so.hpp"
#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule fuel_pump_runs_on; // rule_list.hpp lists it

namespace {

using solve::StateId;

void run(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    if (std::ranges::none_of(s.now.parts(), [&](PartId p) { return is_fuel_pump(c.at(p)); })) return;
    if (Ends(s).doubtful())
        return report.not_checked.push_back(
            open_until_mended(fuel_pump_runs_on.id, "whether the fuel pump stops with the engine"));
    const Survey* survey =
        survey_or_say(s, report, fuel_pump_runs_on.id, "whether the fuel pump stops with the engine");
    if (!survey) return;
    const solve::Behaviour& b = survey->behaviour;
    const auto stands = [&](StateId id) {
        return b.states[id].stable && !b.states[id].held && id < survey->on.size() && !survey->on[id].empty() &&
               b.model().engine_does(b.states[id].positions) == solve::EngineDoes::nothing;
    };
    for (std::size_t i = 0; i < survey->loads.size(); ++i) {
        const PartId pump = c.at(survey->loads[i].load).part;
        if (!is_fuel_pump(c.at(pump)) || c.at(pump).poisoned) continue;
        // A cut-off is whatever takes the pump's feed with the hands as they are: an inertia or oil pressure switch, the engine computer, a
        // timer. What a crash throws is no hand's, whatever the file says or leaves out about its type; the ignition is the driver's hand,
        // though it may stand as a condition.
        const auto by_hand = [&](const Control& control) {
            if (control.type == Control::Type::condition) return is_called_ignition(control.name);
            return control.type == Control::Type::hand && !is_crash_switch(c.at(control.part));
        };
        const auto cut_off = [&](StateId id) {
            for (StateId other = 0; other < b.states.size(); ++other) {
                if (!stands(other) || survey->on[other][i]) continue;
                const bool same = std::ranges::all_of(b.variables, [&](const solve::Variable& v) {
                    const std::uint32_t at = v.controls.front().index;
                    return !by_hand(c.controls[at]) || b.states[id].positions[at] == b.states[other].positions[at];
                });
                if (same) return true;
            }
            return false;
        };
        for (StateId id = 0; id < b.states.size(); ++id) {
            if (!stands(id) || !survey->on[id][i] || cut_off(id)) continue;
            if (!b.complete) {
                report.not_checked.push_back(open_for_positions(
                    s, fuel_pump_runs_on.id,
                    fmt::format("whether anything cuts {} off with the engine stopped", name_of(c, pump))));
                break;
            }
            if (!c.engine) {
                report.not_checked.push_back(
                    {fuel_pump_runs_on.id, fmt::format("whether {} stops with the engine", name_of(c, pump)),
                     fmt::format(
                         "nobody said what the engine lives on, and nothing in the file cuts {} off but the key",
                         name_of(c, pump)),
                     fmt::format(
                         "Key on, engine standing: does {} fall silent after a few seconds? If not, it pumps "
                         "fuel out of a torn line after a crash: feed it over an inertia switch or a relay that "
                         "the engine holds.",
                         name_of(c, pump))});
                break;
            }
            Finding f;
            f.rule = fuel_pump_runs_on.id;
            f.severity = Severity::danger;
            f.headline = fmt::format("{} runs on with the engine stopped, and nothing cuts it off.",
                                     sentence_start(called(c, pump)));
            f.place = where_it_lies(c, pump);
            f.cites.push_back(cite_part(c, pump));
            const auto way = b.way_to(id);
            f.why = fmt::format("It runs {} while the engine stands. After a crash it pumps fuel out of a torn line "
                                "until somebody turns the key.",
                                way.empty() ? "with every switch at rest"
                                            : "with " + solve::said(c, b.states[id].positions));
            f.limit = "none: pumps stop with the engine, or after a few seconds (common practice since the seventies; "
                      "no source)";
            f.cures.push_back({"Feed it over an inertia switch and say so: switch S7 \"inertia switch\" { "
                               "closed* connects 1 with 2 | tripped }"});
            f.cures.push_back({"Feed it over a relay that the engine holds: oil pressure, the alternator's lamp "
                               "terminal, ignition pulses (a timed relay)."});
            f.subjects = {name_of(c, pump)};
            report.findings.push_back(std::move(f));
            break;
        }
    }
}

} // namespace

const Rule fuel_pump_runs_on = {
    "fuel-pump-runs-on",
    Severity::danger,
    Quantifier::forall,
    Harm::burns_or_runs_on,
    "a fuel pump that runs with the engine stopped and has no cut-off",
    "always danger; for motors called fuel pump. Where the file says nothing of the engine it is not checked, and "
    "asked for",
    {
        "With the engine stopped the fuel pump runs for as long as the key is on, and no switch, relay or unit cuts it "
        "off.",
        "After a crash it pumps fuel out of a torn line onto a hot engine.",
        "An inertia switch, or a relay that the engine holds: oil pressure, the alternator's lamp terminal, ignition "
        "pulses.",
        "None: pumps stop with the engine or after a few seconds (common practice, no source).",
        R"(loom 1
battery, 60 Ah
alternator G1, 65 A
starter M1, 150 A
switch S1 "ignition" { off* | run connects 30 with 15 | start connects 30 with 15 and 50, springs back }
fuse F1, 30 A
fuse F2, 15 A
bus BB15
load Y1 "ignition coil", 4 ohm
motor M2 "fuel pump", 6 A
engine, runs while Y1 is fed
wire W1 from battery:+ to M1:30, 25 mm2 black, 1 m, starter cable
wire W2 from battery:+ to F1, 4 mm2 red, 0.1 m
wire W3 from F1 to S1:30, 4 mm2 red, 1 m
wire W4 from S1:50 to M1:50, 4 mm2 black, 1 m
wire W5 from S1:15 to BB15, 4 mm2 black, 1 m
wire W6 from BB15 to Y1, 4 mm2 black, 1 m
wire W7 from Y1 to ground, 4 mm2 brown, 0.5 m
wire W8 from G1:B+ to battery:+, 10 mm2 red, 0.15 m
wire W10 from BB15 to F2, 2.5 mm2 black, 0.1 m
wire W13 from M2:- to ground, 2.5 mm2 brown, 0.5 m
wire W11 from F2 to M2:+, 2.5 mm2 black, 3 m
)",
        R"(loom 1
battery, 60 Ah
alternator G1, 65 A
starter M1, 150 A
switch S1 "ignition" { off* | run connects 30 with 15 | start connects 30 with 15 and 50, springs back }
fuse F1, 30 A
fuse F2, 15 A
bus BB15
load Y1 "ignition coil", 4 ohm
motor M2 "fuel pump", 6 A
engine, runs while Y1 is fed
wire W1 from battery:+ to M1:30, 25 mm2 black, 1 m, starter cable
wire W2 from battery:+ to F1, 4 mm2 red, 0.1 m
wire W3 from F1 to S1:30, 4 mm2 red, 1 m
wire W4 from S1:50 to M1:50, 4 mm2 black, 1 m
wire W5 from S1:15 to BB15, 4 mm2 black, 1 m
wire W6 from BB15 to Y1, 4 mm2 black, 1 m
wire W7 from Y1 to ground, 4 mm2 brown, 0.5 m
wire W8 from G1:B+ to battery:+, 10 mm2 red, 0.15 m
wire W10 from BB15 to F2, 2.5 mm2 black, 0.1 m
wire W13 from M2:- to ground, 2.5 mm2 brown, 0.5 m
switch S7 "inertia switch" { closed* connects 1 with 2 | tripped }
wire W11 from F2 to S7:1, 2.5 mm2 black, 1 m
wire W12 from S7:2 to M2:+, 2.5 mm2 black, 2 m
)",
    },
    run,
};

} // namespace loomproof::rules
