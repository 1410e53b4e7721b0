#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "rules/unknown.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule ammeter_in_path; // rule_list.hpp lists it

namespace {

/// Nobody said where its scale ends. The maker's own, before nothing but the maker's loads, is left alone.
void say_unrated(const Study& s, const Survey& survey, PrimitiveId id, const Peak& peak, Report& report) {
    const Circuit& c = s.circuit;
    const PartId part = c.at(id).part;
    const auto behind = hang_behind(s, {{}, id});
    const auto makers = [&](PartId p) { return s.now.is_factory(p); };
    if (makers(part) && behind && std::ranges::all_of(*behind, makers)) return;
    const bool dash = c.at(part).kind == Kind::ammeter;
    report.not_checked.push_back(
        {ammeter_in_path.id, fmt::format("whether {} carries what goes through it", called(c, part)),
         fmt::format("nobody said {}, and {} go through it {}", dash ? "where its scale ends" : "what it is made for",
                     text(rounded(peak.amps, 3)), when(s, survey.behaviour, peak.at)),
         fmt::format("Read {}, and write it behind the name: {}. Less than {}: feed what was added past it.",
                     dash ? "the end of its scale" : "the amps stamped on it",
                     dash ? fmt::format("ammeter {}, 60 A", name_of(c, part))
                          : fmt::format("shunt {}, 100 A, 75 mV", name_of(c, part)),
                     text(rounded(peak.amps, 3)))});
}

void run(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    std::vector<PrimitiveId> meters;
    for (PrimitiveId id : s.now.primitives())
        if (c.at(id).element == Element::meter && !c.at(c.at(id).part).poisoned) meters.push_back(id);
    if (meters.empty()) return;
    const Survey* survey =
        survey_of_bad_positions(s, report, ammeter_in_path.id, "what goes through ammeters and shunts");
    if (!survey) return;
    const Weighing weighing(s, *survey);
    for (PrimitiveId id : meters) {
        const Primitive& p = c.at(id);
        const auto& peak = survey->part[id.index]; // what lasts; the swing of a starting motor does not hurt it
        if (!peak) continue;
        if (!p.rating.known()) {
            say_unrated(s, *survey, id, *peak, report);
            continue;
        }
        const auto weighed = weighing.weigh_current(
            {{}, id}, *peak, p.rating.nominal.si * 1.01, [&] { return called(c, p.part); }, "is made for it",
            "gets more than it is made for");
        if (peak->amps <= p.rating.nominal * 1.01 && !(weighed && weighed->verdict == Weighed::Verdict::fails)) {
            if (weighed && weighed->undecided())
                report.not_checked.push_back({ammeter_in_path.id,
                                              fmt::format("whether {} carries what goes through it", called(c, p.part)),
                                              weighed->why, weighed->measure});
            continue;
        }
        const auto behind = hang_behind(s, {{}, id});
        const bool dash = c.at(p.part).kind == Kind::ammeter;
        Finding f;
        f.rule = ammeter_in_path.id;
        f.severity = dash ? Severity::danger : Severity::advice;
        f.certainty = weighed ? weighed->certainty() : sureness(s, *survey, behind, peak->amps, p.rating.nominal);
        if (weighed) f.measure = weighed->measure;
        f.headline = sentence_start(fmt::format("{} of {} carries {} {}.", called(c, p.part), text(p.rating.nominal),
                                                text(rounded(peak->amps, 3)), when(s, survey->behaviour, peak->at)));
        f.place = where_it_lies(c, p.part);
        f.cites.push_back(
            {p.rating.span.exists() ? p.rating.span : c.at(p.part).span, dash ? "end of its scale" : "made for that"});
        f.why = dash ? "Beyond its scale it burns out behind the dash; then all that comes through it is dead, or its "
                       "studs set fire to what lies there."
                     : "It gets hot, and what it shows is wrong from then on.";
        if (behind)
            if (const std::string names = takers(s, *behind, survey->behaviour.point(peak->at)); !names.empty())
                f.why += " Through it: " + names + ".";
        f.limit = fmt::format("{}, as the file says", text(p.rating.nominal));
        f.cures.push_back({"Feed what was added straight from the battery, over a fuse and a relay, so that it does "
                           "not come through the meter."});
        f.cures.push_back({dash ? "Fit a voltmeter in its place and join the two wires: many do so with old ammeters."
                                : fmt::format("Fit a shunt for {} or more.", text(rounded(peak->amps, 2)))});
        f.subjects.push_back(name_of(c, p.part));
        if (behind)
            for (PartId part : *behind) f.subjects.push_back(name_of(c, part));
        report.findings.push_back(std::move(f));
    }
}

} // namespace

const Rule ammeter_in_path = {
    "ammeter-in-path",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "more current through a dash ammeter or shunt than it is made for",
    "a danger through a dash instrument, advice through a shunt",
    {
        "In a switch position that lasts, more goes through this ammeter than the end of its scale, or through this "
        "shunt than it is made for.",
        "All of the vehicle comes through an old car's ammeter: where it burns out everything is dead, and its studs "
        "behind the dash are unfused.",
        "Feed added loads from the battery, past the meter; or fit a voltmeter in its place.",
        "The amps marked on it, as the file says. What lasts seconds does not count.",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A
ammeter P1, 20 A
switch S1, 30 A
heater E1 "screen", 24 A
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to P1, 6 mm2 red, 1 m
wire from P1 to S1, 6 mm2 red, 1 m
wire from S1 to E1, 6 mm2 red, 1 m
wire from E1 to ground, 6 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A
ammeter P1, 30 A
switch S1, 30 A
heater E1 "screen", 24 A
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to P1, 6 mm2 red, 1 m
wire from P1 to S1, 6 mm2 red, 1 m
wire from S1 to E1, 6 mm2 red, 1 m
wire from E1 to ground, 6 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
