#include "draw/spare_tables.hpp"

#include "base/number.hpp"
#include "draw/builder.hpp"
#include "draw/side_tables.hpp"

#include <algorithm>
#include <map>
#include <string>

namespace loomproof::draw {
namespace {

class SpareTables {
  public:
    SpareTables(Bound& made, const paper::Paper& paper, const LayOut& lay_out)
        : made_(made), paper_(paper), lay_out_(lay_out) {}

    Result<void> run() {
        if (const Result<void> moved = put_elsewhere(); !moved) return failure(moved.error());
        std::vector<SideTable> left;
        for (std::size_t p = 0; p < made_.sheets.size(); ++p)
            for (const std::size_t t : made_.sheets[p].tables_left) left.push_back(made_.parts[p].sketch.tables[t]);
        if (!left.empty()) add_tables(left);
        return {};
    }

  private:
    // A table for which its own sheet has no room stands on another that has; the own one says where.
    Result<void> put_elsewhere() {
        const std::size_t all = made_.parts.size();
        for (std::size_t home = 0; home < all; ++home) {
            std::vector<std::size_t> left = made_.sheets[home].tables_left;
            std::sort(left.rbegin(), left.rend());
            std::map<std::size_t, std::vector<std::string>> moved; // names of tables, by the sheet they went to
            for (const std::size_t t : left) {
                const SideTable table = made_.parts[home].sketch.tables[t];
                for (std::size_t away = 1; away < 2 * all; ++away) {
                    // The nearest first, on either side.
                    const std::size_t step = (away + 1) / 2;
                    if (away % 2 == 0 ? step > home : home + step >= all) continue;
                    const std::size_t p = away % 2 == 0 ? home - step : home + step;
                    const Result<bool> taken = take_in(p, table);
                    if (!taken) return failure(taken.error());
                    if (!*taken) continue;
                    made_.parts[home].sketch.tables.erase(made_.parts[home].sketch.tables.begin() +
                                                          static_cast<std::ptrdiff_t>(t));
                    moved[p].push_back(table.title.substr(0, table.title.find(',')));
                    break;
                }
            }
            if (moved.empty()) continue;
            Sketch& sketch = made_.parts[home].sketch;
            const std::size_t before = sketch.footnotes.size();
            for (auto& [p, names] : moved) {
                std::reverse(names.begin(), names.end());
                sketch.footnotes.push_back("Table of " + list_of(names) + ": sheet\u00A0" + std::to_string(p + 1) +
                                           ".");
            }
            Result<Sheet> again = lay_out_(made_.parts[home]);
            if (!again) return failure(again.error());
            // Where there is no room for those words either, the contents lead to the plug, and the table names it.
            if (best_scale(*again) < best_scale(made_.sheets[home])) {
                made_.parts[home].sketch.footnotes.resize(before);
                again = lay_out_(made_.parts[home]);
                if (!again) return failure(again.error());
            }
            made_.sheets[home] = std::move(*again);
        }
        return {};
    }
    double best_scale(const Sheet& sheet) const {
        return std::max(scale_on(sheet, page_of(paper_, false)), scale_on(sheet, page_of(paper_, true)));
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
        const std::vector<Picture> pages = pages_of_tables(tables, width, height);
        const std::size_t before = made_.parts.size(), all = before + pages.size();
        for (std::size_t p = 0; p < before; ++p) renumber(p, all);
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

Result<void> place_left_tables(Bound& made, const paper::Paper& paper, const LayOut& lay_out) {
    return SpareTables(made, paper, lay_out).run();
}

} // namespace loomproof::draw
