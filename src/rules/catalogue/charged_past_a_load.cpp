#include "base/number.hpp"
#include "rules/batteries_parted.hpp"
#include "rules/called_so.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule charged_past_a_load; // rule_list.hpp lists it

namespace {

/// A charging system at its upper end over a battery that is flat, of 12 V (common practice, from memory).
constexpr Volts charging{14.4}, flat{10.5};
/// What takes less than that is no load that its wire was laid for (common practice, no source).
constexpr Amps counts{1};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        const std::vector<BatteryPoles> all = battery_poles(s_);
        for (const BatteryPoles& first : all)
            for (const BatteryPoles& more : all)
                if (first.source != more.source && s_.reference[first.ground.index] &&
                    s_.reference[more.ground.index] && is_for_what_stands(c_.at(c_.at(more.source).part)) &&
                    !is_for_what_stands(c_.at(c_.at(first.source).part)))
                    look_at(first, more);
    }

  private:
    bool protects(EdgeRef e) const { return !e.is_wire() && c_.at(e.primitive).element == Element::protector; }

    void look_at(const BatteryPoles& first, const BatteryPoles& more) {
        const auto joins = joins_between(s_, first, more);
        if (!joins || joins->empty()) return;
        const Reach reach = fed_from(s_, first.live, {});
        if (!reach.reached(more.live)) return;
        const std::vector<EdgeRef> way = reach.path_to(more.live);
        const std::vector<TerminalId> stops = reach.stops_to(more.live);
        // Between what parts the two and the fuse at the second one; without that fuse, one-end-protected speaks.
        std::size_t begin = way.size(), end = 0;
        for (std::size_t i = 0; i < way.size(); ++i) {
            if (std::ranges::find(*joins, way[i]) != joins->end()) begin = std::min(begin, i + 1);
            if (protects(way[i])) end = i;
        }
        const auto fuse = std::ranges::find_if(way, [&](EdgeRef e) { return protects(e); });
        if (begin > end || fuse == way.end() || *fuse == way[end] || std::size_t(fuse - way.begin()) >= begin) return;
        std::vector<PartId> loads;
        Amps together;
        for (std::size_t i = begin; i <= end; ++i) hang_on(stops[i], way, loads, together);
        if (!loads.empty() && together >= counts) say(first, more, way, way[end], *fuse, loads, together);
    }

    /// Loads at a place of the way that have no fuse of their own.
    void hang_on(TerminalId at, const std::vector<EdgeRef>& way, std::vector<PartId>& loads, Amps& together) const {
        const Reach reach = s_.graph.walk(
            std::vector{at},
            [&](EdgeRef e, TerminalId t) {
                return std::ranges::find(way, e) == way.end() && carries_fault(s_, e, t, Protectors::stop);
            },
            &Edge::metres);
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (reach.reached(p.a) == reach.reached(p.b) || !is_load(p) || p.purpose != Purpose::plain ||
                c_.at(p.part).poisoned || !p.current.known() || std::ranges::find(loads, p.part) != loads.end())
                continue;
            loads.push_back(p.part);
            together += p.current.nominal;
        }
    }

    Ohms inside(const BatteryPoles& battery) const {
        const Stated<Ohms>& ohms = c_.at(battery.source).resistance;
        return ohms.known() ? ohms.nominal : Ohms{};
    }
    /// Its ground lead.
    Ohms home(const BatteryPoles& battery) const {
        const Reach reach = ground_walk(s_, battery.ground);
        for (TerminalId t : reach.in_order())
            if (c_.part_of(t).kind == Kind::metal) return resistance_along(c_, reach.path_to(t), Celsius{20});
        return {};
    }

    void say(const BatteryPoles& first, const BatteryPoles& more, const std::vector<EdgeRef>& way, EdgeRef far,
             EdgeRef near, const std::vector<PartId>& loads, Amps together) {
        const std::string battery = called(c_, c_.at(more.source).part), names = list_of(names_of(c_, loads)),
                          fuse = protector_words(c_, near.primitive), other = protector_words(c_, far.primitive);
        const bool one = loads.size() == 1;
        const Ohms wires =
            resistance_along(c_, way, Celsius{20}) + inside(first) + inside(more) + home(first) + home(more);
        const double volts = (charging - flat).si * c_.vehicle.system.si / 12;
        const Stated<Amps> rating = rating_of(s_, near.primitive);
        // What nobody said of wires and batteries counts as nothing: the true current is smaller.
        const Amps charge = wires.si > 0 ? Amps{volts / wires.si} : Amps{};
        const bool opens = rating.known() && charge.si > 0 && charge + together > rating.nominal * 1.1;
        Finding f;
        f.rule = charged_past_a_load.id;
        f.severity = Severity::advice;
        f.headline = sentence_start(fmt::format("{} {} between {} and {}, on the wire over which {} is joined to {}.",
                                                one ? called(c_, loads.front()) : names, one ? "hangs" : "hang", fuse,
                                                other, battery, name_of(c_, c_.at(first.source).part)));
        f.place = where_it_lies(c_, loads.front());
        f.cites.push_back(cite_part(c_, loads.front(), "fed from both ends"));
        f.cites.push_back(cite_part(c_, c_.at(more.source).part, "charged past it"));
        if (opens)
            f.why = fmt::format("A flat {} takes up to {} over these wires, and {} {} beside that: more than the {} of "
                                "{}, which opens, and then both are dead. ",
                                name_of(c_, c_.at(more.source).part), text(rounded(charge, 2)), names, text(together),
                                text(rating.nominal), fuse);
        f.why += fmt::format("Once the two batteries are parted {} on from {}. And a short there is fed from both "
                             "batteries, over both fuses.",
                             one ? names + " goes" : names + " go", name_of(c_, c_.at(more.source).part));
        f.limit =
            "a wire for charging is one for nothing else, with a fuse at each battery (common practice, no source)";
        const auto stops = [&] {
            std::vector<TerminalId> all{first.live};
            for (EdgeRef e : way) all.push_back(other_end(c_, e, all.back()));
            return all;
        }();
        f.path = stops_in_words(c_, stops);
        f.cures.push_back({fmt::format("Give {} a charging wire of its own, thick enough for it, with a fuse at each "
                                       "battery and a hole of its own in each plug; and leave {} on this one.",
                                       name_of(c_, c_.at(more.source).part), names)});
        f.cures.push_back({fmt::format("Give {} a fuse of its own, and this wire what it takes to charge {}.", names,
                                       name_of(c_, c_.at(more.source).part))});
        for (PartId p : loads) f.subjects.push_back(name_of(c_, p));
        f.subjects.push_back(name_of(c_, c_.at(more.source).part));
        f.subjects.push_back(name_of(c_, c_.at(near.primitive).part));
        const bool maker = std::ranges::all_of(loads, [&](PartId p) { return s_.now.is_factory(p); }) &&
                           s_.now.is_factory(c_.at(more.source).part);
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

const Rule charged_past_a_load = {
    "charged-past-a-load",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "a second battery that is charged over the wire that feeds a load",
    "always advice: wires and fuses that do not stand it are named by other rules",
    {
        "Between the fuses of two batteries, on the wire that joins them, a load hangs without a fuse of its own: the "
        "fridge of a caravan whose battery was joined to its feed.",
        "The wire and its fuse were made for the load. A flat battery takes more, and the fuse opens; with the car's "
        "engine off the load empties the battery that should last.",
        "A charging wire of its own for the battery, with a fuse at each end.",
        "What a flat battery takes is (14.4 V - 10.5 V) over the batteries' insides and the wires between (common "
        "practice, from memory). Silent: "
        "loads behind a fuse of their own, and a battery that is not called for what stands (leisure, caravan ...).",
        R"(loom 1
battery B1 "car", 70 Ah
battery B2 "caravan", 90 Ah
alternator G1, 90 A
fuse F0, 100 A, bolted
fuse F1, 20 A
fuse F2, 15 A
fuse F5, 20 A
relay K1 "fridge relay", 4-pin, 30 A, resistor 680 ohm
existing wire T1 "live while the alternator charges", blue, 1 mm2, live when "charging", behind 5 A
splice SP1, crimp
switch S1 "lamp", 10 A
switch S3 "fridge", 40 A
heater E1 "fridge", 8 A
lamp E2 "lamp", 10 W
wire W1 from B1:- to ground, 35 mm2 black, 0.4 m
wire W3 from G1:B+ to F0, 25 mm2 red, 1 m
wire W4 from F0 to B1:+, 25 mm2 red, 0.1 m
wire W5 from B1:+ to F1, 6 mm2 red, 0.1 m
wire W6 from F1 to K1:30, 6 mm2 red, 0.5 m
wire W7 from T1 to K1:86, 1 mm2 blue, 1 m
wire W8 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W9 from K1:87 to SP1, 6 mm2 red, 6 m
wire W10 from SP1 to S3, 6 mm2 red, 1 m
wire W18 from S3 to E1, 6 mm2 red, 1 m
wire W11 from E1 to ground, 6 mm2 black, 1 m
wire W12 from SP1 to F5, 6 mm2 red, 1 m
wire W20 from F5 to B2:+, 6 mm2 red, 0.1 m
wire W13 from B2:- to ground, 6 mm2 black, 1 m
wire W14 from B2:+ to F2, 1.5 mm2 red, 0.1 m
wire W15 from F2:2 to S1, 1.5 mm2 red, 1 m
wire W16 from S1 to E2, 1.5 mm2 red, 1 m
wire W17 from E2 to ground, 1.5 mm2 black, 1 m
)",
        R"(loom 1
battery B1 "car", 70 Ah
battery B2 "caravan", 90 Ah
alternator G1, 90 A
fuse F0, 100 A, bolted
fuse F1, 20 A
fuse F2, 15 A
fuse F5, 20 A
relay K1 "fridge relay", 4-pin, 30 A, resistor 680 ohm
existing wire T1 "live while the alternator charges", blue, 1 mm2, live when "charging", behind 5 A
splice SP1, crimp
switch S1 "lamp", 10 A
switch S3 "fridge", 40 A
heater E1 "fridge", 8 A
lamp E2 "lamp", 10 W
wire W1 from B1:- to ground, 35 mm2 black, 0.4 m
wire W3 from G1:B+ to F0, 25 mm2 red, 1 m
wire W4 from F0 to B1:+, 25 mm2 red, 0.1 m
wire W5 from B1:+ to F1, 6 mm2 red, 0.1 m
wire W6 from F1 to K1:30, 6 mm2 red, 0.5 m
wire W7 from T1 to K1:86, 1 mm2 blue, 1 m
wire W8 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W9 from K1:87 to SP1, 6 mm2 red, 6 m
wire W10 from F2:2 to S3, 6 mm2 red, 1 m
wire W18 from S3 to E1, 6 mm2 red, 1 m
wire W11 from E1 to ground, 6 mm2 black, 1 m
wire W12 from SP1 to F5, 6 mm2 red, 1 m
wire W20 from F5 to B2:+, 6 mm2 red, 0.1 m
wire W13 from B2:- to ground, 6 mm2 black, 1 m
wire W14 from B2:+ to F2, 1.5 mm2 red, 0.1 m
wire W15 from F2:2 to S1, 1.5 mm2 red, 1 m
wire W16 from S1 to E2, 1.5 mm2 red, 1 m
wire W17 from E2 to ground, 1.5 mm2 black, 1 m
)",
    },
    run,
};

} // namespace loomproof::rules
