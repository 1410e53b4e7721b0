#include "rules/simplest.hpp"

#include <ranges>

namespace loomproof::rules {

solve::StateId simplest(const solve::Behaviour& behaviour, const Circuit& c, solve::StateId at,
                        const std::function<bool(solve::StateId)>& still) {
    for (bool simpler = true; simpler;) {
        simpler = false;
        for (const solve::Variable& v : behaviour.variables | std::views::reverse) {
            const ControlId first = v.controls.front();
            solve::Positions wanted = behaviour.states[at].positions;
            if (wanted[first.index] == c.at(first).rest) continue;
            for (ControlId control : v.controls) wanted[control.index] = c.at(control).rest;
            const auto there = behaviour.find(wanted);
            if (!there || !still(*there)) continue;
            at = *there;
            simpler = true;
        }
    }
    return at;
}

} // namespace loomproof::rules
