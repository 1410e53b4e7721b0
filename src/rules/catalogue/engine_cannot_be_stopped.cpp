#include "base/number.hpp"
#include "circuit/wishes.hpp"
#include "rules/called_so.hpp"
#include "rules/ends.hpp"
#include "rules/engine_life.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule engine_cannot_be_stopped; // rule_list.hpp lists it

namespace {

using solve::EngineDoes;
using solve::Operation;
using solve::StateId;

class Judge {
  public:
    Judge(const Study& s, const solve::Behaviour& b, Report& report) : s_(s), c_(s.circuit), b_(b), report_(report) {}

    void run() {
        const auto runs =
            std::ranges::find_if(b_.states, [&](const solve::State& state) { return state.stable && running(state); });
        if (runs == b_.states.end()) return;
        std::vector<ControlId> keys = keys_of(static_cast<StateId>(runs - b_.states.begin()));
        if (keys.empty()) keys = keys_that_feed_it();
        if (!keys.empty())
            for (const bool held : {false, true}) // the plainer tale first: nobody keeps a button pressed
                for (StateId id = 0; id < b_.states.size(); ++id) {
                    const solve::State& state = b_.states[id];
                    const bool off = std::ranges::all_of(
                        keys, [&](ControlId key) { return state.positions[key.index] == c_.at(key).rest; });
                    if (state.stable && running(state) && off && state.held == held) return runs_on(id, keys);
                }
        if (std::ranges::any_of(b_.dying, [&](StateId id) { return points_closed(id) && takes_its_life(id); }))
            return main_switches();
        if (b_.complete)
            nothing_stops_it();
        else
            report_.not_checked.push_back(
                open_for_positions(s_, engine_cannot_be_stopped.id, "whether any switch stops the engine"));
    }

  private:
    bool worked_by_engine(const Control& control) const {
        return control.part.exists() && is_points(c_.at(control.part));
    }
    /// Points that open stop it, but the engine works them itself: somebody else has to stop it while they are closed.
    bool points_closed(StateId id) const {
        return std::ranges::all_of(s_.now.primitives(), [&](PrimitiveId p) {
            const Primitive& contact = c_.at(p);
            return contact.element != Element::contact || !contact.control.exists() ||
                   !is_points(c_.at(contact.part)) || solve::is_closed(contact, b_.states[id].positions);
        });
    }

    bool running(const solve::State& state) const {
        const EngineDoes does = b_.model().engine_does(state.positions);
        return does == EngineDoes::idles || does == EngineDoes::runs;
    }

    /// What somebody turned to start it, and which does not spring back to rest by itself.
    std::vector<ControlId> keys_of(StateId id) const {
        std::vector<ControlId> keys;
        for (const Operation& o : b_.way_to(id)) {
            const ControlId control = b_.variables[o.variable].controls.front();
            const Control& k = c_.at(control);
            bool lasts = false;
            for (std::size_t i = 0; i < k.positions.size(); ++i)
                lasts = lasts || (i != k.rest && (k.springs_back >> i & 1) == 0);
            const bool turned = k.type == Control::Type::hand || k.type == Control::Type::condition;
            if (turned && lasts && !worked_by_engine(k) && std::ranges::find(keys, control) == keys.end())
                keys.push_back(control);
        }
        return keys;
    }

    /// Where a button alone starts it, though its key is off: what has to be on for its life to be fed while it stands.
    std::vector<ControlId> keys_that_feed_it() const {
        std::vector<ControlId> keys;
        const Engine& e = *c_.engine;
        if (!e.fed.exists() && !e.fed_part.exists()) return keys;
        for (const solve::Variable& v : b_.variables) {
            const ControlId control = v.controls.front();
            const Control& k = c_.at(control);
            if (k.type != Control::Type::hand || worked_by_engine(k)) continue;
            for (std::uint8_t to = 0; to < k.positions.size(); ++to) {
                if (to == k.rest || (k.springs_back >> to & 1) != 0) continue;
                if (lives_with(control, to) && !lives_with(control, k.rest)) {
                    keys.push_back(control);
                    break;
                }
            }
        }
        return keys;
    }
    /// With the engine standing, all at rest but this.
    bool lives_with(ControlId control, std::uint8_t to) const {
        solve::Positions positions = b_.states.front().positions;
        for (ControlId k : b_.model().controls())
            if (c_.at(k).type != Control::Type::relay) positions[k.index] = c_.at(k).rest;
        positions[control.index] = to;
        const auto id = b_.find(positions);
        return id &&
               b_.model().engine_lives(b_.states[*id].positions, b_.model().quick(b_.states[*id].positions).nodes);
    }

    /// Its life was switched off, by a contact that opened or a relay; not merely drawn down by a lamp that came on, as a brake's does to
    /// what hangs behind a charge lamp: nobody brakes to stop an engine.
    bool takes_its_life(StateId id) const {
        const solve::State& state = b_.states[id];
        if (!c_.engine->fed.exists() && !c_.engine->fed_part.exists()) return true;
        if (!state.by) return true;
        for (const Control& k : c_.controls)
            if (const auto i = static_cast<std::size_t>(&k - c_.controls.data());
                k.type == Control::Type::relay && state.positions[i] != b_.states[state.before].positions[i])
                return true;
        for (ControlId control : b_.variables[state.by->variable].controls)
            for (PrimitiveId p : s_.now.primitives())
                if (const Primitive& contact = c_.at(p);
                    contact.element == Element::contact && contact.control == control &&
                    (contact.closed_in >> state.by->from & 1) != 0 && (contact.closed_in >> state.by->to & 1) == 0)
                    return true;
        return false;
    }

    /// Whoever throws a main switch in a crash or a fire wants the engine dead too; from the alternator it goes on.
    void main_switches() {
        for (ControlId key : b_.model().controls()) {
            const Control& k = c_.at(key);
            if (k.type != Control::Type::hand || !is_main_cut_off(c_.at(k.part))) continue;
            const auto off = std::ranges::find_if(k.positions, is_called_resting);
            if (off == k.positions.end()) continue;
            for (StateId id = 0; id < b_.states.size(); ++id) {
                const solve::State& state = b_.states[id];
                if (!state.stable || state.held || !running(state) ||
                    state.positions[key.index] != off - k.positions.begin() ||
                    is_expected_on(c_, c_.engine->fed_part, state.positions) || doubtful_life(s_, b_, id))
                    continue;
                runs_on(id, {key}, true);
                break;
            }
        }
    }

    std::string life() const {
        const Engine& e = *c_.engine;
        return e.fed_part.exists() ? name_of(c_, e.fed_part)
               : e.fed.exists()    ? name_of(c_, e.fed)
                                   : name_of(c_, e.grounded);
    }

    /// Against the largest current from what keeps the engine alive, through loads too, until a source: what feeds it.
    std::vector<EdgeRef> fed_over(const solve::Point& point, TerminalId& source) const {
        TerminalId at = c_.engine->fed;
        if (c_.engine->fed_part.exists())
            for (TerminalId t : c_.at(c_.engine->fed_part).terminals)
                if (const auto& v = point.volts[t.index];
                    v && (!at.exists() || std::abs(v->si) > std::abs(point.volts[at.index]->si)))
                    at = t;
        return at.exists() ? way_back(point, at, source) : std::vector<EdgeRef>{};
    }

    /// The way of the largest current to a terminal, from there back to what gives it.
    std::vector<EdgeRef> way_back(const solve::Point& point, TerminalId at, TerminalId& source) const {
        std::vector<EdgeRef> way;
        std::vector<bool> seen(c_.terminals.size(), false);
        while (!seen[at.index]) {
            seen[at.index] = true;
            source = at;
            double most = 1e-6;
            EdgeRef over;
            TerminalId next;
            const auto offer = [&](EdgeRef e, TerminalId a, TerminalId b, const std::optional<Amps>& amps) {
                const TerminalId other = a == at ? b : a;
                if (!amps || seen[other.index]) return;
                const double coming = a == at ? -amps->si : amps->si;
                if (coming > most) most = coming, over = e, next = other;
            };
            for (WireId w : s_.now.wires_at(at)) offer({w, {}}, c_.at(w).a, c_.at(w).b, point.wire_amps[w.index]);
            bool pole = false;
            for (PrimitiveId p : s_.now.primitives_at(at)) {
                const Primitive& primitive = c_.at(p);
                pole = pole || (primitive.element == Element::source && primitive.a == at && point.power(p).si < 0) ||
                       (primitive.purpose == Purpose::charge_lamp_terminal && primitive.a == at);
                if (primitive.element != Element::source)
                    offer({{}, p}, primitive.a, primitive.b, point.primitive_amps[p.index]);
            }
            if (pole || !next.exists()) return way;
            way.push_back(over);
            at = next;
        }
        return way;
    }

    bool is_lamp_terminal(TerminalId t) const {
        return std::ranges::any_of(s_.now.primitives_at(t),
                                   [&](PrimitiveId p) { return c_.at(p).purpose == Purpose::charge_lamp_terminal; });
    }

    /// A relay on the way whose coil the alternator's lamp terminal holds in, with no lamp between.
    struct Held {
        PartId relay;
        TerminalId by;
    };
    std::optional<Held> held_in(const std::vector<EdgeRef>& way, const solve::Point& point) const {
        for (const EdgeRef& e : way) {
            if (e.is_wire() || !c_.at(e.primitive).control.exists() ||
                c_.at(c_.at(e.primitive).control).type != Control::Type::relay)
                continue;
            for (PrimitiveId id : s_.now.primitives()) {
                const Primitive& coil = c_.at(id);
                const auto& amps = point.primitive_amps[id.index];
                if (coil.part != c_.at(e.primitive).part || coil.purpose != Purpose::coil || !amps) continue;
                TerminalId by;
                const std::vector<EdgeRef> over = way_back(point, amps->si > 0 ? coil.a : coil.b, by);
                if (by.exists() && is_lamp_terminal(by) && !passes_something(over)) return Held{coil.part, by};
            }
        }
        return std::nullopt;
    }

    /// What keeps it alive has volts through a load only, and nothing drawn there takes current: said so, and true.
    bool hangs_behind_a_lamp(StateId id, const std::string& keys) {
        const auto doubt = doubtful_life(s_, b_, id);
        if (!doubt) return false;
        const TerminalId source = doubt->source;
        std::vector<std::string> loads;
        for (PrimitiveId load : doubt->loads) loads.push_back(name_of(c_, c_.at(load).part));
        Finding f = begin(fmt::format("Can't tell whether the engine stops with {} off: {} then still has volts from "
                                      "{} through {}, and nobody drew what takes current there.",
                                      keys, life(), name_of(c_, source), list_of(loads)));
        f.severity = Severity::advice;
        f.certainty = Certainty::undecided;
        f.cites.push_back(cite_terminal(s_.now, source, "volts from here"));
        for (const EdgeRef& e : doubt->way) {
            const std::string name = e.is_wire() ? subject_of(c_, e.wire) : name_of(c_, c_.at(e.primitive).part);
            if (f.path.empty() || f.path.back() != name) f.path.push_back(name);
            f.subjects.push_back(name);
        }
        f.path.push_back(name_of(c_, source));
        std::ranges::reverse(f.path);
        f.path.push_back(life());
        f.why = fmt::format("Through {} a coil that takes amps gets next to nothing, and the engine stops. Electronics "
                            "that take a twentieth of an amp run on.",
                            list_of(loads));
        f.limit = fmt::format("fed is what keeps half of its volts while {} is taken (common practice, no source)",
                              text(small_ignition));
        f.measure = what_decides_life(c_);
        f.cures.push_back({fmt::format("To be sure: a diode between {} and {}, band towards {}.", life(), loads.front(),
                                       loads.front())});
        report_.findings.push_back(std::move(f));
        return true;
    }

    Finding begin(std::string headline) const {
        Finding f;
        f.rule = engine_cannot_be_stopped.id;
        f.severity = Severity::danger;
        f.headline = std::move(headline);
        f.cites.push_back({c_.engine->alive_span, "what keeps it alive"});
        f.limit = "none: an engine that its key does not stop is a danger in a workshop as on the road";
        f.subjects = {life()};
        return f;
    }

    void runs_on(StateId id, const std::vector<ControlId>& keys, bool main_switch = false) {
        std::vector<std::string> names;
        for (ControlId key : keys)
            names.push_back(c_.at(key).type == Control::Type::condition ? '"' + c_.at(key).name + '"'
                                                                        : name_of(c_, c_.at(key).part));
        const bool grounded = !c_.engine->fed.exists() && !c_.engine->fed_part.exists();
        Finding f = begin(
            grounded ? fmt::format("The engine runs on with {} off: {} is not grounded then.", list_of(names), life())
                     : fmt::format("The engine runs on with {} off: {} stays fed.", list_of(names), life()));
        const solve::Point& point = b_.point(id);
        if (hangs_behind_a_lamp(id, list_of(names))) return;
        TerminalId source;
        const std::vector<EdgeRef> way = fed_over(point, source);
        bool lamp = false;
        for (const EdgeRef& e : way) {
            const std::string name = e.is_wire() ? subject_of(c_, e.wire) : name_of(c_, c_.at(e.primitive).part);
            if (f.path.empty() || f.path.back() != name) f.path.push_back(name);
            if (std::ranges::find(f.subjects, name) == f.subjects.end()) f.subjects.push_back(name);
        }
        if (source.exists() && !way.empty()) {
            f.path.push_back(name_of(c_, source));
            f.cites.push_back(cite_terminal(s_.now, source, "fed from here"));
            lamp = is_lamp_terminal(source);
        }
        std::ranges::reverse(f.path);
        if (!f.path.empty() && c_.engine->fed_part.exists()) f.path.push_back(life());
        const std::vector<Operation> happens = b_.way_to(id);
        const bool touched = std::ranges::any_of(
            happens, [&](const Operation& o) { return b_.variables[o.variable].controls.front() == keys.front(); });
        f.why = touched ? fmt::format("It happens so: {}.", solve::said(c_, b_, happens))
                        : std::string("Once it runs it goes on without its key.");
        if (c_.engine->fed_part.exists())
            for (PrimitiveId p : s_.now.primitives())
                if (c_.at(p).part == c_.engine->fed_part && point.primitive_volts[p.index]) {
                    f.why += fmt::format(
                        " {} then still has {}; half of its volts keep it working (common practice, no source).",
                        life(), text(rounded(Volts{std::abs(point.primitive_volts[p.index]->si)}, 2)));
                    break;
                }
        if (main_switch) {
            // Its key still stops it.
            f.severity = Severity::fault;
            f.why += " Whoever throws that switch, after a crash or in a fire, wants the engine dead too.";
            f.limit = "none: a main switch that works while the engine runs stops it (common practice, no source)";
            f.subjects.push_back(names.front());
            f.cites.insert(f.cites.begin(), cite_part(c_, c_.at(keys.front()).part, "leaves it running"));
            f.cures.push_back({fmt::format("A main switch with further contacts: lead what feeds {} over one pair of "
                                           "them, that opens together with the battery's.",
                                           life())});
            f.cures.push_back({fmt::format("If its key alone is to stop it, and {} is for parking: accept "
                                           "engine-cannot-be-stopped on {} because \"...\".",
                                           names.front(), names.front())});
        } else if (lamp && !passes_something(way)) {
            f.cures.push_back({charge_lamp_into(name_of(c_, source), life(), too_little_comes_back(point))});
        } else if (lamp) {
            f.cures.push_back({"Put a diode into the charge lamp's wire, band towards the alternator: it lets the "
                               "lamp's current to the alternator and none back."});
            f.cures.push_back({"Feed the charge lamp from a terminal of the key that feeds nothing else."});
        } else if (const auto held = held_in(way, point)) {
            f.why += fmt::format(" {} holds {} in, as long as the engine turns.", name_of(c_, held->by),
                                 name_of(c_, held->relay));
            for (const std::string& name : {name_of(c_, held->relay), name_of(c_, held->by)})
                if (std::ranges::find(f.subjects, name) == f.subjects.end()) f.subjects.push_back(name);
            f.cures.push_back({charge_lamp_into(name_of(c_, held->by), name_of(c_, held->relay), false)});
        } else {
            f.cures.push_back({fmt::format(
                "Feed {} over the key alone: part it from what feeds it now, or put a diode there.", life())});
        }
        report_.findings.push_back(std::move(f));
    }

    /// Does the way lead over anything that lets little current through: a lamp, a resistor?
    bool passes_something(const std::vector<EdgeRef>& way) const {
        return std::ranges::any_of(way, [&](const EdgeRef& e) { return !e.is_wire() && is_load(c_.at(e.primitive)); });
    }

    /// Back through a lamp comes too little for what keeps an engine alive, unless that takes next to nothing itself.
    bool too_little_comes_back(const solve::Point& point) const {
        const Volts system = c_.vehicle.system;
        const Amps back = Watts{3} / system; // what a lamp of 3 W lets through at most
        bool too_little = true;
        for (PrimitiveId p : s_.now.primitives())
            if (const auto& amps = point.primitive_amps[p.index]; c_.at(p).part == c_.engine->fed_part && amps)
                if (const auto& volts = point.primitive_volts[p.index]; volts && std::abs(amps->si) > 0)
                    too_little = back.si * std::abs(volts->si / amps->si) < 0.4 * system.si;
        return too_little;
    }

    /// The wire to the lamp terminal without its lamp.
    static std::string charge_lamp_into(const std::string& terminal, const std::string& works, bool too_little) {
        return fmt::format("Put the charge lamp, 2 to 3 W, into the wire to {}, or a resistor of 50 to 100 ohm, 5 W: "
                           "it lets enough through to wake the alternator{}.",
                           terminal,
                           too_little ? ", and too little comes back over it to keep " + works + " at work"
                                      : "; and a diode with it, band towards the alternator, as " + works +
                                            " works with very little");
    }

    void nothing_stops_it() {
        const Engine& e = *c_.engine;
        const bool grounded = !e.fed.exists() && !e.fed_part.exists();
        Finding f = begin(grounded ? fmt::format("No switch stops the engine: nothing ever grounds {}.", life())
                                   : fmt::format("No switch stops the engine: {} is fed in every position.", life()));
        f.cites.push_back(e.fed_part.exists() ? cite_part(c_, e.fed_part)
                                              : cite_terminal(s_.now, e.fed.exists() ? e.fed : e.grounded));
        f.why = "Once it runs it can only be stalled, or its fuel shut off.";
        for (PartId part : s_.now.parts())
            if (is_points(c_.at(part))) {
                f.why += fmt::format(" {}, which the engine itself opens and closes, is no switch to stop it with.",
                                     sentence_start(called(c_, part)));
                break;
            }
        f.cures.push_back(
            {grounded ? fmt::format("Wire {} to ground over a switch; look for an open end in the kill wire.", life())
                      : fmt::format("Feed {} over a switch.", life())});
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const solve::Behaviour& b_;
    Report& report_;
};

void run(const Study& s, Report& report) {
    if (!s.circuit.engine || !s.circuit.engine->kept_alive()) return;
    if (Ends(s).doubtful())
        return report.not_checked.push_back(
            open_until_mended(engine_cannot_be_stopped.id, "whether the engine can be stopped"));
    const Survey* survey = survey_or_say(s, report, engine_cannot_be_stopped.id, "whether the engine can be stopped");
    if (survey) Judge(s, survey->behaviour, report).run();
}

} // namespace

const Rule engine_cannot_be_stopped = {
    "engine-cannot-be-stopped",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "an engine that runs on with its key off",
    "danger; a fault where only a main switch leaves it running; undecided where that hangs on what nobody drew; "
    "only where the file says what keeps the engine alive: engine, runs while Y1 is fed",
    {
        "With the key off, what keeps the engine alive stays fed; or no switch position grounds the kill wire.",
        "An engine that its key does not stop runs away from whoever works on it, and on after a crash.",
        "A diode in the charge lamp's wire, band towards the alternator; or feed what keeps the engine alive over the "
        "key alone.",
        "Half of its volts keep an ignition or a fuel cut-off working (common practice, no source). Where a terminal "
        "has them through a lamp alone "
        "and nothing drawn takes current there, it is undecided: what takes 1 A would get next to nothing. An "
        "alternator that runs gives up to 1 A at its lamp terminal (from memory). Pressing the brake, whose lamp draws "
        "down what "
        "hangs behind a charge lamp, counts as no way to stop an engine.",
        R"(loom 1
battery, 60 Ah
alternator G1, 65 A
starter M1, 150 A
switch S1 "ignition" { off* | run connects 30 with 15 | start connects 30 with 15 and 50, springs back }
fuse F1, 30 A
bus BB15
load Y1 "injection relay", 300 ohm
engine, runs while Y1 is fed
lamp H1 "charge lamp", 3 W
wire W1 from battery:+ to M1:30, 25 mm2 black, 1 m, starter cable
wire W2 from battery:+ to F1, 4 mm2 red, 0.1 m
wire W3 from F1 to S1:30, 4 mm2 red, 1 m
wire W4 from S1:50 to M1:50, 4 mm2 black, 1 m
wire W5 from S1:15 to BB15, 4 mm2 black, 1 m
wire W6 from BB15 to Y1, 4 mm2 black, 1 m
wire W7 from Y1 to ground, 4 mm2 brown, 0.5 m
wire W8 from BB15 to H1, 2.5 mm2 blue, 1 m
wire W9 from H1 to G1:L, 2.5 mm2 blue, 1 m
wire W10 from G1:B+ to battery:+, 10 mm2 red, 0.15 m
)",
        R"(loom 1
battery, 60 Ah
alternator G1, 65 A
starter M1, 150 A
switch S1 "ignition" { off* | run connects 30 with 15 | start connects 30 with 15 and 50, springs back }
fuse F1, 30 A
bus BB15
load Y1 "injection relay", 300 ohm
engine, runs while Y1 is fed
lamp H1 "charge lamp", 3 W
wire W1 from battery:+ to M1:30, 25 mm2 black, 1 m, starter cable
wire W2 from battery:+ to F1, 4 mm2 red, 0.1 m
wire W3 from F1 to S1:30, 4 mm2 red, 1 m
wire W4 from S1:50 to M1:50, 4 mm2 black, 1 m
wire W5 from S1:15 to BB15, 4 mm2 black, 1 m
wire W6 from BB15 to Y1, 4 mm2 black, 1 m
wire W7 from Y1 to ground, 4 mm2 brown, 0.5 m
diode V1, band on 2, one-way, 1 A
wire W8 from BB15 to V1:1, 2.5 mm2 blue, 0.9 m
wire W8b from V1:2 to H1, 2.5 mm2 blue, 0.1 m
wire W9 from H1 to G1:L, 2.5 mm2 blue, 1 m
wire W10 from G1:B+ to battery:+, 10 mm2 red, 0.15 m
)",
    },
    run,
};

} // namespace loomproof::rules
