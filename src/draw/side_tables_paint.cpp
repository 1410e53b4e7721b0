// Side tables on paper: their widths, line breaks and places.
#include "draw/faces.hpp"
#include "draw/side_tables.hpp"

#include <algorithm>

namespace loomproof::draw {
namespace {

constexpr double row_height = 21, cell_edge = 7, between = 26, title_height = 22, note_height = 18, line_pitch = 17,
                 below_face = 10;

using Lines = std::vector<std::string>;

struct Measured {
    std::vector<double> columns, rows;     ///< widths and heights
    std::vector<std::vector<Lines>> cells; ///< by row (the head first) and column
    Lines notes;
    FaceSize face;
    double width = 0, height = 0;
};

WordKind kind_of(std::size_t row, std::size_t cell) {
    return row == 0 ? WordKind::line : cell == 0 ? WordKind::stamp : WordKind::label;
}

const std::vector<std::string>& cells_of(const SideTable& table, std::size_t row) {
    return row == 0 ? table.head : table.rows[row - 1];
}

double width_of(const std::string& text, WordKind kind) {
    return paper::text_width(text, size_of(kind), weight_of(kind));
}

// With cells broken to lines no wider than `widest`, notes to the table's width.
Measured measured(const SideTable& table, double widest, double notes_widest) {
    Measured m;
    m.columns.assign(table.head.size(), 0);
    m.face = size_of(table.face);
    for (std::size_t r = 0; !table.head.empty() && r <= table.rows.size(); ++r) {
        std::size_t most = 1;
        m.cells.emplace_back();
        for (std::size_t c = 0; c < m.columns.size(); ++c) {
            const WordKind kind = kind_of(r, c);
            Lines lines = paper::broken_into_lines(cells_of(table, r)[c], widest, size_of(kind), weight_of(kind));
            for (const std::string& line : lines)
                m.columns[c] = std::max(m.columns[c], width_of(line, kind) + 2 * cell_edge);
            most = std::max(most, lines.size());
            m.cells.back().push_back(std::move(lines));
        }
        m.rows.push_back(row_height + line_pitch * static_cast<double>(most - 1));
    }
    for (const double c : m.columns) m.width += c;
    m.width = std::max({m.width, m.face.width, width_of(table.title, WordKind::name)});
    for (const std::string& note : table.notes)
        for (std::string& line : paper::broken_into_lines(note, std::max(notes_widest, m.width),
                                                          size_of(WordKind::line), weight_of(WordKind::line))) {
            m.width = std::max(m.width, width_of(line, WordKind::line));
            m.notes.push_back(std::move(line));
        }
    m.height = title_height + note_height * static_cast<double>(m.notes.size());
    if (m.face.height > 0) m.height += m.face.height + 4 + (table.head.empty() ? 0 : below_face);
    for (const double r : m.rows) m.height += r;
    return m;
}

// As wide as it likes to be; where there is not so much room, with broken cells.
Measured measure(const SideTable& table, double room) {
    constexpr double anything = 1e6, narrowest = 70;
    Measured best = measured(table, anything, anything);
    for (double widest = best.width / 2; best.width > room && widest >= narrowest; widest *= 0.85)
        best = measured(table, widest, 0);
    return best;
}

void paint(const Pen& pen, const SideTable& table, const Measured& m) {
    double y = title_height / 2 - 2;
    pen.word({0, y}, table.title, WordKind::name, Anchor::start);
    y = title_height;
    for (const std::string& note : m.notes) {
        pen.word({0, y + note_height / 2 - 1}, note, WordKind::line, Anchor::start);
        y += note_height;
    }
    if (m.face.height > 0) {
        paint_face(pen.moved({0, y + 4}), table.face);
        y += m.face.height + 4 + below_face;
    }
    if (table.head.empty()) return;
    double right = 0;
    for (const double c : m.columns) right += c;
    const double top = y, bottom = m.height;
    pen.box({0, top, right, bottom});
    for (std::size_t r = 0; r < m.rows.size(); ++r) {
        if (r == 1)
            pen.line({{0, y}, {right, y}});
        else if (r > 1)
            pen.line({{0, y}, {right, y}}, Look::hair);
        double x = 0;
        for (std::size_t c = 0; c < m.columns.size(); ++c) {
            for (std::size_t line = 0; line < m.cells[r][c].size(); ++line)
                pen.word({x + cell_edge, y + row_height / 2 + line_pitch * static_cast<double>(line)},
                         m.cells[r][c][line], kind_of(r, c), Anchor::start);
            x += m.columns[c];
        }
        y += m.rows[r];
    }
    double x = 0;
    for (std::size_t c = 0; c + 1 < m.columns.size(); ++c) {
        x += m.columns[c];
        pen.line({{x, top}, {x, bottom}}, Look::hair);
    }
}

// Side by side as far as the width goes, then in further rows; gives their whole height.
template <class Put> double side_by_side(const std::vector<SideTable>& tables, double width, Put put) {
    double x = 0, y = 0, tallest = 0;
    for (const SideTable& table : tables) {
        const Measured m = measure(table, width);
        if (x > 0 && x + m.width > width) {
            x = 0;
            y += tallest + between;
            tallest = 0;
        }
        put(table, m, x, y);
        x += m.width + between;
        tallest = std::max(tallest, m.height);
    }
    return y + tallest;
}

} // namespace

void paint_side_tables(Picture& out, const std::vector<SideTable>& tables, Point at, double width) {
    side_by_side(tables, width, [&](const SideTable& table, const Measured& m, double x, double y) {
        paint(Pen(out, {at.x + x, at.y + y}, 0, false), table, m);
    });
}

double height_of(const std::vector<SideTable>& tables, double width) {
    return side_by_side(tables, width, [](const SideTable&, const Measured&, double, double) {});
}

TablePages pages_of_tables(const std::vector<SideTable>& tables, double width, double height) {
    TablePages out{std::vector<Picture>(1), {}};
    std::vector<Picture>& pages = out.pages;
    double x = 0, y = 0, tallest = 0;
    bool fresh = true; // the table begins
    const auto put = [&](const SideTable& table, const Measured& m) {
        if (x > 0 && x + m.width > width) {
            x = 0;
            y += tallest + between;
            tallest = 0;
        }
        if (y + m.height > height && (x > 0 || y > 0)) {
            pages.emplace_back();
            x = y = tallest = 0;
        }
        if (fresh) out.first.push_back(pages.size() - 1);
        fresh = false;
        paint(Pen(pages.back(), {x, y}, 0, false), table, m);
        x += m.width + between;
        tallest = std::max(tallest, m.height);
    };
    for (const SideTable& whole : tables) {
        SideTable table = whole;
        fresh = true;
        Measured m = measure(table, width);
        while (m.height > height && table.rows.size() > 1) {
            SideTable piece = table;
            while (measure(piece, width).height > height && piece.rows.size() > 1) piece.rows.pop_back();
            put(piece, measure(piece, width));
            table.rows.erase(table.rows.begin(), table.rows.begin() + static_cast<std::ptrdiff_t>(piece.rows.size()));
            table.face = {};
            table.notes.clear();
            table.title = whole.title + ", continued";
            m = measure(table, width);
        }
        put(table, m);
    }
    return out;
}

} // namespace loomproof::draw
