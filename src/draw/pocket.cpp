#include "draw/pocket.hpp"

#include "draw/side_tables.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

namespace loomproof::draw {

Point middle_of(const Box& box) { return {(box.left + box.right) / 2, (box.top + box.bottom) / 2}; }

namespace {

// Of a list with a column that has no head: without that, and what stands behind the first in one. It says the same but for what the symbol
// shows.
SideTable narrowed(SideTable table) {
    const auto unnamed = std::find(table.head.begin(), table.head.end(), "");
    if (unnamed == table.head.end()) return table;
    const auto at = unnamed - table.head.begin();
    const auto narrow = [&](std::vector<std::string>& cells) {
        cells.erase(cells.begin() + at);
        std::string all;
        for (std::size_t c = 1; c < cells.size(); ++c)
            if (!cells[c].empty()) all += (all.empty() ? "" : ", ") + cells[c];
        cells = {cells.front(), all};
    };
    for (std::vector<std::string>& row : table.rows) narrow(row);
    narrow(table.head);
    return table;
}

std::optional<Pocket> pocket_of(const SideTable& table, double width, double clear, const Box& circuit,
                                const Taken& taken, const std::vector<Box>& notes,
                                const std::optional<Point>& subject) {
    constexpr double step = column / 2;
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
            best = Pocket{{x - size.left, y - size.top}, width, table};
            nearest = away;
        }
    return best;
}

} // namespace

std::optional<Pocket> pocket_for(const SideTable& table, const Box& circuit, const Taken& taken,
                                 const std::vector<Box>& notes, const std::optional<Point>& subject) {
    constexpr double unbroken = 1e6, clear = 18, least_clear = 12;
    for (const auto& [form, tight] :
         {std::pair{table, clear}, {narrowed(table), clear}, {narrowed(table), least_clear}})
        for (const double width : {unbroken, 330.0, 260.0, 210.0, 170.0})
            if (std::optional<Pocket> found = pocket_of(form, width, tight, circuit, taken, notes, subject))
                return found;
    return std::nullopt;
}

} // namespace loomproof::draw
