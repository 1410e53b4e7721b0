#include "draw/draw.hpp"

#include "draw/bench.hpp"
#include "draw/measure.hpp"
#include "draw/symbols.hpp"
#include "support/sanitized.hpp"

#include <doctest/doctest.h>

#include <cstdlib>
#include <ctime>
#include <fstream>
#include <set>

using namespace loomproof;
using namespace loomproof::draw;
using draw::test::made_up;
using draw::test::Measure;
using draw::test::touring_car;

namespace {

// Set LOOMPROOF_PICTURES to a folder to look at what the tests draw.
void keep(const std::string& name, const std::string& svg) {
    const char* folder = std::getenv("LOOMPROOF_PICTURES");
    if (folder != nullptr) std::ofstream(std::string(folder) + "/" + name + ".svg") << svg;
}

Drawing drawn(const std::string& name, const Sketch& sketch, const Options& options = {}) {
    const Result<Drawing> drawing = draw::draw(sketch, options);
    REQUIRE_MESSAGE(drawing, drawing.error());
    keep(name, drawing->svg);
    return *drawing;
}

// What must hold of every drawing.
Measure check_all(const std::string& name, const Sketch& sketch, const Drawing& drawing) {
    const Measure m = draw::test::measure(drawing.svg);
    CAPTURE(name);
    CHECK(m.wires == static_cast<int>(sketch.wires.size()));
    CHECK(m.ends_on_terminal == 2 * m.wires);
    for (const std::string& line : m.wrong_ends) CHECK_MESSAGE(false, line);
    for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
    CHECK(m.crossings == drawing.crossings);
    CHECK(m.crossings_without_gap == 0);
    CHECK(m.bends == drawing.bends);
    CHECK(m.outside == 0);
    CHECK(drawing.labels_without_place == 0);
    return m;
}

} // namespace

TEST_CASE("61 wires on one sheet: few crossings, few bends, nothing on anything else") {
    const Sketch sketch = touring_car();
    REQUIRE(sketch.wires.size() == 61);
    const std::clock_t begin = std::clock();
    const Drawing drawing = drawn("car", sketch);
    const double seconds = static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
    const Measure m = check_all("car", sketch, drawing);
    MESSAGE("61 wires: " << m.crossings << " crossings, " << m.bends << " bends, " << drawing.width_mm << " x "
                         << drawing.height_mm << " mm, " << seconds << " s of one core");
    CHECK(m.crossings <= 4);
    CHECK(m.bends <= 24);
}

TEST_CASE("every start of the ordering ends well") {
    const Sketch sketch = touring_car();
    for (std::uint64_t seed = 1; seed <= support::tries(8); ++seed) {
        const Drawing drawing = drawn("car", sketch, {.seed = seed});
        CAPTURE(seed);
        MESSAGE("seed " << seed << ": " << drawing.crossings << " crossings, " << drawing.bends << " bends");
        CHECK(drawing.crossings <= 4);
        CHECK(drawing.bends <= 24);
    }
}

TEST_CASE("500 wires on one page") {
    const Sketch sketch = made_up(72, 1);
    REQUIRE(sketch.wires.size() > 500);
    const std::clock_t begin = std::clock();
    const Drawing drawing = drawn("big", sketch);
    const double seconds = static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
    const Measure m = check_all("big", sketch, drawing);
    MESSAGE(m.wires << " wires: " << m.crossings << " crossings, " << m.bends << " bends, " << drawing.width_mm << " x "
                    << drawing.height_mm << " mm, " << seconds << " s of one core");
    CHECK(m.crossings <= 36);
}

TEST_CASE("made-up vehicles of every size") {
    for (std::uint64_t seed = 1; seed <= support::tries(40); ++seed) {
        const Sketch sketch = made_up(1 + static_cast<int>(seed % 13), seed);
        check_all("made up " + std::to_string(seed), sketch, drawn("made-up-" + std::to_string(seed), sketch));
    }
}

TEST_CASE("the same sketch gives the same bytes") {
    const Sketch sketch = made_up(9, 3);
    CHECK(drawn("same", sketch).svg == drawn("same", sketch).svg);
}

TEST_CASE("every symbol, in colour and in black and white") {
    const Sketch sketch = draw::test::every_symbol();
    std::set<SymbolKind> kinds;
    for (const Symbol& s : sketch.symbols) kinds.insert(s.kind);
    CHECK(static_cast<int>(kinds.size()) == symbol_kinds); // none is forgotten
    for (int kind = 0; kind < symbol_kinds; ++kind) {
        const SymbolRow& row = row_of(static_cast<SymbolKind>(kind));
        CAPTURE(kind);
        CHECK((row.shape != nullptr));
        CHECK_FALSE(row.word.empty());
    }
    check_all("symbols", sketch, drawn("symbols", sketch));
    check_all("symbols in black and white", sketch, drawn("symbols-bw", sketch, {.black_and_white = true}));
}
