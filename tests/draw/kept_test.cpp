// A drawing that is made again: who has the sheet printed finds everything where it was.
#include "circuit/read.hpp"
#include "draw/from_circuit.hpp"
#include "draw/kept.hpp"
#include "draw/measure.hpp"
#include "support/places.hpp"
#include "support/sanitized.hpp"
#include "support/scenario/scenario.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

using namespace loomproof;

namespace {

draw::Sketch sketch_in(const std::string& text) {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "kept.loom", text);
    return draw::sketch_of(View::now(reading.circuit), {.title = {}, .tables = false});
}

draw::Drawing drawn(const draw::Sketch& sketch, const std::string* old = nullptr) {
    draw::KeptDrawing kept;
    if (old != nullptr) {
        Result<draw::KeptSheet> sheet = draw::read_kept(*old);
        REQUIRE_MESSAGE(sheet, sheet.error());
        kept.sheets.push_back(std::move(*sheet));
    }
    draw::Options options;
    if (old != nullptr) options.kept = &kept;
    Result<draw::Drawing> drawing = draw::draw(sketch, options);
    REQUIRE_MESSAGE(drawing, drawing.error());
    return std::move(*drawing);
}

std::string random_circuit(std::uint64_t seed) {
    const auto profile = seed % 2 == 0 ? scenario::Profile::clean : scenario::Profile::tangled;
    return scenario::write(scenario::make(seed, 8 + static_cast<int>(seed * 7 % 30), profile)).main();
}

// What somebody may add on a Saturday.
const std::vector<std::string> additions{
    "wire W901 from battery:+ to nothing, 2.5 mm2 RD, 1 m\n",
    "fuse F902, 5 A\nlamp E901 \"boot lamp\", 5 W\nwire W903 from battery:+ to F902, 2.5 mm2 RD, 0.1 m\nwire W904 from "
    "F902 to E901, 1 mm2 WH, 1 m\nwire W905 from E901 to ground, 1 mm2 BN, 1 m\n",
};

struct Kept {
    int parts = 0, rows = 0, columns = 0;
};

// By the drawing's own rows and columns: whose order changed is seen by everybody, whose margin did by nobody.
Kept compare(const std::string& before, const std::string& after) {
    const auto was = draw::read_kept(before), is = draw::read_kept(after);
    REQUIRE(was);
    REQUIRE(is);
    std::map<std::string, draw::Stood> now;
    std::map<int, int> moved; // what stands further right because something came at the left has not changed its place
    for (const draw::KeptSymbol& symbol : is->symbols) now[symbol.id] = symbol.stood;
    for (const draw::KeptSymbol& symbol : was->symbols)
        if (now.contains(symbol.id) && !symbol.foot) ++moved[now[symbol.id].left - symbol.stood.left];
    const auto most =
        std::max_element(moved.begin(), moved.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
    Kept kept;
    for (const draw::KeptSymbol& symbol : was->symbols) {
        if (symbol.foot || !now.contains(symbol.id)) continue;
        ++kept.parts;
        kept.rows += now[symbol.id].row == symbol.stood.row ? 1 : 0;
        kept.columns += std::abs(now[symbol.id].left - symbol.stood.left - most->first) <= 1 ? 1 : 0;
    }
    return kept;
}

} // namespace

TEST_CASE("an unchanged circuit drawn again is the same drawing, to the byte") {
    std::vector<std::filesystem::path> paths;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path("tests/cases/real")))
        if (entry.path().extension() == ".loom") paths.push_back(entry.path());
    std::sort(paths.begin(), paths.end());
    paths.push_back(support::source_path("netlists/demo-vehicle.loom"));
    REQUIRE(paths.size() > 20);
    for (std::size_t i = 0; i < paths.size(); i += support::sanitized ? 9 : 3) {
        INFO(paths[i].string());
        const draw::Sketch sketch = sketch_in(support::read_file(paths[i]));
        const std::string first = drawn(sketch).svg;
        CHECK(drawn(sketch, &first).svg == first);
    }
    for (std::uint64_t seed = 1; seed <= support::tries(6); ++seed) {
        INFO("random circuit " << seed);
        const draw::Sketch sketch = sketch_in(random_circuit(seed));
        const std::string first = drawn(sketch).svg;
        CHECK(drawn(sketch, &first).svg == first);
    }
}

TEST_CASE("with something more in it everything stands where it stood, and nothing lies on anything") {
    Kept kept;
    int crossings_fresh = 0, crossings_kept = 0;
    for (std::uint64_t seed = 1; seed <= support::tries(6); ++seed) {
        const std::string text = random_circuit(seed);
        const std::string first = drawn(sketch_in(text)).svg;
        for (const std::string& addition : additions) {
            INFO("random circuit " << seed << " with " << addition);
            const draw::Sketch more = sketch_in(text + addition);
            const draw::Drawing again = drawn(more, &first);
            const draw::test::Measure seen = draw::test::measure(again.svg);
            CHECK(seen.ends_on_terminal == 2 * seen.wires);
            for (const std::string& overlap : seen.overlaps) FAIL_CHECK(overlap);
            CHECK(seen.outside == 0);
            CHECK(seen.crossings_without_gap == 0);
            // Kept again it does not change any more.
            CHECK(drawn(more, &again.svg).svg == again.svg);
            const Kept one = compare(first, again.svg);
            kept.parts += one.parts;
            kept.rows += one.rows;
            kept.columns += one.columns;
            crossings_kept += again.crossings;
            const int fresh = drawn(more).crossings;
            crossings_fresh += fresh;
            CHECK(again.crossings <= fresh + 2);
        }
    }
    MESSAGE("of " << kept.parts << " parts " << kept.rows << " keep their row, " << kept.columns
                  << " their column; crossings " << crossings_kept << ", fresh " << crossings_fresh);
    CHECK(kept.rows >= 0.95 * kept.parts);
    CHECK(kept.columns >= 0.9 * kept.parts);
}

TEST_CASE("what is no drawing of ours, or was spoilt, is told in words and does no harm") {
    const std::string good = drawn(sketch_in(random_circuit(3))).svg;
    REQUIRE(draw::read_kept(good));
    const auto with = [&](const std::string& what, const std::string& instead) {
        std::string text = good;
        const std::size_t at = text.find(what);
        REQUIRE(at != std::string::npos);
        return text.replace(at, what.size(), instead);
    };
    for (const std::string& strange :
         {std::string(), std::string("<svg/>"), std::string("<svg xmlns=\"http://www.w3.org/2000/svg\"><g/></svg>"),
          std::string("no drawing"), good.substr(0, good.size() / 2), std::string(1000, '\0'),
          with("data-made-by=\"Loomproof\"", "")}) {
        const Result<draw::KeptSheet> read = draw::read_kept(strange);
        REQUIRE(!read);
        CHECK(read.error() == "is no drawing made by loomproof draw");
    }
    for (const std::string& spoilt :
         {with("data-origin=\"", "data-origin=\"nan"), with("data-origin=\"", "data-origin=\"1e300 "),
          with("data-origin=\"", "data-origin=\"x"), with("data-stands=\"", "data-stands=\"99999999999999999999 "),
          with("data-stands=\"", "data-stands=\"-3 "), with("data-stands=\"", "data-stands=\"nan "),
          with("data-way=\"", "data-way=\"1,"), with("data-way=\"", "data-way=\"1,2147483648 ")}) {
        const Result<draw::KeptSheet> read = draw::read_kept(spoilt);
        REQUIRE(!read);
        CHECK(read.error().find("was changed since it was drawn") == 0);
    }
    // Entities that would grow without end, or name a file, stay what they are: letters.
    const std::string bomb =
        "<!DOCTYPE svg [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\"><!ENTITY f "
        "SYSTEM \"file:///etc/passwd\">]>\n" +
        with("<title id=\"title\">", "<title id=\"title\">&b;&f;");
    CHECK(draw::read_kept(bomb));
    std::string deep;
    for (int i = 0; i < 200000; ++i) deep += "<g>"; // never closed
    CHECK(!draw::read_kept(good.substr(0, good.find("<title")) + deep));
}

TEST_CASE("places that no drawing has are kept to as well as it goes") {
    const std::string text = random_circuit(5);
    std::string svg = drawn(sketch_in(text)).svg;
    // All in one row and one column; rows upside down; far away.
    for (const char* places : {"0 0 0", "7 3 3", "900 5 9", "0 900000 900001"}) {
        std::string spoilt = svg;
        for (std::size_t at = spoilt.find("data-stands=\""); at != std::string::npos;
             at = spoilt.find("data-stands=\"", at + 1)) {
            const std::size_t begin = at + 13;
            spoilt.replace(begin, spoilt.find('"', begin) - begin, places);
        }
        const draw::Drawing again = drawn(sketch_in(text), &spoilt);
        const draw::test::Measure seen = draw::test::measure(again.svg);
        CHECK(seen.ends_on_terminal == 2 * seen.wires);
        for (const std::string& overlap : seen.overlaps) FAIL_CHECK(overlap);
    }
}
