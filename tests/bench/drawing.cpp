// The drawing measured, goal beside figure, and Graphviz's own drawings of the same graph in the same run.
//
//     out/build/dev/bench_drawing                everything; many minutes, because Graphviz takes so long at 2000 wires
//     out/build/dev/bench_drawing overlaps       only the 200 random circuits
//     out/build/dev/bench_drawing sheets stable  only those; also followed, examples, generated, times, pages, seeds, peer, peer-2000, relays
//
// At the end stands the table of goals: of each what was measured, and whether it is reached.
//
// Not a test: nothing here passes or fails by the clock, and nobody runs it but people.
#include "bench/layout_peer.hpp"
#include "bench/sheets_followed.hpp"
#include "bench/sheets_kept.hpp"
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
#include <cmath>
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
    return read_circuit_text(sources, "generated.loom", scenario::write(scenario::make(seed, wires, profile)).main())
        .circuit;
}

// ---- one page: figures

struct Page {
    draw::Drawing drawing;
    draw::test::Measure seen;
};

Page page_of(const draw::Sketch& sketch, const draw::Options& options = {}) {
    Page page;
    Result<draw::Drawing> drawing = draw::draw(sketch, options);
    if (!drawing) {
        say(drawing.error());
        std::exit(2);
    }
    page.drawing = std::move(*drawing);
    page.seen = draw::test::measure(page.drawing.svg);
    return page;
}

std::string ends(const Page& page) {
    return fmt::format("{:.1f} %", page.seen.wires == 0 ? 100 : 50.0 * page.seen.ends_on_terminal / page.seen.wires);
}

// ---- the table of goals, filled by the sections and printed at the end

struct Reached {
    std::string what, figure, goal;
    bool met;
};
std::vector<Reached> table_of_goals;

void goal(const std::string& what, double figure, double most, int digits = 0, const std::string& unit = "") {
    table_of_goals.push_back({what, fmt::format("{:.{}f}{}", figure, digits, unit),
                              fmt::format("<= {:.{}f}{}", most, digits, unit), figure <= most});
}
void goal_at_least(const std::string& what, double figure, double least, const std::string& unit) {
    table_of_goals.push_back(
        {what, fmt::format("{:.1f}{}", figure, unit), fmt::format(">= {:.0f}{}", least, unit), figure >= least});
}

// Over all pages that were looked at.
struct {
    int pages = 0, overlaps = 0;
    long wires = 0, ends = 0;
} all_pages;

void count(const draw::test::Measure& seen) {
    ++all_pages.pages;
    all_pages.overlaps += static_cast<int>(seen.overlaps.size());
    all_pages.wires += seen.wires;
    all_pages.ends += seen.ends_on_terminal;
}

void print_goals() {
    if (all_pages.pages > 0) {
        goal(fmt::format("overlaps on {} pages", all_pages.pages), all_pages.overlaps, 0);
        goal_at_least("wire ends on their terminal",
                      all_pages.wires == 0
                          ? 100
                          : 50.0 * static_cast<double>(all_pages.ends) / static_cast<double>(all_pages.wires),
                      100, " %");
    }
    say(fmt::format("\n{:<72}{:>12}{:>14}", "goals", "measured", "goal"));
    for (const Reached& r : table_of_goals)
        say(fmt::format("{:<72}{:>12}{:>14}   {}", r.what, r.figure, r.goal, r.met ? "reached" : "MISSED"));
}

// ---- a row for a page: what it looks like, where the time goes, and Graphviz's drawings of the same graph in the same run

struct Stages {
    double rows = 0, order = 0, columns = 0, rest = 0, svg = 0;
};

Stages stages_of(const draw::Sketch& sketch) {
    double at = now();
    const auto lap = [&] {
        const double before = at;
        at = now();
        return at - before;
    };
    Stages s;
    Result<draw::Weave> woven = draw::weave(sketch, draw::Lean::low);
    if (!woven) return s;
    s.rows = lap();
    const auto arrangements = draw::arrange(sketch, *woven, {.keep = 1});
    s.order = lap();
    draw::apply(*woven, arrangements.front());
    const auto columns_found = draw::find_columns(sketch, *woven);
    s.columns = lap();
    const Result<draw::Sheet> sheet = draw::lay_out(sketch, {});
    s.rest = lap();
    if (!columns_found || !sheet) return s;
    const std::string svg = draw::to_svg(sketch, *sheet, {});
    s.svg = lap();
    return s;
}

// Others work on the same machine: what takes less than a second is measured three times, ours and Graphviz's, and the least counts.
template <class Seconds> double least_of_three(Seconds seconds) {
    double least = seconds();
    for (int again = 0; again < 2 && least < 1; ++again) least = std::min(least, seconds());
    return least;
}

// All sheets of A4, with contents and overview, as somebody prints them.
double seconds_of_sheets(const draw::Sketch& sketch) {
    return least_of_three([&] {
        const double begin = now();
        const bool drawn = draw::draw_set(sketch, paper::a4).has_value();
        return drawn ? now() - begin : 0;
    });
}

// One page for everything, as Graphviz draws it.
double seconds_of_one_page(const draw::Sketch& sketch) {
    return least_of_three([&] {
        const double begin = now();
        const bool drawn = draw::draw(sketch).has_value();
        return drawn ? now() - begin : 0;
    });
}

// Nobody prints more than about 100 wires on one page: from there on the time that counts is that of the sheets.
constexpr std::size_t most_wires_on_one_page = 100;

// 0 where Graphviz is not here or took too long.
double ortho_seconds(const draw::Sketch& sketch, int at_most) {
    return least_of_three([&] {
        const auto peer = bench::dot_draws(sketch, bench::Splines::ortho, at_most);
        return peer ? peer->seconds : 0;
    });
}

// What 61, 510 and 2000 wires may take, as seconds and as a share of Graphviz's orthogonal drawing; between them on a straight line of the
// logarithms, below 61 as at 61.
struct Most {
    double seconds, of_ortho;
};
Most most_for(std::size_t wires) {
    constexpr struct { double wires, seconds, of_ortho; } known[] = {{61, 0.1, 5}, {510, 1.0, 0.8}, {2000, 4.0, 0.08}};
    const double w = std::clamp(static_cast<double>(wires), known[0].wires, known[2].wires);
    const auto& low = w < known[1].wires ? known[0] : known[1];
    const auto& high = w < known[1].wires ? known[1] : known[2];
    const double part = std::log(w / low.wires) / std::log(high.wires / low.wires);
    return {low.seconds * std::pow(high.seconds / low.seconds, part),
            low.of_ortho * std::pow(high.of_ortho / low.of_ortho, part)};
}

// How often which goal was missed by the pages of the section that is running, and by which.
std::map<std::string, std::vector<std::string>> missed;
int pages_of_section = 0;

void close_section(const std::string& what) {
    for (const char* g : {"crossings", "overlaps", "on port", "seconds", "one page against Graphviz's"}) {
        for (const std::string& name : missed[g]) say(fmt::format("  {} missed by {}", g, name));
        goal(fmt::format("{} {}: pages that miss their goal for {}", pages_of_section, what, g),
             static_cast<double>(missed[g].size()), 0);
    }
    missed.clear();
    pages_of_section = 0;
}

void row(const std::string& name, const draw::Sketch& sketch) {
    constexpr std::size_t too_long_for_ortho = 700; // wires
    constexpr int ortho_at_most = 300;              // seconds
    const Page page = page_of(sketch);
    count(page.seen);
    const double seconds = seconds_of_one_page(sketch), sheets = seconds_of_sheets(sketch);
    const Stages s = stages_of(sketch);
    const auto peer = bench::dot_draws(sketch, bench::Splines::polyline);
    // 0 where it was not asked.
    const double ortho = sketch.wires.size() >= too_long_for_ortho ? 0 : ortho_seconds(sketch, ortho_at_most);
    const double of_ortho = ortho > 0 ? seconds / ortho : 0;
    say(fmt::format(
        "{:<44}{:>6}{:>9}{:>7}{:>9.1f}{:>9.0f}{:>9}{:>9}{:>9.3f}{:>9.3f}   {:.3f} {:.3f} {:.3f} {:.3f} "
        "{:.3f}{:>9}{:>9}",
        name, page.seen.wires, page.seen.crossings, page.seen.bends, page.seen.wire_length / paper::units_per_mm / 1000,
        page.drawing.width_mm * page.drawing.height_mm / 100, page.seen.overlaps.size(), ends(page), seconds, sheets,
        s.rows, s.order, s.columns, s.rest, s.svg, peer ? std::to_string(peer->crossings) : "-",
        of_ortho > 0 ? fmt::format("{:.2f}", of_ortho) : "-"));
    const Most most = most_for(sketch.wires.size());
    const auto note = [&](const char* what, bool met) {
        if (!met) missed[what].push_back(name);
    };
    ++pages_of_section;
    note("crossings", !peer || page.seen.crossings <= peer->crossings);
    note("overlaps", page.seen.overlaps.empty());
    note("on port", page.seen.ends_on_terminal == 2 * page.seen.wires);
    note("seconds", (sketch.wires.size() <= most_wires_on_one_page ? seconds : sheets) <= most.seconds);
    note("one page against Graphviz's", of_ortho <= most.of_ortho);
    if (of_ortho > most.of_ortho)
        missed["one page against Graphviz's"].back() +=
            fmt::format(": {:.3f} s against {:.3f} s; goal <= {:.2f}", seconds, ortho, most.of_ortho);
}

void heading(const std::string& what) {
    say(fmt::format("\n{:<44}{:>6}{:>9}{:>7}{:>9}{:>9}{:>9}{:>9}{:>9}{:>9}   {}{:>9}{:>9}", what, "wires", "crossing",
                    "bends", "length m", "area cm2", "overlaps", "on port", "page s", "sheets s",
                    "rows  order col.s whole SVG  ", "Graphv. x", "of ortho"));
}

// ---- beside Graphviz

// Crossings against its port-exact drawing, time against its orthogonal one (which misses the ports).
void beside_peer(const std::string& name, const draw::Sketch& sketch) {
    constexpr int long_enough =
        1500; // seconds: at 2000 wires the orthogonal drawing takes two minutes and more of one core
    const Page page = page_of(sketch);
    count(page.seen);
    const double seconds = seconds_of_one_page(sketch), sheets = seconds_of_sheets(sketch);
    const Most most = most_for(sketch.wires.size());
    say(fmt::format("\n{}: one page {} crossings, {} bends, {:.3f} s; all sheets of A4 {:.3f} s", name,
                    page.seen.crossings, page.seen.bends, seconds, sheets));
    const bool on_one_page = sketch.wires.size() <= most_wires_on_one_page;
    goal(name + (on_one_page ? ", one page: seconds" : ", sheets of A4: seconds"), on_one_page ? seconds : sheets,
         most.seconds, 2);
    if (const auto peer = bench::dot_draws(sketch, bench::Splines::polyline)) {
        say(fmt::format("  Graphviz, port-exact polylines: {} crossings, {:.2f} s", peer->crossings, peer->seconds));
        goal(name + ", one page: crossings against Graphviz's port-exact drawing", page.seen.crossings,
             peer->crossings);
    } else
        say("  Graphviz's dot is not here (Debian: graphviz) or took too long");
    if (const double ortho = ortho_seconds(sketch, long_enough); ortho > 0) {
        say(fmt::format("  Graphviz, orthogonal: {:.2f} s", ortho));
        goal(name + ", one page: time as a share of Graphviz's orthogonal drawing", seconds / ortho, most.of_ortho, 2);
    }
}

// ---- the 61 wires, on every seed

// Coil and contact as symbols of their own.
draw::Sketch apart(const draw::Sketch& whole) {
    draw::Sketch out = whole;
    for (std::size_t s = 0; s < whole.symbols.size(); ++s) {
        if (whole.symbols[s].kind != draw::SymbolKind::relay) continue;
        draw::Symbol contact = whole.symbols[s];
        draw::Symbol& coil = out.symbols[s];
        coil.kind = draw::SymbolKind::coil;
        coil.contacts.clear();
        coil.terminals.resize(2);
        contact.kind = draw::SymbolKind::contact;
        contact.key += "/contact";
        contact.terminals.erase(contact.terminals.begin(), contact.terminals.begin() + 2);
        for (draw::Contact& c : contact.contacts)
            for (int* at : {&c.common, &c.make, &c.rest})
                if (*at >= 0) *at -= 2;
        contact.suppression = draw::Suppression::none;
        const int added = static_cast<int>(out.symbols.size());
        out.symbols.push_back(contact);
        for (draw::Wire& w : out.wires)
            for (draw::End* end : {&w.a, &w.b})
                if (end->symbol == static_cast<int>(s) && end->terminal >= 2) *end = {added, end->terminal - 2};
    }
    return out;
}

void every_seed(const draw::Sketch& together) {
    struct {
        int crossings = 0, bends = 0;
    } same, split, free;
    const draw::Sketch parted = apart(together);
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        const auto worst = [](auto& of, const Result<draw::Sheet>& sheet) {
            if (!sheet) return;
            of.crossings = std::max(of.crossings, sheet->crossings);
            of.bends = std::max(of.bends, sheet->bends);
        };
        worst(same, draw::lay_out(together, {.seed = seed}));
        worst(free, draw::lay_out(together, {.seed = seed, .relays_either_way = true}));
        worst(split, draw::lay_out(parted, {.seed = seed}));
    }
    goal("61 wires, relays together and the same way round, worst of 8 seeds: crossings", same.crossings, 4);
    goal("  bends", same.bends, 24);
    goal("61 wires, relays either way round, worst of 8 seeds: crossings", free.crossings, 2);
    goal("61 wires, relays apart, worst of 8 seeds: crossings", split.crossings, 1);
    goal("  bends", split.bends, 22);
}

// ---- sheets

// Returns the crossings on all sheets.
int print_sheets(const std::string& name, const draw::Sketch& sketch, const paper::Paper& paper,
                 const std::string& format) {
    const double begin = now();
    const auto sheets = draw::draw_sheets(sketch, paper);
    const double seconds = now() - begin;
    if (!sheets) return 0;
    int crossings = 0, bends = 0, breaks = 0, shrunk = 0;
    std::size_t overlaps = 0;
    for (const draw::SheetDrawing& sheet : *sheets) {
        crossings += sheet.drawing.crossings;
        bends += sheet.drawing.bends;
        breaks += sheet.breaks;
        shrunk += sheet.scale < 1 ? 1 : 0;
        const draw::test::Measure seen = draw::test::measure(sheet.drawing.svg);
        count(seen);
        overlaps += seen.overlaps.size();
    }
    say(fmt::format(
        "{:<36}{:>4} sheets of {}, {} cut wires, {} crossings, {} bends, {} overlaps, {} made smaller, {:.2f} s", name,
        sheets->size(), format, breaks / 2, crossings, bends, overlaps, shrunk, seconds));
    return crossings;
}

void sheets_row(const std::string& name, const draw::Sketch& sketch, const paper::Paper& paper,
                const std::string& format, int most_crossings) {
    goal(fmt::format("{} in sheets of {}: crossings", name, format), print_sheets(name, sketch, paper, format),
         most_crossings);
}

// ---- how far one must leaf

bench::Followed print_followed(const std::string& name, const draw::Sketch& sketch) {
    const bench::Followed f = bench::followed_on_sheets(sketch);
    if (f.all_sheets > 1) say(bench::said_of(name, f));
    return f;
}

void followed() {
    bench::Followed files, vehicles;
    std::vector<std::filesystem::path> paths;
    for (const char* folder : {"netlists", "tests/cases/real"})
        for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path(folder)))
            if (entry.path().extension() == ".loom") paths.push_back(entry.path());
    std::sort(paths.begin(), paths.end());
    for (const auto& path : paths)
        if (const auto circuit = read_file(path))
            files.add(print_followed((path.parent_path().filename() / path.stem()).string(),
                                     draw::sketch_of(View::now(*circuit))));
    for (const int wires : {60, 500, 2000})
        for (const auto& [seed, profile] : {std::pair{7, scenario::Profile::history}, {8, scenario::Profile::clean}}) {
            const draw::Sketch sketch = draw::sketch_of(
                View::now(generated(static_cast<std::uint64_t>(seed), wires, profile)), {.tables = false});
            vehicles.add(print_followed(fmt::format("generated, {} wires", sketch.wires.size()), sketch));
        }
    for (const auto& [name, f] : {std::pair{"example files", files}, {"generated vehicles", vehicles}}) {
        goal(std::string(name) + ", a load from fuse to ground: sheets, mean", f.mean(), 1.5, 2);
        goal("  sheets, at most", static_cast<double>(f.worst), 3);
        goal("  headings that only say the path, %", f.headings == 0 ? 0 : 100.0 * f.only_paths / f.headings, 15);
        say(bench::said_of(name, f));
    }
}

// ---- relays the same way round, and apart

void relay_styles(const std::string& name, const Circuit& circuit) {
    const View view = View::now(circuit);
    const draw::Sketch together = draw::sketch_of(view), apart = draw::sketch_of(view, {.relays = draw::Relays::apart});
    const Result<draw::Sheet> same = draw::lay_out(together, {}),
                              free = draw::lay_out(together, {.relays_either_way = true}),
                              split = draw::lay_out(apart, {});
    if (!same || !free || !split) return;
    say(fmt::format("{:<36}same way round: {} crossings, {} bends; either way: {}, {}; apart: {}, {}", name,
                    same->crossings, same->bends, free->crossings, free->bends, split->crossings, split->bends));
}

// ---- one wire more

// Who stands beside whom: each symbol's neighbours in its row, read off the sheet.
std::map<std::string, std::set<std::string>> neighbours(const draw::Sketch& sketch, const draw::Sheet& sheet) {
    std::map<long, std::vector<std::pair<double, std::string>>> rows;
    for (const draw::PaintedSymbol& s : sheet.symbols)
        rows[std::lround((s.box.top + s.box.bottom) / 2 / 40)].emplace_back(
            s.box.left, sketch.symbols[static_cast<std::size_t>(s.symbol)].key);
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
        kept += beside.empty() || std::any_of(beside.begin(), beside.end(),
                                              [&](const std::string& n) { return found->second.contains(n); })
                    ? 1
                    : 0;
    }
    return was.empty() ? 1 : static_cast<double>(kept) / static_cast<double>(was.size());
}

void one_wire_more(const std::string& name, const draw::Sketch& sketch) {
    // A lamp more, fed where some fuse feeds already, on a ground foot of its own.
    const auto fuse = std::find_if(sketch.symbols.begin(), sketch.symbols.end(),
                                   [](const draw::Symbol& s) { return s.kind == draw::SymbolKind::splice; });
    if (fuse == sketch.symbols.end()) return;
    const draw::Sketch more =
        bench::with_one_wire_more(sketch, static_cast<std::size_t>(fuse - sketch.symbols.begin()));
    const double kept = kept_share(sketch, more);
    say(fmt::format("{:<36}{:.0f} % of the parts keep a neighbour", name, kept * 100));
    goal_at_least(name + ", one wire added: parts that keep their place", kept * 100, 90, " %");
    for (const bench::On on : {bench::On::one_page, bench::On::sheets_of_a4}) {
        const bool page = on == bench::On::one_page;
        const bench::Again mean = bench::kept_on_average(sketch, on);
        say(bench::as_text(mean, on));
        goal_at_least(fmt::format("  with --keep, {}: parts where they stood, mean", page ? "one page" : "sheets"),
                      mean.kept.same_company * 100, 90, " %");
        if (!page)
            goal_at_least("  with --keep, sheets: parts on the sheet of the same number, mean",
                          mean.kept.same_number * 100, 90, " %");
    }
}

void overlaps(int circuits) {
    int wrong = 0, homeless = 0, words = 0;
    for (std::uint64_t seed = 1; seed <= static_cast<std::uint64_t>(circuits); ++seed) {
        const auto profile = seed % 3 == 0   ? scenario::Profile::history
                             : seed % 3 == 1 ? scenario::Profile::clean
                                             : scenario::Profile::tangled;
        const Circuit circuit = generated(seed, 5 + static_cast<int>(seed % 97), profile);
        for (const draw::Relays relays : {draw::Relays::together, draw::Relays::apart}) {
            const Page page = page_of(draw::sketch_of(View::now(circuit), {.relays = relays}));
            for (const std::string& line : page.seen.overlaps)
                say(fmt::format("  circuit {} ({}): {}", seed, scenario::word(profile), line));
            count(page.seen);
            wrong += static_cast<int>(page.seen.overlaps.size());
            homeless += page.drawing.labels_without_place;
            words += page.seen.words;
        }
    }
    say(fmt::format("{} random circuits, relays together and apart: {} words, {} overlaps, {} labels without a place",
                    circuits, words, wrong, homeless));
    goal(fmt::format("{} random circuits, relays together and apart: overlaps", circuits), wrong, 0);
    goal("  labels without a place", homeless, 0);
}

} // namespace

int main(int count, char** arguments) {
    const std::set<std::string> only(arguments + 1, arguments + count);
    const auto wanted = [&](const char* part) { return only.empty() || only.contains(part); };
    say(fmt::format("built with {}", BENCH_BUILT));
    const draw::Sketch car = draw::test::touring_car(), big = draw::test::made_up(72, 1),
                       huge = draw::test::made_up(284, 1);

    if (wanted("examples")) {
        heading("examples");
        for (const char* file : {"netlists/demo-vehicle.loom", "netlists/demo-vehicle-corrected.loom",
                                 "netlists/demo-vehicle-factory.loom"})
            if (const auto circuit = read_file(support::source_path(file)))
                row(file, draw::sketch_of(View::now(*circuit)));
        std::vector<std::filesystem::path> paths;
        for (const auto& entry :
             std::filesystem::recursive_directory_iterator(support::source_path("tests/cases/real")))
            if (entry.path().extension() == ".loom") paths.push_back(entry.path());
        std::sort(paths.begin(), paths.end());
        for (const auto& path : paths)
            if (const auto circuit = read_file(path))
                row((path.parent_path().filename() / path.stem()).string(), draw::sketch_of(View::now(*circuit)));
        close_section("example files");
    }
    if (wanted("times")) { // sheets alone: what a profiler is to see
        for (const int wires : {60, 500, 2000})
            for (const auto& [seed, profile] :
                 {std::pair{7, scenario::Profile::history}, {8, scenario::Profile::clean}}) {
                const draw::Sketch sketch = draw::sketch_of(
                    View::now(generated(static_cast<std::uint64_t>(seed), wires, profile)), {.tables = false});
                print_sheets(fmt::format("generated, {} wires", sketch.wires.size()), sketch, paper::a4, "A4");
            }
    }
    if (only.contains("pages")) // one page alone, likewise
        for (const int wires : {60, 500})
            for (const auto& [seed, profile] :
                 {std::pair{7, scenario::Profile::history}, {8, scenario::Profile::clean}}) {
                const draw::Sketch sketch = draw::sketch_of(
                    View::now(generated(static_cast<std::uint64_t>(seed), wires, profile)), {.tables = false});
                const double seconds = seconds_of_one_page(sketch);
                const auto drawing = draw::draw(sketch);
                const Stages s = stages_of(sketch);
                say(fmt::format(
                    "{} wires on one page: {} crossings, {} bends, {:.3f} s; rows {:.3f}, order {:.3f}, columns "
                    "{:.3f}, whole {:.3f}, SVG {:.3f}",
                    sketch.wires.size(), drawing ? drawing->crossings : -1, drawing ? drawing->bends : -1, seconds,
                    s.rows, s.order, s.columns, s.rest, s.svg));
            }
    if (wanted("generated")) {
        heading("generated vehicles");
        for (const int wires : {60, 500, 2000}) {
            row(fmt::format("history, {}", wires),
                draw::sketch_of(View::now(generated(7, wires, scenario::Profile::history)), {.tables = false}));
            row(fmt::format("clean, {}", wires),
                draw::sketch_of(View::now(generated(8, wires, scenario::Profile::clean)), {.tables = false}));
        }
        close_section("generated vehicles");
    }
    if (wanted("seeds")) every_seed(car);
    if (wanted("peer")) {
        beside_peer("61 wires", car);
        beside_peer("510 wires", big);
    }
    if (wanted("peer-2000")) beside_peer("2000 wires", huge);
    if (wanted("sheets")) {
        say("");
        sheets_row("61 wires", car, paper::a4, "A4", 4);
        sheets_row("510 wires", big, paper::a4, "A4", 0);
        sheets_row("510 wires", big, paper::a3, "A3", 0);
        sheets_row("2000 wires", huge, paper::a4, "A4", 8);
    }
    if (wanted("followed")) followed();
    if (wanted("relays")) {
        say("");
        if (const auto circuit = read_file(support::source_path("netlists/demo-vehicle.loom")))
            relay_styles("demo vehicle", *circuit);
        for (const std::uint64_t seed : {11u, 12u, 13u, 14u})
            relay_styles(fmt::format("generated {}, 80 wires", seed), generated(seed, 80, scenario::Profile::history));
    }
    if (wanted("stable")) {
        say("");
        one_wire_more("61 wires", car);
        for (const std::uint64_t seed : {1u, 2u, 3u, 4u})
            one_wire_more(fmt::format("made up {}", seed), draw::test::made_up(8, seed));
        one_wire_more("510 wires", big);
        for (const int wires : {60, 200})
            one_wire_more(
                fmt::format("generated, {}", wires),
                draw::sketch_of(View::now(generated(7, wires, scenario::Profile::history)), {.tables = false}));
        if (const auto circuit = read_file(support::source_path("netlists/demo-vehicle.loom")))
            one_wire_more("demo vehicle", draw::sketch_of(View::now(*circuit)));
    }
    if (wanted("overlaps")) overlaps(200);
    print_goals();
    return 0;
}
