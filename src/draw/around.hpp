#pragma once
/// What stands around the circuit: side tables, the key, the foot, the title.

#include "draw/sheet.hpp"

#include <vector>

namespace loomproof::draw {

/// Puts the sketch's side tables, `unplaced` (what had no room at its wire), the key and the foot where they leave the sheet largest on one of
/// `pages` (as in SheetOptions; none: below the circuit). Tables for which the page has no room are noted in `tables_left`; with `taken`, all
/// that the circuit takes, they are tried in its white first. Everything else must have its place. Returns the foot's room where more is kept than its words may take; else nothing.
Box put_around(Sheet& sheet, const Sketch& sketch, const std::vector<SideTable>& unplaced,
               const std::vector<Point>& pages, const Taken* taken);

/// The lines of the sketch's title over all that is on the sheet.
std::vector<Word> title_over(const Sketch& sketch, const Box& all);

} // namespace loomproof::draw
