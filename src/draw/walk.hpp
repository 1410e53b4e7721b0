#pragma once
/// What the search for an order works on, and the walk down the wires from which it begins. Inside matter of order.cpp and rows.cpp.

#include <cstddef>
#include <cstdint>
#include <vector>

namespace loomproof::draw {

/// One side of a node: the piece, the node at its other end, and the columns at both.
struct Touch {
    int other;
    int own_cell, other_cell;
};

struct Thing {
    int row = 0;
    int cells = 1;
    int mirror_cost = -1; ///< -1: may not be mirrored
    bool left_wanted = false;
    std::vector<Touch> above, below;
};

/// Down the wires from whatever nothing leads to, each branch to its end before the next. Branches of one node in the order of its pieces, or
/// where `rank` is given by that of the nodes they lead to.
struct Walk {
    std::vector<int> order;  ///< nodes as they are met
    std::vector<int> met;    ///< by node: when
    std::vector<int> branch; ///< by node: how many are met from there on down, itself included
};
Walk walk_down(const std::vector<Thing>& things, const std::vector<std::uint64_t>& rank = {});

/// The nodes from left to right as they stood in an earlier drawing; what is new (`place` below 0) near what it is wired to, ties as the
/// walk met them.
std::vector<int> by_home(const std::vector<Thing>& things, std::vector<double> place, const std::vector<int>& met);

} // namespace loomproof::draw
