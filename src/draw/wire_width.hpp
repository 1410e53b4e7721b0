#pragma once
/// How wide wires are drawn, in drawing units: as the strokes of svg.cpp are.

#include "draw/sketch.hpp"

namespace loomproof::draw {

/// White: told from the paper by its edge alone, which is drawn heavier.
bool is_pale(const Wire& wire);

/// By what the edge of a white wire is heavier. Its own labels and flags stand nearer to it by that, in line with those of others; the second edge
/// of a wire that a job added goes around it.
double heavier_edge(const Wire& wire);

/// Half the width a wire takes on the sheet, its edge included.
double half_width(const Wire& wire);

} // namespace loomproof::draw
