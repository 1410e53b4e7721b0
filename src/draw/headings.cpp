#include "draw/headings.hpp"

#include "base/number.hpp"
#include "draw/feeds.hpp"
#include "draw/studs.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// All that lies on the sheet, as one meets it from above.
class Ground {
  public:
    struct Thing {
        Box box;
        int symbol = -1, wire = -1; // whose it is
        enum class Type : unsigned char { ink, bar, upright, level, words } type = Type::ink;
        bool begins = false; // a wire's first run
    };

    Ground(const Sheet& sheet, const Sketch& sketch) {
        for (const PaintedSymbol& painted : sheet.symbols) {
            const SymbolRow& row = row_of(sketch.symbols[index(painted.symbol)].kind);
            add(box_of(Picture{painted.picture.ink, {}}), painted.symbol, -1,
                row.nature == SymbolRow::Nature::bar ? Thing::Type::bar : Thing::Type::ink);
            for (const Word& word : painted.picture.words) add(box_of(word), painted.symbol, -1, Thing::Type::words);
        }
        for (const PaintedWire& painted : sheet.wires) {
            for (std::size_t i = 0; i + 1 < painted.path.size(); ++i) {
                const Point &a = painted.path[i], &b = painted.path[i + 1];
                add({std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)}, -1, painted.wire,
                    a.x == b.x ? Thing::Type::upright : Thing::Type::level);
                things_.back().begins = i == 0;
            }
            for (const Word& word : painted.labels) add(box_of(word), -1, painted.wire, Thing::Type::words);
            for (const Flag& flag : painted.flags) add(flag.box, -1, painted.wire, Thing::Type::words);
        }
        std::stable_sort(things_.begin(), things_.end(),
                         [](const Thing& a, const Thing& b) { return a.box.top < b.box.top; });
        for (const Thing& thing : things_)
            for (std::size_t s = strip_at(thing.box.left - near); s <= strip_at(thing.box.right + near); ++s) {
                if (s >= strips_.size()) strips_.resize(s + 1);
                strips_[s].push_back(&thing);
            }
    }
    Ground(const Ground&) = delete; // the strips point into it
    Ground& operator=(const Ground&) = delete;

    // From the top downwards.
    std::vector<const Thing*> below(double x) const {
        std::vector<const Thing*> met;
        if (strip_at(x) < strips_.size())
            for (const Thing* thing : strips_[strip_at(x)])
                if (thing->box.left - near <= x && x <= thing->box.right + near) met.push_back(thing);
        return met;
    }
    const std::vector<Thing>& things() const { return things_; }

  private:
    static constexpr double near = 3; // a finger takes more room than a line

    void add(const Box& box, int symbol, int wire, Thing::Type type) { things_.push_back({box, symbol, wire, type}); }
    // What lies left of the sheet is in the first: nobody asks for it.
    static std::size_t strip_at(double x) { return static_cast<std::size_t>(std::max(0.0, x) / 48); }

    std::vector<Thing> things_;
    std::vector<std::vector<const Thing*>>
        strips_; // by place from left to right, all things that reach into it, from the top
};

// A heading stands over a comb: one tooth over each thing that it speaks of, and nothing else. Without teeth it says the paths.
struct Comb {
    int heading = 0;
    std::string text;
    std::vector<double> teeth; ///< from the left
    double at = 0;             ///< the middle of one without teeth
    double width = 0;
    double shift = 0; ///< of the words from the comb's middle
    double middle() const { return (teeth.empty() ? at : (teeth.front() + teeth.back()) / 2) + shift; }
    double left() const {
        const double words = middle() - width / 2;
        return teeth.empty() ? words : std::min(teeth.front() - 4, words);
    }
    double right() const {
        const double words = middle() + width / 2;
        return teeth.empty() ? words : std::max(teeth.back() + 4, words);
    }
    // How far the words may stand aside and still stand over their comb.
    double most_shift() const {
        if (teeth.empty()) return width / 2;
        return std::max(0.0, std::abs(width - (teeth.back() - teeth.front())) / 2 - 4);
    }
    bool has_tooth_within(double from, double to) const {
        return std::any_of(teeth.begin(), teeth.end(), [&](double x) { return from <= x && x <= to; });
    }
};

class Combs {
  public:
    Combs(const Sheet& sheet, const Sketch& sketch, const Weave& weave, const std::vector<int>& paths)
        : sketch_(sketch), weave_(weave), paths_(paths), ground_(sheet, sketch), led_to_(sketch.wires.size()) {
        std::vector<int> led_to, headed;
        for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
            if (is_for_something(sketch.symbols[s]) || sketch.symbols[s].kind == SymbolKind::off_sheet)
                led_to.push_back(static_cast<int>(s));
        headed = led_to;
        for (const Heading& heading : sketch.headings)
            headed.insert(headed.end(), heading.symbols.begin(), heading.symbols.end());
        ways_ = ways_to(sketch, headed);
        for (const int s : led_to) {
            const Way& way = ways_.at(s);
            for (std::size_t w = 0; w < way.wires.size(); ++w)
                if (way.wires[w]) led_to_[w].push_back(s);
        }
    }

    // The ways in which a heading may be written, the best first; the last one has no teeth.
    std::vector<Comb> ways(std::size_t number) const {
        const Heading& heading = sketch_.headings[number];
        std::vector<Comb> all;
        const auto offer = [&](std::vector<double> teeth) {
            std::sort(teeth.begin(), teeth.end());
            teeth.erase(std::unique(teeth.begin(), teeth.end()), teeth.end());
            all.push_back({static_cast<int>(number), heading.text, std::move(teeth)});
        };
        const auto collect = [&](auto column_for) -> std::optional<std::vector<double>> {
            std::vector<double> teeth;
            for (const int s : heading.symbols) {
                const std::optional<double> x = column_for(s);
                if (!x) return std::nullopt;
                teeth.push_back(*x);
            }
            return teeth;
        };
        if (auto own = collect([&](int s) { return own_column(s); })) offer(std::move(*own));
        if (const auto shared = shared_column(heading)) offer({*shared});
        if (auto mixed = collect([&](int s) {
                const std::optional<double> own = own_column(s);
                return own ? own : fed_through(heading, s);
            }))
            offer(std::move(*mixed));
        Comb said = in_words(number);
        // Arrows for those that have a place for one, and all paths in words.
        std::vector<double> some;
        for (const int s : heading.symbols) {
            const std::optional<double> own = own_column(s);
            if (const std::optional<double> x = own ? own : fed_through(heading, s)) some.push_back(*x);
        }
        if (all.empty() && !some.empty()) {
            offer(std::move(some));
            all.back().text = said.text;
        }
        all.push_back(std::move(said));
        for (Comb& comb : all)
            comb.width = paper::text_width(comb.text, size_of(WordKind::heading), paper::Weight::bold);
        return all;
    }

  private:
    double column_of_symbol(int s) const { return centre_of(column_of(weave_, index(s))); }

    static bool is_on(const Way& way, const Ground::Thing& t) {
        return t.symbol >= 0 ? way.symbols[index(t.symbol)] : way.wires[index(t.wire)];
    }
    static bool is_passed_by(const Ground::Thing& t) {
        return t.type == Ground::Thing::Type::words || t.type == Ground::Thing::Type::level;
    }

    // Is a battery met first, and its wire that feeds this way begins right below?
    bool begins_at_source(double x, const Way& way, const std::vector<const Ground::Thing*>& met) const {
        const Ground::Thing& head = *met.front();
        if (head.symbol < 0 || head.type != Ground::Thing::Type::ink) return false;
        const SymbolKind kind = sketch_.symbols[index(head.symbol)].kind;
        if (kind != SymbolKind::battery && kind != SymbolKind::alternator) return false;
        const bool words_below = std::any_of(met.begin(), met.end(), [&](const Ground::Thing* t) {
            return t->type == Ground::Thing::Type::words && t->symbol == head.symbol && t->box.left <= x &&
                   x <= t->box.right;
        });
        if (words_below) return false;
        return std::any_of(met.begin(), met.end(), [&](const Ground::Thing* t) {
            return t->type == Ground::Thing::Type::upright && t->begins && std::abs(t->box.left - x) < 0.01 &&
                   way.wires[index(t->wire)] && sketch_.wires[index(t->wire)].a.symbol == head.symbol;
        });
    }

    // The symbol's own column, where nothing but its way is met first and nothing else stands in it above the symbol. What runs across
    // the column is passed by, as paths are read; across its head only what the symbol hangs on too.
    std::optional<double> own_column(int s) const {
        const double x = column_of_symbol(s);
        const Way& way = ways_.at(s);
        const std::vector<const Ground::Thing*> met = ground_.below(x);
        for (std::size_t i = 0; i < met.size(); ++i) {
            if (met[i]->symbol == s) return x;
            if (i == 0 && begins_at_source(x, way, met)) continue;
            if (!is_on(way, *met[i]) && (i == 0 || !is_passed_by(*met[i]))) return std::nullopt;
        }
        return std::nullopt;
    }

    // Does a wire of that bar begin right below it?
    bool goes_on_below(const std::vector<const Ground::Thing*>& met, std::size_t bar) const {
        return std::any_of(met.begin() + static_cast<std::ptrdiff_t>(bar), met.end(), [&](const Ground::Thing* t) {
            return t->type == Ground::Thing::Type::upright &&
                   sketch_.wires[index(t->wire)].a.symbol == met[bar]->symbol;
        });
    }

    bool is_within(const std::vector<int>& some, const Heading& heading) const {
        return !some.empty() && std::all_of(some.begin(), some.end(), [&](int s) {
            return std::find(heading.symbols.begin(), heading.symbols.end(), s) != heading.symbols.end();
        });
    }
    // Wires that lead to what the heading names, and to nothing else.
    bool leads_only_to(int wire, const Heading& heading) const { return is_within(led_to_[index(wire)], heading); }

    // Do all wires that leave the symbol, of which there are some, lead only to what the heading names?
    bool all_lead_to(int symbol, const Heading& heading) const {
        bool any = false;
        for (std::size_t w = 0; w < sketch_.wires.size(); ++w) {
            const Wire& wire = sketch_.wires[w];
            if (wire.removed || wire.a.symbol != symbol) continue;
            if (!leads_only_to(static_cast<int>(w), heading)) return false;
            any = true;
        }
        return any;
    }

    // Does one who comes down here come upon what leads only to what the heading names? What runs across the column is passed by; across its
    // head only what `s` hangs on too.
    bool meets_only(double x, const Heading& heading, int s) const {
        const Way& way = ways_.at(s);
        const std::vector<const Ground::Thing*> met = ground_.below(x);
        for (std::size_t i = 0; i < met.size(); ++i) {
            const Ground::Thing& t = *met[i];
            if (i == 0 && begins_at_source(x, way, met)) continue;
            const bool own = is_on(way, t);
            if (own && (t.wire >= 0 ? leads_only_to(t.wire, heading)
                                    : !(t.type == Ground::Thing::Type::bar && goes_on_below(met, i)) &&
                                          all_lead_to(t.symbol, heading)))
                return true;
            const bool passed = is_passed_by(t) ? own || i > 0 : own && t.type == Ground::Thing::Type::bar;
            if (!passed) return false;
        }
        return false;
    }

    // Columns in which a wire runs down that `wanted`, the way to `s`, and at whose head nothing strange is met.
    template <class Wanted> std::vector<double> columns(const Heading& heading, int s, Wanted wanted) const {
        std::vector<double> found;
        for (const Ground::Thing& t : ground_.things())
            if (t.type == Ground::Thing::Type::upright && leads_only_to(t.wire, heading) && wanted(t.wire) &&
                meets_only(t.box.left, heading, s))
                found.push_back(t.box.left);
        return found;
    }
    static std::optional<double> nearest(const std::vector<double>& columns, double x) {
        std::optional<double> best;
        for (const double c : columns)
            if (!best || std::abs(c - x) < std::abs(*best - x)) best = c;
        return best;
    }

    std::optional<double> shared_column(const Heading& heading) const {
        double middle = 0;
        for (const int s : heading.symbols) middle += column_of_symbol(s) / static_cast<double>(heading.symbols.size());
        return nearest(columns(heading, heading.symbols.front(),
                               [&](int w) { return led_to_[index(w)].size() == heading.symbols.size(); }),
                       middle);
    }
    std::optional<double> fed_through(const Heading& heading, int s) const {
        return nearest(columns(heading, s,
                               [&](int w) {
                                   const std::vector<int>& to = led_to_[index(w)];
                                   return std::find(to.begin(), to.end(), s) != to.end();
                               }),
                       column_of_symbol(s));
    }

    // "Horn (path 4)"
    Comb in_words(std::size_t number) const {
        const Heading& heading = sketch_.headings[number];
        std::vector<int> own;
        double middle = 0;
        for (const int s : heading.symbols) {
            own.push_back(path_at(paths_, column_of(weave_, index(s))));
            middle += column_of_symbol(s) / static_cast<double>(heading.symbols.size());
        }
        std::sort(own.begin(), own.end());
        own.erase(std::unique(own.begin(), own.end()), own.end());
        std::vector<std::string> names;
        for (const int path : own)
            if (path > 0) names.push_back(std::to_string(path));
        Comb comb{static_cast<int>(number), heading.text, {}, middle};
        if (!names.empty()) comb.text += (names.size() > 1 ? " (paths\u00A0" : " (path\u00A0") + list_of(names) + ")";
        return comb;
    }

    const Sketch& sketch_;
    const Weave& weave_;
    const std::vector<int>& paths_;
    Ground ground_;
    std::map<int, Way> ways_;              // of loads and marks
    std::vector<std::vector<int>> led_to_; // by wire: loads, and marks behind which it goes on elsewhere
};

// Lines of headings over one another. The arrows of all stand in one row below the lowest; those of a higher line come down between the words
// of the lower ones.
class Lines {
  public:
    // Nothing where it would have to cross others.
    bool take(Comb comb) {
        const auto may_stand = [&](std::size_t line) {
            for (const auto& [other_line, other] : placed_) {
                if (other_line == line && comb.left() - gap < other.right() && other.left() - gap < comb.right())
                    return false;
                if (other_line < line && comb.has_tooth_within(other.left() - beside, other.right() + beside))
                    return false;
                if (other_line > line && other.has_tooth_within(comb.left() - beside, comb.right() + beside))
                    return false;
            }
            return true;
        };
        const double most = comb.most_shift();
        for (std::size_t line = 0; line <= count_; ++line)
            for (const double part : {0.0, 0.5, -0.5, 1.0, -1.0}) {
                comb.shift = part * most;
                if (!may_stand(line)) continue;
                count_ = std::max(count_, line + 1);
                placed_.emplace_back(line, std::move(comb));
                return true;
            }
        return false;
    }
    const std::vector<std::pair<std::size_t, Comb>>& placed() const { return placed_; }

  private:
    static constexpr double gap = 16, beside = 7;
    std::vector<std::pair<std::size_t, Comb>> placed_;
    std::size_t count_ = 0;
};

} // namespace

void write_headings(Sheet& sheet, const Sketch& sketch, const Weave& weave, const std::vector<int>& paths, double top) {
    constexpr double tooth = 9, line_pitch = 40, above = 20;
    std::vector<std::vector<Comb>> all;
    {
        const Combs combs(sheet, sketch, weave, paths);
        for (std::size_t h = 0; h < sketch.headings.size(); ++h)
            if (!sketch.headings[h].symbols.empty() && !sketch.headings[h].text.empty()) all.push_back(combs.ways(h));
    }
    // What names few columns stands lowest, so that wide combs span it; from the left.
    const auto span = [](const Comb& c) { return c.teeth.empty() ? 1e9 : c.teeth.back() - c.teeth.front(); };
    std::stable_sort(all.begin(), all.end(), [&](const std::vector<Comb>& a, const std::vector<Comb>& b) {
        return std::pair{span(a.front()), a.front().left()} < std::pair{span(b.front()), b.front().left()};
    });
    Lines lines;
    for (const std::vector<Comb>& ways : all)
        for (const Comb& comb : ways)
            if (lines.take(comb)) break;
    const Pen pen(sheet.notes, {0, 0}, 0, false);
    const double foot = top - above + tooth;
    for (const auto& [line, comb] : lines.placed()) {
        const double y = top - above - line_pitch * static_cast<double>(line);
        if (comb.teeth.size() > 1) pen.line({{comb.teeth.front(), y}, {comb.teeth.back(), y}});
        for (const double x : comb.teeth) {
            if (line > 0) pen.line({{x, y}, {x, foot - tooth}});
            pen.closed({{x - 4, foot - tooth + 1}, {x + 4, foot - tooth + 1}, {x, foot}}, Look::solid);
            sheet.arrows.push_back({comb.heading, {x, foot}});
        }
        pen.word({comb.middle(), y - 13}, comb.text, WordKind::heading);
    }
}

} // namespace loomproof::draw
