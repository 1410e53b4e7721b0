#pragma once
/// How the supply runs from the battery to the fuses, as rows of a tree.

#include "draw/sketch.hpp"

#include <vector>

namespace loomproof::draw {

/// One row of the supply's tree.
struct Branch {
    int symbol = 0;
    int depth = 0;
    bool last = false; ///< no other below the same one follows
};

/// The way from the batteries to the fuses, top down: what protects, shares out or switches the feed, and what hangs on it without a fuse.
/// Wires, plugs and joints are passed over; a thing that two ways lead to stands once, where it is met first. Sketches without a battery
/// begin at their feeds. A fuse with no other fuse behind it ends its branch.
std::vector<Branch> supply_tree(const Sketch& sketch);

} // namespace loomproof::draw
