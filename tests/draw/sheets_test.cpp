// Several sheets: every wire is on one of them, or on two with a break on both that leads to the other.
#include "draw/draw.hpp"
#include "draw/split.hpp"

#include "draw/bench.hpp"
#include "draw/measure.hpp"

#include <doctest/doctest.h>

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
        if (folder != nullptr) std::ofstream(std::string(folder) + "/" + name + "-" + std::to_string(seen.sheets) + ".svg") << sheet.drawing.svg;
        const test::Measure m = test::measure(sheet.drawing.svg);
        CAPTURE(seen.sheets);
        CHECK(m.ends_on_terminal == 2 * m.wires);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
        CHECK(m.outside == 0);
        CHECK(m.crossings_without_gap == 0);
        CHECK(sheet.drawing.labels_without_place == 0);
        const double longer = std::max(sheet.drawing.width_mm, sheet.drawing.height_mm), shorter = std::min(sheet.drawing.width_mm, sheet.drawing.height_mm);
        CHECK(longer <= paper.height + 0.1);
        CHECK(shorter <= paper.width + 0.1);
        CHECK(sheet.drawing.svg.find("path\xC2\xA0" "88") == std::string::npos); // filled in
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
                for (const Wire& w : parts[p].sketch.wires) wires.insert(w.key);
                marks += parts[p].marks.size();
                for (const BreakMark& mark : parts[p].marks) {
                    CHECK(mark.other_part != static_cast<int>(p));
                    const auto& back = parts[static_cast<std::size_t>(mark.other_part)].marks;
                    CHECK(std::count_if(back.begin(), back.end(), [&](const BreakMark& other) {
                              return other.symbol == mark.other_symbol && other.other_symbol == mark.symbol && other.other_part == static_cast<int>(p);
                          }) == 1);
                }
            }
            CHECK(symbols.size() == sketch.symbols.size());
            CHECK(std::set<int>(symbols.begin(), symbols.end()).size() == sketch.symbols.size());
            CHECK(wires.size() == sketch.wires.size() + marks / 2);
            for (const Wire& w : sketch.wires) CHECK(wires.count(w.key) >= 1);
        }
    }
}

TEST_CASE("61 wires on sheets of A4") {
    const Seen seen = check_sheets("car-a4", test::touring_car(), paper::a4);
    MESSAGE("61 wires: " << seen.sheets << " sheets, " << seen.breaks / 2 << " cut wires, " << seen.crossings << " crossings, " << seen.shrunk << " made smaller, smallest scale " << seen.smallest);
    CHECK(seen.crossings <= 2);
}

TEST_CASE("510 wires on sheets") {
    const Sketch sketch = test::made_up(72, 1);
    for (const auto& [name, paper] : {std::pair{std::string("big-a4"), paper::a4}, {"big-a3", paper::a3}}) {
        const std::clock_t begin = std::clock();
        const Seen seen = check_sheets(name, sketch, paper);
        MESSAGE(name << ": " << seen.sheets << " sheets, " << seen.breaks / 2 << " cut wires, " << seen.crossings << " crossings, " << seen.bends << " bends, "
                     << seen.shrunk << " made smaller, smallest scale " << seen.smallest << ", " << static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC << " s of one core");
        CHECK(seen.crossings <= 2);
        CHECK(seen.shrunk == 0);
    }
}

TEST_CASE("made-up vehicles on sheets of Letter") {
    for (std::uint64_t seed = 1; seed <= 8; ++seed) check_sheets("letter-" + std::to_string(seed), test::made_up(static_cast<int>(seed * 3), seed), paper::us_letter);
}
