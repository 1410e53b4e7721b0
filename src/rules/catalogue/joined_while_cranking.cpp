#include "base/number.hpp"
#include "reference/short_time.hpp"
#include "rules/batteries_parted.hpp"
#include "rules/called_so.hpp"
#include "rules/clearing.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule joined_while_cranking; // rule_list.hpp lists it

namespace {

/// What a starter takes at least while it turns: less is no starter.
constexpr Amps turns{20};

/// A way over which the second battery helps to crank.
struct Helped {
    PrimitiveId contact;
    PartId first, more;
    std::vector<EdgeRef> way; ///< from the second battery's pole to the first one's
    Amps most;                ///< over it, in positions in which the starter turns
    solve::StateId at = 0;
};

/// What gives way first at some current, and when.
struct Weakest {
    PrimitiveId fuse;
    WireId wire;
    Seconds after{std::numeric_limits<double>::infinity()};
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {
        for (PrimitiveId id : s_.now.primitives())
            if (c_.at(id).element == Element::machine && c_.at(c_.at(id).part).kind == Kind::starter &&
                !c_.at(c_.at(id).part).poisoned)
                starters_.push_back(id);
    }

    void run() {
        const std::vector<BatteryPoles> all = battery_poles(s_);
        for (const BatteryPoles& a : all)
            for (const BatteryPoles& b : all)
                if (a.source != b.source && s_.reference[a.ground.index] && s_.reference[b.ground.index]) look_at(a, b);
        if (found_.empty()) return;
        if (starters_.empty()) return ask();
        const Survey* survey = survey_of_bad_positions(s_, report_, joined_while_cranking.id,
                                                       "whether the batteries are parted while the starter turns");
        if (!survey) return;
        for (Helped& h : found_) {
            measure(*survey, h);
            if (h.most.si > 1) judge(*survey, h);
        }
    }

  private:
    /// `first` has the starter; where none is drawn, `more` is called so and the other one is not.
    bool is_the_pair(const BatteryPoles& first, const BatteryPoles& more, const std::vector<EdgeRef>& parted) const {
        if (starters_.empty())
            return is_for_what_stands(c_.at(c_.at(more.source).part)) &&
                   !is_for_what_stands(c_.at(c_.at(first.source).part));
        const auto cranks = [&](const BatteryPoles& battery) {
            const Reach reach = fed_from(s_, battery.live, parted);
            return std::ranges::any_of(
                starters_, [&](PrimitiveId id) { return reach.reached(c_.at(id).a) || reach.reached(c_.at(id).b); });
        };
        return cranks(first) && !cranks(more);
    }

    bool reads_the_volts(PartId relay) const {
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
            return c_.at(id).part == relay && c_.at(id).purpose == Purpose::sensing;
        });
    }

    void look_at(const BatteryPoles& first, const BatteryPoles& more) {
        const auto parted = joins_between(s_, first, more);
        if (!parted || !is_the_pair(first, more, *parted)) return;
        for (EdgeRef e : *parted) {
            const Primitive& p = c_.at(e.primitive);
            // What a hand joins is joined on purpose; what reads the volts lets go when they sag.
            if (p.element != Element::contact || c_.at(p.part).kind != Kind::relay || c_.at(p.part).poisoned ||
                reads_the_volts(p.part) || is_called_helping(c_.at(p.part)))
                continue;
            std::vector<EdgeRef> others;
            std::ranges::copy_if(*parted, std::back_inserter(others), [&](EdgeRef o) { return o != e; });
            const Reach reach = fed_from(s_, more.live, others);
            if (!reach.reached(first.live)) continue;
            found_.push_back(
                {e.primitive, c_.at(first.source).part, c_.at(more.source).part, reach.path_to(first.live), {}, 0});
        }
    }

    void measure(const Survey& survey, Helped& h) const {
        const solve::Behaviour& b = survey.behaviour;
        for (solve::StateId at = 0; at < b.states.size(); ++at) {
            if (!b.states[at].stable || survey.shorted[at] ||
                !solve::is_closed(c_.at(h.contact), b.states[at].positions) || !can_be_so(b.states[at].positions))
                continue;
            const bool cranks = std::ranges::any_of(starters_, [&](PrimitiveId id) {
                const auto amps = b.amps_through(at, id);
                return amps && std::abs(amps->si) > turns.si;
            });
            const auto amps = cranks ? b.amps_through(at, h.contact) : std::nullopt;
            if (amps && std::abs(amps->si) > h.most.si) h.most = Amps{std::abs(amps->si)}, h.at = at;
        }
    }

    /// What is said to be live at times follows the key, or it is not: "charging" does not hold while the starter turns.
    bool can_be_so(const solve::Positions& positions) const {
        return std::ranges::all_of(c_.controls, [&](const Control& k) {
            const auto at = positions[static_cast<std::size_t>(&k - c_.controls.data())];
            return k.type != Control::Type::condition || at == k.rest || is_called_ignition(k.name) ||
                   is_called_starting(k.name);
        });
    }

    /// Of the fuses and wires on the way, what opens or is spoilt first.
    Weakest weakest_at(const std::vector<EdgeRef>& way, Amps amps) const {
        Weakest least;
        for (EdgeRef e : way) {
            if (e.is_wire()) {
                const auto carries = what_it_carries(c_, e.wire);
                const auto stands = stands_once(c_, e.wire);
                if (!carries || !stands || carries->amps >= amps) continue;
                const Seconds after =
                    reference::time_to_reach(c_.at(e.wire).area.nominal, amps, carries->place, *stands);
                if (after < least.after) least = {{}, e.wire, after};
            } else if (c_.at(e.primitive).element == Element::protector) {
                const Stated<Amps> rating = rating_of(s_, e.primitive);
                if (!rating.known() || !(rating.nominal.si > 0)) continue;
                const auto band =
                    reference::opening_time(style_of(s_, e.primitive, rating.nominal), rating.nominal, amps);
                const auto after = band ? reference::middle(*band) : std::nullopt;
                if (after && *after < least.after) least = {e.primitive, {}, *after};
            }
        }
        return least;
    }

    void judge(const Survey& survey, const Helped& h) {
        Amps starter;
        PartId turning;
        for (PrimitiveId id : starters_)
            if (c_.at(id).current.known() && c_.at(id).current.nominal > starter)
                starter = c_.at(id).current.nominal, turning = c_.at(id).part;
        const Weakest as_it_is = weakest_at(h.way, h.most), alone = weakest_at(h.way, std::max(starter, h.most));
        // Cables and fuses that stand the starter are there to start with both.
        if (alone.after > passing_seconds) return;
        const bool opens = as_it_is.after <= passing_seconds;
        const PartId relay = c_.at(h.contact).part;
        Finding f;
        f.rule = joined_while_cranking.id;
        f.severity = opens ? Severity::fault : Severity::advice;
        f.headline = sentence_start(
            fmt::format("{} stays in while the starter turns: {} helps to crank, with {} over {}.", called(c_, relay),
                        called(c_, h.more), text(rounded(h.most, 2)), what_gives_way(alone)));
        f.place = where_it_lies(c_, relay);
        f.cites.push_back(cite_part(c_, relay, "pulled in " + when(s_, survey.behaviour, h.at)));
        if (alone.fuse.exists())
            f.cites.push_back(cite_rating(s_, alone.fuse, "made to charge"));
        else
            f.cites.push_back(cite_size(c_, alone.wire, "made to charge"));
        f.why = fmt::format("So it is {}, with both batteries full. ", when(s_, survey.behaviour, h.at));
        if (opens)
            f.why += sentence_start(what_happens(as_it_is, h.most));
        else
            f.why += fmt::format("The weaker {} is, the more {} has to give, up to the {} of {}: then {}",
                                 name_of(c_, h.first), name_of(c_, h.more), text(starter), name_of(c_, turning),
                                 what_happens(alone, starter));
        f.why += alone.fuse.exists() ? fmt::format(" From then on nothing charges {}.", name_of(c_, h.more)) : "";
        f.limit = "a relay that joins batteries to charge one is open while the starter turns; a start takes up to ten "
                  "seconds (common practice, no source)";
        f.path = stops(h);
        const std::string coil = "the coil of " + name_of(c_, relay);
        f.cures.push_back(
            {fmt::format("Feed {} from what is live only while the alternator charges (its lamp terminal, "
                         "D+), or from an end of the ignition switch that goes dead while cranking.",
                         coil)});
        f.cures.push_back(
            {fmt::format("Fit one that reads the volts (relay {}, closes at 13.3 V, opens at 12.8 V), or a "
                         "charger for the second battery (loomproof help converter).",
                         name_of(c_, relay))});
        f.cures.push_back({fmt::format("If both shall start the engine: cables and fuses for {}, and a relay made for "
                                       "it.",
                                       text(std::max(starter, h.most)))});
        f.subjects.push_back(name_of(c_, relay));
        if (alone.wire.exists()) f.subjects.push_back(subject_of(c_, alone.wire));
        for (EdgeRef e : h.way)
            if (!e.is_wire() && c_.at(e.primitive).element == Element::protector)
                f.subjects.push_back(name_of(c_, c_.at(e.primitive).part));
        f.subjects.push_back(name_of(c_, h.more));
        const bool maker = s_.now.is_factory(relay) && s_.now.is_factory(h.more);
        report_.add(std::move(f), maker);
    }

    std::string what_gives_way(const Weakest& w) const {
        return w.fuse.exists() ? protector_words(c_, w.fuse) : described(c_, w.wire);
    }
    std::string what_happens(const Weakest& w, Amps amps) const {
        return w.fuse.exists() ? fmt::format("{} opens after some {} of {}.", protector_words(c_, w.fuse),
                                             text(rounded(w.after, 1)), text(rounded(amps, 2)))
                               : fmt::format("the insulation of {} is spoilt after some {} of {}.", name_of(c_, w.wire),
                                             text(rounded(w.after, 1)), text(rounded(amps, 2)));
    }
    std::vector<std::string> stops(const Helped& h) const {
        TerminalId at;
        for (const BatteryPoles& p : battery_poles(s_))
            if (c_.at(p.source).part == h.more) at = p.live;
        std::vector<TerminalId> way{at};
        for (EdgeRef e : h.way) way.push_back(other_end(c_, e, way.back()));
        return stops_in_words(c_, way);
    }

    /// No starter is drawn: where the ignition or a hand alone works the relay, what it does while cranking is asked for.
    void ask() {
        const Sides sides(s_);
        for (const Helped& h : found_) {
            const PartId relay = c_.at(h.contact).part;
            if (s_.now.is_factory(relay)) continue;
            for (PrimitiveId id : s_.now.primitives()) {
                const Primitive& p = c_.at(id);
                if (p.part != relay || p.purpose != Purpose::coil) continue;
                const TerminalId fed = sides.live(p.a) && !sides.ground_always(p.a) ? p.a : p.b;
                const auto ways = sides.live().ways_to(fed);
                if (ways.empty() || !by_ignition(sides.live().demands(ways.front()))) break;
                const std::string live = positions_in_words(c_, sides.live().demands(ways.front()));
                report_.not_checked.push_back(
                    {joined_while_cranking.id,
                     fmt::format("whether {} stays in while the starter turns", called(c_, relay)),
                     fmt::format("{} is live with {}, and no starter is drawn", name_of(c_, fed), live),
                     fmt::format("Volts at {} while somebody cranks: none, it is parted then. Some 10 V: {} helps to "
                                 "crank over wires and fuses that are made to charge; feed the coil from what is live "
                                 "only while the alternator charges.",
                                 name_of(c_, fed), called(c_, h.more))});
                break;
            }
        }
    }
    bool by_ignition(const Demands& demands) const {
        return !demands.empty() && std::ranges::all_of(demands, [&](const auto& demand) {
            const Control& k = c_.at(demand.first);
            return k.type == Control::Type::hand ||
                   (k.type == Control::Type::condition && is_called_ignition(k.name) && !is_called_starting(k.name));
        });
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    std::vector<PrimitiveId> starters_;
    std::vector<Helped> found_;
};

void run(const Study& s, Report& report) {
    if (s.reversed_batteries.empty() && battery_poles(s).size() > 1) Judge(s, report).run();
}

} // namespace

const Rule joined_while_cranking = {
    "joined-while-cranking",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a relay for charging a second battery that stays in while the starter turns",
    "a fault where a fuse opens or a wire is spoilt within ten seconds with both batteries full; advice where that "
    "takes a weak "
    "first one",
    {
        "The relay that joins the two batteries is pulled in while the engine is cranked: its coil hangs on the "
        "ignition "
        "or on a switch. Fuses or wires between the batteries are made to charge, not to crank.",
        "The starter takes from both. The weaker its own battery is, the more comes over the thin wires from the "
        "other; a "
        "fuse opens, and nobody notices until the second battery is flat.",
        "Feed the coil from what is live only while the alternator charges, or fit a relay that reads the volts.",
        "The current is worked out with both batteries full, and taken as all that the starter takes where its own is "
        "flat. Times are those of ISO 8820-3 (from memory) and of IEC 60949 for the wires; a start takes up to ten "
        "seconds "
        "(common practice, no source). Silent: what a hand joins, a relay that reads the volts or is called a starting "
        "aid, and cables and fuses that stand the starter. Where no starter is drawn it is asked, if the ignition "
        "works "
        "the relay.",
        R"(loom 1
battery B1 "starter", 70 Ah
battery B2 "leisure", 100 Ah
alternator G1, 90 A
starter M1, 180 A
fuse F0, 100 A, bolted
fuse F1, 50 A, maxi
fuse F2, 50 A, maxi
fuse F3, 25 A
fuse F4, 10 A
switch S1 "ignition" { off* | run connects 30 with 15 | start connects 30 with 15 and 50, springs back }
switch S2 "cabin lamps", 10 A
led E1 "cabin lamps", 24 W
relay K1 "split charge", 4-pin, 70 A, resistor 680 ohm
wire W1 from B1:- to ground, 35 mm2 black, 0.4 m
wire W2 from B2:- to ground, 16 mm2 black, 0.4 m
wire W3 from G1:B+ to F0, 25 mm2 red, 1 m
wire W4 from F0 to B1:+, 25 mm2 red, 0.1 m
wire W5 from B1:+ to M1:30, 35 mm2 black, 1 m, starter cable
wire W6 from B1:+ to F3, 4 mm2 red, 0.1 m
wire W7 from F3 to S1:30, 4 mm2 red, 1 m
wire W8 from S1:50 to M1:50, 4 mm2 black, 1 m
wire W9 from S1:15 to K1:86, 1.5 mm2 black, 1 m
wire W10 from K1:85 to ground, 1.5 mm2 black, 0.3 m
wire W11 from B1:+ to F1, 10 mm2 red, 0.1 m
wire W12 from F1 to K1:30, 10 mm2 red, 0.4 m
wire W13 from K1:87 to F2, 10 mm2 red, 3 m
wire W14 from F2 to B2:+, 10 mm2 red, 0.1 m
wire W15 from B2:+ to F4, 1.5 mm2 red, 0.1 m
wire W16 from F4 to S2, 1.5 mm2 red, 1 m
wire W17 from S2 to E1:+, 1.5 mm2 red, 2 m
wire W18 from E1:- to ground, 1.5 mm2 black, 0.5 m
)",
        R"(loom 1
battery B1 "starter", 70 Ah
battery B2 "leisure", 100 Ah
alternator G1, 90 A
starter M1, 180 A
fuse F0, 100 A, bolted
fuse F1, 50 A, maxi
fuse F2, 50 A, maxi
fuse F3, 25 A
fuse F4, 10 A
switch S1 "ignition" { off* | run connects 30 with 15 | start connects 30 with 15 and 50, springs back }
switch S2 "cabin lamps", 10 A
led E1 "cabin lamps", 24 W
relay K1 "split charge", 4-pin, 70 A, resistor 680 ohm
existing wire T1 "live while the alternator charges", blue, 1 mm2, live when "charging", behind 5 A
wire W1 from B1:- to ground, 35 mm2 black, 0.4 m
wire W2 from B2:- to ground, 16 mm2 black, 0.4 m
wire W3 from G1:B+ to F0, 25 mm2 red, 1 m
wire W4 from F0 to B1:+, 25 mm2 red, 0.1 m
wire W5 from B1:+ to M1:30, 35 mm2 black, 1 m, starter cable
wire W6 from B1:+ to F3, 4 mm2 red, 0.1 m
wire W7 from F3 to S1:30, 4 mm2 red, 1 m
wire W8 from S1:50 to M1:50, 4 mm2 black, 1 m
wire W9 from T1 to K1:86, 1.5 mm2 black, 1 m
wire W10 from K1:85 to ground, 1.5 mm2 black, 0.3 m
wire W11 from B1:+ to F1, 10 mm2 red, 0.1 m
wire W12 from F1 to K1:30, 10 mm2 red, 0.4 m
wire W13 from K1:87 to F2, 10 mm2 red, 3 m
wire W14 from F2 to B2:+, 10 mm2 red, 0.1 m
wire W15 from B2:+ to F4, 1.5 mm2 red, 0.1 m
wire W16 from F4 to S2, 1.5 mm2 red, 1 m
wire W17 from S2 to E1:+, 1.5 mm2 red, 2 m
wire W18 from E1:- to ground, 1.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
