// Several sheets of paper: which symbols go on which, and what is written at the breaks.
#include "base/number.hpp"
#include "draw/contents.hpp"
#include "draw/draw.hpp"
#include "draw/sheet.hpp"
#include "draw/split.hpp"
#include "draw/svg.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// What the groups begin with, and how often the ordering of one sheet is begun anew.
constexpr std::size_t smallest_group = 12;
constexpr int sheet_starts = 60;

struct Parts {
    std::vector<SketchPart> parts;
    std::vector<Sheet> sheets;
    std::vector<std::string> titles; ///< without the sheet's number
};

struct Page {
    double width, height, edge;
};

Page page_of(const paper::Paper& paper, bool landscape) {
    const double u = paper::units_per_mm;
    return landscape ? Page{paper.height * u, paper.width * u, paper.margin * u} : Page{paper.width * u, paper.height * u, paper.margin * u};
}

double scale_on(const Sheet& sheet, const Page& page) { return scale_to_fit(sheet, page.width, page.height, page.edge); }

char capital(char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; }

// What hangs on each fuse, by symbol, as the file spells it; empty for all that is no fuse.
std::vector<std::string> purposes(const Sketch& whole, const std::vector<int>& owner) {
    std::vector<std::string> out(whole.symbols.size());
    for (const Heading& heading : whole.headings) {
        if (heading.symbols.empty()) continue;
        const int fuse = owner[index(heading.symbols.front())];
        if (fuse < 0) continue;
        std::string& text = out[index(fuse)];
        text = heading.text;
        // The heading made a capital of it.
        const std::vector<std::string>& lines = whole.symbols[index(heading.symbols.front())].lines;
        if (!text.empty() && !lines.empty() && !lines.front().empty() && text.front() == capital(lines.front().front())) text.front() = lines.front().front();
    }
    for (std::size_t s = 0; s < out.size(); ++s)
        if (owner[s] == static_cast<int>(s) && out[s].empty() && !whole.symbols[s].lines.empty()) out[s] = whole.symbols[s].lines.front();
    return out;
}

// What a sheet does: for each of its fuses what hangs on it, and the fuse. At most so many fuses are named.
std::string title_of(const Sketch& whole, const SketchPart& part, const std::vector<int>& owner, const std::vector<std::string>& purpose, std::size_t most) {
    std::vector<std::string> said;
    bool supply = false;
    for (const int s : part.from) {
        if (s < 0) continue;
        const Symbol& symbol = whole.symbols[index(s)];
        supply = supply || symbol.kind == SymbolKind::battery;
        if (owner[index(s)] != s) continue;
        const std::string& text = purpose[index(s)];
        said.push_back(text.empty() ? symbol.name : text + " (" + symbol.name + ")");
    }
    if (supply) said.insert(said.begin(), "supply");
    if (said.empty()) return "Further parts";
    const std::size_t left_out = said.size() > most ? said.size() - most + 1 : 0;
    if (left_out > 0) said.resize(most - 1);
    if (left_out > 0) said.push_back(std::to_string(left_out) + " more");
    std::string title = list_of(said);
    title[0] = capital(title[0]);
    return title;
}

class Binder {
  public:
    Binder(const Sketch& sketch, const paper::Paper& paper, const Options& options)
        : sketch_(sketch), paper_(paper), options_(options), owner_(owners(sketch, false)), purpose_(purposes(sketch, owner_)) {}

    Result<Parts> run() {
        std::vector<int> all;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) all.push_back(static_cast<int>(s));
        Grouping grouping{all};
        if (const Result<Trial> one = attempt(grouping, 0); !one) return failure(one.error());
        else if (!one->fits()) {
            grouping = group(sketch_, options_.together == Together::by_job ? 0 : smallest_group);
            if (options_.together != Together::by_fuse)
                if (const Result<void> merged = gather(grouping); !merged) return failure(merged.error());
            if (const Result<void> filled = fill(grouping); !filled) return failure(filled.error());
        }
        return lay_out_all(grouping);
    }

  private:
    Result<Sheet> lay_out_part(const SketchPart& part) const {
        return lay_out(part.sketch, {.starts = options_.starts > 0 ? options_.starts : sheet_starts, .seed = options_.seed, .wider_for_straightness = 0});
    }

    struct Trial {
        double scale = 0; ///< 1 = fits at full size
        int crossings = 0;
        bool fits() const { return scale >= 1; }
    };

    Result<Trial> attempt(const Grouping& grouping, std::size_t g) const {
        std::vector<SketchPart> parts = cut(sketch_, grouping);
        parts[g].sketch.title = "Sheet 88 of 88: " + title_of(sketch_, parts[g], owner_, purpose_, 3);
        const Result<Sheet> sheet = lay_out_part(parts[g]);
        if (!sheet) return failure(sheet.error());
        // Numbers of sheets and paths are not final yet: two lines of text more must do no harm.
        constexpr double reserve = 36;
        const auto scale = [&](bool landscape) {
            const Page page = page_of(paper_, landscape);
            return scale_on(*sheet, {page.width, page.height - reserve, page.edge});
        };
        return Trial{std::max(scale(false), scale(true)), sheet->crossings};
    }

    // What a job did stands together, whichever fuse it hangs on; and so does all that is one function. The supply stays where it is.
    bool belong_together(const std::vector<int>& a, const std::vector<int>& b) const {
        if (is_supply(a) || is_supply(b)) return false;
        if (options_.together == Together::by_job) {
            const char job = job_of(sketch_, a);
            return job != 0 && job == job_of(sketch_, b);
        }
        const std::vector<std::string> one = functions_of(sketch_, a), other = functions_of(sketch_, b);
        return std::any_of(one.begin(), one.end(), [&](const std::string& f) { return std::find(other.begin(), other.end(), f) != other.end(); });
    }
    bool is_supply(const std::vector<int>& symbols) const {
        return std::any_of(symbols.begin(), symbols.end(), [&](int s) { return sketch_.symbols[index(s)].kind == SymbolKind::battery; });
    }

    // While they fit on a sheet: here a crossing more is worth it, and type a little smaller (capitals 2 mm high).
    Result<void> gather(Grouping& grouping) const {
        constexpr double small_enough = 0.8;
        if (options_.together == Together::by_job)
            std::stable_sort(grouping.begin(), grouping.end(), [&](const auto& a, const auto& b) { return rank(a) < rank(b); });
        for (std::size_t g = 0; g < grouping.size(); ++g)
            for (std::size_t next = g + 1; next < grouping.size();) {
                if (!belong_together(grouping[g], grouping[next])) {
                    ++next;
                    continue;
                }
                Grouping tried = joined(grouping, g, next);
                const Result<Trial> both = attempt(tried, g);
                if (!both) return failure(both.error());
                if (both->scale >= small_enough) grouping = std::move(tried);
                else ++next;
            }
        return {};
    }
    // The supply, then the jobs in their order, then what no job touched.
    int rank(const std::vector<int>& symbols) const {
        if (is_supply(symbols)) return 0;
        const char job = job_of(sketch_, symbols);
        return job == 0 ? 1000 : static_cast<unsigned char>(job);
    }
    static Grouping joined(Grouping grouping, std::size_t a, std::size_t b) {
        grouping[a].insert(grouping[a].end(), grouping[b].begin(), grouping[b].end());
        grouping.erase(grouping.begin() + static_cast<std::ptrdiff_t>(b));
        return grouping;
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
                if (options_.together == Together::by_job && rank(grouping[g]) != rank(grouping[next])) {
                    ++next;
                    continue;
                }
                Grouping tried = joined(grouping, g, next);
                const Result<Trial> both = attempt(tried, g);
                if (!both) return failure(both.error());
                if (both->fits() && both->crossings <= alone->crossings) grouping = std::move(tried);
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
            const std::string before = several && options_.together == Together::by_job ? job_title(grouping[p]) : "";
            const auto title = [&](std::size_t most) { return several ? before + title_of(sketch_, part, owner_, purpose_, most) : sketch_.title; };
            const std::string what = title(3);
            part.sketch.title = several ? "Sheet " + std::to_string(p + 1) + " of " + std::to_string(made.parts.size()) + ": " + what : what;
            part.sketch.description = sketch_.description;
            made.titles.push_back(title(1000));
            Result<Sheet> sheet = lay_out_part(part);
            if (!sheet) return failure(sheet.error());
            made.sheets.push_back(std::move(*sheet));
        }
        return made;
    }

    // "Job B, Driving lights: "
    std::string job_title(const std::vector<int>& symbols) const {
        const char letter = is_supply(symbols) ? '\0' : job_of(sketch_, symbols);
        for (const Job& job : sketch_.jobs)
            if (letter != 0 && job.letter == letter) return "Job " + std::string(1, letter) + ", " + job.title + ": ";
        return "";
    }

    const Sketch& sketch_;
    const paper::Paper& paper_;
    const Options& options_;
    std::vector<int> owner_;
    std::vector<std::string> purpose_;
};

// Now that every path has its number, the break marks and the halves of relays get theirs. Where the other sheet has no path, only
// the sheet is said.
void fill_in_paths(Parts& made) {
    for (std::size_t p = 0; p < made.parts.size(); ++p)
        for (const std::vector<BreakMark>& all : {made.parts[p].marks, made.parts[p].halves})
            for (const BreakMark& mark : all)
                fill_in_path(made.sheets[p].symbols[index(mark.symbol)].picture, made.sheets[index(mark.other_part)].path_of[index(mark.other_symbol)]);
}

// The sheet on its page, upright or lying.
SheetDrawing finish(const Sketch& sketch, Sheet sheet, const paper::Paper& paper, const Options& options) {
    SheetDrawing out;
    out.title = sketch.title;
    out.symbols = static_cast<int>(sketch.symbols.size());
    // Upright where it fits; lying where only that does; else whichever needs less shrinking.
    const Page upright = page_of(paper, false), lying = page_of(paper, true);
    const double when_upright = scale_on(sheet, upright), when_lying = scale_on(sheet, lying);
    out.landscape = when_lying > when_upright;
    out.scale = std::max(when_lying, when_upright);
    const Page& page = out.landscape ? lying : upright;
    put_on_page(sheet, page.width / out.scale, page.height / out.scale, page.edge / out.scale);
    out.drawing.svg = to_svg(sketch, sheet, {.black_and_white = options.black_and_white, .scale = out.scale});
    out.drawing.width_mm = sheet.width / paper::units_per_mm * out.scale;
    out.drawing.height_mm = sheet.height / paper::units_per_mm * out.scale;
    out.drawing.crossings = sheet.crossings;
    out.drawing.bends = sheet.bends;
    out.drawing.labels_without_place = sheet.homeless;
    out.drawing.repeats_left_out = sheet.left_out;
    return out;
}

std::vector<SheetDrawing> finish_all(Parts& made, const paper::Paper& paper, const Options& options) {
    fill_in_paths(made);
    std::vector<SheetDrawing> out;
    for (std::size_t p = 0; p < made.parts.size(); ++p) {
        out.push_back(finish(made.parts[p].sketch, made.sheets[p], paper, options));
        out.back().breaks = static_cast<int>(made.parts[p].marks.size());
    }
    return out;
}

SetPlan plan_of(const Sketch& sketch, const Parts& made) {
    SetPlan plan;
    plan.whole = &sketch;
    plan.titles = made.titles;
    plan.purpose = purposes(sketch, owners(sketch, false));
    plan.spots.resize(sketch.symbols.size());
    std::map<std::string, std::size_t> by_name;
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
        if (sketch.symbols[s].kind == SymbolKind::bus) by_name[sketch.symbols[s].name] = s;
    const auto note = [&](std::size_t p, bool home) {
        const SketchPart& part = made.parts[p];
        for (std::size_t i = 0; i < part.from.size(); ++i) {
            const Spot spot{static_cast<int>(p) + 1, made.sheets[p].path_of.empty() ? 0 : made.sheets[p].path_of[i]};
            if (home && part.from[i] >= 0) plan.spots[index(part.from[i])].push_back(spot);
            const Symbol& symbol = part.sketch.symbols[i];
            if (!home && part.from[i] < 0 && symbol.kind == SymbolKind::bus && by_name.contains(symbol.name)) plan.spots[by_name[symbol.name]].push_back(spot);
        }
    };
    for (std::size_t p = 0; p < made.parts.size(); ++p) note(p, true);
    for (std::size_t p = 0; p < made.parts.size(); ++p) note(p, false);
    return plan;
}

std::vector<SheetDrawing> contents_of(const SetPlan& plan, const paper::Paper& paper, const Options& options) {
    Sketch page_sketch;
    page_sketch.title = plan.whole->title.empty() ? "Contents" : plan.whole->title + ": contents";
    page_sketch.description = "Contents of a set of " + std::to_string(plan.titles.size()) + " sheets: what each does, the supply's way to the fuses, where each part stands.";
    const Page page = page_of(paper, false);
    std::vector<SheetDrawing> out;
    for (Sheet& sheet : contents_pages(plan, page.width, page.height, page.edge)) {
        out.emplace_back();
        out.back().title = page_sketch.title;
        out.back().drawing.svg = to_svg(page_sketch, sheet, {.black_and_white = options.black_and_white});
        out.back().drawing.width_mm = paper.width;
        out.back().drawing.height_mm = paper.height;
    }
    return out;
}

// The supply with its fuses, and behind each fuse the sheet on which it goes on.
Sketch supply_only(const Sketch& whole, const SetPlan& plan) {
    Sketch out;
    out.title = whole.title.empty() ? "Overview" : whole.title + ": overview";
    out.description = "The supply down to the fuses, and the sheets on which it goes on.";
    const std::vector<int> owner = owners(whole, false);
    const std::vector<bool> stray = strays(whole);
    std::vector<int> moved(whole.symbols.size(), -1);
    for (std::size_t s = 0; s < whole.symbols.size(); ++s) {
        if ((owner[s] != -1 && owner[s] != static_cast<int>(s)) || stray[s]) continue;
        moved[s] = static_cast<int>(out.symbols.size());
        out.symbols.push_back(whole.symbols[s]);
        out.symbols.back().other_halves.clear(); // the contents say where they are
    }
    // One mark for each terminal and sheet.
    std::set<std::tuple<int, int, int>> marked;
    for (const Wire& wire : whole.wires) {
        const int a = moved[index(wire.a.symbol)], b = moved[index(wire.b.symbol)];
        if (a < 0 && b < 0) continue;
        Wire copy = wire;
        copy.a.symbol = a;
        copy.b.symbol = b;
        if (a < 0 || b < 0) {
            const End &here = a < 0 ? wire.b : wire.a, &there = a < 0 ? wire.a : wire.b;
            const int sheet = plan.spots[index(there.symbol)].front().sheet;
            if (!marked.insert({here.symbol, here.terminal, sheet}).second) continue;
            Symbol mark;
            mark.kind = SymbolKind::off_sheet;
            mark.key = wire.key + (a < 0 ? "/from" : "/on");
            mark.rating = "sheet " + std::to_string(sheet);
            if (a >= 0 && !plan.purpose[index(here.symbol)].empty()) mark.lines.push_back(plan.purpose[index(here.symbol)]);
            mark.terminals = {Terminal{}};
            (a < 0 ? copy.a : copy.b) = {static_cast<int>(out.symbols.size()), 0};
            out.symbols.push_back(std::move(mark));
        }
        out.wires.push_back(std::move(copy));
    }
    return out;
}

Result<std::optional<SheetDrawing>> overview_of(const Sketch& sketch, const SetPlan& plan, const paper::Paper& paper, const Options& options) {
    constexpr double smallest = 0.4;      // capitals 1 mm high
    constexpr std::size_t too_many = 400; // symbols: such a page was never large enough, and takes long to lay out
    const Sketch supply = supply_only(sketch, plan);
    if (supply.symbols.size() > too_many) return std::optional<SheetDrawing>{};
    Result<Sheet> sheet = lay_out(supply, {.starts = options.starts, .seed = options.seed});
    if (!sheet) return failure(sheet.error());
    if (std::max(scale_on(*sheet, page_of(paper, false)), scale_on(*sheet, page_of(paper, true))) < smallest) return std::optional<SheetDrawing>{};
    return finish(supply, std::move(*sheet), paper, options);
}

} // namespace

Result<std::vector<SheetDrawing>> draw_sheets(const Sketch& sketch, const paper::Paper& paper, const Options& options) {
    Result<Parts> made = Binder(sketch, paper, options).run();
    if (!made) return failure(made.error());
    return finish_all(*made, paper, options);
}

Result<SheetSet> draw_set(const Sketch& sketch, const paper::Paper& paper, const Options& options) {
    Result<Parts> made = Binder(sketch, paper, options).run();
    if (!made) return failure(made.error());
    SheetSet set;
    set.sheets = finish_all(*made, paper, options);
    const SetPlan plan = plan_of(sketch, *made);
    set.contents = contents_of(plan, paper, options);
    if (set.sheets.size() < 2) return set;
    Result<std::optional<SheetDrawing>> overview = overview_of(sketch, plan, paper, options);
    if (!overview) return failure(overview.error());
    set.overview = std::move(*overview);
    return set;
}

} // namespace loomproof::draw
