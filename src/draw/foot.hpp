#pragma once
/// The foot of a sheet: what check says, what must not be overlooked, and what the marks mean.

#include "draw/picture.hpp"
#include "draw/sketch.hpp"

namespace loomproof::draw {

/// The sketch's verdict, remarks, caution and footnotes, set into lines of that width, below a point (the free space above them is theirs,
/// too). Nothing, and no size, where it has none of them. Units. The size has room for the footnotes of either way of printing.
void paint_foot(Picture& out, const Sketch& sketch, Point below, double width);
Point size_of_foot(const Sketch& sketch, double width);

} // namespace loomproof::draw
