#include "draw/least_size.hpp"

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

} // namespace

Point least_size(const Sketch& sketch, const Weave& weave) {
    constexpr double foot_without_words = 40, title = 40;
    int columns = 0;
    double height = sketch.title.empty() ? 0 : title;
    for (std::size_t r = 0; r < weave.rows.size(); ++r) {
        columns = std::max(columns, columns_of(weave, weave.rows[r]));
        double tallest = 0;
        for (const int n : weave.rows[r])
            if (weave.nodes[index(n)].symbol >= 0)
                tallest = std::max(tallest, weave.bodies[index(weave.nodes[index(n)].symbol)].height());
        // The words under a foot may still find more room, and so fewer lines.
        if (static_cast<int>(r) == weave.foot_row) tallest = std::min(tallest, foot_without_words);
        height += tallest + (r + 1 < weave.rows.size() ? least_channel : 0);
    }
    // From the middle of the first column to that of the last.
    return {std::max(0, columns - 1) * column, height};
}

} // namespace loomproof::draw
