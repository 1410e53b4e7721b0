#pragma once
/// What the paths are for, over them.

#include "draw/picture.hpp"
#include "draw/sketch.hpp"
#include "draw/weave.hpp"

namespace loomproof::draw {

/// Writes the sketch's headings above `top`, in as many lines as they need beside each other.
void write_headings(Picture& notes, const Sketch& sketch, const Weave& weave, double top);

} // namespace loomproof::draw
