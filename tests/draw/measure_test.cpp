// The measuring itself: each kind of mistake, put into a small picture on purpose, is found.
#include "draw/measure.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

using loomproof::draw::test::Measure;
using loomproof::draw::test::measure;

namespace {

// Two symbols below each other and a wire between them, with room for one more thing.
Measure picture(const std::string& wire_path, const std::string& more) {
    return measure("<svg viewBox='0 0 400 200'><style>.label{font-size:14px}</style>"
                   "<g class='symbol' id='s-A'><path class='ink' d='M100 10L100 40'/><path class='frame' d='M90 10L110 "
                   "10L110 20L90 20Z'/></g>"
                   "<g class='symbol' id='s-B'><path class='ink' d='M100 120L100 150'/></g>"
                   "<g class='symbol' id='s-C'><path class='ink' d='M180 60L220 60'/><circle class='frame' cx='300' "
                   "cy='80' r='12'/></g>"
                   "<g class='wire thin' id='w-1' data-from='s-A' data-to='s-B'><path class='casing' d='" +
                   wire_path + "'/></g>" + more + "</svg>");
}

constexpr const char* straight = "M100 40L100 120";
std::string word(double x, double y) {
    return "<text class='label' x='" + std::to_string(x) + "' y='" + std::to_string(y) + "'>W1</text>";
}

} // namespace

TEST_CASE("a right picture is right") {
    const Measure m = picture(straight, word(110, 80));
    CHECK(m.ends_on_terminal == 2);
    CHECK(m.overlaps.empty());
    CHECK(m.bends == 0);
    CHECK(m.outside == 0);
}

TEST_CASE("a wire that misses its terminal is seen") {
    CHECK(picture("M100 41L100 120", "").ends_on_terminal == 1);
    CHECK(picture("M101 40L101 120", "").ends_on_terminal == 0);
}

TEST_CASE("a word on something is seen") {
    CHECK(picture(straight, word(95, 80)).overlaps.size() == 1);                  // on the wire
    CHECK(picture(straight, word(190, 65)).overlaps.size() == 1);                 // on a symbol's line
    CHECK(picture(straight, word(295, 70)).overlaps.size() == 1);                 // on a ring
    CHECK(picture(straight, word(120, 80) + word(125, 84)).overlaps.size() == 1); // on a word
    CHECK(picture(straight, word(90, 18)).overlaps.size() == 1);                  // on a frame
    CHECK(picture(straight, word(390, 80)).outside == 1);                         // over the edge
}

TEST_CASE("words that touch, or nearly, are seen") {
    CHECK(picture(straight, word(120, 80) + word(142, 80)).overlaps.size() == 1);
    CHECK(picture(straight, word(120, 80) + word(146, 80)).overlaps.empty());
}

TEST_CASE("a label that may be another wire's is seen; a line to its own wire settles it") {
    const std::string second =
        "<g class='wire thin' id='w-2' data-from='s-A' data-to='s-B'><path class='casing' d='M140 50L140 110'/></g>";
    const auto label = [&](double x, const std::string& more = {}) {
        return picture(straight, second + "<g class='of-wire' data-wire='w-1'>" + word(x, 80) + more + "</g>").overlaps;
    };
    const auto about = [](const std::vector<std::string>& lines, const char* what) {
        return std::count_if(lines.begin(), lines.end(),
                             [&](const std::string& line) { return line.find(what) != std::string::npos; });
    };
    CHECK(about(label(106), "as near to") == 0);
    CHECK(about(label(112), "as near to w-2") == 1);
    CHECK(about(label(112, "<path class='leader' d='M110 75L102.8 75'/>"), "label") == 0);
    CHECK(about(label(160), "from its wire") == 1);
    CHECK(about(label(160, "<path class='leader' d='M158 75L102.8 75'/>"), "meets w-2") == 1);
    CHECK(about(label(112, "<path class='leader' d='M110 75L106 75'/>"), "does not reach") == 1);
}

TEST_CASE("a wire on a symbol or on another wire is seen") {
    CHECK(picture("M100 40L100 60Q100 60 100 60L200 60Q200 60 200 100L100 100Q100 100 100 100L100 120", "")
              .overlaps.size() >= 1);
    const std::string second =
        "<g class='wire thin' id='w-2' data-from='s-A' data-to='s-B'><path class='casing' d='M103 50L103 90'/></g>";
    CHECK(picture(straight, second).overlaps.size() == 1);
}

TEST_CASE("crossings are counted, and those without a gap named") {
    const auto across = [](const char* d) {
        return std::string("<g class='wire thin' id='w-2' data-from='s-C' data-to='s-C'><path class='casing' d='") + d +
               "'/></g>";
    };
    const Measure closed = picture(straight, across("M50 90L150 90"));
    CHECK(closed.crossings == 1);
    CHECK(closed.crossings_without_gap == 1);
    const Measure open = picture(straight, across("M50 90L94 90M106 90L150 90"));
    CHECK(open.crossings == 1);
    CHECK(open.crossings_without_gap == 0);
}
