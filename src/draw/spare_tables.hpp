#pragma once
/// Tables of several sheets: with what they speak of, or on another sheet, which is said there. Inside matter of bind.cpp.

#include "draw/bind.hpp"

#include <functional>

namespace loomproof::draw {

/// Lays a part out as it will be printed. Fails only where the layout library cannot be used.
using LayOut = std::function<Result<Sheet>(const SketchPart&)>;

bool has_tables_left(const Bound& made);

/// How many tables stand on no sheet that shows what they speak of. They must have been placed.
std::size_t tables_away(const Bound& made);

/// Each table for which its own sheet has no room goes to another that shows something of what it speaks of, else to the nearest that has room
/// for it at the size it has; those that find none stand on sheets of their own behind all others. Then notes where each table stands, and
/// every sheet that shows a part whose table stands elsewhere says where: at the part, or where that has no room for the words at the sheet's
/// foot. The sheets must be numbered.
Result<void> place_tables(Bound& made, const paper::Paper& paper, const LayOut& lay_out);

} // namespace loomproof::draw
