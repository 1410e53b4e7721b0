#include "draw/changes.hpp"

#include "base/number.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <map>

namespace loomproof::draw {
namespace {

// Ends that are nobody's terminal: where a wire was cut or hangs loose.
bool is_loose(const Part& part) {
    return part.kind == Kind::cut || part.kind == Kind::loose_end || part.kind == Kind::unknown_end;
}

struct Successors {
    explicit Successors(const Circuit& circuit) : of(circuit.wires.size()) {
        for (std::size_t w = 0; w < circuit.wires.size(); ++w)
            if (circuit.wires[w].cut_from.exists()) of[circuit.wires[w].cut_from.index].push_back(w);
    }
    std::vector<std::vector<std::size_t>> of;
};

} // namespace

std::vector<TakenOff> taken_off(const View& view) {
    const Circuit& circuit = view.circuit();
    const Successors successors(circuit);
    std::vector<TakenOff> out;
    for (std::size_t w = 0; w < circuit.wires.size(); ++w) {
        const loomproof::Wire& wire = circuit.wires[w];
        if (wire.life.gone > view.revision()) continue;
        const std::vector<std::size_t>& next = successors.of[w];
        for (const bool at_a : {true, false}) {
            const TerminalId from = at_a ? wire.a : wire.b, to = at_a ? wire.b : wire.a;
            const bool stays = std::any_of(next.begin(), next.end(), [&](std::size_t n) {
                return circuit.wires[n].a == from || circuit.wires[n].b == from;
            });
            const PartId part = circuit.at(from).part;
            if (stays || is_loose(circuit.at(part)) || !view.alive(part)) continue;
            TakenOff end;
            end.wire.index = static_cast<decltype(end.wire.index)>(w);
            end.from = from;
            end.to = to;
            end.revision = wire.life.gone;
            end.moved = !next.empty();
            out.push_back(end);
        }
    }
    return out;
}

std::vector<Ghost> ghosts(const View& view) {
    const Circuit& circuit = view.circuit();
    std::vector<Ghost> found;
    const auto note = [&](TerminalId was, TerminalId is) {
        if (was == is || circuit.part_of(is).kind != Kind::loose_end) return;
        const PartId id = circuit.at(was).part;
        const Part& part = circuit.at(id);
        const bool leaves_none =
            part.kind == Kind::connector || part.kind == Kind::ground || part.kind == Kind::metal || is_loose(part);
        if (leaves_none || part.life.gone > view.revision()) return;
        auto at = std::find_if(found.begin(), found.end(), [&](const Ghost& g) { return g.part == id; });
        if (at == found.end()) at = found.insert(found.end(), {id, part.life.gone, {}});
        // Several wires that were at one terminal share one loose end.
        const bool known =
            std::any_of(at->left.begin(), at->left.end(), [&](const Ghost::Left& l) { return l.is == is; });
        if (!known) at->left.push_back({was, is});
    };
    for (const WireId w : view.wires()) {
        const loomproof::Wire& wire = circuit.at(w);
        if (!wire.cut_from.exists()) continue;
        const loomproof::Wire& before = circuit.at(wire.cut_from);
        note(before.a, wire.a);
        note(before.b, wire.b);
    }
    return found;
}

std::vector<std::string> removed_in_words(const View& view) {
    const Circuit& circuit = view.circuit();
    const Successors successors(circuit);
    std::map<Revision, std::vector<std::string>> gone;
    for (const Part& part : circuit.parts) {
        if (part.life.gone > view.revision() || is_loose(part)) continue;
        std::string text = part.name + (part.label.empty() ? "" : " " + part.label);
        for (const Attribute& a : part.attributes)
            if (a.key == Attr::kept && !a.word.empty()) text += " (kept in " + a.word + ")";
        gone[part.life.gone].push_back(std::move(text));
    }
    for (std::size_t w = 0; w < circuit.wires.size(); ++w) {
        const loomproof::Wire& wire = circuit.wires[w];
        if (wire.life.gone > view.revision() || !successors.of[w].empty()) continue;
        std::vector<std::string>& names = gone[wire.life.gone];
        if (std::find(names.begin(), names.end(), wire.name) == names.end()) names.push_back(wire.name);
    }
    std::map<Revision, std::vector<std::string>> moved;
    for (const TakenOff& end : taken_off(view))
        if (end.moved) moved[end.revision].push_back(circuit.at(end.wire).name + " off " + name_of(circuit, end.from));
    std::vector<std::string> out;
    const auto say = [&](const auto& by_revision, const char* what) {
        for (const auto& [revision, names] : by_revision) {
            const char letter = revision < circuit.revisions.size() ? circuit.revisions[revision].letter : '\0';
            out.push_back((letter == 0 ? std::string{} : std::string(1, letter) + " ") + what + list_of(names));
        }
    };
    say(gone, "removed: ");
    say(moved, "moved: ");
    return out;
}

namespace {

constexpr double row = 40, sample = 44, gap = 10, between = 34;

class Key {
  public:
    Key(Picture& out, const Sketch& sketch, Point at, double width)
        : out_(out), sketch_(sketch), at_(at), x_(at.x), y_(at.y), right_(at.x + width) {}

    void run() {
        const Pen pen(out_, {0, 0}, 0, false);
        pen.word({at_.x, y_ + 8}, "What the jobs changed", WordKind::heading, Anchor::start);
        y_ += 36;
        for (const Job& job : sketch_.jobs)
            if (seen_job(job.letter)) flag(job);
        if (seen_wire([](const Wire& w) { return w.added; })) added();
        if (seen_symbol([](const Symbol& s) {
                return s.kind == SymbolKind::cut || (s.kind == SymbolKind::joint && s.joint == JointStyle::cut);
            }))
            cut();
        if (seen_kind(SymbolKind::cap) || seen_symbol([](const Symbol& s) { return s.joint == JointStyle::capped; }))
            end_of(SymbolKind::cap, "wire end capped off");
        if (seen_kind(SymbolKind::gone)) end_of(SymbolKind::gone, "was here, taken off");
        if (seen_symbol([](const Symbol& s) { return s.removed && s.kind != SymbolKind::gone; })) ghost();
        for (const std::string& line : sketch_.removed) words(line);
    }

  private:
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

    // Room for a sample and its words; in the next row where this one is full.
    Point place(double sample_width, const std::string& text) {
        const double wide =
            sample_width + gap + paper::text_width(text, size_of(WordKind::line), paper::Weight::normal);
        if (x_ > at_.x && x_ + wide > right_) {
            x_ = at_.x;
            y_ += row;
        }
        const Point here{x_, y_};
        Pen(out_, {0, 0}, 0, false)
            .word({x_ + sample_width + gap, y_ + row / 2 - 8}, text, WordKind::line, Anchor::start);
        x_ += wide + between;
        return here;
    }
    static double middle(Point p) { return p.y + row / 2 - 8; }

    void flag(const Job& job) {
        const Point p = place(15, job.title + ", " + job.status);
        const Pen pen(out_, {0, 0}, 0, false);
        pen.box({p.x, middle(p) - 8, p.x + 15, middle(p) + 8}, Look::frame);
        pen.word({p.x + 7.5, middle(p)}, std::string(1, job.letter), WordKind::flag);
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
    void ghost() {
        const Point p = place(24, "part that is no longer there");
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
};

} // namespace

void paint_change_key(Picture& out, const Sketch& sketch, Point at, double width) {
    if (sketch.shows_changes) Key(out, sketch, at, width).run();
}

} // namespace loomproof::draw
