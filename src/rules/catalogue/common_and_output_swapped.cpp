#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule common_and_output_swapped; // rule_list.hpp lists it

namespace {

class Judge {
  public:
    Judge(const Study& s, Report& report)
        : s_(s), c_(s.circuit), report_(report), sides_(s), at_best_(joined_to_plus()) {}

    void run() {
        for (PartId part : s_.now.parts())
            if (c_.at(part).kind == Kind::relay && !c_.at(part).poisoned) look_at(part);
    }

  private:
    Spread without(PartId relay, const std::vector<TerminalId>& starts, bool with_current) const {
        SpreadWish wish;
        wish.starts = starts;
        wish.with_current = with_current;
        wish.without_part = relay;
        return Spread(s_.now, wish);
    }

    /// All that plus could get to if every contact could be closed at once. A walk for each relay is only for what this leaves open.
    Reach joined_to_plus() const {
        return s_.graph.walk(
            live_poles(s_, false),
            [&](EdgeRef e, TerminalId from) {
                if (e.is_wire()) return true;
                const Primitive& p = c_.at(e.primitive);
                if (p.purpose == Purpose::suppressor) return false;
                if (p.element == Element::junction) return from == (s_.from_plus() ? p.a : p.b);
                return p.element == Element::joint || p.element == Element::meter || p.element == Element::contact ||
                       p.element == Element::protector;
            },
            [](EdgeRef) { return 0.0; });
    }

    /// Does a way from where the spread begins to the terminal pass nothing of this relay?
    bool past(PartId relay, const Spread& spread, TerminalId t) const {
        return std::ranges::any_of(spread.ways_to(t), [&](std::uint32_t way) {
            return std::ranges::none_of(spread.edges(way),
                                        [&](EdgeRef e) { return !e.is_wire() && c_.at(e.primitive).part == relay; });
        });
    }
    bool fed_past(PartId relay, TerminalId t) const { return past(relay, sides_.live(), t); }
    bool grounded_past(PartId relay, TerminalId t) const { return past(relay, sides_.ground(), t); }

    void look_at(PartId relay) const {
        TerminalId common, make, rest;
        bool change_over = false;
        for (TerminalId t : c_.at(relay).terminals) {
            const Role role = c_.at(t).role;
            change_over = change_over || role == Role::rest;
            if (s_.now.wires_at(t).empty()) continue;
            if (sides_.untraced(t) && role != Role::coil_plus && role != Role::coil_minus) return;
            if (role == Role::common) common = t;
            if (role == Role::make && (!make.exists() || sides_.live_always(t))) make = t;
            if (role == Role::rest) rest = t;
        }
        // One that only closes is as good either way round. And on most the common one is fed, which needs no walk to tell.
        if (!change_over || !common.exists() || !make.exists() || fed_past(relay, common)) return;
        // Nor is there a walk where plus can get to neither output at all, or gets to both past the relay.
        if (!at_best_.reached(make) && !(rest.exists() && at_best_.reached(rest))) return;
        if (rest.exists() && fed_past(relay, make) && fed_past(relay, rest)) return;
        if (grounded_past(relay, make) || grounded_past(relay, common)) return; // as below, where ground has its walk
        if (rest.exists() && grounded_past(relay, rest)) return;
        const Spread live = without(relay, live_poles(s_, false), s_.from_plus());
        const bool feeds_make = live.reached(make), feeds_rest = rest.exists() && live.reached(rest);
        if (feeds_make == feeds_rest || live.reached(common)) return;
        std::vector<TerminalId> metal =
            ground_poles(s_); // and all that stands for ground while a battery's own is missing
        for (PartId part : s_.now.parts())
            if (c_.at(part).kind == Kind::metal)
                metal.insert(metal.end(), c_.at(part).terminals.begin(), c_.at(part).terminals.end());
        const Spread ground = without(relay, metal, !s_.from_plus());
        if (ground.reached(make) || ground.reached(common) || (rest.exists() && ground.reached(rest))) return;
        if (!(feeds_make ? rest : make).exists() && goes_home_elsewhere(relay, common, live)) return;
        if (feeds_make)
            say(relay, common, make, rest, false);
        else
            say(relay, common, rest, make, true);
    }

    /// One of two relays that turn a motor round: there the load belongs on 30, and without its other output it does not work all the same.
    bool goes_home_elsewhere(PartId relay, TerminalId common, const Spread& live) const {
        std::vector<bool> seen(c_.terminals.size(), false);
        for (TerminalId t : region(
                 s_.now, {common}, Through::what_conducts,
                 [&](TerminalId t) {
                     if (seen[t.index] || s_.reference[t.index]) return false;
                     seen[t.index] = true;
                     return true;
                 },
                 relay))
            for (PrimitiveId id : s_.now.primitives_at(t)) {
                const Primitive& p = c_.at(id);
                const TerminalId other = p.a == t ? p.b : p.a;
                if (is_load(p) && (live.reached(other) || !sides_.ground(other))) return true;
            }
        return false;
    }

    /// `fed` and `other` are the two outputs; where nothing hangs on 87a there is no other one.
    void say(PartId relay, TerminalId common, TerminalId fed, TerminalId other, bool fed_at_rest) const {
        Finding f;
        f.rule = common_and_output_swapped.id;
        f.severity = other.exists() ? Severity::fault : Severity::note;
        const std::string in = stamp_of(c_, fed), out = stamp_of(c_, common);
        const std::string closes = fed_at_rest ? stamp_of(c_, other) : in;
        const std::string opens = fed_at_rest ? in : other.exists() ? stamp_of(c_, other) : "87a";
        f.headline =
            sentence_start(fmt::format("{} has its feed on {} and its load on {}", called(c_, relay), in, out));
        f.headline += other.exists() ? fmt::format(": what hangs on {} never gets anything.", stamp_of(c_, other))
                                     : ", the other way about than is custom; it works all the same.";
        f.place = where_it_lies(c_, relay);
        f.cites.push_back(cite_terminal(s_.now, fed, "fed here"));
        f.cites.push_back(cite_terminal(s_.now, common, "load here"));
        if (other.exists()) f.cites.push_back(cite_terminal(s_.now, other, "dead at rest and pulled in"));
        f.why =
            other.exists()
                ? fmt::format("{} {} is joined to {}, where there is only a load; {}, it is joined to nothing.",
                              fed_at_rest ? "Pulled in," : "At rest", stamp_of(c_, other), out,
                              fed_at_rest ? "at rest" : "pulled in")
                : fmt::format(
                      "The contact does not mind, and the free 87a is dead, which is safe. But whoever hangs something "
                      "on 87a one day finds nothing there, and whoever looks for a fault expects the feed on {}.",
                      out);
        if (other.exists()) {
            f.limit = fmt::format("DIN 72552: {} is the common contact, {} closes, {} opens", out, closes, opens);
            f.cures.push_back(
                {fmt::format("Exchange the wires on {} and {}: then {} is fed at rest, {} when the relay is pulled in.",
                             out, in, opens, closes)});
        } else {
            f.limit = fmt::format("DIN 72552: {} comes from the battery, {} goes to the load", out, in);
            f.cures.push_back({"Leave it, and mark it; or exchange the two wires when you are there anyway."});
        }
        f.subjects = {name_of(c_, relay), name_of(c_, fed), name_of(c_, common)};
        if (other.exists()) {
            f.subjects.push_back(name_of(c_, other));
            for (std::string& name : names_tied_to(s_, other)) f.subjects.push_back(std::move(name));
        }
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    const Sides sides_;
    const Reach at_best_;
};

void run(const Study& s, Report& report) {
    if (std::ranges::any_of(s.now.parts(), [&](PartId p) { return s.circuit.at(p).kind == Kind::relay; }))
        Judge(s, report).run();
}

} // namespace

const Rule common_and_output_swapped = {
    "common-and-output-swapped",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a change-over relay with its feed on 87 or 87a and its load on 30",
    "a fault where something hangs on the other output, which then never gets anything; a note where 87a is free",
    {
        "The feed of this change-over relay comes in on 87 and its load hangs on 30.",
        "A relay that only closes does not mind, and is left alone. In a change-over relay what hangs on 87a is joined "
        "to the load alone and is dead for good.",
        "Exchange the two wires. Two feeds on 87 and 87a with one load on 30 are another thing, and are left alone.",
        "DIN 72552: 30 comes from the battery, 87 closes, 87a opens.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 10 A
switch S1, 10 A
switch S2, 10 A
relay K1, 5-pin, 30 A, resistor 680 ohm
lamp E1 "work lamp", 55 W
lamp E2 "marker", 5 W
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to S2, 1.5 mm2 red, 0.5 m
wire from S2 to K1:87, 1.5 mm2 red, 0.5 m
wire from K1:30 to E1, 1.5 mm2 red, 1 m
wire from E1 to ground, 1.5 mm2 black, 0.3 m
wire from K1:87a to E2, 1.5 mm2 blue, 1 m
wire from E2 to ground, 1.5 mm2 black, 0.3 m
wire from battery:+ to F2, 1.5 mm2 red, 0.1 m
wire from F2 to S1, 1.5 mm2 red, 0.5 m
wire from S1 to K1:86, 1.5 mm2 white, 0.5 m
wire from K1:85 to ground, 1.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 10 A
switch S1, 10 A
switch S2, 10 A
relay K1, 5-pin, 30 A, resistor 680 ohm
lamp E1 "work lamp", 55 W
lamp E2 "marker", 5 W
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to S2, 1.5 mm2 red, 0.5 m
wire from S2 to K1:30, 1.5 mm2 red, 0.5 m
wire from K1:87 to E1, 1.5 mm2 red, 1 m
wire from E1 to ground, 1.5 mm2 black, 0.3 m
wire from K1:87a to E2, 1.5 mm2 blue, 1 m
wire from E2 to ground, 1.5 mm2 black, 0.3 m
wire from battery:+ to F2, 1.5 mm2 red, 0.1 m
wire from F2 to S1, 1.5 mm2 red, 0.5 m
wire from S1 to K1:86, 1.5 mm2 white, 0.5 m
wire from K1:85 to ground, 1.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
