// Sheets of paper that are drawn again: who has them printed finds every part on its sheet and in its place.
#include "circuit/read.hpp"
#include "draw/draw.hpp"
#include "draw/from_circuit.hpp"
#include "draw/kept.hpp"
#include "draw/measure.hpp"
#include "support/places.hpp"
#include "support/sanitized.hpp"
#include "support/scenario/scenario.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <vector>

using namespace loomproof;

namespace {

draw::Sketch sketch_in(const std::string& text) {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "kept.loom", text);
    return draw::sketch_of(View::now(reading.circuit));
}

draw::KeptDrawing remembered(const draw::SheetSet& set) {
    draw::KeptDrawing kept;
    for (const draw::SheetDrawing& sheet : set.sheets) {
        Result<draw::KeptSheet> read = draw::read_kept(sheet.drawing.svg);
        REQUIRE_MESSAGE(read, read.error());
        kept.sheets.push_back(std::move(*read));
    }
    if (set.overview) {
        Result<draw::KeptSheet> read = draw::read_kept(set.overview->drawing.svg);
        REQUIRE_MESSAGE(read, read.error());
        kept.overview = std::move(*read);
    }
    return kept;
}

draw::SheetSet drawn(const draw::Sketch& sketch, const draw::KeptDrawing* kept = nullptr,
                     const paper::Paper& paper = paper::a4) {
    draw::Options options;
    options.kept = kept;
    Result<draw::SheetSet> set = draw::draw_set(sketch, paper, options);
    REQUIRE_MESSAGE(set, set.error());
    return std::move(*set);
}

// All that a set consists of, in one text.
std::string bytes_of(const draw::SheetSet& set) {
    std::string all;
    for (const draw::SheetDrawing& sheet : set.contents) all += sheet.drawing.svg;
    if (set.overview) all += set.overview->drawing.svg;
    for (const draw::SheetDrawing& sheet : set.sheets) all += sheet.drawing.svg;
    return all;
}

bool same(const draw::SheetSet& a, const draw::SheetSet& b) { return bytes_of(a) == bytes_of(b); }

std::string random_circuit(std::uint64_t seed, int size) {
    return scenario::write(scenario::make(seed, size, scenario::Profile::clean)).main();
}

// By symbol the number of its sheet; of what is drawn on several none, nor of feet and marks, which are counted on.
std::map<std::string, std::size_t> sheets_of(const draw::SheetSet& set) {
    std::map<std::string, std::size_t> found;
    const draw::KeptDrawing drawing = remembered(set);
    for (std::size_t s = 0; s < drawing.sheets.size(); ++s)
        for (const draw::KeptSymbol& symbol : drawing.sheets[s].symbols)
            if (!symbol.foot && !symbol.off_sheet && !draw::is_drawn_again(symbol.id)) found[symbol.id] = s;
    return found;
}

void check_sound(const draw::SheetSet& set) {
    for (std::size_t s = 0; s < set.sheets.size(); ++s) {
        INFO("sheet " << s + 1);
        const draw::test::Measure seen = draw::test::measure(set.sheets[s].drawing.svg);
        CHECK(seen.ends_on_terminal == 2 * seen.wires);
        for (const std::string& overlap : seen.overlaps) FAIL_CHECK(overlap);
        if (seen.wires > 0) CHECK(seen.outside == 0); // sheets of tables are as they are without places to keep
        CHECK(seen.crossings_without_gap == 0);
    }
}

double smallest(const draw::SheetSet& set) {
    double scale = 1;
    for (const draw::SheetDrawing& sheet : set.sheets) scale = std::min(scale, sheet.scale);
    return scale;
}

// A lamp of its own at the battery.
const std::string own_circuit =
    "fuse F902, 5 A\nlamp E901 \"boot lamp\", 5 W\nwire W903 from battery:+ to F902, 2.5 mm2 "
    "RD, 0.1 m\nwire W904 from F902 to E901, 1 mm2 WH, 1 m\nwire W905 from E901 to ground, 1 "
    "mm2 BN, 1 m\n";

// More than any sheet of A4 takes in beside what stands there.
std::string many_lamps(int lamps) {
    std::string text = "fuse F910, 30 A\nwire W910 from battery:+ to F910, 6 mm2 RD, 0.3 m\n";
    for (int i = 0; i < lamps; ++i) {
        const std::string n = std::to_string(920 + i);
        text += "lamp E" + n + " \"marker lamp " + n + "\", 5 W\nwire W" + n + " from F910 to E" + n +
                ", 1 mm2 WH, 1 m\nwire W" + n + "9 from E" + n + " to ground, 1 mm2 BN, 1 m\n";
    }
    return text;
}

} // namespace

TEST_CASE("sheets of an unchanged circuit drawn again are the same, to the byte") {
    std::vector<std::filesystem::path> paths;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path("tests/cases/real")))
        if (entry.path().extension() == ".loom") paths.push_back(entry.path());
    std::sort(paths.begin(), paths.end());
    REQUIRE(paths.size() > 20);
    std::vector<std::pair<std::string, std::string>> texts;
    for (std::size_t i = 1; i < paths.size(); i += support::sanitized ? 9 : 3)
        texts.emplace_back(paths[i].string(), support::read_file(paths[i]));
    for (std::uint64_t seed = 1; seed <= support::tries(3); ++seed)
        texts.emplace_back("random circuit " + std::to_string(seed), random_circuit(seed, 60));
    std::size_t several = 0;
    for (const auto& [name, text] : texts) {
        INFO(name);
        const draw::Sketch sketch = sketch_in(text);
        const draw::SheetSet first = drawn(sketch);
        const draw::KeptDrawing kept = remembered(first);
        CHECK(same(drawn(sketch, &kept), first));
        several += first.sheets.size() > 1 ? 1 : 0;
    }
    CHECK(several > 0);
}

TEST_CASE("with something more in it every part stays on its sheet, and nothing lies on anything") {
    int parts = 0, stay = 0;
    for (std::uint64_t seed = 1; seed <= support::tries(4); ++seed) {
        const std::string text = random_circuit(seed, 50);
        const draw::SheetSet first = drawn(sketch_in(text));
        const draw::KeptDrawing kept = remembered(first);
        const std::map<std::string, std::size_t> was = sheets_of(first);
        for (const std::string& addition : {own_circuit, many_lamps(14)}) {
            INFO("random circuit " << seed << " with " << addition);
            const draw::Sketch more = sketch_in(text + addition);
            const draw::SheetSet again = drawn(more, &kept);
            CHECK(again.sheets.size() >= first.sheets.size());
            check_sound(again);
            CHECK(smallest(again) >= 0.97 * smallest(drawn(more)));
            const std::map<std::string, std::size_t> is = sheets_of(again);
            for (const auto& [symbol, sheet] : was) {
                REQUIRE(is.contains(symbol));
                ++parts;
                stay += is.at(symbol) == sheet ? 1 : 0;
            }
            // Kept again it does not change any more.
            const draw::KeptDrawing twice = remembered(again);
            CHECK(same(drawn(more, &twice), again));
        }
    }
    MESSAGE("of " << parts << " parts " << stay << " stay on their sheet");
    CHECK(stay >= 0.98 * parts);
}

TEST_CASE("what no sheet has room for stands on a new one at the end, and the others as they stood") {
    const std::string text = random_circuit(2, 60);
    const draw::SheetSet first = drawn(sketch_in(text));
    REQUIRE(first.sheets.size() > 2);
    const draw::KeptDrawing kept = remembered(first);
    const draw::SheetSet again = drawn(sketch_in(text + many_lamps(14)), &kept);
    const std::map<std::string, std::size_t> is = sheets_of(again);
    std::size_t circuits = 0; // sheets of tables stand behind all others
    for (const auto& [symbol, sheet] : sheets_of(first)) circuits = std::max(circuits, sheet + 1);
    CHECK(is.at("s-E920") >= circuits);
    CHECK(is.at("s-F910") >= circuits);
}

TEST_CASE("a sheet of which nothing is left is left out, and the others keep their order") {
    const std::string text = random_circuit(3, 60);
    const draw::Sketch sketch = sketch_in(text);
    const draw::SheetSet first = drawn(sketch);
    REQUIRE(first.sheets.size() > 2);
    draw::KeptDrawing kept = remembered(first);
    // As if a sheet had stood before all others of which the file has nothing any more.
    draw::KeptSheet gone = kept.sheets.back();
    for (draw::KeptSymbol& symbol : gone.symbols) symbol.id = "s-gone-" + symbol.id;
    for (draw::KeptWire& wire : gone.wires) wire.id = wire.from = wire.to = "s-gone";
    kept.sheets.insert(kept.sheets.begin(), gone);
    CHECK(same(drawn(sketch, &kept), first));
}

TEST_CASE("sheets that were spoilt, or contradict each other, give sound sheets all the same") {
    const draw::Sketch sketch = sketch_in(random_circuit(4, 40));
    const draw::KeptDrawing kept = remembered(drawn(sketch));
    draw::KeptDrawing twice = kept, one_place = kept, all_on_one = kept, far = kept;
    twice.sheets.insert(twice.sheets.end(), kept.sheets.begin(), kept.sheets.end());
    for (draw::KeptSheet& sheet : one_place.sheets)
        for (draw::KeptSymbol& symbol : sheet.symbols) symbol.stood = {};
    for (std::size_t s = 1; s < kept.sheets.size(); ++s) {
        auto& symbols = all_on_one.sheets.front().symbols;
        symbols.insert(symbols.end(), kept.sheets[s].symbols.begin(), kept.sheets[s].symbols.end());
    }
    for (draw::KeptSheet& sheet : far.sheets) {
        sheet.origin = 99999;
        sheet.scale = 0.01;
    }
    check_sound(drawn(sketch, &twice));
    check_sound(drawn(sketch, &one_place));
    check_sound(drawn(sketch, &all_on_one));
    check_sound(drawn(sketch, &far));
    const draw::KeptDrawing none;
    check_sound(drawn(sketch, &none));
}
