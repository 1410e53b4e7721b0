#include "draw/spare_tables.hpp"

#include "base/number.hpp"
#include "draw/builder.hpp"
#include "draw/side_tables.hpp"

#include <algorithm>
#include <map>
#include <string>
#include <utility>

namespace loomproof::draw {
namespace {

// A plug is called by its name, whichever of its holes is meant.
const std::string& name_of(const Symbol& symbol) {
    return symbol.kind == SymbolKind::hole ? symbol.group : symbol.name;
}

bool can_have_table(SymbolKind kind) {
    return kind == SymbolKind::hole || kind == SymbolKind::relay || kind == SymbolKind::coil ||
           kind == SymbolKind::contact;
}

bool shows(const SketchPart& part, const std::string& subject) {
    return std::any_of(part.sketch.symbols.begin(), part.sketch.symbols.end(),
                       [&](const Symbol& s) { return can_have_table(s.kind) && !s.removed && name_of(s) == subject; });
}

class SpareTables {
  public:
    SpareTables(Bound& made, const paper::Paper& paper, const LayOut& lay_out)
        : made_(made), paper_(paper), lay_out_(lay_out) {}

    Result<void> run() {
        if (const Result<void> moved = put_elsewhere(); !moved) return failure(moved.error());
        const std::vector<SideTable> left = take_out_what_is_left();
        note_places();
        if (!left.empty()) add_tables(left);
        return say_where();
    }

  private:
    // What a table speaks of; empty where no sheet shows it.
    std::string subject_of(const SideTable& table) const {
        for (const SketchPart& part : made_.parts)
            for (const Symbol& symbol : part.sketch.symbols)
                if (std::find(table.about.begin(), table.about.end(), symbol.key) != table.about.end())
                    return name_of(symbol);
        return "";
    }

    // A table for which its own sheet has no room stands on another that has.
    Result<void> put_elsewhere() {
        for (std::size_t home = 0; home < made_.parts.size(); ++home) {
            std::vector<std::size_t> left = made_.sheets[home].tables_left;
            std::sort(left.rbegin(), left.rend());
            for (const std::size_t t : left) {
                const SideTable table = made_.parts[home].sketch.tables[t];
                for (const std::size_t p : others(home, subject_of(table))) {
                    const Result<bool> taken = take_in(p, table);
                    if (!taken) return failure(taken.error());
                    if (!*taken) continue;
                    std::vector<SideTable>& tables = made_.parts[home].sketch.tables;
                    tables.erase(tables.begin() + static_cast<std::ptrdiff_t>(t));
                    // Those behind it move up by one.
                    std::vector<std::size_t>& without = made_.sheets[home].tables_left;
                    std::erase(without, t);
                    for (std::size_t& other : without) other -= other > t ? 1 : 0;
                    break;
                }
            }
        }
        return {};
    }
    // Those that show it first, then the nearest, on either side.
    std::vector<std::size_t> others(std::size_t home, const std::string& subject) const {
        std::vector<std::size_t> all;
        for (std::size_t p = 0; p < made_.parts.size(); ++p)
            if (p != home) all.push_back(p);
        const auto rank = [&](std::size_t p) {
            const std::size_t away = p > home ? 2 * (p - home) - 1 : 2 * (home - p);
            return std::pair{shows(made_.parts[p], subject) ? 0 : 1, away};
        };
        std::sort(all.begin(), all.end(), [&](std::size_t a, std::size_t b) { return rank(a) < rank(b); });
        return all;
    }

    std::vector<SideTable> take_out_what_is_left() {
        std::vector<SideTable> out;
        for (std::size_t p = 0; p < made_.parts.size(); ++p) {
            std::vector<std::size_t> left = std::move(made_.sheets[p].tables_left);
            made_.sheets[p].tables_left.clear();
            std::sort(left.begin(), left.end());
            std::vector<SideTable>& tables = made_.parts[p].sketch.tables;
            for (const std::size_t t : left) out.push_back(tables[t]);
            for (auto t = left.rbegin(); t != left.rend(); ++t)
                tables.erase(tables.begin() + static_cast<std::ptrdiff_t>(*t));
        }
        return out;
    }

    void note_places() {
        for (std::size_t p = 0; p < made_.parts.size(); ++p)
            for (const SideTable& table : made_.parts[p].sketch.tables)
                made_.tables.push_back({subject_of(table), static_cast<int>(p) + 1});
    }

    // Whoever has the part before them and not its table is told where that is.
    Result<void> say_where() {
        for (std::size_t p = 0; p < made_.parts.size(); ++p) {
            SketchPart at_parts = made_.parts[p], at_foot = made_.parts[p];
            std::map<int, std::vector<std::string>> away; // what stands on each sheet
            for (const Bound::TablePlace& table : made_.tables) {
                if (table.sheet == static_cast<int>(p) + 1 || table.of.empty()) continue;
                const auto part =
                    std::find_if(at_parts.sketch.symbols.begin(), at_parts.sketch.symbols.end(), [&](const Symbol& s) {
                        return can_have_table(s.kind) && !s.removed && name_of(s) == table.of;
                    });
                if (part == at_parts.sketch.symbols.end()) continue;
                part->lines.push_back("table: sheet\u00A0" + std::to_string(table.sheet));
                away[table.sheet].push_back(table.of);
            }
            if (away.empty()) continue;
            for (const auto& [sheet, names] : away) {
                const std::string where = (names.size() > 1 ? "Tables of " : "Table of ") + list_of(names) +
                                          ": sheet\u00A0" + std::to_string(sheet) + ".";
                at_foot.sketch.footnotes.push_back(where);
                at_foot.sketch.footnotes_otherwise.push_back(where);
            }
            for (SketchPart* said : {&at_parts, &at_foot}) {
                Result<Sheet> sheet = lay_out_(*said);
                if (!sheet) return failure(sheet.error());
                // Where there is no room for those words either, the contents lead to the table.
                if (!sheet->tables_left.empty() || sheet->in_table.size() > made_.sheets[p].in_table.size() ||
                    best_scale(*sheet) < best_scale(made_.sheets[p]))
                    continue;
                made_.parts[p] = std::move(*said);
                made_.sheets[p] = std::move(*sheet);
                break;
            }
        }
        return {};
    }
    double best_scale(const Sheet& sheet) const {
        return std::max(scale_with_narrow_edges(sheet, page_of(paper_, false)),
                        scale_with_narrow_edges(sheet, page_of(paper_, true)));
    }
    // Only where nothing becomes smaller by it.
    Result<bool> take_in(std::size_t p, const SideTable& table) {
        SketchPart with = made_.parts[p];
        with.sketch.tables.push_back(table);
        Result<Sheet> sheet = lay_out_(with);
        if (!sheet) return failure(sheet.error());
        if (sheet->tables_left.size() > made_.sheets[p].tables_left.size() ||
            best_scale(*sheet) < best_scale(made_.sheets[p]))
            return false;
        made_.parts[p] = std::move(with);
        made_.sheets[p] = std::move(*sheet);
        return true;
    }

    // What found no room beside its circuit stands on sheets of its own, behind all others.
    void add_tables(const std::vector<SideTable>& tables) {
        constexpr double room_for_title = 50;
        const Page page = page_of(paper_, false);
        const double width = page.width - 2 * page.edge, height = page.height - 2 * page.edge - room_for_title;
        const auto [pages, first] = pages_of_tables(tables, width, height);
        const std::size_t before = made_.parts.size(), all = before + pages.size();
        for (std::size_t p = 0; p < before; ++p) renumber(p, all);
        for (std::size_t t = 0; t < tables.size(); ++t)
            made_.tables.push_back({subject_of(tables[t]), static_cast<int>(before + first[t]) + 1});
        for (std::size_t i = 0; i < pages.size(); ++i) {
            SketchPart part;
            part.sketch.title =
                "Sheet " + std::to_string(before + i + 1) + " of " + std::to_string(all) + ": Plugs and relay bases";
            part.sketch.description = made_.parts.front().sketch.description;
            Sheet sheet{.width = width + 2 * sheet_margin, .height = height + room_for_title + 2 * sheet_margin};
            sheet.notes = pages[i];
            move(sheet, sheet_margin, sheet_margin + room_for_title);
            sheet.notes.words.push_back(
                {part.sketch.title, {sheet_margin, sheet_margin + 20}, Anchor::start, WordKind::title, false});
            made_.titles.emplace_back("Plugs and relay bases");
            made_.parts.push_back(std::move(part));
            made_.sheets.push_back(std::move(sheet));
        }
    }
    void renumber(std::size_t p, std::size_t all) {
        const std::string number = "Sheet " + std::to_string(p + 1) + " of ";
        const std::string was = number + std::to_string(made_.parts.size()) + ":",
                          now = number + std::to_string(all) + ":";
        std::string& title = made_.parts[p].sketch.title;
        if (title.starts_with(was)) title.replace(0, was.size(), now);
        for (Word& word : made_.sheets[p].notes.words)
            if (word.kind == WordKind::title && word.text.starts_with(was)) word.text.replace(0, was.size(), now);
    }

    Bound& made_;
    const paper::Paper& paper_;
    const LayOut& lay_out_;
};

} // namespace

bool has_tables_left(const Bound& made) {
    return std::any_of(made.sheets.begin(), made.sheets.end(), [](const Sheet& s) { return !s.tables_left.empty(); });
}

std::size_t tables_away(const Bound& made) {
    return static_cast<std::size_t>(
        std::count_if(made.tables.begin(), made.tables.end(), [&](const Bound::TablePlace& table) {
            return !table.of.empty() && !shows(made.parts[static_cast<std::size_t>(table.sheet) - 1], table.of);
        }));
}

Result<void> place_tables(Bound& made, const paper::Paper& paper, const LayOut& lay_out) {
    return SpareTables(made, paper, lay_out).run();
}

} // namespace loomproof::draw
