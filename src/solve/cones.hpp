#pragma once
/// Which controls can have a say in the same thing: a circuit with too many switches to try them all together falls apart into groups.
///
/// With the *modes* in some position (the ignition, as a rule: what feeds many things), everything joined to a source by metal is the
/// backbone. The rest falls into *atoms*, with all their contacts closed: what hangs together without passing the backbone. What happens
/// in an atom hangs on its own contacts, and on whatever works their relays: the *cone* of its controls. An atom that touches no
/// live part of the backbone is dead, whatever its switches do. Groups are the largest cones of all live atoms over all positions of
/// the modes. But where the grounds that a dead atom touches differ enough in volts, current comes back through it all the same. Through the volts of the backbone the groups still feel one another: who explores them has to look at that (states.cpp).

#include "solve/model.hpp"

#include <cstdint>
#include <vector>

namespace loomproof::solve {

struct Variable;

struct Cones {
    std::vector<std::uint32_t> modes; ///< indices of variables, ascending
    struct Group {
        std::vector<std::uint32_t> variables; ///< of its own, ascending
        std::vector<std::uint16_t> relays;    ///< indices into Model::coils(), ascending
        bool operator==(const Group&) const = default;
    };
    std::vector<Group> groups;
    /// The cone of an atom that is dead in some position of the modes, has relays and touches several nodes of the ground.
    struct Dead {
        Group group;
        std::vector<std::uint32_t> grounds; ///< nodes, ascending
        bool operator==(const Dead&) const = default;
    };
    std::vector<Dead> dead;
    /// Positions of the own variables of the largest group, multiplied.
    double largest = 0;
};

/// Modes are chosen one after the other, as long as that makes the largest group smaller; no more than 64 positions of all of them together.
Cones find_cones(const Model&, const std::vector<Variable>&);

} // namespace loomproof::solve
