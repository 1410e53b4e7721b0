// What a reader of the printed sheets asks: which path is this, where does it go on, what does this mark mean, where is the table.
#include "circuit/read.hpp"
#include "draw/bind.hpp"
#include "draw/draw.hpp"
#include "draw/feeds.hpp"
#include "draw/from_circuit.hpp"
#include "draw/functions.hpp"
#include "draw/legend.hpp"
#include "draw/measure.hpp"
#include "draw/remarks.hpp"
#include "draw/titles.hpp"
#include "support/circuit_file.hpp"
#include "support/places.hpp"
#include "support/text.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <numeric>

using namespace loomproof;
using tests::count;
using namespace loomproof::draw;

namespace {

Reading read(const std::string& text) {
    static Sources sources;
    return read_circuit_text(sources, "reader.loom", text);
}

Reading read_tracked(const std::string& file) { return support::read_circuit_file(support::source_path(file)); }

std::vector<std::filesystem::path> examples() {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path("tests/cases/real")))
        if (entry.path().extension() == ".loom") files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    files.push_back(support::source_path("netlists/demo-vehicle.loom"));
    return files;
}

std::string title_of_all(const Sketch& sketch) {
    std::vector<int> all(sketch.symbols.size());
    std::iota(all.begin(), all.end(), 0);
    return title_of(sketch, feeds_of_loads(sketch), all);
}

std::size_t at(int i) { return static_cast<std::size_t>(i); }

// Upright runs of wire that no number stands under.
int check_numbers(const Sheet& sheet, const Sketch& sketch) {
    int runs = 0;
    std::vector<double> numbers;
    for (const Word& w : sheet.notes.words)
        if (w.kind == WordKind::path) numbers.push_back(w.at.x);
    for (const PaintedWire& wire : sheet.wires)
        for (std::size_t i = 0; i + 1 < wire.path.size(); ++i) {
            const Point &a = wire.path[i], &b = wire.path[i + 1];
            if (a.x != b.x || std::abs(a.y - b.y) < 1) continue;
            ++runs;
            CHECK_MESSAGE(
                std::any_of(numbers.begin(), numbers.end(), [&](double n) { return std::abs(n - a.x) < 0.01; }),
                sketch.wires[at(wire.wire)].key << " at " << a.x);
        }
    return runs;
}

} // namespace

TEST_CASE("every upright run of wire has a number under it, on one page and on sheets") {
    int runs = 0;
    for (const auto& file : examples()) {
        CAPTURE(file.string());
        const Reading reading = support::read_circuit_file(file);
        if (!reading.readable || reading.circuit.wires.empty()) continue;
        const Sketch sketch = sketch_of(View::now(reading.circuit), {.title = {}, .tables = false});
        const Result<Sheet> page = lay_out(sketch, {});
        REQUIRE(page);
        runs += check_numbers(*page, sketch);
        const Result<Bound> made = bind(sketch, paper::a4, {});
        REQUIRE(made);
        for (std::size_t p = 0; p < made->parts.size(); ++p)
            runs += check_numbers(made->sheets[p], made->parts[p].sketch);
    }
    CHECK(runs > 2000);
    MESSAGE(runs << " runs");
}

TEST_CASE("a bus names every path that it feeds on another sheet, and a wire on two sheets says that it is one") {
    const Reading reading = read_tracked("netlists/demo-vehicle.loom");
    const Sketch sketch = sketch_of(View::now(reading.circuit));
    const Result<Bound> made = bind(sketch, paper::a4, {});
    REQUIRE(made);
    int several = 0;
    for (const SketchPart& part : made->parts)
        for (const BreakMark& mark : part.elsewhere) {
            if (mark.taps == 0) continue;
            // As many as wires leave it there, and each stands above its number.
            const SketchPart& there = made->parts[at(mark.other_part)];
            const Sheet& sheet = made->sheets[at(mark.other_part)];
            std::vector<int> below;
            for (const PaintedWire& w : sheet.wires) {
                if (there.sketch.wires[at(w.wire)].a.symbol != mark.other_symbol) continue;
                for (const Word& n : sheet.notes.words)
                    if (n.kind == WordKind::path && std::abs(n.at.x - w.path.front().x) < 0.01)
                        below.push_back(std::stoi(n.text));
            }
            std::sort(below.begin(), below.end());
            CHECK(below == sheet.taps_of[at(mark.other_symbol)]);
            CHECK(mark.taps == static_cast<int>(below.size()));
            ++several;
        }
    CHECK(several >= 2);
    const Result<SheetSet> set = draw_set(sketch, paper::a4);
    REQUIRE(set);
    CHECK(count(set->sheets.front().drawing.svg, ">paths\u00A0") >= 1);
    std::map<std::string, std::vector<std::string>> lengths;
    for (const SketchPart& part : made->parts)
        for (const draw::Wire& w : part.sketch.wires)
            if (!w.length.empty()) lengths[w.key].push_back(w.length + w.piece);
    int twice = 0;
    for (const auto& [key, said] : lengths) {
        CHECK(said.size() <= 2);
        for (const std::string& length : said) {
            // A piece of a wire in several says which it is on one sheet as well.
            const bool whole = length.ends_with(" in all");
            const bool piece = length.find(" from ") != std::string::npos || length.find(" to ") != std::string::npos;
            if (said.size() == 2)
                CHECK_MESSAGE((whole || piece), length);
            else
                CHECK_MESSAGE(!whole, length);
        }
        twice += said.size() == 2 ? 1 : 0;
    }
    CHECK(twice >= 5);
}

TEST_CASE("a fusible link says its size on its sheet and in the contents, as every fuse does") {
    const Reading reading = read_tracked("netlists/demo-vehicle.loom");
    const Result<SheetSet> set = draw_set(View::now(reading.circuit), paper::a4);
    REQUIRE(set);
    std::size_t on_sheets = 0, in_contents = 0;
    for (const SheetDrawing& sheet : set->sheets) on_sheets += count(sheet.drawing.svg, ">16 SAE<");
    for (const SheetDrawing& page : set->contents) in_contents += count(page.drawing.svg, ">16 SAE<");
    CHECK(on_sheets == 1);
    CHECK(in_contents == 1);
}

TEST_CASE("a title says of what: headlamps, the coils of relays, a fuse and not a place") {
    CHECK(title_of_all(sketch_of(View::now(read_tracked("tests/cases/real/C96/breaker.loom").circuit))) ==
          "Supply; headlamp, left and right (Q1)");
    CHECK(title_of_all(sketch_of(View::now(read_tracked("tests/cases/real/C84/as-built.loom").circuit))) ==
          "Supply; fan A (F1); fan B (F2); coils of relays K1, K2 and K3 (F3)");
    CHECK(title_of_all(sketch_of(View::now(read_tracked("tests/cases/real/C16/as-described.loom").circuit)))
              .find("; fuse at the main battery (F1)") != std::string::npos);
    const Sketch one = sketch_of(View::now(read(R"(loom 1
battery, 60 Ah
fuse F1, 10 A
relay K1 "low", 4-pin, 40 A
wire W2 from battery:+ to F1, 2.5 mm2 RD, 0.1 m
wire W3 from F1 to K1:86, 1 mm2 RD, 1 m
wire W5 from K1:85 to ground, 1 mm2 BN, 1 m
)")
                                               .circuit));
    CHECK(title_of_all(one) == "Supply; coil of relay K1 \"low\" (F1)");
    // Without loads it is about the relay.
    std::vector<int> without_battery;
    for (std::size_t s = 0; s < one.symbols.size(); ++s)
        if (one.symbols[s].kind != SymbolKind::battery) without_battery.push_back(static_cast<int>(s));
    CHECK(title_of(one, feeds_of_loads(one), without_battery) == "Coil of relay K1 \"low\" (F1); low (K1)");
}

TEST_CASE("danger, fault and advice are told apart by shape and letter, and the sheet explains those that it shows") {
    const Reading reading = read(R"(loom 1
battery, 60 Ah
fuse F9, 10 A
lamp E1 "brake lamp", 21 W
wire W1 from battery:+ to F9, 2.5 mm2 RD, 0.1 m
wire W2 from F9 to E1, 1 mm2 RD, 1 m
wire W3 from E1 to ground, 1 mm2 BN, 1 m
)");
    struct Kind {
        Severity severity;
        std::string mark, words;
        std::size_t corners;
    };
    const std::vector<Kind> kinds{{Severity::danger, "D1", "triangle: danger", 2},
                                  {Severity::fault, "F1", "square: fault", 3},
                                  {Severity::advice, "A1", "round: advice", 2}};
    for (const bool black_and_white : {false, true})
        for (const Kind& kind : kinds) {
            CAPTURE(kind.mark);
            Sketch sketch = sketch_of(View::now(reading.circuit));
            Finding f;
            f.severity = kind.severity;
            f.headline = "Something.";
            f.subjects = {"W2"};
            remark(sketch, {f}, "Check: 1.");
            const Result<Drawing> drawing = draw::draw(sketch, {.black_and_white = black_and_white});
            REQUIRE(drawing);
            const std::string& svg = drawing->svg;
            CHECK(count(svg, ">1</text>") >= 2); // at its wire, and before its words
            const bool round = kind.severity == Severity::advice;
            const std::string sign = round ? "class=\"flag advice\" d=\"" : "class=\"flag mark\" d=\"";
            CHECK(count(svg, sign) == 2);
            CHECK(count(svg, round ? "class=\"flag mark\"" : "class=\"flag advice\"") == 0);
            const std::size_t begin = svg.find(sign) + sign.size();
            const std::string path = svg.substr(begin, svg.find('"', begin) - begin);
            CHECK(count(path, "L") == kind.corners);
            CHECK((path.find('A') != std::string::npos) == round);
            std::string words;
            for (const std::string& line : legend_of(sketch, Grounds(sketch))) words += line + " ";
            for (const Kind& other : kinds)
                CHECK((words.find(other.words) != std::string::npos) == (other.mark == kind.mark));
            const test::Measure m = test::measure(svg);
            for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
        }
    // What follows from it counts: a fault that ends in fire is marked as danger.
    Sketch sketch = sketch_of(View::now(reading.circuit));
    Finding fault, fire;
    fault.severity = Severity::fault;
    fault.subjects = {"W2"};
    fire.severity = Severity::danger;
    fault.consequences = {fire};
    remark(sketch, {fault}, "");
    CHECK(sketch.remarks.front().mark == "D1");
}

TEST_CASE("a relay on studs has no base; one that nobody described has none that is known") {
    const auto note_of = [](const std::string& relay) {
        const Reading reading = read("loom 1\nbattery, 60 Ah\nrelay K1, 4-pin, " + relay +
                                     "\nwire W1 from battery:+ to K1:30, 16 mm2 RD, 0.2 m\n");
        REQUIRE(reading.readable);
        const Sketch sketch = sketch_of(View::now(reading.circuit));
        REQUIRE(sketch.tables.size() == 1);
        return sketch.tables.front().notes.front();
    };
    CHECK(note_of("200 A") == "bolted: no base");
    CHECK(note_of("60 A, studs") == "bolted: no base");
    CHECK(note_of("70 A") == "no picture: plugged in or bolted is not said (type: studs, mini or micro)");
    CHECK(note_of("40 A") == "no picture: its base is not said (type: mini or micro)");
}

TEST_CASE("the signs of a sheet are explained where they occur, the empty tubes where there is no colour") {
    const Reading reading = read_tracked("netlists/demo-vehicle.loom");
    const Sketch sketch = sketch_of(View::now(reading.circuit));
    for (const bool black_and_white : {false, true}) {
        const auto sheets = draw_sheets(sketch, paper::a4, {.black_and_white = black_and_white});
        REQUIRE(sheets);
        for (const SheetDrawing& sheet : *sheets) {
            std::string words;
            for (std::size_t begin = sheet.drawing.svg.find("<text"); begin != std::string::npos;
                 begin = sheet.drawing.svg.find("<text", begin + 1)) {
                const std::size_t from = sheet.drawing.svg.find('>', begin) + 1;
                words += sheet.drawing.svg.substr(from, sheet.drawing.svg.find('<', from) - from) + " ";
            }
            const auto only_where = [&](const char* said, const char* drawn) {
                CHECK_MESSAGE((words.find(said) != std::string::npos) ==
                                  (sheet.drawing.svg.find(drawn) != std::string::npos),
                              sheet.title << ": " << said);
            };
            only_where("Thick bar:", "\"symbol bus\"");
            only_where("Hatched bar:", "\"symbol metal\"");
            only_where("Three dots:", "\"symbol beyond\"");
            CHECK((words.find("every wire is an empty tube") != std::string::npos) == black_and_white);
        }
    }
}

TEST_CASE("a table stands with its relay, in the white of the circuit where there is no other room") {
    const Reading reading = read_tracked("tests/cases/real/C16/as-described.loom");
    const Result<SheetSet> set = draw_set(View::now(reading.circuit), paper::a4);
    REQUIRE(set);
    int tables = 0;
    for (const SheetDrawing& sheet : set->sheets) {
        const bool table = sheet.drawing.svg.find(">K1 split charge<") != std::string::npos;
        tables += table ? 1 : 0;
        if (table) CHECK(sheet.drawing.svg.find("\"symbol relay\"") != std::string::npos);
        const test::Measure m = test::measure(sheet.drawing.svg);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
    }
    CHECK(tables == 1);
}

TEST_CASE("however long a vehicle's name, the line in the white edge ends on the paper") {
    const Reading reading = read_tracked("tests/cases/real/C96/breaker.loom");
    Sketch sketch = sketch_of(View::now(reading.circuit));
    sketch.vehicle = "a van with a name as long as people give their vans when they have had them for twenty years and "
                     "more, in the colours of its first owner";
    sketch.title = sketch.vehicle + ", as it is now, planned jobs not drawn";
    const Result<std::vector<SheetDrawing>> sheets = draw_sheets(sketch, paper::a4);
    REQUIRE(sheets);
    REQUIRE(sheets->size() > 1);
    for (const SheetDrawing& sheet : *sheets) {
        const test::Measure m = test::measure(sheet.drawing.svg);
        CHECK(m.outside == 0);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
        CHECK(sheet.drawing.svg.find("twenty years") != std::string::npos);
    }
}

TEST_CASE("a fuse whose loads stand on other sheets says over its path what it is for") {
    const Reading reading = read_tracked("netlists/demo-vehicle.loom");
    const Sketch sketch = sketch_of(View::now(reading.circuit));
    const Result<Bound> made = bind(sketch, paper::a4, {});
    REQUIRE(made);
    int fuses = 0, alone = 0;
    for (const SketchPart& part : made->parts)
        for (std::size_t s = 0; s < part.sketch.symbols.size(); ++s) {
            if (!is_fuse(part.sketch.symbols[s].kind)) continue;
            ++fuses;
            CHECK_MESSAGE(std::any_of(part.sketch.headings.begin(), part.sketch.headings.end(),
                                      [&](const Heading& h) {
                                          return std::find(h.fuses.begin(), h.fuses.end(), part.from[s]) !=
                                                     h.fuses.end() ||
                                                 std::find(h.symbols.begin(), h.symbols.end(), static_cast<int>(s)) !=
                                                     h.symbols.end();
                                      }),
                          part.sketch.symbols[s].key);
            for (const Heading& h : part.sketch.headings)
                alone += h.symbols == std::vector<int>{static_cast<int>(s)} && !h.text.empty() ? 1 : 0;
        }
    CHECK(fuses >= 9);
    CHECK(alone >= 2);
}

TEST_CASE("an existing wire says what it is, when it is live, what it hangs on, and its colour is explained") {
    const Sketch sketch = sketch_of(View::now(read(R"(loom 1
battery, guessed 60 Ah
fuse F1, 10 A
relay K1, 4-pin, 40 A
horn H1, 4 A
existing wire T1 "live with the ignition on", green, live when "ignition on"
existing wire T2 "horn: old horn plug", brown/white, live when "horn button pressed", behind 10 A
wire W1 from battery:+ to F1, 2.5 mm2 red, guessed 2 m
wire W2 from F1 to K1:30, 2.5 mm2 red, 1 m
wire W3 from K1:87 to H1, 1.5 mm2 white, 1 m
wire W4 from T1 to K1:86, 1 mm2 red, 1 m
wire W5 from T2 to K1:85, 1 mm2 red, 1 m
wire W6 from H1:- to ground, 1.5 mm2 black, 1 m
)")
                                                  .circuit));
    const auto symbol = [&](const std::string& name) {
        return *std::find_if(sketch.symbols.begin(), sketch.symbols.end(),
                             [&](const Symbol& s) { return s.name == name; });
    };
    CHECK(symbol("T1").lines == std::vector<std::string>{"live with the ignition on"});
    CHECK(symbol("T1").rating == "GN, fuse not known");
    CHECK(symbol("T2").lines == std::vector<std::string>{"horn: old horn plug", "live when horn button pressed"});
    CHECK(symbol("T2").rating == "BN/WH, behind 10 A");
    const std::vector<std::string> legend = legend_of(sketch, Grounds(sketch), "path 7");
    REQUIRE(legend.size() > 1);
    // The first line leads from any ground sign back to the battery.
    CHECK(legend.front() == "Ground: every sign \"body\" is one metal, battery:- is on it (path 7).");
    CHECK(legend[1].starts_with("Sizes in mm2. Colours: BK\u00A0black, BN\u00A0brown, GN\u00A0green, RD\u00A0red, "
                                "WH\u00A0white; behind the stroke the stripe."));
    // The sample of a guess is one that stands there.
    const Result<Drawing> drawing = draw::draw(sketch);
    REQUIRE(drawing);
    CHECK(count(drawing->svg, ">60 Ah?<") == 1);
    CHECK(count(drawing->svg, ">2 m?<") == 0);
    // White paper, white wire: the outline alone tells it.
    CHECK(count(drawing->svg, "class=\"wire thin pale\"") == 1);
}

TEST_CASE("the battery's minus is found over a bus of grounds and an isolating switch") {
    const Sketch sketch = sketch_of(View::now(read(R"(loom 1
battery, 60 Ah
switch S1 "isolator"
bus BB1
lamp E1, 21 W
fuse F1, 10 A
wire W1 from battery:- to S1:1, 16 mm2 black, 1 m
wire W2 from S1:2 to BB1, 16 mm2 black, 1 m
wire W3 from BB1 to ground, 16 mm2 black, 1 m
wire W4 from battery:+ to F1, 2.5 mm2 red, 1 m
wire W5 from F1 to E1, 2.5 mm2 red, 1 m
wire W6 from E1 to ground, 2.5 mm2 black, 1 m
)")
                                                  .circuit));
    REQUIRE(minus_foot(sketch) >= 0);
    CHECK(sketch.symbols[static_cast<std::size_t>(minus_foot(sketch))].key == "body/1");
}

TEST_CASE("a lone sheet that would leave half its paper empty is printed larger") {
    const Reading reading = read(R"(loom 1
battery, 60 Ah
fuse F1, 10 A
lamp E1, 21 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 1 m
wire W2 from F1 to E1, 2.5 mm2 red, 1 m
wire W3 from E1 to ground, 2.5 mm2 black, 1 m
)");
    for (const paper::Paper& paper : {paper::a4, paper::a3}) {
        const Result<SheetSet> set = draw_set(View::now(reading.circuit), paper);
        REQUIRE(set);
        REQUIRE(set->sheets.size() == 1);
        const SheetDrawing& sheet = set->sheets.front();
        CHECK(sheet.scale == 1.4);
        // The paper keeps its size.
        CHECK(std::abs(std::min(sheet.drawing.width_mm, sheet.drawing.height_mm) - paper.width) < 0.1);
        const test::Measure m = test::measure(sheet.drawing.svg);
        CHECK(m.outside == 0);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
    }
}

TEST_CASE("a circuit that fills one sheet with its relay's base to the last line is not torn in two for it") {
    const Reading reading = read(R"(loom 1
battery, guessed 60 Ah
fuse F1 "horns", 30 A, in engine-bay
relay K1 "horns", 4-pin, 40 A, mini, in engine-bay
horn H1 "horns", guessed 12 A
existing wire T1 "horn: not traced yet", live when "horn button pressed"
wire from battery:+ to F1, 6 mm2 red, guessed 0.1 m, in engine-bay
wire from F1 to K1:30, 6 mm2 red, guessed 1.5 m, in engine-bay
wire from K1:87 to H1:+, 6 mm2 red, guessed 1.5 m, in engine-bay
wire from H1:- to ground, 6 mm2 black, guessed 1 m, in engine-bay
wire from T1 to K1:86, 1.5 mm2 violet, about 0.5 m, in engine-bay
wire from K1:85 to ground, 1.5 mm2 black, about 0.3 m, in engine-bay
)");
    const Result<SheetSet> set = draw_set(View::now(reading.circuit), paper::a4);
    REQUIRE(set);
    REQUIRE(set->sheets.size() == 1);
    CHECK(set->sheets.front().drawing.svg.find("base of K1 horns") != std::string::npos);
    CHECK(test::measure(set->sheets.front().drawing.svg).overlaps.empty());
}
