// What somebody under a dash with a loose sheet in hand must find on it: what it does, where each wire goes on, by which number.
#include "circuit/read.hpp"
#include "draw/bench.hpp"
#include "draw/bind.hpp"
#include "draw/divide.hpp"
#include "draw/feeds.hpp"
#include "draw/from_circuit.hpp"
#include "draw/functions.hpp"
#include "draw/sheet.hpp"
#include "draw/split.hpp"
#include "draw/symbols.hpp"
#include "draw/titles.hpp"
#include "support/circuit_file.hpp"
#include "support/places.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <numeric>

using namespace loomproof;
using namespace loomproof::draw;

namespace {

Reading read(const std::string& text) {
    static Sources sources;
    return read_circuit_text(sources, "paper.loom", text);
}

Reading read_tracked(const std::string& file) { return support::read_circuit_file(support::source_path(file)); }

std::vector<int> all_of(const Sketch& sketch) {
    std::vector<int> all(sketch.symbols.size());
    std::iota(all.begin(), all.end(), 0);
    return all;
}

std::string title_of_all(const Sketch& sketch) { return title_of(sketch, feeds_of_loads(sketch), all_of(sketch)); }

// Two fuses for one headlamp, a horn without any, five things on one fuse.
constexpr const char* lamps = R"(loom 1
ground GND1 "left wing" on body
battery, 60 Ah
fuse F1 "main beam", 10 A
fuse F2 "dip beam", 10 A
fuse F3, 15 A
lamp E1 "headlamp, left", 60/55 W, filaments main and dip
horn H1 "horn", 5 A
lamp E3 "tail lamp, left", 5 W
lamp E4 "tail lamp, right", 5 W
lamp E5 "number plate", 5 W
lamp E6 "clock", 2 W
lamp E7 "radio lamp", 2 W
wire W1 from battery:+ to F1, 4 mm2 RD, 0.3 m
wire W2 from battery:+ to F2, 4 mm2 RD, 0.3 m
wire W3 from F1 to E1:main, 1.5 mm2 WH, 1.4 m
wire W4 from F2 to E1:dip, 1.5 mm2 YE, 1.4 m
wire W5 from E1:common to GND1, 1.5 mm2 BN, 0.4 m
wire W6 from battery:+ to H1, 1.5 mm2 RD, 0.4 m
wire W7 from H1 to GND1, 1.5 mm2 BN, 0.4 m
wire W8 from battery:+ to F3, 4 mm2 RD, 0.3 m
wire W10 from F3 to E3, 1 mm2 GY, 0.3 m
wire W11 from F3 to E4, 1 mm2 GY, 0.3 m
wire W12 from F3 to E5, 1 mm2 GY, 0.3 m
wire W13 from F3 to E6, 1 mm2 GY, 0.3 m
wire W14 from F3 to E7, 1 mm2 GY, 0.3 m
wire W20 from E3 to GND1, 1 mm2 BN, 0.3 m
wire W21 from E4 to GND1, 1 mm2 BN, 0.3 m
wire W22 from E5 to GND1, 1 mm2 BN, 0.3 m
wire W23 from E6 to GND1, 1 mm2 BN, 0.3 m
wire W24 from E7 to GND1, 1 mm2 BN, 0.3 m
wire W30 from battery:- to GND1, 16 mm2 BK, 0.3 m
)";

} // namespace

TEST_CASE("a sheet's title names every load on it, and each fuse that feeds it") {
    const Reading reading = read(lamps);
    const Sketch sketch = sketch_of(View::now(reading.circuit));
    const std::string title = title_of_all(sketch);
    CHECK(title == "Supply; headlamp, left (F1, F2); horn; tail lamp, left and right, number plate, clock and radio "
                   "lamp (F3)");
    // Narrow: first which of the tail lamps goes, then the fuses; no load ever.
    const std::vector<Feeds> feeds = feeds_of_loads(sketch);
    std::vector<std::string> titles;
    for (double width = 2000; width >= 100; width -= 10) {
        std::string text = short_title_of(sketch, feeds, all_of(sketch), "", width);
        if (titles.empty() || titles.back() != text) titles.push_back(std::move(text));
    }
    CHECK(titles == std::vector<std::string>{
                        title, "Supply; headlamp (F1, F2); horn; tail lamp, number plate, clock and radio lamp (F3)",
                        "Supply; headlamp; horn; tail lamp, number plate, clock and radio lamp"});
    // Over the paths, too: three things at most a heading, and none left out.
    std::vector<std::string> headings;
    for (const Heading& h : sketch.headings) headings.push_back(h.text);
    CHECK(std::count(headings.begin(), headings.end(), "Headlamp, left") == 1);
    CHECK(std::count(headings.begin(), headings.end(), "Tail lamp, left and right; number plate; clock") == 1);
    CHECK(std::count(headings.begin(), headings.end(), "Radio lamp") == 1);
}

TEST_CASE("current comes to a load through a relay's contact, never out of its coil") {
    const Reading reading = read(R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 20 A
relay K1, 4-pin, 30 A
motor M1 "fan", 9 A
wire W1 from battery:+ to F1, 2.5 mm2 RD, 0.3 m
wire W2 from battery:+ to F2, 2.5 mm2 RD, 0.3 m
wire W3 from F1:2 to K1:86, 1 mm2 RD, 0.3 m
wire W4 from F2:2 to K1:30, 2.5 mm2 RD, 0.3 m
wire W5 from K1:87 to M1:+, 2.5 mm2 RD, 0.3 m
wire W6 from K1:85 to ground, 1 mm2 BN, 0.3 m
wire W7 from M1:- to ground, 2.5 mm2 BN, 0.3 m
)");
    for (const Relays relays : {Relays::together, Relays::apart}) {
        const Sketch sketch = sketch_of(View::now(reading.circuit), {.title = {}, .relays = relays});
        for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
            if (sketch.symbols[s].name == "M1") {
                const Feeds feeds = feeds_of(sketch, static_cast<int>(s));
                REQUIRE(feeds.fuses.size() == 1);
                CHECK(sketch.symbols[static_cast<std::size_t>(feeds.fuses.front())].name == "F2");
                CHECK(!feeds.through_load);
            }
    }
}

TEST_CASE("every column in which current runs through a part has its number, and headings point at numbers") {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path("tests/cases/real")))
        if (entry.path().extension() == ".loom") files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    files.push_back(support::source_path("netlists/demo-vehicle.loom"));
    int numbers = 0, arrows = 0;
    for (const auto& file : files) {
        CAPTURE(file.string());
        const Reading reading = read_tracked(file);
        if (!reading.readable || reading.circuit.wires.empty()) continue;
        const Sketch sketch = sketch_of(View::now(reading.circuit), {.title = {}, .tables = false});
        const Result<Sheet> sheet = lay_out(sketch, {});
        REQUIRE(sheet);
        std::vector<double> paths;
        double bottom = 0; // of the circuit: where the numbers stand
        for (const Word& w : sheet->notes.words)
            if (w.kind == WordKind::path) {
                paths.push_back(w.at.x);
                bottom = w.at.y;
            }
        numbers += static_cast<int>(paths.size());
        for (std::size_t i = 0; i + 1 < paths.size(); ++i) CHECK(paths[i + 1] - paths[i] >= column - 0.01);
        const auto has_number = [&](double x, double away) {
            return std::any_of(paths.begin(), paths.end(), [&](double p) { return std::abs(p - x) <= away; });
        };
        for (const PaintedWire& painted : sheet->wires) {
            const draw::Wire& wire = sketch.wires[static_cast<std::size_t>(painted.wire)];
            for (const auto& [end, at] : {std::pair{wire.a, painted.path.front()}, {wire.b, painted.path.back()}}) {
                const Symbol& symbol = sketch.symbols[static_cast<std::size_t>(end.symbol)];
                if (row_of(symbol.kind).nature == SymbolRow::Nature::bar)
                    continue; // its taps are found by what they lead to
                CHECK_MESSAGE(has_number(at.x, column), symbol.key << " at " << wire.key);
            }
        }
        // Above the circuit the arrows are the only filled triangles among the notes; below it stands the key.
        for (const auto& ink : sheet->notes.ink)
            if (const Trace* t = std::get_if<Trace>(&ink); t != nullptr && t->look == Look::solid) {
                double lowest = -1e9, x = 0;
                for (const Step& step : t->steps)
                    if (step.type != Step::Type::close && step.to.y > lowest) {
                        lowest = step.to.y;
                        x = step.to.x;
                    }
                if (lowest > bottom) continue;
                ++arrows;
                CHECK(has_number(x, 0.01));
            }
    }
    CHECK(numbers > 500);
    CHECK(arrows > 100);
    MESSAGE(numbers << " paths, " << arrows << " arrows");
}

TEST_CASE("every number that a reference names stands under what it speaks of") {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path("tests/cases/real")))
        if (entry.path().extension() == ".loom") files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    files.push_back(support::source_path("netlists/demo-vehicle.loom"));
    int references = 0, feet = 0;
    for (const auto& file : files) {
        CAPTURE(file.string());
        const Reading reading = read_tracked(file);
        if (!reading.readable || reading.circuit.wires.empty()) continue;
        const Result<Bound> made = bind(sketch_of(View::now(reading.circuit)), paper::a4, {});
        REQUIRE(made);
        // Where the number of a symbol stands on its sheet, and where wires meet the symbol.
        const auto is_right = [&](std::size_t p, std::size_t s, int number) {
            double at = -1e9;
            for (const Word& w : made->sheets[p].notes.words)
                if (w.kind == WordKind::path && w.text == std::to_string(number)) at = w.at.x;
            return std::any_of(made->sheets[p].wires.begin(), made->sheets[p].wires.end(), [&](const PaintedWire& w) {
                const draw::Wire& wire = made->parts[p].sketch.wires[static_cast<std::size_t>(w.wire)];
                return (wire.a.symbol == static_cast<int>(s) && std::abs(w.path.front().x - at) < 0.01) ||
                       (wire.b.symbol == static_cast<int>(s) && std::abs(w.path.back().x - at) < 0.01);
            });
        };
        for (std::size_t p = 0; p < made->parts.size(); ++p) {
            const Sketch& sketch = made->parts[p].sketch;
            for (const std::vector<BreakMark>& all : {made->parts[p].marks, made->parts[p].elsewhere})
                for (const BreakMark& mark : all) {
                    const auto other = static_cast<std::size_t>(mark.other_part),
                               there = static_cast<std::size_t>(mark.other_symbol);
                    ++references;
                    CHECK_MESSAGE(is_right(other, there, made->sheets[other].path_of[there]),
                                  "sheet " << other + 1 << ": " << made->parts[other].sketch.symbols[there].key);
                }
            for (const Heading& heading : sketch.headings)
                for (const int s : heading.symbols)
                    CHECK_MESSAGE(
                        is_right(p, static_cast<std::size_t>(s), made->sheets[p].path_of[static_cast<std::size_t>(s)]),
                        heading.text);
            // "as path 3" under the foot of a stud: another foot of it stands there.
            for (const PaintedSymbol& painted : made->sheets[p].symbols)
                for (const Word& w : painted.picture.words) {
                    const std::string lead = "as path\u00A0";
                    const Symbol& foot = sketch.symbols[static_cast<std::size_t>(painted.symbol)];
                    if (foot.kind != SymbolKind::foot || !w.text.starts_with(lead)) continue;
                    ++feet;
                    bool right = false;
                    for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
                        right = right || (sketch.symbols[s].group == foot.group &&
                                          is_right(p, s, std::stoi(w.text.substr(lead.size()))));
                    CHECK_MESSAGE(right, foot.key << ": " << w.text);
                }
        }
    }
    CHECK(references > 40);
    MESSAGE(references << " references, " << feet << " feet that name another");
}

TEST_CASE("where current may run either way, a break says \"joins\"") {
    const auto ways = [](const std::string& text) {
        const Reading reading = read(text);
        std::string joins;
        for (const draw::Wire& w : sketch_of(View::now(reading.circuit)).wires)
            if (w.either_way) joins += w.name + " ";
        return joins;
    };
    // A horn that hangs on a relay's resting contact and, by a switch, on the feed: W5 runs one way at rest, the other way never or back.
    CHECK(ways(R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 10 A
relay K3, 5-pin, 30 A
switch S1, on off
splice SP1
lamp E1 "side lamp", 5 W
lamp E2 "tail lamp", 5 W
wire W1 from battery:+ to F1, 2.5 mm2 RD, 0.3 m
wire W2 from battery:+ to F2, 2.5 mm2 RD, 0.3 m
wire W3 from F1:2 to K3:87, 2.5 mm2 RD, 0.3 m
wire W4 from F2:2 to SP1, 2.5 mm2 RD, 0.3 m
wire W5 from SP1 to K3:87a, 2.5 mm2 RD, 0.3 m
wire W6 from K3:30 to E1:1, 2.5 mm2 RD, 0.3 m
wire W7 from SP1 to E2:1, 1 mm2 BN, 0.3 m
wire W8 from E1:2 to ground, 2.5 mm2 BN, 0.3 m
wire W9 from E2:2 to ground, 2.5 mm2 BN, 0.3 m
)") == "W5 ");
    CHECK(ways(R"(loom 1
battery, 60 Ah
fuse F1, 10 A
alternator G1, 65 A
lamp E1 "charge lamp", 2 W
lamp E2 "side lamp", 5 W
wire W1 from battery:+ to F1, 2.5 mm2 RD, 0.3 m
wire W2 from G1:B+ to battery:+, 10 mm2 RD, 0.3 m
wire W3 from F1:2 to E1:1, 1 mm2 RD, 0.3 m
wire W4 from E1:2 to G1:L, 1 mm2 BU, 0.3 m
wire W5 from F1:2 to E2:1, 1 mm2 RD, 0.3 m
wire W6 from E2:2 to ground, 1 mm2 BN, 0.3 m
)") == "W2 W4 ");
}

namespace {

// All words of a drawing in their order, however they were broken into lines.
std::string words_of(const std::string& svg) {
    std::string words = " ";
    for (std::size_t at = svg.find("<text"); at != std::string::npos; at = svg.find("<text", at + 1)) {
        const std::size_t begin = svg.find('>', at) + 1;
        words += svg.substr(begin, svg.find('<', begin) - begin) + " ";
    }
    for (std::string::size_type at = 0; (at = words.find("\u00A0", at)) != std::string::npos;)
        words.replace(at, 2, " ");
    return words;
}

} // namespace

TEST_CASE("each sheet says whose it is and of which job it is as") {
    const Reading reading = read_tracked("netlists/demo-vehicle.loom");
    const Result<SheetSet> set = draw_set(View::now(reading.circuit), paper::a4);
    REQUIRE(set);
    for (std::size_t i = 0; i < set->sheets.size(); ++i) {
        const std::string words = words_of(set->sheets[i].drawing.svg);
        CAPTURE(words);
        const std::string of = "sheet " + std::to_string(i + 1) + " of " + std::to_string(set->sheets.size());
        CHECK(words.find("as of the job of 2026-05-02, with planned job B; " + of) != std::string::npos);
    }
}

TEST_CASE("what stands on another sheet too says in which path: buses, plugs; a stud on several sheets says on which") {
    const Reading reading = read_tracked("netlists/demo-vehicle.loom");
    const Result<std::vector<SheetDrawing>> sheets = draw_sheets(View::now(reading.circuit), paper::a4);
    REQUIRE(sheets);
    int said = 0;
    for (const SheetDrawing& sheet : *sheets) {
        const std::string words = words_of(sheet.drawing.svg);
        for (const char* lead : {"also sheet ", "fed on sheet "})
            for (std::size_t at = words.find(lead); at != std::string::npos; at = words.find(lead, at + 1)) {
                const std::size_t comma = words.find_first_not_of("0123456789", at + std::string(lead).size());
                CHECK_MESSAGE(words.substr(comma, 6) == ", path", words.substr(at, 40));
                ++said;
            }
        // Under a foot there is no room for more: "radiator support, body also sheets 6, 8 ..."
        for (std::size_t at = words.find("also sheets "); at != std::string::npos;
             at = words.find("also sheets ", at + 1))
            CHECK_MESSAGE(words.rfind("body ", at) == at - 5, words.substr(at - 10, 40));
    }
    CHECK(said >= 10);
}

TEST_CASE("a bus that gathers what loads let through is not said to be fed") {
    test::Bench b;
    b.add(SymbolKind::battery, "battery", {"+", "-"});
    b.pair(SymbolKind::lamp, "E1");
    b.point(SymbolKind::bus, "BB9", "ground bar");
    b.pair(SymbolKind::fuse, "F1");
    b.point(SymbolKind::bus, "BB1", "always live");
    b.pair(SymbolKind::lamp, "E2");
    b.wire(1, "RD", {"battery:+", "BB1"});
    b.wire(1, "RD", {"BB1", "F1"});
    b.wire(1, "RD", {"F1", "E1"});
    b.wire(1, "BK", {"E1", "BB9"});
    b.wire(1, "BK", {"BB9", "battery:-"});
    b.wire(1, "RD", {"BB1", "E2"});
    b.wire(1, "BK", {"BB9", "E2"});
    const auto at = [&](const char* name) { return b.find(name); };
    const std::vector<SketchPart> parts =
        cut(b.sketch, {{at("battery"), at("BB1"), at("BB9")}, {at("F1"), at("E1")}, {at("E2")}});
    const auto lines_of = [&](const std::string& name) {
        for (const Symbol& s : parts[2].sketch.symbols)
            if (s.name == name) return s.lines.back();
        return std::string();
    };
    CHECK(lines_of("BB1").starts_with("fed on\u00A0sheet\u00A0"
                                      "1"));
    CHECK(lines_of("BB9").starts_with("also\u00A0sheet\u00A0"
                                      "1"));
}

TEST_CASE("one sheet needs no contents: it carries the caution, its jobs and what dotted lines mean itself") {
    const Reading reading = read(R"(loom 1
factory {
  battery, 60 Ah
  fuse F1, 10 A
  lamp E1 "work lamp", 55 W
  alternator G1, 65 A
  wire W1 from battery:+ to F1, 2.5 mm2 RD, 0.1 m
  wire W2 from F1 to E1, 1.5 mm2 RD/GN, 2 m
  wire W3 from G1:B+ to battery:+, 10 mm2 RD, 2 m
  wire W4 from E1 to ground, 1.5 mm2 BN, 1 m
}
job "Second lamp" planned {
  lamp E2 "second lamp", 55 W
  wire W5 from F1 to E2, 1.5 mm2 RD/GN, 2 m
  wire W6 from E2 to ground, 1.5 mm2 BN, 1 m
}
)");
    const Result<SheetSet> set = draw_set(View::now(reading.circuit), paper::a4);
    REQUIRE(set);
    REQUIRE(set->sheets.size() == 1);
    CHECK(set->contents.empty());
    CHECK(!set->overview);
    CHECK(set->sheets.front().title == "Supply with alternator; work lamp and second lamp (F1)");
    const std::string svg = words_of(set->sheets.front().drawing.svg); // a footnote runs over several lines
    for (const char* words : {"Battery off (grounded post first)", "Dotted line: no wire, metal on metal.",
                              "Dash-dot line from battery:- to body: a strap that nobody",
                              "Ground: every sign \"body\" is one metal, battery:- is on it (path ",
                              " Second lamp, planned", "Sizes in mm2. Colours:", "RD red"})
        CHECK_MESSAGE(svg.find(words) != std::string::npos, words);
    CHECK(set->sheets.front().scale >= 1);
}

TEST_CASE("of several sheets the first warns; each can be read alone, and the contents say what the marks mean") {
    const Reading reading = read_tracked("netlists/demo-vehicle.loom");
    const Result<SheetSet> set = draw_set(View::now(reading.circuit), paper::a4);
    REQUIRE(set);
    REQUIRE(set->sheets.size() > 1);
    for (std::size_t i = 0; i < set->sheets.size(); ++i) {
        const std::string& svg = set->sheets[i].drawing.svg;
        const std::string words = words_of(svg);
        CHECK((words.find("Battery off") != std::string::npos) == (i == 0));
        const auto only_where = [&](const char* legend, bool occurs) {
            CHECK_MESSAGE((words.find(legend) != std::string::npos) == occurs, set->sheets[i].title << ": " << legend);
        };
        only_where("Sizes in mm2.", svg.find("class=\"of-wire\"") != std::string::npos);
        only_where("RD red",
                   svg.find("data-colour=\"RD") != std::string::npos || svg.find("/RD\"") != std::string::npos);
        only_where("are one metal (body), battery:- is on it (sheet 1, path 1).",
                   svg.find("\"symbol ground\"") != std::string::npos);
        CHECK(words.find("Two short waves") == std::string::npos);
        CHECK(words.find("What the marks mean: contents.") != std::string::npos);
        only_where("Dotted line", svg.find("class=\"mounting\"") != std::string::npos);
    }
    std::string contents;
    for (const SheetDrawing& page : set->contents) contents += words_of(page.drawing.svg);
    for (const char* words :
         {"Two short waves", "goes on", "comes from", "joins", "Dotted line", "Sizes in mm2", "RD red",
          "are one metal (body), battery:- is on it (sheet 1, path 1).", "Bar with dots: splice."})
        CHECK_MESSAGE(contents.find(words) != std::string::npos, words);
}

TEST_CASE("the overview leads on: to sheet, path and terminal") {
    const Reading reading = read_tracked("netlists/demo-vehicle.loom");
    const Result<SheetSet> set = draw_set(View::now(reading.circuit), paper::a4);
    REQUIRE(set);
    REQUIRE(set->overview);
    const std::string words = words_of(set->overview->drawing.svg);
    CHECK(words.find("battery:- is on it (path ") != std::string::npos);
    // Flags of jobs stand at the parts; no wire goes into a table for the sake of one.
    CHECK(words.find("had no room") == std::string::npos);
    int led = 0;
    for (const char* lead : {"goes on: sheet ", "comes from: sheet ", "joins: sheet "})
        for (std::size_t at = words.find(lead); at != std::string::npos; at = words.find(lead, at + 1)) {
            const std::size_t end = words.find_first_not_of("0123456789", at + std::string(lead).size());
            CHECK_MESSAGE(words.substr(end, 6) == " path ", words.substr(at, 40));
            const std::size_t name = words.find_first_not_of("0123456789", end + 6);
            CHECK_MESSAGE(words.substr(name, 2) == ", ", words.substr(at, 40));
            ++led;
        }
    CHECK(led >= 8);
}

TEST_CASE("a title says what the sheet does, in words and with names behind them, and a nameless fuse what it is") {
    test::Bench b;
    b.pair(SymbolKind::lever_switch, "S2", {}, "light switch");
    b.point(SymbolKind::bus, "BB2", "live with the key");
    b.pair(SymbolKind::fuse, "F8", "10 A");
    b.sketch.symbols.back().title = "fuse";
    b.pair(SymbolKind::diode, "V1", {}, "blocking diode");
    const std::vector<Feeds> feeds = feeds_of_loads(b.sketch);
    CHECK(title_of(b.sketch, feeds, {0, 1}) == "Light switch (S2)");
    CHECK(title_of(b.sketch, feeds, {2}) == "Fuse F8");
    CHECK(title_of(b.sketch, feeds, {3}) == "Blocking diode (V1)");
    // What feeds a joint says more than what the joint does.
    b.point(SymbolKind::existing, "T1", "dip, old plug of the left headlamp");
    b.point(SymbolKind::splice, "SP1", "works the dip relays");
    CHECK(title_of(b.sketch, feeds_of_loads(b.sketch), {4, 5}) == "Dip (T1)");
    CHECK(title_of(b.sketch, feeds_of_loads(b.sketch), {5}) == "Works the dip relays (SP1)");
}

TEST_CASE("a fuse that feeds only a relay's coil is for that relay, whatever it was for once") {
    const Reading reading = read(R"(loom 1
ground GND1 "left wing" on body
battery, 60 Ah
fuse F1 "fan", 10 A
relay K1 "fan relay", 4-pin, 40 A
switch S1 "coolant temperature", 5 A
wire W1 from battery:- to GND1, 16 mm2 BK, 0.4 m
wire W2 from battery:+ to F1, 2.5 mm2 RD, 0.1 m
wire W3 from F1 to S1, 1 mm2 RD, 1 m
wire W4 from S1 to K1:86, 1 mm2 RD, 1 m
wire W5 from K1:85 to GND1, 1 mm2 BN, 1 m
)");
    const Sketch sketch = sketch_of(View::now(reading.circuit));
    REQUIRE(sketch.headings.size() == 1);
    CHECK(sketch.headings.front().text == "Coil of the fan relay");
}

TEST_CASE("what lies alone says what it shows, and contents say all they say") {
    const Reading reading = read_tracked("netlists/demo-vehicle.loom");
    Sketch sketch = sketch_of(View::now(reading.circuit),
                              {.title = "Ridgeback pickup, 1986, as it is now, planned jobs not drawn"});
    const Result<SheetSet> set = draw_set(sketch, paper::a4);
    REQUIRE(set);
    for (const SheetDrawing& sheet : set->sheets)
        CHECK(words_of(sheet.drawing.svg).find("as it is now, planned jobs not drawn; as of the job of") !=
              std::string::npos);
    std::string contents;
    for (const SheetDrawing& page : set->contents) contents += words_of(page.drawing.svg);
    CHECK(contents.find("...") == std::string::npos);
    for (const char* words : {" M1 150 A starter ", " G2 65 A alternator "})
        CHECK_MESSAGE(contents.find(words) != std::string::npos, words);
    sketch.title.clear();
    sketch.vehicle = "car.loom";
    const Result<SheetSet> nameless = draw_set(sketch, paper::a4);
    REQUIRE(nameless);
    CHECK(words_of(nameless->contents.front().drawing.svg).find("car.loom: contents") != std::string::npos);
}

TEST_CASE("a plug says what and where it is on every sheet that shows a hole of it") {
    test::Bench b;
    b.pair(SymbolKind::fuse, "F1");
    b.pair(SymbolKind::lamp, "E1");
    b.pair(SymbolKind::fuse, "F2");
    b.pair(SymbolKind::lamp, "E2");
    b.wire(1, "RD", {"F1", "X1:1", "E1"});
    b.wire(1, "RD", {"F2", "X1:2", "E2"});
    for (Symbol& s : b.sketch.symbols)
        if (s.name == "X1:1") s.place = "left headlamp";
    const auto at = [&](const char* name) { return b.find(name); };
    const std::vector<SketchPart> parts =
        cut(b.sketch, {{at("F1"), at("E1"), at("X1:1")}, {at("F2"), at("E2"), at("X1:2")}});
    for (const Symbol& s : parts[1].sketch.symbols)
        if (s.kind == SymbolKind::hole) CHECK(s.place == "left headlamp");
}

TEST_CASE("capitals are 2.5 mm high on every sheet of A4 of the vehicles we show") {
    for (const char* file : {"netlists/demo-vehicle.loom", "netlists/demo-vehicle-corrected.loom"})
        for (const Together together : {Together::by_fuse, Together::by_job}) {
            CAPTURE(file);
            CAPTURE(static_cast<int>(together));
            const Reading reading = read_tracked(file);
            const auto sheets = draw_sheets(View::now(reading.circuit), paper::a4, {.together = together});
            REQUIRE(sheets);
            for (const SheetDrawing& sheet : *sheets) CHECK_MESSAGE(sheet.scale == 1, sheet.title);
        }
}

TEST_CASE("a sheet is cut where few wires are, and both halves are about as large; no foot without its wire") {
    // A bus with eight lamps of two parts each, and one lamp more behind the first.
    test::Bench b;
    b.add(SymbolKind::battery, "battery", {"+", "-"});
    b.point(SymbolKind::bus, "BB1");
    b.wire(6, "RD", {"battery:+", "BB1"});
    for (const char* n : {"1", "2", "3", "4", "5", "6", "7", "8"}) {
        b.pair(SymbolKind::fuse, std::string("F") + n);
        b.pair(SymbolKind::lamp, std::string("E") + n);
        b.wire(1, "RD", {"BB1", std::string("F") + n});
        b.wire(1, "RD", {std::string("F") + n, std::string("E") + n});
        b.wire(1, "BN", {std::string("E") + n, "GND1"});
    }
    const std::vector<std::vector<int>> ways = branches_of(b.sketch, all_of(b.sketch), 12);
    REQUIRE(!ways.empty());
    CHECK(ways.size() <= 12);
    for (const std::vector<int>& way : ways) {
        CHECK(std::is_sorted(way.begin(), way.end()));
        CHECK(std::find(way.begin(), way.end(), b.find("battery")) == way.end());
        for (const draw::Wire& w : b.sketch.wires)
            if (b.at(w.b.symbol).kind == SymbolKind::foot)
                CHECK(std::binary_search(way.begin(), way.end(), w.a.symbol) ==
                      std::binary_search(way.begin(), way.end(), w.b.symbol));
    }
    // Four of the eight, or five: fuse, lamp and foot each.
    CHECK(ways.front().size() >= 12);
    CHECK(ways.front().size() <= 15);
}
