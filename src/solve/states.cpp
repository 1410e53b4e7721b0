#include "solve/search.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::solve {

namespace {

void widen(std::optional<Extreme>& extreme, double value, StateId at) {
    if (!extreme) extreme = Extreme{value, value, at, at};
    // A difference that no meter shows is none: the shortest way wins.
    const double slack = 5e-4 * std::max(std::abs(extreme->low), std::abs(extreme->high));
    if (value < extreme->low - slack) extreme->low = value, extreme->low_at = at;
    if (value > extreme->high + slack) extreme->high = value, extreme->high_at = at;
}

} // namespace

Behaviour explore(const View& view, const ExploreOptions& options) {
    Behaviour out;
    out.conditions = options.conditions;
    Search search(view, options, out);
    search.run();
    out.model_ = std::make_shared<Model>(view, options.conditions);
    out.points_ = std::make_shared<Behaviour::Remembered>();
    out.not_known = out.model_->not_known();
    const Circuit& c = view.circuit();
    out.wire_amps.resize(c.wires.size());
    out.primitive_amps.resize(c.primitives.size());
    out.primitive_volts.resize(c.primitives.size());
    for (StateId s = 0; s < out.states.size(); ++s) {
        if (!out.states[s].stable) continue;
        // Solved once: what rules ask for later is told from this.
        const Model::Kept& kept =
            out.points_->all.emplace(s, out.model_->keep(out.states[s].positions, search.nodes(s))).first->second;
        const Point now = out.model_->told(out.states[s].positions, kept);
        const auto see = [&](std::optional<Extreme>& extreme, const auto& value, bool sign) {
            if (value) widen(extreme, sign ? value->si : std::abs(value->si), s);
        };
        for (WireId w : view.wires()) see(out.wire_amps[w.index], now.wire_amps[w.index], false);
        for (PrimitiveId p : view.primitives()) {
            see(out.primitive_amps[p.index], now.primitive_amps[p.index], false);
            see(out.primitive_volts[p.index], now.primitive_volts[p.index], true);
        }
        if (options.see) options.see(s, out.states[s], now);
    }
    return out;
}

} // namespace loomproof::solve
