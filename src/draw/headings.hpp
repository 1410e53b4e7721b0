#pragma once
/// What the paths are for, over them.

#include "draw/sheet.hpp"
#include "draw/sketch.hpp"
#include "draw/weave.hpp"

#include <vector>

namespace loomproof::draw {

/// Writes the sketch's headings above `top`, in as many lines as they need. An arrow stands only where whoever goes straight down from its foot
/// meets, before anything else, the way to what the heading names: the column in which that stands where nothing else stands above it there,
/// else that of a wire that leads to nothing else on the sheet. What runs across a column is passed by; a battery where the wire of that way
/// begins right below it. Where some of what is named has no such place the heading says the paths' numbers. The circuit must have been painted.
void write_headings(Sheet& sheet, const Sketch& sketch, const Weave& weave, const std::vector<int>& paths, double top);

} // namespace loomproof::draw
