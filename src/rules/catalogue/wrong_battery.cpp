#include "base/number.hpp"
#include "rules/batteries_parted.hpp"
#include "rules/called_so.hpp"
#include "rules/converter_ways.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule wrong_battery; // rule_list.hpp lists it

namespace {

/// Something that is called as a battery is, and how the other battery feeds it.
struct Strayed {
    PartId part;
    std::vector<TerminalId> way; ///< from the other battery's pole
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        std::vector<BatteryPoles> first, more;
        for (const BatteryPoles& p : battery_poles(s_)) {
            if (!s_.reference[p.ground.index]) return; // a row of them
            if (is_for_what_stands(c_.at(c_.at(p.source).part)))
                more.push_back(p);
            else if (is_the_engines(s_, p) || is_the_first(c_.at(c_.at(p.source).part)) ||
                     c_.at(c_.at(p.source).part).label.empty())
                first.push_back(p);
        }
        for (const BatteryPoles& m : more)
            if (!first.empty()) look_at(first.front(), m);
    }

  private:
    void look_at(const BatteryPoles& first, const BatteryPoles& more) {
        const auto parted = joins_between(s_, first, more);
        if (!parted) return; // batteries-joined-for-good
        const Reach of_first = fed_from(s_, first.live, *parted), of_more = fed_from(s_, more.live, *parted);
        const PartId battery = c_.at(more.source).part;
        std::vector<Strayed> all;
        for (PartId id : s_.now.parts()) {
            if (!is_called_as(c_.at(id), c_.at(battery))) continue;
            const auto is_fed = [&](const Reach& reach) {
                return std::ranges::find_if(c_.at(id).terminals,
                                            [&](TerminalId t) { return !s_.reference[t.index] && reach.reached(t); });
            };
            const auto end = is_fed(of_first), none = c_.at(id).terminals.end();
            if (end != none && is_fed(of_more) == none) all.push_back({id, of_first.stops_to(*end)});
        }
        if (!all.empty()) say(c_.at(first.source).part, battery, more, all);
    }

    void say(PartId first, PartId battery, const BatteryPoles& more, const std::vector<Strayed>& all) {
        const bool one = all.size() == 1;
        std::vector<PartId> parts;
        for (const Strayed& a : all) parts.push_back(a.part);
        Finding f;
        f.rule = wrong_battery.id;
        f.severity = Severity::advice;
        f.headline = sentence_start(fmt::format(
            "{} {} on {}, though {} is there for {}.", one ? called(c_, parts.front()) : list_of(names_of(c_, parts)),
            one ? "hangs" : "hang", called(c_, first), called(c_, battery), one ? "it" : "them"));
        f.place = where_it_lies(c_, parts.front());
        f.cites.push_back(cite_part(c_, parts.front(), "fed from " + name_of(c_, first)));
        f.cites.push_back(cite_part(c_, battery, "there for it"));
        f.why = fmt::format("What {} {} while the car is parked is missing when the engine shall start, and {} stays "
                            "full beside it.",
                            one ? "it" : "they", one ? "takes" : "take", name_of(c_, battery));
        f.limit = "told by what they are called (common practice, no source)";
        f.path = stops_in_words(c_, all.front().way);
        f.cures.push_back({fmt::format("Feed {} from {}, over a fuse within 0.18 m of that.", one ? "it" : "them",
                                       name_of(c_, more.live))});
        f.cures.push_back({fmt::format("If the engine's battery is meant: accept {} on {} because \"...\"",
                                       wrong_battery.id, name_of(c_, parts.front()))});
        for (PartId p : parts) f.subjects.push_back(name_of(c_, p));
        f.subjects.push_back(name_of(c_, battery));
        const bool maker = std::ranges::all_of(parts, [&](PartId p) { return s_.now.is_factory(p); });
        report_.add(std::move(f), maker);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

void run(const Study& s, Report& report) {
    if (s.reversed_batteries.empty() && battery_poles(s).size() > 1) Judge(s, report).run();
}

} // namespace

const Rule wrong_battery = {
    "wrong-battery",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "what is called as the second battery is, fed from the one that starts the engine",
    "always advice: it works",
    {
        "Two batteries are there, and a fuse box, a bus or a load bears the name of the one for what works while the "
        "engine stands (leisure, house, winch ...). But the other one feeds it: no way leads to it from its own, but "
        "over what joins the two.",
        "What it takes while the car is parked is missing when the engine shall start. The second battery was bought "
        "so that this cannot happen.",
        "Feed it from the second battery, over a fuse at that.",
        "None: what each is called decides (common practice, no source). Silent: what both can feed, and what is there "
        "for the battery itself: its charger, its tell-tale, its gauge.",
        R"(loom 1
battery B1, 60 Ah
battery B2 "leisure", 80 Ah
alternator G1, 65 A
fuse F1, 80 A, bolted
fuse F2, 40 A, maxi
fuse F3, 40 A, maxi
fuse F4, 20 A
fuse F5, 10 A
bus BB1 "leisure fuses"
switch S1 "cabin lamp", 10 A
lamp E1 "cabin lamp", 21 W
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
wire from B1:+ to F4, 4 mm2 red, 0.1 m
wire from F4 to BB1, 4 mm2 red, 2 m
wire from BB1 to F5, 1.5 mm2 red, 0.1 m
wire from F5 to S1, 1.5 mm2 red, 2 m
wire from S1 to E1, 1.5 mm2 red, 2 m
wire from E1 to ground, 1.5 mm2 black, 0.5 m
)",
        R"(loom 1
battery B1, 60 Ah
battery B2 "leisure", 80 Ah
alternator G1, 65 A
fuse F1, 80 A, bolted
fuse F2, 40 A, maxi
fuse F3, 40 A, maxi
fuse F4, 20 A
fuse F5, 10 A
bus BB1 "leisure fuses"
switch S1 "cabin lamp", 10 A
lamp E1 "cabin lamp", 21 W
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
wire from B2:+ to F4, 4 mm2 red, 0.1 m
wire from F4 to BB1, 4 mm2 red, 2 m
wire from BB1 to F5, 1.5 mm2 red, 0.1 m
wire from F5 to S1, 1.5 mm2 red, 2 m
wire from S1 to E1, 1.5 mm2 red, 2 m
wire from E1 to ground, 1.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
