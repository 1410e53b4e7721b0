#include "base/number.hpp"
#include "circuit/wishes.hpp"
#include "rules/called_so.hpp"
#include "rules/closing_contact.hpp"
#include "rules/ends.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/spread.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule runs_at_rest; // rule_list.hpp lists it

namespace {

using solve::Positions;
using solve::StateId;

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), b_(survey.behaviour), report_(report) {}

    void run() {
        std::vector<PartId> said;
        for (std::size_t l = 0; l < survey_.loads.size(); ++l) {
            const PartId motor = c_.at(survey_.loads[l].load).part;
            if (c_.at(motor).kind != Kind::motor || c_.at(motor).poisoned || is_kept_alive(c_.at(motor)) ||
                !survey_.loads[l].ever() || std::ranges::find(said, motor) != said.end())
                continue;
            if (look_at(l)) said.push_back(motor);
        }
    }

  private:
    bool seen(StateId id) const {
        return b_.states[id].stable && !survey_.shorted[id] && id < survey_.on.size() && !survey_.on[id].empty();
    }

    /// What makes the whole vehicle live, where a motor's own switch asks for that motor alone.
    bool is_feed(const Control& k) const {
        if (k.type == Control::Type::condition) return is_called_ignition(k.name) || k.name.starts_with("engine");
        const Part& part = c_.at(k.part);
        return is_cut_off(part) || is_called_feeding(part.name + " " + part.label + " " + k.name) ||
               lies_in_cables(k) || is_called_ignition(part.name + " " + part.label + " " + k.name) ||
               std::ranges::any_of(k.positions, is_called_starting);
    }

    /// An isolator, whatever it is called: on or off for good, in cables that are for more than one motor's switch.
    bool lies_in_cables(const Control& k) const {
        if (k.type != Control::Type::hand || k.springs_back != 0 || k.positions.size() != 2) return false;
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
            const Primitive& p = c_.at(id);
            return p.part == k.part && p.element == Element::contact && has_cable(s_, p.a) && has_cable(s_, p.b);
        });
    }

    /// Nothing asks for any motor: hands are on what feeds all, at most, and nothing is warm, wet or moving.
    bool nothing_asked(const solve::State& state) const {
        if (state.held) return false;
        for (ControlId control : b_.model().controls()) {
            const Control& k = c_.at(control);
            if (k.type == Control::Type::relay || k.type == Control::Type::engine ||
                state.positions[control.index] == k.rest)
                continue;
            if (k.type == Control::Type::sensed || !is_feed(k)) return false;
        }
        return true;
    }

    /// The switch of a motor: its hand asks for nothing where it rests.
    bool may_be_its_switch(const Control& k) const {
        if (k.type != Control::Type::hand || is_feed(k) || !is_called_resting(k.positions[k.rest])) return false;
        return !is_called_stopping(c_.at(k.part).name + " " + c_.at(k.part).label + " " + k.name);
    }
    /// It joins something while it rests and nothing once it is operated: a stop switch, whatever its positions are called.
    bool only_opens(ControlId control) const {
        std::uint64_t closed = 0;
        for (PrimitiveId id : s_.now.primitives())
            if (c_.at(id).element == Element::contact && c_.at(id).control == control) closed |= c_.at(id).closed_in;
        return closed == std::uint64_t{1} << c_.at(control).rest;
    }

    /// The same but for what relays do by themselves.
    Positions without_relays(Positions positions) const {
        for (std::size_t i = 0; i < c_.controls.size(); ++i)
            if (c_.controls[i].type == Control::Type::relay) positions[i] = 0;
        return positions;
    }
    const std::vector<StateId>& states_with(const Positions& positions) {
        if (by_hand_.empty())
            for (StateId id = 0; id < b_.states.size(); ++id)
                if (seen(id)) by_hand_[without_relays(b_.states[id].positions)].push_back(id);
        return by_hand_[positions];
    }

    bool runs(PartId motor, StateId id) const {
        for (std::size_t l = 0; l < survey_.loads.size(); ++l)
            if (c_.at(survey_.loads[l].load).part == motor && survey_.on[id][l]) return true;
        return false;
    }

    /// A contact that is closed because its relay or switch rests; the current comes in at `in`.
    struct RestContact {
        PrimitiveId contact;
        TerminalId in, out;
    };

    bool look_at(std::size_t l) {
        const PrimitiveId load = survey_.loads[l].load;
        const PartId motor = c_.at(load).part;
        for (StateId id = 0; id < b_.states.size(); ++id) {
            if (!seen(id) || !survey_.on[id][l] || !nothing_asked(b_.states[id]) ||
                is_expected_on(c_, motor, b_.states[id].positions))
                continue;
            const Positions here = without_relays(b_.states[id].positions);
            // A relay that holds itself lets it run on after its button was let go: then it also rests in these positions.
            if (!std::ranges::all_of(states_with(here), [&](StateId same) { return runs(motor, same); })) continue;
            for (ControlId control : b_.model().controls()) {
                if (!may_be_its_switch(c_.at(control)) || only_opens(control)) continue;
                const std::vector<RestContact> over = led_over(current_through(s_, b_.point(id), load), load);
                if (over.empty() || changes_over(motor, id, control, over)) break;
                const auto stopped_by = stops_in(motor, here, control);
                if (!stopped_by || (stopped_by->empty() && !passes(l, id, control))) continue;
                say(l, id, control, *stopped_by);
                return true;
            }
        }
        return false;
    }

    /// In some other position of the switch one of these contacts changes over to another load: that is meant to run instead of the motor.
    bool changes_over(PartId motor, StateId at, ControlId control, const std::vector<RestContact>& over) {
        Positions there = without_relays(b_.states[at].positions);
        for (std::uint8_t to = 0; to < c_.at(control).positions.size(); ++to) {
            there[control.index] = to;
            if (to == c_.at(control).rest) continue;
            for (StateId other : states_with(there))
                for (std::size_t l = 0; l < survey_.loads.size(); ++l) {
                    const PrimitiveId load = survey_.loads[l].load;
                    if (c_.at(load).part == motor || !survey_.on[other][l] || survey_.on[at][l]) continue;
                    for (EdgeRef e : current_through(s_, b_.point(other), load).edges)
                        for (const RestContact& rest : over)
                            if (!e.is_wire() && c_.at(e.primitive).element == Element::contact &&
                                c_.at(e.primitive).control == c_.at(rest.contact).control)
                                return true;
                }
        }
        return false;
    }

    /// Positions of its switch in which the motor stands still; nothing where not all of them were seen.
    std::optional<std::vector<std::string>> stops_in(PartId motor, const Positions& here, ControlId control) {
        const Control& k = c_.at(control);
        std::vector<std::string> stopped_by;
        bool all = true;
        for (std::uint8_t to = 0; to < k.positions.size(); ++to) {
            if (to == k.rest) continue;
            Positions there = here;
            there[control.index] = to;
            const std::vector<StateId>& states = states_with(there);
            all = all && !states.empty();
            const bool stands = std::ranges::none_of(states, [&](StateId other) { return runs(motor, other); });
            if (stands && !states.empty() && !is_called_stopping(k.positions[to]))
                stopped_by.push_back(k.positions[to]);
        }
        if (stopped_by.empty() && !all) return std::nullopt;
        return stopped_by;
    }

    /// Where a timer has a say, no position may stop it; its own switch is then the one that leads the current while it rests.
    bool passes(std::size_t l, StateId id, ControlId control) const {
        const CurrentWay way = current_through(s_, b_.point(id), survey_.loads[l].load);
        return std::ranges::any_of(way.edges, [&](EdgeRef e) {
            return !e.is_wire() && c_.at(e.primitive).element == Element::contact &&
                   c_.at(e.primitive).control == control;
        });
    }

    /// Those before the motor; those behind it where none lies before it. None where another load lies on the way: back-feed speaks of that.
    std::vector<RestContact> led_over(const CurrentWay& way, PrimitiveId motor) const {
        std::vector<RestContact> before, behind;
        bool passed = false;
        for (std::size_t i = 0; i < way.edges.size(); ++i) {
            const EdgeRef e = way.edges[i];
            if (e.is_wire()) continue;
            passed = passed || e.primitive == motor;
            const Primitive& p = c_.at(e.primitive);
            if (e.primitive != motor && is_load(p)) return {};
            if (p.element != Element::contact || !p.control.exists()) continue;
            const Control& k = c_.at(p.control);
            if ((p.closed_in >> k.rest & 1U) != 0 && (p.purpose == Purpose::rest_contact || may_be_its_switch(k)))
                (passed ? behind : before).push_back({e.primitive, way.stops[i], way.stops[i + 1]});
        }
        return before.empty() ? behind : before;
    }

    void say(std::size_t l, StateId at, ControlId control, const std::vector<std::string>& stopped_by) {
        const PrimitiveId load = survey_.loads[l].load;
        const PartId motor = c_.at(load).part, by = c_.at(control).part;
        const solve::Point point = b_.point(at);
        const CurrentWay way = current_through(s_, point, load);
        const std::vector<RestContact> over = led_over(way, load);
        Finding f;
        f.rule = runs_at_rest.id;
        const bool pulls = s_.now.has(motor, Attr::reversible) || is_called_pulling(c_.at(motor));
        f.severity = pulls ? Severity::danger : Severity::fault;
        f.headline = sentence_start(fmt::format("{} turns while {} is at {}, {}.", called(c_, motor), called(c_, by),
                                                c_.at(control).positions[c_.at(control).rest],
                                                stopped_by.empty()
                                                    ? "as it does in all its other positions"
                                                    : "and stops once that goes to " + list_of(stopped_by, "or")));
        f.place = where_it_lies(c_, motor);
        f.cites.push_back(cite_part(c_, motor, "turns by itself"));
        f.cites.push_back(cite_part(c_, by, "rests"));
        f.subjects = {name_of(c_, motor), name_of(c_, by)};
        f.why = fmt::format("It turns {}, and nobody asked for it.", when(s_, b_, at));
        for (const RestContact& rest : over) {
            const Primitive& p = c_.at(rest.contact);
            f.subjects.push_back(name_of(c_, rest.in));
            f.subjects.push_back(name_of(c_, rest.out));
            f.why += fmt::format(" {} leads the current from {} to {} while it rests.", name_of(c_, p.part),
                                 stamp_of(c_, rest.in), stamp_of(c_, rest.out));
        }
        if (pulls) f.why += " It pulls in whatever is near it, fingers first: keep clear until this is mended.";
        const RestContact& first = over.front();
        const PartId holds = c_.at(first.contact).part;
        const TerminalId outer = c_.at(first.out).role == Role::rest ? first.out : first.in;
        f.cites.push_back(cite_terminal(s_.now, outer, "joined while it rests"));
        if (const TerminalId other = other_contact(c_.at(first.contact)); other.exists())
            f.cures.push_back(
                {fmt::format("Exchange the wires at {} and {}.", name_of(c_, outer), name_of(c_, other))});
        else
            f.cures.push_back({fmt::format("Measure whether {} really joins {} to {} where it rests, and see "
                                           "whether what feeds {} belongs there.",
                                           name_of(c_, holds), stamp_of(c_, first.in), stamp_of(c_, first.out),
                                           name_of(c_, first.in))});
        std::string so; // "S0 on, S1 rest"
        for (ControlId k : b_.model().controls())
            if (const Control& feed = c_.at(k);
                feed.type == Control::Type::hand && (k == control || b_.states[at].positions[k.index] != feed.rest))
                so += (so.empty() ? "" : ", ") + name_of(c_, feed.part) + " " +
                      feed.positions[b_.states[at].positions[k.index]];
        f.cures.push_back(
            {fmt::format("If it is meant to run then, say so: expect {} on when {}", name_of(c_, motor), so)});
        f.limit = "none: the motor was tried in every position of that switch";
        if (way.found()) f.path = stops_in_words(c_, way.stops);
        if (const auto& amps = point.primitive_amps[load.index])
            for (const std::string& name : passed_on_the_way(s_, point, Amps{std::abs(amps->si)}))
                if (std::ranges::find(f.subjects, name) == f.subjects.end()) f.subjects.push_back(name);
        report_.findings.push_back(std::move(f));
    }

    /// The terminal that the relay would join to its common one once it pulls in.
    TerminalId other_contact(const Primitive& rest) const {
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.part != rest.part || p.purpose != Purpose::make_contact || p.control != rest.control) continue;
            for (TerminalId common : {rest.a, rest.b})
                if (p.a == common || p.b == common) {
                    const TerminalId other = p.a == common ? p.b : p.a;
                    if (c_.at(other).role != Role::common) return other;
                }
        }
        return {};
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const solve::Behaviour& b_;
    Report& report_;
    std::map<Positions, std::vector<StateId>> by_hand_; ///< stable states, by all positions but those of relays
};

void run(const Study& s, Report& report) {
    if (std::ranges::none_of(s.now.parts(), [&](PartId p) { return s.circuit.at(p).kind == Kind::motor; })) return;
    const std::string what = "whether a motor turns while its switch rests";
    const Survey* survey = survey_of_bad_positions(s, report, runs_at_rest.id, what);
    if (!survey) return;
    if (s.circuit.has_mistakes) return report.not_checked.push_back(open_until_mended(runs_at_rest.id, what));
    Judge(s, *survey, report).run();
}

} // namespace

const Rule runs_at_rest = {
    "runs-at-rest",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a motor that turns while its own switch is at rest, and stops once that is operated",
    "danger for what turns either way and for what pulls or closes (winch, window, lift), else a fault",
    {
        "With nothing but the key or the main switch on, this motor turns. Its own switch is at rest then, and the "
        "motor "
        "stops once somebody operates it.",
        "Whoever turns the key does not expect a winch to pull or a window to close.",
        "Look for 87 and 87a exchanged on a relay, or plus where ground belongs on the rest contact of a rocker.",
        "None: every position of the switch was tried. Left alone are stop and lock-out switches, a wiper on its way "
        "to "
        "where it parks, what a thermo or float switch starts, and what a line of the file expects.",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "ignition" { off* | run connects 30 with 15 }
switch S2 "wiper" { off* | on connects 1 with 2 }
relay K1, 5-pin, 30 A, diode, band on 86
motor M1 "wiper", 4 A
splice SP1, crimp
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1:30, 2.5 mm2 red, 1 m
wire from S1:15 to SP1, 2.5 mm2 black, 0.3 m
wire from SP1 to K1:30, 2.5 mm2 black, 0.3 m
wire from SP1 to S2:1, 2.5 mm2 black, 0.3 m
wire from S2:2 to K1:86, 1 mm2 blue, 0.5 m
wire from K1:85 to ground, 1 mm2 brown, 0.3 m
wire from K1:87a to M1:+, 2.5 mm2 green, 1 m
wire from M1:- to ground, 2.5 mm2 brown, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "ignition" { off* | run connects 30 with 15 }
switch S2 "wiper" { off* | on connects 1 with 2 }
relay K1, 5-pin, 30 A, diode, band on 86
motor M1 "wiper", 4 A
splice SP1, crimp
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1:30, 2.5 mm2 red, 1 m
wire from S1:15 to SP1, 2.5 mm2 black, 0.3 m
wire from SP1 to K1:30, 2.5 mm2 black, 0.3 m
wire from SP1 to S2:1, 2.5 mm2 black, 0.3 m
wire from S2:2 to K1:86, 1 mm2 blue, 0.5 m
wire from K1:85 to ground, 1 mm2 brown, 0.3 m
wire from K1:87 to M1:+, 2.5 mm2 green, 1 m
wire from M1:- to ground, 2.5 mm2 brown, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
