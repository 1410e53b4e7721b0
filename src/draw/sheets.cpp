// Several sheets of paper: what is written at the breaks, the contents, the overview.
#include "draw/bind.hpp"
#include "draw/contents.hpp"
#include "draw/draw.hpp"
#include "draw/functions.hpp"
#include "draw/legend.hpp"
#include "draw/remarks.hpp"
#include "draw/svg.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// Now that every path has its number, whatever speaks of another sheet gets the one there. Where that sheet has no path, only the sheet is said.
void say_where(const Sketch& sketch, Bound& made) {
    for (std::size_t p = 0; p < made.parts.size(); ++p)
        for (const std::vector<BreakMark>& all : {made.parts[p].marks, made.parts[p].elsewhere})
            for (const BreakMark& mark : all) {
                const Sheet& there = made.sheets[index(mark.other_part)];
                Picture& words = made.sheets[p].symbols[index(mark.symbol)].picture;
                if (mark.taps == 0) {
                    fill_in_path(words, there.path_of[index(mark.other_symbol)]);
                    continue;
                }
                std::vector<int> taps = there.taps_of[index(mark.other_symbol)];
                taps.resize(index(mark.taps), 0); // as many as there is room for
                fill_in_paths(words, taps);
            }
    // Every foot that speaks of the battery's minus says where it is.
    const int minus = minus_foot(sketch);
    for (std::size_t p = 0; p < made.parts.size(); ++p) {
        const std::vector<int>& from = made.parts[p].from;
        const auto at = std::find(from.begin(), from.end(), minus);
        if (minus < 0 || at == from.end()) continue;
        const int path = made.sheets[p].path_of[static_cast<std::size_t>(at - from.begin())];
        for (Sheet& sheet : made.sheets) fill_in_path(sheet.notes, path);
    }
}

// Whose the page is, in its white edge: there it takes no room from the circuit.
void say_owner(Sheet& sheet, const std::string& owner, double edge) {
    constexpr double below = 16, below_of_two = 9, pitch = 15; // printers reach to about 4 mm from the paper's edge
    const std::vector<std::string> lines =
        paper::broken_into_lines(owner, sheet.width - 2 * edge, size_of(WordKind::line), weight_of(WordKind::line));
    double y = sheet.height - edge + (lines.size() > 1 ? below_of_two : below);
    for (const std::string& line : lines) {
        sheet.notes.words.push_back({line, {edge, y}, Anchor::start, WordKind::line, false});
        y += pitch;
    }
}

// The sheet on its page, upright or lying.
SheetDrawing finish(const Sketch& sketch, Sheet sheet, const paper::Paper& paper, const Options& options,
                    const std::string& owner, double enlarged = 1, const KeptSheet* stood = nullptr) {
    SheetDrawing out;
    out.title = sketch.title;
    out.symbols = static_cast<int>(sketch.symbols.size());
    // Upright where it fits; lying where only that does; else whichever needs less shrinking.
    const Page upright = page_of(paper, false), lying = page_of(paper, true);
    const auto scale = [&](const Page& page) {
        return scale_on(sheet, {page.width / enlarged, page.height / enlarged, page.edge / enlarged}) * enlarged;
    };
    double when_upright = scale(upright), when_lying = scale(lying);
    const bool narrow = std::max(when_lying, when_upright) < 1;
    if (narrow) {
        when_upright = scale_with_narrow_edges(sheet, upright);
        when_lying = scale_with_narrow_edges(sheet, lying);
    }
    out.landscape = when_lying > when_upright;
    if (!sheet.kept_shift) stood = nullptr;
    if (stood != nullptr) {
        // As it stood, unless it would be much smaller so.
        constexpr double hardly_smaller = 0.97;
        const bool lay = stood->width_mm > stood->height_mm;
        const double as_it_stood = lay ? when_lying : when_upright;
        if (as_it_stood >= 1 || as_it_stood >= hardly_smaller * std::max(when_lying, when_upright)) out.landscape = lay;
    }
    out.scale = out.landscape ? when_lying : when_upright;
    const Page& page = out.landscape ? lying : upright;
    const Edges edges = narrow ? narrow_edges(page) : Edges{page.edge, page.edge, page.edge};
    std::optional<double> origin;
    if (stood != nullptr) origin = stood->origin * stood->scale / out.scale - *sheet.kept_shift * column;
    put_on_page(sheet, page.width / out.scale, page.height / out.scale,
                {edges.side / out.scale, edges.top / out.scale, edges.bottom / out.scale}, origin);
    say_owner(sheet, owner, page.edge / out.scale);
    out.drawing.svg = to_svg(sketch, sheet, {.black_and_white = options.black_and_white, .scale = out.scale});
    out.drawing.width_mm = sheet.width / paper::units_per_mm * out.scale;
    out.drawing.height_mm = sheet.height / paper::units_per_mm * out.scale;
    out.drawing.crossings = sheet.crossings;
    out.drawing.bends = sheet.bends;
    out.drawing.labels_without_place = static_cast<int>(sheet.in_table.size());
    out.drawing.labels_in_table = sheet.in_table;
    out.drawing.repeats_left_out = sheet.left_out;
    return out;
}

std::vector<SheetDrawing> finish_all(const Sketch& sketch, Bound& made, const paper::Paper& paper,
                                     const Options& options) {
    say_where(sketch, made);
    std::vector<SheetDrawing> out;
    for (std::size_t p = 0; p < made.parts.size(); ++p) {
        out.push_back(finish(made.parts[p].sketch, made.sheets[p], paper, options,
                             owner_line(sketch, p + 1, made.parts.size()), made.enlarged, made.parts[p].stood));
        out.back().breaks = static_cast<int>(made.parts[p].marks.size());
    }
    return out;
}

// The numbered path nearest to a mark; 0 where the sheet numbers none. That of what the mark speaks of may be far away: a wire is long.
int path_below(const Sheet& sheet, double x) {
    int nearest = 0;
    double distance = 0;
    for (const Word& word : sheet.notes.words) {
        if (word.kind != WordKind::path || (nearest > 0 && std::abs(word.at.x - x) >= distance)) continue;
        nearest = std::stoi(word.text);
        distance = std::abs(word.at.x - x);
    }
    return nearest;
}

// Of the upright run of the wire that is nearest: beside a mark on a level run other wires pass.
int path_of_run(const Sheet& sheet, const PaintedWire& wire, double x) {
    const Point* nearest = nullptr;
    for (const Point& corner : wire.path)
        if (nearest == nullptr || std::abs(corner.x - x) < std::abs(nearest->x - x)) nearest = &corner;
    return nearest == nullptr ? 0 : path_below(sheet, nearest->x);
}

// Where the marks stand, by number. One that found no room beside its wire has no path, only the sheet whose table says it.
std::map<std::string, Spot> marks_on(const Bound& made) {
    std::map<std::string, Spot> found;
    for (std::size_t p = 0; p < made.sheets.size(); ++p) {
        const Sheet& sheet = made.sheets[p];
        const int number = static_cast<int>(p) + 1;
        for (const PaintedSymbol& symbol : sheet.symbols)
            for (const Word& word : symbol.picture.words)
                if (is_mark(word.kind)) found.try_emplace(word.text, Spot{number, path_below(sheet, word.at.x)});
        for (const PaintedWire& wire : sheet.wires)
            for (const Flag& flag : wire.flags)
                if (flag.is_mark)
                    found.try_emplace(number_of_mark(flag.text),
                                      Spot{number, path_of_run(sheet, wire, (flag.box.left + flag.box.right) / 2)});
        for (const Wire& wire : made.parts[p].sketch.wires)
            for (const std::string& mark : wire.remarks) found.try_emplace(number_of_mark(mark), Spot{number, 0});
    }
    return found;
}

SetPlan plan_of(const Sketch& sketch, const Bound& made) {
    SetPlan plan;
    plan.whole = &sketch;
    plan.titles = made.titles;
    plan.purpose = purposes_of(sketch, feeds_of_loads(sketch));
    plan.marks = marks_on(made);
    for (const Bound::TablePlace& table : made.tables) plan.tables.emplace_back(table.of, table.sheet);
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
            if (!home && part.from[i] < 0 && symbol.kind == SymbolKind::bus && by_name.contains(symbol.name))
                plan.spots[by_name[symbol.name]].push_back(spot);
        }
    };
    for (std::size_t p = 0; p < made.parts.size(); ++p) note(p, true);
    for (std::size_t p = 0; p < made.parts.size(); ++p) note(p, false);
    for (std::size_t p = 0; p < made.parts.size(); ++p)
        for (const PaintedWire& painted : made.sheets[p].wires) {
            const Wire& wire = made.parts[p].sketch.wires[index(painted.wire)];
            if (wire.mounting || painted.path.empty()) continue;
            for (const auto& [end, at] : {std::pair{wire.a, painted.path.front()}, {wire.b, painted.path.back()}}) {
                const int whole = made.parts[p].from[index(end.symbol)];
                if (whole >= 0)
                    plan.ends.try_emplace({wire.key, whole},
                                          Spot{static_cast<int>(p) + 1, path_below(made.sheets[p], at.x)});
            }
        }
    return plan;
}

std::vector<SheetDrawing> contents_of(const SetPlan& plan, const paper::Paper& paper, const Options& options) {
    Sketch page_sketch;
    page_sketch.title = title_with(*plan.whole, "contents");
    page_sketch.description = "Contents of a set of " + std::to_string(plan.titles.size()) +
                              " sheets: what each does, the supply's way to the fuses, where each part stands.";
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

// "K1:30"; what has no name is called by its words.
std::string called_end(const Sketch& sketch, const End& end) {
    const Symbol& symbol = sketch.symbols[index(end.symbol)];
    const std::string& stamp = symbol.terminals[index(end.terminal)].stamp;
    if (symbol.name.empty()) return symbol.lines.empty() ? "" : symbol.lines.front();
    return stamp.empty() ? symbol.name : symbol.name + ":" + stamp;
}

// The supply with its fuses, and behind each fuse the sheet on which it goes on.
Sketch supply_only(const Sketch& whole, const SetPlan& plan) {
    Sketch out;
    out.title = title_with(whole, "overview");
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
    // One mark for each terminal and sheet, with all paths there on which it goes on.
    std::map<std::tuple<int, int, int>, int> marked;
    for (const Wire& wire : whole.wires) {
        const int a = moved[index(wire.a.symbol)], b = moved[index(wire.b.symbol)];
        if (a < 0 && b < 0) continue;
        Wire copy = wire;
        copy.a.symbol = a;
        copy.b.symbol = b;
        if (a < 0 || b < 0) {
            const End &here = a < 0 ? wire.b : wire.a, &there = a < 0 ? wire.a : wire.b;
            // Of a relay the path of the terminal that is named, not that of its coil.
            const auto end = plan.ends.find({wire.key, there.symbol});
            const Spot& spot = end != plan.ends.end() ? end->second : plan.spots[index(there.symbol)].front();
            const auto [mark_of, fresh] =
                marked.try_emplace({here.symbol, here.terminal, spot.sheet}, static_cast<int>(out.symbols.size()));
            if (fresh) {
                Symbol mark;
                mark.kind = SymbolKind::off_sheet;
                mark.key = wire.key + (a < 0 ? "/from" : "/on");
                mark.rating = std::string(wire.either_way ? "joins: sheet "
                                          : a < 0         ? "comes from: sheet "
                                                          : "goes on: sheet ") +
                              std::to_string(spot.sheet);
                mark.terminals = {Terminal{}};
                out.symbols.push_back(std::move(mark));
                (a < 0 ? copy.a : copy.b) = {mark_of->second, 0};
                out.wires.push_back(std::move(copy));
            }
            const std::string name = called_end(whole, there);
            out.symbols[index(mark_of->second)].lines.push_back(
                (spot.path > 0 ? "path\u00A0" + std::to_string(spot.path) : "") +
                (spot.path > 0 && !name.empty() ? ", " : "") + name);
            if (fresh && a >= 0 && !plan.purpose[index(here.symbol)].empty())
                out.symbols[index(mark_of->second)].place = plan.purpose[index(here.symbol)];
            continue;
        }
        out.wires.push_back(std::move(copy));
    }
    out.jobs = whole.jobs;
    share_remarks(out, whole, false);
    // An overview leads to the sheets, which say how long a wire is; without lengths each label has room at its wire.
    for (Wire& wire : out.wires) {
        wire.length.clear();
        wire.job = 0; // its parts have their letters
    }
    out.footnotes = legend_of(out, Grounds(whole), minus_foot(out) < 0 ? "" : path_blank, plan.black_and_white,
                              Explains::what_is_needed);
    return out;
}

Result<std::optional<SheetDrawing>> overview_of(const Sketch& sketch, const SetPlan& plan, const paper::Paper& paper,
                                                const Options& options) {
    constexpr double smallest = 0.4;      // capitals 1 mm high
    constexpr std::size_t too_many = 400; // symbols: such a page was never large enough, and takes long to lay out
    const Sketch supply = supply_only(sketch, plan);
    if (supply.symbols.size() > too_many) return std::optional<SheetDrawing>{};
    const KeptSheet* stood = options.kept != nullptr && options.kept->overview ? &*options.kept->overview : nullptr;
    const auto too_small = [&](const Sheet& sheet) {
        return std::max(scale_on(sheet, page_of(paper, false)), scale_on(sheet, page_of(paper, true))) < smallest;
    };
    Result<Sheet> sheet = lay_out(supply, {.starts = options.starts, .seed = options.seed, .kept = stood});
    if (sheet && sheet->kept_shift && too_small(*sheet))
        sheet = lay_out(supply, {.starts = options.starts, .seed = options.seed});
    if (!sheet) return failure(sheet.error());
    if (too_small(*sheet)) return std::optional<SheetDrawing>{};
    if (const int minus = minus_foot(supply); minus >= 0) fill_in_path(sheet->notes, sheet->path_of[index(minus)]);
    return finish(supply, std::move(*sheet), paper, options, owner_line(sketch, 0, plan.titles.size()), 1, stood);
}

} // namespace

Result<std::vector<SheetDrawing>> draw_sheets(const Sketch& sketch, const paper::Paper& paper, const Options& options) {
    Result<Bound> made = bind(sketch, paper, options);
    if (!made) return failure(made.error());
    return finish_all(sketch, *made, paper, options);
}

Result<SheetSet> draw_set(const Sketch& sketch, const paper::Paper& paper, const Options& chosen) {
    Options options = chosen;
    options.with_contents = true;
    Result<Bound> made = bind(sketch, paper, options);
    if (!made) return failure(made.error());
    return set_of(sketch, std::move(*made), paper, options);
}

Result<SheetSet> set_of(const Sketch& sketch, Bound made, const paper::Paper& paper, const Options& options) {
    SheetSet set;
    set.sheets = finish_all(sketch, made, paper, options);
    if (set.sheets.size() == 1) return set; // there is nothing to find one's way through
    SetPlan plan = plan_of(sketch, made);
    plan.black_and_white = options.black_and_white;
    set.contents = contents_of(plan, paper, options);
    // Sheets of tables are no circuit.
    if (std::count_if(made.parts.begin(), made.parts.end(),
                      [](const SketchPart& p) { return !p.sketch.symbols.empty(); }) < 2)
        return set;
    Result<std::optional<SheetDrawing>> overview = overview_of(sketch, plan, paper, options);
    if (!overview) return failure(overview.error());
    set.overview = std::move(*overview);
    return set;
}

} // namespace loomproof::draw
