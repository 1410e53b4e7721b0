#include "circuit/kind.hpp"
#include "circuit/wishes.hpp"
#include "solve/ignition.hpp"
#include "solve/predict.hpp"

#include "base/number.hpp"
#include "base/words.hpp"

#include <algorithm>
#include <bit>
#include <initializer_list>
#include <optional>
#include <string_view>

namespace loomproof::solve {

namespace {

constexpr std::size_t most_situations = 4096;

std::string relays_in_words(const Circuit& c, const Model& model, const std::vector<std::uint16_t>& relays) {
    std::vector<std::string> names;
    for (std::uint16_t r : relays) names.push_back(name_of(c, c.at(model.coils()[r].control).part));
    return list_of(names);
}

bool named(const Circuit& c, const Wish& wish, ControlId id) {
    return std::ranges::any_of(wish.at, [&](const Wish::At& w) {
        const Control &x = c.at(w.control), &y = c.at(id);
        return w.control == id ||
               (x.type == Control::Type::condition && y.type == x.type && equal_ignoring_case(x.name, y.name));
    });
}

/// A relay that reads the volts of the alternator.
bool senses_charging(const Circuit& c, const Control& control) {
    return std::ranges::any_of(
        c.primitives, [&](const Primitive& p) { return p.part == control.part && p.purpose == Purpose::sensing; });
}

/// Outside conditions that hold because the engine runs, "charging", "engine running", and relays that read the alternator's volts.
std::vector<Wish::At> what_a_running_engine_brings(const View& view) {
    const Circuit& c = view.circuit();
    std::vector<Wish::At> all;
    for (std::size_t i = 0; i < c.controls.size(); ++i) {
        const Control& control = c.at(ControlId{i});
        if (!control.part.exists() || !view.alive(control.part)) continue;
        if (control.type == Control::Type::sensed && senses_charging(c, control)) all.push_back({ControlId{i}, 2, {}});
        if (control.type != Control::Type::condition) continue;
        const bool charges = speaks_of(control.name, {"charging", "charges"});
        const bool runs = speaks_of(control.name, {"engine"}) && speaks_of(control.name, {"running", "runs"});
        if ((charges || runs) && !speaks_of(control.name, {"not", "no", "off", "stopped", "fault", "lamp"}))
            all.push_back({ControlId{i}, 2, {}});
    }
    return all;
}

/// The control that nobody named and that, turned to a position in which it stays, feeds what keeps the engine alive. Nothing where that is fed
/// already, or where none does it alone.
std::optional<Wish::At> what_keeps_it_alive(Model& model, const Wish& wish, const Positions& now) {
    const Circuit& c = model.circuit();
    const auto lives = [&](const Positions& p) { return model.engine_lives(p, model.quick(p).nodes); };
    if (lives(now)) return std::nullopt;
    for (std::size_t i = 0; i < c.controls.size(); ++i) {
        const ControlId id{i};
        if (named(c, wish, id)) continue;
        for (std::size_t at = 0; at < c.at(id).positions.size(); ++at) {
            if (!can_be_left(c.at(id), at)) continue;
            Positions p = now;
            p[i] = static_cast<std::uint8_t>(at);
            if (lives(p)) return Wish::At{id, std::uint64_t{1} << at, {}};
        }
    }
    return std::nullopt;
}

} // namespace

std::string engine_of_conditions(const View& view, Wish& wish) {
    const Circuit& c = view.circuit();
    const bool said = wish.engine_running || std::ranges::any_of(wish.at, [&](const Wish::At& w) {
                          return c.at(w.control).type == Control::Type::engine;
                      });
    if (said) return {};
    for (const Wish::At& brought : what_a_running_engine_brings(view)) {
        if (std::ranges::none_of(wish.at,
                                 [&](const Wish::At& w) { return w.control == brought.control && w.positions == 2; }))
            continue;
        if (c.engine) {
            const Control& engine = c.at(c.engine->control);
            wish.at.push_back({c.engine->control, std::uint64_t{1} << (engine.positions.size() - 1), {}});
        } else {
            wish.engine_running = true;
        }
        const std::string name = solve::said(c, brought.control);
        if (is_engine_condition(c.at(brought.control).name)) return {}; // says just that
        return "With " + name + " the engine is taken to run; if it does not, say \"engine stopped, " + name + "\".";
    }
    return {};
}

Arrived arrive(const View& view, const Wish& wish, const Conditions& asked) {
    const Circuit& c = view.circuit();
    Conditions conditions = asked;
    conditions.warmed = false;
    Model model(view, conditions);
    Situations all(model, {}, most_situations);
    Arrived out;
    out.positions = at_rest(c);
    const auto note = [&](std::string text) {
        if (std::ranges::find(out.notes, text) == out.notes.end()) out.notes.push_back(std::move(text));
    };
    const auto settle = [&] {
        const auto start = all.find(out.positions);
        if (!start) return;
        const Settled s = all.settle(*start);
        if (!all.at(*start).solved) note("The volts could not be worked out here; nothing of this can be relied on.");
        for (const Chatter& chatter : s.chatter)
            note(relays_in_words(c, model, chatter.relays) +
                 (chatter.certain ? " chatters: it goes in and out and never comes to rest."
                                  : " may chatter: whether it does depends on the relay."));
        if (s.race()) note("Which relay is faster decides where this ends; one of the ways is shown.");
        if (s.on_limits())
            note("Where a relay lies within its limits decides where this ends; one of the ways is shown.");
        out.settled = !s.ends.empty();
        if (out.settled)
            out.positions = all.at(s.ends.front()).positions;
        else if (!s.chatter.empty())
            out.positions = all.at(s.chatter.front().situations.front()).positions;
    };
    settle();
    const auto turn = [&](const Wish::At& w) {
        const auto wanted = static_cast<std::uint8_t>(std::countr_zero(w.positions));
        std::uint8_t& at = out.positions[w.control.index];
        while (at != wanted) {
            at = static_cast<std::uint8_t>(at < wanted ? at + 1 : at - 1);
            settle();
        }
    };
    const auto turn_key = [&](const Wish::At& w) {
        const Control& control = c.at(w.control);
        const std::string name = said(c, w.control);
        const bool condition = control.type == Control::Type::condition;
        turn(w);
        if (condition && is_engine_condition(control.name)) return; // that is the same thing
        note("The engine runs, so " + name + " is taken to " +
             (condition ? std::string("hold") : "stand at " + control.positions[out.positions[w.control.index]]) +
             "; if it does not, say \"engine running, " + name + " " +
             (condition ? std::string("no") : control.positions[control.rest]) + "\".");
    };
    const bool kept_alive = c.engine && c.engine->kept_alive();
    const bool to_run = wish.engine_running.value_or(false) || std::ranges::any_of(wish.at, [&](const Wish::At& w) {
                            if (c.at(w.control).type != Control::Type::engine || w.positions == 0) return false;
                            const std::string& highest = c.at(w.control).positions[std::bit_width(w.positions) - 1U];
                            return highest == "running" || highest == "idling";
                        });
    if (to_run && !kept_alive)
        if (const std::vector<Wish::At> key = ignition_on(view);
            std::ranges::none_of(key, [&](const Wish::At& w) { return named(c, wish, w.control); }))
            for (const Wish::At& w : key) turn_key(w);
    for (const Wish::At& w : wish.at) {
        const Control& control = c.at(w.control);
        if (control.type != Control::Type::relay && control.type != Control::Type::engine && w.positions != 0) turn(w);
    }
    if (to_run && kept_alive)
        if (const std::optional<Wish::At> key = what_keeps_it_alive(model, wish, out.positions)) turn_key(*key);
    // The engine last: started with the switches as they then stand.
    for (const Wish::At& w : wish.at) {
        if (c.at(w.control).type != Control::Type::engine || w.positions == 0) continue;
        out.positions[w.control.index] = static_cast<std::uint8_t>(std::bit_width(w.positions) - 1);
        settle();
        const Model::Quick now = model.quick(out.positions);
        const bool runs = model.engine_does(out.positions) != EngineDoes::nothing;
        if (!runs || model.engine_does(out.positions) == EngineDoes::cranks ||
            model.engine_lives(out.positions, now.nodes))
            continue;
        note("The engine does not run with the switches so: what keeps it alive is not there.");
        out.positions[w.control.index] = c.at(w.control).rest;
        settle();
    }
    if (const EngineDoes does = model.engine_does(out.positions);
        to_run && (does == EngineDoes::runs || does == EngineDoes::idles))
        for (const Wish::At& w : what_a_running_engine_brings(view))
            if (!named(c, wish, w.control)) turn_key(w);
    const auto stands_so = [&](const Wish::At& w) { return (w.positions >> out.positions[w.control.index] & 1) != 0; };
    // A relay that nobody can set may hold all the same once it is so.
    for (const Wish::At& w : wish.at) {
        if (c.at(w.control).type != Control::Type::relay || w.positions == 0 || stands_so(w)) continue;
        Positions p = out.positions;
        p[w.control.index] = static_cast<std::uint8_t>(std::countr_zero(w.positions));
        const auto held = all.find(p);
        if (!held || !all.at(*held).stable()) continue;
        out.positions = p;
        const auto relay = std::ranges::find(model.coils(), w.control, &Coil::control);
        const auto index = static_cast<std::size_t>(relay - model.coils().begin());
        const bool may_leave =
            std::ranges::any_of(all.at(*held).moves, [&](const Move& m) { return m.relay == index; });
        const std::string name = name_of(c, c.at(w.control).part), so = c.at(w.control).positions[p[w.control.index]];
        note(name + " does not come to be " + so + " by the switches as you set them; once it is, it " +
             (may_leave ? "may stay so: " + figure(all.at(*held).coil_volts[index]) +
                              " V at its coil leave it open, relays differ. Shown as if it stays."
                        : "stays so. Shown like that."));
    }
    for (const Wish::At& w : wish.at)
        if (c.at(w.control).type != Control::Type::engine && !stands_so(w)) {
            const Control& control = c.at(w.control);
            note(name_of(c, control.part) + " is not " +
                 control.positions[static_cast<std::size_t>(std::countr_zero(w.positions))] + " with the switches so.");
        }
    // What latches or runs by the clock is nobody's to work out: it stands as the wish has it, else at rest.
    for (ControlId id : model.controls()) {
        const Control& control = c.at(id);
        if (control.type != Control::Type::sensed || c.at(control.part).kind != Kind::relay || named(c, wish, id))
            continue;
        const std::string name = name_of(c, control.part);
        if (senses_charging(c, control)) {
            note(name + " goes by the volts that it reads, and no line says what the engine does. Shown " +
                 control.positions[out.positions[id.index]] + ", as it stands with the engine " +
                 (out.positions[id.index] != control.rest ? "running." : "stopped."));
            continue;
        }
        note(name + " latches or runs by the clock: how it stands is not worked out. Shown " +
             control.positions[out.positions[id.index]] + "; for the other case add \"" + name + " " +
             control.positions[out.positions[id.index] == 0 ? control.positions.size() - 1 : 0] + "\".");
    }
    return out;
}

} // namespace loomproof::solve
