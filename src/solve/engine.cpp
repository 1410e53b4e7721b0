/// What the engine does and what keeps it alive, in a solution.

#include "solve/model.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace loomproof::solve {

namespace {

constexpr double fed_from =
    0.5; ///< of its volts: an ignition coil, a fuel cut-off still works (common practice, no source)
constexpr double turns_from = 0.25; ///< of its volts: a starter that turns at all

constexpr std::pair<const char*, EngineDoes> names[] = {{"stopped", EngineDoes::nothing},
                                                        {"cranking", EngineDoes::cranks},
                                                        {"idling", EngineDoes::idles},
                                                        {"running", EngineDoes::runs}};

} // namespace

EngineDoes Model::engine_does(const Positions& positions) const {
    if (!engine_) return conditions_.engine_running ? EngineDoes::runs : EngineDoes::nothing;
    const std::string& word = circuit().at(*engine_).positions[positions[engine_->index]];
    return std::ranges::find(names, word, [](const auto& n) { return std::string(n.first); })->second;
}

std::optional<std::uint8_t> Model::engine_position(EngineDoes does) const {
    if (!engine_) return std::nullopt;
    const auto& all = circuit().at(*engine_).positions;
    for (std::size_t i = 0; i < all.size(); ++i)
        for (const auto& [word, meaning] : names)
            if (meaning == does && all[i] == word) return static_cast<std::uint8_t>(i);
    return std::nullopt;
}

bool Model::starter_turns(std::span<const double> nodes) const { return starter_has(turns_from, nodes); }

bool Model::starter_has(double share, std::span<const double> nodes) const {
    const Circuit& c = circuit();
    return std::ranges::any_of(starters_, [&](PrimitiveId id) {
        const Primitive& p = c.at(id);
        return std::abs(nodes[node_of_[p.a.index]] - nodes[node_of_[p.b.index]]) > share * c.vehicle.system.si;
    });
}

bool Model::engine_lives(const Positions& positions, std::span<const double> nodes) const {
    const Circuit& c = circuit();
    if (!c.engine || !c.engine->kept_alive()) return true;
    const Engine& engine = *c.engine;
    const double least = fed_from * c.vehicle.system.si;
    if (engine.fed.exists() &&
        (node_of_[engine.fed.index] == no_node || std::abs(nodes[node_of_[engine.fed.index]]) < least))
        return false;
    if (engine.fed_part.exists()) {
        const bool fed = std::ranges::any_of(view_.primitives(), [&](PrimitiveId id) {
            const Primitive& p = c.at(id);
            const bool load = p.element == Element::resistance || p.element == Element::filament ||
                              p.element == Element::machine || p.element == Element::constant_power;
            return p.part == engine.fed_part && load &&
                   std::abs(nodes[node_of_[p.a.index]] - nodes[node_of_[p.b.index]]) >= least;
        });
        if (!fed) return false;
    }
    if (!engine.grounded.exists()) return true;
    // A kill wire kills over metal alone, not over a load.
    std::vector<std::uint32_t> parent(c.terminals.size());
    std::iota(parent.begin(), parent.end(), 0U);
    const auto root = [&](std::uint32_t t) {
        while (parent[t] != t) t = parent[t] = parent[parent[t]];
        return t;
    };
    for (WireId w : view_.wires()) parent[root(c.at(w).a.index)] = root(c.at(w).b.index);
    for (PrimitiveId id : view_.primitives()) {
        const Primitive& p = c.at(id);
        const bool metal = p.element == Element::joint || p.element == Element::protector ||
                           p.element == Element::meter || (p.element == Element::contact && is_closed(p, positions));
        if (metal) parent[root(p.a.index)] = root(p.b.index);
    }
    return reference_.exists() && root(engine.grounded.index) != root(reference_.index);
}

} // namespace loomproof::solve
