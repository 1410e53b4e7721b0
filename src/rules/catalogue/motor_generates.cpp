#include "base/number.hpp"
#include "rules/ends.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"
#include "solve/settle.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule motor_generates; // rule_list.hpp lists it

namespace {

using solve::StateId;

/// Situations solved for one motor, at most: a moment's work.
constexpr std::size_t most_situations = 600;

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s),
          c_(s.circuit),
          survey_(survey),
          b_(survey.behaviour),
          states_(survey.behaviour.states),
          report_(report) {}

    void run() {
        for (std::size_t i = 0; i < survey_.loads.size(); ++i) {
            const Primitive& p = c_.at(survey_.loads[i].load);
            if (p.element == Element::machine && s_.now.has(p.part, Attr::generates) && !c_.at(p.part).poisoned)
                motor(i);
        }
    }

  private:
    /// Something that works because the motor turns, and would not if it stood.
    struct Victim {
        PrimitiveId what; ///< a load, or a coil that then is pulled in
        StateId at = 0;
        Volts volts;
        bool held = false;   ///< it was in before the switch was turned off
        bool sure = true;    ///< it does not hang on where a relay lies within its limits
        bool engine = false; ///< what keeps the engine alive has its volts from the motor
    };

    bool counts(StateId s) const { return states_[s].stable && s < survey_.shorted.size() && !survey_.shorted[s]; }

    /// How many controls stand differently, relays and the engine left out: it dies by itself.
    std::size_t differ(StateId a, StateId b) const {
        return static_cast<std::size_t>(std::ranges::count_if(b_.variables, [&](const solve::Variable& v) {
            const ControlId control = v.controls.front();
            return c_.at(control).type != Control::Type::engine &&
                   states_[a].positions[control.index] != states_[b].positions[control.index];
        }));
    }

    void motor(std::size_t index) {
        const PrimitiveId id = survey_.loads[index].load;
        const Primitive& p = c_.at(id);
        if (!p.current.known() && !p.resistance.known())
            return report_.not_checked.push_back(open_for_unknown_load(
                s_, motor_generates.id, fmt::format("what {} feeds when something turns it", name_of(c_, p.part)),
                {p.part}));
        solve::Model driven(s_.now, b_.conditions);
        driven.drive(id);
        solve::Situations situations(driven, {}, most_situations);
        std::set<solve::Positions> begun;
        std::map<PrimitiveId, Victim> victims;
        bool all = true;
        // What runs it down: it worked in one position, and one control was turned to where nothing feeds it any more. And the wind turns
        // it in any position.
        for (StateId off = 0; off < states_.size(); ++off) {
            if (!counts(off) || survey_.on[off][index] || Standing(s_, states_[off].positions).fed(p)) continue;
            for (StateId on = 0; on < states_.size(); ++on) {
                if (on != off && (!counts(on) || !survey_.on[on][index] || differ(on, off) != 1)) continue;
                solve::Positions start = states_[off].positions;
                for (const solve::Coil& coil : driven.coils())
                    start[coil.control.index] = states_[on].positions[coil.control.index];
                if (!begun.insert(start).second) continue;
                const auto first = situations.find(start, {});
                if (!first)
                    all = false;
                else
                    look(driven, situations, *first, off, on, index, victims);
            }
        }
        if (!all)
            report_.not_checked.push_back(open_for_positions(
                s_, motor_generates.id, fmt::format("what {} feeds when something turns it", name_of(c_, p.part))));
        if (!victims.empty()) say(id, victims);
    }

    void look(solve::Model& driven, solve::Situations& situations, solve::SituationId first, StateId off, StateId on,
              std::size_t index, std::map<PrimitiveId, Victim>& victims) {
        const solve::Settled settled = situations.settle(first);
        for (std::size_t e = 0; e < settled.ends.size(); ++e) {
            const solve::Situation& end = situations.at(settled.ends[e]);
            if (!end.solved) continue;
            const bool sure = e < settled.sure && settled.sure == 1;
            const solve::Point point = driven.point(end.positions, end.nodes);
            const bool engine = keeps_the_engine(driven, end, off);
            const auto note = [&](PrimitiveId what, bool held) {
                const auto& volts = point.primitive_volts[what.index];
                const Victim v{what, off, Volts{volts ? std::abs(volts->si) : 0}, held, sure, engine};
                const auto [at, fresh] = victims.try_emplace(what, v);
                if (!fresh && sure && !at->second.sure) at->second = v;
            };
            for (const solve::Coil& coil : driven.coils()) {
                const std::size_t k = coil.control.index;
                const auto last = c_.at(coil.control).positions.size() - 1;
                if (end.positions[k] == last && states_[off].positions[k] != last)
                    note(coil.primitive, states_[on].positions[k] == last);
            }
            for (std::size_t i = 0; i < survey_.loads.size(); ++i) {
                const PrimitiveId load = survey_.loads[i].load;
                const auto& volts = point.primitive_volts[load.index];
                const auto& amps = point.primitive_amps[load.index];
                if (i == index || survey_.on[off][i] || !volts || !amps || c_.at(c_.at(load).part).poisoned) continue;
                if (solve::doing(c_, load, *volts, *amps) != solve::Doing::off) note(load, false);
            }
        }
    }

    /// Would a running engine go on, that dies in this position while the motor stands?
    bool keeps_the_engine(const solve::Model& driven, const solve::Situation& end, StateId off) const {
        if (!c_.engine || !c_.engine->kept_alive()) return false;
        const solve::Positions& positions = states_[off].positions;
        return driven.engine_lives(end.positions, end.nodes) &&
               !b_.model().engine_lives(positions, b_.model().quick(positions).nodes);
    }

    bool is_light(PrimitiveId id) const {
        return c_.at(id).element == Element::filament || c_.at(c_.at(id).part).kind == Kind::led;
    }
    bool is_coil(PrimitiveId id) const {
        return c_.at(id).purpose == Purpose::coil || c_.at(id).purpose == Purpose::starter_solenoid;
    }

    void say(PrimitiveId motor, const std::map<PrimitiveId, Victim>& victims) {
        // What a relay so held switches works because of the relay: the relay is named first.
        std::vector<Victim> ranked;
        for (const auto& [id, v] : victims) ranked.push_back(v);
        std::ranges::stable_sort(ranked, {}, [&](const Victim& v) {
            return std::pair(v.sure ? 0 : 1, is_coil(v.what) ? 0 : is_light(v.what) ? 2 : 1);
        });
        const Victim& worst = ranked.front();
        const PartId part = c_.at(motor).part, victim = c_.at(worst.what).part;
        std::vector<std::string> others;
        for (const Victim& v : ranked)
            if (const std::string name = name_of(c_, c_.at(v.what).part);
                name != name_of(c_, victim) && std::ranges::find(others, name) == others.end())
                others.push_back(name);
        const char* does = is_coil(worst.what)    ? worst.held ? "holds" : "pulls in"
                           : is_light(worst.what) ? "lights"
                                                  : "feeds";
        const bool only_lights = std::ranges::all_of(ranked, [&](const Victim& v) { return is_light(v.what); });
        const solve::Device own = solve::driven_motor(s_.now, motor);
        Finding f;
        f.rule = motor_generates.id;
        f.severity = only_lights ? Severity::advice : Severity::fault;
        f.certainty = worst.sure ? Certainty::certain : Certainty::possible;
        f.headline = sentence_start(fmt::format(
            "As long as something turns it, {} {} {} {}, though nothing feeds either.{}", called(c_, part), does,
            called(c_, victim), when(s_, b_, worst.at),
            others.empty() ? "" : fmt::format(" {} {} too.", list_of(others), verb(others.size(), "works", "work"))));
        f.place = where_it_lies(c_, part);
        const Attribute* said = s_.now.find(part, Attr::generates);
        f.cites.push_back(said && said->span.exists() ? Citation{said->span, "gives volts when turned"}
                                                      : cite_part(c_, part));
        f.cites.push_back(cite_part(c_, victim, "gets its volts"));
        const bool engine = std::ranges::any_of(ranked, [](const Victim& v) { return v.engine; });
        const Stated<Amps> starting = s_.now.amps(part, Attr::start_current);
        f.why = fmt::format("Turned as fast as it works, by its own swing or by the wind, it gives {} behind {} "
                            "({}), and {} gets {} of it.",
                            text(rounded(Volts{own.volts}, 2)), text(rounded(Ohms{own.ohms}, 2)),
                            starting.known() ? "from its starting current"
                                             : "taking its starting current for 3.8 times what it takes at work",
                            name_of(c_, victim), text(rounded(worst.volts, 2)));
        if (engine)
            f.why +=
                " What keeps the engine alive has volts so: it runs on after the key is off, until the motor stands.";
        f.limit = is_coil(worst.what)
                      ? "a relay may be held by anything above 10 % of its volts and pulled in from about "
                        "half (makers' sheets)"
                      : "a lamp that takes more than a tenth of its power is seen to glow, a motor moves "
                        "from a quarter of its volts (common practice)";
        f.cures.push_back(
            {fmt::format("Feed {} over a contact of its own, so that it shares no wire with {} while that "
                         "contact is open.",
                         name_of(c_, victim), name_of(c_, part))});
        f.cures.push_back({fmt::format("Put a diode into the feed of {}, its band towards the motor, for its starting "
                                       "current and bolted to metal: it gets hot, and takes 0.7 to 1 V.",
                                       name_of(c_, part))});
        f.subjects = {name_of(c_, part), name_of(c_, victim)};
        for (const std::string& name : others) f.subjects.push_back(name);
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const solve::Behaviour& b_;
    const std::vector<solve::State>& states_;
    Report& report_;
};

void run(const Study& s, Report& report) {
    if (std::ranges::none_of(s.now.parts(), [&](PartId p) { return s.now.has(p, Attr::generates); })) return;
    const char* what = "what a motor feeds when something turns it";
    if (s.circuit.has_mistakes) return report.not_checked.push_back(open_until_mended(motor_generates.id, what));
    if (const Survey* survey = survey_of_bad_positions(s, report, motor_generates.id, what))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule motor_generates = {
    "motor-generates",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a motor that something turns, and that then holds a relay or feeds what is switched off",
    "a fault where it holds a relay or works something; where only lamps glow, advice",
    {
        "The file says that this motor generates when driven. Switched off, it turns on for a while by its own swing, "
        "or the "
        "wind turns it, and its volts reach something that should be dead.",
        "A relay stays in after the key is off, an ignition or a fuel pump goes on, a tell-tale glows.",
        "Part the two: a contact of its own for what is fed by mistake, or a diode in the motor's feed, its band "
        "towards "
        "the motor.",
        "Its volts: what is left of the volts at its working current once the ohms of the armature, volts over "
        "starting "
        "current, have taken their share (Lessons in Electric Circuits; where the starting current is not known, 3.8 "
        "times "
        "the working current). It is taken to be turned as fast as it works. A motor that both its leads tie to "
        "ground, as "
        "wipers are braked, feeds nothing and is left alone.",
        R"(loom 1
battery, 60 Ah
fuse F1, 20 A
switch S1 "ignition" { off* | run connects 30 with 15 and 87 }
relay K1 "fuel pump", 4-pin, 30 A, resistor 680 ohm
motor M1 "cooling fan", 9 A, starts at 27 A, generates when driven
load E1 "pump", 5 A
fuse F2, 10 A
splice SP1, crimp
wire W1 from battery:+ to F1, 4 mm2 red, 0.1 m
wire W2 from F1 to S1:30, 4 mm2 red, 1 m
wire W3 from S1:15 to SP1, 2.5 mm2 green, 1 m
wire W4 from SP1 to M1:+, 2.5 mm2 green, 1 m
wire W5 from SP1 to K1:86, 1 mm2 green, 0.5 m
wire W6 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W7 from M1:- to ground, 2.5 mm2 black, 0.3 m
wire W8 from battery:+ to F2, 1.5 mm2 red, 0.1 m
wire W9 from F2 to K1:30, 1.5 mm2 red, 0.5 m
wire W10 from K1:87 to E1, 1.5 mm2 red, 2 m
wire W11 from E1 to ground, 1.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 20 A
switch S1 "ignition" { off* | run connects 30 with 15 and 87 }
relay K1 "fuel pump", 4-pin, 30 A, resistor 680 ohm
motor M1 "cooling fan", 9 A, starts at 27 A, generates when driven
load E1 "pump", 5 A
fuse F2, 10 A
wire W1 from battery:+ to F1, 4 mm2 red, 0.1 m
wire W2 from F1 to S1:30, 4 mm2 red, 1 m
wire W3 from S1:15 to M1:+, 2.5 mm2 green, 2 m
wire W5 from S1:87 to K1:86, 1 mm2 green, 0.5 m
wire W6 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W7 from M1:- to ground, 2.5 mm2 black, 0.3 m
wire W8 from battery:+ to F2, 1.5 mm2 red, 0.1 m
wire W9 from F2 to K1:30, 1.5 mm2 red, 0.5 m
wire W10 from K1:87 to E1, 1.5 mm2 red, 2 m
wire W11 from E1 to ground, 1.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
