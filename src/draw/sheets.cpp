// Several sheets of paper: which symbols go on which, and what is written at the breaks.
#include "draw/draw.hpp"
#include "draw/sheet.hpp"
#include "draw/split.hpp"
#include "draw/svg.hpp"

#include <algorithm>
#include <map>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// What the groups begin with, and how often the ordering of one sheet is begun anew.
constexpr std::size_t smallest_group = 12;
constexpr int sheet_starts = 60;

struct Parts {
    std::vector<SketchPart> parts;
    std::vector<Sheet> sheets;
};

struct Page {
    double width, height, edge;
};

Page page_of(const paper::Paper& paper, bool landscape) {
    const double u = paper::units_per_mm;
    return landscape ? Page{paper.height * u, paper.width * u, paper.margin * u} : Page{paper.width * u, paper.height * u, paper.margin * u};
}

// 1 where the sheet fits at full size.
double scale_on(const Sheet& sheet, const Page& page) {
    Sheet copy = {};
    copy.width = sheet.width;
    copy.height = sheet.height;
    if (put_on_page(copy, page.width, page.height, page.edge)) return 1;
    return std::min({1.0, page.width / sheet.width, page.height / sheet.height});
}

// What a sheet does: for each of its fuses what hangs on it, and the fuse.
std::string title_of(const Sketch& whole, const SketchPart& part, const std::vector<int>& owner) {
    std::vector<std::string> said;
    std::map<int, std::string> what; // by fuse
    for (const Heading& heading : whole.headings)
        if (!heading.symbols.empty()) what[owner[index(heading.symbols.front())]] = heading.text;
    bool supply = false;
    for (const int s : part.from) {
        if (s < 0) continue;
        const Symbol& symbol = whole.symbols[index(s)];
        supply = supply || symbol.kind == SymbolKind::battery;
        if (owner[index(s)] != s) continue;
        const auto found = what.find(s);
        std::string text = found != what.end() && !found->second.empty() ? found->second : symbol.lines.empty() ? "" : symbol.lines.front();
        said.push_back(text.empty() ? symbol.name : text + " (" + symbol.name + ")");
    }
    std::string title = supply ? "Supply" : "";
    constexpr std::size_t most = 3;
    const std::size_t left_out = said.size() > most ? said.size() - most + 1 : 0;
    if (left_out > 0) said.resize(most - 1);
    for (const std::string& text : said) title += (title.empty() ? "" : ", ") + text;
    if (left_out > 0) title += " and " + std::to_string(left_out) + " more";
    return title.empty() ? "Further parts" : title;
}

class Binder {
  public:
    Binder(const Sketch& sketch, const paper::Paper& paper, const Options& options)
        : sketch_(sketch), paper_(paper), options_(options), owner_(owners(sketch, false)) {}

    Result<Parts> run() {
        std::vector<int> all;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) all.push_back(static_cast<int>(s));
        Grouping grouping{all};
        if (const Result<Trial> one = attempt(grouping, 0); !one) return failure(one.error());
        else if (!one->fits) {
            grouping = group(sketch_, smallest_group);
            if (const Result<void> filled = fill(grouping); !filled) return failure(filled.error());
        }
        return lay_out_all(grouping);
    }

  private:
    Result<Sheet> lay_out_part(const SketchPart& part) const {
        return lay_out(part.sketch, {.starts = options_.starts > 0 ? options_.starts : sheet_starts, .seed = options_.seed});
    }

    struct Trial {
        bool fits = false;
        int crossings = 0;
    };

    Result<Trial> attempt(const Grouping& grouping, std::size_t g) const {
        std::vector<SketchPart> parts = cut(sketch_, grouping);
        parts[g].sketch.title = "Sheet";
        const Result<Sheet> sheet = lay_out_part(parts[g]);
        if (!sheet) return failure(sheet.error());
        return Trial{scale_on(*sheet, page_of(paper_, false)) >= 1 || scale_on(*sheet, page_of(paper_, true)) >= 1, sheet->crossings};
    }

    // In their order, as many groups on a sheet as it holds without a crossing more. Where the next one is too much, a few further ones are tried: a small
    // one may still find room.
    Result<void> fill(Grouping& grouping) const {
        constexpr std::size_t farthest = 3;
        for (std::size_t g = 0; g < grouping.size(); ++g) {
            const Result<Trial> alone = attempt(grouping, g);
            if (!alone) return failure(alone.error());
            std::size_t next = g + 1;
            while (next < grouping.size() && next <= g + farthest) {
                Grouping tried = grouping;
                tried[g].insert(tried[g].end(), tried[next].begin(), tried[next].end());
                tried.erase(tried.begin() + static_cast<std::ptrdiff_t>(next));
                const Result<Trial> both = attempt(tried, g);
                if (!both) return failure(both.error());
                if (both->fits && both->crossings <= alone->crossings) grouping = std::move(tried);
                else ++next;
            }
        }
        return {};
    }

    Result<Parts> lay_out_all(const Grouping& grouping) const {
        Parts made;
        made.parts = cut(sketch_, grouping);
        for (std::size_t p = 0; p < made.parts.size(); ++p) {
            SketchPart& part = made.parts[p];
            const bool several = made.parts.size() > 1;
            const std::string what = several ? title_of(sketch_, part, owner_) : sketch_.title;
            part.sketch.title = several ? "Sheet " + std::to_string(p + 1) + " of " + std::to_string(made.parts.size()) + ": " + what : what;
            part.sketch.description = sketch_.description;
            Result<Sheet> sheet = lay_out_part(part);
            if (!sheet) return failure(sheet.error());
            made.sheets.push_back(std::move(*sheet));
        }
        return made;
    }

    const Sketch& sketch_;
    const paper::Paper& paper_;
    const Options& options_;
    std::vector<int> owner_;
};

// Now that every path has its number, the break marks and the halves of relays get theirs. Where the other sheet has no path, only
// the sheet is said.
void fill_in_paths(Parts& made) {
    for (std::size_t p = 0; p < made.parts.size(); ++p)
        for (const std::vector<BreakMark>& all : {made.parts[p].marks, made.parts[p].halves})
            for (const BreakMark& mark : all)
                fill_in_path(made.sheets[p].symbols[index(mark.symbol)].picture, made.sheets[index(mark.other_part)].path_of[index(mark.other_symbol)]);
}

SheetDrawing finish(const SketchPart& part, Sheet sheet, const paper::Paper& paper, const Options& options) {
    SheetDrawing out;
    out.title = part.sketch.title;
    out.symbols = static_cast<int>(part.sketch.symbols.size());
    out.breaks = static_cast<int>(part.marks.size());
    // Upright where it fits; lying where only that does; else whichever needs less shrinking.
    const Page upright = page_of(paper, false), lying = page_of(paper, true);
    const double when_upright = scale_on(sheet, upright), when_lying = scale_on(sheet, lying);
    out.landscape = when_lying > when_upright;
    out.scale = std::max(when_lying, when_upright);
    const Page& page = out.landscape ? lying : upright;
    put_on_page(sheet, page.width, page.height, page.edge);
    out.drawing.svg = to_svg(part.sketch, sheet, {.black_and_white = options.black_and_white, .scale = out.scale});
    out.drawing.width_mm = sheet.width / paper::units_per_mm * out.scale;
    out.drawing.height_mm = sheet.height / paper::units_per_mm * out.scale;
    out.drawing.crossings = sheet.crossings;
    out.drawing.bends = sheet.bends;
    out.drawing.labels_without_place = sheet.homeless;
    out.drawing.repeats_left_out = sheet.left_out;
    return out;
}

} // namespace

Result<std::vector<SheetDrawing>> draw_sheets(const Sketch& sketch, const paper::Paper& paper, const Options& options) {
    Result<Parts> made = Binder(sketch, paper, options).run();
    if (!made) return failure(made.error());
    fill_in_paths(*made);
    std::vector<SheetDrawing> out;
    for (std::size_t p = 0; p < made->parts.size(); ++p) out.push_back(finish(made->parts[p], std::move(made->sheets[p]), paper, options));
    return out;
}

} // namespace loomproof::draw
