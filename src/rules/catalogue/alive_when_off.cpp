#include "base/number.hpp"
#include "circuit/wishes.hpp"
#include "rules/battery_hours.hpp"
#include "rules/called_so.hpp"
#include "rules/fault_current.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule alive_when_off; // rule_list.hpp lists it

namespace {

/// Less than this is what clocks and memories take (common practice, no source).
constexpr Amps worth_a_word{0.02};
/// What a fan takes at least (common practice, no source).
constexpr Amps a_fan{2};
/// What all units of a vehicle may take asleep: 50 mA is usual, 30 to 85 mA are seen (a consumer page); one training site calls more than
/// 35 mA excessive (both confirmed).
constexpr Amps most_asleep{0.05};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), b_(survey.behaviour), survey_(survey), report_(report), sides_(s), ends_(s) {}

    void run() {
        look_at_fans();
        if (b_.states.empty() || !b_.states.front().stable || !b_.way_to(0).empty() || survey_.shorted[0]) return;
        const solve::Point& point = b_.point(0);
        std::vector<PrimitiveId> alive, sleepers;
        std::vector<PartId> never_said_asleep;
        double least = 0, together = 0, asleep = 0,
               on_purpose = 0; // those in a row take it once, those side by side all that flows
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            const auto& through = point.primitive_amps[load.load.index];
            if (!through || c_.at(p.part).poisoned) continue;
            const double awake = std::abs(through->si);
            const Attribute* sleeps = asleep_of(p);
            const double amps = sleeps ? std::min(awake, sleeps->value.nominal) : awake;
            if (kept_alive(p, awake) || !is_switched(p)) {
                on_purpose += awake;
                if (!sleeps && c_.at(p.part).kind == Kind::electronics && awake > most_asleep.si &&
                    std::ranges::find(never_said_asleep, p.part) == never_said_asleep.end())
                    never_said_asleep.push_back(p.part);
                if (!sleeps || !(amps > 0)) continue;
                sleepers.push_back(load.load);
                asleep += amps;
                continue;
            }
            on_purpose += awake - amps;
            if (amps < worth_a_word.si || c_.at(p.part).kind == Kind::beyond || !is_fed(p)) continue;
            alive.push_back(load.load);
            least = std::max(least, amps);
            together += amps;
        }
        if (asleep > most_asleep.si) report_.findings.push_back(too_much_asleep(sleepers, Amps{asleep}));
        // Of a car that came so nobody asks for each unit: only of what a job put in, or where the others are all said and little.
        if (sleepers.empty())
            std::erase_if(never_said_asleep,
                          [&](PartId part) { return c_.at(part).origin.provenance != Provenance::job; });
        if (!never_said_asleep.empty() && asleep <= most_asleep.si) say_asleep_unsaid(never_said_asleep);
        if (alive.empty()) return;
        double given = 0;
        for (const LivePole& l : s_.strong)
            if (const auto& through = point.primitive_amps[l.source.index]) given += std::abs(through->si);
        const double all = std::max(least, given - on_purpose);
        report_.findings.push_back(finding(alive, Amps{std::min(all, together)}, Amps{all}));
    }

  private:
    /// What is only called a clock and takes more than one does at rest is none, but for units, which fall asleep.
    bool kept_alive(const Primitive& load, double awake) const {
        const Part& part = c_.at(load.part);
        return is_said_to_be_kept_alive(part) ||
               (is_kept_alive(part) && (awake <= most_of_a_clock.si || part.kind == Kind::electronics));
    }
    /// Does anything reach the load from a live pole, with the controls at rest, other than over the ground? Where another load's
    /// current lifts one stud by millivolts, cold filaments pass some of it from ground to ground.
    bool is_fed(const Primitive& load) const {
        const solve::Positions& rest = b_.states.front().positions;
        std::vector<TerminalId> starts;
        for (TerminalId t : {load.a, load.b})
            if (!s_.reference[t.index]) starts.push_back(t);
        const Reach reach = s_.graph.walk(
            starts,
            [&](EdgeRef edge, TerminalId from) {
                return !s_.reference[from.index] && (edge.is_wire() || solve::is_closed(c_.at(edge.primitive), rest));
            },
            [](EdgeRef) { return 0.0; });
        return std::ranges::any_of(s_.strong, [&](const LivePole& l) { return reach.reached(l.pole); }) ||
               std::ranges::any_of(s_.limited, [&](const LivePole& l) { return reach.reached(l.pole); });
    }

    /// Motors that something warm, wet or under pressure switches on while every switch is off: fans that run on after the engine stopped.
    void look_at_fans() {
        for (std::size_t l = 0; l < survey_.loads.size(); ++l) {
            const PrimitiveId load = survey_.loads[l].load;
            const Primitive& p = c_.at(load);
            if (!is_fan(c_.at(p.part)) || c_.at(p.part).poisoned || is_kept_alive(c_.at(p.part)) ||
                (!survey_.on.empty() && !survey_.on.front().empty() && survey_.on.front()[l]))
                continue;
            const auto at = std::ranges::find_if(b_.states, [&](const solve::State& state) {
                const auto id = static_cast<solve::StateId>(&state - b_.states.data());
                return state.stable && !survey_.shorted[id] && !survey_.on[id].empty() && survey_.on[id][l] &&
                       switched_off(state.positions) && !sensed(state.positions).empty();
            });
            if (at == b_.states.end()) continue;
            const auto id = static_cast<solve::StateId>(at - b_.states.begin());
            const auto amps = b_.amps_through(id, load);
            if (!amps || std::abs(amps->si) < a_fan.si || is_expected_on(c_, p.part, at->positions) || as_built(p, id))
                continue;
            report_.findings.push_back(runs_on(p.part, Amps{std::abs(amps->si)}, id));
        }
    }
    /// All that hands, the engine and what is not drawn do is at rest.
    bool switched_off(const solve::Positions& positions) const {
        for (std::size_t i = 0; i < c_.controls.size(); ++i)
            if (const Control& k = c_.controls[i]; k.type != Control::Type::sensed && k.type != Control::Type::relay &&
                                                   s_.now.alive(k.part) && positions[i] != k.rest)
                return false;
        return true;
    }
    std::vector<PartId> sensed(const solve::Positions& positions) const {
        std::vector<PartId> parts;
        for (std::size_t i = 0; i < c_.controls.size(); ++i)
            if (const Control& k = c_.controls[i]; k.type == Control::Type::sensed && positions[i] != k.rest &&
                                                   std::ranges::find(parts, k.part) == parts.end())
                parts.push_back(k.part);
        return parts;
    }
    /// Makers let fans run on on purpose: where motor, switch and what its current passes are theirs.
    bool as_built(const Primitive& motor, solve::StateId at) const {
        if (!s_.now.is_factory(motor.part)) return false;
        const solve::Point& point = b_.point(at);
        for (PartId part : sensed(b_.states[at].positions))
            if (!s_.now.is_factory(part)) return false;
        return std::ranges::none_of(s_.now.primitives(), [&](PrimitiveId id) {
            const auto& amps = point.primitive_amps[id.index];
            return amps && std::abs(amps->si) > worth_a_word.si && !s_.now.is_factory(c_.at(id).part);
        });
    }
    Finding runs_on(PartId motor, Amps amps, solve::StateId at) const {
        const std::vector<PartId> by = sensed(b_.states[at].positions);
        std::string so; // "S5 hot, S6 closed"
        for (std::size_t i = 0; i < c_.controls.size(); ++i)
            if (const Control& k = c_.controls[i];
                k.type == Control::Type::sensed && b_.states[at].positions[i] != k.rest)
                so += (so.empty() ? "" : ", ") + name_of(c_, k.part) + " " + k.positions[b_.states[at].positions[i]];
        Finding f;
        f.rule = alive_when_off.id;
        f.severity = Severity::advice;
        f.headline = sentence_start(fmt::format(
            "{} runs with everything switched off as soon as {} {}: it takes {} from the "
            "battery.",
            called(c_, motor), list_of(names_of(c_, by)), verb(by.size(), "closes", "close"), text(rounded(amps, 2))));
        f.place = where_it_lies(c_, motor);
        f.cites.push_back(cite_part(c_, motor, "runs on"));
        for (std::size_t i = 0; i < by.size() && i < 3; ++i) f.cites.push_back(cite_part(c_, by[i], "starts it"));
        f.why = fmt::format("Nothing on its way opens with the key. A thermo switch stays closed for minutes after the "
                            "engine stopped, and for good if it sticks; a fan that starts by itself also hurts hands."
                            "{}",
                            half_empty(s_, amps));
        f.limit = "none: some makers let a fan run on on purpose, for minutes (common practice, no source)";
        f.cures.push_back({"Take what works its relay, or its feed, from what is live with the ignition only."});
        f.cures.push_back(
            {fmt::format("If it is meant to run on, say so: expect {} on when {}", name_of(c_, motor), so)});
        f.subjects.push_back(name_of(c_, motor));
        for (PartId part : by) f.subjects.push_back(name_of(c_, part));
        return f;
    }

    /// What the supply pin of a unit takes once the unit sleeps; null where nobody said.
    const Attribute* asleep_of(const Primitive& load) const { return said_of_pin(load, Attr::asleep); }
    const Attribute* said_of_pin(const Primitive& load, Attr key) const {
        if (c_.at(load.part).kind != Kind::electronics) return nullptr;
        for (const Attribute& a : c_.at(load.part).attributes)
            if (a.key == key && a.word == c_.at(load.a).stamp && a.value.known() && a.life.at(s_.now.revision()))
                return &a;
        return nullptr;
    }
    /// " Until it sleeps, after 45 min, A1 takes 0.4 A." Empty where it never does more.
    std::string before_it_sleeps(const std::vector<PrimitiveId>& loads) const {
        std::string words;
        for (PrimitiveId id : loads) {
            const Primitive& p = c_.at(id);
            const Attribute* sleeps = asleep_of(p);
            if (!sleeps || !p.current.known() || p.current.nominal.si <= sleeps->value.nominal) continue;
            const Attribute* after = said_of_pin(p, Attr::asleep_after);
            words += fmt::format(" Until it sleeps{}, {} takes {}.",
                                 after ? fmt::format(", after {}", span_in_words(after->value.nominal)) : "",
                                 name_of(c_, p.part), text(p.current.nominal));
        }
        return words;
    }

    /// Awake they may take much: it is what they take asleep that empties a battery.
    void say_asleep_unsaid(const std::vector<PartId>& parts) {
        report_.not_checked.push_back(
            {alive_when_off.id,
             fmt::format("whether {} {} the battery", list_of(names_of(c_, parts)),
                         verb(parts.size(), "empties", "empty")),
             fmt::format("fed at all times, and nobody said what {} asleep",
                         verb(parts.size(), "it takes", "they take")),
             fmt::format(
                 "Meter on milliamps in the battery's ground lead, all off, doors shut, an hour later: up to {} "
                 "in all is usual. More: pull one fuse after the other to find who takes it.",
                 text(most_asleep))});
    }

    Finding too_much_asleep(const std::vector<PrimitiveId>& sleepers, Amps amps) const {
        std::vector<PartId> parts;
        for (PrimitiveId id : sleepers)
            if (std::ranges::find(parts, c_.at(id).part) == parts.end()) parts.push_back(c_.at(id).part);
        const bool one = parts.size() == 1;
        Finding f;
        f.rule = alive_when_off.id;
        f.severity = Severity::fault;
        f.headline =
            sentence_start(fmt::format("{} {} {} asleep, with everything at rest{}.",
                                       one ? called(c_, parts.front()) : list_of(names_of(c_, parts)),
                                       one ? "takes" : "take", text(rounded(amps, 2)), one ? "" : " together"));
        f.place = where_it_lies(c_, parts.front());
        for (std::size_t i = 0; i < sleepers.size() && i < 3; ++i)
            f.cites.push_back({asleep_of(c_.at(sleepers[i]))->span, "asleep"});
        f.why = "A vehicle that stands takes this day and night." + half_empty(s_, amps) + before_it_sleeps(sleepers);
        f.limit =
            fmt::format("{} for all that sleeps in a vehicle: 30 to 85 mA are usual (a consumer page); a training "
                        "site calls more than 35 mA too much",
                        text(most_asleep));
        f.cures.push_back({"Feed what need not wake by itself over the ignition switch, so that it takes nothing."});
        f.cures.push_back(
            {"Measure what each takes asleep, after the longest time that one stays awake, and change the "
             "one that takes more than its papers say."});
        for (PartId p : parts) f.subjects.push_back(name_of(c_, p));
        return f;
    }

    /// What no switch stands before is on at all times on purpose.
    bool is_switched(const Primitive& load) const {
        const auto live = [&](TerminalId t) {
            return sides_.live_always(t) || over_a_resistor(t, [&](TerminalId end) { return sides_.live_always(end); });
        };
        const auto ground = [&](TerminalId t) {
            return sides_.ground_always(t) ||
                   over_a_resistor(t, [&](TerminalId end) { return sides_.ground_always(end); });
        };
        return !(live(load.a) && ground(load.b)) && !(live(load.b) && ground(load.a));
    }
    /// A resistor in a row with it is no switch.
    template <class Is> bool over_a_resistor(TerminalId t, Is is) const {
        const Spread from(s_.now, {.starts = {t}, .over_contacts = false, .over_diodes = false});
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
            const Primitive& p = c_.at(id);
            return c_.at(p.part).kind == Kind::resistor &&
                   ((from.reached(p.a) && is(p.b)) || (from.reached(p.b) && is(p.a)));
        });
    }

    Finding finding(const std::vector<PrimitiveId>& alive, Amps amps, Amps all) const {
        std::vector<PartId> parts;
        for (PrimitiveId id : alive)
            if (std::ranges::find(parts, c_.at(id).part) == parts.end()) parts.push_back(c_.at(id).part);
        const bool one = parts.size() == 1;
        Finding f;
        f.rule = alive_when_off.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format("{} {} current with everything at rest: {}.",
                                                one ? called(c_, parts.front()) : list_of(names_of(c_, parts)),
                                                one ? "takes" : "take", text(rounded(amps, 2))));
        f.place = where_it_lies(c_, parts.front());
        for (std::size_t i = 0; i < parts.size() && i < 3; ++i)
            f.cites.push_back(cite_part(c_, parts[i], "alive at rest"));
        f.why = "Nobody switched anything on.";
        if (all.si > 1.2 * amps.si)
            f.why += fmt::format(" With what flows beside that the battery gives {}.", text(rounded(all, 2)));
        f.why += half_empty(s_, all) + before_it_sleeps(alive);
        f.limit = fmt::format("{}: more than that is no clock and no memory (common practice)", text(worth_a_word));
        f.cures.push_back({fmt::format(
            "See where it gets its current from: loomproof predict FILE, at rest; loomproof trace FILE {} {}",
            pole_to_trace_from(s_), name_of(c_, parts.front()))});
        f.cures.push_back({"A wire on the wrong side of a switch, on 87a in place of 87, or a ground lead on plus does "
                           "this: put it where it belongs."});
        if (amps <= most_of_a_clock)
            f.cures.push_back(
                {"If it is meant to be on at all times, as a clock is: say so in its text, \"clock, keep alive\"."});
        else
            f.cures.push_back({fmt::format("If it is meant to be on with everything at rest: accept {} on {} because "
                                           "\"...\"",
                                           alive_when_off.id, name_of(c_, parts.front()))});
        for (PartId p : parts) {
            f.subjects.push_back(name_of(c_, p));
            const HangsOn on = what_it_hangs_on(s_, sides_, ends_, p);
            f.hangs_on.insert(f.hangs_on.end(), on.names.begin(), on.names.end());
        }
        return f;
    }

    const Study& s_;
    const Circuit& c_;
    const solve::Behaviour& b_;
    const Survey& survey_;
    Report& report_;
    const Sides sides_;
    const Ends ends_;
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, alive_when_off.id, "what takes current with everything at rest");
    if (!survey) return;
    if (s.circuit.has_mistakes)
        return report.not_checked.push_back(
            open_until_mended(alive_when_off.id, "what takes current with everything at rest"));
    Judge(s, *survey, report).run();
}

} // namespace

const Rule alive_when_off = {
    "alive-when-off",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a load that has a switch and takes current with every switch at rest; units that take too much asleep",
    "a fault; advice for a fan that a thermo switch may start while everything is off",
    {
        "With every switch at rest this load takes current, although a switch or relay stands on its way. "
        "Or a motor runs while every switch is off as soon as a thermo switch closes.",
        "It empties the battery overnight; a motor or a heater runs with nobody near.",
        "Look for a wire on 87a in place of 87, a wire on the wrong side of a switch, a ground lead on plus, or "
        "current that comes back through another load. What works a fan's relay belongs on the ignition; one that has "
        "to run on is left alone where a line says so: expect M1 on when S5 hot.",
        "20 mA for a load (common practice, no source). What has no switch at all is left alone but for what units "
        "take "
        "asleep, where the file says it: together up to 50 mA (30 to 85 mA are usual in a vehicle, a consumer page; a "
        "training site calls more than 35 mA too much). So is what "
        "its text calls a clock, memory, alarm, tracker, radio, charger or immobiliser, up to 1 A, and what is said to "
        "be kept: \"keep alive\".",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "dash switch", 5 A
relay K1, 5-pin, 30 A
lamp E1 "work lamp", 55 W
splice SP1, crimp
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to SP1, 2.5 mm2 red, 1 m
wire from SP1 to K1:30, 2.5 mm2 red, 0.3 m
wire from SP1 to S1, 2.5 mm2 red, 0.3 m
wire from S1 to K1:86, 1 mm2 blue, 0.5 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
wire from K1:87a to E1, 2.5 mm2 red, 1 m
wire from E1 to ground, 2.5 mm2 black, 0.5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "dash switch", 5 A
relay K1, 5-pin, 30 A
lamp E1 "work lamp", 55 W
splice SP1, crimp
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to SP1, 2.5 mm2 red, 1 m
wire from SP1 to K1:30, 2.5 mm2 red, 0.3 m
wire from SP1 to S1, 2.5 mm2 red, 0.3 m
wire from S1 to K1:86, 1 mm2 blue, 0.5 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
wire from K1:87 to E1, 2.5 mm2 red, 1 m
wire from E1 to ground, 2.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
