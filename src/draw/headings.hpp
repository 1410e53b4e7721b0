#pragma once
/// What the paths are for, over them.

#include "draw/picture.hpp"
#include "draw/sketch.hpp"
#include "draw/weave.hpp"

#include <vector>

namespace loomproof::draw {

/// Writes the sketch's headings above `top`, in as many lines as they need beside each other, each over the numbered columns in which its
/// symbols stand.
void write_headings(Picture& notes, const Sketch& sketch, const Weave& weave, const std::vector<int>& paths,
                    double top);

} // namespace loomproof::draw
