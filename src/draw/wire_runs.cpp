#include "draw/wire_runs.hpp"

#include "draw/labels.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

std::vector<std::vector<Box>> runs_of(const Sketch& sketch, const Route& route) {
    std::vector<std::vector<Box>> runs(sketch.wires.size());
    for (std::size_t w = 0; w < runs.size(); ++w) {
        const std::vector<Point>& path = route.paths[w];
        for (std::size_t i = 0; i + 1 < path.size(); ++i) {
            const Point &a = path[i], &b = path[i + 1];
            runs[w].push_back(Box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)}.grown(
                half_width(sketch.wires[w])));
        }
    }
    return runs;
}

} // namespace

double distance(const Box& a, const Box& b) {
    const double x = std::max({0.0, a.left - b.right, b.left - a.right}),
                 y = std::max({0.0, a.top - b.bottom, b.top - a.bottom});
    return x == 0 ? y : y == 0 ? x : std::hypot(x, y); // mostly one is straight beside the other
}

WireRuns::WireRuns(const Sketch& sketch, const Route& route) : runs_(runs_of(sketch, route)), map_(runs_) {}

bool WireRuns::is_nearest(int w, const Box& box, double by) const {
    const auto away = [&](std::size_t wire) {
        double nearest = 1e9;
        for (const Box& run : runs_[wire]) nearest = std::min(nearest, distance(run, box));
        return nearest;
    };
    const double least = away(index(w)) + by;
    const Box around = box.grown(least + 1); // farther away nothing needs to be measured
    return !map_.any(around, [&](const RunMap::Piece& piece) {
        const Box& run = runs_[piece.wire][piece.run];
        return piece.wire != index(w) && run.overlaps(around) && distance(run, box) < least;
    });
}

bool WireRuns::beside_another(int w, Point p) const {
    constexpr double farthest = 4.5;
    const Box here{p.x, p.y, p.x, p.y};
    return map_.any(here.grown(farthest), [&](const RunMap::Piece& piece) {
        return piece.wire != index(w) && here.grown(farthest).overlaps(runs_[piece.wire][piece.run]);
    });
}

} // namespace loomproof::draw
