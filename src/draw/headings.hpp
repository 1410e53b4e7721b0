#pragma once
/// What the paths are for, over them.

#include "draw/sheet.hpp"
#include "draw/sketch.hpp"
#include "draw/weave.hpp"

#include <vector>

namespace loomproof::draw {

/// Writes the sketch's headings above `top`, in as many lines as they need. An arrow stands only where whoever goes straight down from its foot
/// meets, before anything else, the way to what the heading names: the column in which that stands where all of it is its own way, else that
/// of a wire that leads to nothing else on the sheet. Where there is no such place the heading says the paths' numbers. The circuit must have
/// been painted.
void write_headings(Sheet& sheet, const Sketch& sketch, const Weave& weave, const std::vector<int>& paths, double top);

} // namespace loomproof::draw
