#pragma once
/// Who stands where in each row, and which symbols are mirrored: the crossings are decided here.
///
/// The method is the classic one for layered drawings (barycentre sweeps, then exchanges of neighbours and sifting, counted to the
/// very pin), started over and over from different rows and with fading noise, and limited by the number of starts, never by a
/// clock: the same sketch gives the same drawing. First of all whole branches find their places (blocks.hpp).
///
/// It keeps calm, too: chance comes from the names of symbols and wires, not from how many there are, and of arrangements that cost the
/// same those win in which the fewest pairs stand the other way round than a walk down the wires in the order of the text meets them.
/// One wire more leaves most of a drawing as it was.

#include "draw/walk.hpp"
#include "draw/weave.hpp"

#include <cstdint>
#include <vector>

namespace loomproof::draw {

struct Arrangement {
    std::vector<std::vector<int>> rows; ///< nodes from left to right
    std::vector<bool> mirrored;         ///< by node
    int crossings = 0;
    int cost = 0;          ///< crossings and mirrored relays, weighted
    bool flawless = false; ///< nothing crosses, nothing is mirrored
    bool settled = false;  ///< no single node is better elsewhere in its row, or mirrored
    int turned = 0;        ///< pairs in a row that stand the other way round than the walk meets them

    bool operator==(const Arrangement& o) const { return rows == o.rows && mirrored == o.mirrored; }
};

struct OrderOptions {
    int starts = 0; ///< 0 = as many as the size of the sketch allows
    std::uint64_t seed = 1;
    std::size_t keep = 4;           ///< how many different arrangements of the lowest cost are returned at most
    bool relays_either_way = false; ///< to see what the same way round costs
};

/// At least one arrangement; all have the same, lowest cost found, the calmest first. Precondition: the weave has rows.
std::vector<Arrangement> arrange(const Sketch& sketch, const Weave& weave, const OrderOptions& options);

/// What the search works on; index: nodes.
std::vector<Thing> things_of(const Sketch& sketch, const Weave& weave, bool relays_either_way);

/// Puts an arrangement into the weave: rows, mirroring, and which of a terminal's wires gets which of its pins.
void apply(Weave& weave, const Arrangement& arrangement);

} // namespace loomproof::draw
