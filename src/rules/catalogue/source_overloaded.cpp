#include "base/number.hpp"
#include "rules/duty.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "solve/bounds.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule source_overloaded; // rule_list.hpp lists it

namespace {

/// Of a load that runs so long at most and then rests, the battery gives what is missing and has it back soon: 200 A for 5 minutes is 17 Ah
/// (common practice, no source).
constexpr Seconds soon_over{5 * 60};

bool rests_soon(const Study& s, PrimitiveId load) {
    const auto duty = duty_of(s, s.circuit.at(load).part);
    return duty && duty->on <= soon_over;
}

/// "M1 28 A and E1 12 A": by what is stated of them, which is what they are added up by.
std::string rated_takers(const Study& s, const Survey& survey, solve::StateId at) {
    std::vector<std::pair<double, PartId>> all;
    for (std::size_t i = 0; i < survey.loads.size(); ++i) {
        const PrimitiveId load = survey.loads[i].load;
        if (!survey.on[at][i] || rests_soon(s, load)) continue;
        const PartId part = s.circuit.at(load).part;
        auto known = std::ranges::find(all, part, &std::pair<double, PartId>::second);
        if (known == all.end()) known = all.insert(known, {0, part});
        known->first -= s.circuit.at(load).current.or_else(Amps{0}).si;
    }
    std::ranges::stable_sort(all, {}, [](const auto& a) { return a.first; });
    constexpr std::size_t most_named = 4;
    std::vector<std::string> words;
    for (std::size_t i = 0; i < all.size() && i < most_named; ++i)
        words.push_back(fmt::format("{} {}", name_of(s.circuit, all[i].second), text(rounded(Amps{-all[i].first}, 3))));
    if (all.size() > most_named) words.push_back(counted(all.size() - most_named, "more load"));
    return list_of(words);
}

/// A lithium battery beside another one that a relay or switch joins to an alternator: nothing but the cables keeps the current small.
void look_at_lithium(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    const auto is_lithium = [&](PartId part) {
        const Attribute* a = s.now.find(part, Attr::chemistry);
        return c.at(part).kind == Kind::battery && a && a->word == "lithium";
    };
    if (std::ranges::none_of(s.strong, [&](const LivePole& l) {
            return c.at(c.at(l.source).part).kind == Kind::battery && !is_lithium(c.at(l.source).part);
        }))
        return;
    for (const LivePole& battery : s.strong) {
        const PartId part = c.at(battery.source).part;
        if (!is_lithium(part) || c.at(part).poisoned) continue;
        const Reach reach = s.graph.walk(
            std::vector{battery.pole},
            [&](EdgeRef e, TerminalId t) { return carries_fault(s, e, t, Protectors::pass); }, &Edge::metres);
        for (const LivePole& pole : s.limited) {
            const PartId alternator = c.at(pole.source).part;
            if (c.at(alternator).kind != Kind::alternator || !reach.reached(pole.pole)) continue;
            const Stated<Amps> most = s.now.amps(alternator, Attr::rating), own = s.now.amps(part, Attr::rating);
            // Its own electronics keep it to what the alternator stands for long.
            if (own.known() && most.known() && own.nominal <= most.nominal * 0.5) continue;
            PartId joins;
            for (EdgeRef e : reach.path_to(pole.pole))
                if (!e.is_wire() && c.at(e.primitive).element == Element::contact && !joins.exists())
                    joins = c.at(e.primitive).part;
            Finding f;
            f.rule = source_overloaded.id;
            f.severity = Severity::advice;
            f.headline = sentence_start(
                fmt::format("{}, lithium, is joined to {}{} with nothing that limits the current.", called(c, part),
                            called(c, alternator), joins.exists() ? " over " + called(c, joins) : ""));
            f.place = where_it_lies(c, part);
            f.cites.push_back(cite_part(c, part, "takes what it gets"));
            if (joins.exists()) f.cites.push_back(cite_part(c, joins, "joins them"));
            f.cites.push_back(cite_part(c, alternator));
            f.why =
                "A lithium battery has little resistance inside and its volts stay nearly the same until it is full: "
                "it "
                "takes all that the alternator can give for hours, where a lead battery soon takes less. Alternators "
                "made for a lead battery burn out so, at idle first; and when the battery's electronics part it while "
                "it charges, the alternator's volts jump.";
            f.limit = "what its maker says about charging from an alternator (common practice, no source)";
            f.cures.push_back(
                {"Charge it over a charger made for it, which limits the current: loomproof help charger."});
            f.cures.push_back({fmt::format("If its maker allows an alternator straight on it: accept {} on {} because "
                                           "\"...\"",
                                           source_overloaded.id, name_of(c, part))});
            f.subjects = {name_of(c, part), name_of(c, alternator)};
            if (joins.exists()) f.subjects.push_back(name_of(c, joins));
            const bool maker = s.now.is_factory(part) && s.now.is_factory(alternator);
            report.add(std::move(f), maker);
            break;
        }
    }
}

void run(const Study& s, Report& report) {
    look_at_lithium(s, report);
    const Circuit& c = s.circuit;
    std::vector<PartId> alternators;
    for (PartId p : s.now.parts())
        if (c.at(p).kind == Kind::alternator && !c.at(p).poisoned) alternators.push_back(p);
    if (alternators.size() != 1) return; // none, or several that share the work
    const PartId alternator = alternators.front();
    const Stated<Amps> most = s.now.amps(alternator, Attr::rating), idle = s.now.amps(alternator, Attr::idle_current);
    if (!most.known() || most.how == Knowledge::assumed) return;
    const Survey* survey = survey_of_bad_positions(s, report, source_overloaded.id,
                                                   "whether the alternator gives all that is switched on");
    if (!survey) return;

    // What the batteries give with the engine stopped, the alternator has to give while it runs.
    std::optional<solve::StateId> at;
    double amps = 0;
    for (solve::StateId state = 0; state < survey->behaviour.states.size(); ++state) {
        if (!survey->behaviour.states[state].stable || survey->passing[state] || survey->shorted[state]) continue;
        double sum = 0;
        for (std::size_t i = 0; i < survey->loads.size(); ++i)
            if (survey->on[state][i] && !rests_soon(s, survey->loads[i].load))
                sum += c.at(survey->loads[i].load).current.or_else(Amps{0}).si;
        if (sum > amps + 0.1) {
            amps = sum;
            at = state;
        }
    }
    if (!at || amps <= most.nominal.si) {
        std::vector<PartId> all;
        for (const LoadSeen& load : survey->loads)
            if (load.ever() && !rests_soon(s, load.load) && std::ranges::find(all, c.at(load.load).part) == all.end())
                all.push_back(c.at(load.load).part);
        const std::vector<PartId> unknown = of_unknown_current(s, all);
        if (!unknown.empty() && amps + solve::most_amps_of_load * static_cast<double>(unknown.size()) > most.nominal.si)
            report.not_checked.push_back(open_for_unknown_load(
                s, source_overloaded.id, fmt::format("whether {} gives all that is switched on", called(c, alternator)),
                unknown));
        return;
    }

    Finding f;
    f.rule = source_overloaded.id;
    f.severity = Severity::advice;
    f.certainty =
        amps * sure_share(s, *survey, std::nullopt) > most.nominal.si ? Certainty::certain : Certainty::possible;
    f.headline = sentence_start(fmt::format(
        "{} gives {} at most, but {} {} are taken: the battery gives the rest until it is flat.", called(c, alternator),
        text(most.nominal), when(s, survey->behaviour, *at), text(rounded(Amps{amps}, 2))));
    if (!c.at(alternator).named) f.headline = "The a" + f.headline.substr(1);
    f.place = where_it_lies(c, alternator);
    f.cites.push_back({most.span.exists() ? most.span : c.at(alternator).span, "gives that at speed"});
    std::vector<PartId> parts;
    for (std::size_t i = 0; i < survey->loads.size(); ++i)
        if (const PartId part = c.at(survey->loads[i].load).part; survey->on[*at][i] &&
                                                                  !rests_soon(s, survey->loads[i].load) &&
                                                                  std::ranges::find(parts, part) == parts.end())
            parts.push_back(part);
    f.why = "All at once: " + rated_takers(s, *survey, *at) + ".";
    if (idle.known()) f.why += fmt::format(" At idle it gives {} only.", text(idle.nominal));
    f.limit =
        fmt::format("{}, as the file says; at idle an alternator gives a third to a half of that (common practice)",
                    text(most.nominal));
    f.cures.push_back({"Fit a larger alternator, with a main lead and fuse to match."});
    f.cures.push_back({"Let not all of it run at once: a relay that drops the heaviest load while another runs."});
    f.subjects.push_back(name_of(c, alternator));
    const bool maker =
        s.now.is_factory(alternator) && std::ranges::all_of(parts, [&](PartId p) { return s.now.is_factory(p); });
    report.add(std::move(f), maker);
}

} // namespace

const Rule source_overloaded = {
    "source-overloaded",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "more switched on at once than the alternator gives; a lithium battery on it that nothing limits",
    "always advice",
    {
        "In some switch position that lasts, all that is on takes more than the alternator gives at speed. Or a "
        "lithium "
        "battery beside a lead one is joined to the alternator over relays, switches and cables alone.",
        "The battery gives what is missing, and is flat after some hours of driving; its cables and the alternator run "
        "hot meanwhile. A lithium battery takes all that an alternator can give for hours, which most were not made "
        "for.",
        "A larger alternator, or less at once. For a lithium battery a charger that limits the current.",
        "The amps marked on the alternator, against the amps of all loads that are on together. What lasts seconds "
        "does not count: a horn, a starter, a button held; nor what rests again within five minutes (duty 1 min in 10 "
        "min: "
        "common practice, no source).",
        R"(loom 1
battery, 60 Ah
alternator, 35 A
fuse F1, 60 A, maxi
fuse F2, 40 A, maxi
switch S1 "pad", 60 A
heater E1 "screen", 28 A
heater E2 "seat", 12 A
splice SP1, crimp
wire from alternator:B+ to F2, 10 mm2 red, 1 m
wire from F2 to battery:+, 10 mm2 red, 0.1 m
wire from battery:+ to F1, 10 mm2 red, 0.1 m
wire from F1 to S1, 10 mm2 red, 1 m
wire from S1 to SP1, 10 mm2 red, 1 m
wire from SP1 to E1, 10 mm2 red, 1 m
wire from SP1 to E2, 10 mm2 red, 1 m
wire from E1 to ground, 10 mm2 black, 0.3 m
wire from E2 to ground, 10 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
alternator, 65 A
fuse F1, 60 A, maxi
fuse F2, 80 A, bolted
switch S1 "pad", 60 A
heater E1 "screen", 28 A
heater E2 "seat", 12 A
splice SP1, crimp
wire from alternator:B+ to F2, 16 mm2 red, 1 m
wire from F2 to battery:+, 16 mm2 red, 0.1 m
wire from battery:+ to F1, 10 mm2 red, 0.1 m
wire from F1 to S1, 10 mm2 red, 1 m
wire from S1 to SP1, 10 mm2 red, 1 m
wire from SP1 to E1, 10 mm2 red, 1 m
wire from SP1 to E2, 10 mm2 red, 1 m
wire from E1 to ground, 10 mm2 black, 0.3 m
wire from E2 to ground, 10 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
