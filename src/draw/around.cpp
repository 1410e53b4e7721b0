#include "draw/around.hpp"

#include "draw/foot.hpp"
#include "draw/key.hpp"
#include "draw/pocket.hpp"
#include "draw/side_tables.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <utility>

namespace loomproof::draw {
namespace {

constexpr double narrow_title = 560, title_step = 28,
                 above_title = 42;           // of its base line over the circuit, and of its capitals
constexpr double narrowest_for_tables = 640; // 160 mm: a narrow circuit's tables may stand side by side all the same
constexpr double gap_beside = 40, least_beside = 220; // of what stands right of the circuit

// No wider than the drawing, unless that is very narrow.
std::vector<std::string> title_lines(const Sketch& sketch, double width) {
    return paper::broken_into_lines(sketch.title, std::max(narrow_title, width), size_of(WordKind::title),
                                    paper::Weight::bold);
}

class Around {
  public:
    Around(Sheet& sheet, const Sketch& sketch, const std::vector<SideTable>& unplaced, const std::vector<Point>& pages,
           const Taken* taken)
        : sheet_(sheet), sketch_(sketch), unplaced_(unplaced), pages_(pages), taken_(taken) {}

    Box run() {
        put_tables();
        put_key();
        put_foot();
        return foot_;
    }

  private:
    // Below the circuit, side by side as far as it is wide or as the page is; or beside it, where that fits the page better.
    void put_tables() {
        if (sketch_.tables.empty()) return;
        std::vector<SideTable> chosen = sketch_.tables;
        Spot spot = spot_for(chosen);
        if (!pages_.empty() && spot.fit < spot_for({}).fit - 0.001) {
            // Not all of them have room: as many as there is room for, in their order.
            const double alone = spot_for({}).fit;
            chosen.clear();
            for (std::size_t t = 0; t < sketch_.tables.size(); ++t) {
                chosen.push_back(sketch_.tables[t]);
                if (spot_for(chosen).fit >= alone - 0.001) continue;
                chosen.pop_back();
                sheet_.tables_left.push_back(t);
            }
            spot = spot_for(chosen);
        }
        if (!chosen.empty()) paint_side_tables(sheet_.notes, chosen, spot.at, spot.width);
        if (taken_ != nullptr)
            std::erase_if(sheet_.tables_left, [&](std::size_t t) { return put_in_pocket(sketch_.tables[t]); });
    }

    // How far the sheet may reach on the page that it will stand on: to one side or to the other.
    std::pair<double, double> reach_on_page() const {
        const Box all = with_wire_words(circuit_and_notes());
        const double below = height_of_key(all.width()) + foot_height(narrowest());
        double best = 0, width = all.width();
        for (const Point& page : pages_) {
            const double fit =
                std::min({1.0, page.x / all.width(), page.y / (all.height() + below + room_for_title(all.width()))});
            if (fit <= best + 0.001) continue;
            best = fit;
            width = std::max(all.width(), page.x);
        }
        return {all.right - width, all.left + width};
    }

    // Better in the white of the circuit than on another sheet.
    bool put_in_pocket(const SideTable& table) {
        std::vector<Box> notes;
        for (const Word& word : sheet_.notes.words) notes.push_back(draw::box_of(word));
        for (const auto& ink : sheet_.notes.ink) notes.push_back(box_of(Picture{{ink}, {}}));
        std::optional<Point> subject;
        for (std::size_t s = 0; s < sketch_.symbols.size() && !subject; ++s)
            if (std::find(table.about.begin(), table.about.end(), sketch_.symbols[s].key) != table.about.end())
                subject = middle_of(sheet_.symbols[s].box);
        Box circuit = with_wire_words(symbols());
        const auto [left, right] = reach_on_page();
        circuit.left = std::min(circuit.left, left);
        circuit.right = std::max(circuit.right, right);
        const std::optional<Pocket> pocket = pocket_for(table, circuit, *taken_, notes, subject);
        if (pocket) paint_side_tables(sheet_.notes, {pocket->table}, pocket->at, pocket->width);
        return pocket.has_value();
    }

    struct Spot {
        Point at{};
        double width = 0;
        double fit = 0; ///< how large the whole sheet can then be on the best page
    };
    Spot spot_for(const std::vector<SideTable>& tables) const {
        const Box all = circuit_and_notes();
        const Box whole = with_wire_words(all);
        const Spot below{{all.left, all.bottom + 34}, std::max(all.width(), narrowest_for_tables)};
        // What stands below all, and a little, for the path numbers are not final yet.
        const double key = pages_.empty() ? 0 : height_of_key(below.width), a_little = 8;
        const double reserve = pages_.empty() ? 0 : key + foot_height(narrowest()) + a_little;
        std::vector<Spot> ways{below};
        for (const Point& page : pages_) {
            if (page.x > below.width) ways.push_back({below.at, page.x});
            if (page.x > whole.width())
                ways.push_back(
                    {{whole.right + gap_beside, std::min(0.0, all.top)}, page.x - whole.width() - gap_beside});
        }
        Spot best = below;
        for (Spot& way : ways) {
            Box with = whole;
            double tables_end = whole.top;
            if (!tables.empty()) {
                Picture tried;
                paint_side_tables(tried, tables, way.at, way.width);
                with.include(box_of(tried));
                tables_end = box_of(tried).bottom;
            }
            way.fit = pages_.empty() ? 1 : 0;
            for (const Point& page : pages_) {
                double height = with.height() + reserve;
                // The foot may stand beside the circuit, too, below what stands there.
                if (const double beside = page.x - whole.width() - gap_beside; beside >= least_beside) {
                    const double top = way.at.x > whole.right ? tables_end : whole.top;
                    const double bottom = std::max(with.bottom + key, top + foot_height(beside));
                    height = std::min(height, bottom - with.top + 12); // a little is lost between them
                }
                way.fit = std::max(
                    way.fit, std::min({1.0, page.x / with.width(), page.y / (height + room_for_title(with.width()))}));
            }
            if (way.fit > best.fit + 0.001) best = way;
        }
        return best;
    }

    // Below all else: what found no room, and what the marks mean.
    double height_of_key(double width) const {
        const auto [known, fresh] = key_heights_.try_emplace(width, 0);
        if (!fresh) return known->second;
        Picture tried;
        paint_key(tried, sketch_, unplaced_, {0, 0}, width);
        return known->second = tried.words.empty() ? 0 : box_of(tried).height() + 34;
    }

    void put_key() {
        const Box all = circuit_and_notes();
        paint_key(sheet_.notes, sketch_, unplaced_, {all.left, all.bottom + 34},
                  std::max(all.width(), narrowest_for_tables));
    }

    // Of a narrow circuit: as wide as tables beside one another, where the paper is.
    double narrowest() const {
        double width = narrowest_for_tables;
        for (const Point& page : pages_) width = std::min(width, page.x);
        return width;
    }
    // Below all else, as wide as the circuit or as a page; where that makes the sheet smaller, beside the circuit.
    void put_foot() {
        const Box all = circuit_and_notes();
        const Box whole = with_wire_words(all);
        Spot best{{whole.left, all.bottom}, std::max(whole.width(), narrowest()), 0};
        const auto consider = [&](Point at, double width) {
            Box with = whole;
            with.include({at.x, at.y, at.x + width, at.y + foot_height(width)});
            double fit = 0;
            for (const Point& page : pages_)
                fit = std::max(fit, std::min({1.0, page.x / with.width(),
                                              page.y / (with.height() + room_for_title(with.width()))}));
            if (fit > best.fit + 0.001) best = {at, width, fit};
        };
        consider(best.at, best.width);
        for (const Point& page : pages_)
            if (page.x > best.width) consider({whole.left, all.bottom}, page.x);
        for (const Point& page : pages_) consider_beside(page, consider);
        paint_foot(sheet_.notes, sketch_, best.at, best.width);
        if (sketch_.footnotes_otherwise.empty()) return;
        const Point size = size_of_foot(sketch_, best.width);
        foot_ = {best.at.x, best.at.y, best.at.x + size.x, best.at.y + size.y};
    }
    // Right of the circuit, below the tables that may stand there.
    template <class Consider> void consider_beside(const Point& page, Consider consider) const {
        const Box circuit = with_wire_words(symbols());
        const double width = page.x - circuit.width() - gap_beside;
        if (width < least_beside) return;
        // At the top where that is free, else below whatever reaches over there.
        const double left = circuit.right + gap_beside, height = foot_height(width);
        const Box at_top{left - 10, circuit.top, left + width, circuit.top + height};
        double top = circuit.top;
        for (const Word& word : sheet_.notes.words)
            if (draw::box_of(word).overlaps(at_top))
                for (const Word& other : sheet_.notes.words)
                    if (const Box box = draw::box_of(other); box.right > at_top.left) top = std::max(top, box.bottom);
        consider({left, top}, width);
    }
    Box symbols() const {
        Box all{};
        for (const PaintedSymbol& s : sheet_.symbols) all.include(s.box);
        return all;
    }
    Box circuit_and_notes() const {
        Box all = symbols();
        if (!sheet_.notes.words.empty()) all.include(box_of(sheet_.notes));
        return all;
    }
    Box with_wire_words(Box box) const {
        for (const PaintedWire& w : sheet_.wires) {
            for (const Word& word : w.labels) box.include(draw::box_of(word));
            for (const Flag& f : w.flags) box.include(f.box);
        }
        return box;
    }

    // The same few widths are asked for over and over.
    double foot_height(double width) const {
        const auto [known, fresh] = foot_heights_.try_emplace(width, 0);
        if (fresh) known->second = size_of_foot(sketch_, width).y;
        return known->second;
    }
    double room_for_title(double width) const {
        const std::size_t lines = title_lines(sketch_, width).size();
        return lines == 0 ? 0 : above_title + title_step * static_cast<double>(lines - 1);
    }

    Sheet& sheet_;
    const Sketch& sketch_;
    const std::vector<SideTable>& unplaced_; // one or none: what had no room at its wire
    const std::vector<Point>& pages_;
    mutable std::map<double, double> foot_heights_, key_heights_; // by width
    Box foot_{};                                                  // its room, where more is kept than its words take
    const Taken* taken_; // null: no table stands in the free middle of the circuit
};

} // namespace

Box put_around(Sheet& sheet, const Sketch& sketch, const std::vector<SideTable>& unplaced,
               const std::vector<Point>& pages, const Taken* taken) {
    return Around(sheet, sketch, unplaced, pages, taken).run();
}

std::vector<Word> title_over(const Sketch& sketch, const Box& all) {
    const std::vector<std::string> lines = title_lines(sketch, all.width());
    std::vector<Word> title;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const double y = all.top - 26 - title_step * static_cast<double>(lines.size() - 1 - i);
        title.push_back({lines[i], {all.left, y}, Anchor::start, WordKind::title, false});
    }
    return title;
}

} // namespace loomproof::draw
