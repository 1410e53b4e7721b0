#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule both_filaments_at_once; // rule_list.hpp lists it

namespace {

/// Filaments of which the weaker has less than that share of the stronger one's watts are made to burn together: 21/5 W, 27/8 W.
constexpr double alike = 0.5;
/// What is below that is no headlamp (common practice, no source).
constexpr Watts headlamp{15};

struct Pair {
    PrimitiveId first, second;
    std::size_t first_at, second_at; ///< in Survey::loads
    Watts watts, second_watts;
};

struct Together {
    Pair lamp;
    solve::StateId at;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), sides_(s), ends_(s) {}

    void run(const std::vector<Pair>& lamps) {
        std::vector<Together> found;
        for (const Pair& lamp : lamps)
            if (const auto at = state_with_both(lamp)) found.push_back({lamp, *at});
        // Lamps that do so in the same position have one cause.
        std::map<solve::StateId, std::vector<Together>> by_state;
        for (const Together& t : found) by_state[t.at].push_back(t);
        for (const auto& [state, lamps_there] : by_state) say(state, lamps_there);
    }

    void run_motors(const std::vector<Pair>& motors) {
        for (const Pair& motor : motors)
            if (const auto at = state_with_both(motor)) say_speeds(motor, *at);
    }

  private:
    void say_speeds(const Pair& motor, solve::StateId state) {
        const PartId part = c_.at(motor.first).part;
        const std::string slow = name_of(c_, own_end(motor.first)), fast = name_of(c_, own_end(motor.second));
        Finding f;
        f.rule = both_filaments_at_once.id;
        f.severity = Severity::fault;
        f.headline = fmt::format("Both speeds of {}, {} and {}, are fed at once {}.", called(c_, part),
                                 stamp_of(c_, own_end(motor.first)), stamp_of(c_, own_end(motor.second)),
                                 when(s_, survey_.behaviour, state));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, "both on"));
        f.why = "Two windings pull against one another: it takes more than either speed alone, runs at neither, and "
                "gets hot (from memory).";
        f.limit = "one speed at a time: 53 slow, 53b fast (DIN 72552; 53b from memory)";
        f.cures.push_back({"Let one switch position feed one of them only: a change-over contact, of which one side "
                           "feeds slow and the other fast."});
        f.cures.push_back({fmt::format("If only one is switched on then: look for a wire that joins {} and {}, and "
                                       "take it off.",
                                       slow, fast)});
        f.subjects = {name_of(c_, part), slow, fast};
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, part).names;
        report_.findings.push_back(std::move(f));
    }

    /// The first lasting position with both on. Outside conditions are tried in all combinations, also such as never hold together ("dip on",
    /// "main on"): with more than one of them nothing is concluded.
    std::optional<solve::StateId> state_with_both(const Pair& lamp) const {
        const auto& states = survey_.behaviour.states;
        for (solve::StateId s = 0; s < states.size(); ++s) {
            if (!states[s].stable || survey_.passing[s] || survey_.shorted[s] || survey_.on[s].empty()) continue;
            if (!survey_.on[s][lamp.first_at] || !survey_.on[s][lamp.second_at] || conditions(states[s]) > 1) continue;
            const solve::Point& point = survey_.behaviour.point(s);
            if (shines(point, lamp.first, lamp.watts) && shines(point, lamp.second, lamp.second_watts)) return s;
        }
        return std::nullopt;
    }

    std::size_t conditions(const solve::State& state) const {
        return static_cast<std::size_t>(
            std::ranges::count_if(survey_.behaviour.variables, [&](const solve::Variable& v) {
                const Control& control = c_.at(v.controls.front());
                return control.type == Control::Type::condition &&
                       state.positions[v.controls.front().index] != control.rest;
            }));
    }

    static bool shines(const solve::Point& point, PrimitiveId filament, Watts rated) {
        return point.power(filament).si >= 0.5 * rated.si;
    }

    void say(solve::StateId state, const std::vector<Together>& lamps) {
        const Pair& first = lamps.front().lamp;
        std::vector<PartId> parts;
        for (const Together& t : lamps) parts.push_back(c_.at(t.lamp.first).part);
        const PartId part = parts.front();
        const std::string both =
            fmt::format("{} and {}", stamp_of(c_, own_end(first.first)), stamp_of(c_, own_end(first.second)));
        Finding f;
        f.rule = both_filaments_at_once.id;
        f.severity = Severity::fault;
        f.headline = parts.size() == 1 ? fmt::format("Both filaments of {}, {}, burn at once {}.", called(c_, part),
                                                     both, when(s_, survey_.behaviour, state))
                                       : fmt::format("Both filaments, {}, of {} burn at once {}.", both,
                                                     list_of(names_of(c_, parts)), when(s_, survey_.behaviour, state));
        f.place = where_it_lies(c_, part);
        for (PartId p : parts) f.cites.push_back(cite_part(c_, p, p == part ? "both on" : ""));
        const auto point = survey_.behaviour.point(state);
        f.why = fmt::format("{} in one bulb, which is made to give off {}: it does not last, blackens and can melt its "
                            "holder or reflector; the common end carries both.",
                            text(rounded(point.power(first.first) + point.power(first.second), 2)),
                            text(std::max(first.watts, first.second_watts)));
        f.limit = "one of two filaments of about the same watts at a time, but for a flash (common practice); 21/5 W "
                  "and the like are made to burn together";
        f.cures.push_back({"Let main take dip off: a change-over relay or dip switch, of which one contact feeds dip "
                           "and the other main."});
        f.cures.push_back({fmt::format(
            "If both come on though only one is switched on: look for a wire that joins {}, and take it off.", both)});
        f.subjects = names_of(c_, parts);
        for (PrimitiveId id : {first.first, first.second}) f.subjects.push_back(name_of(c_, own_end(id)));
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, part).names;
        report_.findings.push_back(std::move(f));
    }

    TerminalId own_end(PrimitiveId id) const { return c_.at(id).a; }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    const Sides sides_;
    const Ends ends_;
};

std::optional<Watts> rated(const Primitive& p) {
    if (!p.current.known() || !p.voltage.known()) return std::nullopt;
    return p.current.nominal * p.voltage.nominal;
}

void run(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    const auto two_filaments = [&](PartId part) {
        return c.at(part).kind == Kind::lamp && !c.at(part).poisoned && s.now.has(part, Attr::power2);
    };
    const auto two_speeds = [&](PartId part) {
        return c.at(part).kind == Kind::motor && !c.at(part).poisoned &&
               std::ranges::any_of(c.at(part).terminals, [&](TerminalId t) { return c.at(t).stamp == "53b"; });
    };
    if (std::ranges::none_of(s.now.parts(), [&](PartId p) { return two_filaments(p) || two_speeds(p); })) return;
    const Survey* survey =
        survey_of_bad_positions(s, report, both_filaments_at_once.id, "whether main and dip burn at once");
    if (!survey) return;
    std::vector<Pair> lamps, motors;
    for (std::size_t i = 0; i + 1 < survey->loads.size(); ++i) {
        const Primitive &a = c.at(survey->loads[i].load), &b = c.at(survey->loads[i + 1].load);
        if (a.part == b.part && a.element == Element::machine && b.element == Element::machine && two_speeds(a.part)) {
            motors.push_back({survey->loads[i].load, survey->loads[i + 1].load, i, i + 1, rated(a).value_or(Watts{0}),
                              rated(b).value_or(Watts{0})});
            continue;
        }
        if (a.part != b.part || a.element != Element::filament || b.element != Element::filament ||
            !two_filaments(a.part))
            continue;
        const auto watts = rated(a), other = rated(b);
        if (!watts || !other || std::min(*watts, *other) < headlamp ||
            std::min(*watts, *other).si < alike * std::max(*watts, *other).si)
            continue;
        lamps.push_back({survey->loads[i].load, survey->loads[i + 1].load, i, i + 1, *watts, *other});
    }
    if (!lamps.empty()) Judge(s, *survey, report).run(lamps);
    if (!motors.empty()) Judge(s, *survey, report).run_motors(motors);
}

} // namespace

const Rule both_filaments_at_once = {
    "both-filaments-at-once",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "main and dip of one headlamp bulb that burn together, or both speeds of a wiper that are fed together",
    "always a fault; a flash that springs back is left alone",
    {
        "In a switch position that lasts, both filaments of one headlamp bulb burn, or both speeds of a wiper motor "
        "(53 and 53b) are fed.",
        "The bulb and its holder are made for the heat of one filament: it dies early, blackens, and can melt the "
        "holder or the reflector.",
        "Main and dip want a change-over: one contact that feeds either. Where relays were added, switch them so that "
        "main takes dip off.",
        "Filaments of about the same watts (60/55 W, 45/40 W) burn one at a time, but for a flash (common practice). "
        "21/5 W and the like are made to burn together.",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
fuse F2, 15 A
switch S1 "dip", 16 A
switch S2 "main", 16 A
lamp E1 "headlamp", 60/55 W, filaments main and dip
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from battery:+ to F2, 1.5 mm2 red, 0.1 m
wire from F1 to S1, 1.5 mm2 red, 1 m
wire from F2 to S2, 1.5 mm2 red, 1 m
wire from S1 to E1:dip, 1.5 mm2 yellow, 1 m
wire from S2 to E1:main, 1.5 mm2 white, 1 m
wire from E1:common to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "head and dip" {
  off*
  dip connects 1 with 2
  main connects 1 with 3
}
lamp E1 "headlamp", 60/55 W, filaments main and dip
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to S1:1, 1.5 mm2 red, 1 m
wire from S1:2 to E1:dip, 1.5 mm2 yellow, 1 m
wire from S1:3 to E1:main, 1.5 mm2 white, 1 m
wire from E1:common to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
