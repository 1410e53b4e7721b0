#include "circuit/wishes.hpp"
#include "solve/predict.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <bit>

namespace loomproof::solve {

namespace {

constexpr std::size_t most_situations = 4096;

std::string relays_in_words(const Circuit& c, const Model& model, const std::vector<std::uint16_t>& relays) {
    std::vector<std::string> names;
    for (std::uint16_t r : relays) names.push_back(name_of(c, c.at(model.coils()[r].control).part));
    return list_of(names);
}

} // namespace

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
    for (const Wish::At& w : wish.at) {
        const Control& control = c.at(w.control);
        if (control.type == Control::Type::relay || w.positions == 0) continue;
        const auto wanted = static_cast<std::uint8_t>(std::countr_zero(w.positions));
        if (control.type == Control::Type::engine) continue;
        std::uint8_t& at = out.positions[w.control.index];
        while (at != wanted) {
            at = static_cast<std::uint8_t>(at < wanted ? at + 1 : at - 1);
            settle();
        }
    }
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
    for (const Wish::At& w : wish.at)
        if (c.at(w.control).type != Control::Type::engine && (w.positions >> out.positions[w.control.index] & 1) == 0) {
            const Control& control = c.at(w.control);
            note(name_of(c, control.part) + " is not " +
                 control.positions[static_cast<std::size_t>(std::countr_zero(w.positions))] + " with the switches so.");
        }
    return out;
}

} // namespace loomproof::solve
