#pragma once
/// What the paths of a sketch are for.

#include "draw/sketch.hpp"

#include <map>
#include <string>
#include <vector>

namespace loomproof::draw {

/// A heading for the loads behind each fuse. `titles` says by symbol what such a part is called, for those that the file gives no words.
std::vector<Heading> headings_of(const Sketch& sketch, const std::map<int, std::string>& titles);

} // namespace loomproof::draw
