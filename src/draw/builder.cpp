#include "draw/builder.hpp"

#include "draw/around.hpp"
#include "draw/headings.hpp"
#include "draw/key.hpp"
#include "draw/posts.hpp"
#include "draw/studs.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr double margin = sheet_margin;
constexpr int whole_wire_round = 3;
constexpr int lane_rounds = 5;

void move(Box& b, double x, double y) { b = {b.left + x, b.top + y, b.right + x, b.bottom + y}; }
void move(Point& p, double x, double y) { p = {p.x + x, p.y + y}; }
void move(Picture& picture, double x, double y) {
    for (auto& mark : picture.ink) {
        if (Disc* d = std::get_if<Disc>(&mark))
            move(d->centre, x, y);
        else
            for (Step& s : std::get<Trace>(mark).steps) move(s.to, x, y);
    }
    for (Word& w : picture.words) move(w.at, x, y);
}

} // namespace

void move(Sheet& sheet, double x, double y) {
    sheet.origin += x;
    for (PaintedSymbol& s : sheet.symbols) {
        move(s.picture, x, y);
        move(s.box, x, y);
    }
    for (PaintedWire& w : sheet.wires) {
        for (Point& p : w.path) move(p, x, y);
        for (PaintedWire::Gap& g : w.gaps) g.x += x;
        for (Word& l : w.labels) move(l.at, x, y);
        for (Flag& f : w.flags) move(f.box, x, y);
        for (Leader& l : w.leaders) {
            move(l.at_label, x, y);
            move(l.at_wire, x, y);
        }
    }
    for (auto& [a, b] : sheet.links) {
        move(a, x, y);
        move(b, x, y);
    }
    for (Arrow& a : sheet.arrows) move(a.foot, x, y);
    move(sheet.notes, x, y);
}

namespace {

class Builder {
  public:
    Builder(const Sketch& sketch, Weave weave, std::vector<Point> pages, bool pockets)
        : sketch_(sketch), weave_(std::move(weave)), pages_(std::move(pages)), pockets_(pockets) {}

    Sheet run() {
        const Runs runs = find_runs(weave_);
        paths_ = find_paths(sketch_, weave_, runs);
        note_studs(sketch_, weave_, paths_);
        Lanes lanes(weave_.rows.size(), 0);
        Placed placed;
        for (int round = 0;; ++round) {
            route_ = route(sketch_, weave_, runs, lanes);
            paint_symbols();
            taken_.clear();
            fill_taken();
            placed = place_labels(sketch_, route_, taken_, extent(), round >= whole_wire_round, round == lane_rounds);
            if (placed.homeless.empty() || round == lane_rounds) break;
            widen(lanes, placed.homeless, round);
        }
        name_at_posts(sketch_, route_, taken_, placed);
        sheet_.crossings = route_.crossings;
        sheet_.bends = route_.bends;
        unplaced_ = unplaced_of(sketch_, placed, sheet_.in_table);
        sheet_.left_out = placed.left_out;
        paint_wires(placed);
        link_holes();
        write_path_numbers();
        write_headings(sheet_, sketch_, weave_, paths_, top_of_all());
        number_symbols();
        name_other_halves();
        frame(put_around(sheet_, sketch_, unplaced_, pages_, pockets_ ? &taken_ : nullptr));
        return std::move(sheet_);
    }

  private:
    // ---- symbols

    void paint_symbols() {
        sheet_.symbols.clear();
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            const Node& node = weave_.nodes[s];
            const int id = static_cast<int>(s);
            PaintedSymbol painted;
            painted.symbol = id;
            if (node.type == Node::Type::bar)
                paint_bar_node(painted.picture, node, id);
            else
                paint_body(painted.picture, sketch_.symbols[s], weave_.bodies[s],
                           {node.left * column, top_of(weave_, route_, id)}, node.mirrored);
            painted.box = box_of(painted.picture);
            painted.stood = {node.row, node.left, node.right, node.mirrored};
            sheet_.symbols.push_back(std::move(painted));
        }
    }

    // Of the circuit before any wire has its words; a page that is as wide as it likes to be keeps none back.
    Box extent() const {
        constexpr double anything = 1e9;
        if (pages_.empty()) return {-anything, -anything, anything, anything};
        Box all{};
        for (const PaintedSymbol& s : sheet_.symbols) all.include(s.box);
        for (const std::vector<Point>& path : route_.paths)
            for (const Point& p : path) all.include({p.x, p.y, p.x, p.y});
        return all;
    }

    void paint_bar_node(Picture& out, const Node& node, int id) const {
        std::vector<double> above, below;
        for (const int p : node.above) above.push_back(centre_of(weave_.pieces[index(p)].lower_column));
        for (const int p : node.below) below.push_back(centre_of(weave_.pieces[index(p)].upper_column));
        paint_bar(out, sketch_.symbols[index(node.symbol)], weave_.bodies[index(node.symbol)],
                  {centre_of(node.left), line_of(weave_, route_, id)}, centre_of(node.right), above, below);
    }

    // ---- what is taken before any label is placed

    void fill_taken() {
        for (std::size_t s = 0; s < sheet_.symbols.size(); ++s) {
            const Node& node = weave_.nodes[s];
            const Body& body = weave_.bodies[s];
            const int id = static_cast<int>(s);
            if (node.type == Node::Type::bar) {
                const double y = line_of(weave_, route_, id);
                taken_.add({centre_of(node.left) - 14, y - 6, centre_of(node.right) + 14, y + 9});
            } else {
                const double top = top_of(weave_, route_, id) + 1;
                const double shift = body.shift * column;
                const double ink_left =
                    node.mirrored ? body.cells * column - shift - body.shape.ink_right : shift + body.shape.ink_left;
                const double ink_right =
                    node.mirrored ? body.cells * column - shift - body.shape.ink_left : shift + body.shape.ink_right;
                const double left = node.left * column;
                // Over a battery's bar there is room for the names of the wires at its posts.
                if (sketch_.symbols[s].kind == SymbolKind::battery)
                    take_strokes(sheet_.symbols[s].picture);
                else
                    taken_.add({left + std::min(ink_left, 4.0), top,
                                left + std::max(ink_right, body.cells * column - 4), top + body.height() - 2});
            }
            for (const Word& w : sheet_.symbols[s].picture.words) taken_.add_word(draw::box_of(w));
            take_flags(sheet_.symbols[s].picture);
        }
        for (std::size_t w = 0; w < route_.paths.size(); ++w) {
            const double half = half_width(sketch_.wires[w]);
            const std::vector<Point>& path = route_.paths[w];
            for (std::size_t i = 0; i + 1 < path.size(); ++i) {
                const Point &a = path[i], &b = path[i + 1];
                taken_.add(
                    Box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)}.grown(half));
            }
        }
    }

    // A flag or a mark of check is larger than the letter in it.
    void take_flags(const Picture& picture) {
        for (const auto& ink : picture.ink)
            if (const Trace* const trace = std::get_if<Trace>(&ink);
                trace != nullptr && (trace->look == Look::flag || trace->look == Look::planned ||
                                     trace->look == Look::mark || trace->look == Look::advice))
                taken_.add(box_of(Picture{{ink}, {}}));
    }

    // Line by line, as thick as the bar of its taps; what lies between them stays free.
    void take_strokes(const Picture& picture) {
        constexpr double half = 2;
        for (const auto& ink : picture.ink) {
            const Trace* trace = std::get_if<Trace>(&ink);
            const auto is_line = [](const Step& s) { return s.type == Step::Type::move || s.type == Step::Type::line; };
            if (trace == nullptr || !std::all_of(trace->steps.begin(), trace->steps.end(), is_line)) {
                taken_.add(box_of(Picture{{ink}, {}}));
                continue;
            }
            for (std::size_t i = 1; i < trace->steps.size(); ++i) {
                if (trace->steps[i].type == Step::Type::move) continue;
                const Point &a = trace->steps[i - 1].to, &b = trace->steps[i].to;
                taken_.add(
                    Box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)}.grown(half));
            }
        }
    }

    // Channels through which a homeless wire passes get room: first a little (a level label), then a whole upright label's length.
    void widen(Lanes& lanes, const std::vector<int>& homeless, int round) const {
        for (const int w : homeless) {
            const std::vector<int>& chain = weave_.chains[index(w)];
            if (chain.empty()) continue;
            const double upright =
                paper::text_width(sketch_.wires[index(w)].label, size_of(WordKind::label), paper::Weight::normal) + 14;
            const double room = round < 2 ? 20.0 * (round + 1) : upright + 20.0 * (round - 2);
            for (std::size_t i = 0; i < chain.size(); ++i) {
                if (round < whole_wire_round && i != chain.size() / 2)
                    continue; // the middle first; where that was no help, all along
                const std::size_t channel = index(weave_.nodes[index(weave_.pieces[index(chain[i])].upper)].row);
                lanes[channel] = std::max(lanes[channel], room);
            }
        }
    }

    // ---- wires

    void paint_wires(const Placed& placed) {
        for (std::size_t w = 0; w < route_.paths.size(); ++w) {
            PaintedWire painted;
            painted.wire = static_cast<int>(w);
            painted.path = route_.paths[w];
            painted.way = way_of(sketch_, weave_, w);
            sheet_.wires.push_back(std::move(painted));
        }
        for (std::size_t i = 0; i < placed.labels.size(); ++i)
            sheet_.wires[index(placed.wire_of[i])].labels.push_back(placed.labels[i]);
        for (const Flag& flag : placed.flags) sheet_.wires[index(flag.wire)].flags.push_back(flag);
        for (const Leader& leader : placed.leaders) sheet_.wires[index(leader.wire)].leaders.push_back(leader);
        open_gaps();
    }

    // Where two wires cross, the upright one passes over: the level one is left open there.
    void open_gaps() {
        struct Upright {
            double x, top, bottom;
            std::size_t wire;
        };
        std::vector<Upright> uprights;
        for (std::size_t w = 0; w < route_.paths.size(); ++w) {
            const std::vector<Point>& path = route_.paths[w];
            for (std::size_t i = 0; i + 1 < path.size(); ++i)
                if (path[i].x == path[i + 1].x)
                    uprights.push_back(
                        {path[i].x, std::min(path[i].y, path[i + 1].y), std::max(path[i].y, path[i + 1].y), w});
        }
        for (PaintedWire& painted : sheet_.wires) {
            for (std::size_t i = 0; i + 1 < painted.path.size(); ++i) {
                const Point &a = painted.path[i], &b = painted.path[i + 1];
                if (a.y != b.y) continue;
                for (const Upright& u : uprights)
                    if (std::min(a.x, b.x) < u.x && u.x < std::max(a.x, b.x) && u.top < a.y && a.y < u.bottom)
                        painted.gaps.push_back({i, u.x, half_width(sketch_.wires[u.wire]) + 4});
            }
        }
    }

    // ---- holes of one plug that stand side by side

    void link_holes() {
        for (const std::vector<int>& row : weave_.rows) {
            int before = -1;
            for (const int n : row) {
                const Node& node = weave_.nodes[index(n)];
                if (node.type != Node::Type::body || sketch_.symbols[index(node.symbol)].kind != SymbolKind::hole)
                    continue;
                if (before >= 0) link(before, n);
                before = n;
            }
        }
    }

    void link(int a, int b) {
        const Symbol &first = sketch_.symbols[index(a)], &second = sketch_.symbols[index(b)];
        if (first.group.empty() || first.group != second.group) return;
        const double y = top_of(weave_, route_, a) + weave_.bodies[index(a)].height() / 2;
        const double from = sheet_.symbols[index(a)].box.right + 6, to = sheet_.symbols[index(b)].box.left - 4;
        if (to - from < 16 || !taken_.is_free({from, y - 3, to, y + 3})) return;
        taken_.add({from, y - 3, to, y + 3});
        sheet_.links.emplace_back(Point{from, y}, Point{to, y});
    }

    // ---- path numbers and headings

    void write_path_numbers() {
        if (paths_.empty()) return;
        double bottom = 0;
        for (const PaintedSymbol& s : sheet_.symbols) bottom = std::max(bottom, s.box.bottom);
        for (const PaintedWire& w : sheet_.wires)
            for (const Word& word : w.labels) bottom = std::max(bottom, draw::box_of(word).bottom);
        // A wire that turns back up below all else: the line of the numbers is none of its.
        constexpr double beside_a_wire = 6;
        for (const PaintedWire& w : sheet_.wires)
            for (const Point& corner : w.path) bottom = std::max(bottom, corner.y + beside_a_wire);
        const Pen pen(sheet_.notes, {0, 0}, 0, false);
        pen.line(
            {{x_of_half_column(paths_.front()) - 20, bottom + 8}, {x_of_half_column(paths_.back()) + 20, bottom + 8}},
            Look::hair);
        // A number that would run into the one before it stands lower, below its column all the same.
        constexpr double line_pitch = 17, least_gap = 5;
        std::vector<double> taken_to; // by line of numbers
        for (std::size_t i = 0; i < paths_.size(); ++i) {
            const std::string number = std::to_string(i + 1);
            const double half = paper::text_width(number, size_of(WordKind::path), weight_of(WordKind::path)) / 2;
            const double x = x_of_half_column(paths_[i]);
            std::size_t line = 0;
            while (line < taken_to.size() && x - half < taken_to[line] + least_gap) ++line;
            if (line == taken_to.size()) taken_to.push_back(0);
            taken_to[line] = x + half;
            pen.word({x, bottom + 19 + line_pitch * static_cast<double>(line)}, number, WordKind::path);
        }
    }

    // "contact: path 8"; where no path is numbered, there is only this sheet to look on.
    void name_other_halves() {
        std::map<std::string, std::size_t> by_key;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) by_key[sketch_.symbols[s].key] = s;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
            for (const OtherHalf& half : sketch_.symbols[s].other_halves)
                if (const auto found = by_key.find(half.key); half.sheet.empty() && found != by_key.end())
                    fill_in_path(sheet_.symbols[s].picture, sheet_.path_of[found->second]);
    }

    void number_symbols() {
        sheet_.path_of.assign(sketch_.symbols.size(), 0);
        sheet_.taps_of.assign(sketch_.symbols.size(), {});
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            sheet_.path_of[s] = path_at(paths_, column_of(weave_, s));
            const Node& node = weave_.nodes[s];
            if (node.type != Node::Type::bar) continue;
            for (const int p : node.below)
                sheet_.taps_of[s].push_back(path_at(paths_, weave_.pieces[index(p)].upper_column));
            std::sort(sheet_.taps_of[s].begin(), sheet_.taps_of[s].end());
        }
    }

    double top_of_all() const {
        double top = 0;
        for (const PaintedSymbol& s : sheet_.symbols) top = std::min(top, s.box.top);
        for (const PaintedWire& w : sheet_.wires)
            for (const Word& word : w.labels) top = std::min(top, draw::box_of(word).top);
        return top;
    }

    // ---- margins: everything moves so that the sheet begins at 0, 0

    void frame(const Box& foot) {
        std::optional<Box> all;
        const auto include = [&](const Box& b) {
            if (all)
                all->include(b);
            else
                all = b;
        };
        for (const PaintedSymbol& s : sheet_.symbols) include(s.box);
        for (const PaintedWire& w : sheet_.wires) {
            for (const Point& p : w.path) include(Box{p.x, p.y, p.x, p.y}.grown(4));
            for (const Word& l : w.labels) include(draw::box_of(l));
            for (const Flag& f : w.flags) include(f.box);
        }
        if (!sheet_.notes.words.empty()) include(box_of(sheet_.notes));
        if (foot.height() > 0) include(foot);
        if (!all) all = Box{};
        for (const Word& line : title_over(sketch_, *all)) {
            sheet_.notes.words.push_back(line);
            include(draw::box_of(line));
        }
        // Whole units, so that a line on a whole unit stays on one.
        move(sheet_, std::ceil(margin - all->left), std::ceil(margin - all->top));
        sheet_.width = std::ceil(all->width() + 2 * margin);
        sheet_.height = std::ceil(all->height() + 2 * margin);
    }

    const Sketch& sketch_;
    Weave weave_;
    std::vector<Point> pages_;
    Route route_;
    Taken taken_;
    bool pockets_;                    // tables may stand in the free middle of the circuit
    std::vector<int> paths_;          // half columns, from the left
    std::vector<SideTable> unplaced_; // one or none: what had no room at its wire
    Sheet sheet_;
};

} // namespace

Sheet build(const Sketch& sketch, Weave weave, const std::vector<Point>& pages, bool pockets) {
    return Builder(sketch, std::move(weave), pages, pockets).run();
}

} // namespace loomproof::draw
