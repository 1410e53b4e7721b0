#pragma once
/// Tables for which their own sheet has no room: on another sheet, or on sheets of tables. Inside matter of bind.cpp.

#include "draw/bind.hpp"

#include <functional>

namespace loomproof::draw {

/// Lays a part out as it will be printed. Fails only where the layout library cannot be used.
using LayOut = std::function<Result<Sheet>(const SketchPart&)>;

bool has_tables_left(const Bound& made);

/// Each table goes to the nearest sheet that has room for it at the size it has, and its own sheet says where; those that find none stand on
/// sheets of their own behind all others. The sheets must be numbered.
Result<void> place_left_tables(Bound& made, const paper::Paper& paper, const LayOut& lay_out);

} // namespace loomproof::draw
