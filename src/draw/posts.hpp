#pragma once
/// Names of the wires at a battery's posts, above the bar from which they leave.

#include "draw/labels.hpp"

namespace loomproof::draw {

/// Wires leave a battery's post side by side, and there one looks for one of them: a leg whose labels all stand farther off than 25 mm
/// says its name above the bar, where there is room. A post with one wire needs none. What is placed is added to `placed` and `taken`.
void name_at_posts(const Sketch& sketch, const Route& route, Taken& taken, Placed& placed);

} // namespace loomproof::draw
