// draw --keep, with the real program.
#include "app/process.hpp"
#include "app/work_lamp.hpp"

#include "support/places.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

namespace loomproof::tests {
namespace {

// What a symbol remembers of its place: "2 3 4".
std::string place_of(const std::string& svg, const std::string& symbol) {
    const std::size_t at = svg.find("id=\"s-" + symbol + "\""), begin = svg.find("data-stands=\"", at);
    if (at == std::string::npos || begin == std::string::npos) return "";
    return svg.substr(begin + 13, svg.find('"', begin + 13) - begin - 13);
}

} // namespace

TEST_CASE("draw --keep gives an unchanged circuit the same bytes, over the old drawing or beside it") {
    const Bench bench("keep");
    bench.write("lamp.loom", lamp);
    REQUIRE(run(bench, {"draw", "lamp.loom", "-o", "lamp.svg"}).status == 0);
    const std::string first = bench.read("lamp.svg");
    const Ended beside = run(bench, {"draw", "lamp.loom", "--keep", "lamp.svg", "-o", "new.svg"});
    CHECK(beside.status == 0);
    CHECK(beside.err.empty());
    CHECK(bench.read("new.svg") == first);
    CHECK(run(bench, {"draw", "lamp.loom", "--keep", "lamp.svg", "-o", "lamp.svg"}).status == 0);
    CHECK(bench.read("lamp.svg") == first);

    bench.write("lamp.loom", std::string(lamp) +
                                 "lamp E2, 5 W\nwire W4 from F1:2 to E2, 1 mm2 white, 1 m\nwire W5 from E2 "
                                 "to ground, 1 mm2 black, 1 m\n");
    CHECK(run(bench, {"draw", "lamp.loom", "--keep", "lamp.svg", "-o", "more.svg"}).status == 0);
    const std::string more = bench.read("more.svg");
    CHECK(place_of(more, "E2") != "");
    CHECK(place_of(more, "battery") == place_of(first, "battery"));
}

TEST_CASE("draw --paper --keep takes the sheets by the name that -o gave them") {
    const Bench bench("keep-sheets");
    bench.write("lamp.loom", lamp);
    REQUIRE(run(bench, {"draw", "lamp.loom", "--paper", "A4", "-o", "lamp.svg"}).status == 0);
    REQUIRE(run(bench, {"draw", "lamp.loom", "-o", "page.svg"}).status == 0);
    const std::string first = bench.read("lamp-1.svg");
    CHECK(run(bench, {"draw", "lamp.loom", "--paper", "A4", "--keep", "lamp.svg", "-o", "new.svg"}).status == 0);
    CHECK(bench.read("new-1.svg") == first);
    CHECK(run(bench, {"draw", "lamp.loom", "--paper", "A4", "--keep", "lamp.svg", "-o", "lamp.svg"}).status == 0);
    CHECK(bench.read("lamp-1.svg") == first);
    const auto said = [&](const std::vector<std::string>& keep) {
        std::vector<std::string> words{"draw", "lamp.loom", "-o", "other.svg"};
        words.insert(words.end(), keep.begin(), keep.end());
        const Ended ended = run(bench, words);
        CHECK(ended.status == 2);
        return ended.err;
    };
    CHECK(said({"--paper", "A3", "--keep", "lamp.svg"}).find("lamp-1.svg is no sheet of A3: it is ") !=
          std::string::npos);
    CHECK(said({"--paper", "A4", "--keep", "page.svg"}).find("There is no page-1.svg: page.svg is no set of sheets.") !=
          std::string::npos);
    CHECK(said({"--paper", "A4", "--keep", "none.svg"}).find("There is no none-1.svg: name sheets") !=
          std::string::npos);
    CHECK(said({"--keep", "lamp.svg"}).find("lamp-1.svg is the first of several sheets: say on which paper") !=
          std::string::npos);
}

TEST_CASE("draw --keep says what is wrong with a drawing, and what to do") {
    const Bench bench("keep-wrong");
    bench.write("lamp.loom", lamp);
    bench.write("other.loom", "loom 1\nbattery B7, 60 Ah\nhorn H7\nwire W7 from B7:+ to H7, 1 mm2 RD, 1 m\n");
    bench.write("picture.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"><path d=\"M0 0\"/></svg>\n");
    REQUIRE(run(bench, {"draw", "lamp.loom", "-o", "lamp.svg"}).status == 0);
    REQUIRE(run(bench, {"draw", "other.loom", "-o", "other.svg"}).status == 0);
    const auto said = [&](const std::string& keep) {
        const Ended ended = run(bench, {"draw", "lamp.loom", "--keep", keep, "-o", "new.svg"});
        CHECK(ended.status == 2);
        return ended.err;
    };
    CHECK(said("nothing.svg").find("There is no drawing nothing.svg") != std::string::npos);
    CHECK(said("picture.svg").find("picture.svg is no drawing made by loomproof draw. --keep takes an SVG") !=
          std::string::npos);
    CHECK(said("other.svg").find("other.svg shows another circuit than lamp.loom") != std::string::npos);
    CHECK(said("lamp.pdf").find("In lamp.pdf no places can be read") != std::string::npos);
    CHECK(bench.files().size() == 5); // nothing was drawn
}

} // namespace loomproof::tests
