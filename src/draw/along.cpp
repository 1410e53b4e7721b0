#include "draw/along.hpp"

#include <cmath>
#include <cstddef>

namespace loomproof::draw {

double length_of(const std::vector<Point>& path) {
    double sum = 0;
    for (std::size_t i = 0; i + 1 < path.size(); ++i)
        sum += std::abs(path[i + 1].x - path[i].x) + std::abs(path[i + 1].y - path[i].y);
    return sum;
}

std::optional<Stop> stop_at(const std::vector<Point>& path, double distance) {
    for (std::size_t i = 0; i + 1 < path.size(); ++i) {
        const Point &a = path[i], &b = path[i + 1];
        const double length = std::abs(b.x - a.x) + std::abs(b.y - a.y);
        if (distance > length) {
            distance -= length;
            continue;
        }
        if (length <= 0) continue;
        const double part = distance / length;
        Stop stop{{a.x + (b.x - a.x) * part, a.y + (b.y - a.y) * part}, a.x == b.x};
        const double to_a = distance, to_b = length - distance;
        const bool forwards = stop.upright_run ? b.y > a.y : b.x > a.x;
        stop.before = forwards ? to_a : to_b;
        stop.after = forwards ? to_b : to_a;
        return stop;
    }
    return std::nullopt;
}

} // namespace loomproof::draw
