#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/own_output.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule relay_holds_itself; // rule_list.hpp lists it

namespace {

using solve::Operation;
using solve::StateId;

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), behaviour_(survey.behaviour), report_(report) {}

    void run() {
        std::map<std::string, std::vector<StateId>> by_hand;
        for (StateId s = 0; s < behaviour_.states.size(); ++s)
            if (behaviour_.states[s].stable && !behaviour_.states[s].held && !survey_.shorted[s])
                by_hand[hand(s)].push_back(s);
        // What holds for certain is told before what depends on how a relay was made.
        for (const bool perhaps : {false, true})
            for (const auto& [key, states] : by_hand)
                for (StateId held : states) look_at(held, states, perhaps);
        if (!behaviour_.complete)
            report_.not_checked.push_back(open_for_positions(
                s_, relay_holds_itself.id, "whether a relay stays in by itself in every switch position"));
    }

  private:
    std::string hand(StateId s) const {
        std::string key;
        for (const solve::Variable& v : behaviour_.variables)
            key += static_cast<char>(behaviour_.states[s].positions[v.controls.front().index]);
        return key;
    }

    /// Does it stay in on so little that it may just as well let go?
    bool by_little(StateId s, ControlId control) const {
        const auto& relays = survey_.perhaps_held[s];
        return std::ranges::find(relays, control) != relays.end();
    }
    bool races(ControlId control) const {
        return std::ranges::any_of(behaviour_.troubles, [&](const solve::Trouble& t) {
            return t.kind == solve::Trouble::Kind::race && std::ranges::find(t.relays, control) != t.relays.end();
        });
    }
    bool pulled(StateId s, ControlId control) const {
        return behaviour_.states[s].positions[control.index] + 1U == c_.at(control).positions.size();
    }
    bool at_rest(StateId s, ControlId control) const {
        return behaviour_.states[s].positions[control.index] == c_.at(control).rest;
    }

    /// Relays that are in here, and at rest in another state with the same switches: what came before decides.
    void look_at(StateId held, const std::vector<StateId>& same, bool perhaps) {
        std::vector<ControlId> relays;
        for (std::size_t i = 0; i < c_.controls.size(); ++i) {
            const ControlId control{i};
            if (races(control)) continue; // order-dependent
            if (by_little(held, control) != perhaps) continue;
            if (c_.at(control).type != Control::Type::relay || !s_.now.alive(c_.at(control).part) ||
                !pulled(held, control))
                continue;
            if (std::ranges::any_of(same, [&](StateId other) { return at_rest(other, control); }))
                relays.push_back(control);
        }
        if (relays.empty()) return;
        for (ControlId control : relays)
            if (const auto trigger = what_pulled_it_in(held, control);
                trigger && !is_button(*trigger) && is_gone(*trigger, held) && said_.insert(c_.at(control).part).second)
                return say(held, control, *trigger);
    }

    /// The last thing that was done on the way before the relay was in for good.
    std::optional<Operation> what_pulled_it_in(StateId s, ControlId control) const {
        std::optional<Operation> by;
        while (pulled(s, control)) {
            by = behaviour_.states[s].by;
            if (!by || behaviour_.states[s].held) return std::nullopt; // while a button is held: meant so
            s = behaviour_.states[s].before;
        }
        return by;
    }
    bool is_gone(const Operation& op, StateId s) const {
        return behaviour_.states[s].positions[behaviour_.variables[op.variable].controls.front().index] != op.to;
    }
    /// Whoever gives it a button wants it to stay in.
    bool is_button(const Operation& op) const {
        const Control& control = c_.at(behaviour_.variables[op.variable].controls.front());
        return control.springs_back != 0;
    }

    void say(StateId held, ControlId control, const Operation& trigger) {
        const PartId relay = c_.at(control).part;
        const std::vector<Operation> way = behaviour_.way_to(held);
        Finding f;
        f.rule = relay_holds_itself.id;
        f.severity = Severity::fault;
        const bool perhaps = by_little(held, control);
        f.headline =
            sentence_start(fmt::format("{} {} after what pulled it in is gone: {}.", called(c_, relay),
                                       perhaps ? "may stay in" : "stays in", solve::said(c_, behaviour_, way)));
        f.place = where_it_lies(c_, relay);
        f.cites.push_back(cite_part(c_, relay, perhaps ? "may stay in" : "stays in"));
        const PartId by = c_.at(behaviour_.variables[trigger.variable].controls.front()).part;
        if (by != relay) f.cites.push_back(cite_part(c_, by, "pulled it in"));
        f.why = fmt::format("{} it is pulled in now, though with the same switches it can be at rest too: its coil "
                            "gets its volts back over what it feeds itself.",
                            sentence_start(when(s_, behaviour_, held)));
        f.limit = "a relay must let go at a tenth of its volts and below (makers' sheets: 4 to 10 %)";
        if (perhaps) {
            const Primitive& coil = coil_of(control);
            const Volts left{std::abs(behaviour_.volts_over(held, seen(control).coil)->si)};
            f.certainty = Certainty::possible;
            f.why = fmt::format("{} its coil still gets {} over what it feeds itself. By how it was made it stays in "
                                "with that, or lets go.",
                                sentence_start(when(s_, behaviour_, held)), text(rounded(left, 2)));
            f.limit += fmt::format("; that it stays in for certain above {} only is an assumption: no sheet says so",
                                   text(Volts{solve::limits_of(c_, coil).may_release}));
            f.measure = measure_of_release(c_, coil);
        }
        say_how_to_part(control, f);
        f.cures.push_back(
            {fmt::format("If it is meant to stay in: say so with accept relay-holds-itself on {} because \"...\".",
                         name_of(c_, relay))});
        f.subjects = {name_of(c_, relay), name_of(c_, by)};
        report_.findings.push_back(std::move(f));
    }

    /// What holds it comes into the coil the way its trigger does: no diode in the trigger wire would part the two.
    void say_how_to_part(ControlId control, Finding& f) const {
        const PartId relay = c_.at(control).part;
        const auto own = own_output_at(s_, seen(control).coil);
        if (own && own->to_take_off.exists()) {
            f.cites.push_back({c_.at(own->to_take_off).span, "brings it back to the coil"});
            f.cures.push_back({fmt::format("Take {} off: over it {} feeds its own coil. What {} feeds and what pulls "
                                           "it in stay as they are.",
                                           described(c_, own->to_take_off), name_of(c_, relay), name_of(c_, relay))});
            return;
        }
        f.cures.push_back({fmt::format("Part the trigger of {} from all that {} feeds: bring it to the coil by a wire "
                                       "of its own that is joined to nothing else.",
                                       name_of(c_, relay), own ? name_of(c_, own->output) : "it")});
    }

    const CoilSeen& seen(ControlId control) const {
        return *std::ranges::find(survey_.coils, control, [](const CoilSeen& coil) { return coil.control; });
    }
    const Primitive& coil_of(ControlId control) const { return c_.at(seen(control).coil); }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const solve::Behaviour& behaviour_;
    Report& report_;
    std::set<PartId> said_;
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, relay_holds_itself.id, "whether a relay stays in by itself");
    if (!survey) return;
    Judge(s, *survey, report).run();
}

} // namespace

const Rule relay_holds_itself = {
    "relay-holds-itself",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a relay that stays in after its trigger is gone",
    "a fault where a switch or feed that stays pulled it in; none where a button did",
    {
        "The relay pulled in when something was switched on, and stays in when that is switched off again: it gets its "
        "coil's volts back over what it feeds itself.",
        "What hangs on it cannot be switched off where people look for the switch, and empties the battery.",
        "Take the joint between output and trigger out: the trigger goes to the coil by a wire of its own.",
        "Every switch position that can be reached is tried, with the relays as they then stand. A relay that a push "
        "button pulls in is meant to stay in.",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
supply Z1 "main beam", behind 10 A, plus when "main beam on"
relay K1 "lamp", 4-pin, resistor 680 ohm
splice SP1 "trigger joint", crimp
lamp E1 "driving light", 55 W
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to K1:30, 1.5 mm2 red, 0.5 m
wire W3 from K1:87 to SP1, 1.5 mm2 red, 0.3 m
wire W4 from SP1 to E1, 1.5 mm2 red, 0.3 m
wire W5 from Z1 to SP1, 1.5 mm2 blue, 0.3 m
wire W6 from SP1 to K1:86, 1.5 mm2 blue, 0.3 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
wire from E1:- to ground, 1.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
supply Z1 "main beam", behind 10 A, plus when "main beam on"
relay K1 "lamp", 4-pin, resistor 680 ohm
lamp E1 "driving light", 55 W
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to K1:30, 1.5 mm2 red, 0.5 m
wire W4 from K1:87 to E1, 1.5 mm2 red, 0.6 m
wire W5 from Z1 to K1:86, 1.5 mm2 blue, 0.6 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
wire from E1:- to ground, 1.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
