#pragma once
/// Places along a wire's path. Drawing units.

#include "draw/geometry.hpp"

#include <optional>
#include <vector>

namespace loomproof::draw {

double length_of(const std::vector<Point>& path);

/// A place on a path.
struct Stop {
    Point at;
    bool upright_run = false;     ///< the run there goes up and down
    double before = 0, after = 0; ///< how far the run goes on: to the left or up, to the right or down
};

/// So far from the path's begin; nothing beyond its end.
std::optional<Stop> stop_at(const std::vector<Point>& path, double distance);

} // namespace loomproof::draw
