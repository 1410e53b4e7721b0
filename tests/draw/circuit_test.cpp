// From circuit files to pictures.
#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "circuit/read.hpp"
#include "draw/from_circuit.hpp"
#include "draw/measure.hpp"
#include "draw/part_symbols.hpp"
#include "draw/symbols.hpp"
#include "support/circuit_file.hpp"
#include "support/places.hpp"
#include "support/sanitized.hpp"
#include "support/scenario/scenario.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <variant>

using namespace loomproof;
using draw::test::Measure;

namespace {

void keep(const std::string& name, const std::string& svg) {
    const char* folder = std::getenv("LOOMPROOF_PICTURES");
    if (folder != nullptr) std::ofstream(std::string(folder) + "/" + name + ".svg") << svg;
}

Measure check_drawn(const std::string& name, const Circuit& circuit) {
    CAPTURE(name);
    const View view = View::now(circuit);
    const draw::Sketch sketch = draw::sketch_of(view);
    const Result<draw::Drawing> drawing = draw::draw(sketch);
    REQUIRE_MESSAGE(drawing, drawing.error());
    keep(name, drawing->svg);
    const Measure m = draw::test::measure(drawing->svg);
    std::size_t wires = 0;
    for (const draw::Wire& w : sketch.wires) wires += w.mounting ? 0 : 1;
    CHECK(wires == view.wires().size());
    CHECK(m.wires == static_cast<int>(sketch.wires.size()));
    CHECK(m.ends_on_terminal == 2 * m.wires);
    for (const std::string& line : m.wrong_ends) CHECK_MESSAGE(false, line);
    for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
    CHECK(m.crossings == drawing->crossings);
    CHECK(m.crossings_without_gap == 0);
    CHECK(m.outside == 0);
    CHECK(drawing->labels_without_place == 0);
    return m;
}

} // namespace

TEST_CASE("every tracked circuit file can be drawn") {
    int files = 0;
    for (const char* folder : {"netlists", "tests/cases"}) {
        std::vector<std::filesystem::path> paths;
        for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path(folder)))
            if (entry.path().extension() == ".loom") paths.push_back(entry.path());
        std::sort(paths.begin(), paths.end());
        for (const auto& path : paths) {
            const Reading reading = support::read_circuit_file(path);
            if (!reading.readable || reading.circuit.wires.empty()) continue;
            ++files;
            check_drawn(path.parent_path().filename().string() + "-" + path.stem().string(), reading.circuit);
        }
    }
    MESSAGE(files << " files drawn");
    CHECK(files > 0);
}

// From circuits that strangers described. Common practice, no source: a wire that leaves a part where it could come straight down does not go up first.
TEST_CASE("no wire goes out and back where a bar, or a part's own way to ground, can take it on the other side") {
    const auto drawn = [](const char* file) {
        const Reading reading =
            support::read_circuit_file(support::source_path(std::string("tests/cases/real/") + file));
        REQUIRE(reading.readable);
        return check_drawn(file, reading.circuit);
    };
    CHECK(drawn("C76/found.loom").crossings == 0);         // the radio's minus stood beside its plus
    CHECK(drawn("C84/one-relay-failed.loom").bends <= 12); // 16: from a splice up and over to a relay's 87a
    CHECK(drawn("C70/leds.loom").bends <= 6);              // 10: the tell-tale between two splices
}

TEST_CASE("the vehicles we show fit on sheets of A4") {
    for (const char* file :
         {"netlists/demo-vehicle.loom", "netlists/demo-vehicle-corrected.loom", "netlists/demo-vehicle-factory.loom"}) {
        CAPTURE(file);
        const Reading reading = support::read_circuit_file(support::source_path(file));
        const View view = View::now(reading.circuit);
        const auto sheets = draw::draw_sheets(view, paper::a4);
        REQUIRE_MESSAGE(sheets, sheets.error());
        int wires = 0, breaks = 0, number = 0;
        for (const draw::SheetDrawing& sheet : *sheets) {
            keep(std::filesystem::path(file).stem().string() + "-a4-" + std::to_string(++number), sheet.drawing.svg);
            const Measure m = draw::test::measure(sheet.drawing.svg);
            for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
            CHECK(m.ends_on_terminal == 2 * m.wires);
            // The supply of a whole car is wider than A4: measured, capitals of 1.8 mm there.
            CHECK(sheet.scale > 0.7);
            wires += m.wires;
            breaks += sheet.breaks;
        }
        MESSAGE(std::string(file) << ": " << number << " sheets, " << breaks / 2 << " cut wires");
        CHECK(wires == static_cast<int>(draw::sketch_of(view).wires.size()) + breaks / 2);
    }
}

// A part of the 200, each with relays together and apart, that `bench_drawing overlaps` draws.
TEST_CASE("random circuits can be drawn") {
    for (std::uint64_t seed = 1; seed <= support::tries(40); ++seed) {
        const auto profile = seed % 3 == 0   ? scenario::Profile::history
                             : seed % 3 == 1 ? scenario::Profile::clean
                                             : scenario::Profile::tangled;
        const scenario::Scenario s = scenario::make(seed, 5 + static_cast<int>(seed * 2), profile);
        Sources sources;
        const scenario::Written written = scenario::write(s);
        const Reading reading = read_circuit_text(sources, "random.loom", written.main());
        check_drawn(std::string("random-") + scenario::word(profile) + "-" + std::to_string(seed), reading.circuit);
    }
}

// Found among thousands: a label between its own wire and a white one, whose heavier edge nobody had counted; a wire's flag on the flag of a fuse.
TEST_CASE("random circuits on which words once stood wrong") {
    struct Found {
        std::uint64_t seed;
        int wires;
    };
    for (const Found& found : {Found{24, 500}, {5022, 60}}) {
        Sources sources;
        const scenario::Written written =
            scenario::write(scenario::make(found.seed, found.wires, scenario::Profile::history));
        const Reading reading = read_circuit_text(sources, "random.loom", written.main());
        check_drawn("once-wrong-" + std::to_string(found.seed), reading.circuit);
    }
}

namespace {

// One of each thing that a job can do to wires and parts.
constexpr const char* changed = R"(loom 1
ground GND1 "left wing" on body
ground GND2 "right wing" on body
factory confirmed by "manual" {
  battery, 60 Ah
  fuse F1, 10 A
  fuse F2, 10 A
  fuse F3, 10 A
  switch S1 "lamp switch"
  lamp E1 "work lamp", 55 W
  horn H1, 5 A
  load E9 "lighter", 8 A
  wire W1 from battery:+ to F1, 2.5 mm2 RD, 0.1 m
  wire W2 from F1 to S1, 1.5 mm2 RD/GN, 2 m
  wire W3 from S1 to E1, 1.5 mm2 RD/GN, 2 m
  wire W4 from E1 to GND1, 1.5 mm2 BN, 1 m
  wire W5 from battery:+ to F2, 2.5 mm2 RD, 0.1 m
  wire W6 from F2 to H1, 1.5 mm2 BK/RD, 1 m
  wire W7 from H1 to GND1, 1.5 mm2 BN, 1 m
  wire W8 from battery:+ to F3, 2.5 mm2 RD, 0.1 m
  wire W9 from F3 to E9, 1.5 mm2 BU, 1 m
  wire W10 from E9 to GND1, 1.5 mm2 BN, 1 m
}
job "Lamp on a relay" fitted 2026-05-02 {
  relay K1, 4-pin, 40 A
  cut W3 0.5 m from E1: W3x stays at E1, W3s stays at S1
  wire W20 from W3s to K1:86, 1 mm2 BU, 0.3 m
  wire W21 from K1:87 to W3x, 2.5 mm2 RD, 0.3 m
  wire W22 from battery:+ to K1:30, 2.5 mm2 RD, 1 m
  wire W23 from K1:85 to GND2, 1 mm2 BN, 0.3 m
  fuse F1, 15 A
}
job "Lighter out" planned {
  remove E9, kept in "tool box"
  cap W9, sealed sleeve
  remove W10
  remove W7
  wire W30 from H1 to GND2, 1.5 mm2 BN, 1 m
  move W4 off GND1 onto GND2
}
)";

} // namespace

TEST_CASE("a sleeve that the verdict hangs on stands with its wire's size and colour") {
    Sources sources;
    const Reading reading = read_circuit_text(
        sources, "sleeve.loom",
        "loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nheater E1, 100 W\n"
        "wire W1 from battery:+ to F1, 2.5 mm2 RD, 0.8 m, sleeved\nwire W2 from F1 to E1, 2.5 mm2 RD, 1 m\n"
        "wire W3 from E1 to ground, 2.5 mm2 BK, 0.3 m\n");
    REQUIRE(reading.findings.empty());
    const draw::Sketch sketch = draw::sketch_of(View::now(reading.circuit));
    std::vector<std::string> labels;
    for (const draw::Wire& w : sketch.wires)
        if (!w.mounting) labels.push_back(w.label);
    CHECK(std::ranges::count(labels, "W1 2.5 RD sleeved") == 1);
    CHECK(std::ranges::count(labels, "W2 2.5 RD") == 1);
}

TEST_CASE("between battery and alternator current runs both ways; to a load one way, also through the ground side") {
    Sources sources;
    const Reading reading = read_circuit_text(
        sources, "ways.loom",
        "loom 1\nbattery, 60 Ah\nalternator G2, 65 A\nfuse F1, 10 A\nlamp E1, 21 W\nswitch S1, push\n"
        "wire W1 from G2:B+ to battery:+, 10 mm2 RD\nwire W2 from F1:1 to battery:+, 1.5 mm2 RD\n"
        "wire W3 from F1:2 to E1, 1 mm2 RD\nwire W4 from S1 to E1, 1 mm2 BN\nwire W5 from S1 to ground, 1 mm2 BN\n");
    const draw::Sketch sketch = draw::sketch_of(View::now(reading.circuit));
    for (const draw::Wire& w : sketch.wires)
        if (!w.mounting) CHECK_MESSAGE(w.either_way == (w.key == "W1"), w.key);
}

TEST_CASE("a link says the current its maker states, or else its size") {
    Sources sources;
    const Reading reading =
        read_circuit_text(sources, "links.loom",
                          "loom 1\nbattery\nlink F1, 16 sae, 0.2 m\nlink F2, 2.5 mm2, 80 A\n"
                          "link F4\nwire W1 from battery:+ to F1:1, 6 mm2 RD\n"
                          "wire W2 from battery:+ to F2:1, 6 mm2 RD\nwire W4 from battery:+ to F4:1, 6 mm2 RD\n");
    const draw::Sketch sketch = draw::sketch_of(View::now(reading.circuit));
    std::vector<std::string> said;
    for (const char* name : {"F1", "F2", "F4"})
        for (const draw::Symbol& s : sketch.symbols)
            if (s.name == name) said.push_back(s.rating);
    CHECK(list_of(said) == "16 SAE, 80 A and ");
}

TEST_CASE("a motor with more ends than a circle has room for has a frame") {
    Sources sources;
    const Reading reading = read_circuit_text(
        sources, "test.loom",
        "loom 1\nbattery, 60 Ah\nfuse F1, 15 A\nmotor M3, slow 3 A, medium 5 A, fast 8 A\n"
        "switch S1, 15 A {\n off*\n low connects 1 with 2\n mid connects 1 with 3\n high connects 1 with 4\n}\n"
        "wire from battery:+ to F1, 2.5 mm2 red, 0.1 m\nwire from F1 to S1:1, 2.5 mm2 red, 1 m\n"
        "wire from S1:2 to M3:slow, 2.5 mm2 red, 1 m\nwire from S1:3 to M3:medium, 2.5 mm2 blue, 1 m\n"
        "wire from S1:4 to M3:fast, 2.5 mm2 green, 1 m\nwire from M3:31 to ground, 2.5 mm2 black, 0.3 m\n");
    REQUIRE(reading.findings.empty());
    const Measure m = check_drawn("three-speeds", reading.circuit);
    CHECK(m.width < 2000);
}

TEST_CASE("a wiper motor's own contact is drawn in its frame: on its ground at rest, on the plus while it moves") {
    // Which terminals it joins when: DIN 72552 (53a its plus, 31b ground through a contact, 53 the motor); change-over contact: IEC 60617,
    // from memory.
    Sources sources;
    const std::string before = "loom 1\nbattery, 60 Ah\nfuse F1, 15 A\n",
                      behind =
                          "wire from battery:+ to F1, 2.5 mm2 red, 0.1 m\nwire from F1:2 to S1:1, 2.5 mm2 red, 1 m\n"
                          "wire from F1:2 to M3:53a, 2.5 mm2 black, 1 m\nwire from S1:2 to M3:53, 2.5 mm2 green, 1 m\n"
                          "wire from S1:3 to M3:31b, 2.5 mm2 blue, 1 m\n"
                          "wire from M3:31 to ground, 2.5 mm2 brown, 0.3 m\n";
    for (const bool fast : {false, true}) {
        const std::string text =
            before + (fast ? "motor M3, slow 3 A, fast 5 A, parks by itself\n" : "motor M3, 4 A, parks by itself\n") +
            "switch S1, 15 A {\n off* connects 3 with 2\n on connects 1 with 2" +
            (fast ? "\n fast connects 1 with 4\n}\n" : "\n}\n") + behind +
            (fast ? "wire from S1:4 to M3:53b, 2.5 mm2 yellow, 1 m\n" : "");
        const Reading reading = read_circuit_text(sources, "wiper.loom", text);
        REQUIRE(reading.findings.empty());
        check_drawn(fast ? "wiper-two-speeds" : "wiper", reading.circuit);
        const draw::Sketch sketch = draw::sketch_of(View::now(reading.circuit));
        const auto motor = std::find_if(sketch.symbols.begin(), sketch.symbols.end(),
                                        [](const draw::Symbol& s) { return s.name == "M3"; });
        REQUIRE(motor != sketch.symbols.end());
        CHECK(motor->kind == draw::SymbolKind::motor);
        REQUIRE(motor->contacts.size() == 1);
        const draw::Contact& contact = motor->contacts.front();
        const auto stamp = [&](int t) { return motor->terminals.at(static_cast<std::size_t>(t)).stamp; };
        CHECK(stamp(contact.common) == "31b");
        CHECK(stamp(contact.make) == "53a");
        CHECK(stamp(contact.rest) == "31");

        // In ink, whichever side the contact's wire comes from: what is joined to the stub of 31b is the arm, and its tip lies at the line to 31
        // and not at that to 53a.
        for (const draw::Edge edge : {draw::Edge::top, draw::Edge::bottom}) {
            draw::Wishes wishes(motor->terminals.size());
            wishes[static_cast<std::size_t>(contact.common)] = edge;
            const draw::SymbolRow& row = draw::row_of(motor->kind);
            const draw::Shape shape = row.shape(*motor, wishes);
            draw::Picture picture;
            row.paint(draw::Pen(picture, {0, 0}, shape.cells * draw::column, false), *motor, shape);
            const auto x_of = [&](int t) { return draw::centre_of(shape.seats.at(static_cast<std::size_t>(t)).cell); };
            std::optional<draw::Point> pivot, tip;
            for (const auto& ink : picture.ink)
                if (const draw::Trace* trace = std::get_if<draw::Trace>(&ink);
                    trace != nullptr && trace->steps.size() == 2) {
                    const draw::Point a = trace->steps[0].to, b = trace->steps[1].to;
                    if (a.x == x_of(contact.common) && a.x != b.x && a.y != b.y) pivot = a, tip = b;
                }
            REQUIRE(tip);
            bool on_rest = false, on_make = false;
            for (const auto& ink : picture.ink) {
                const draw::Trace* trace = std::get_if<draw::Trace>(&ink);
                if (trace == nullptr || trace->steps.size() < 2) continue;
                bool near = false;
                for (std::size_t i = 0; i + 1 < trace->steps.size(); ++i) {
                    const draw::Point a = trace->steps[i].to, b = trace->steps[i + 1].to;
                    near = near || (a.y == b.y && std::abs(a.y - tip->y) <= 4 && std::min(a.x, b.x) <= tip->x + 1 &&
                                    tip->x - 1 <= std::max(a.x, b.x));
                }
                const double from = trace->steps.front().to.x;
                on_rest = on_rest || (near && from == x_of(contact.rest));
                on_make = on_make || (near && from == x_of(contact.make));
            }
            CHECK(on_rest);
            CHECK_FALSE(on_make);
            CHECK((pivot->y < tip->y) == (edge == draw::Edge::top));
        }
    }
}

TEST_CASE("a main fuse with other fuses behind it has no heading of its own") {
    Sources sources;
    const std::string text = "loom 1\nbattery, 60 Ah\nfuse F1 \"main\", 40 A\nfuse F2, 15 A\nhorn H1 \"horn\", 5 A\n"
                             "wire from battery:+ to F1:1, 6 mm2 red, 0.1 m\nwire from F1:2 to F2:1, 6 mm2 red, 1 m\n"
                             "wire from F2:2 to H1:1, 1.5 mm2 red, 1 m\nwire from H1:2 to ground, 1.5 mm2 black, 1 m\n";
    const draw::Sketch sketch = draw::sketch_of(View::now(read_circuit_text(sources, "main.loom", text).circuit));
    REQUIRE(sketch.headings.size() == 1);
    CHECK(sketch.headings.front().text == "Horn");
}

TEST_CASE("what the jobs changed is marked, and the marks are explained") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "changed.loom", changed);
    for (const Finding& f : reading.findings) CHECK(f.severity > Severity::fault);
    const View view = View::now(reading.circuit);
    const draw::Sketch sketch = draw::sketch_of(view, {.title = {}, .changes = true});
    const auto wire = [&](const std::string& key) {
        const auto at =
            std::find_if(sketch.wires.begin(), sketch.wires.end(), [&](const draw::Wire& w) { return w.key == key; });
        REQUIRE_MESSAGE(at != sketch.wires.end(), key);
        return *at;
    };
    const auto symbol = [&](const std::string& key) {
        const auto at = std::find_if(sketch.symbols.begin(), sketch.symbols.end(),
                                     [&](const draw::Symbol& s) { return s.key == key; });
        REQUIRE_MESSAGE(at != sketch.symbols.end(), key);
        return *at;
    };
    // Added: a doubled edge and the job's letter. The maker's wires have neither, nor have the pieces of a cut one.
    for (const char* key : {"W20", "W21", "W22", "W23"}) CHECK((wire(key).added && wire(key).job == 'A'));
    CHECK((wire("W30").added && wire("W30").job == 'B'));
    for (const char* key : {"W1", "W2", "W3x", "W3s", "W9"}) CHECK((!wire(key).added && wire(key).job == 0));
    // Moved: not new, but somebody's work.
    CHECK((!wire("W4").added && wire("W4").job == 'B'));
    // Cut and joined again; capped; taken off H1, where the new one is too.
    CHECK(std::count_if(sketch.symbols.begin(), sketch.symbols.end(),
                        [](const draw::Symbol& s) { return s.joint == draw::JointStyle::cut; }) == 2);
    CHECK(std::count_if(sketch.symbols.begin(), sketch.symbols.end(),
                        [](const draw::Symbol& s) { return s.joint == draw::JointStyle::capped; }) == 1);
    // The part taken out stands where it was, as a ghost with its job's letter, behind the capped end; the wire does not reach it.
    CHECK((symbol("E9/removed").removed && symbol("E9/removed").job == 'B'));
    CHECK(symbol("E9/removed").lines == std::vector<std::string>{"lighter", "to be taken out", "kept in tool box"});
    const auto ends_at = [&](const draw::Wire& w) {
        return std::pair{sketch.symbols[static_cast<std::size_t>(w.a.symbol)].key,
                         sketch.symbols[static_cast<std::size_t>(w.b.symbol)].key};
    };
    CHECK(ends_at(wire("W9")).first != "E9/removed");
    CHECK(ends_at(wire("W9")).second != "E9/removed");
    CHECK(std::count_if(sketch.wires.begin(), sketch.wires.end(), [&](const draw::Wire& w) {
              return ends_at(w).first == "E9/removed" || ends_at(w).second == "E9/removed";
          }) == 2);
    // The wire that was taken out with it led from it to the ground, and still does, as a ghost.
    CHECK((wire("W10/removed").removed && wire("W10/removed").job == 'B' && wire("W10/removed").planned));
    CHECK(ends_at(wire("W10/removed")).first == "E9/removed");
    CHECK(ends_at(wire("W10/removed")).second.starts_with("GND"));
    CHECK(wire("W7/taken-off").removed);
    CHECK(symbol("W7/taken-off").kind == draw::SymbolKind::gone);
    CHECK(symbol("W7/taken-off").job == 'B');
    CHECK(symbol("W7/taken-off").lines.front() == "to be taken out; leads to GND1");
    CHECK(symbol("F1").lines.back() == "was 10 A red");
    CHECK(symbol("F1").job == 'A');
    CHECK(sketch.removed == std::vector<std::string>{"B to be removed: E9 lighter (kept in tool box), W7 and W10",
                                                     "B to be moved: W4 off GND1"});

    for (const bool black_and_white : {false, true}) {
        const Result<draw::Drawing> drawing = draw::draw(sketch, {.black_and_white = black_and_white});
        REQUIRE(drawing);
        keep(black_and_white ? "changed-bw" : "changed", drawing->svg);
        const Measure m = draw::test::measure(drawing->svg);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
        CHECK(m.ends_on_terminal == 2 * m.wires);
        CHECK(drawing->labels_without_place == 0);
        for (const char* said :
             {">What the jobs changed<", ">job A, Lamp on a relay, fitted 2026-05-02<",
              ">job B, Lighter out, planned, not fitted<", ">wire that a job added<", ">the maker's wire was cut here<",
              ">wire end capped off<", ">is here, to be taken off<", ">part to be taken out, still there<",
              ">wire to be taken out, still there<"})
            CHECK_MESSAGE(drawing->svg.find(said) != std::string::npos, said);
        // Planned is not done.
        CHECK(drawing->svg.find("no longer there") == std::string::npos);
    }
    // Without being asked for, nothing of this is there.
    CHECK(draw::draw(view)->svg.find("taken-off") == std::string::npos);
    const draw::Sketch factory = draw::sketch_of(View::factory(reading.circuit));
    CHECK(std::count_if(factory.wires.begin(), factory.wires.end(), [](const draw::Wire& w) { return !w.mounting; }) ==
          10);
}

TEST_CASE("a wire that hung loose when it was taken out has a ghost where it was") {
    const Reading reading = support::read_circuit_file(support::source_path("netlists/demo-vehicle-corrected.loom"));
    const draw::Sketch sketch = draw::sketch_of(View::now(reading.circuit), {.title = {}, .changes = true});
    CHECK(std::count_if(sketch.wires.begin(), sketch.wires.end(), [&](const draw::Wire& w) {
              return w.removed && w.label == "W61 1 BN" &&
                     sketch.symbols[static_cast<std::size_t>(w.a.symbol)].key == "E10/removed";
          }) == 1);
}

TEST_CASE("each sheet says of the jobs on it whether they are fitted") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "changed.loom", changed);
    const View view = View::now(reading.circuit);
    const Result<draw::Drawing> page = draw::draw(view);
    REQUIRE(page);
    CHECK(page->svg.find(">job A, Lamp on a relay, fitted 2026-05-02<") != std::string::npos);
    CHECK(page->svg.find(">job B, Lighter out, planned, not fitted<") != std::string::npos);
    const auto sheets = draw::draw_sheets(view, {105, 148, 5});
    REQUIRE(sheets);
    CHECK(sheets->size() > 1);
    int with_letters = 0;
    for (const draw::SheetDrawing& sheet : *sheets) {
        const std::string& svg = sheet.drawing.svg;
        for (const auto& [letter, words] : {std::pair{">A<", ">job A, Lamp on a relay, fitted 2026-05-02<"},
                                            {">B<", ">job B, Lighter out, planned, not fitted<"}}) {
            const bool has = svg.find(std::string("class=\"flag-letter\"")) != std::string::npos &&
                             svg.find(letter) != std::string::npos;
            if (has) ++with_letters;
            CHECK(has == (svg.find(words) != std::string::npos));
        }
    }
    CHECK(with_letters > 0);
}

TEST_CASE("what is no plain fact is marked, and the marks are explained") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "doubts.loom", R"(loom 1
battery, 60 Ah
fuse F1 "lamps", guessed 15 A
fuse F2 "horn", unknown A
lamp E1, about 21 W
lamp E2, 21 W
horn H1, measured 4 A
wire W1 from battery:+ to F1, guessed 2.5 mm2 RD, about 2 m
wire W2 from F1 to E1, 1.5 mm2 WH, guessed 3 m
wire W3 from E1 to ground, 1.5 mm2 BN, unknown m
wire W4 from battery:+ to F2, 1.5 mm2 RD, 1 m
wire W5 from F2 to H1, 1.5 mm2 VT, 1 m
wire W6 from H1 to ground, 1.5 mm2 BN, 1 m
)");
    const Result<draw::Drawing> drawing = draw::draw(View::now(reading.circuit));
    REQUIRE(drawing);
    for (const char* said :
         {">15 A?<", ">? A<", ">~21 W<", ">4 A<", "W1 2.5? RD", "W2 1.5 WH, 3 m?<", "W3 1.5 BN, ? m<", ">a guess<",
          ">about, or a usual figure that nobody measured<", ">not known yet: measure it or read it off the part<"})
        CHECK_MESSAGE(drawing->svg.find(said) != std::string::npos, said);
    CHECK(drawing->svg.find(">15 A<") == std::string::npos);
    CHECK(drawing->svg.find("15 A blue") == std::string::npos);
    // Where all is known, nothing is explained.
    const Reading plain = read_circuit_text(sources, "plain.loom",
                                            "loom 1\nbattery, 60 Ah\nlamp E1, 21 W\nwire W1 from "
                                            "battery:+ to E1, 1 mm2 RD, 1 m\n");
    CHECK(draw::draw(View::now(plain.circuit))->svg.find("Marks on this sheet") == std::string::npos);
}

TEST_CASE("a length that stands apart from its label says whose it is") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "plugs.loom", R"(loom 1
battery, 60 Ah
fuse F1, 10 A
lamp E1, 21 W
connector X1, 3 holes
wire W1 from battery:+ to F1, 2.5 mm2 RD, 0.3 m
wire W2 from F1 through X1:1 to E1, 1 mm2 WH, 1 m + 0.2 m
wire W3 from E1 through X1:3 to ground, 1 mm2 BN, 0.2 m + 0.7 m
)");
    const Result<draw::Drawing> drawing = draw::draw(View::now(reading.circuit));
    REQUIRE(drawing);
    // A bare length is the second line of a label.
    int lengths = 0;
    const std::string group = "class=\"of-wire\"";
    for (std::size_t at = drawing->svg.find(group); at != std::string::npos; at = drawing->svg.find(group, at + 1)) {
        const std::string words = drawing->svg.substr(at, drawing->svg.find("</g>", at) - at);
        for (const char* end : {" m<", " m from X1:", " m to X1:"})
            if (words.find(end) != std::string::npos) ++lengths;
        CHECK_MESSAGE(words.find(">W") != std::string::npos, words);
    }
    CHECK(lengths == 5);
    CHECK(drawing->svg.find(">hole 2 free<") != std::string::npos);
}

TEST_CASE("random jobs on random circuits can be shown as changes") {
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        CAPTURE(seed);
        const scenario::Scenario s = scenario::make(seed, 5 + static_cast<int>(seed * 3), scenario::Profile::history);
        Sources sources;
        const Reading reading = read_circuit_text(sources, "random.loom", scenario::write(s).main());
        const View view = View::now(reading.circuit);
        const draw::Sketch sketch = draw::sketch_of(view, {.title = {}, .changes = true});
        const Result<draw::Drawing> drawing = draw::draw(sketch);
        REQUIRE(drawing);
        keep("changes-" + std::to_string(seed), drawing->svg);
        const Measure m = draw::test::measure(drawing->svg);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
        CHECK(m.ends_on_terminal == 2 * m.wires);
        CHECK(m.outside == 0);
        CHECK(drawing->labels_without_place <= 2);
    }
}

TEST_CASE("each terminal that may be wired has its place on the symbol, in whatever form the part is sold") {
    int forms = 0;
    for (const KindSpec& kind : kind_table()) {
        if (kind.keyword == nullptr) continue;
        std::vector<std::string> said{""};
        for (const AttrSpec& attribute : kind.attributes)
            if (std::string_view(attribute.pattern).find('{') == std::string_view::npos)
                said.push_back(std::string(", ") + attribute.pattern);
        for (const std::string& words : said) {
            const std::string text = std::string(kind.keyword) + (kind.one_of_a_kind ? "" : " X1") + words;
            CAPTURE(text);
            Sources sources;
            const Reading reading = read_circuit_text(sources, "form.loom", "loom 1\n" + text + "\n");
            const Circuit& circuit = reading.circuit;
            const View view = View::now(circuit);
            for (const PartId id : view.parts()) {
                const Part& part = circuit.at(id);
                using enum Kind;
                if (part.kind != kind.kind || part.kind == connector || part.kind == ground || part.terminals.empty())
                    continue;
                const draw::PartSymbol made = draw::symbol_of(view, id, [](TerminalId) { return true; });
                ++forms;
                for (const TerminalId t : part.terminals)
                    if (!circuit.at(t).internal)
                        CHECK_MESSAGE(std::find(made.seats.begin(), made.seats.end(), t) != made.seats.end(),
                                      circuit.at(t).stamp);
            }
        }
    }
    CHECK(forms > 100);
}

TEST_CASE("two separate makes are two contacts, each with its own way in") {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "relay.loom", "loom 1\nrelay K1, two separate makes, 30 A\n");
    const View view = View::now(reading.circuit);
    const draw::Symbol made = draw::symbol_of(view, view.parts().front(), [](TerminalId) { return true; }).symbol;
    std::string contacts;
    for (const draw::Contact& c : made.contacts)
        contacts += made.terminals[static_cast<std::size_t>(c.common)].stamp + "-" +
                    made.terminals[static_cast<std::size_t>(c.make)].stamp + " ";
    CHECK(contacts == "30-87 88-88a "); // input and output of a make contact in DIN 72552 (from memory)
}
