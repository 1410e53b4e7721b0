#include "draw/side_tables.hpp"

#include "base/words.hpp"

#include <algorithm>

namespace loomproof::draw {
namespace {

// ---- painting

constexpr double row_height = 21, cell_edge = 7, between = 26, title_height = 22, note_height = 18, line_pitch = 17;

using Lines = std::vector<std::string>;

struct Measured {
    std::vector<double> columns, rows;      ///< widths and heights
    std::vector<std::vector<Lines>> cells;  ///< by row (the head first) and column
    Lines notes;
    double width = 0, height = 0;
};

WordKind kind_of(std::size_t row, std::size_t cell) { return row == 0 ? WordKind::line : cell == 0 ? WordKind::stamp : WordKind::label; }

const std::vector<std::string>& cells_of(const SideTable& table, std::size_t row) { return row == 0 ? table.head : table.rows[row - 1]; }

double width_of(const std::string& text, WordKind kind) { return paper::text_width(text, size_of(kind), weight_of(kind)); }

// With cells broken to lines no wider than `widest`, notes to the table's width.
Measured measured(const SideTable& table, double widest, double notes_widest) {
    Measured m;
    m.columns.assign(table.head.size(), 0);
    for (std::size_t r = 0; r <= table.rows.size(); ++r) {
        std::size_t most = 1;
        m.cells.emplace_back();
        for (std::size_t c = 0; c < m.columns.size(); ++c) {
            const WordKind kind = kind_of(r, c);
            Lines lines = paper::broken_into_lines(cells_of(table, r)[c], widest, size_of(kind), weight_of(kind));
            for (const std::string& line : lines) m.columns[c] = std::max(m.columns[c], width_of(line, kind) + 2 * cell_edge);
            most = std::max(most, lines.size());
            m.cells.back().push_back(std::move(lines));
        }
        m.rows.push_back(row_height + line_pitch * static_cast<double>(most - 1));
    }
    for (const double c : m.columns) m.width += c;
    m.width = std::max(m.width, width_of(table.title, WordKind::name));
    for (const std::string& note : table.notes)
        for (std::string& line : paper::broken_into_lines(note, std::max(notes_widest, m.width), size_of(WordKind::line), weight_of(WordKind::line))) {
            m.width = std::max(m.width, width_of(line, WordKind::line));
            m.notes.push_back(std::move(line));
        }
    m.height = title_height + note_height * static_cast<double>(m.notes.size());
    for (const double r : m.rows) m.height += r;
    return m;
}

// As wide as it likes to be; where there is not so much room, with broken cells.
Measured measure(const SideTable& table, double room) {
    constexpr double anything = 1e6, narrowest = 70;
    Measured best = measured(table, anything, anything);
    for (double widest = best.width / 2; best.width > room && widest >= narrowest; widest *= 0.85) best = measured(table, widest, 0);
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
    double right = 0;
    for (const double c : m.columns) right += c;
    const double top = y, bottom = m.height;
    pen.box({0, top, right, bottom});
    for (std::size_t r = 0; r < m.rows.size(); ++r) {
        if (r == 1) pen.line({{0, y}, {right, y}});
        else if (r > 1) pen.line({{0, y}, {right, y}}, Look::hair);
        double x = 0;
        for (std::size_t c = 0; c < m.columns.size(); ++c) {
            for (std::size_t line = 0; line < m.cells[r][c].size(); ++line)
                pen.word({x + cell_edge, y + row_height / 2 + line_pitch * static_cast<double>(line)}, m.cells[r][c][line], kind_of(r, c), Anchor::start);
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

// ---- what stands in them

class Tabler {
  public:
    explicit Tabler(const View& view) : view_(view), c_(view.circuit()) {}

    std::vector<SideTable> run() {
        for (const PartId id : view_.parts()) {
            if (c_.at(id).kind == Kind::connector) add_plug(id);
            if (c_.at(id).kind == Kind::relay) add_base(id);
        }
        return std::move(tables_);
    }

  private:
    static std::string joined(std::initializer_list<std::string> words, const char* by) {
        std::string out;
        for (const std::string& word : words)
            if (!word.empty()) out += (out.empty() ? "" : by) + word;
        return out;
    }

    using CircuitWire = loomproof::Wire;
    static std::string colour_of(const CircuitWire& w) { return w.colours.main + (w.colours.stripe.empty() ? "" : "/" + w.colours.stripe); }

    // "W14 1.5 BU/WH"
    std::string said(WireId id) const {
        const CircuitWire& w = c_.at(id);
        std::string size = w.size;
        if (size.ends_with(" mm2")) size.erase(size.size() - 4);
        return joined({w.named ? w.name : "", size, colour_of(w)}, " ");
    }

    // Where the wire goes: over a joint in the run, the wire behind it.
    std::string other_end(WireId id, TerminalId here) const {
        const TerminalId there = c_.at(id).other(here);
        const Part& part = c_.part_of(there);
        const std::vector<WireId>& wires = view_.wires_at(there);
        if ((part.kind == Kind::cut || part.kind == Kind::loose_end) && wires.size() == 2) return "joined to " + name_of(c_, wires[0] == id ? wires[1] : wires[0]);
        return name_of(c_, there);
    }

    std::string title_of(PartId id) const {
        const Part& part = c_.at(id);
        return joined({part.name, part.label}, " ") + (part.place.exists() ? ", " + c_.at(part.place).name : "");
    }

    // ---- plugs

    // Other holes of the same half with a wire of the same colour.
    std::string twins(PartId id, TerminalId here) const {
        const std::vector<WireId>& wires = view_.wires_at(here);
        if (wires.empty() || c_.at(wires.front()).colours.main.empty()) return {};
        std::string holes;
        for (const TerminalId t : c_.at(id).terminals) {
            if (t == here || c_.at(t).half != c_.at(here).half || view_.wires_at(t).empty()) continue;
            if (c_.at(view_.wires_at(t).front()).colours == c_.at(wires.front()).colours) holes += (holes.empty() ? "" : ", ") + c_.at(t).stamp;
        }
        return holes.empty() ? "" : "colour also in " + holes;
    }

    std::string cell(PartId id, TerminalId t) const {
        std::string text;
        for (const WireId w : view_.wires_at(t)) text += (text.empty() ? "" : " and ") + said(w) + ", " + other_end(w, t);
        const std::string twin = twins(id, t);
        return text.empty() ? "no wire" : text + (twin.empty() ? "" : "; " + twin);
    }

    void add_plug(PartId id) {
        const Part& part = c_.at(id);
        SideTable table;
        table.title = title_of(id);
        const std::string side = view_.word(id, Attr::wire_side), latch = view_.word(id, Attr::latch), mine = view_.word(id, Attr::numbering);
        const std::string seen = side.empty() ? "" : side.starts_with("mating") ? "seen from the side that plugs together" : "seen from the side where the wires go in";
        const std::string numbered = mine.empty() ? "" : mine.find("mine") != std::string::npos ? "numbers yours" : "numbers as moulded";
        const std::string half = view_.word(id, Attr::plus_side);
        if (const std::string note = joined({seen, latch.empty() ? "" : "latch " + latch, numbered}, ", "); !note.empty()) table.notes.push_back(note);
        if (seen.empty() || half.empty())
            table.notes.push_back("not said: " + joined({seen.empty() ? "side it is seen from" : "", half.empty() ? "half on the loom" : ""}, ", "));
        bool second = false;
        for (std::size_t i = 0; i + 1 < part.terminals.size(); i += 2) second = second || !view_.wires_at(part.terminals[i + 1]).empty();
        table.head = {"hole", half.empty() ? "one half" : half + " side"};
        if (second) table.head.push_back(half.empty() ? "other half" : "other side");
        for (std::size_t i = 0; i + 1 < part.terminals.size(); i += 2) {
            const TerminalId a = part.terminals[i], b = part.terminals[i + 1];
            if (view_.wires_at(a).empty() && view_.wires_at(b).empty()) continue;
            table.rows.push_back({c_.at(a).stamp, cell(id, a)});
            if (second) table.rows.back().push_back(cell(id, b));
            table.about.push_back(part.name + ":" + c_.at(a).stamp);
        }
        if (!table.rows.empty()) tables_.push_back(std::move(table));
    }

    // ---- relays

    static const char* use_of(Role role) {
        switch (role) {
        case Role::coil_plus:
        case Role::coil_minus: return "coil";
        case Role::common: return "contact, common";
        case Role::make: return "when pulled in";
        case Role::rest: return "at rest";
        default: return "";
        }
    }

    void add_base(PartId id) {
        const Part& part = c_.at(id);
        SideTable table;
        table.title = title_of(id);
        table.notes.push_back("by the moulded numbers: where each stands differs from base to base");
        table.head = {"number", "", "wire", "goes to"};
        table.about = {part.name};
        bool wired = false;
        for (const TerminalId t : part.terminals) {
            if (c_.at(t).internal) continue;
            std::string wires, ends;
            for (const WireId w : view_.wires_at(t)) {
                wires += (wires.empty() ? "" : " and ") + said(w);
                ends += (ends.empty() ? "" : " and ") + other_end(w, t);
            }
            wired = wired || !wires.empty();
            table.rows.push_back({c_.at(t).stamp, use_of(c_.at(t).role), wires.empty() ? "free" : wires, ends});
        }
        if (wired) tables_.push_back(std::move(table));
    }

    const View& view_;
    const Circuit& c_;
    std::vector<SideTable> tables_;
};

} // namespace

void paint_side_tables(Picture& out, const std::vector<SideTable>& tables, Point at, double width) {
    double x = at.x, y = at.y, tallest = 0;
    for (const SideTable& table : tables) {
        const Measured m = measure(table, width);
        if (x > at.x && x + m.width > at.x + width) {
            x = at.x;
            y += tallest + between;
            tallest = 0;
        }
        paint(Pen(out, {x, y}, 0, false), table, m);
        x += m.width + between;
        tallest = std::max(tallest, m.height);
    }
}

std::vector<SideTable> side_tables_of(const View& view) { return Tabler(view).run(); }

} // namespace loomproof::draw
