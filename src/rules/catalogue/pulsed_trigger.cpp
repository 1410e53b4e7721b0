#include "base/number.hpp"
#include "circuit/outputs.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/spread.hpp"
#include "solve/settle.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule pulsed_trigger; // rule_list.hpp lists it

namespace {

/// Pulses so slow a relay follows as it follows a flasher, which is what it is made for [Hz].
constexpr double follows_up_to = 5;

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report), sides_(s) {}

    void run() {
        for (const Output& o : outputs_of(s_.now)) {
            if (!o.pulsed || (o.pulsed->value.known() && o.pulsed->value.nominal <= follows_up_to)) continue;
            const std::vector<bool> elsewhere = fed_from_elsewhere(o);
            const Spread from(s_.now, {.starts = {o.at},
                                       .with_current = o.plus || !s_.from_plus(),
                                       .without_part = o.part,
                                       .not_beyond = &elsewhere});
            for (PrimitiveId id : s_.now.primitives()) {
                const Primitive& p = c_.at(id);
                if ((p.purpose != Purpose::coil && p.purpose != Purpose::starter_solenoid) || c_.at(p.part).poisoned ||
                    from.reached(p.a) == from.reached(p.b))
                    continue;
                const TerminalId here = from.reached(p.a) ? p.a : p.b, other = here == p.a ? p.b : p.a;
                if (o.plus ? sides_.minus().reached(other) : sides_.live(other)) look_at(o, p, here, other, from);
            }
        }
    }

  private:
    /// Ground, and what is live without this output: from there nothing leads on that the output drives.
    std::vector<bool> fed_from_elsewhere(const Output& o) const {
        std::vector<bool> set = s_.reference;
        const Spread live(s_.now, {.starts = live_poles(s_, false), .over_contacts = false, .without_part = o.part});
        for (std::size_t i = 0; i < set.size(); ++i)
            if (TerminalId{i} != o.at && live.reached(TerminalId{i})) set[i] = true;
        return set;
    }

    /// A capacitor from one end of the coil to the other.
    PartId smoothed_by(TerminalId here, TerminalId other) const {
        const auto joined = [&](TerminalId t) {
            return Spread(s_.now,
                          {.starts = {t}, .over_contacts = false, .over_diodes = false, .not_beyond = &s_.reference});
        };
        const Spread a = joined(here), b = joined(other);
        for (PartId part : s_.now.parts()) {
            if (c_.at(part).kind != Kind::capacitor || c_.at(part).terminals.size() < 2) continue;
            const TerminalId x = c_.at(part).terminals.front(), y = c_.at(part).terminals.back();
            const auto on = [&](const Spread& end, TerminalId t) {
                return end.reached(t) || (s_.reference[t.index] && s_.reference[(&end == &a ? here : other).index]);
            };
            if ((on(a, x) && on(b, y)) || (on(a, y) && on(b, x))) return part;
        }
        return {};
    }

    void look_at(const Output& o, const Primitive& coil, TerminalId here, TerminalId other, const Spread& from) {
        const std::string driver = called(c_, o), relay = name_of(c_, coil.part);
        if (const PartId capacitor = smoothed_by(here, other); capacitor.exists()) {
            report_.not_checked.push_back(
                {pulsed_trigger.id,
                 fmt::format("whether {} smooths the pulses of {} well enough for {}", name_of(c_, capacitor), driver,
                             relay),
                 "what a capacitor stores is not worked out",
                 fmt::format(
                     "Hold a finger on {} with the trigger on: it must not buzz. It must let go once it is off.",
                     relay)});
            return;
        }
        const bool known = o.pulsed->value.known();
        const double hertz = known ? o.pulsed->value.nominal : 0;
        const double nominal = coil.voltage.known() ? coil.voltage.nominal.si : c_.vehicle.system.si;
        const solve::Limits limits = solve::usual_limits(Volts{nominal});
        Finding f;
        f.rule = pulsed_trigger.id;
        f.severity = Severity::fault;
        f.certainty = known ? Certainty::certain : Certainty::undecided;
        f.headline = sentence_start(
            known ? fmt::format("{} is pulsed {} times a second and works the coil of {}: it buzzes and wears.", driver,
                                figure(hertz), called(c_, coil.part))
                  : fmt::format("{} is pulsed, nobody knows how fast, and works the coil of {}: it may buzz and wear.",
                                driver, called(c_, coil.part)));
        f.place = where_it_lies(c_, coil.part);
        f.cites.push_back({o.pulsed->span, "pulsed"});
        f.cites.push_back(cite_part(c_, coil.part, "its coil"));
        f.why = fmt::format(
            "Each pulse lets go of the armature and pulls at it again. On for half of the time, the coil gets {} in "
            "the "
            "mean, and a relay must pull in at {} and may let go from {} down. Its contacts arc with every stroke, "
            "and what hangs on them flickers.",
            text(Volts{nominal / 2}), text(Volts{limits.must_pull_in}), text(Volts{limits.may_release}));
        f.limit = fmt::format("a relay takes 5 to 10 ms to pull in and 3 to 7 ms to let go (makers' sheets); up to {} "
                              "pulses a second it follows as it follows a flasher (common practice, no source)",
                              figure(follows_up_to));
        f.cures.push_back({"Take the trigger from a wire that is on or off and nothing between."});
        f.cures.push_back({"Put a unit between the two that takes a pulsed input and works the relay steadily."});
        if (o.plus)
            f.cures.push_back(
                {"Smooth it: a diode in the trigger wire, its band towards the coil, and a capacitor across "
                 "the coil; then try that the relay pulls in without a buzz and lets go."});
        if (!known)
            f.measure = fmt::format("A meter that reads Hz, at {}, tells how fast; above {} Hz it is this fault. Volts "
                                    "that read half of the battery's tell of pulses too.",
                                    end_of(c_, o.at), figure(follows_up_to));
        f.path = stops_in_words(c_, from.stops(from.ways_to(here).front()));
        f.subjects = {relay, name_of(c_, o.part)};
        const bool maker = s_.now.is_factory(coil.part) && s_.now.is_factory(o.part);
        report_.add(std::move(f), maker);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    const Sides sides_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule pulsed_trigger = {
    "pulsed-trigger",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a relay coil on a wire that a unit switches on and off many times a second",
    "always a fault",
    {
        "An output that the file calls pulsed, or a wire so described, feeds or grounds this relay's coil. Units dim "
        "lamps and slow motors that way.",
        "The relay buzzes, its contacts arc and burn, and what hangs on them flickers. Between half on and full on it "
        "may hold at one time and drop at another.",
        "Take the trigger from a wire that is steady, or from a unit that takes a pulsed input. A diode and a "
        "capacitor at "
        "the coil smooth the pulses.",
        "Up to 5 pulses a second, a flasher's or a towing signal's, are left alone: a relay follows them. So are "
        "lamps, "
        "motors and valves, which the pulses are meant for (common practice, no source).",
        R"(loom 1
battery, 60 Ah
fuse F1, 20 A
relay K1 "light bar", 4-pin, 30 A, resistor 680 ohm
existing wire T1 "old main beam wire", behind 15 A, pulsed 100 Hz, live when "main beam on"
lamp E1 "light bar", 100 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 2.5 mm2 red, 0.5 m
wire W3 from K1:87 to E1, 2.5 mm2 red, 1 m
wire W4 from E1 to ground, 2.5 mm2 black, 0.3 m
wire W5 from T1 to K1:86, 1 mm2 blue, 0.5 m
wire W6 from K1:85 to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 20 A
relay K1 "light bar", 4-pin, 30 A, resistor 680 ohm
existing wire T1 "tell-tale wire", behind 15 A, live when "main beam on"
lamp E1 "light bar", 100 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 2.5 mm2 red, 0.5 m
wire W3 from K1:87 to E1, 2.5 mm2 red, 1 m
wire W4 from E1 to ground, 2.5 mm2 black, 0.3 m
wire W5 from T1 to K1:86, 1 mm2 blue, 0.5 m
wire W6 from K1:85 to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
