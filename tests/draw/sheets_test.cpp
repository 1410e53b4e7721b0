// Several sheets: every wire is on one of them, or on two with a break on both that leads to the other.
#include "draw/contents.hpp"
#include "draw/draw.hpp"
#include "draw/split.hpp"
#include "draw/supply_tree.hpp"

#include "bench/sheets_followed.hpp"
#include "bench/sheets_kept.hpp"
#include "draw/bench.hpp"
#include "draw/from_circuit.hpp"
#include "draw/measure.hpp"
#include "support/circuit_file.hpp"
#include "support/places.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <set>

using namespace loomproof;
using namespace loomproof::draw;

namespace {

struct Seen {
    int sheets = 0, crossings = 0, bends = 0, breaks = 0, shrunk = 0;
    double smallest = 1;
};

Seen check_sheets(const std::string& name, const Sketch& sketch, const paper::Paper& paper) {
    CAPTURE(name);
    const Result<std::vector<SheetDrawing>> sheets = draw_sheets(sketch, paper);
    REQUIRE_MESSAGE(sheets, sheets.error());
    Seen seen;
    const char* folder = std::getenv("LOOMPROOF_PICTURES");
    int wires = 0;
    for (const SheetDrawing& sheet : *sheets) {
        ++seen.sheets;
        if (folder != nullptr)
            std::ofstream(std::string(folder) + "/" + name + "-" + std::to_string(seen.sheets) + ".svg")
                << sheet.drawing.svg;
        const test::Measure m = test::measure(sheet.drawing.svg);
        CAPTURE(seen.sheets);
        CHECK(m.ends_on_terminal == 2 * m.wires);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
        CHECK(m.outside == 0);
        CHECK(m.crossings_without_gap == 0);
        CHECK(sheet.drawing.labels_without_place == 0);
        const double longer = std::max(sheet.drawing.width_mm, sheet.drawing.height_mm),
                     shorter = std::min(sheet.drawing.width_mm, sheet.drawing.height_mm);
        CHECK(longer <= paper.height + 0.1);
        CHECK(shorter <= paper.width + 0.1);
        CHECK(sheet.drawing.svg.find("path\xC2\xA0"
                                     "88") == std::string::npos); // filled in
        wires += m.wires;
        seen.crossings += m.crossings;
        seen.bends += m.bends;
        seen.breaks += sheet.breaks;
        seen.smallest = std::min(seen.smallest, sheet.scale);
        seen.shrunk += sheet.scale < 1 ? 1 : 0;
    }
    CHECK(wires == static_cast<int>(sketch.wires.size()) + seen.breaks / 2);
    return seen;
}

} // namespace

TEST_CASE("a split loses nothing and invents nothing") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Sketch sketch = test::made_up(3 + static_cast<int>(seed * 2), seed);
        for (const std::size_t limit : {12u, 24u, 40u}) {
            const std::vector<SketchPart> parts = cut(sketch, group(sketch, limit));
            std::multiset<int> symbols;
            std::multiset<std::string> wires;
            std::size_t marks = 0;
            for (std::size_t p = 0; p < parts.size(); ++p) {
                for (const int s : parts[p].from)
                    if (s >= 0) symbols.insert(s);
                for (const draw::Wire& w : parts[p].sketch.wires) wires.insert(w.key);
                marks += parts[p].marks.size();
                for (const BreakMark& mark : parts[p].marks) {
                    CHECK(mark.other_part != static_cast<int>(p));
                    const auto& back = parts[static_cast<std::size_t>(mark.other_part)].marks;
                    CHECK(std::count_if(back.begin(), back.end(), [&](const BreakMark& other) {
                              return other.symbol == mark.other_symbol && other.other_symbol == mark.symbol &&
                                     other.other_part == static_cast<int>(p);
                          }) == 1);
                }
            }
            CHECK(symbols.size() == sketch.symbols.size());
            CHECK(std::set<int>(symbols.begin(), symbols.end()).size() == sketch.symbols.size());
            CHECK(wires.size() == sketch.wires.size() + marks / 2);
            for (const draw::Wire& w : sketch.wires) CHECK(wires.count(w.key) >= 1);
        }
    }
}

TEST_CASE("a wire that has no one direction joins at both its breaks") {
    test::Bench bench;
    bench.pair(SymbolKind::fuse, "F1");
    bench.pair(SymbolKind::lamp, "E1");
    bench.wire(1, "RD", {"F1", "E1"});
    for (const bool either_way : {false, true}) {
        bench.sketch.wires[0].either_way = either_way;
        const std::vector<SketchPart> parts = cut(bench.sketch, {{0}, {1}});
        REQUIRE(parts.size() == 2);
        CHECK(parts[0].sketch.symbols.back().rating == (either_way ? "joins: sheet 2" : "goes on: sheet 2"));
        CHECK(parts[1].sketch.symbols.back().rating == (either_way ? "joins: sheet 1" : "comes from: sheet 1"));
    }
}

TEST_CASE("61 wires on sheets of A4") {
    const Seen seen = check_sheets("car-a4", test::touring_car(), paper::a4);
    MESSAGE("61 wires: " << seen.sheets << " sheets, " << seen.breaks / 2 << " cut wires, " << seen.crossings
                         << " crossings, " << seen.shrunk << " made smaller, smallest scale " << seen.smallest);
    CHECK(seen.crossings <= 2);
}

TEST_CASE("510 wires on sheets") {
    const Sketch sketch = test::made_up(72, 1);
    for (const auto& [name, paper] : {std::pair{std::string("big-a4"), paper::a4}, {"big-a3", paper::a3}}) {
        const std::clock_t begin = std::clock();
        const Seen seen = check_sheets(name, sketch, paper);
        MESSAGE(name << ": " << seen.sheets << " sheets, " << seen.breaks / 2 << " cut wires, " << seen.crossings
                     << " crossings, " << seen.bends << " bends, " << seen.shrunk << " made smaller, smallest scale "
                     << seen.smallest << ", " << static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC
                     << " s of one core");
        CHECK(seen.crossings <= 2);
        CHECK(seen.shrunk == 0);
    }
}

TEST_CASE("one wire more on sheets leaves nearly all parts on the sheets on which they were") {
    const Sketch sketch = test::made_up(72, 1);
    const auto splice = std::find_if(sketch.symbols.begin(), sketch.symbols.end(),
                                     [](const Symbol& s) { return s.kind == SymbolKind::splice; });
    REQUIRE(splice != sketch.symbols.end());
    const Sketch more = bench::with_one_wire_more(sketch, static_cast<std::size_t>(splice - sketch.symbols.begin()));
    const bench::Kept kept = bench::kept_on_sheets(sketch, more, paper::a4);
    MESSAGE("one wire more: " << 100 * kept.same_number << " % on the sheet of the same number, "
                              << 100 * kept.same_company << " % where they stood");
    CHECK(kept.same_number >= 0.9);
    CHECK(kept.same_company >= 0.9);
}

namespace {

// What stands on each sheet, by the ids in the drawing.
std::vector<std::string> symbols_by_sheet(const std::vector<SheetDrawing>& sheets) {
    std::vector<std::string> out;
    for (const SheetDrawing& sheet : sheets) {
        std::string& here = out.emplace_back();
        const std::string& svg = sheet.drawing.svg;
        for (std::size_t at = svg.find("<g id=\"s-"); at != std::string::npos; at = svg.find("<g id=\"s-", at + 1)) {
            const std::size_t name = at + 7;
            here += " " + svg.substr(name, svg.find('"', name) - name);
        }
    }
    return out;
}

} // namespace

TEST_CASE("fuse, relay, switch and load that fit on one sheet stand on one, whatever is beside them") {
    // Twelve circuits, too many for a sheet, each on two fuses: what works the relay hangs on one of its own.
    test::Bench b;
    b.add(SymbolKind::battery, "battery", {"+", "-"});
    b.point(SymbolKind::bus, "BB1");
    b.wire(6, "RD", {"battery:+", "BB1"});
    b.wire(16, "BK", {"battery:-", "GND0"});
    // As files list them: all fuses first, those of the coils in another order.
    for (int i = 1; i <= 12; ++i) b.pair(SymbolKind::fuse, "F" + std::to_string(i), "20 A yellow");
    for (int i = 1; i <= 12; ++i) b.pair(SymbolKind::fuse, "F" + std::to_string(1 + (5 * i) % 12) + "c", "5 A tan");
    for (int i = 1; i <= 12; ++i) {
        const std::string n = std::to_string(i);
        b.relay("K" + n, "fan relay " + n);
        b.pair(SymbolKind::lever_switch, "S" + n);
        b.point(SymbolKind::splice, "SP" + n);
        b.pair(SymbolKind::motor, "M" + n, "9 A", "fan " + n);
        b.pair(SymbolKind::lamp, "H" + n, "2 W", "fan " + n + " runs");
        b.wire(2.5, "RD", {"BB1", "F" + n});
        b.wire(1, "RD", {"BB1", "F" + n + "c"});
        b.wire(2.5, "RD/GN", {"F" + n, "K" + n + ":30"});
        b.wire(1, "GN", {"F" + n + "c", "S" + n});
        b.wire(1, "GN/WH", {"S" + n, "K" + n + ":86"});
        b.wire(1, "BN", {"K" + n + ":85", "GND" + n});
        b.wire(2.5, "BU", {"K" + n + ":87", "SP" + n});
        b.wire(2.5, "BU", {"SP" + n, "X" + n + ":1", "M" + n});
        b.wire(1, "BU", {"SP" + n, "X" + n + ":2", "H" + n});
        b.wire(1, "BN", {"H" + n, "GND" + n});
        b.wire(2.5, "BN", {"M" + n, "GND" + n});
    }
    const Result<std::vector<SheetDrawing>> sheets = draw_sheets(b.sketch, paper::a4);
    REQUIRE(sheets);
    CHECK(sheets->size() > 3);
    for (int i = 1; i <= 12; ++i) {
        const std::string n = std::to_string(i);
        CAPTURE(n);
        int whole = 0, parts = 0;
        for (const std::string& sheet : symbols_by_sheet(*sheets)) {
            int here = 0;
            for (const std::string& part : {"F" + n, "F" + n + "c", "S" + n, "K" + n, "M" + n, "H" + n})
                here += (sheet + " ").find(" s-" + part + " ") != std::string::npos ? 1 : 0;
            parts += here;
            whole += here == 6 ? 1 : 0;
        }
        CHECK(parts == 6);
        CHECK(whole == 1);
    }
}

TEST_CASE("one follows every load of the vehicles we show from its fuse to its ground over two sheets at most") {
    for (const char* file :
         {"netlists/demo-vehicle.loom", "netlists/demo-vehicle-corrected.loom", "netlists/demo-vehicle-factory.loom"}) {
        CAPTURE(file);
        const Reading reading = support::read_circuit_file(support::source_path(file));
        REQUIRE(reading.readable);
        const bench::Followed followed = bench::followed_on_sheets(sketch_of(View::now(reading.circuit)));
        CHECK(followed.loads > 10);
        CHECK_MESSAGE(followed.worst <= 2, followed.worst_load);
        CHECK(followed.mean() < 1.4);
    }
}

TEST_CASE("with colour and without, the sheets are divided and laid out the same") {
    for (const char* file : {"netlists/demo-vehicle.loom", "netlists/demo-vehicle-corrected.loom",
                             "tests/begin/expected/headlamp-relays.loom"}) {
        CAPTURE(file);
        const Reading reading = support::read_circuit_file(support::source_path(file));
        REQUIRE(reading.readable);
        const Sketch sketch = sketch_of(View::now(reading.circuit));
        const Result<SheetSet> coloured = draw_set(sketch, paper::a4),
                               plain = draw_set(sketch, paper::a4, {.black_and_white = true});
        REQUIRE(coloured);
        REQUIRE(plain);
        CHECK(symbols_by_sheet(coloured->sheets) == symbols_by_sheet(plain->sheets));
        REQUIRE(coloured->sheets.size() == plain->sheets.size());
        for (std::size_t s = 0; s < plain->sheets.size(); ++s) {
            CAPTURE(s);
            CHECK(coloured->sheets[s].title == plain->sheets[s].title);
            CHECK(coloured->sheets[s].landscape == plain->sheets[s].landscape);
            CHECK(coloured->sheets[s].scale == plain->sheets[s].scale);
        }
    }
}

TEST_CASE(
    "what is left in small pieces shares a sheet, and the tables that have no room elsewhere stand in its white") {
    // Each headlamp has a sheet with its two relays; what works these coils are two short feeds.
    const Reading kit = support::read_circuit_file(support::source_path("tests/begin/expected/headlamp-relays.loom"));
    REQUIRE(kit.readable);
    const Result<std::vector<SheetDrawing>> sheets = draw_sheets(sketch_of(View::now(kit.circuit)), paper::a4);
    REQUIRE(sheets);
    CHECK(sheets->size() == 4);
    int bases = 0;
    for (const SheetDrawing& sheet : *sheets) {
        CHECK(sheet.symbols >= 6);
        for (std::size_t at = 0; (at = sheet.drawing.svg.find(">base of K", at)) != std::string::npos; ++at) ++bases;
    }
    CHECK(bases == 4);
    // A relay whose table was all that its second sheet held has the table in the white beside it, in two columns.
    const Reading fans = support::read_circuit_file(support::source_path("tests/cases/real/C04/mended.loom"));
    REQUIRE(fans.readable);
    const Result<std::vector<SheetDrawing>> one = draw_sheets(sketch_of(View::now(fans.circuit)), paper::a4);
    REQUIRE(one);
    REQUIRE(one->size() == 1);
    CHECK(one->front().drawing.svg.find(">wire, goes to<") != std::string::npos);
    CHECK(test::measure(one->front().drawing.svg).overlaps.empty());
}

TEST_CASE("a stud that stands on very many sheets does not name them all under every foot") {
    const Sketch sketch = test::made_up(72, 1);
    int many = 0, few = 0;
    for (const SketchPart& part : cut(sketch, group(sketch, 12)))
        for (const Symbol& symbol : part.sketch.symbols)
            for (const std::string& line : symbol.lines) {
                if (symbol.kind != SymbolKind::foot || !line.starts_with("also ")) continue;
                const bool only_counts = line.ends_with(" other sheets");
                CHECK(std::count(line.begin(), line.end(), ',') <= 7);
                if (only_counts) CHECK(std::atoi(line.c_str() + std::string("also on ").size()) > 8);
                ++(only_counts ? many : few);
            }
    CHECK(many > 0);
    // Few are named as before.
    for (const SketchPart& part : cut(test::made_up(8, 1), group(test::made_up(8, 1), 12)))
        for (const Symbol& symbol : part.sketch.symbols)
            for (const std::string& line : symbol.lines)
                few += symbol.kind == SymbolKind::foot && line.starts_with("also sheets ") ? 1 : 0;
    CHECK(few > 0);
}

TEST_CASE("made-up vehicles on sheets of Letter") {
    for (std::uint64_t seed = 1; seed <= 8; ++seed)
        check_sheets("letter-" + std::to_string(seed), test::made_up(static_cast<int>(seed * 3), seed),
                     paper::us_letter);
}

TEST_CASE("the contents name every part and lead to every fuse") {
    const auto check = [](const std::string& name, const Sketch& sketch, const paper::Paper& paper) {
        CAPTURE(name);
        const Result<SheetSet> set = draw_set(sketch, paper);
        REQUIRE_MESSAGE(set, set.error());
        std::string all;
        const char* folder = std::getenv("LOOMPROOF_PICTURES");
        for (std::size_t i = 0; i < set->contents.size(); ++i) {
            const std::string& svg = set->contents[i].drawing.svg;
            if (folder != nullptr)
                std::ofstream(std::string(folder) + "/" + name + "-contents-" + std::to_string(i + 1) + ".svg") << svg;
            const test::Measure m = test::measure(svg);
            for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
            CHECK(m.outside == 0);
            all += svg;
        }
        for (const Symbol& s : sketch.symbols)
            if (!s.name.empty())
                CHECK_MESSAGE(all.find(">" + (s.group.empty() ? s.name : s.group) + "<") != std::string::npos, s.name);
        const std::vector<Branch> tree = supply_tree(sketch);
        std::multiset<int> met;
        for (const Branch& b : tree) met.insert(b.symbol);
        for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
            if (sketch.symbols[s].kind == SymbolKind::fuse || sketch.symbols[s].kind == SymbolKind::fusible_link)
                CHECK_MESSAGE(met.count(static_cast<int>(s)) == 1, sketch.symbols[s].name);
        if (set->overview) {
            const test::Measure m = test::measure(set->overview->drawing.svg);
            for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
            CHECK(set->overview->scale >= 0.4);
        }
        MESSAGE(name << ": " << set->contents.size() << " pages of contents, "
                     << (set->overview ? "overview at " + std::to_string(set->overview->scale) : "no overview"));
    };
    check("touring-set", test::touring_car(), paper::a4);
    check("made-up-set", test::made_up(12, 5), paper::us_letter);
    check("large-set", test::made_up(72, 1), paper::a3);
}

TEST_CASE("the supply's tree: battery, link, box, switch, fuses") {
    test::Bench b;
    b.add(SymbolKind::battery, "battery", {"+", "-"});
    b.pair(SymbolKind::fusible_link, "F9");
    b.point(SymbolKind::bus, "BB1");
    b.pair(SymbolKind::fuse, "F1");
    b.pair(SymbolKind::fuse, "F2");
    b.pair(SymbolKind::lever_switch, "S1");
    b.pair(SymbolKind::lamp, "E1");
    b.wire(6, "RD", {"battery:+", "F9"});
    b.wire(6, "RD", {"F9", "X1:1", "BB1"});
    b.wire(2.5, "RD", {"BB1", "F1"});
    b.wire(2.5, "RD", {"BB1", "S1"});
    b.wire(2.5, "RD", {"S1", "F2"});
    b.wire(1, "GN", {"F1", "E1"});
    b.wire(16, "BK", {"battery:-", "GND1"});
    std::string text;
    for (const Branch& branch : supply_tree(b.sketch))
        text += std::string(static_cast<std::size_t>(branch.depth), ' ') + b.at(branch.symbol).name + "\n";
    CHECK(text == "battery\n F9\n  BB1\n   F1\n   S1\n    F2\n");
}

TEST_CASE("the supply's tree goes over a main switch and the starter's stud, but not in at its solenoid") {
    test::Bench b;
    b.add(SymbolKind::battery, "battery", {"+", "-"});
    b.pair(SymbolKind::lever_switch, "S9");
    b.add(SymbolKind::starter, "M1", {"30", "50"});
    b.pair(SymbolKind::fuse, "F1");
    b.pair(SymbolKind::lever_switch, "S1");
    b.wire(35, "RD", {"battery:+", "S9"});
    b.wire(35, "RD", {"S9", "M1:30"});
    b.wire(4, "RD", {"M1:30", "F1"});
    b.wire(4, "RD", {"F1", "S1"});
    b.wire(2.5, "WH", {"S1", "M1:50"});
    b.wire(16, "BK", {"battery:-", "GND1"});
    std::string text;
    for (const Branch& branch : supply_tree(b.sketch))
        text += std::string(static_cast<std::size_t>(branch.depth), ' ') + b.at(branch.symbol).name + "\n";
    CHECK(text == "battery\n S9\n  M1\n   F1\n");
}

TEST_CASE("where a part stands, in words") {
    CHECK(spots_as_text({{2, 4}}) == std::vector<std::string>{"sheet 2, path 4"});
    CHECK(spots_as_text({{2, 0}}) == std::vector<std::string>{"sheet 2"});
    CHECK(spots_as_text({{2, 4}, {1, 3}, {2, 1}, {2, 4}}) ==
          std::vector<std::string>{"sheet 1, path 3", "sheet 2, paths 1, 4"});
    CHECK(spots_as_text({{1, 3}, {2, 1}, {3, 1}, {7, 2}, {8, 1}}) == std::vector<std::string>{"sheets 1-3, 7, 8"});
}

TEST_CASE("by function and by job, what belongs together stands together") {
    // Headlamps on a fuse each; a horn; a fan that job A put on a fuse of its own and one that was there.
    test::Bench b;
    b.sketch.jobs = {{'A', "Second fan", "planned"}};
    b.add(SymbolKind::battery, "battery", {"+", "-"});
    b.point(SymbolKind::bus, "BB1");
    b.wire(6, "RD", {"battery:+", "BB1"});
    const auto circuit = [&](const std::string& n, SymbolKind kind, const std::string& what, char job) {
        b.at(b.pair(SymbolKind::fuse, "F" + n, "10 A red", what)).job = job;
        b.at(b.pair(kind, "E" + n, "55 W", what, "a long way from anything")).job = job;
        b.wire(2.5, "RD", {"BB1", "F" + n}, job);
        b.wire(2.5, "RD/GN", {"F" + n, "X" + n + ":1", "X" + n + "b:1", "X" + n + "c:1", "E" + n}, job);
        b.wire(2.5, "BN", {"E" + n, "GND" + n}, job);
    };
    for (int n = 1; n <= 30; ++n)
        circuit(std::to_string(n), n % 2 == 0 ? SymbolKind::lamp : SymbolKind::motor,
                n == 3 || n == 28 ? "headlamp, " + std::to_string(n) : "load " + std::to_string(n),
                n == 5 || n == 25 ? 'A' : '\0');
    const auto sheet_of = [&](Together together, const std::string& part) {
        const Result<SheetSet> set = draw_set(b.sketch, paper::a4, {.together = together});
        REQUIRE(set);
        for (std::size_t i = 0; i < set->sheets.size(); ++i)
            if (set->sheets[i].drawing.svg.find("id=\"s-" + part + "\"") != std::string::npos)
                return std::pair(i, set->sheets[i].title);
        return std::pair(std::size_t{999}, std::string{});
    };
    CHECK(sheet_of(Together::by_fuse, "E3").first != sheet_of(Together::by_fuse, "E28").first);
    CHECK(sheet_of(Together::by_function, "E3").first == sheet_of(Together::by_function, "E28").first);
    CHECK(sheet_of(Together::by_job, "E5").first == sheet_of(Together::by_job, "E25").first);
    CHECK(sheet_of(Together::by_job, "E5").second.find("Job A, Second fan: ") != std::string::npos);
}
