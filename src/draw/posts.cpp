#include "draw/posts.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr double in_sight = 100;  // 25 mm
constexpr double farthest = 22;   // from the wire's end to the foot of its name: over the stub and the bar
constexpr double off_lines = 1;   // between the name and the battery's lines
constexpr double off_words = 3;   // between the name and other words
constexpr double nearer_by = 1.5; // by what it is nearer to its own wire than to any other

// Between the nearest edges.
double distance(const Box& a, const Box& b) {
    return std::hypot(std::max({0.0, a.left - b.right, b.left - a.right}),
                      std::max({0.0, a.top - b.bottom, b.top - a.bottom}));
}

double to_wire(const Sketch& sketch, const Route& route, std::size_t w, const Box& box) {
    double nearest = 1e9;
    const std::vector<Point>& path = route.paths[w];
    for (std::size_t i = 0; i + 1 < path.size(); ++i) {
        const Point &a = path[i], &b = path[i + 1];
        const Box run{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
        nearest = std::min(nearest, distance(run.grown(half_width(sketch.wires[w])), box));
    }
    return nearest;
}

bool is_plain(const Sketch& sketch, const Route& route, std::size_t own, const Box& box) {
    const double least = to_wire(sketch, route, own, box) + nearer_by;
    for (std::size_t w = 0; w < sketch.wires.size(); ++w)
        if (w != own && to_wire(sketch, route, w, box) < least) return false;
    return true;
}

bool is_named_near(const Placed& placed, int wire, const Point& from) {
    for (std::size_t i = 0; i < placed.labels.size(); ++i)
        if (placed.wire_of[i] == wire &&
            distance(box_of(placed.labels[i]), {from.x, from.y, from.x, from.y}) < in_sight)
            return true;
    return false;
}

} // namespace

void name_at_posts(const Sketch& sketch, const Route& route, Taken& taken, Placed& placed) {
    for (std::size_t w = 0; w < sketch.wires.size(); ++w) {
        const Wire& wire = sketch.wires[w];
        if (wire.mounting || wire.name.empty() || route.paths[w].empty() ||
            sketch.symbols[index(wire.a.symbol)].kind != SymbolKind::battery)
            continue;
        const auto legs = std::count_if(sketch.wires.begin(), sketch.wires.end(), [&](const Wire& other) {
            return other.a.symbol == wire.a.symbol && other.a.terminal == wire.a.terminal;
        });
        const Point from = route.paths[w].front();
        if (legs < 2 || is_named_near(placed, static_cast<int>(w), from)) continue;
        Word word{wire.name, {}, Anchor::start, WordKind::label, true};
        const Box room = box_of(word);
        word.at.x = from.x - (room.left + room.right) / 2;
        for (double above = 4; above <= farthest; ++above) {
            word.at.y = from.y - above;
            const Box box = box_of(word);
            if (!taken.is_free(box.grown(off_lines)) || !taken.is_free_of_words(box.grown(off_words)) ||
                !is_plain(sketch, route, w, box))
                continue;
            taken.add_word(box);
            placed.labels.push_back(word);
            placed.wire_of.push_back(static_cast<int>(w));
            break;
        }
    }
}

} // namespace loomproof::draw
