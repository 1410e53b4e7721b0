#include "solve/states.hpp"

#include "base/words.hpp"

#include <algorithm>

namespace loomproof::solve {

std::vector<Variable> variables_of(const Model& model) {
    const Circuit& c = model.circuit();
    std::vector<Variable> all;
    for (ControlId id : model.controls()) {
        const Control& control = c.at(id);
        if (control.type == Control::Type::relay || control.positions.size() < 2) continue;
        const auto same = [&](const Variable& v) {
            const Control& first = c.at(v.controls.front());
            return control.type == Control::Type::condition && first.type == Control::Type::condition &&
                   equal_ignoring_case(first.name, control.name);
        };
        const auto known = std::ranges::find_if(all, same);
        if (known != all.end())
            known->controls.push_back(id);
        else
            all.push_back({{id}});
    }
    return all;
}

std::vector<Operation> Behaviour::way_to(StateId s) const {
    std::vector<Operation> way;
    while (states[s].by) {
        way.push_back(*states[s].by);
        s = states[s].before;
    }
    std::ranges::reverse(way);
    return way;
}

const Point& Behaviour::told(StateId s) const {
    Remembered& r = *points_;
    if (r.last && r.last->first == s) return r.last->second;
    auto known = r.all.find(s);
    if (known == r.all.end()) known = r.all.emplace(s, model_->keep(states[s].positions)).first;
    r.last.emplace(s, model_->told(states[s].positions, known->second));
    return r.last->second;
}

Point Behaviour::point(StateId s) const { return told(s); }

std::optional<Volts> Behaviour::volts_over(StateId s, PrimitiveId over) const {
    return told(s).primitive_volts[over.index];
}

std::optional<Amps> Behaviour::amps_through(StateId s, PrimitiveId through) const {
    return told(s).primitive_amps[through.index];
}

std::optional<Amps> Behaviour::amps_through(StateId s, WireId through) const {
    return told(s).wire_amps[through.index];
}

std::size_t Behaviour::remembered() const {
    std::size_t bytes = 0;
    for (const auto& [s, kept] : points_->all)
        bytes +=
            sizeof kept + sizeof(double) * (kept.volts.capacity() + kept.amps.capacity()) + kept.island.capacity() / 8;
    return bytes;
}

std::optional<StateId> Behaviour::find(const Positions& wanted) const {
    const auto key = [&](const Positions& positions) {
        Positions of_hands;
        for (const Variable& v : variables) of_hands.push_back(positions[v.controls.front().index]);
        return of_hands;
    };
    Remembered& known = *points_;
    for (; known.indexed < states.size(); ++known.indexed)
        if (const State& state = states[known.indexed]; state.stable)
            known.by_hand.try_emplace(key(state.positions), known.indexed);
    const auto found = known.by_hand.find(key(wanted));
    return found == known.by_hand.end() ? std::nullopt : std::optional(found->second);
}

} // namespace loomproof::solve
