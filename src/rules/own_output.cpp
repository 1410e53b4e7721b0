#include "rules/own_output.hpp"

#include "rules/fault_current.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <vector>

namespace loomproof::rules {

namespace {

/// Does current get on from there, whatever closes, without this relay and without this wire?
Reach reach_without(const Study& s, std::vector<TerminalId> from, PartId relay, WireId wire) {
    return s.graph.walk(
        from,
        [&](EdgeRef e, TerminalId at) {
            if (e.is_wire() ? e.wire == wire : s.circuit.at(e.primitive).part == relay) return false;
            return carries_fault(s, e, at, Protectors::pass);
        },
        [](EdgeRef) { return 0.0; });
}

bool feeds_a_load(const Study& s, const Reach& reach, PartId relay) {
    return std::ranges::any_of(s.now.primitives(), [&](PrimitiveId id) {
        const Primitive& p = s.circuit.at(id);
        return is_load(p) && p.part != relay && p.purpose != Purpose::leak && reach.reached(p.a) != reach.reached(p.b);
    });
}

} // namespace

std::optional<OwnOutput> own_output_at(const Study& s, PrimitiveId coil) {
    const Circuit& c = s.circuit;
    const Primitive& winding = c.at(coil);
    const PartId relay = winding.part;
    for (TerminalId output : c.at(relay).terminals) {
        if (c.at(output).role != Role::make || s.now.wires_at(output).empty()) continue;
        const Reach way = s.graph.walk(
            std::vector{output},
            [&](EdgeRef e, TerminalId from) {
                if (s.reference[from.index] || s.reference[other_end(c, e, from).index]) return false;
                if (e.is_wire()) return !c.at(e.wire).poisoned;
                const Primitive& p = c.at(e.primitive);
                return p.part != relay && (p.element == Element::joint || p.element == Element::protector ||
                                           p.element == Element::meter || c.at(p.part).kind == Kind::resistor);
            },
            &Edge::metres);
        for (const TerminalId end : {winding.a, winding.b}) {
            if (!way.reached(end)) continue;
            OwnOutput found{output, end, end == winding.a ? winding.b : winding.a, {}, false};
            const std::vector<TerminalId> poles = live_poles(s, false);
            const Reach fed = reach_without(s, poles, relay, {});
            found.is_return = fed.reached(found.other) && !fed.reached(end);
            for (EdgeRef e : way.path_to(end)) {
                if (!e.is_wire() || found.is_return) continue;
                if (!feeds_a_load(s, reach_without(s, {output}, relay, e.wire), relay) ||
                    !reach_without(s, poles, relay, e.wire).reached(end))
                    continue;
                found.to_take_off = e.wire;
                break;
            }
            return found;
        }
    }
    return std::nullopt;
}

} // namespace loomproof::rules
