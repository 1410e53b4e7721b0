#include "base/number.hpp"
#include "rules/battery_hours.hpp"
#include "rules/called_so.hpp"
#include "rules/converter_ways.hpp"
#include "rules/ends.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/spread.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule never_charged; // rule_list.hpp lists it

namespace {

bool charges(Kind kind) {
    return kind == Kind::alternator || kind == Kind::dynamo || kind == Kind::charger || kind == Kind::converter ||
           kind == Kind::solar;
}

/// A battery, and all from which current can come to its live pole.
struct Battery {
    BatteryPoles poles;
    PartId part;
    bool starts;      ///< a starter or what the engine drives hangs on it, and it is not called otherwise
    bool for_more;    ///< called so: it is for what works while the engine stands
    std::string open; ///< why nobody can say what charges it; empty where it can be said
    std::vector<bool> reached;
    bool charged = false;
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report), ends_(s) {}

    void run() {
        for (const BatteryPoles& p : battery_poles(s_))
            if (s_.reference[p.ground.index]) all_.push_back(look_at(p));
        // What starts the engine is charged, drawn or not; so is what something charges that is charged itself. Of what is neither called
        // for one nor for the other nothing is concluded.
        const bool for_more = std::ranges::any_of(all_, &Battery::for_more),
                   starts = std::ranges::any_of(all_, &Battery::starts);
        bool first = starts;
        for (Battery& b : all_) {
            const Part& part = c_.at(b.part);
            const bool engines = b.starts || (for_more && !b.for_more && (part.label.empty() || is_the_first(part)));
            first = first || engines;
            b.charged = b.charged || engines || !(b.for_more || (starts && part.label.empty()));
        }
        if (!first) return;
        for (bool more = true; more;) {
            more = false;
            for (Battery& b : all_)
                for (const Battery& from : all_)
                    if (!b.charged && from.charged && b.reached[from.poles.live.index]) more = b.charged = true;
        }
        std::vector<PartId> said;
        for (const Battery& b : all_) {
            if (b.charged || std::ranges::find(said, b.part) != said.end()) continue;
            std::vector<PartId> bank;
            for (const Battery& o : all_)
                if (!o.charged && (&o == &b || b.reached[o.poles.live.index] || o.reached[b.poles.live.index]))
                    bank.push_back(o.part);
            said.insert(said.end(), bank.begin(), bank.end());
            judge(b, bank);
        }
    }

  private:
    Battery look_at(const BatteryPoles& p) const {
        const PartId self = c_.at(p.source).part;
        const bool for_more = is_for_what_stands(c_.at(self));
        // Over a switch or a diode between the batteries the engine's parts hang on both.
        Battery b{p, self, !for_more && is_the_engines(s_, p), for_more, {}, {}};
        // Against the current that charges it.
        const Spread from(s_.now, {.starts = {p.live}, .with_current = !s_.from_plus(), .not_into = &s_.reference});
        b.reached = from.reached_set();
        for (std::size_t i = 0; i < b.reached.size(); ++i) {
            if (!b.reached[i]) continue;
            const TerminalId t{i};
            const Part& part = c_.part_of(t);
            b.charged = b.charged || may_charge(t) || is_charged_elsewhere(c_.at(b.part));
            if (!b.open.empty()) continue;
            if (part.poisoned || part.kind == Kind::unknown_end || part.kind == Kind::not_known ||
                !says_what_it_is(s_.now, c_.at(t).part))
                b.open = fmt::format("nobody traced {}", name_of(c_, t));
            else if (std::ranges::find(ends_.open(), t, &Ends::Open::terminal) != ends_.open().end())
                b.open = fmt::format("{} has no wire yet", name_of(c_, t));
            else if (part.kind == Kind::connector && s_.now.wires_at(t).empty())
                b.open = fmt::format("what plugs into {} is not drawn", part.name);
        }
        return b;
    }

    /// Anything but a battery that gives current, over a resistor too; or that is called so, whatever kind it is written as.
    bool may_charge(TerminalId t) const {
        const Part& part = c_.part_of(t);
        // In a row with another: what charges the two charges it.
        if (part.kind == Kind::battery) return c_.at(t).role == s_.now.ground_pole();
        if (part.kind == Kind::charger || part.kind == Kind::solar || part.kind == Kind::dynamo ||
            part.kind == Kind::regulator || is_called_charging(part))
            return true;
        if (part.kind == Kind::converter) return c_.at(t).stamp != "in"; // that end takes from it
        return std::ranges::any_of(s_.now.primitives_at(t), [&](PrimitiveId id) {
            const Primitive& p = c_.at(id);
            const Kind kind = c_.at(p.part).kind;
            if (kind == Kind::battery || kind == Kind::converter) return false;
            if (s_.now.has(p.part, Attr::generates)) return true;
            if (kind == Kind::resistor) return !s_.reference[p.a.index] && !s_.reference[p.b.index];
            return p.element == Element::source && (s_.from_plus() ? p.a : p.b) == t;
        });
    }

    std::vector<PartId> loads_of(const Battery& b, Amps& together) const {
        const Reach reach = s_.graph.walk(
            std::vector{b.poles.live},
            [&](EdgeRef e, TerminalId t) { return carries_fault(s_, e, t, Protectors::pass); }, &Edge::metres);
        std::vector<PartId> loads;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (reach.reached(p.a) == reach.reached(p.b) || !is_load(p) || p.purpose != Purpose::plain ||
                c_.at(p.part).kind == Kind::resistor || c_.at(p.part).poisoned)
                continue;
            if (p.current.known()) together = together + p.current.nominal;
            if (std::ranges::find(loads, p.part) == loads.end()) loads.push_back(p.part);
        }
        return loads;
    }

    void judge(const Battery& b, const std::vector<PartId>& bank) {
        Amps together;
        std::vector<PartId> loads = loads_of(b, together);
        if (loads.empty()) return;
        const std::string name = list_of(names_of(c_, bank));
        const std::string question = fmt::format("whether anything charges {}", name);
        if (ends_.doubtful()) {
            report_.not_checked.push_back(open_until_mended(never_charged.id, question));
            return;
        }
        const bool partly = !c_.vehicle.described && !c_.vehicle.text.empty();
        if (partly || !b.open.empty()) {
            report_.not_checked.push_back(
                {never_charged.id, question,
                 b.open.empty() ? "nothing that does is drawn, and the vehicle is partly described" : b.open,
                 fmt::format(
                     "Read volts at {} after an hour's drive, and again with the engine off: above 13 V and then "
                     "below it: something charges it; draw that. No change: nothing does.",
                     name_of(c_, b.poles.live))});
            return;
        }
        const bool drawn = c_.vehicle.described || std::ranges::any_of(s_.now.parts(), [&](PartId p) {
                               return charges(c_.at(p).kind) || c_.at(p).kind == Kind::starter;
                           });
        constexpr std::size_t most = 3;
        const bool more = loads.size() > most;
        if (more) loads.resize(most);
        const std::string takers = list_of(names_of(c_, loads)) + (more ? " and more" : "");
        Finding f;
        f.rule = never_charged.id;
        f.severity = drawn ? Severity::fault : Severity::advice;
        f.headline = sentence_start(fmt::format(
            "Nothing charges {}, in any switch position: {} {} what it holds, and then it is flat for good.",
            bank.size() == 1 ? called(c_, b.part) : name, takers, verb(more ? 2 : loads.size(), "takes", "take")));
        f.place = where_it_lies(c_, b.part);
        f.cites.push_back(cite_part(c_, b.part, "nothing charges it"));
        f.cites.push_back(cite_part(c_, loads.front(), "takes from it"));
        f.why = "No alternator, charger, panel or other battery reaches it, whatever switches and relays do.";
        if (together.si > 0) f.why += half_of(b.part, together);
        f.why += " A lead-acid battery that stands empty for weeks is spoilt.";
        f.limit = "what is taken out has to come back (common practice, no source)";
        f.cures.push_back(
            {"Join it to the battery that the alternator charges, over a relay that closes only while the "
             "engine runs, with a fuse at each battery: loomproof begin second battery --into FILE asks "
             "for the rest."});
        f.cures.push_back({"Give it a charger of its own, from the mains, from a panel or from the other battery "
                           "(loomproof help charger, help solar, help converter)."});
        f.cures.push_back({fmt::format("If it is taken out to be charged, write that into its text: battery {} "
                                       "\"charged elsewhere\".",
                                       name_of(c_, b.part))});
        for (PartId p : bank) f.subjects.push_back(name_of(c_, p));
        const bool maker = std::ranges::all_of(bank, [&](PartId p) { return s_.now.is_factory(p); });
        report_.add(std::move(f), maker);
    }

    std::string half_of(PartId battery, Amps together) const {
        const std::string half = half_empty(s_, together, battery);
        return half.empty() ? half : fmt::format(" All of it at once takes {}.{}", text(rounded(together, 2)), half);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    const Ends ends_;
    std::vector<Battery> all_;
};

void run(const Study& s, Report& report) {
    if (s.reversed_batteries.empty() && battery_poles(s).size() > 1) Judge(s, report).run();
}

} // namespace

const Rule never_charged = {
    "never-charged",
    Severity::fault,
    Quantifier::forall,
    Harm::other,
    "a second battery that feeds something and that nothing ever charges",
    "a fault where a starter or something that charges is drawn or the vehicle is described whole, else advice",
    {
        "A battery beside the one that starts the engine feeds lamps, a pump, a fridge; but no way leads to it from an "
        "alternator, a charger, a panel or the other battery, in any position of the switches and relays.",
        "What it feeds works for a day or a week, until it is flat. Nothing fills it again.",
        "A relay that joins both batteries while the engine runs, with a fuse at each of them; or a charger for it.",
        "None: something charges it or nothing does. Silent: a battery on which nothing hangs, one whose text says "
        "that "
        "it is a spare, on a trailer or charged elsewhere. Asked, not said, where the vehicle is partly described, or "
        "where an end of its wiring is open or leads over a plug to what is not drawn.",
        R"(loom 1
battery B1, 60 Ah
battery B2 "leisure", 80 Ah
alternator G1, 65 A
fuse F1, 80 A, bolted
fuse F4, 10 A
switch S1 "cabin lamp", 10 A
lamp E1 "cabin lamp", 21 W
wire from B1:- to ground, 16 mm2 black, 0.3 m
wire from B2:- to ground, 16 mm2 black, 0.3 m
wire from G1:B+ to F1, 16 mm2 red, 1 m
wire from F1 to B1:+, 16 mm2 red, 0.1 m
wire from B2:+ to F4, 1.5 mm2 red, 0.1 m
wire from F4 to S1, 1.5 mm2 red, 2 m
wire from S1 to E1, 1.5 mm2 red, 2 m
wire from E1 to ground, 1.5 mm2 black, 0.5 m
)",
        R"(loom 1
battery B1, 60 Ah
battery B2 "leisure", 80 Ah
alternator G1, 65 A
fuse F1, 80 A, bolted
fuse F4, 10 A
switch S1 "cabin lamp", 10 A
lamp E1 "cabin lamp", 21 W
fuse F2, 40 A, maxi
fuse F3, 40 A, maxi
relay K1 "joins the batteries", 4-pin, 50 A, resistor 680 ohm
existing wire T1 "live while the alternator charges", blue, 1 mm2, live when "charging", behind 5 A
wire from B1:- to ground, 16 mm2 black, 0.3 m
wire from B2:- to ground, 16 mm2 black, 0.3 m
wire from G1:B+ to F1, 16 mm2 red, 1 m
wire from F1 to B1:+, 16 mm2 red, 0.1 m
wire from B1:+ to F2, 10 mm2 red, 0.1 m
wire from F2 to K1:30, 10 mm2 red, 1 m
wire from K1:87 to F3, 10 mm2 red, 2 m
wire from F3 to B2:+, 10 mm2 red, 0.1 m
wire from T1 to K1:86, 1 mm2 blue, 1 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
wire from B2:+ to F4, 1.5 mm2 red, 0.1 m
wire from F4 to S1, 1.5 mm2 red, 2 m
wire from S1 to E1, 1.5 mm2 red, 2 m
wire from E1 to ground, 1.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
