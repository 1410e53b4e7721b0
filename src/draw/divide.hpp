#pragma once
/// Where a sheet that is too full may be cut in two.

#include "draw/sketch.hpp"

#include <vector>

namespace loomproof::draw {

/// Parts of the group (symbols, rising) that might stand on a sheet of their own, most promising first, at most `most`: what hangs on one part
/// and on nothing else, or on several neighbours in a row below one part. Few wires are cut, and both halves are about as large; a bus may
/// stand on both sheets, so its wires cost nothing. None holds a battery. Empty where the group has no such place.
std::vector<std::vector<int>> branches_of(const Sketch& sketch, const std::vector<int>& group, std::size_t most);

} // namespace loomproof::draw
