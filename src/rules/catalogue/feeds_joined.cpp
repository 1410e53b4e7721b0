#include "base/number.hpp"
#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/survey.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule feeds_joined; // rule_list.hpp lists it

namespace {

/// Of feeds of which only the end is drawn: what else hangs on them nobody drew.
class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report) {}

    void run() {
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            // One that gives plus has its fuse before the condition; one that gives ground has none, and is not fed.
            if (p.purpose == Purpose::feed_condition && c_.at(p.a).internal && !c_.at(p.part).poisoned) look_at(p);
        }
    }

  private:
    void look_at(const Primitive& feed) {
        if (!could_be_fed(feed)) return;
        const solve::Behaviour& b = survey_.behaviour;
        for (solve::StateId at = 0; at < b.states.size(); ++at) {
            if (!b.states[at].stable || survey_.shorted[at] || solve::is_closed(feed, b.states[at].positions)) continue;
            const Reach reach = live_in(b.states[at].positions);
            if (!reach.reached(feed.b)) continue;
            // A battery that is joined to it for good may be what it charges; always-powered judges what hangs there.
            const std::vector<EdgeRef> way = reach.path_to(feed.b);
            if (std::ranges::none_of(
                    way, [&](EdgeRef e) { return !e.is_wire() && c_.at(e.primitive).element == Element::contact; }))
                continue;
            const std::vector<TerminalId> stops = reach.stops_to(feed.b);
            const PartId other = c_.at(stops.front()).part;
            // The other way round it is the same mistake.
            const bool said = std::ranges::find(said_, std::pair{other, feed.part}) != said_.end();
            said_.emplace_back(feed.part, other);
            if (!said) say(feed, at, way, stops);
            return;
        }
    }

    /// All that a source reaches over wires, joints, fuses, diodes, and contacts that are `closed`.
    template <class Closed> Reach live_over(const Closed& closed) const {
        return s_.graph.walk(
            live_poles(s_, false),
            [&](EdgeRef e, TerminalId from) {
                if (s_.reference[from.index]) return false;
                if (e.is_wire()) return !c_.at(e.wire).poisoned;
                const Primitive& p = c_.at(e.primitive);
                switch (p.element) {
                case Element::joint:
                case Element::meter:
                case Element::protector: return true;
                case Element::contact: return closed(p);
                case Element::junction: return p.purpose == Purpose::plain && from == (s_.from_plus() ? p.a : p.b);
                default: return false;
                }
            },
            [](EdgeRef) { return 1.0; });
    }
    Reach live_in(const solve::Positions& positions) const {
        return live_over([&](const Primitive& p) { return solve::is_closed(p, positions); });
    }
    /// From anywhere but its own source, however everything stands: most feeds are joined to no other, and no position need be looked at.
    bool could_be_fed(const Primitive& feed) const {
        return live_over([&](const Primitive& p) { return &p != &feed && p.closed_in != 0; }).reached(feed.b);
    }

    void say(const Primitive& feed, solve::StateId at, const std::vector<EdgeRef>& way,
             const std::vector<TerminalId>& stops) {
        WireId last; // behind the last contact: what joins the two
        TerminalId end;
        for (std::size_t i = 0; i < way.size(); ++i) {
            if (!way[i].is_wire() && c_.at(way[i].primitive).element == Element::contact) last = {};
            if (!way[i].is_wire() || last.exists()) continue;
            last = way[i].wire;
            end = stops[i];
        }
        const PartId other = c_.at(stops.front()).part;
        const std::string name = name_of(c_, feed.part), when = rules::when(s_, survey_.behaviour, at);
        Finding f;
        f.rule = feeds_joined.id;
        f.severity = Severity::fault;
        f.certainty = Certainty::undecided;
        f.headline =
            sentence_start(fmt::format("{} gets {} from {} {}, though what switches it is off.", called(c_, feed.part),
                                       s_.from_plus() ? "plus" : "minus", called(c_, other), when));
        f.place = where_it_lies(c_, feed.part);
        f.cites.push_back(cite_part(c_, feed.part, "fed from its far end"));
        f.why = fmt::format("All else that hangs on {} works then, and with its own fuse pulled it stays live. What "
                            "that is nobody drew.",
                            name);
        f.limit = "none: two feeds that are switched apart stay apart";
        if (last.exists()) {
            f.cites.push_back(cite_wire_end(c_, last, end, "joins the two"));
            f.cures.push_back({fmt::format("Take {} off at {}, if the two have nothing to do with one another.",
                                           called(c_, last), end_of(c_, end))});
            f.subjects.push_back(subject_of(c_, last));
        }
        f.cures.push_back({"Shall either of them work the same thing: a diode in each feed, the band towards what both "
                           "of them work, keeps them apart."});
        f.cures.push_back(
            {fmt::format("If nothing else hangs on {}: accept {} on {} because \"...\"", name, feeds_joined.id, name)});
        f.measure =
            sentence_start(fmt::format("{}: does anything work that should not? No: it does no harm. Yes: the two "
                                       "have to be parted.",
                                       when));
        f.path = stops_in_words(c_, stops);
        f.subjects.insert(f.subjects.begin(), name);
        f.subjects.push_back(name_of(c_, other));
        for (EdgeRef e : way) // a relay that holds itself, a terminal with two feeds on it
            if (!e.is_wire() && c_.at(e.primitive).element == Element::contact)
                f.subjects.push_back(name_of(c_, c_.at(e.primitive).part));
        const bool maker =
            s_.now.is_factory(feed.part) && std::ranges::all_of(way, [&](EdgeRef e) {
                return e.is_wire() ? s_.now.is_factory(e.wire) : s_.now.is_factory(c_.at(e.primitive).part);
            });
        report_.add(std::move(f), maker);
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    std::vector<std::pair<PartId, PartId>> said_; ///< the feed, and what it gets its volts from
};

void run(const Study& s, Report& report) {
    const std::string what = "whether a feed gets volts while it is switched off";
    const Survey* survey = survey_of_bad_positions(s, report, feeds_joined.id, what);
    if (!survey) return;
    if (s.circuit.has_mistakes) return report.not_checked.push_back(open_until_mended(feeds_joined.id, what));
    Judge(s, *survey, report).run();
}

} // namespace

const Rule feeds_joined = {
    "feeds-joined",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a feed that gets volts from another feed while what switches it is off",
    "a fault, to be decided by looking: what else hangs on that feed nobody drew",
    {
        "A wire of the vehicle of which only the end is drawn, live when something is on, is joined to another feed "
        "over "
        "a switch or a relay, with no diode and no load between. While its own switch is off it gets its volts from "
        "there.",
        "Everything else that hangs on that wire comes on with the other one: the parking lamps with the main beam. "
        "With the fuse of one of them pulled, both stay live.",
        "Take the wire off that joins the two; or, where either of them is to work the same thing, a diode in each.",
        "None: two feeds that are switched apart stay apart. A feed that a battery is joined to for good is left alone "
        "here: it may be there to charge it.",
        R"(loom 1
battery, 60 Ah
relay K1 "driving lights", 4-pin, 30 A, resistor 680 ohm
lamp E1 "driving light", 55 W
fuse F1, 15 A
switch S1 "driving lights", 5 A
existing wire T1 "parking lamps", live when "parking lamps on", behind 10 A, 1 mm2
existing wire T2 "main beam", live when "main beam on", behind 10 A, 1 mm2
splice SP1, crimp
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 1.5 mm2 red, 1 m
wire W3 from K1:87 to E1, 1.5 mm2 red, 1 m
wire W4 from E1 to ground, 1.5 mm2 black, 0.3 m
wire W5 from T2 to S1:1, 1 mm2 blue, 1 m
wire W6 from S1:2 to SP1, 1 mm2 blue, 1 m
wire W7 from SP1 to K1:86, 1 mm2 blue, 1 m
wire W8 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W9 from SP1 to T1, 1 mm2 grey, 0.5 m
)",
        R"(loom 1
battery, 60 Ah
relay K1 "driving lights", 4-pin, 30 A, resistor 680 ohm
lamp E1 "driving light", 55 W
fuse F1, 15 A
switch S1 "driving lights", 5 A
lamp H1 "in the switch", 1.2 W
existing wire T1 "parking lamps", live when "parking lamps on", behind 10 A, 1 mm2
existing wire T2 "main beam", live when "main beam on", behind 10 A, 1 mm2
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 1.5 mm2 red, 1 m
wire W3 from K1:87 to E1, 1.5 mm2 red, 1 m
wire W4 from E1 to ground, 1.5 mm2 black, 0.3 m
wire W5 from T2 to S1:1, 1 mm2 blue, 1 m
wire W6 from S1:2 to K1:86, 1 mm2 blue, 1 m
wire W8 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W9 from H1 to T1, 1 mm2 grey, 0.5 m
wire W10 from H1 to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
