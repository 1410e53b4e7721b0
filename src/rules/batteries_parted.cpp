#include "rules/batteries_parted.hpp"

#include "rules/fault_current.hpp"

#include <algorithm>

namespace loomproof::rules {

Reach fed_from(const Study& s, TerminalId pole, std::span<const EdgeRef> without) {
    return s.graph.walk(
        std::vector{pole},
        [&](EdgeRef e, TerminalId t) {
            return std::ranges::find(without, e) == without.end() && carries_fault(s, e, t, Protectors::pass);
        },
        &Edge::metres, Positions::one_per_control);
}

std::optional<std::vector<EdgeRef>> joins_between(const Study& s, const BatteryPoles& first, const BatteryPoles& more) {
    const Circuit& c = s.circuit;
    std::vector<EdgeRef> found;
    const auto can_be_open = [&](EdgeRef e) {
        return !e.is_wire() &&
               (c.at(e.primitive).element == Element::contact || c.at(e.primitive).element == Element::junction);
    };
    for (;;) {
        const Reach reach = fed_from(s, more.live, found);
        if (!reach.reached(first.live)) break;
        EdgeRef open;
        bool relay = false;
        for (EdgeRef e : reach.path_to(first.live)) {
            if (!can_be_open(e)) continue;
            const bool relays = c.at(c.at(e.primitive).part).kind == Kind::relay;
            if (!relay || relays) open = e;
            relay = relay || relays;
        }
        if (!open.exists()) return std::nullopt;
        found.push_back(open);
    }
    for (;;) {
        const Reach reach = fed_from(s, first.live, found);
        if (!reach.reached(more.live)) return found;
        const std::vector<EdgeRef> way = reach.path_to(more.live);
        const auto open = std::ranges::find_if(way, can_be_open);
        if (open == way.end()) return std::nullopt;
        found.push_back(*open);
    }
}

} // namespace loomproof::rules
