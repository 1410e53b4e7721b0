#include "netlist/tidy_lines.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <span>

namespace loomproof {

namespace {

constexpr std::size_t widest_cell = 60;
constexpr std::size_t widest_text = 100;

/// Blanks behind the widest cell of each column.
std::array<std::size_t, TidyLine::most_cells> gaps_of(Layout layout) {
    switch (layout) {
    case Layout::wire: return {1, 3, 1, 1};
    case Layout::position: return {2, 1, 1, 1};
    default: return {1, 1, 1, 1};
    }
}

void pad(std::string& text, std::size_t width) {
    const std::size_t now = code_points(text);
    if (now < width) text.append(width - now, ' ');
}

/// Puts the cells of a run together: each line is one cell afterwards.
void join_cells(std::span<TidyLine> run, Layout layout) {
    std::array<std::size_t, TidyLine::most_cells> widths{};
    for (const TidyLine& line : run)
        for (std::size_t i = 0; line.layout == layout && i + 1 < line.count; ++i)
            if (const std::size_t width = code_points(line.cells[i]); width <= widest_cell)
                widths[i] = std::max(widths[i], width);
    const bool alone =
        std::count_if(run.begin(), run.end(), [&](const TidyLine& line) { return line.layout == layout; }) == 1;
    const auto gaps = gaps_of(alone ? Layout::none : layout);
    for (TidyLine& line : run) {
        if (line.layout != layout) continue;
        std::string text;
        for (std::size_t i = 0, column = 0; i < line.count; ++i) {
            if (i > 0) {
                column += widths[i - 1] + gaps[i - 1];
                pad(text, std::max(column, code_points(text) + 1));
            }
            text += line.cells[i];
        }
        line.cells[0] = std::move(text);
        line.count = 1;
    }
}

/// Whether a line may stand inside a run of `layout` without ending it.
bool belongs(const TidyLine& line, Layout layout) {
    return line.layout == layout || line.layout == Layout::comment || line.layout == Layout::as_typed ||
           (layout == Layout::position && line.layout == Layout::none);
}

void align_cells(std::span<TidyLine> lines) {
    for (std::size_t i = 0; i < lines.size();) {
        const Layout layout = lines[i].layout;
        if (layout == Layout::none || layout == Layout::comment || layout == Layout::as_typed) {
            ++i;
            continue;
        }
        std::size_t end = i + 1;
        while (end < lines.size() && belongs(lines[end], layout) && lines[end].indent == lines[i].indent) ++end;
        join_cells(lines.subspan(i, end - i), layout);
        i = end;
    }
}

std::size_t width_of(const TidyLine& line) { return line.indent + code_points(line.cells[0]); }

/// Lines up the comments of neighbouring lines, two blanks behind the longest text.
void align_comments(std::span<TidyLine> lines) {
    for (std::size_t i = 0; i < lines.size();) {
        std::size_t end = i;
        std::size_t column = 0;
        for (; end < lines.size() && !lines[end].comment.empty(); ++end)
            if (const std::size_t width = width_of(lines[end]); width <= widest_text)
                column = std::max(column, width + 2);
        for (; i < end; ++i) {
            TidyLine& line = lines[i];
            pad(line.cells[0], std::max(column, width_of(line) + 2) - line.indent);
            line.cells[0] += line.comment;
        }
        ++i;
    }
}

} // namespace

void write_paragraph(std::vector<TidyLine>& lines, std::string& out) {
    align_cells(lines);
    align_comments(lines);
    for (const TidyLine& line : lines) {
        out.append(line.indent, ' ');
        out += line.cells[0];
        out += '\n';
    }
    lines.clear();
}

} // namespace loomproof
