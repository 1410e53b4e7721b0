// The drawing measured, goal beside figure, and Graphviz's own drawings of the same graph in the same run.
//
//     out/build/dev/bench_drawing            everything; some minutes
//     out/build/dev/bench_drawing overlaps   only the 200 random circuits
//
// Not a test: nothing here passes or fails by the clock, and nobody runs it but people.
#include "bench/layout_peer.hpp"
#include "circuit/read.hpp"
#include "draw/bench.hpp"
#include "draw/columns.hpp"
#include "draw/from_circuit.hpp"
#include "draw/measure.hpp"
#include "draw/sheet.hpp"
#include "draw/svg.hpp"
#include "support/places.hpp"
#include "support/scenario/scenario.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

using namespace loomproof;

namespace {

double now() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

void say(const std::string& line) {
    fmt::print("{}\n", line);
    std::fflush(stdout);
}

std::optional<Circuit> read_file(const std::filesystem::path& path) {
    static Sources sources;
    Reading reading = read_circuit(sources, path.string(), [](const std::string& p) -> Result<std::string> {
        std::ifstream in(p, std::ios::binary);
        if (!in) return failure("no " + p);
        return std::string(std::istreambuf_iterator<char>(in), {});
    });
    if (!reading.readable || reading.circuit.wires.empty()) return std::nullopt;
    return std::move(reading.circuit);
}

Circuit generated(std::uint64_t seed, int wires, scenario::Profile profile) {
    static Sources sources;
    return read_circuit_text(sources, "generated.loom", scenario::write(scenario::make(seed, wires, profile)).main()).circuit;
}

// ---- one page: figures

struct Page {
    draw::Drawing drawing;
    draw::test::Measure seen;
    double seconds = 0;
};

Page page_of(const draw::Sketch& sketch, const draw::Options& options = {}) {
    Page page;
    const double begin = now();
    Result<draw::Drawing> drawing = draw::draw(sketch, options);
    page.seconds = now() - begin;
    if (!drawing) {
        say(drawing.error());
        std::exit(2);
    }
    page.drawing = std::move(*drawing);
    page.seen = draw::test::measure(page.drawing.svg);
    return page;
}

std::string ends(const Page& page) { return fmt::format("{:.1f} %", page.seen.wires == 0 ? 100 : 50.0 * page.seen.ends_on_terminal / page.seen.wires); }

void row(const std::string& name, const draw::Sketch& sketch) {
    const Page page = page_of(sketch);
    say(fmt::format("{:<44}{:>6}{:>9}{:>7}{:>9.1f}{:>9.0f}{:>9}{:>9}{:>9.3f}", name, page.seen.wires, page.seen.crossings, page.seen.bends,
                    page.seen.wire_length / paper::units_per_mm / 1000, page.drawing.width_mm * page.drawing.height_mm / 100,
                    page.seen.overlaps.size(), ends(page), page.seconds));
}

void heading(const std::string& what) {
    say(fmt::format("\n{:<44}{:>6}{:>9}{:>7}{:>9}{:>9}{:>9}{:>9}{:>9}", what, "wires", "crossing", "bends", "length m", "area cm2", "overlaps", "on port", "seconds"));
}

// ---- where the time goes

void stages(const std::string& name, const draw::Sketch& sketch) {
    double at = now();
    const auto lap = [&] {
        const double before = at;
        at = now();
        return at - before;
    };
    Result<draw::Weave> woven = draw::weave(sketch);
    if (!woven) return;
    const double rows = lap();
    const auto arrangements = draw::arrange(sketch, *woven, {.keep = 1});
    const double order = lap();
    draw::apply(*woven, arrangements.front());
    const auto columns_found = draw::find_columns(sketch, *woven);
    const double columns = lap();
    const Result<draw::Sheet> sheet = draw::lay_out(sketch, {});
    const double whole = lap();
    if (!columns_found || !sheet) return;
    const std::string svg = draw::to_svg(sketch, *sheet, {});
    const double written = lap();
    say(fmt::format("{:<44}rows {:.3f}, order {:.3f}, columns (one round) {:.3f}, layout in all {:.3f}, SVG {:.3f} s", name, rows, order, columns, whole, written));
}

// ---- beside Graphviz

struct Goal {
    const char* name;
    int most_crossings, most_bends;
    double most_seconds, most_of_ortho;
};

void beside_peer(const Goal& goal, const draw::Sketch& sketch, bool ortho) {
    const Page page = page_of(sketch);
    say(fmt::format("\n{}: {} wires on one page", goal.name, sketch.wires.size()));
    const auto said = [](const char* what, const std::string& figure, const std::string& wanted) { say(fmt::format("  {:<34}{:>12}   {}", what, figure, wanted)); };
    const auto goal_of = [](const std::string& text, bool met) { return "goal " + text + (met ? "" : ", MISSED"); };
    said("crossings", std::to_string(page.seen.crossings), goal.most_crossings < 0 ? "" : goal_of(fmt::format("<= {}", goal.most_crossings), page.seen.crossings <= goal.most_crossings));
    said("bends", std::to_string(page.seen.bends), goal.most_bends < 0 ? "" : goal_of(fmt::format("<= {}", goal.most_bends), page.seen.bends <= goal.most_bends));
    said("overlaps", std::to_string(page.seen.overlaps.size()), goal_of("0", page.seen.overlaps.empty()));
    said("wire ends on their terminal", ends(page), goal_of("100 %", page.seen.ends_on_terminal == 2 * page.seen.wires));
    said("seconds", fmt::format("{:.3f}", page.seconds), goal_of(fmt::format("<= {}", goal.most_seconds), page.seconds <= goal.most_seconds));
    if (const auto peer = bench::dot_draws(sketch, bench::Splines::polyline)) said("Graphviz, polylines: crossings", std::to_string(peer->crossings), fmt::format("{:.2f} s", peer->seconds));
    else say("  Graphviz's dot is not here (Debian: graphviz) or took too long");
    if (!ortho) return;
    if (const auto peer = bench::dot_draws(sketch, bench::Splines::ortho)) {
        const double share = page.seconds / peer->seconds;
        said("Graphviz, orthogonal: seconds", fmt::format("{:.2f}", peer->seconds), "");
        said("  ours as a share of that", fmt::format("{:.3f}", share), goal_of(fmt::format("<= {}", goal.most_of_ortho), share <= goal.most_of_ortho));
    }
}

// ---- sheets

void sheets_row(const std::string& name, const draw::Sketch& sketch, int most_crossings, double most_seconds) {
    const double begin = now();
    const auto sheets = draw::draw_sheets(sketch, paper::a4);
    const double seconds = now() - begin;
    if (!sheets) return;
    int crossings = 0, bends = 0, breaks = 0, shrunk = 0;
    std::size_t overlaps = 0;
    for (const draw::SheetDrawing& sheet : *sheets) {
        crossings += sheet.drawing.crossings;
        bends += sheet.drawing.bends;
        breaks += sheet.breaks;
        shrunk += sheet.scale < 1 ? 1 : 0;
        overlaps += draw::test::measure(sheet.drawing.svg).overlaps.size();
    }
    say(fmt::format("{:<36}{:>4} sheets of A4, {} cut wires, {} crossings (goal <= {}), {} bends, {} overlaps, {} made smaller, {:.2f} s (goal <= {})", name,
                    sheets->size(), breaks / 2, crossings, most_crossings, bends, overlaps, shrunk, seconds, most_seconds));
}

// ---- relays the same way round, and apart

void relay_styles(const std::string& name, const Circuit& circuit) {
    const View view = View::now(circuit);
    const draw::Sketch together = draw::sketch_of(view), apart = draw::sketch_of(view, {.relays = draw::Relays::apart});
    const Result<draw::Sheet> same = draw::lay_out(together, {}), free = draw::lay_out(together, {.relays_either_way = true}), split = draw::lay_out(apart, {});
    if (!same || !free || !split) return;
    say(fmt::format("{:<36}same way round: {} crossings, {} bends; either way: {}, {}; apart: {}, {}", name, same->crossings, same->bends, free->crossings, free->bends,
                    split->crossings, split->bends));
}

// ---- one wire more

// Who stands beside whom: each symbol's neighbours in its row, read off the sheet.
std::map<std::string, std::set<std::string>> neighbours(const draw::Sketch& sketch, const draw::Sheet& sheet) {
    std::map<long, std::vector<std::pair<double, std::string>>> rows;
    for (const draw::PaintedSymbol& s : sheet.symbols)
        rows[std::lround((s.box.top + s.box.bottom) / 2 / 40)].emplace_back(s.box.left, sketch.symbols[static_cast<std::size_t>(s.symbol)].key);
    std::map<std::string, std::set<std::string>> found;
    for (auto& [y, row_symbols] : rows) {
        std::sort(row_symbols.begin(), row_symbols.end());
        for (std::size_t i = 0; i < row_symbols.size(); ++i) {
            std::set<std::string>& beside = found[row_symbols[i].second];
            if (i > 0) beside.insert(row_symbols[i - 1].second);
            if (i + 1 < row_symbols.size()) beside.insert(row_symbols[i + 1].second);
        }
    }
    return found;
}

double kept_share(const draw::Sketch& before, const draw::Sketch& after) {
    const Result<draw::Sheet> old_sheet = draw::lay_out(before, {}), new_sheet = draw::lay_out(after, {});
    if (!old_sheet || !new_sheet) return 0;
    const auto was = neighbours(before, *old_sheet), is = neighbours(after, *new_sheet);
    int kept = 0;
    for (const auto& [key, beside] : was) {
        const auto found = is.find(key);
        if (found == is.end()) continue;
        kept += beside.empty() || std::any_of(beside.begin(), beside.end(), [&](const std::string& n) { return found->second.contains(n); }) ? 1 : 0;
    }
    return was.empty() ? 1 : static_cast<double>(kept) / static_cast<double>(was.size());
}

void one_wire_more(const std::string& name, const draw::Sketch& sketch) {
    // A lamp more, fed where some fuse feeds already, on a ground foot of its own.
    const auto fuse = std::find_if(sketch.symbols.begin(), sketch.symbols.end(), [](const draw::Symbol& s) { return s.kind == draw::SymbolKind::splice; });
    if (fuse == sketch.symbols.end()) return;
    draw::Sketch more = sketch;
    draw::Symbol foot;
    foot.kind = draw::SymbolKind::foot;
    foot.name = "body";
    foot.key = "one-more-foot";
    foot.terminals = {{}};
    more.symbols.push_back(foot);
    draw::Wire wire;
    wire.key = "one-more";
    wire.label = "W999 1 BN";
    wire.mm2 = 1;
    wire.a = {static_cast<int>(fuse - sketch.symbols.begin()), 0};
    wire.b = {static_cast<int>(more.symbols.size()) - 1, 0};
    more.wires.push_back(wire);
    const double kept = kept_share(sketch, more);
    say(fmt::format("{:<36}{:.0f} % of the parts keep a neighbour (goal >= 90 %)", name, kept * 100));
}

void overlaps(int circuits) {
    int wrong = 0, homeless = 0, words = 0;
    for (std::uint64_t seed = 1; seed <= static_cast<std::uint64_t>(circuits); ++seed) {
        const auto profile = seed % 3 == 0 ? scenario::Profile::history : seed % 3 == 1 ? scenario::Profile::clean : scenario::Profile::tangled;
        const Circuit circuit = generated(seed, 5 + static_cast<int>(seed % 97), profile);
        for (const draw::Relays relays : {draw::Relays::together, draw::Relays::apart}) {
            const Page page = page_of(draw::sketch_of(View::now(circuit), {.relays = relays}));
            for (const std::string& line : page.seen.overlaps) say(fmt::format("  circuit {} ({}): {}", seed, scenario::word(profile), line));
            wrong += static_cast<int>(page.seen.overlaps.size());
            homeless += page.drawing.labels_without_place;
            words += page.seen.words;
        }
    }
    say(fmt::format("{} random circuits, relays together and apart: {} words, {} overlaps (goal 0), {} labels without a place (goal 0)", circuits, words, wrong, homeless));
}

} // namespace

int main(int count, char** arguments) {
    const std::set<std::string> only(arguments + 1, arguments + count);
    const auto wanted = [&](const char* part) { return only.empty() || only.contains(part); };
    say(fmt::format("built with {}", BENCH_BUILT));
    const draw::Sketch car = draw::test::touring_car(), big = draw::test::made_up(72, 1), huge = draw::test::made_up(284, 1);

    if (wanted("examples")) {
        heading("examples");
        for (const char* file : {"netlists/demo-vehicle.loom", "netlists/demo-vehicle-corrected.loom", "netlists/demo-vehicle-factory.loom"})
            if (const auto circuit = read_file(support::source_path(file))) row(file, draw::sketch_of(View::now(*circuit)));
        std::vector<std::filesystem::path> paths;
        for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path("tests/cases/real")))
            if (entry.path().extension() == ".loom") paths.push_back(entry.path());
        std::sort(paths.begin(), paths.end());
        for (const auto& path : paths)
            if (const auto circuit = read_file(path)) row(path.stem().string(), draw::sketch_of(View::now(*circuit)));
    }
    if (wanted("generated")) {
        heading("generated vehicles");
        for (const int wires : {60, 500, 2000}) {
            row(fmt::format("history, {}", wires), draw::sketch_of(View::now(generated(7, wires, scenario::Profile::history)), {.tables = false}));
            row(fmt::format("clean, {}", wires), draw::sketch_of(View::now(generated(8, wires, scenario::Profile::clean)), {.tables = false}));
        }
    }
    if (wanted("stages")) {
        say("");
        for (const auto& [name, sketch] : {std::pair{"61 wires", &car}, {"510 wires", &big}, {"2000 wires", &huge}}) stages(name, *sketch);
    }
    if (wanted("peer")) {
        beside_peer({"touring car", 4, 24, 0.1, 5}, car, true);
        beside_peer({"made up, 510", -1, -1, 1.0, 0.8}, big, true);
        beside_peer({"made up, 2000", -1, -1, 4.0, 0.08}, huge, true);
    }
    if (wanted("sheets")) {
        say("");
        sheets_row("61 wires", car, 4, 1);
        sheets_row("510 wires", big, 0, 1);
        sheets_row("2000 wires", huge, 8, 4);
    }
    if (wanted("relays")) {
        say("");
        if (const auto circuit = read_file(support::source_path("netlists/demo-vehicle.loom"))) relay_styles("demo vehicle", *circuit);
        for (const std::uint64_t seed : {11u, 12u, 13u, 14u}) relay_styles(fmt::format("generated {}, 80 wires", seed), generated(seed, 80, scenario::Profile::history));
    }
    if (wanted("stable")) {
        say("");
        one_wire_more("61 wires", car);
        for (const std::uint64_t seed : {1u, 2u, 3u, 4u}) one_wire_more(fmt::format("made up {}", seed), draw::test::made_up(8, seed));
        one_wire_more("510 wires", big);
    }
    if (wanted("overlaps")) overlaps(200);
    return 0;
}
