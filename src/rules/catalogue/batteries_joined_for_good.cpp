#include "base/number.hpp"
#include "rules/called_so.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule batteries_joined_for_good; // rule_list.hpp lists it

namespace {

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        std::vector<Battery> all;
        for (const BatteryPoles& p : battery_poles(s_))
            if (s_.reference[p.ground.index]) all.push_back({c_.at(p.source).part, p.live});
        for (std::size_t i = 0; i < all.size(); ++i)
            for (std::size_t k = i + 1; k < all.size(); ++k) look_at(all[i], all[k]);
    }

  private:
    struct Battery {
        PartId part;
        TerminalId live;
    };
    /// What one of two batteries feeds without what joins it to the other.
    struct Side {
        bool starts = false; ///< a starter or an alternator
        std::vector<PartId> loads;
    };

    Side side(const Battery& battery, const std::vector<EdgeRef>& joins) const {
        const Reach reach = s_.graph.walk(
            std::vector{battery.live},
            [&](EdgeRef e, TerminalId t) {
                return std::ranges::find(joins, e) == joins.end() && carries_fault(s_, e, t, Protectors::pass);
            },
            &Edge::metres);
        Side out;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (!reach.reached(p.a) && !reach.reached(p.b)) continue;
            const Kind kind = c_.at(p.part).kind;
            if (kind == Kind::starter || kind == Kind::alternator || kind == Kind::dynamo)
                out.starts = true;
            else if (is_load(p) && p.purpose == Purpose::plain && kind != Kind::resistor && !c_.at(p.part).poisoned &&
                     std::ranges::find(out.loads, p.part) == out.loads.end())
                out.loads.push_back(p.part);
        }
        return out;
    }

    void look_at(const Battery& a, const Battery& b) {
        const Reach from_a = s_.graph.walk(
            std::vector{a.live}, [&](EdgeRef e, TerminalId t) { return carries_fault_for_good(s_, e, t); },
            &Edge::metres);
        if (!from_a.reached(b.live)) return;
        const std::vector<EdgeRef> joins = from_a.path_to(b.live);
        const Side of_a = side(a, joins), of_b = side(b, joins);
        // Two of a bank, or two that crank together, are joined on purpose: one has to be for something else.
        const bool for_more_a = is_for_what_stands(c_.at(a.part)), for_more_b = is_for_what_stands(c_.at(b.part));
        if (for_more_a != for_more_b)
            for_more_a ? judge(b, a, of_b.starts, of_a, joins) : judge(a, b, of_a.starts, of_b, joins);
        else if (of_a.starts != of_b.starts)
            of_a.starts ? judge(a, b, true, of_b, joins) : judge(b, a, true, of_a, joins);
    }

    void judge(const Battery& first, const Battery& second, bool starts, const Side& side,
               const std::vector<EdgeRef>& joins) {
        if (side.loads.empty()) return;
        std::vector<PartId> parts;
        for (EdgeRef e : joins)
            if (!e.is_wire() && c_.at(e.primitive).element == Element::protector)
                parts.push_back(c_.at(e.primitive).part);
        std::vector<PartId> some = side.loads;
        constexpr std::size_t most = 3;
        if (some.size() > most) some.resize(most);
        const std::string takes = list_of(names_of(c_, some)) + (side.loads.size() > most ? " and more" : "");
        Finding f;
        f.rule = batteries_joined_for_good.id;
        f.severity = starts ? Severity::fault : Severity::advice;
        f.headline = sentence_start(fmt::format(
            "{} and {} are joined for good{}: parked, {} {} both, and then nothing is left to start the engine.",
            called(c_, first.part), called(c_, second.part),
            parts.empty() ? "" : " over " + list_of(names_of(c_, parts)), takes,
            verb(side.loads.size(), "empties", "empty")));
        f.place = where_it_lies(c_, second.part);
        f.cites.push_back(cite_part(c_, second.part, "never parted from " + name_of(c_, first.part)));
        f.cites.push_back(cite_part(c_, some.front(), "takes from both"));
        f.why = "Two batteries that nothing parts are one: what hangs on the second takes from the first as well. And "
                "the fuller one charges the other at all times, with what the cables let through.";
        f.limit = "a second battery is joined only while something charges (common practice, no source)";
        f.cures.push_back({fmt::format(
            "Put a relay between the two that pulls in only while the alternator charges, its coil fed from "
            "what is live only then: loomproof begin second battery --into FILE asks for the rest.")});
        f.cures.push_back({"Charge the second over a charger made for it (loomproof help charger): that parts them."});
        f.cures.push_back({fmt::format("If both shall start the engine together: accept {} on {} because \"...\"",
                                       batteries_joined_for_good.id, name_of(c_, second.part))});
        f.path = stops_in_words(c_, stops(first, joins));
        f.subjects = {name_of(c_, second.part), name_of(c_, first.part)};
        for (PartId p : parts) f.subjects.push_back(name_of(c_, p));
        const bool maker = s_.now.is_factory(first.part) && s_.now.is_factory(second.part);
        report_.add(std::move(f), maker);
    }

    /// The way as terminals, the first battery's pole first.
    std::vector<TerminalId> stops(const Battery& first, std::vector<EdgeRef> joins) const {
        const auto touches = [&](EdgeRef e, TerminalId t) {
            return e.is_wire() ? c_.at(e.wire).a == t || c_.at(e.wire).b == t
                               : c_.at(e.primitive).a == t || c_.at(e.primitive).b == t;
        };
        if (!joins.empty() && !touches(joins.front(), first.live)) std::ranges::reverse(joins);
        std::vector<TerminalId> out{first.live};
        for (EdgeRef e : joins) out.push_back(other_end(c_, e, out.back()));
        return out;
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule batteries_joined_for_good = {
    "batteries-joined-for-good",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a second battery that nothing parts from the one that starts the engine",
    "a fault where one of them has the starter or the alternator on it, else advice",
    {
        "Wires and fuses alone join the second battery to the one that starts the engine: no relay, switch or diode "
        "stands between.",
        "What the second battery feeds while parked takes from both. In the morning neither starts the engine.",
        "A relay that joins them only while the alternator charges, or a charger made for the second battery.",
        "None: they are parted or not. Silent: two batteries of which nothing says that they are for different things "
        "(a bank, two that crank together), and a second one on which nothing hangs.",
        R"(loom 1
battery B1, 60 Ah
battery B2 "leisure", 80 Ah
fuse F1, 40 A, maxi
fuse F2, 40 A, maxi
fuse F3, 10 A
lamp E1 "cabin lamp", 21 W
wire from B1:- to ground, 16 mm2 black, 0.3 m
wire from B2:- to ground, 16 mm2 black, 0.3 m
wire from B1:+ to F1, 10 mm2 red, 0.1 m
wire from F1 to F2, 10 mm2 red, 3 m
wire from F2 to B2:+, 10 mm2 red, 0.1 m
wire from B2:+ to F3, 1.5 mm2 red, 0.1 m
wire from F3 to E1, 1.5 mm2 red, 2 m
wire from E1 to ground, 1.5 mm2 black, 0.5 m
)",
        R"(loom 1
battery B1, 60 Ah
battery B2 "leisure", 80 Ah
fuse F1, 40 A, maxi
fuse F2, 40 A, maxi
fuse F3, 10 A
lamp E1 "cabin lamp", 21 W
relay K1 "joins the batteries", 4-pin, 50 A, resistor 680 ohm
existing wire T1 "live while the alternator charges", blue, 1 mm2, live when "charging", behind 5 A
wire from B1:- to ground, 16 mm2 black, 0.3 m
wire from B2:- to ground, 16 mm2 black, 0.3 m
wire from B1:+ to F1, 10 mm2 red, 0.1 m
wire from F1 to K1:30, 10 mm2 red, 1 m
wire from K1:87 to F2, 10 mm2 red, 2 m
wire from F2 to B2:+, 10 mm2 red, 0.1 m
wire from T1 to K1:86, 1 mm2 blue, 1 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
wire from B2:+ to F3, 1.5 mm2 red, 0.1 m
wire from F3 to E1, 1.5 mm2 red, 2 m
wire from E1 to ground, 1.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
