#pragma once
/// From a sketch to rows: every wire becomes a chain of pieces, each from one row to the next, always downwards.
///
/// A wire that cannot run downwards (both its ends on bottom edges, or the directions run in a circle) is led around through a
/// turn, a bend of its own that stands in a row like a symbol. A wire that skips rows passes them in a column of its own.

#include "base/result.hpp"
#include "draw/body.hpp"
#include "draw/kept.hpp"
#include "draw/levels.hpp"

#include <vector>

namespace loomproof::draw {

struct Node {
    enum class Type : std::uint8_t {
        body, ///< a symbol with a body
        bar,  ///< splice, bus, metal: as wide as its wires ask
        turn, ///< a bend of one wire: both its pieces are on the same side
        pass, ///< a wire on its way through the row
    } type{};
    int symbol = -1; ///< body, bar
    int wire = -1;   ///< turn, pass
    int row = 0;
    std::vector<int> above, below; ///< pieces that meet it on its upper and lower side

    // Filled in by the ordering and the columns.
    bool mirrored = false;   ///< an end (a cap, "not drawn here"): its text stands on the left
    int left = 0, right = 0; ///< first and last column
};

struct Piece {
    int wire = 0;
    int upper = 0, lower = 0;               ///< nodes
    int upper_pin = -1, lower_pin = -1;     ///< index into the body's pins; -1 on passes and turns
    int upper_column = 0, lower_column = 0; ///< filled in by the columns
};

struct Weave {
    std::vector<Body> bodies; ///< by symbol
    std::vector<Node> nodes;  ///< nodes[s] is symbol s; then turns and passes
    std::vector<Piece> pieces;
    std::vector<std::vector<int>> chains; ///< by wire: its pieces from `a` to `b`
    std::vector<std::vector<int>> rows;   ///< nodes of each row from left to right
    int foot_row = -1;                    ///< the row in which the ground feet stand
};

/// The column inside the node's body at which a piece meets it; 0 for bars, turns and passes. Pieces of the same terminal get
/// the terminal's own column: they may still change places.
int seat_cell(const Weave& weave, int node, int piece, bool upper_side);

/// Columns that a node's text and ink take on either side of it, as it stands; 0 for turns and passes.
int left_reach(const Weave& weave, const Node& node);
int right_reach(const Weave& weave, const Node& node);

/// Builds the chains and finds the rows; what may stand in several rows stands high up (Lean::low, as rows count downwards), far down, or
/// where Graphviz puts it (Lean::none). Fails only where the layout library cannot be used.
Result<Weave> weave(const Sketch& sketch, Lean lean = Lean::none);

/// The same with everything that stood on a sheet before in the row where it stood, unless wires that lead downwards do not allow it.
Result<Weave> weave(const Sketch& sketch, const Recalled& recalled);

/// Both ends of each piece of a wire, from its start to its end.
std::vector<WayPoint> way_of(const Sketch& sketch, const Weave& weave, std::size_t wire);

/// In which row each turn of a wire's way stood, from its start to its end.
std::vector<int> rows_of_turns(const std::vector<WayPoint>& way);

} // namespace loomproof::draw
