#pragma once
/// How small a drawing can be at best: a quick answer to whether a sheet that does not exist yet could hold it.

#include "draw/weave.hpp"

namespace loomproof::draw {

/// Width and height (units) that no drawing of these rows falls below, in whichever order they stand: what its symbols take side by side and
/// one above the other, without tracks, labels and tables.
Point least_size(const Sketch& sketch, const Weave& weave);

} // namespace loomproof::draw
