#include "draw/key.hpp"

#include "draw/side_tables.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <sstream>

namespace loomproof::draw {
namespace {

constexpr double row = 28, to_middle = 12, sample = 44, gap = 10, between = 34;

class Key {
  public:
    Key(Picture& out, const Sketch& sketch, Point at, double width)
        : out_(out), sketch_(sketch), at_(at), x_(at.x), y_(at.y), right_(at.x + width) {}

    void run() {
        // A flag with "job A" behind it needs no heading, and its room is better given to a table.
        if (sketch_.shows_changes) heading_ = "What the jobs changed";
        for (const Job& job : sketch_.jobs)
            if (seen_job(job.letter)) flag(job);
        if (sketch_.shows_changes) changes();
        for (const std::string& line : sketch_.removed) words(line);
        doubts();
    }

  private:
    void changes() {
        if (seen_wire([](const Wire& w) { return w.added; })) added();
        if (seen_symbol([](const Symbol& s) {
                return s.kind == SymbolKind::cut || (s.kind == SymbolKind::joint && s.joint == JointStyle::cut);
            }))
            cut();
        if (seen_kind(SymbolKind::cap) || seen_symbol([](const Symbol& s) { return s.joint == JointStyle::capped; }))
            end_of(SymbolKind::cap, "wire end capped off");
        if (seen_symbol([](const Symbol& s) { return s.joint == JointStyle::left_open; })) left_open();
        // What a planned job takes out is still there.
        for (const bool planned : {false, true}) {
            if (seen_symbol([&](const Symbol& s) { return s.kind == SymbolKind::gone && s.planned == planned; }))
                end_of(SymbolKind::gone, planned ? "is here, to be taken off" : "was here, taken off");
            if (seen_symbol(
                    [&](const Symbol& s) { return s.removed && s.kind != SymbolKind::gone && s.planned == planned; }))
                ghost(planned ? "part to be taken out, still there" : "part that is no longer there");
            if (seen_wire([&](const Wire& w) { return w.removed && !w.mounting && w.planned == planned; }))
                ghost_wire(planned ? "wire to be taken out, still there" : "wire that is no longer there");
        }
    }

    // What is printed and is no plain fact; what nobody knows.
    void doubts() {
        begin("Marks on this sheet");
        for (const auto& [which, text] : {std::pair{&Doubts::about, "about, or a usual figure that nobody measured"},
                                          {&Doubts::guessed, "a guess"},
                                          {&Doubts::not_known, "not known yet: measure it or read it off the part"}})
            if (const std::string as_printed = first_figure(which); !as_printed.empty()) sign(as_printed, text);
        if (seen_kind(SymbolKind::open_end))
            end_of(SymbolKind::open_end, "open or not traced: find out before you connect it");
        if (seen_wire([](const Wire& w) { return !w.mounting && w.colour.main.empty(); })) colourless();
    }

    // "60 Ah?" of the words that are printed: a sample that stands on the sheet.
    static std::string figure_in(const std::string& text, bool Doubts::*which) {
        static const std::set<std::string> units{"A", "V", "W", "m", "mm2", "Ah", "ohm", "bar", "F", "uF", "\u00B0C"};
        std::istringstream in(text);
        std::vector<std::string> words;
        for (std::string word; in >> word;) {
            if (word.size() > 1 && word.back() == ',') word.pop_back();
            words.push_back(std::move(word));
        }
        const auto is_figure = [](const std::string& word) {
            return std::any_of(word.begin(), word.end(), [](char c) { return c >= '0' && c <= '9'; });
        };
        for (std::size_t i = 0; i < words.size(); ++i) {
            const std::string& word = words[i];
            const std::string next = i + 1 < words.size() ? words[i + 1] : "";
            if (which == &Doubts::about && word.front() == '~' && is_figure(word))
                return units.contains(next) ? word + " " + next : word;
            if (which == &Doubts::not_known && word == "?") return word + (next.empty() ? "" : " " + next);
            if (which != &Doubts::guessed || word.size() < 2 || word.back() != '?') continue;
            if (i > 0 && units.contains(word.substr(0, word.size() - 1)) && is_figure(words[i - 1]))
                return words[i - 1] + " " + word;
            if (is_figure(word)) return word;
        }
        return "";
    }
    std::string first_figure(bool Doubts::*which) const {
        for (const Symbol& s : sketch_.symbols) {
            if (!(s.doubts.*which)) continue;
            if (std::string found = figure_in(s.rating, which); !found.empty()) return found;
            for (const std::string& line : s.lines)
                if (std::string found = figure_in(line, which); !found.empty()) return found;
        }
        for (const Wire& w : sketch_.wires) {
            if (!(w.doubts.*which)) continue;
            for (const std::string* text : {&w.length, &w.label})
                if (std::string found = figure_in(*text, which); !found.empty()) return found;
        }
        return "";
    }

    // The next marks stand under a heading of their own.
    void begin(const char* heading) {
        if (x_ > at_.x) y_ += row;
        x_ = at_.x;
        heading_ = heading;
    }

    template <class Test> bool seen_wire(Test test) const {
        return std::any_of(sketch_.wires.begin(), sketch_.wires.end(), test);
    }
    template <class Test> bool seen_symbol(Test test) const {
        return std::any_of(sketch_.symbols.begin(), sketch_.symbols.end(), test);
    }
    bool seen_kind(SymbolKind kind) const {
        return seen_symbol([&](const Symbol& s) { return s.kind == kind; });
    }
    bool seen_job(char letter) const {
        return seen_wire([&](const Wire& w) { return w.job == letter; }) ||
               seen_symbol([&](const Symbol& s) { return s.job == letter; }) ||
               std::any_of(sketch_.removed.begin(), sketch_.removed.end(),
                           [&](const std::string& line) { return line.front() == letter; });
    }

    // Only above something.
    void write_heading() {
        if (heading_.empty()) return;
        if (y_ > at_.y) y_ += 12;
        Pen(out_, {0, 0}, 0, false).word({at_.x, y_ + 8}, heading_, WordKind::heading, Anchor::start);
        y_ += 24;
        heading_.clear();
    }

    // Room for a sample and its words; in the next row where this one is full.
    Point place(double sample_width, const std::string& text) {
        write_heading();
        const double wide =
            sample_width + gap + paper::text_width(text, size_of(WordKind::line), paper::Weight::normal);
        if (x_ > at_.x && x_ + wide > right_) {
            x_ = at_.x;
            y_ += row;
        }
        const Point here{x_, y_};
        Pen(out_, {0, 0}, 0, false)
            .word({x_ + sample_width + gap, y_ + to_middle}, text, WordKind::line, Anchor::start);
        x_ += wide + between;
        return here;
    }
    static double middle(Point p) { return p.y + to_middle; }

    void flag(const Job& job) {
        const Point p = place(15, std::string("job ") + job.letter + ", " + job.title + ", " + job.status);
        const Pen pen(out_, {0, 0}, 0, false);
        pen.box({p.x, middle(p) - 8, p.x + 15, middle(p) + 8}, job.planned ? Look::planned : Look::flag);
        pen.word({p.x + 7.5, middle(p)}, std::string(1, job.letter), WordKind::flag);
    }
    void sign(const std::string& sample_text, const std::string& text) {
        const Point p = place(
            std::max(sample, paper::text_width(sample_text, size_of(WordKind::rating), paper::Weight::bold)), text);
        Pen(out_, {0, 0}, 0, false).word({p.x, middle(p)}, sample_text, WordKind::rating, Anchor::start);
    }
    void ghost_wire(const std::string& text) {
        const Point p = place(sample, text);
        const Pen pen(out_, {0, 0}, 0, false);
        for (const double side : {-1.0, 1.0})
            pen.line({{p.x, middle(p) + 2.5 * side}, {p.x + sample, middle(p) + 2.5 * side}}, Look::dashed);
    }
    // As svg.cpp draws it: a tube with dots in it.
    void colourless() {
        const Point p = place(sample, "colour of the wire not said");
        const Pen pen(out_, {0, 0}, 0, false);
        for (const double side : {-1.0, 1.0})
            pen.line({{p.x, middle(p) + 2.5 * side}, {p.x + sample, middle(p) + 2.5 * side}}, Look::ink);
        for (double x = p.x + 3; x < p.x + sample; x += 7) pen.line({{x, middle(p)}, {x + 2, middle(p)}}, Look::hair);
    }
    void added() {
        const Point p = place(sample, "wire that a job added");
        const Pen pen(out_, {0, 0}, 0, false);
        for (const double side : {-1.0, 1.0})
            pen.line({{p.x, middle(p) + 5 * side}, {p.x + sample, middle(p) + 5 * side}}, Look::ink);
        pen.line({{p.x, middle(p)}, {p.x + sample, middle(p)}}, Look::rail);
    }
    void cut() {
        const Point p = place(24, "the maker's wire was cut here");
        const Pen pen(out_, {p.x, middle(p) - 10}, column, false);
        pen.line({{12, 0}, {12, 20}}, Look::ink);
        for (const double y : {7.0, 13.0}) pen.line({{1, y}, {23, y}}, Look::heavy);
    }
    // As symbols_joint.cpp draws it.
    void left_open() {
        const Point p = place(24, "wire end that a job leaves open: cap or insulate it");
        const Pen pen(out_, {p.x, middle(p) - 9}, column, false);
        pen.line({{12, 0}, {12, 9}});
        for (const double x : {4.0, 12.0, 20.0}) pen.line({{12, 9}, {x, 17}}, Look::heavy);
    }
    void ghost(const std::string& text) {
        const Point p = place(24, text);
        const Pen pen(out_, {0, 0}, 0, false);
        pen.box({p.x, middle(p) - 8, p.x + 24, middle(p) + 8}, Look::dashed);
    }
    void end_of(SymbolKind kind, const std::string& text) {
        const Point p = place(24, text);
        Symbol symbol;
        symbol.kind = kind;
        symbol.terminals = {Terminal{}};
        const SymbolRow& table = row_of(kind);
        const Shape shape = table.shape(symbol, {std::optional<Edge>(Edge::top)});
        table.paint(Pen(out_, {p.x, middle(p) - 9}, column, false), symbol, shape);
    }
    void words(const std::string& line) {
        write_heading();
        if (x_ > at_.x) y_ += row;
        x_ = at_.x;
        for (const std::string& text :
             paper::broken_into_lines(line, right_ - at_.x, size_of(WordKind::line), paper::Weight::normal)) {
            Pen(out_, {0, 0}, 0, false).word({at_.x, y_ + 8}, text, WordKind::line, Anchor::start);
            y_ += 18;
        }
    }

    Picture& out_;
    const Sketch& sketch_;
    Point at_;
    double x_, y_, right_;
    std::string heading_; ///< not written yet
};

} // namespace

std::vector<SideTable> unplaced_of(const Sketch& sketch, const Placed& placed, std::vector<std::string>& labels) {
    std::map<int, std::string> said;
    for (const Placed::Unplaced& u : placed.unplaced) {
        const Wire& wire = sketch.wires[static_cast<std::size_t>(u.wire)];
        std::string& line = said.try_emplace(u.wire, wire.label).first->second;
        if (u.text == wire.label) continue;
        const bool is_length = !wire.length.empty() && u.text.ends_with(wire.length + wire.piece);
        const bool is_mark = std::find(wire.remarks.begin(), wire.remarks.end(), u.text) != wire.remarks.end();
        line += (line.empty() ? "" : ", ") + (is_length ? wire.length + wire.piece
                                              : is_mark ? "mark " + number_of_mark(u.text)
                                                        : u.text);
    }
    if (said.empty()) return {};
    const auto end_in_words = [&](const End& end) {
        const Symbol& symbol = sketch.symbols[static_cast<std::size_t>(end.symbol)];
        const std::string& stamp = symbol.terminals[static_cast<std::size_t>(end.terminal)].stamp;
        if (symbol.kind == SymbolKind::off_sheet) return std::string("another sheet");
        return (symbol.name.empty() ? symbol.key : symbol.name) + (stamp.empty() ? "" : ":" + stamp);
    };
    SideTable table;
    table.title = "Wires beside which these words had no room";
    table.head = {"wire", "from", "to"};
    for (const auto& [w, line] : said) {
        const Wire& wire = sketch.wires[static_cast<std::size_t>(w)];
        table.rows.push_back({line, end_in_words(wire.a), end_in_words(wire.b)});
        labels.push_back(wire.label.empty() ? wire.key : wire.label);
    }
    return {table};
}

void paint_key(Picture& out, const Sketch& sketch, const std::vector<SideTable>& unplaced, Point at, double width) {
    if (!unplaced.empty()) {
        paint_side_tables(out, unplaced, at, width);
        at.y += height_of(unplaced, width) + 34;
    }
    Key(out, sketch, at, width).run();
}

} // namespace loomproof::draw
