#pragma once
/// Which wires of a plug are on the same half.

#include "circuit/view.hpp"

#include <vector>

namespace loomproof::draw {

/// The text gives a hole its wires in any order: `through X7:1` and back `through X7:2` come from opposite sides. What the wires lead to
/// tells which belong together.
struct Halves {
    bool decided = false;      ///< false: nothing ties the holes together, or what is on one half is on the other too
    bool supply_known = false; ///< the first half is the one towards the battery
    std::vector<bool> swapped; ///< by hole: its second terminal is on the first half
};

Halves halves_of(const View& view, PartId connector);

} // namespace loomproof::draw
