#include "draw/pocket.hpp"

#include "draw/side_tables.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::draw {

Point middle_of(const Box& box) { return {(box.left + box.right) / 2, (box.top + box.bottom) / 2}; }

std::optional<Pocket> pocket_for(const SideTable& table, const Box& circuit, const Taken& taken,
                                 const std::vector<Box>& notes, const std::optional<Point>& subject) {
    constexpr double clear = 18, step = column / 2, unbroken = 1e6;
    for (const double width : {unbroken, 330.0, 260.0, 210.0}) {
        Picture tried;
        paint_side_tables(tried, {table}, {0, 0}, width);
        const Box size = box_of(tried);
        std::optional<Pocket> best;
        double nearest = 0;
        for (double y = circuit.top; y + size.height() <= circuit.bottom; y += step)
            for (double x = circuit.left; x + size.width() <= circuit.right; x += step) {
                const Box box = Box{x, y, x + size.width(), y + size.height()};
                const Point here = middle_of(box);
                const double away = subject ? std::hypot(here.x - subject->x, here.y - subject->y) : 0;
                if (best && away >= nearest) continue;
                const Box room = box.grown(clear);
                if (!taken.is_free(room) ||
                    std::any_of(notes.begin(), notes.end(), [&](const Box& b) { return b.overlaps(room); }))
                    continue;
                best = Pocket{{x - size.left, y - size.top}, width};
                nearest = away;
            }
        if (best) return best;
    }
    return std::nullopt;
}

} // namespace loomproof::draw
