#include "draw/headings.hpp"

#include "draw/studs.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// A heading stands over a comb: one tooth over each thing that it speaks of, and nothing else.
struct Comb {
    std::vector<double> teeth; ///< from the left
    const std::string* text;
    double width;
    double shift = 0; ///< of the words from the comb's middle
    double middle() const { return (teeth.front() + teeth.back()) / 2 + shift; }
    double left() const { return std::min(teeth.front() - 4, middle() - width / 2); }
    double right() const { return std::max(teeth.back() + 4, middle() + width / 2); }
    // How far the words may stand aside and still stand over their comb.
    double most_shift() const { return std::max(0.0, std::abs(width - (teeth.back() - teeth.front())) / 2 - 4); }
};

std::vector<Comb> combs_of(const Sketch& sketch, const Weave& weave, const std::vector<int>& paths) {
    std::vector<Comb> all;
    for (const Heading& heading : sketch.headings) {
        if (heading.symbols.empty() || heading.text.empty()) continue;
        Comb comb{{}, &heading.text, paper::text_width(heading.text, size_of(WordKind::heading), paper::Weight::bold)};
        for (const int s : heading.symbols) {
            const int own = column_of(weave, index(s)), path = path_at(paths, own);
            comb.teeth.push_back(path > 0 ? x_of_path(paths[index(path - 1)]) : centre_of(own));
        }
        std::sort(comb.teeth.begin(), comb.teeth.end());
        comb.teeth.erase(std::unique(comb.teeth.begin(), comb.teeth.end()), comb.teeth.end());
        all.push_back(std::move(comb));
    }
    std::stable_sort(all.begin(), all.end(), [](const Comb& a, const Comb& b) { return a.left() < b.left(); });
    return all;
}

} // namespace

void write_headings(Picture& notes, const Sketch& sketch, const Weave& weave, const std::vector<int>& paths,
                    double top) {
    constexpr double tooth = 9, line_pitch = 40;
    std::vector<std::vector<std::pair<double, double>>>
        lines; // what is taken of each line of headings, the lowest first
    const Pen pen(notes, {0, 0}, 0, false);
    for (Comb comb : combs_of(sketch, weave, paths)) {
        const auto is_free = [&](const auto& taken) {
            return std::all_of(taken.begin(), taken.end(), [&](const auto& span) {
                return span.second + 16 < comb.left() || comb.right() + 16 < span.first;
            });
        };
        std::size_t line = 0;
        const auto fits_aside = [&](const auto& taken) {
            for (const double shift : {0.0, comb.most_shift(), -comb.most_shift()}) {
                comb.shift = shift;
                if (is_free(taken)) return true;
            }
            comb.shift = 0;
            return false;
        };
        while (line < lines.size() && !fits_aside(lines[line])) ++line;
        if (line == lines.size()) lines.emplace_back();
        lines[line].emplace_back(comb.left(), comb.right());
        const double y = top - 20 - line_pitch * static_cast<double>(line);
        if (comb.teeth.size() > 1) pen.line({{comb.teeth.front(), y}, {comb.teeth.back(), y}});
        for (const double x : comb.teeth) pen.closed({{x - 4, y + 1}, {x + 4, y + 1}, {x, y + tooth}}, Look::solid);
        pen.word({comb.middle(), y - 13}, *comb.text, WordKind::heading);
    }
}

} // namespace loomproof::draw
