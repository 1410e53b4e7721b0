#pragma once
/// Tables beside the circuit: what is in each hole of a plug, what goes to each blade of a relay's base.

#include "circuit/view.hpp"
#include "draw/picture.hpp"
#include "draw/sketch.hpp"

#include <cstddef>
#include <vector>

namespace loomproof::draw {

/// Draws the tables from `at` (top left) on, side by side as far as `width` (units) goes, then in further rows.
void paint_side_tables(Picture& out, const std::vector<SideTable>& tables, Point at, double width);

/// How high they are then, units.
double height_of(const std::vector<SideTable>& tables, double width);

/// The tables on pages of that size (units), in their order; one that is higher than a page goes on on the next.
struct TablePages {
    std::vector<Picture> pages;
    std::vector<std::size_t> first; ///< by table: the page on which it begins
};
TablePages pages_of_tables(const std::vector<SideTable>& tables, double width, double height);

/// One for each plug with a wire or a colour written down, one for each relay with a wire at its base, in the order of the text.
/// A plug is drawn as a face where its rows of holes are recorded; below it, or alone, each half has its column ("loom side", where somebody said so): wire,
/// size, colour, where it goes, and which other hole of that half holds a wire of the same colour, because those get swapped. From which
/// side it is seen, how the latch lies and who numbered it is said as far as it is known. A relay's base is drawn where its footprint is
/// said and known; else it is a table by the moulded numbers, with the reason.
std::vector<SideTable> side_tables_of(const View& view);

} // namespace loomproof::draw
