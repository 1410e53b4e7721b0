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

std::vector<Line> lines_of(const Sketch& sketch, const std::vector<std::string>& footnotes, double width) {
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
    for (const std::string& text : footnotes) add(text, WordKind::line);
    return lines;
}

} // namespace

void paint_foot(Picture& out, const Sketch& sketch, Point below, double width) {
    double y = below.y;
    for (Line& line : lines_of(sketch, sketch.footnotes, width)) {
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

namespace {

double height_of(const std::vector<Line>& lines) {
    double height = 0;
    for (const Line& line : lines) height += height == 0 ? before : line.step();
    return height == 0 ? 0 : height + 4; // what hangs below the last base line
}

double width_of(const std::vector<Line>& lines) {
    double width = 0;
    for (const Line& line : lines)
        width = std::max(width, (line.set_in ? room_for_mark : 0) +
                                    paper::text_width(line.text, size_of(line.kind), weight_of(line.kind)));
    return width;
}

} // namespace

Point size_of_foot(const Sketch& sketch, double width) {
    Point size{};
    for (const std::vector<std::string>* notes : {&sketch.footnotes, &sketch.footnotes_otherwise}) {
        const std::vector<Line> lines = lines_of(sketch, *notes, width);
        size = {std::max(size.x, width_of(lines)), std::max(size.y, height_of(lines))};
    }
    return size;
}

} // namespace loomproof::draw
