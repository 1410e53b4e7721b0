#pragma once
/// From a weave in which everything has its row and column to the finished sheet: heights, wires, words, notes.

#include "draw/sheet.hpp"
#include "draw/weave.hpp"

#include <vector>

namespace loomproof::draw {

/// What stays free around everything on a sheet, units.
inline constexpr double sheet_margin = 30;

/// Everything on the sheet moves by so much.
void move(Sheet& sheet, double x, double y);

/// `pages` as in SheetOptions.
Sheet build(const Sketch& sketch, Weave weave, const std::vector<Point>& pages, bool pockets);

} // namespace loomproof::draw
