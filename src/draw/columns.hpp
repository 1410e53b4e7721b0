#pragma once
/// Which column everything stands in: the bends are decided here.

#include "base/result.hpp"
#include "draw/weave.hpp"

namespace loomproof::draw {

struct ColumnsFound {
    int columns = 0; ///< width of the drawing
    int slanted = 0; ///< pieces whose two ends are in different columns: two bends each
    int shift = 0;   ///< with homes: the column in which column 0 of these is now
};

/// What each piece's sideways distance weighs, by piece. Empty: by what the piece joins.
using PieceWeights = std::vector<int>;

/// Columns that something is drawn to, because it stood there before: a node's left end by node, the ends of pieces by piece; -1 = none.
struct ColumnHomes {
    std::vector<int> left, upper, lower;
};

/// Weights for another round: pieces that stayed slanted weigh little, because a jog is a jog whatever its length; those that
/// are straight keep their weight. Rounds of this come near the fewest bends, which no linear problem can ask for at once.
PieceWeights lighter_where_slanted(const Weave& weave);

/// Wire ends whose text on the right pushes them to the left of where their wire comes from get it on the left instead. True
/// where any did; the columns are then to be found anew, and may be worse.
bool turn_texts_aside(Weave& weave);

/// Fills in `left` and `right` of every node and the columns of every piece, for the rows as they are. The weighted sum of the
/// sideways distances of all pieces is the smallest possible, bars stretching over their wires included: everything is one
/// linear problem on whole columns, solved by network simplex (the method of Gansner, Koutsofios, North and Vo, "A technique
/// for drawing directed graphs", 1993, with the widths of bars as further unknowns). Fails only where no columns could be found.
Result<ColumnsFound> find_columns(const Sketch& sketch, Weave& weave, const PieceWeights& weights = {},
                                  const ColumnHomes* homes = nullptr);

/// Everything in its home, where all have one and have room there: what find_columns fills in for that. False, and the weave is as it was, where
/// they have not.
bool put_home(const Sketch& sketch, Weave& weave, const ColumnHomes& homes);

/// What a piece's sideways distance weighs.
int weight_of(const Weave& weave, const Piece& piece);

} // namespace loomproof::draw
