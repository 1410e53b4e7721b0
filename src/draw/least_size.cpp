#include "draw/least_size.hpp"

#include "draw/foot.hpp"
#include "draw/key.hpp"
#include "draw/route.hpp"

#include <algorithm>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// From the first column to the last, without what the outermost symbols' words take beyond them. As in keep_apart (columns.cpp).
int columns_of(const Weave& weave, const std::vector<int>& row) {
    int columns = 0, outermost = 0;
    for (const int n : row) {
        const Node& node = weave.nodes[index(n)];
        const auto wires = static_cast<int>(std::max(node.above.size(), node.below.size()));
        int own = 1;
        if (node.type == Node::Type::bar || node.type == Node::Type::turn) own = std::max(1, wires);
        if (node.type == Node::Type::body) own = weave.bodies[index(node.symbol)].cells;
        const int left = left_reach(weave, node), right = right_reach(weave, node);
        columns += left + own + right;
        outermost = std::max({outermost, left, right});
    }
    return columns - 2 * outermost;
}

// The words under a foot may still find more room, and so fewer lines.
double height_in(const Weave& weave, std::size_t row) {
    constexpr double foot_without_words = 40;
    double tallest = 0;
    for (const int n : weave.rows[row])
        if (const int s = weave.nodes[index(n)].symbol; s >= 0)
            tallest = std::max(tallest, weave.bodies[index(s)].height());
    return static_cast<int>(row) == weave.foot_row ? std::min(tallest, foot_without_words) : tallest;
}

} // namespace

Point least_size(const Weave& weave) {
    int columns = 0;
    double height = 0;
    for (std::size_t r = 0; r < weave.rows.size(); ++r) {
        columns = std::max(columns, columns_of(weave, weave.rows[r]));
        height += height_in(weave, r) + (r + 1 < weave.rows.size() ? least_channel : 0);
    }
    // From the middle of the first column to that of the last.
    return {std::max(0, columns - 1) * column, height};
}

Point least_size(const Sketch& sketch, const Weave& weave, int columns) {
    double height = 0;
    const Route routed = route(sketch, weave, find_runs(weave), {});
    for (std::size_t r = 0; r < weave.rows.size(); ++r) height += height_in(weave, r) + routed.channels[r].height;
    // Words may reach into the outermost columns less than all the way.
    return {std::max(0, columns - 3) * column, height};
}

LeastNotes least_notes(const Sketch& sketch) {
    constexpr double title = 40, heading = 34, before_key = 34, endless = 1e9;
    LeastNotes least;
    if (!sketch.title.empty()) least.around += title;
    if (std::any_of(sketch.headings.begin(), sketch.headings.end(),
                    [](const Heading& h) { return !h.symbols.empty() && !h.text.empty(); }))
        least.around += heading;
    Picture key;
    paint_key(key, sketch, {}, {0, 0}, endless);
    double top = 0, bottom = 0;
    for (const Word& word : key.words) {
        top = std::min(top, box_of(word).top);
        bottom = std::max(bottom, box_of(word).bottom);
    }
    if (!key.words.empty()) least.around += before_key + bottom - std::max(0.0, top);
    least.foot = size_of_foot(sketch, endless).y;
    return least;
}

bool fits_none(const Point& circuit, const LeastNotes& notes, const std::vector<Point>& pages, double scale) {
    // The ink of the highest symbol of a row may be a little less high than the row.
    constexpr double less = 24, gap_beside = 40, least_beside = 220;
    const bool beside = std::any_of(pages.begin(), pages.end(),
                                    [&](const Point& page) { return page.x - circuit.x >= gap_beside + least_beside; });
    const double height = circuit.y - less + notes.around + (beside ? 0 : notes.foot);
    return std::none_of(pages.begin(), pages.end(),
                        [&](const Point& page) { return circuit.x <= page.x / scale && height <= page.y / scale; });
}

} // namespace loomproof::draw
