#pragma once
/// Which column everything stands in: the bends are decided here.

#include "base/result.hpp"
#include "draw/weave.hpp"

namespace loomproof::draw {

struct ColumnsFound {
    int columns = 0; ///< width of the drawing
    int slanted = 0; ///< pieces whose two ends are in different columns: two bends each
};

/// Fills in `left` and `right` of every node and the columns of every piece, for the rows as they are. The weighted sum of the
/// sideways distances of all pieces is the smallest possible, bars stretching over their wires included: everything is one
/// linear problem on whole columns, solved by network simplex (the method of Gansner, Koutsofios, North and Vo, "A technique
/// for drawing directed graphs", 1993, with the widths of bars as further unknowns). Fails only where the layout library does.
Result<ColumnsFound> find_columns(const Sketch& sketch, Weave& weave);

} // namespace loomproof::draw
