#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "reference/short_time.hpp"
#include "rules/fault_current.hpp"
#include "rules/feeding.hpp"
#include "rules/loads_behind.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule unfused_feed; // rule_list.hpp lists it

namespace {

/// A wire a hair below what an alternator gives is no danger: the table's figures are no finer than that (common practice, no source).
constexpr double rounding = 1.02;

/// What a lead ends at: a fuse, link or breaker, if its far end has one.
std::optional<PartId> protector_at(const Study& s, TerminalId t) {
    for (PrimitiveId p : s.now.primitives_at(t))
        if (s.circuit.at(p).element == Element::protector) return s.circuit.at(p).part;
    return std::nullopt;
}

bool feeds_a_starter(const Study& s, TerminalId t) {
    const PartId part = s.circuit.at(t).part;
    return s.circuit.at(t).role == Role::plus && std::ranges::any_of(s.now.primitives(), [&](PrimitiveId p) {
               return s.circuit.at(p).part == part && s.circuit.at(p).purpose == Purpose::starter_solenoid;
           });
}

/// The main lead of an alternator, as every vehicle has one, in a file that says nothing of who built what (common practice, no source).
bool is_the_alternators(const Study& s, const Lead& lead) {
    const auto is_output = [&](TerminalId t) {
        return s.circuit.part_of(t).kind == Kind::alternator && s.circuit.at(t).role == Role::output;
    };
    return !s.circuit.has_factory && s.circuit.at(lead.root).origin.provenance != Provenance::job &&
           lead.behind.empty() && (is_output(lead.near) || is_output(lead.far));
}

/// The maker's own work that no job lengthened or rerouted.
bool as_the_maker_built(const Study& s, const Lead& lead) {
    if (is_the_alternators(s, lead)) return true;
    return s.now.is_factory(s.circuit.at(lead.from.front().source).part) &&
           std::ranges::all_of(lead.way, [&](EdgeRef e) { return !e.is_wire() || s.now.is_factory(e.wire); });
}

std::string headline(const Study& s, const Lead& lead) {
    const Circuit& c = s.circuit;
    const std::string wire = described(c, lead.root);
    const std::string origin = name_of(c, lead.origin);
    if (lead.certainty == Certainty::undecided)
        return fmt::format("Can't tell whether {} is short enough to do without a fuse: nobody said how long {} is.",
                           wire, lead.of_unknown_length == std::vector{lead.root} ? "it" : "the way from " + origin);
    if (lead.certainty == Certainty::possible)
        return fmt::format(
            "Nothing protects {}, and it may be too long for that: about {} from {}, where {} is allowed.", wire,
            text(lead.length), origin, text(lead.allowed));
    std::string behind;
    if (lead.behind.size() == 1) behind = ", and so can the wire behind it";
    if (lead.behind.size() > 1)
        behind = fmt::format(", and so can {} behind it", counted(lead.behind.size(), "more wire"));
    if (lead.near == lead.origin)
        return fmt::format("Nothing protects {}: {} of it can burn{}.", wire, text(lead.length), behind);
    return fmt::format("Nothing protects {}: no fuse stands on the {} from {} to its far end, so it can burn{}.", wire,
                       text(lead.length), origin, behind);
}

/// The most that could flow, and how soon the insulation is gone; what hides resistance makes it less, so "at most".
std::string why(const Study& s, const Lead& lead) {
    const Circuit& c = s.circuit;
    const Wire& w = c.at(lead.root);
    const auto most = dead_short(c, lead.from.front().source, resistance_along(c, lead.way, Celsius{20}));
    const auto stands = stands_once(c, lead.root);
    if (!most || !w.area.known() || !w.length.known() || !stands)
        return "Shorted to the body it carries all that the battery can give, and nothing opens.";
    const Celsius start = temperature_at(c, w.place).or_else(reference::table_ambient);
    const Seconds time = reference::time_to_reach(w.area.nominal, *most, start, *stands);
    if (time > reference::adiabatic_validity)
        return fmt::format("Shorted to the body it carries at most {}, and nothing opens while it heats up.",
                           text(rounded(*most, 2)));
    return fmt::format("Shorted to the body it carries at most {}, and nothing opens: at that current its insulation "
                       "is past {} after {}.",
                       text(rounded(*most, 2)), text(*stands), text(rounded(time, 1)));
}

/// ", 30 A or less for this wire": a fuse that protects the wire and carries what hangs on it, or why there is none.
std::string rating_in_words(const Study& s, const Lead& lead) {
    const auto carries = what_it_carries(s.circuit, lead.root);
    if (!carries) return "";
    const auto fuse = reference::largest_fuse_up_to(carries->amps);
    Amps most = fuse && carries->amps < Amps{120} ? fuse->rating : carries->amps;
    std::string what = "this wire";
    bool outlet = false;
    // A contact or a plug behind the new fuse has to stand what that lets through.
    if (const auto weakest = weakest_behind(s, lead.far, {lead.root, {}}); weakest && weakest->made_for < most) {
        const auto smaller = reference::largest_fuse_up_to(weakest->made_for);
        most = smaller ? smaller->rating : weakest->made_for;
        what = weakest->words;
        outlet = s.circuit.at(weakest->part).kind == Kind::socket;
    }
    const LoadsBehind behind = loads_behind(s, {lead.root, {}}, lead.near);
    // A thinner wire behind: the same fuse serves both, or where the loads ask for more, that wire has one of its own where it begins.
    if (const auto thin = thinnest_behind(s, lead.far, {lead.root, {}}); thin && thin->carries < most) {
        const auto smaller = reference::largest_fuse_up_to(thin->carries);
        if (smaller && smaller->rating < most && behind.only_way && behind.unknown.empty() &&
            behind.sum <= smaller->rating) {
            most = smaller->rating;
            what = called(s.circuit, thin->wire);
        }
    }
    if (!behind.only_way || !behind.unknown.empty() || behind.sum <= Amps{0})
        return fmt::format(", {} or less for {}", text(most), what);
    if (behind.largest > carries->amps)
        return fmt::format("; but what hangs on it takes {}, and this wire carries {} for good: first ask its maker "
                           "which cable and which fuse it needs",
                           text(behind.sum), text(carries->amps));
    if (outlet && behind.sum <= most) return fmt::format(", {} or less for {}", text(most), what);
    if (behind.sum > most && what != "this wire")
        return fmt::format(", {} or less for {}; all that hangs on it takes {} at once: if it is on together, what is "
                           "made for more belongs in its place",
                           text(most), what, text(behind.sum));
    if (behind.sum >= most && what == "this wire")
        return fmt::format(", {} or less for this wire; all that hangs on it takes {} at once, so use thicker wire if "
                           "it is on together",
                           text(most), text(behind.sum));
    return fmt::format(", at most {} for {} and more than the {} that hangs on it", text(most), what, text(behind.sum));
}

/// A load whose ground end is what the lead was put on: fed from both sides then. A fuse mends nothing there.
PartId grounded_by_it(const Study& s, const Sides& sides, const Ends& ends, const Lead& lead) {
    const Circuit& c = s.circuit;
    for (PrimitiveId id : s.now.primitives_at(lead.far)) {
        const Primitive& p = c.at(id);
        if (!is_load(p) || c.at(p.part).kind == Kind::resistor || p.purpose == Purpose::charge_lamp_terminal ||
            p.purpose == Purpose::starter_solenoid || p.purpose == Purpose::pull_in_winding)
            continue;
        if (c.at(lead.far).stamp == "+") continue;
        if (feeding_of(s, sides, ends, p.a, p.b, false).how == Feeding::How::both_live) return p.part;
    }
    return {};
}

void say_cures(const Study& s, const Lead& lead, Finding& f) {
    const Circuit& c = s.circuit;
    const Wire& w = c.at(lead.root);
    const std::string origin = name_of(c, lead.origin);
    // Over a switch in the starter's cable: where the lead is put on, not the other end of that switch.
    const std::string begins = c.at(lead.near).part == c.at(lead.origin).part ? name_of(c, lead.near) : origin;
    const Sides sides(s);
    if (const PartId load = grounded_by_it(s, sides, Ends(s), lead); load.exists()) {
        f.cures.push_back({fmt::format(
            "Put this lead on ground: it is the return of {}, which is fed from its other end.", name_of(c, load))});
        f.cures.push_back(
            {fmt::format("If it really is the feed of {}, take the other feed off and fit a fuse within {} of {}{}.",
                         name_of(c, load), text(allowed_lead), origin, rating_in_words(s, lead))});
        return;
    }
    const auto protector = protector_at(s, lead.far);
    if (protector) {
        f.cures.push_back(
            {fmt::format("Move {} to within {} of {}.", name_of(c, *protector), text(allowed_lead), begins)});
    } else {
        std::string other;
        if (lead.other_pole.exists())
            other = fmt::format(" and another within {} of {}", text(allowed_lead), name_of(c, lead.other_pole));
        f.cures.push_back({fmt::format("Fit a fuse within {} of {}{}{}.", text(allowed_lead), origin, other,
                                       rating_in_words(s, lead))});
    }
    if (w.winch_cable)
        f.cures.push_back({"Fit an isolator near the battery, or sleeve the cable from end to end and write "
                           "\"sleeved\": a winch cable then needs no fuse."});
    else if (protector && lead.allowed == allowed_sleeved_lead)
        f.cures.push_back({"Shorten the sleeved lead to 1 m."});
    else if (protector && lead.length <= allowed_sleeved_lead)
        f.cures.push_back({"Sleeve the whole lead and write \"sleeved\"; then it may be up to 1 m long."});
    if (std::ranges::find(s.limited, lead.near, &LivePole::pole) != s.limited.end() ||
        std::ranges::find(s.limited, lead.far, &LivePole::pole) != s.limited.end())
        f.cures.push_back(
            {"If the maker built it so, write it into a factory block: it is then noted and left alone."});
    if (feeds_a_starter(s, lead.far) && !w.starter_cable)
        f.cures.push_back({"If it feeds the starter, write \"starter cable\": that needs no fuse."});
}

Finding finding(const Study& s, const Lead& lead) {
    const Circuit& c = s.circuit;
    Finding f;
    f.rule = unfused_feed.id;
    f.severity = Severity::danger;
    f.certainty = lead.certainty;
    f.headline = headline(s, lead);
    f.place = place_of(c, lead.root);
    f.cites = {cite_wire_end(c, lead.root, lead.near), cite_wire_end(c, lead.root, lead.far),
               cite_length(c, lead.root, "no fuse on this lead")};
    f.why = why(s, lead);
    f.limit = lead.allowed == allowed_lead ? fmt::format("{} of bare lead (7 in, 33 CFR 183.455, written for boats; no "
                                                         "road rule gives a length), 1 m if sleeved all the way",
                                                         text(allowed_lead))
                                           : "1 m of lead that is sleeved all the way (40 in, 33 CFR 183.455, written "
                                             "for boats; no road rule gives a length)";
    say_cures(s, lead, f);
    if (lead.certainty == Certainty::undecided) {
        const bool alone = lead.of_unknown_length == std::vector{lead.root} && lead.near == lead.origin;
        std::vector<std::string> wires;
        for (WireId wire : lead.of_unknown_length) wires.push_back(called(c, wire));
        f.measure = fmt::format("Measure {} along the route: {} from {} needs no fuse there; beyond that it does.",
                                alone ? "it" : list_of(wires),
                                (alone ? "up to " : "a way of up to ") + text(lead.allowed), name_of(c, lead.origin));
    }
    if (lead.near != lead.from.front().pole) {
        std::vector<TerminalId> stops{lead.from.front().pole};
        for (EdgeRef e : lead.way) stops.push_back(other_end(c, e, stops.back()));
        f.path = stops_in_words(c, stops);
    }
    f.subjects = {subject_of(c, lead.root), name_of(c, lead.far)};
    return f;
}

/// The alternator's own lead without a fuse, whoever built it, has to carry what the alternator gives.
bool too_thin_for(const Study& s, const LivePole& source, const Lead& lead) {
    const Stated<Amps> most = s.circuit.at(source.source).current;
    const auto carries = what_it_carries(s.circuit, lead.root);
    return (lead.near == source.pole || lead.far == source.pole) && is_the_alternators(s, lead) && most.known() &&
           carries && carries->amps * rounding < most.nominal;
}

/// The alternator's own lead of which nobody said how thick it is, and before which nothing opens.
void say_unsized_leads(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    for (const LivePole& source : s.limited) {
        const Stated<Amps> most = c.at(source.source).current;
        const PartId part = c.at(source.source).part;
        if (c.at(part).poisoned) continue;
        if (!most.known()) {
            if (!s.now.is_factory(part) && !s.now.wires_at(source.pole).empty())
                report.not_checked.push_back(
                    {unfused_feed.id,
                     fmt::format("whether the wires at {} carry what {} gives", name_of(c, source.pole),
                                 name_of(c, part)),
                     "nobody said how much that is",
                     fmt::format("Read A on {}, and write it behind the name: 65 A.", name_of(c, part))});
            continue;
        }
        for (WireId w : s.now.wires_at(source.pole)) {
            const Wire& wire = c.at(w);
            const Protection& p = s.protection[w.index];
            const bool opens =
                std::ranges::any_of(p.devices, [&](PrimitiveId d) { return c.at(d).element == Element::protector; });
            if (wire.poisoned || wire.area.known() || s.now.is_factory(w) || (p.fed && opens && !p.unprotected))
                continue;
            const auto size = size_that_carries(c, w, most.nominal);
            report.not_checked.push_back(
                {unfused_feed.id,
                 fmt::format("whether {} carries the {} of {}", called(c, w), text(most.nominal),
                             name_of(c, c.at(source.source).part)),
                 "nobody said how thick it is",
                 fmt::format("Read its size on the insulation, or measure the bare strands.{}",
                             size ? fmt::format(" {} or thicker carries it.", reference::spelled(*size)) : "")});
        }
    }
}

/// Only while no battery hangs on this source can current get into the wire. Then nothing takes all that it gives: what it makes would
/// have to feed a short and its own field, and that falls with its volts.
bool only_without_a_battery(const Study& s, const Spread& from_source, WireId w) {
    const auto battery = std::ranges::find_if(s.strong_sources, [&](TerminalId t) { return from_source.reached(t); });
    if (battery == s.strong_sources.end()) return false;
    for (TerminalId end : {s.circuit.at(w).a, s.circuit.at(w).b})
        for (std::uint32_t here : from_source.ways_to(end))
            for (TerminalId pole : s.strong_sources)
                for (std::uint32_t there : from_source.ways_to(pole))
                    if (fit_together(from_source.demands(here), from_source.demands(there))) return false;
    return from_source.reached(s.circuit.at(w).a) || from_source.reached(s.circuit.at(w).b);
}

/// Wires that a source which limits itself can load beyond what they carry, with nothing between that opens.
void judge_limited_sources(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    for (const LivePole& source : s.limited) {
        if (c.at(source.source).control.exists()) continue; // a charger: a battery takes all it gives, wire-overloaded
        const Spread from_source(s.now,
                                 {.starts = {source.pole}, .with_current = s.from_plus(), .not_beyond = &s.reference});
        std::optional<WireId> thinnest;
        std::optional<reference::Carrying> least;
        std::vector<WireId> all;
        for (WireId w : s.now.wires()) {
            const Protection& p = s.protection[w.index];
            const bool own_lead = std::ranges::any_of(
                s.leads, [&](const Lead& lead) { return lead.root == w && too_thin_for(s, source, lead); });
            if (c.at(w).poisoned || (!own_lead && (!p.fed || p.unprotected || p.devices != std::vector{source.source} ||
                                                   !p.of_unknown_rating.empty())))
                continue;
            const auto carries = what_it_carries(c, w);
            if (!carries || (!own_lead && carries->amps * rounding >= p.lets_through)) continue;
            if (!own_lead && only_without_a_battery(s, from_source, w)) continue;
            all.push_back(w);
            if (least && least->amps <= carries->amps) continue;
            thinnest = w;
            least = carries;
        }
        if (!thinnest) continue;
        const Amps most = c.at(source.source).current.nominal;
        const PartId part = c.at(source.source).part;
        Finding f;
        f.rule = unfused_feed.id;
        f.severity = Severity::danger;
        f.headline = fmt::format("{} can put {} through {}, which carries {}, and nothing there opens.",
                                 name_of(c, part), text(most), described(c, *thinnest), text(least->amps));
        if (c.at(part).named == false) f.headline = "The " + f.headline;
        f.place = place_of(c, *thinnest);
        f.cites = {cite_size(c, *thinnest, "carries " + text(least->amps)),
                   {c.at(part).span, "gives up to " + text(most)}};
        f.why = fmt::format("A flat battery or a short takes all that it gives; at {} the wire gets {} hot, and its "
                            "insulation stands {}.",
                            text(most), text(Celsius{std::round(reference::copper_temperature(*least, most).degrees)}),
                            text(least->insulation_class));
        f.limit = reference::sentence(*least);
        if (const auto size = size_that_carries(c, *thinnest, most))
            f.cures.push_back(thicker(c, *thinnest, *size,
                                      fmt::format("Use {} or thicker from {} to the first fuse.",
                                                  reference::spelled(*size), name_of(c, source.pole))));
        f.subjects = {subject_of(c, *thinnest), name_of(c, part)};
        const bool maker =
            s.now.is_factory(part) && std::ranges::all_of(all, [&](WireId w) { return s.now.is_factory(w); });
        report.add(std::move(f), maker);
    }
}

/// A part whose line cannot be read, with a wire on each side: it may be the fuse, and may be none.
void say_what_is_not_read(const Study& s, Report& report) {
    std::vector<std::string> names;
    for (PartId id : s.now.parts()) {
        const Part& part = s.circuit.at(id);
        std::size_t wires = 0;
        for (TerminalId t : part.terminals) wires += s.now.wires_at(t).size();
        if (part.kind == Kind::not_known && wires > 1) names.push_back(part.name);
    }
    if (names.empty()) return;
    report.not_checked.push_back({unfused_feed.id, "whether a fuse protects what goes over " + list_of(names),
                                  names.size() == 1 ? "the line that says what it is cannot be read"
                                                    : "the lines that say what they are cannot be read",
                                  "Mend the text first."});
}

void run(const Study& s, Report& report) {
    say_what_is_not_read(s, report);
    say_unsized_leads(s, report);
    for (const Lead& lead : s.leads) {
        if (lead.beyond.pole.exists()) continue; // joins two batteries: one-end-protected
        if (std::ranges::any_of(s.limited, [&](const LivePole& source) {
                return too_thin_for(s, source, lead) && !s.circuit.at(lead.root).poisoned;
            }))
            continue; // below
        report.add(finding(s, lead), as_the_maker_built(s, lead));
    }
    judge_limited_sources(s, report);
}

} // namespace

const Rule unfused_feed = {
    "unfused-feed",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a wire that a battery can feed without fuse, link or breaker",
    "always a danger: a short heats the wire until it burns; as the maker built it, a note",
    {
        "A battery can feed this wire, and no fuse, link or breaker stands within the first hand's breadth of it. The "
        "way is measured from each "
        "battery by itself. Starter cables, the starter's own solenoid lead, winch cables with an isolator or sleeved "
        "from end to end, and links "
        "between batteries in series are left alone, and so are wires that carry all that an alternator can give.",
        "A battery gives several hundred amps into a short. Without a fuse nothing stops that current but the wire "
        "itself, as it burns.",
        "Put the fuse within 0.18 m of the battery's post; or sleeve the whole lead and keep it under 1 m. A fuse "
        "further on protects only what lies behind it.",
        "0.18 m (7 in) of bare lead and 1.016 m (40 in) in a sheath: 33 CFR 183.455, a rule for boats. No open "
        "road-vehicle rule gives a length; "
        "makers' own boxes often sit 0.3 to 0.5 m away, in conduit.",
        R"(loom 1
battery, 60 Ah
fuse F1, 20 A
load E1 "compressor", 12 A
wire from battery:+ to F1, 2.5 mm2 red, 0.8 m
wire from F1 to E1:+, 2.5 mm2 red, 2 m
wire from E1:- to ground, 2.5 mm2 black, 0.5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 20 A
load E1 "compressor", 12 A
wire from battery:+ to F1, 2.5 mm2 red, 0.15 m
wire from F1 to E1:+, 2.5 mm2 red, 2.6 m
wire from E1:- to ground, 2.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
