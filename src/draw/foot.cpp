#include "draw/foot.hpp"

#include "paper/type.hpp"

#include <algorithm>
#include <string>
#include <vector>

namespace loomproof::draw {
namespace {

constexpr double before = 26, room_for_mark = 60;

struct Line {
    std::string text;
    WordKind kind{};
    bool set_in = false;                                                  ///< behind a mark
    std::string mark{};                                                   ///< that stands before it
    double step() const { return mark.empty() ? 17.5 : mark_height + 2; } ///< from the line above
};

std::vector<Line> lines_of(const Sketch& sketch, double width) {
    std::vector<Line> lines;
    const auto add = [&](const std::string& text, WordKind kind, bool set_in = false, std::string mark = {}) {
        for (std::string& line :
             paper::broken_into_lines(text, width - (set_in ? room_for_mark : 0), size_of(kind), weight_of(kind))) {
            lines.push_back({std::move(line), kind, set_in, mark});
            mark.clear();
        }
    };
    add(sketch.verdict, WordKind::rating);
    for (const Remark& r : sketch.remarks) add(r.text, WordKind::line, true, r.shown ? r.mark : "");
    add(sketch.caution, WordKind::rating);
    for (const std::string& text : sketch.footnotes) add(text, WordKind::line);
    return lines;
}

} // namespace

void paint_foot(Picture& out, const Sketch& sketch, Point below, double width) {
    double y = below.y;
    for (Line& line : lines_of(sketch, width)) {
        y += y == below.y ? before : line.step();
        if (!line.mark.empty()) {
            constexpr double rise = 15; // of the mark over the base line
            const Box box{below.x, y - rise, below.x + mark_width(line.mark), y - rise + mark_height};
            out.ink.emplace_back(mark_sign(box, line.mark));
            out.words.push_back(mark_words(box, line.mark));
        }
        const double x = below.x + (line.set_in ? room_for_mark : 0);
        out.words.push_back({std::move(line.text), {x, y}, Anchor::start, line.kind, false});
    }
}

double height_of_foot(const Sketch& sketch, double width) {
    double height = 0;
    for (const Line& line : lines_of(sketch, width)) height += height == 0 ? before : line.step();
    return height == 0 ? 0 : height + 4; // what hangs below the last base line
}

} // namespace loomproof::draw
