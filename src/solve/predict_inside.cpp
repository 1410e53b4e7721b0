#include "solve/predict_inside.hpp"

#include "base/number.hpp"
#include "solve/part_models.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::solve {

Arrived as_wished(const View& view, Wish wish, Conditions& conditions) {
    const std::string note = engine_of_conditions(view, wish);
    conditions.engine_running = wish.engine_running.value_or(conditions.engine_running);
    Arrived arrived = arrive(view, wish, conditions);
    if (!note.empty()) arrived.notes.insert(arrived.notes.begin(), note);
    return arrived;
}

SoonOver make_model(std::optional<Model>& model, const View& view, Conditions& conditions, const Positions& positions) {
    model.emplace(view, conditions);
    if (model->engine_does(positions) != EngineDoes::cranks && !model->starter_turns(model->quick(positions).nodes))
        return SoonOver::no;
    if (conditions.warmed) {
        conditions.warmed = false;
        model.emplace(view, conditions);
    }
    return SoonOver::a_starter_turns;
}

std::vector<NotKnown> contacts_not_known(const View& view, const std::vector<std::optional<Amps>>& amps) {
    const Circuit& c = view.circuit();
    std::vector<NotKnown> out;
    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = c.at(id);
        const Kind kind = c.at(p.part).kind;
        const bool of_a_part = kind == Kind::switching || kind == Kind::relay;
        if (p.element != Element::contact || !of_a_part || p.resistance.known() || p.rating.known() ||
            !amps[id.index] || std::ranges::find(out, p.part, &NotKnown::part) != out.end())
            continue;
        const bool relay = p.purpose == Purpose::make_contact || p.purpose == Purpose::rest_contact;
        const Ohms taken{relay ? relay_contact_ohms : switch_contact_ohms};
        if (const Volts lost = taken * Amps{std::abs(amps[id.index]->si)}; lost > Volts{contact_drop_volts})
            out.push_back({{}, p.part, "rating of the contact", text(taken) + ", so " + text(lost)});
    }
    return out;
}

} // namespace loomproof::solve
