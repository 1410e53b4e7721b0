#include "report/excerpt.hpp"

#include "report/columns.hpp"

#include <algorithm>
#include <cstdint>
#include <set>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::report {

namespace {

/// A mark in one line: bytes of the line, and the label that goes with it.
struct Mark {
    std::size_t begin = 0, end = 0;
    std::string label;
};

struct Row {
    std::uint32_t source = 0;
    std::uint32_t line_begin = 0; ///< byte of the source
    std::string_view line;
    std::vector<Mark> marks;
};

constexpr std::size_t tab_stop = 4;
constexpr std::size_t continuation_indent = 2;
constexpr std::size_t most_stretches = 4;

/// A glyph with the column, counted from the line's start, at which it stands.
struct Cell {
    Glyph glyph;
    std::size_t column = 0;
    std::size_t columns = 0;
};

bool is_blank(const Cell& c) { return c.glyph.shown == " " || c.glyph.shown == "\t"; }

std::vector<Cell> cells(std::string_view line) {
    std::vector<Cell> out;
    std::size_t column = 0;
    for (const Glyph& g : glyphs(line)) {
        const std::size_t wide = g.shown == "\t" ? tab_stop - column % tab_stop : g.columns;
        out.push_back({g, column, wide});
        column += wide;
    }
    return out;
}

/// A stretch of a line that fits into the room: cells [first, last).
struct Stretch {
    std::size_t first = 0, last = 0;
};

std::vector<Stretch> stretches(const std::vector<Cell>& line, std::size_t room) {
    std::vector<Stretch> out;
    for (std::size_t first = 0; first < line.size();) {
        const std::size_t space = out.empty() ? room : room - continuation_indent;
        std::size_t last = first, blank = 0, comma = 0;
        while (last < line.size() && line[last].column + line[last].columns - line[first].column <= space) {
            if (line[last].glyph.shown == " " && last > first) {
                blank = last + 1;
                if (line[last - 1].glyph.shown == ",") comma = last + 1;
            }
            ++last;
        }
        // Behind a comma if that leaves no short line, else between words.
        if (last < line.size() && blank > 0) last = comma > first + (last - first) / 2 ? comma : blank;
        last = std::max(last, first + 1);
        out.push_back({first, last});
        first = last;
    }
    if (out.empty()) out.push_back({0, 0});
    return out;
}

/// Builds a line of marks or labels: text put at columns, blanks between.
class Strip {
  public:
    void put(std::size_t column, std::string_view text) {
        if (text_.size() < column) text_.append(column - text_.size(), ' ');
        text_.replace(column, std::min(text.size(), text_.size() - column), text);
    }
    bool empty() const { return text_.empty(); }
    std::size_t size() const { return text_.size(); }
    const std::string& text() const { return text_; }

  private:
    std::string text_; // marks are ASCII: one byte a column
};

class Writer {
  public:
    Writer(const Screen& screen, Ink mark_ink, std::size_t digits)
        : screen_(screen), mark_ink_(mark_ink), gutter_(std::max<std::size_t>(4, digits + 2)) {}

    void announce(std::string_view file) { out_ += fmt::format("  in {}\n", printable(file)); }

    void row(std::size_t number, const Row& row) {
        const std::vector<Cell> line = cells(row.line);
        const std::vector<Stretch> parts = stretches(line, room());
        std::string label = std::to_string(number);
        bool skipped = false;
        for (std::size_t i = 0; i < parts.size(); ++i) {
            const bool marked = std::any_of(row.marks.begin(), row.marks.end(), [&](const Mark& m) {
                return touches(line, parts[i], i + 1 == parts.size(), m);
            });
            if (parts.size() > most_stretches && !marked) {
                skipped = true;
                continue;
            }
            if (skipped) gutter(label), out_ += " ...\n", label.clear();
            skipped = false;
            stretch(label, row, line, parts[i], i == 0 ? 0 : continuation_indent, i + 1 == parts.size());
            label.clear();
        }
        if (skipped) gutter(label), out_ += " ...\n";
    }

    void more(std::size_t n) {
        gutter("");
        out_ += fmt::format(" and {} more line{}\n", n, n == 1 ? "" : "s");
    }

    std::string take() { return std::move(out_); }

  private:
    std::size_t room() const { return std::max<std::size_t>(24, screen_.width - gutter_ - 3); }

    void gutter(std::string_view number) {
        out_ += inked(screen_, Ink::faint, fmt::format("{:>{}} |", number, gutter_));
    }

    static bool touches(const std::vector<Cell>& line, Stretch s, bool last_stretch, const Mark& m) {
        if (s.first == s.last) return true;
        const std::size_t begin = line[s.first].glyph.begin, end = line[s.last - 1].glyph.end;
        if (m.begin == m.end) return m.begin >= begin && (m.begin < end || last_stretch);
        return m.begin < end && m.end > begin;
    }

    /// One stretch of a line, the marks below it, the labels beside and below those.
    void stretch(std::string_view number, const Row& row, const std::vector<Cell>& line, Stretch s, std::size_t indent,
                 bool last_stretch) {
        std::size_t end = s.last; // without the blanks before the break
        while (end > s.first && is_blank(line[end - 1])) --end;
        std::string shown(end > s.first ? indent + 1 : 0, ' ');
        for (std::size_t i = s.first; i < end; ++i) {
            if (line[i].glyph.shown == "\t")
                shown.append(line[i].columns, ' ');
            else
                shown += line[i].glyph.shown;
        }
        gutter(number);
        out_ += shown + '\n';
        if (is_whole_line(row)) {
            if (last_stretch) labels({{indent_of(row), row.marks.front().label}}, 0);
            return;
        }

        const std::size_t origin = s.first < line.size() ? line[s.first].column : 0;
        const auto column_of = [&](std::size_t cell) {
            if (cell < s.last) return line[cell].column - origin + indent;
            return s.last == s.first ? indent : line[s.last - 1].column + line[s.last - 1].columns - origin + indent;
        };
        Strip marks;
        std::vector<Placed> placed;
        for (const Mark& m : row.marks) {
            if (!touches(line, s, last_stretch, m)) continue;
            const std::size_t from = column_of(std::max(s.first, cell_at(line, m.begin)));
            const std::size_t to = column_of(std::min(last_stretch ? s.last : end, cell_at(line, m.end)));
            marks.put(from, m.begin == m.end ? "^" : std::string(std::max(from + 1, to) - from, '~'));
            // A label stands where its mark ends.
            if (m.begin == m.end || s.last == line.size() || m.end <= line[s.last].glyph.begin)
                placed.push_back({from, m.label});
        }
        if (marks.empty()) return;
        gutter("");
        out_ += ' ' + inked(screen_, mark_ink_, marks.text());
        labels(std::move(placed), marks.size());
    }

    /// Index of the first cell at or behind a byte of the line.
    static std::size_t cell_at(const std::vector<Cell>& line, std::size_t byte) {
        const auto before = [](const Cell& c, std::size_t b) { return c.glyph.begin < b; };
        return static_cast<std::size_t>(std::lower_bound(line.begin(), line.end(), byte, before) - line.begin());
    }

    struct Placed {
        std::size_t column = 0;
        std::string label;
    };

    static std::size_t indent_of(const Row& row) {
        return std::min(row.line.find_first_not_of(" \t"), row.line.size());
    }

    static bool is_whole_line(const Row& row) {
        if (row.marks.size() != 1) return false;
        const std::size_t first = row.line.find_first_not_of(" \t"), last = row.line.find_last_not_of(" \t");
        return first != std::string_view::npos && row.marks[0].begin <= first && row.marks[0].end > last;
    }

    /// The label of the last mark beside it where there is room, the others below, the rightmost first. `marks_end`: columns taken by
    /// the line of marks, which is still open; 0 where there is none.
    void labels(std::vector<Placed> placed, std::size_t marks_end) {
        std::stable_sort(placed.begin(), placed.end(),
                         [](const Placed& a, const Placed& b) { return a.column < b.column; });
        std::erase_if(placed, [](const Placed& p) { return p.label.empty(); });
        if (marks_end > 0) {
            if (!placed.empty() && marks_end + 1 + columns(placed.back().label) <= room()) {
                out_ += ' ' + printable(placed.back().label);
                placed.pop_back();
            }
            out_ += '\n';
        }
        for (; !placed.empty(); placed.pop_back()) {
            const Placed& p = placed.back();
            const std::size_t wide = std::min(columns(p.label), room());
            const std::size_t at = std::min(p.column, room() - wide);
            for (const std::string& line : wrap(p.label, room() - at, room() - at)) {
                gutter("");
                out_ += ' ' + std::string(at, ' ') + line + '\n';
            }
        }
    }

    const Screen& screen_;
    Ink mark_ink_;
    std::size_t gutter_;
    std::string out_;
};

/// Gathers the lines that citations touch.
class Rows {
  public:
    explicit Rows(const Sources& sources) : sources_(sources) {}

    void add(const Citation& cite) {
        const Span s = cite.span;
        if (!s.exists() || s.source >= sources_.count()) return;
        const std::size_t size = sources_.at(s.source).text.size();
        const auto begin = static_cast<std::uint32_t>(std::min<std::size_t>(s.begin, size));
        const auto end = static_cast<std::uint32_t>(std::min<std::size_t>(std::max(s.begin, s.end), size));
        std::uint32_t first_begin = 0, last_begin = 0;
        const std::string_view first = sources_.line_at(s.source, begin, &first_begin);
        const std::string_view last = sources_.line_at(s.source, end > begin ? end - 1 : end, &last_begin);
        if (first_begin == last_begin) {
            mark(s.source, first_begin, first, begin - first_begin,
                 std::min<std::size_t>(end - first_begin, first.size()), cite.label);
            return;
        }
        mark(s.source, first_begin, first, std::min<std::size_t>(begin - first_begin, first.size()), first.size(), {});
        const std::size_t blank = std::min(last.find_first_not_of(" \t"), last.size());
        mark(s.source, last_begin, last, std::min<std::size_t>(blank, end - last_begin),
             std::min<std::size_t>(end - last_begin, last.size()), cite.label);
    }

    std::vector<Row>& rows() { return rows_; }
    std::size_t left_out() const { return left_out_.size(); }

  private:
    void mark(std::uint32_t source, std::uint32_t line_begin, std::string_view line, std::size_t begin, std::size_t end,
              const std::string& label) {
        const auto same = [&](const Row& r) { return r.source == source && r.line_begin == line_begin; };
        auto row = std::find_if(rows_.begin(), rows_.end(), same);
        if (row == rows_.end()) {
            if (rows_.size() == most_lines_shown) {
                left_out_.emplace(source, line_begin);
                return;
            }
            row = rows_.insert(rows_.end(), Row{source, line_begin, line, {}});
        }
        const auto twin = std::find_if(row->marks.begin(), row->marks.end(),
                                       [&](const Mark& m) { return m.begin == begin && m.end == end; });
        if (twin == row->marks.end())
            row->marks.push_back({begin, end, label});
        else if (twin->label.empty())
            twin->label = label;
    }

    const Sources& sources_;
    std::vector<Row> rows_;
    std::set<std::pair<std::uint32_t, std::uint32_t>> left_out_;
};

} // namespace

std::string excerpt(const Sources& sources, std::span<const Citation> cites, const Screen& screen, Ink mark_ink) {
    Rows gathered(sources);
    for (const Citation& cite : cites) gathered.add(cite);
    std::vector<Row>& rows = gathered.rows();
    if (rows.empty()) return {};

    const std::uint32_t main_source = rows.front().source;
    std::stable_sort(rows.begin(), rows.end(), [&](const Row& a, const Row& b) {
        if (a.source != b.source) return a.source == main_source || (b.source != main_source && a.source < b.source);
        return a.line_begin < b.line_begin;
    });
    std::vector<std::size_t> numbers;
    for (const Row& row : rows) numbers.push_back(sources.position(row.source, row.line_begin).line);

    Writer writer(screen, mark_ink, std::to_string(*std::max_element(numbers.begin(), numbers.end())).size());
    std::uint32_t source = 0;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (rows[i].source != source) {
            source = rows[i].source;
            writer.announce(sources.at(source).name);
        }
        writer.row(numbers[i], rows[i]);
    }
    if (gathered.left_out() > 0) writer.more(gathered.left_out());
    return writer.take();
}

} // namespace loomproof::report
