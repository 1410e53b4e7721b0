#pragma once
/// Points and boxes on the sheet, in drawing units, y downwards.

#include <algorithm>

namespace loomproof::draw {

struct Point {
    double x = 0, y = 0;
    bool operator==(const Point&) const = default;
};

/// Touching edges do not overlap.
struct Box {
    double left = 0, top = 0, right = 0, bottom = 0;

    double width() const { return right - left; }
    double height() const { return bottom - top; }
    bool overlaps(const Box& o) const { return left < o.right && o.left < right && top < o.bottom && o.top < bottom; }
    Box grown(double by) const { return {left - by, top - by, right + by, bottom + by}; }
    void include(const Box& o) {
        left = std::min(left, o.left);
        top = std::min(top, o.top);
        right = std::max(right, o.right);
        bottom = std::max(bottom, o.bottom);
    }
};

} // namespace loomproof::draw
