#pragma once
/// What stands below all else on a sheet: what had no room at its wire, and the key of the marks.

#include "draw/labels.hpp"
#include "draw/picture.hpp"
#include "draw/sketch.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

/// A table of the wires whose label, length or flag found no place, with their ends; none where all found one. `labels` gets what each of
/// those wires is called.
std::vector<SideTable> unplaced_of(const Sketch& sketch, const Placed& placed, std::vector<std::string>& labels);

/// `unplaced`, and the marks that occur in the sketch, each with its words, from `at` (top left) on in rows no wider than `width`: the letters
/// of jobs and whether they are fitted, what the jobs changed where the sketch shows it, figures that are no plain facts, ends and colours
/// that nobody knows; below those of the jobs what was removed. Nothing where there is nothing to say.
void paint_key(Picture& out, const Sketch& sketch, const std::vector<SideTable>& unplaced, Point at, double width);

} // namespace loomproof::draw
