#pragma once
/// The ground lead of a battery against what may flow over it: shorts behind its fuses, and what charges it.

#include "rules/rule.hpp"

#include <vector>

namespace loomproof::rules {

/// Wires that alone join a battery's ground pole to the metal or to the ground of what charges it: a danger where a dead short behind the largest
/// of the battery's first fuses spoils the wire before that fuse is through, a fault where it carries less than half of what an alternator
/// gives. Reported under ground-undersized; starter and winch cables, series batteries and wires of unknown size are left out.
void judge_battery_returns(const Study&, Report&);

/// A wire of a battery's ground lead, and the largest of that battery's first fuses: what the wire has to carry.
struct FuseOverReturn {
    WireId wire;
    PrimitiveId fuse;
};
std::vector<FuseOverReturn> fuses_over_battery_returns(const Study&);

} // namespace loomproof::rules
