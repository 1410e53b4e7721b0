#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/feeding.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule coil_in_series; // rule_list.hpp lists it

namespace {

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), sides_(s), ends_(s) {}

    void run() {
        for (const CoilSeen& coil : survey_.coils)
            if (const Primitive& p = c_.at(coil.coil);
                p.purpose == Purpose::coil && !c_.at(p.part).poisoned && !coil.shorted)
                look_at(coil, p);
    }

  private:
    void look_at(const CoilSeen& coil, const Primitive& p) {
        const solve::Limits limits = solve::limits_of(c_, p);
        if (coil.most.si < 0.05) return;
        if (sides_.untraced(p.a) || sides_.untraced(p.b) || waits_for_the_engine(s_, p.a, p.b)) return;
        if (feeding_of(s_, sides_, ends_, p.a, p.b, false).how == Feeding::How::can)
            return; // what keeps it from that is not what lies in a row with it
        if (coil.most.si >= limits.must_pull_in) return look_at_ground(coil, p, limits);
        const auto& volts = survey_.behaviour.primitive_volts[coil.coil.index];
        if (!volts) return;
        const solve::StateId at = std::abs(volts->high) >= std::abs(volts->low) ? volts->high_at : volts->low_at;
        const solve::Point& point = survey_.behaviour.point(at);
        const CurrentWay way = current_through(s_, point, coil.coil);
        std::vector<PartId> through;
        double theirs = 0;
        for (EdgeRef e : way.edges)
            if (!e.is_wire() && e.primitive != coil.coil && is_load(c_.at(e.primitive)) &&
                c_.at(c_.at(e.primitive).part).kind != Kind::resistor) {
                if (c_.at(e.primitive).purpose == Purpose::starter_solenoid ||
                    c_.at(e.primitive).purpose == Purpose::charge_lamp_terminal)
                    return;
                if (const PartId part = c_.at(e.primitive).part; std::ranges::find(through, part) == through.end())
                    through.push_back(part);
                if (const auto& v = point.primitive_volts[e.primitive.index]) theirs += std::abs(v->si);
            }
        if (!through.empty()) say(coil, p, way, through, Volts{theirs}, at, limits);
    }

    /// It gets enough through what lies behind it, as long as nothing feeds that from its other side.
    void look_at_ground(const CoilSeen& coil, const Primitive& p, const solve::Limits& limits) {
        const CurrentWay way = current_through(s_, survey_.behaviour.point(coil.most_at), coil.coil);
        PrimitiveId load;
        bool behind = !s_.from_plus(); // positive ground: current comes from the body
        TerminalId in = p.a, out = p.b;
        for (std::size_t i = 0; i < way.edges.size(); ++i) {
            const EdgeRef e = way.edges[i];
            if (e.is_wire()) continue;
            if (e.primitive == coil.coil) {
                behind = s_.from_plus();
                if (way.stops[i] != p.a) std::swap(in, out);
                if (!s_.from_plus()) std::swap(in, out);
                continue;
            }
            const Primitive& other = c_.at(e.primitive);
            if (other.purpose == Purpose::starter_solenoid || other.purpose == Purpose::charge_lamp_terminal) return;
            const Kind kind = c_.at(other.part).kind;
            if (behind && !load.exists() && (kind == Kind::lamp || kind == Kind::led || kind == Kind::motor))
                load = e.primitive;
        }
        if (!load.exists() || !sides_.live(out)) return;
        for (solve::StateId at = 0; at < survey_.behaviour.states.size(); ++at) {
            if (!survey_.behaviour.states[at].stable || survey_.shorted[at]) continue;
            const Standing standing(s_, survey_.behaviour.states[at].positions);
            const auto volts = survey_.behaviour.volts_over(at, coil.coil);
            if (!standing.live(in) || !standing.live(out) || !volts || std::abs(volts->si) >= limits.may_pull_in)
                continue;
            return say_ground(coil, p, way, c_.at(load).part, out, at, Volts{std::abs(volts->si)}, limits);
        }
    }

    /// The last wire on the way home from the coil's end that nothing else feeds, and its end where another feed joins: moved to ground
    /// there, all that belongs to the coil (a diode across it) has its ground too.
    std::optional<std::pair<WireId, TerminalId>> where_another_feed_joins(const CurrentWay& way, TerminalId out,
                                                                          PartId load) const {
        std::vector<TerminalId> stops = way.stops;
        std::vector<EdgeRef> edges = way.edges;
        if (!s_.from_plus()) { // away from the coil is against the current there
            std::ranges::reverse(stops);
            std::ranges::reverse(edges);
        }
        std::vector<TerminalId> poles = s_.strong_sources;
        for (const LivePole& l : s_.limited) poles.push_back(l.pole);
        std::optional<std::pair<WireId, TerminalId>> last;
        const auto from = std::ranges::find(stops, out);
        for (auto i = static_cast<std::size_t>(from - stops.begin()); i < edges.size(); ++i) {
            const EdgeRef edge = edges[i];
            if (!edge.is_wire()) {
                if (c_.at(edge.primitive).part == load) break;
                continue;
            }
            const Reach fed = s_.graph.walk(
                poles, [&](EdgeRef e, TerminalId t) { return e != edge && carries_fault(s_, e, t, Protectors::pass); },
                [](EdgeRef) { return 0.0; });
            if (fed.reached(stops[i])) break;
            last = {edge.wire, stops[i + 1]};
        }
        return last;
    }

    void say_ground(const CoilSeen& coil, const Primitive& p, const CurrentWay& way, PartId load, TerminalId out,
                    solve::StateId at, Volts left, const solve::Limits& limits) {
        Finding f;
        f.rule = coil_in_series.id;
        f.severity = Severity::advice;
        const std::string relay = name_of(c_, p.part), through = name_of(c_, load);
        f.headline = sentence_start(fmt::format(
            "The coil of {} has no ground of its own, only the way through {}: {} it gets {}, and {} does not pull in.",
            called(c_, p.part), called(c_, load), when(s_, survey_.behaviour, at), text(rounded(left, 2)), relay));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(s_.now.wires_at(out).empty() ? cite_part(c_, p.part, "its coil")
                                                       : cite_terminal(s_.now, out, "no ground of its own"));
        f.cites.push_back(cite_part(c_, load, "its current goes home through this"));
        f.why = fmt::format("While {} is switched off {} works, with {} at its coil; once {} is fed, both ends of the "
                            "coil are on plus. And without {}, a blown one say, {} never works.",
                            through, relay, text(rounded(coil.most, 2)), through, through, relay);
        f.limit = fmt::format("a relay must pull in at {} (makers' sheets: two thirds of its volts at most)",
                              text(Volts{limits.must_pull_in}));
        if (const auto joins = where_another_feed_joins(way, out, load))
            f.cures.push_back({fmt::format("Take {} off at {} and put that end on ground.", called(c_, joins->first),
                                           end_of(c_, joins->second))});
        else
            f.cures.push_back({fmt::format("Put {} on ground by a wire of its own.", name_of(c_, out))});
        f.cures.push_back({fmt::format("If {} is to let go while {} is on: write accept coil-in-series on {} because "
                                       "\"...\".",
                                       relay, through, relay)});
        f.path = stops_in_words(c_, way.stops);
        f.subjects = {relay, through};
        for (std::size_t i = 0, behind = 0; i < way.edges.size(); ++i) {
            behind += way.stops[i] == out ? 1U : 0U;
            if (behind > 0 && way.edges[i].is_wire()) f.subjects.push_back(subject_of(c_, way.edges[i].wire));
            if (!way.edges[i].is_wire() && c_.at(way.edges[i].primitive).part == load) break;
        }
        report_.findings.push_back(std::move(f));
    }

    void say(const CoilSeen& coil, const Primitive& p, const CurrentWay& way, const std::vector<PartId>& through,
             Volts theirs, solve::StateId at, const solve::Limits& limits) {
        const std::string others = through.size() == 1 ? called(c_, through.front()) : list_of(names_of(c_, through));
        const bool perhaps = coil.most.si >= limits.may_pull_in;
        Finding f;
        f.rule = coil_in_series.id;
        f.severity = Severity::fault;
        f.certainty = perhaps ? Certainty::possible : Certainty::certain;
        f.headline = sentence_start(
            fmt::format("The coil of {} lies in a row with {} and gets {} at most: it {} pull in.", called(c_, p.part),
                        others, text(rounded(coil.most, 2)), perhaps ? "may not" : "does not"));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(cite_part(c_, p.part, "its coil"));
        for (PartId part : through) f.cites.push_back(cite_part(c_, part, "in a row with it"));
        f.why = fmt::format("What flows through the coil has to go through {} as well, which {} {} {}.",
                            list_of(names_of(c_, through)), verb(through.size(), "takes", "take"),
                            text(rounded(theirs, 2)), when(s_, survey_.behaviour, at));
        f.limit = fmt::format("a relay must pull in at {} (makers' sheets: two thirds of its volts at most)",
                              text(Volts{limits.must_pull_in}));
        f.cures.push_back({fmt::format(
            "Feed the coil straight: one end on the switched feed, the other on ground, beside {} and not behind it.",
            name_of(c_, through.front()))});
        f.path = stops_in_words(c_, way.stops);
        f.subjects.push_back(name_of(c_, p.part));
        for (PartId part : through) f.subjects.push_back(name_of(c_, part));
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, p.part).names;
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    const Sides sides_;
    const Ends ends_;
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, coil_in_series.id, "whether a coil lies in a row with a load");
    if (!survey) return;
    if (s.circuit.has_mistakes)
        return report.not_checked.push_back(
            open_until_mended(coil_in_series.id, "whether a coil lies in a row with a load"));
    if (!survey->behaviour.complete)
        report.not_checked.push_back(
            open_for_positions(s, coil_in_series.id, "whether a coil lies in a row with a load"));
    Judge(s, *survey, report).run();
}

} // namespace

const Rule coil_in_series = {
    "coil-in-series",
    Severity::fault,
    Quantifier::forall,
    Harm::other,
    "a relay whose coil gets its current through a load, and too little of it",
    "a fault; advice where it gets too little only while that load is fed from elsewhere",
    {
        "The coil is wired behind a lamp or a motor, or before one, in place of beside it. The two share the volts, "
        "and the coil gets too few in every switch position.",
        "The relay does not pull in, or only some do, and the load runs weakly or not at all.",
        "Wire the coil beside the load: one end where the load's feed comes, the other on ground.",
        "A relay must pull in at two thirds of its volts (makers' sheets). Coils that get enough through what lies "
        "before them are left alone: starter windings, field relays, and "
        "resistors that were put there on purpose.",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
fuse F2, 15 A
switch S1 "dash switch", 5 A
relay K1 "work lamps", 4-pin, 30 A, resistor 680 ohm
led H1 "tell-tale", 1 W
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 1 mm2 red, 0.1 m
wire W2 from F1 to S1, 1 mm2 red, 1 m
wire W3 from S1 to H1:+, 1 mm2 blue, 0.5 m
wire W4 from H1:- to K1:86, 1 mm2 blue, 0.5 m
wire W5 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W6 from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire W7 from F2 to K1:30, 2.5 mm2 red, 1 m
wire W8 from K1:87 to E1, 2.5 mm2 red, 1 m
wire W9 from E1 to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
fuse F2, 15 A
switch S1 "dash switch", 5 A
relay K1 "work lamps", 4-pin, 30 A, resistor 680 ohm
led H1 "tell-tale", 1 W
lamp E1 "work lamp", 55 W
splice SP1, crimp
wire W1 from battery:+ to F1, 1 mm2 red, 0.1 m
wire W2 from F1 to S1, 1 mm2 red, 1 m
wire W10 from S1 to SP1, 1 mm2 blue, 0.5 m
wire W3 from SP1 to H1:+, 1 mm2 blue, 0.5 m
wire W11 from H1:- to ground, 1 mm2 black, 0.3 m
wire W4 from SP1 to K1:86, 1 mm2 blue, 0.5 m
wire W5 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W6 from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire W7 from F2 to K1:30, 2.5 mm2 red, 1 m
wire W8 from K1:87 to E1, 2.5 mm2 red, 1 m
wire W9 from E1 to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
