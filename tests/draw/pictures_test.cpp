// What an electrician asks of the drawing, each point in a small picture that is stored: a change of any line of it shows in the diff, and
// the words that carry the point are asked for one by one.
#include "circuit/read.hpp"
#include "draw/faces.hpp"
#include "draw/from_circuit.hpp"
#include "draw/measure.hpp"
#include "draw/side_tables.hpp"
#include "support/stored.hpp"

#include <doctest/doctest.h>

#include <map>
#include <string>
#include <vector>

using namespace loomproof;
using namespace loomproof::draw;

namespace {

Reading read(const std::string& text) {
    static Sources sources;
    Reading reading = read_circuit_text(sources, "picture.loom", text);
    REQUIRE(reading.readable);
    for (const Finding& f : reading.findings) CHECK_MESSAGE(f.severity > Severity::fault, f.headline);
    return reading;
}

// Words as they stand beside each other in the picture; a line break or a space that holds words together is a space.
std::string words_of(const std::string& svg) {
    std::string out;
    for (std::size_t at = svg.find("<text"); at != std::string::npos; at = svg.find("<text", at)) {
        at = svg.find('>', at) + 1;
        const std::size_t end = svg.find("</text>", at);
        out += " " + svg.substr(at, end - at);
    }
    for (std::size_t at = out.find("\xC2\xA0"); at != std::string::npos; at = out.find("\xC2\xA0"))
        out.replace(at, 2, " ");
    return out + " ";
}

void check(const std::string& name, const Drawing& drawing, const std::vector<std::string>& said) {
    CAPTURE(name);
    const auto m = draw::test::measure(drawing.svg);
    for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
    CHECK(m.ends_on_terminal == 2 * m.wires);
    CHECK(drawing.labels_without_place == 0);
    const std::string words = words_of(drawing.svg);
    for (const std::string& phrase : said) CHECK_MESSAGE(words.find(" " + phrase + " ") != std::string::npos, phrase);
    support::check_stored("tests/draw/pictures/" + name + ".svg", drawing.svg);
}

const std::string fan = R"(loom 1
vehicle "Trainer"
ground GND1 "radiator support" on body
battery, 60 Ah, in engine-bay
fuse F1 "fan", 20 A, in "box, slot 1"
relay K1 "fan relay", 4-pin, 40 A, diode, band on 86, in "relay box"
switch S5 "coolant", thermal, closes at 92 degC, opens at 87 degC
motor M1 "fan", 9 A
connector X7 "fan plug", 2 holes, wire side, latch up, numbers mine
wire W1 from battery:- to GND1, 16 mm2 BK, 0.4 m
wire W2 from battery:+ to F1, 4 mm2 RD, 0.3 m
wire W4 from F1:2 to K1:30, 4 mm2 RD/GN, 1.2 m
wire W5 from F1:2 to K1:86, 1 mm2 BK, 1.2 m
wire W6 from K1:85 to S5, 1 mm2 BK, 0.5 m
wire W7 from S5 to GND1, 1 mm2 BN, 0.3 m
wire W8 from K1:87 through X7:1 to M1:+, 4 mm2 BK, 0.6 m + 0.2 m
wire W9 from M1:- through X7:2 to GND1, 4 mm2 BK, 0.2 m + 0.5 m
)";

const std::string lamps = R"(loom 1
vehicle "Trainer"
ground GND3 "behind the dash" on body
battery, 60 Ah
fuse F2 "lights", 15 A
fuse F3 "radio", 10 A
switch S1 "light switch" { off* | side connects 30 with 58 | head connects 30 with 58 and 56 }
lamp E1 "headlamp, left", 60/55 W, filaments main and dip
lamp E3 "side lamp", 5 W
diode V1, band on 2, isolates
beyond Z2 "radio", takes 2 A
wire W1 from battery:- to GND3, 16 mm2 BK, 0.4 m
wire W2 from battery:+ to F2, 4 mm2 RD, 0.3 m
wire W3 from F2 to S1:30, 2.5 mm2 RD, 0.6 m
wire W4 from S1:56 to E1:main, 1.5 mm2 WH, 1.4 m
wire W5 from E1:common to GND3, 1.5 mm2 BN, 0.4 m
wire W6 from S1:58 to V1:1, 0.75 mm2 GY/BK, 1 m
wire W7 from V1:2 to E3, 0.75 mm2 GY/RD, 1 m
wire W8 from E3 to ground, 0.75 mm2 BN, 1 m
wire W9 from battery:+ to F3, 4 mm2 RD, 0.3 m
wire W10 from F3 to Z2, 1 mm2 VT/WH, 0.7 m
)";

// Two plugs, one with rows and one without; a base whose footprint is said, one whose is not.
const std::string faces = R"(loom 1
vehicle "Trainer"
ground GND1 "left wing" on body
battery, 60 Ah
fuse F1 "lamps", 15 A
fuse F2 "fan", 20 A
relay K1 "dip", 5-pin, mini, 40 A, diode, band on 86, in "relay box"
relay K2 "fan", 4-pin, 40 A
switch S1 "dip switch", 5 A
lamp E1 "dip, left", 55 W
lamp E2 "side lamp, left", 5 W
motor M1 "fan", 9 A
connector X8 "lamp plug", 5 holes, wire side, latch down, numbers moulded, rows "3 2 1 / - 5 4"
connector X9 "sender plug", 3 holes { 1 blue/white | 2 black | 3 blue/white }
wire W1 from battery:- to GND1, 16 mm2 BK, 0.4 m
wire W2 from battery:+ to F1, 2.5 mm2 RD, 0.3 m
wire W3 from F1:2 to K1:30, 2.5 mm2 RD/GN, 1.2 m
wire W4 from F1:2 to S1:1, 1 mm2 RD/BU, 1.2 m
wire W5 from S1:2 to K1:86, 1 mm2 BU, 0.5 m
wire W6 from K1:85 to GND1, 1 mm2 BN, 0.3 m
wire W7 from K1:87 through X8:1 to E1:1, 1.5 mm2 YE, 1.6 m + 0.2 m
wire W8 from K1:87a through X8:4 to E2:1, 1 mm2 YE, 1.6 m + 0.2 m
wire W9 from E1:2 through X8:3 to GND1, 1.5 mm2 BN, 0.2 m + 0.5 m
wire W10 from E2:2 through X8:5 to GND1, 1 mm2 BN, 0.2 m + 0.5 m
wire W11 from battery:+ to F2, 4 mm2 RD, 0.3 m
wire W12 from F2:2 to K2:30, 4 mm2 RD, 1 m
wire W13 from F2:2 to K2:86, 1 mm2 RD, 1 m
wire W14 from K2:85 to GND1, 1 mm2 BN, 0.5 m
wire W15 from K2:87 to M1:+, 4 mm2 BK, 1 m
wire W16 from M1:- to GND1, 4 mm2 BN, 0.5 m
)";

const std::string jobs = R"(loom 1
vehicle "Trainer"
ground GND1 "left wing" on body
factory {
  battery, 60 Ah
  fuse F1, 10 A
  lamp E1 "lamp", 21 W
  load E9 "lighter", 8 A
  wire W1 from battery:- to GND1, 16 mm2 BK, 0.4 m
  wire W2 from battery:+ to F1, 2.5 mm2 RD, 0.4 m
  wire W3 from F1:2 to E1, 1 mm2 WH, 1.5 m
  wire W4 from E1 to GND1, 1 mm2 BN, 0.4 m
  wire W9 from F1:2 to E9, 1.5 mm2 RD/BU, 0.6 m
  wire W10 from E9 to GND1, 1.5 mm2 BN, 0.4 m
}
job "Lamp through a switch" fitted 2026-05-02 {
  switch S1 "lamp switch" { off* | on connects 1 with 2 }
  cut W3 0.3 m from E1: W3x stays at E1, W3f stays at F1
  wire W20 from W3f to S1:1, 1 mm2 WH/RD, 0.5 m
  wire W21 from S1:2 to W3x, 1 mm2 WH/RD, 0.5 m
}
job "Lighter out" planned {
  remove E9, kept in "tool box"
  cap W9, sealed sleeve
}
)";

} // namespace

TEST_CASE("a relay with its diode, places, a temperature switch, motor, plug table, one stud three times") {
    const Reading reading = read(fan);
    check("fan", *draw::draw(View::now(reading.circuit)),
          {"W8 4 BK",
           "W4 4 RD/GN, 1.2 m",
           "20 A yellow",
           "box, slot 1",
           "relay box",
           "closes at 92 \xC2\xB0"
           "C",
           "opens at 87 \xC2\xB0"
           "C",
           "+",
           "Fan",
           "86",
           "85",
           "30",
           "87",
           "radiator support, body",
           "seen from the wire side, latch up, numbers yours",
           "plug X7 fan plug",
           "latch",
           "colour also in 2",
           "W9 4 BK, GND1; colour also in 1",
           "W9 4 BK, M1:-; colour also in 1",
           "contact, common"});
}

TEST_CASE(
    "a switch with three positions is a table; two filaments; a diode's band; what is not drawn here; relays none") {
    const Reading reading = read(lamps);
    check("lamps", *draw::draw(View::now(reading.circuit)),
          {"off", "side", "head", "main", "dip", "common", "band", "radio not drawn here", "Radio",
           "behind the dash, body", "free"});
}

TEST_CASE("plugs as one sees them, twin colours marked; a relay's base with its blades in place, where its footprint "
          "is said") {
    const Reading reading = read(faces);
    const Circuit& c = reading.circuit;
    check("faces", *draw::draw(View::now(c)),
          {"plug X8 lamp plug", "seen from the wire side, latch down, numbers as moulded", "latch",
           "a: same colour in 1 and 4, tag them", "b: same colour in 3 and 5, tag them", "free", "plug X9 sender plug",
           "rows not recorded: holes by number only", "colour also in 3", "base of K1 dip, relay box",
           "mini base, seen from the wire side", "drawn from memory: the numbers moulded on yours decide",
           "W3 2.5 RD/GN to F1:2", "no picture: its base is not said (type: mini or micro)"});
    // The holes of X8 stand as recorded: 3 left of 2 left of 1, 5 below 2, 4 below 1.
    std::map<std::string, Point> at;
    for (const SideTable& table : side_tables_of(View::now(c))) {
        if (table.face.type != Face::Type::plug || !table.title.starts_with("plug X8")) continue;
        CHECK(table.face.rows == std::vector<std::vector<int>>{{2, 1, 0}, {-1, 4, 3}});
        Picture picture;
        paint_face(Pen(picture, {0, 0}, 0, false), table.face);
        for (const Word& w : picture.words)
            if (w.kind == WordKind::stamp && w.text.size() == 1 && w.text[0] <= '9') at[w.text] = w.at;
    }
    REQUIRE(at.size() == 5);
    CHECK(at["3"].x < at["2"].x);
    CHECK(at["2"].x < at["1"].x);
    CHECK(at["5"].x == at["2"].x);
    CHECK(at["4"].x == at["1"].x);
    CHECK(at["5"].y > at["2"].y);
}

// From memory of ISO 7588-1 (mini) and ISO 7588-3 (micro), not confirmed.
TEST_CASE("the blades of a base, seen from the wire side: 87 opposite 30, 86 left, 85 right, 87a in the middle") {
    for (const auto& [base, type] :
         {std::pair{"mini", Face::Type::mini_base}, std::pair{"micro", Face::Type::micro_base}}) {
        CAPTURE(base);
        const Reading reading = read(std::string("loom 1\nbattery, 60 Ah\nrelay K1, 5-pin, 20 A, ") + base +
                                     "\nwire W1 from battery:+ to K1:30, 1.5 mm2 RD\n");
        const std::vector<SideTable> tables = side_tables_of(View::now(reading.circuit));
        REQUIRE(tables.size() == 1);
        CHECK(tables.front().face.type == type);
        CHECK(tables.front().notes ==
              std::vector<std::string>{std::string(base) + " base, seen from the wire side",
                                       "drawn from memory: the numbers moulded on yours decide"});
        Picture picture;
        paint_face(Pen(picture, {0, 0}, 0, false), tables.front().face);
        std::map<std::string, Point> at;
        for (const Word& w : picture.words)
            if (w.kind == WordKind::stamp) at[w.text] = w.at;
        REQUIRE(at.size() == 5);
        CHECK(at["87"].y < at["87a"].y);
        CHECK(at["87a"].y < at["30"].y);
        CHECK(at["86"].x < at["87a"].x);
        CHECK(at["87a"].x < at["85"].x);
    }
}

TEST_CASE("rows that name a hole twice, or one that the plug has not, are said and not drawn") {
    for (const char* rows : {"1 2 2", "1 2", "1 2 4", "1 two 3"}) {
        CAPTURE(rows);
        Sources sources;
        const Reading reading = read_circuit_text(sources, "rows.loom",
                                                  std::string("loom 1\nconnector X1, 3 holes, rows \"") + rows +
                                                      "\" { 1 blue | 2 red | 3 black }\n");
        CHECK(reading.findings.size() == 1);
        const std::vector<SideTable> tables = side_tables_of(View::now(reading.circuit));
        REQUIRE(tables.size() == 1);
        CHECK(tables.front().face.type == Face::Type::none);
        CHECK(tables.front().notes == std::vector<std::string>{"rows not recorded: holes by number only"});
        CHECK(tables.front().rows ==
              std::vector<std::vector<std::string>>{{"1", "BU"}, {"2", "RD"}, {"3", "BK"}}); // seen, not traced
    }
    Sources sources;
    const Reading good = read_circuit_text(
        sources, "rows.loom", "loom 1\nconnector X1, 3 holes, rows \"1 2 / 3\" { 1 blue | 2 red | 3 black }\n");
    CHECK(good.findings.empty());
}

TEST_CASE("what the jobs changed, for a printer without colour: flags, a doubled edge, the double bar of a cut, a cap, "
          "a ghost") {
    const Reading reading = read(jobs);
    const Sketch sketch = sketch_of(View::now(reading.circuit), {.title = {}, .changes = true});
    const Result<Drawing> drawing = draw::draw(sketch, {.black_and_white = true});
    REQUIRE(drawing);
    check("changes-black-and-white", *drawing,
          {"A", "B", "cut, joined", "capped", "E9 B 8 A lighter to be taken out kept in tool box", "left open",
           "Lighter out, planned, not fitted", "part to be taken out, still there",
           "B to be removed: E9 lighter (kept in tool box)"});
    CHECK(drawing->svg.find("class=\"symbol load removed\"") != std::string::npos);
    // Told by line and mark: what has a hue is a wire's core or stripe, and the sheet's style turns those white and near black.
    CHECK(drawing->svg.find(".core{stroke:#fff!important}.stripe{stroke:#222!important}") != std::string::npos);
    for (std::size_t at = drawing->svg.find("style=\"stroke:"); at != std::string::npos;
         at = drawing->svg.find("style=\"stroke:", at + 1)) {
        const std::string element = drawing->svg.substr(drawing->svg.rfind('<', at), 24);
        CHECK_MESSAGE((element.starts_with("<path class=\"core\"") || element.starts_with("<path class=\"stripe\"")),
                      element);
    }
}

TEST_CASE("relays apart on two sheets: where the other half is, where a wire goes on and comes from") {
    const Reading reading = read(fan);
    const auto sheets =
        draw_sheets(View::now(reading.circuit), {152, 218, 5}, {.relays = Relays::apart, .tables = false});
    REQUIRE(sheets);
    REQUIRE(sheets->size() == 2);
    check("two-sheets-1", (*sheets)[0].drawing, {"goes on: sheet 2"});
    check("two-sheets-2", (*sheets)[1].drawing, {"comes from: sheet 1"});
}
