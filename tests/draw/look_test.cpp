// What an electrician asks of the drawing, each read off a drawn circuit.
#include "circuit/read.hpp"
#include "draw/from_circuit.hpp"
#include "draw/key.hpp"
#include "draw/measure.hpp"
#include "support/circuit_file.hpp"
#include "support/places.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <map>
#include <regex>
#include <string>
#include <vector>

using namespace loomproof;
using namespace loomproof::draw;

namespace {

const std::string workshop = R"(loom 1
vehicle "Workshop trainer"
ground GND1 "left inner wing" on body
ground GND2 "radiator support" on body
battery, 60 Ah, in engine-bay
fuse F1 "fan", 20 A, in "fuse box, slot 1"
fuse F2 "head", 15 A, in "fuse box, slot 2"
switch S1 "light switch", in cabin { off* | side connects 30 with 58 | head connects 30 with 58 and 56 }
relay K1 "fan relay", 5-pin, 40 A, diode, band on 86, in "relay box"
switch S5 "coolant temperature", thermal { cold* | hot connects 1 with 2 }
motor M1 "fan", 9 A, in "radiator"
lamp E1 "headlamp, left", 55 W
lamp E2 "headlamp, right", 55 W
lamp E3 "side lamp", 5 W
diode V1, band on 2, isolates
connector X7 "fan plug", 3 holes, wire side, latch up, numbers mine
wire W1 from battery:- to GND1, 16 mm2 BK, 0.4 m
wire W2 from battery:+ to F1, 4 mm2 RD, 0.3 m
wire W3 from battery:+ to F2, 4 mm2 RD, 0.3 m
wire W4 from F1 to K1:30, 4 mm2 RD/GN, 1.2 m
wire W5 from F1 to K1:86, 1 mm2 BK, 1.2 m
wire W6 from K1:85 through X7:3 to S5, 1 mm2 BK, 0.5 m + 0.4 m
wire W7 from S5 to GND2, 1 mm2 BN, 0.3 m
wire W8 from K1:87 through X7:1 to M1:+, 4 mm2 RD/GN, 0.6 m + 0.2 m
wire W9 from M1:- through X7:2 to GND2, 4 mm2 BK, 0.2 m + 0.5 m
wire W10 from F2 to S1:30, 2.5 mm2 RD, 0.6 m
wire W11 from S1:56 to E1, 1.5 mm2 WH, 1.4 m
wire W12 from S1:56 to E2, 1.5 mm2 WH, 2.4 m
wire W13 from E1 to GND1, 1.5 mm2 BN, 0.4 m
wire W14 from E2 to GND2, 1.5 mm2 BN, 0.4 m
wire W15 from S1:58 to V1:1, 0.75 mm2 GY, 1 m
wire W16 from V1:2 to E3, 0.75 mm2 GY/RD, 1 m
wire W17 from E3 to ground, 0.75 mm2 BN, 1 m
)";

std::string drawn(const Options& options = {}) {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "workshop.loom", workshop);
    REQUIRE(reading.readable);
    const Result<Drawing> drawing = draw::draw(View::now(reading.circuit), options);
    REQUIRE_MESSAGE(drawing, drawing.error());
    if (const char* folder = std::getenv("LOOMPROOF_PICTURES"); folder != nullptr)
        std::ofstream(std::string(folder) + (options.relays == Relays::apart ? "/workshop-apart.svg" : "/workshop.svg"))
            << drawing->svg;
    const auto m = draw::test::measure(drawing->svg);
    for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
    CHECK(m.ends_on_terminal == 2 * m.wires);
    return drawing->svg;
}

bool says(const std::string& svg, const std::string& word) { return svg.find(">" + word + "<") != std::string::npos; }

std::size_t times(const std::string& svg, const std::string& part) {
    std::size_t count = 0;
    for (std::size_t at = svg.find(part); at != std::string::npos; at = svg.find(part, at + 1)) ++count;
    return count;
}

} // namespace

TEST_CASE("every wire says name, size and colour, and its length once") {
    const std::string svg = drawn();
    for (int w = 1; w <= 17; ++w) {
        CAPTURE(w);
        CHECK(svg.find(">W" + std::to_string(w) + " ") != std::string::npos);
    }
    CHECK(times(svg, "1.4 m</text>") == 1);
    CHECK(times(svg, "2.4 m</text>") == 1);
}

TEST_CASE("a switch with three positions is a table, its dead position an empty row") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "workshop.loom", workshop);
    const Sketch sketch = sketch_of(View::now(reading.circuit));
    const auto found =
        std::find_if(sketch.symbols.begin(), sketch.symbols.end(), [](const Symbol& s) { return s.name == "S1"; });
    REQUIRE(found != sketch.symbols.end());
    CHECK(found->kind == SymbolKind::table_switch);
    REQUIRE(found->positions.size() == 3);
    CHECK(found->positions[0].joined.empty());
    CHECK(found->positions[0].at_rest);
    CHECK(found->positions[2].joined.front().size() == 3);
}

TEST_CASE("grounds say stud, place and metal; the first one of a stud where the others are, those where the first is; "
          "plain body nothing") {
    const std::string svg = drawn();
    CHECK(says(svg, "GND2"));
    CHECK(svg.find("radiator") != std::string::npos);
    CHECK(times(svg, ">also path") >= 1);
    // Two of the three feet of GND2 and one of the two of GND1; the body's own foot has no note.
    CHECK(times(svg, ">as path\xC2\xA0") == 3);
}

TEST_CASE("fuses say rating, colour, box and slot; a diode's end says band; a motor + and -; a temperature switch the "
          "trade's sign") {
    const std::string svg = drawn();
    CHECK(says(svg, "20 A yellow"));
    CHECK(svg.find("class=\"rating\"") != std::string::npos);
    CHECK(says(svg, "fuse box, slot 1"));
    CHECK(says(svg, "band"));
    CHECK(says(svg, "+"));
    CHECK(says(svg, "\u2212"));
}

TEST_CASE("relays apart: both halves in dashed frames, each naming the other's path") {
    const std::string together = drawn(), apart = drawn({.relays = Relays::apart});
    CHECK(together.find("class=\"symbol relay\"") != std::string::npos);
    CHECK(together.find("coil: path") == std::string::npos);
    CHECK(apart.find("class=\"symbol relay\"") == std::string::npos);
    CHECK(times(apart, "class=\"symbol relay coil\"") == 1);
    CHECK(times(apart, "class=\"symbol relay contact\"") == 1);
    CHECK(times(apart, ">coil: path\xC2\xA0") == 1);
    CHECK(times(apart, ">contact: path\xC2\xA0") == 1);
    CHECK(apart.find("\xC2\xA0"
                     "88<") == std::string::npos); // the blank is filled in
    // The diode stays with the coil, its band where it lies.
    CHECK(apart.find("id=\"s-K1\"") != std::string::npos);
    CHECK(apart.find("id=\"s-K1-2fcontact\"") != std::string::npos);
}

TEST_CASE("relays apart on several sheets name the sheet, too") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "workshop.loom", workshop);
    const auto sheets = draw_sheets(View::now(reading.circuit), {105, 148, 5}, {.relays = Relays::apart});
    REQUIRE(sheets);
    CHECK(sheets->size() > 1);
    for (const SheetDrawing& sheet : *sheets)
        CHECK(sheet.drawing.svg.find("\xC2\xA0"
                                     "88<") == std::string::npos);
}

TEST_CASE("a trailer's plug has the car in one column and the trailer in the other") {
    // The ground wire is written from the trailer to the car, the others the other way round.
    const Reading lamps = support::read_circuit_file(support::source_path("tests/cases/real/C64/ground-good.loom"));
    const std::vector<SideTable> tables = sketch_of(View::now(lamps.circuit)).tables;
    REQUIRE(tables.size() == 1);
    CHECK(tables.front().head == std::vector<std::string>{"hole", "towards the battery", "away from it"});
    CHECK(tables.front().rows[0] == std::vector<std::string>{"1", "W3 1.5 BN, S1:2", "W3 1.5 BN, SP1"});
    CHECK(tables.front().rows[3] == std::vector<std::string>{"4", "W20 2.5 WH, ground", "W20 2.5 WH, trailer"});
    // A car whose wires are known by their colours only feeds it all the same.
    const Reading kit = support::read_circuit_file(support::source_path("tests/begin/expected/trailer-socket.loom"));
    for (const SideTable& table : sketch_of(View::now(kit.circuit)).tables) {
        CHECK(table.head == std::vector<std::string>{"hole", "towards the battery", "away from it"});
        for (const std::vector<std::string>& row : table.rows)
            if (row[0] == "3") CHECK(row[1].ends_with(", ground"));
    }
}

TEST_CASE("a plug has its table: holes, wires, where they go, how it is seen, and colours that get swapped") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "workshop.loom", workshop);
    const std::vector<SideTable> tables = sketch_of(View::now(reading.circuit)).tables;
    REQUIRE(tables.size() == 2);
    const SideTable& plug = tables[tables[0].title.starts_with("X7") ? 0 : 1];
    CHECK(plug.title == "plug X7 fan plug");
    CHECK(plug.notes.front() == "seen from the wire side, latch up, numbers yours");
    REQUIRE(plug.rows.size() == 3);
    CHECK(plug.rows[0] == std::vector<std::string>{"1", "W8 4 RD/GN, K1:87", "W8 4 RD/GN, M1:+"});
    // The text goes out through hole 1 and back through hole 2: what hangs on the wires tells which are on one half.
    CHECK(plug.head == std::vector<std::string>{"hole", "towards the battery", "away from it"});
    CHECK(plug.rows[1] ==
          std::vector<std::string>{"2", "W9 4 BK, GND2; colour also in 3", "W9 4 BK, M1:-; colour also in 3"});
    CHECK(plug.rows[2][1] == "W6 1 BK, K1:85; colour also in 2");
    CHECK(says(drawn(), "W9 4 BK, M1:-; colour also in 3"));
    CHECK(drawn({.tables = false}).find("colour also in") == std::string::npos);
}

TEST_CASE("a trailer's wires are all on one half of its plug, in whichever order they were typed; where nothing tells, "
          "the table says so") {
    Sources sources;
    const Reading trailer = read_circuit_text(sources, "trailer.loom", R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1
ground GND1 "rear" on body
lamp E1, 21 W
lamp E2, 5 W
connector X1, 4 holes
wire W1 from battery:- to GND1, 16 mm2 BK
wire W2 from battery:+ to F1:1, 2.5 mm2 RD
wire W3 from F1:2 to S1:1, 1.5 mm2 RD
wire W4 from F1:2 through X1:1 to E2:1, 1 mm2 GY
wire W5 from E1:1 through X1:2 to S1:2, 1.5 mm2 YE
wire W6 from E1:2 to X1:3, 1.5 mm2 WH
wire W7 from E2:2 to E1:2, 1.5 mm2 WH
wire W8 from X1:3 to GND1, 1.5 mm2 WH
)");
    const std::vector<SideTable> tables = sketch_of(View::now(trailer.circuit)).tables;
    REQUIRE(tables.size() == 1);
    CHECK(tables[0].rows == std::vector<std::vector<std::string>>{{"1", "W4 1 GY, F1:2", "W4 1 GY, E2:1"},
                                                                  {"2", "W5 1.5 YE, S1:2", "W5 1.5 YE, E1:1"},
                                                                  {"3", "W8 1.5 WH, GND1", "W6 1.5 WH, E1:2"},
                                                                  {"4", "free", "free"}});
    // Both wires of a hole meet again beside the plug.
    const Reading ring = read_circuit_text(sources, "ring.loom", R"(loom 1
battery, 60 Ah
lamp E1, 21 W
connector X1, 2 holes
wire W1 from battery:+ through X1:1 to E1:1, 1 mm2 GY
wire W2 from battery:+ to E1:2, 1 mm2 GN
)");
    const std::vector<SideTable> unclear = sketch_of(View::now(ring.circuit)).tables;
    REQUIRE(unclear.size() == 1);
    CHECK(unclear[0].head == std::vector<std::string>{"hole", "one wire, as typed", "the other, as typed"});
}

TEST_CASE("a relay has its base: moulded numbers and where each wire goes") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "workshop.loom", workshop);
    const std::vector<SideTable> tables = sketch_of(View::now(reading.circuit)).tables;
    const SideTable& base = tables[tables[0].title.starts_with("K1") ? 0 : 1];
    REQUIRE(base.rows.size() == 5);
    for (const std::vector<std::string>& row : base.rows) {
        if (row[0] == "30") CHECK(row == std::vector<std::string>{"30", "contact, common", "W4 4 RD/GN", "F1:2"});
        if (row[0] == "87a") CHECK(row[2] == "free");
    }
}

TEST_CASE("what found no room at its wire stands in a table, by the wire's label and its ends") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "workshop.loom", workshop);
    const Sketch sketch = sketch_of(View::now(reading.circuit));
    const auto wire = [&](const std::string& name) {
        return static_cast<int>(std::find_if(sketch.wires.begin(), sketch.wires.end(),
                                             [&](const draw::Wire& w) { return w.name == name; }) -
                                sketch.wires.begin());
    };
    Placed placed;
    std::vector<std::string> labels;
    CHECK(unplaced_of(sketch, placed, labels).empty());
    placed.unplaced = {{wire("W4"), "W4, 1.2 m"}, {wire("W11"), "W11 1.5 WH"}, {wire("W11"), "job A"}};
    const std::vector<SideTable> tables = unplaced_of(sketch, placed, labels);
    REQUIRE(tables.size() == 1);
    CHECK(tables[0].rows == std::vector<std::vector<std::string>>{{"W4 4 RD/GN, 1.2 m", "F1", "K1:30"},
                                                                  {"W11 1.5 WH, job A", "S1:56", "E1"}});
    CHECK(labels == std::vector<std::string>{"W4 4 RD/GN", "W11 1.5 WH"});
    Picture with, without;
    paint_key(with, sketch, tables, {0, 0}, 600);
    paint_key(without, sketch, {}, {0, 0}, 600);
    CHECK(with.words.size() > without.words.size());
}

TEST_CASE("in a switch's table two groups that reach past one another do not stand on one line, as one bar that joins "
          "all of them") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "window.loom", R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "window" {
  rest* connects E with D and U
  up connects B with U, D with E, springs back
  down connects B with D, U with E, springs back
}
motor M1 "window", 6 A, reversible
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1:B, 2.5 mm2 red, 1 m
wire from S1:E to ground, 2.5 mm2 black, 0.5 m
wire from S1:U to M1:+, 2.5 mm2 blue, 1 m
wire from S1:D to M1:-, 2.5 mm2 green, 1 m
)");
    REQUIRE(reading.findings.empty());
    const Result<Drawing> drawing = draw::draw(View::now(reading.circuit), {});
    REQUIRE_MESSAGE(drawing, drawing.error());
    const std::string& svg = drawing->svg;
    std::map<std::string, int> dots_at; // height in the picture -> how many
    const std::regex dot("<circle[^>]*cy=\"([0-9.]+)\"[^>]*r=\"4.2\"");
    for (auto i = std::sregex_iterator(svg.begin(), svg.end(), dot); i != std::sregex_iterator(); ++i)
        ++dots_at[(*i)[1]];
    std::vector<int> rows;
    for (const auto& [y, dots] : dots_at) rows.push_back(dots);
    // In the order B, U, D, E: rest joins 3; of up, B with U ends before D with E begins; of down, B with D reaches past U with E.
    std::ranges::sort(rows);
    CHECK(rows == std::vector<int>{2, 2, 3, 4});
}

TEST_CASE("the line of path numbers lies below every wire, also one that turns back up from below its motor") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "winch.loom", R"(loom 1
battery, 100 Ah
switch S9 "winch isolator"
fuse F1 "winch", 300 A, bolted
fuse F2 "control", 10 A
motor M1 "winch", 120 A, reversible
relay K1 "in", 5-pin, 400 A, studs
relay K2 "out", 5-pin, 400 A, studs
wire from battery:+ to F1, 50 mm2 red, 0.15 m, winch cable
wire from F1 to S9:1, 50 mm2 red, 0.4 m, winch cable
wire from S9:2 to BB1, 50 mm2 red, 1 m, winch cable
bus BB1
wire from BB1 to K1:87, 50 mm2 red, 0.2 m, winch cable
wire from BB1 to K2:87, 50 mm2 red, 0.2 m, winch cable
bus BB2
wire from K1:87a to BB2, 50 mm2 black, 0.2 m, winch cable
wire from K2:87a to BB2, 50 mm2 black, 0.2 m, winch cable
wire from BB2 to battery:-, 50 mm2 black, 1.5 m, winch cable
wire from K1:30 to M1:+, 50 mm2 blue, 0.5 m, winch cable
wire from K2:30 to M1:-, 50 mm2 yellow, 0.5 m, winch cable
wire from BB1 to F2, 2.5 mm2 red, 0.1 m
switch S1 "rocker" {
  rest*
  in  connects 1 with 2, springs back
  out connects 1 with 3, springs back
}
wire from F2 to S1:1, 1.5 mm2 red, 2 m
wire from S1:2 to K1:86, 1.5 mm2 green, 2 m
wire from S1:3 to K2:86, 1.5 mm2 white, 2 m
wire from K1:85 to BB2, 1.5 mm2 black, 0.2 m
wire from K2:85 to BB2, 1.5 mm2 black, 0.2 m
)");
    REQUIRE(reading.findings.empty());
    const Result<Drawing> drawing = draw::draw(View::now(reading.circuit), {});
    REQUIRE_MESSAGE(drawing, drawing.error());
    const std::string& svg = drawing->svg;
    double lowest = 0;
    const std::regex core("class=\"core\" d=\"([^\"]*)\""), height("[0-9.]+ ([0-9.]+)");
    for (auto w = std::sregex_iterator(svg.begin(), svg.end(), core); w != std::sregex_iterator(); ++w) {
        const std::string path = (*w)[1];
        for (auto y = std::sregex_iterator(path.begin(), path.end(), height); y != std::sregex_iterator(); ++y)
            lowest = std::max(lowest, std::stod((*y)[1]));
    }
    std::smatch number;
    REQUIRE(std::regex_search(svg, number, std::regex("<text class=\"path\"[^>]* y=\"([0-9.]+)\"")));
    CHECK(lowest > 0);
    CHECK(lowest + 24 < std::stod(number[1])); // the number stands on this; its line is 14 above
}
