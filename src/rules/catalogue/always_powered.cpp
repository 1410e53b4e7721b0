#include "base/number.hpp"
#include "circuit/wishes.hpp"
#include "rules/battery_hours.hpp"
#include "rules/called_so.hpp"
#include "rules/converter_ways.hpp"
#include "rules/ends.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule always_powered; // rule_list.hpp lists it

namespace {

/// What lets go at so much of the system's volts minds the battery: 10.4 V and more are set on fridges (common practice, no source).
constexpr double leaves_something = 10.0 / 12;

/// A contact that should switch the load, and what leads past it.
struct Bypassed {
    PartId part;                 ///< or a feed that is live at times only
    std::vector<TerminalId> way; ///< from a source to the load's end without the contact
};

/// Loads without a switch that hang on one battery.
struct Unswitched {
    PartId battery; ///< may not exist
    std::vector<PartId> loads;
    Amps together;
    bool hot = false;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), sides_(s), ends_(s) {}

    void run() {
        look_at_unswitched();
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            if (!load.always || !load.ever() || c_.at(p.part).kind == Kind::beyond || c_.at(p.part).poisoned ||
                is_kept_alive(c_.at(p.part)))
                continue;
            const auto bypassed = bypass(p);
            if (!bypassed) continue;
            if (survey_.behaviour.complete)
                say(p, *bypassed);
            else
                report_.not_checked.push_back(open_for_positions(
                    s_, always_powered.id, fmt::format("whether {} can be switched off", name_of(c_, p.part))));
        }
    }

  private:
    /// What a text in quotes says of a heater or a fridge is no part that is drawn: it takes all its current as often as it likes.
    bool only_said_to_switch_itself(const Part& part) const {
        return works_by_itself(part) && (part.kind == Kind::heater || is_fridge(part));
    }
    /// With no switch anywhere on its way it is on as long as there is a battery. What a parked car may feed so is little, or says that it
    /// minds the battery.
    void look_at_unswitched() {
        const solve::Behaviour& b = survey_.behaviour;
        if (b.states.empty() || !b.states.front().stable || survey_.shorted.front()) return;
        std::vector<Unswitched> all, by_its_text; // by the battery that they empty
        std::vector<PartId> perhaps, unknown;
        double perhaps_together = 0;
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            if (!load.ever() || !survey_.on.front()[std::size_t(&load - survey_.loads.data())] || !may_run_flat(p) ||
                is_expected_on(c_, p.part, b.states.front().positions))
                continue;
            const auto amps = b.amps_through(0, load.load);
            if (!amps || std::abs(amps->si) < most_of_a_clock.si) continue;
            if (is_amplifier(c_.at(p.part))) {
                say_amplifier(p.part);
                continue;
            }
            // In a file that is not done the switch may be what is not drawn yet; a fridge or a heater with none is what it is.
            const Part& part = c_.at(p.part);
            const bool sure = ends_.due(p.part) || is_fridge(part) || part.kind == Kind::heater;
            if (!p.current.known() && !p.resistance.known()) {
                if (sure) unknown.push_back(p.part);
                continue;
            }
            if (!sure && !only_said_to_switch_itself(part)) {
                perhaps_together += std::abs(amps->si);
                if (std::ranges::find(perhaps, p.part) == perhaps.end()) perhaps.push_back(p.part);
                continue;
            }
            std::vector<Unswitched>& list = only_said_to_switch_itself(part) ? by_its_text : all;
            const PartId battery = battery_of(s_, p.part);
            auto same = std::ranges::find(list, battery, &Unswitched::battery);
            if (same == list.end()) same = list.insert(list.end(), Unswitched{battery, {}, {}, false});
            same->together += Amps{std::abs(amps->si)};
            if (std::ranges::find(same->loads, p.part) == same->loads.end()) same->loads.push_back(p.part);
            same->hot = same->hot || part.kind == Kind::heater;
        }
        for (const Unswitched& u : all) say_unswitched(u);
        for (const Unswitched& u : by_its_text) say_switched_by_its_text(u);
        if (!unknown.empty())
            report_.not_checked.push_back(open_for_unknown_load(
                s_, always_powered.id,
                fmt::format("whether {}, which nothing switches off, {} the battery", list_of(names_of(c_, unknown)),
                            verb(unknown.size(), "empties", "empty")),
                unknown));
        if (perhaps.empty()) return;
        report_.not_checked.push_back(
            {always_powered.id, fmt::format("what switches off {}", list_of(names_of(c_, perhaps))),
             fmt::format("no switch, relay or key is drawn before {}, and {} {}.{}",
                         perhaps.size() == 1 ? "it" : "them", perhaps.size() == 1 ? "it takes" : "together they take",
                         text(rounded(Amps{perhaps_together}, 2)),
                         without_stop(half_empty_of_any(s_, Amps{perhaps_together}))),
             "Draw it; or type \"keep alive\" behind what is meant to be on day and night."});
    }
    static std::string without_stop(std::string sentence) {
        sentence.pop_back();
        return sentence;
    }
    bool may_run_flat(const Primitive& p) const {
        const Part& part = c_.at(p.part);
        // What the maker fed so minds the battery by itself, or is in a car that nobody says anything more of.
        if (part.poisoned || s_.now.is_factory(p.part) || is_kept_alive(part) ||
            (has_its_own_switch(part) && !only_said_to_switch_itself(part)) || is_called_pulling(part))
            return false;
        switch (part.kind) {
        case Kind::motor:
        case Kind::heater:
        case Kind::lamp:
        case Kind::led:
        case Kind::horn:
        case Kind::solenoid:
        case Kind::load: break;
        case Kind::electronics:
            // A unit has its switch in it, but for an amplifier: that is switched by a wire.
            if (!is_fridge(part) && (!is_amplifier(part) || has_a_switched_lead(p))) return false;
            break;
        default: return false;
        }
        if (const Stated<Volts> least = s_.now.volts(p.part, Attr::works_from);
            least.known() && least.nominal.si >= leaves_something * c_.vehicle.system.si)
            return false;
        return (sides_.live_always(p.a) && sides_.ground_always(p.b)) ||
               (sides_.live_always(p.b) && sides_.ground_always(p.a));
    }
    /// An end besides its feed and its ground that a wire leads to and that is not live at all times: a remote wire.
    bool has_a_switched_lead(const Primitive& feed) const {
        return std::ranges::any_of(c_.at(feed.part).terminals, [&](TerminalId t) {
            return t != feed.a && t != feed.b && !s_.now.wires_at(t).empty() && !sides_.live_always(t) &&
                   !sides_.ground_always(t);
        });
    }
    /// Is it the engine's, as far as the file says? The only one of a file is.
    bool starts_the_engine(PartId battery) const {
        const std::vector<BatteryPoles> batteries = battery_poles(s_);
        if (batteries.size() < 2 || !battery.exists()) return true;
        if (is_for_what_stands(c_.at(battery))) return false;
        return std::ranges::any_of(
            batteries, [&](const BatteryPoles& b) { return c_.at(b.source).part == battery && is_the_engines(s_, b); });
    }
    void say_unswitched(const Unswitched& u) {
        const std::vector<PartId>& all = u.loads;
        const Amps together = u.together;
        const bool hot = u.hot;
        const bool one = all.size() == 1;
        std::vector<std::string> names = names_of(c_, all);
        if (one) names = {called(c_, all.front())};
        Finding f;
        f.rule = always_powered.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format("Nothing switches off {}: {} {} day and night.", list_of(names),
                                                one ? "it takes" : "together they take", text(rounded(together, 2))));
        f.place = where_it_lies(c_, all.front());
        for (std::size_t i = 0; i < all.size() && i < 3; ++i)
            f.cites.push_back(cite_part(c_, all[i], "on as long as there is a battery"));
        f.why = "No switch, relay or key lies on its way." + half_empty_of_any(s_, together, u.battery) +
                (starts_the_engine(u.battery)
                     ? " A car that stands so does not start, and a battery that is emptied so is soon spoilt."
                     : " A battery that is emptied so is soon spoilt.") +
                (hot ? " It also gets warm with nobody near." : "");
        f.limit = fmt::format("{}: what takes less may be a clock, an alarm, a tracker (common practice, no source)",
                              text(most_of_a_clock));
        if (std::ranges::any_of(all, [&](PartId p) { return burns_fuel(c_.at(p)); }))
            f.cures.push_back({"Draw the control that switches it on and off. What burns fuel runs on until it has "
                               "cooled down: never take its feed away while it does, nor feed it with the ignition "
                               "only."});
        else
            f.cures.push_back({"Feed it over a switch, or over what is live with the ignition only."});
        const bool by_itself =
            std::ranges::any_of(all, [&](PartId p) { return c_.at(p).kind == Kind::heater || is_fridge(c_.at(p)); });
        f.cures.push_back({fmt::format(
            "If it has a {}: draw that in its feed. One that minds the battery by itself: type \"works from {}\" "
            "behind it.",
            by_itself ? "thermostat (switch S9 \"thermostat\", thermal) or a switch"
                      : "float or a switch of its own, say it in its text (\"with float\", \"own switch\"), or better",
            text(Volts{10.4 / 12 * c_.vehicle.system.si}))});
        f.cures.push_back({fmt::format(
            "If it is to be on at all times and something charges that battery: type \"keep alive\" behind {}.",
            one ? "it" : "them")});
        for (PartId p : all) f.subjects.push_back(name_of(c_, p));
        report_.findings.push_back(std::move(f));
    }

    /// With its remote wire on its own plus it never rests; without it, it does not work at all.
    void say_amplifier(PartId part) {
        constexpr Amps silent{1}; // of a large one: 0.5 to 2 A (common practice, no source)
        const std::string why =
            fmt::format("no switch lies on its feed, and no remote wire that goes dead leads to it. With its remote "
                        "terminal on plus it takes some {} with no music on (common practice, no source).{}",
                        text(silent), half_empty_of_any(s_, silent, battery_of(s_, part)));
        const std::string draw =
            fmt::format("Draw its remote wire, from the radio or from what is live with the ignition only: electronics "
                        "{} \"amplifier\" {{ supply 1, 30 A | ground 2 | input 3 wants plus }}.",
                        name_of(c_, part));
        const std::string own = "If it wakes by the music, or has a switch on it, write that into its text: "
                                "\"amplifier, own switch\".";
        if (!ends_.due(part)) {
            report_.not_checked.push_back({always_powered.id, fmt::format("what switches off {}", called(c_, part)),
                                           without_stop(why), draw + ' ' + own});
            return;
        }
        Finding f;
        f.rule = always_powered.id;
        f.severity = Severity::advice;
        const auto wired =
            std::ranges::count_if(c_.at(part).terminals, [&](TerminalId t) { return !s_.now.wires_at(t).empty(); });
        f.headline = sentence_start(
            fmt::format("Nothing switches off {}: its feed is live at all times, and {}.", called(c_, part),
                        wired > 2 ? "so is what leads to its remote terminal" : "no remote wire leads to it"));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, "fed as long as there is a battery"));
        f.why = sentence_start(why);
        f.limit = "an amplifier is switched by a remote wire (common practice, no source)";
        f.cures.push_back({draw});
        f.cures.push_back({own});
        f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    /// A thermostat that is only a word in quotes is no proof: how often it runs is not known, and that nobody need be near is.
    void say_switched_by_its_text(const Unswitched& u) {
        const std::vector<PartId>& all = u.loads;
        const Amps together = u.together;
        const bool one = all.size() == 1;
        Finding f;
        f.rule = always_powered.id;
        f.severity = Severity::advice;
        f.headline = sentence_start(fmt::format(
            "{} {} fed day and night, and only {} text says that {}: {} {} while {}.",
            one ? called(c_, all.front()) : list_of(names_of(c_, all)), one ? "is" : "are", one ? "its" : "their",
            one ? "it switches itself" : "they switch themselves", one ? "it takes" : "together they take",
            text(rounded(together, 2)), one ? "it runs" : "they run"));
        f.place = where_it_lies(c_, all.front());
        for (std::size_t i = 0; i < all.size() && i < 3; ++i)
            f.cites.push_back(cite_part(c_, all[i], "no switch, relay or key before it"));
        f.why = "How much of the time that is, nothing here says. At the worst it never stops." +
                half_empty_of_any(s_, together, u.battery);
        f.limit = fmt::format("{}: what takes less may be a clock, an alarm, a tracker (common practice, no source)",
                              text(most_of_a_clock));
        f.cures.push_back({"Draw what switches it in its feed: switch S9 \"thermostat\", thermal"});
        f.cures.push_back({fmt::format("If it minds the battery by itself: type \"works from {}\" behind it.",
                                       text(Volts{10.4 / 12 * c_.vehicle.system.si}))});
        f.cures.push_back({"If it is to be on at all times and something charges that battery: type \"keep alive\" "
                           "behind it."});
        for (PartId p : all) f.subjects.push_back(name_of(c_, p));
        report_.findings.push_back(std::move(f));
    }

    enum class Beyond { fuses_and_diodes, fuses_up_to_the_battery };
    /// Joined to the load's end without any contact in between, and not the reference.
    std::vector<bool> own_wiring(TerminalId end, Beyond beyond = Beyond::fuses_and_diodes) const {
        const bool all = beyond == Beyond::fuses_and_diodes;
        std::vector<bool> mine(c_.terminals.size(), false);
        std::vector<TerminalId> work{end};
        mine[end.index] = true;
        while (!work.empty()) {
            const TerminalId at = work.back();
            work.pop_back();
            const auto enter = [&](TerminalId t) {
                if (mine[t.index] || s_.reference[t.index] || (!all && sides_.unprotected().reached(t))) return;
                mine[t.index] = true;
                work.push_back(t);
            };
            for (WireId w : s_.now.wires_at(at)) enter(c_.at(w).other(at));
            for (PrimitiveId id : s_.now.primitives_at(at)) {
                const Primitive& p = c_.at(id);
                if (p.element == Element::joint || p.element == Element::protector || p.element == Element::meter ||
                    (all && p.element == Element::junction && p.purpose != Purpose::suppressor))
                    enter(p.a == at ? p.b : p.a);
            }
        }
        return mine;
    }

    /// The feed, live at times only, that is joined to `t` without any contact or diode in between, nor over the battery.
    PartId feed_at(TerminalId t) const {
        if (sides_.unprotected().reached(t)) return {};
        const std::vector<TerminalId> poles = live_poles(s_, false);
        std::vector<bool> joined;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& k = c_.at(id);
            if (k.purpose != Purpose::feed_condition) continue;
            if (joined.empty()) joined = own_wiring(t, Beyond::fuses_up_to_the_battery);
            const bool live = std::ranges::any_of(poles, [&](TerminalId pole) { return c_.at(pole).part == k.part; });
            if (live && (joined[k.a.index] || joined[k.b.index])) return k.part;
        }
        return {};
    }

    /// A way from the battery to `end` that no contact is in. Where there are several batteries, or one with a name, the feed may be there to
    /// charge it: a caravan's.
    std::optional<std::vector<TerminalId>> past_feed(TerminalId end, PartId feed) const {
        PartId battery;
        for (PartId part : s_.now.parts())
            if (c_.at(part).kind == Kind::battery) {
                if (battery.exists() || c_.at(part).named) return std::nullopt;
                battery = part;
            }
        if (!battery.exists()) return std::nullopt;
        SpreadWish wish;
        for (const LivePole& pole : s_.strong)
            if (c_.at(pole.source).part == battery) wish.starts.push_back(pole.pole);
        wish.with_current = s_.from_plus();
        wish.without_part = feed;
        wish.not_into = &s_.reference;
        wish.over_contacts = false;
        if (wish.starts.empty()) return std::nullopt;
        const Spread from_battery(s_.now, wish);
        if (!from_battery.reached(end)) return std::nullopt;
        return from_battery.stops(from_battery.ways_to(end).front());
    }

    std::optional<Bypassed> bypass(const Primitive& load) const {
        for (TerminalId end : {load.a, load.b}) {
            if (s_.reference[end.index]) continue;
            const std::vector<bool> mine = own_wiring(end);
            for (PrimitiveId id : s_.now.primitives()) {
                const Primitive& k = c_.at(id);
                if (k.element != Element::contact || k.purpose == Purpose::feed_condition ||
                    (!mine[k.a.index] && !mine[k.b.index]))
                    continue;
                const TerminalId near = mine[k.a.index] ? k.a : k.b, far = near == k.a ? k.b : k.a;
                SpreadWish wish;
                wish.starts = live_poles(s_, false);
                wish.with_current = s_.from_plus();
                wish.without_part = k.part;
                wish.not_into = &s_.reference;
                wish.over_contacts = false;
                const Spread without(s_.now, wish);
                if (!without.reached(end)) continue;
                if (!without.reached(far)) {
                    if (const PartId feed = feed_at(far); feed.exists() && past_feed(end, feed))
                        return Bypassed{k.part, without.stops(without.ways_to(end).front())};
                    continue;
                }
                const std::uint32_t way = without.ways_to(end).front(), other = without.ways_to(far).front();
                if (without.start(way) != without.start(other)) continue; // two batteries, and what joins them
                return Bypassed{k.part, without.stops(way)};
            }
            if (const PartId feed = feed_at(end); feed.exists())
                if (auto past = past_feed(end, feed)) return Bypassed{feed, std::move(*past)};
        }
        return std::nullopt;
    }

    void say(const Primitive& p, const Bypassed& b) {
        Finding f;
        f.rule = always_powered.id;
        const Kind kind = c_.at(p.part).kind;
        const bool small = p.current.known() && p.current.nominal.si < 2;
        const bool hot = kind == Kind::motor || (kind == Kind::heater && !small) ||
                         (kind == Kind::load && p.current.known() && !small);
        f.severity = hot ? Severity::danger : Severity::fault;
        f.headline = sentence_start(fmt::format("{} is on in every switch position: {} cannot switch it off.",
                                                called(c_, p.part), called(c_, b.part)));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(cite_part(c_, p.part, "on all the time"));
        f.cites.push_back(cite_part(c_, b.part, "is led past"));
        f.path = stops_in_words(c_, b.way);
        const Kind past = c_.at(b.part).kind;
        const bool feed = past == Kind::supply || past == Kind::existing_wire;
        f.why = fmt::format("The way printed here leads past {} to it.{}{}", name_of(c_, b.part),
                            feed ? fmt::format(" And while {} is dead, all else that hangs on it is fed over this way "
                                               "backwards.",
                                               name_of(c_, b.part))
                                 : "",
                            hot ? " It runs on with nobody near, and empties the battery or overheats."
                                : " It empties the battery.");
        f.limit = "none: every switch position that can be reached was tried";
        f.cures.push_back({fmt::format("Follow that way and take off what leads past {}.", name_of(c_, b.part))});
        f.cures.push_back({"If it is meant to be on at all times, as a clock is: type \"keep alive\" behind it."});
        f.subjects = {name_of(c_, p.part), name_of(c_, b.part)};
        for (const std::string& stop : f.path) f.subjects.push_back(stop);
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
    const Survey* survey = survey_or_say(s, report, always_powered.id, "whether every load can be switched off");
    if (!survey) return;
    if (s.circuit.has_mistakes)
        return report.not_checked.push_back(
            open_until_mended(always_powered.id, "whether every load can be switched off"));
    Judge(s, *survey, report).run();
}

} // namespace

const Rule always_powered = {
    "always-powered",
    Severity::danger,
    Quantifier::forall,
    Harm::burns_or_runs_on,
    "a load that its switch or relay cannot switch off, or that has none and empties the battery",
    "danger for motors, and for heaters from 2 A on, that run on past their switch with nobody near; else a fault",
    {
        "A switch or relay is there to feed this load, but another way leads past it: the load is on in every "
        "position. Or none is there at all, and it takes more than a clock or an alarm.",
        "A fan or heater runs on with nobody near; anything else empties the battery.",
        "Follow the printed way and take off what leads past the switch: a wire on the wrong side of it, or a diode "
        "across it.",
        "None: every switch position that can be reached is tried. What has no switch at all is left alone up to 1 A "
        "(common practice, no source), and where its text or its line says that it switches itself: a "
        "float, a switch of its own, works from 10.4 V; of a heater or a fridge with a thermostat in its text alone "
        "you "
        "are told what it takes. Units, outlets and winches have their switch in them; of an amplifier you are asked "
        "for its remote wire. Left alone is also "
        "what its text calls a clock, memory, alarm, "
        "tracker, radio, charger, immobiliser or \"keep alive\".",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "fan switch", 16 A
splice SP1, crimp
splice SP2, crimp
motor M1 "fan", 9 A
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to SP1, 2.5 mm2 red, 1 m
wire from SP1 to S1, 2.5 mm2 red, 0.3 m
wire from S1 to SP2, 2.5 mm2 red, 0.3 m
wire W5 from SP1 to SP2, 2.5 mm2 red, 0.3 m
wire from SP2 to M1:+, 2.5 mm2 red, 0.5 m
wire from M1:- to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "fan switch", 16 A
motor M1 "fan", 9 A
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to M1:+, 2.5 mm2 red, 0.5 m
wire from M1:- to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
