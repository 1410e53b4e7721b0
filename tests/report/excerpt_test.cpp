#include "report/excerpt.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

namespace loomproof::report {

namespace {

/// A text with marks in it: <words> is a citation, <words#label> one with a label; the marks are taken out.
struct Marked {
    Sources sources;
    std::vector<Citation> cites;

    void add(const std::string& name, std::string_view marked) {
        std::string text;
        std::vector<std::pair<std::size_t, std::size_t>> spans;
        std::vector<std::string> labels;
        for (std::size_t i = 0; i < marked.size(); ++i) {
            if (marked[i] == '<') {
                const std::size_t close = marked.find('>', i);
                const std::string_view inside = marked.substr(i + 1, close - i - 1);
                const std::size_t hash = inside.find('#');
                spans.emplace_back(text.size(), text.size() + std::min(hash, inside.size()));
                labels.emplace_back(hash == std::string_view::npos ? "" : inside.substr(hash + 1));
                text += inside.substr(0, hash);
                i = close;
            } else {
                text += marked[i];
            }
        }
        const std::uint32_t source = sources.add(name, text);
        for (std::size_t i = 0; i < spans.size(); ++i)
            cites.push_back(
                {{source, static_cast<std::uint32_t>(spans[i].first), static_cast<std::uint32_t>(spans[i].second)},
                 labels[i]});
    }

    std::string shown(std::size_t width = 80) const {
        return '\n' + excerpt(sources, cites, {width, false, false}, Ink::danger);
    }
};

std::string shown(std::string_view marked, std::size_t width = 80) {
    Marked m;
    m.add("bench.loom", marked);
    return m.shown(width);
}

} // namespace

TEST_CASE("The words that matter are marked in their line") {
    CHECK(shown("loom 1\nwire from <battery:+> to <F1>, 12 awg red, <0.8 m>\n") == R"(
   2 | wire from battery:+ to F1, 12 awg red, 0.8 m
     |           ~~~~~~~~~    ~~              ~~~~~
)");
}

TEST_CASE("A label stands beside its mark, earlier ones below, the rightmost first") {
    CHECK(shown("wire from battery:+ to F1, <0.8 m#no fuse on it>\n") == R"(
   1 | wire from battery:+ to F1, 0.8 m
     |                            ~~~~~ no fuse on it
)");
    CHECK(shown("wire from <battery:+#can give 900 A> to <F1#first fuse>, <0.8 m#no fuse on it>\n") == R"(
   1 | wire from battery:+ to F1, 0.8 m
     |           ~~~~~~~~~    ~~  ~~~~~ no fuse on it
     |                        first fuse
     |           can give 900 A
)");
}

TEST_CASE("A label that finds no room beside its mark goes below and keeps inside the width") {
    CHECK(shown("wire from battery:+ to F1, <0.8 m#nothing protects this>\n", 44) == R"(
   1 | wire from battery:+ to F1, 0.8 m
     |                            ~~~~~
     |                 nothing protects this
)");
}

TEST_CASE("A citation that is the whole line needs no marks") {
    CHECK(shown("loom 1\n  <connector X7, 2 holes>\n") == R"(
   2 |   connector X7, 2 holes
)");
    CHECK(shown("<connector X7, 2 holes#this one>\n") == R"(
   1 | connector X7, 2 holes
     | this one
)");
}

TEST_CASE("Every line once, in text order, with all its marks") {
    CHECK(shown("fuse <F1>, <20 A#rating>\n\nwire from <F1> to E1:+, <18 awg#too thin>\n") == R"(
   1 | fuse F1, 20 A
     |      ~~  ~~~~ rating
   3 | wire from F1 to E1:+, 18 awg
     |           ~~          ~~~~~~ too thin
)");
}

TEST_CASE("The same words cited twice are marked once and keep their label") {
    Marked m;
    m.add("bench.loom", "fuse <F1>, 20 A\n");
    m.cites.push_back(m.cites[0]);
    m.cites.back().label = "this fuse";
    CHECK(m.shown() == R"(
   1 | fuse F1, 20 A
     |      ~~ this fuse
)");
}

TEST_CASE("Marks that overlap become one") {
    Marked m;
    m.add("bench.loom", "fuse <F1, 20> A\n");
    m.cites.push_back({{0, 9, 13}, ""});
    CHECK(m.shown() == R"(
   1 | fuse F1, 20 A
     |      ~~~~~~~~
)");
}

TEST_CASE("Tabs are set to every fourth column, and marks stand under them") {
    CHECK(shown("\twire\tfrom <battery:+>\tto <F1>\n") == R"(
   1 |     wire    from battery:+  to F1
     |                  ~~~~~~~~~     ~~
)");
    CHECK(shown("fuse F1,<\t>20 A\n") == R"(
   1 | fuse F1,    20 A
     |         ~~~~
)");
}

TEST_CASE("Wide characters and combining marks keep the marks under their words") {
    CHECK(shown("lamp E1 \"\xe9\x98\xb2\xe7\x81\xab\", <55 W>\n") ==
          "\n   1 | lamp E1 \"\xe9\x98\xb2\xe7\x81\xab\", 55 W\n     |                 ~~~~\n");
    CHECK(shown("motor M1 \"<Lu\xcc\x88"
                "fter>\", 9 A\n") == "\n   1 | motor M1 \"Lu\xcc\x88"
                                     "fter\", 9 A\n     |           ~~~~~~\n");
    CHECK(shown("lamp <\xe7\x81\xab>, 55 W\n") == "\n   1 | lamp \xe7\x81\xab, 55 W\n     |      ~~\n");
}

TEST_CASE("Control characters in the file do not reach the terminal") {
    CHECK(shown("lamp E1 \"a\x1b[2Jb\", <55 W>\n") ==
          "\n   1 | lamp E1 \"a\xef\xbf\xbd[2Jb\", 55 W\n     |                   ~~~~\n");
}

TEST_CASE("A place between characters is marked, also at the end of a line and of the file") {
    CHECK(shown("fuse F1<#the rating is missing>\nloom 1\n") == R"(
   1 | fuse F1
     |        ^ the rating is missing
)");
    CHECK(shown("fuse F1,<> 20 A\n") == R"(
   1 | fuse F1, 20 A
     |         ^
)");
    CHECK(shown("fuse F1\n<>") == R"(
   2 |
     | ^
)");
    CHECK(shown("<#nothing in it>") == R"(
   1 |
     | ^ nothing in it
)");
}

TEST_CASE("Of a citation over several lines the first and the last are shown") {
    CHECK(shown("loom 1\n<wire W1 from F1 to E1:+,\n  12 awg red,\n  2 m#all of it>, in engine-bay\n") == R"(
   2 | wire W1 from F1 to E1:+,
   4 |   2 m, in engine-bay
     |   ~~~ all of it
)");
}

TEST_CASE("Lines that end as on other systems show the same") {
    CHECK(shown("loom 1\r\nfuse <F1>, 20 A\r\n") == R"(
   2 | fuse F1, 20 A
     |      ~~
)");
    CHECK(shown("loom 1\r\n<fuse F1, 20 A>\r\n") == R"(
   2 | fuse F1, 20 A
)");
}

TEST_CASE("A line wider than the terminal goes on below, marks under each part") {
    CHECK(
        shown("wire W12 from <S15> through X7:1, C9:4 to M2:+, 1.5 mm2 BU/WH, <2.1 m + 0.3 m + 0.2 m#no place said>\n",
              60) == R"(
   1 | wire W12 from S15 through X7:1, C9:4 to M2:+,
     |               ~~~
     |   1.5 mm2 BU/WH, 2.1 m + 0.3 m + 0.2 m
     |                  ~~~~~~~~~~~~~~~~~~~~~ no place said
)");
    // A mark across the break is marked on both sides; its label stands where it ends.
    CHECK(shown("wire W12 from S15 to <M2:+, 1.5 mm2 BU/WH#whole>, 2.1 m\n", 40) == R"(
   1 | wire W12 from S15 to M2:+,
     |                      ~~~~~
     |   1.5 mm2 BU/WH, 2.1 m
     |   ~~~~~~~~~~~~~ whole
)");
}

TEST_CASE("Of a very long line only the marked parts are shown") {
    std::string text = "lamp E1 \"";
    for (int i = 0; i < 30; ++i) text += "word" + std::to_string(i) + ' ';
    CHECK(shown(text + "\", <55 W#here>, 12 V", 50) == R"(
   1 | ...
     |   word26 word27 word28 word29 ", 55 W, 12 V
     |                                  ~~~~ here
)");
    CHECK(shown("lamp <E1> \"" + text.substr(9) + "\", 55 W, 12 V", 50) == R"(
   1 | lamp E1 "word0 word1 word2 word3 word4
     |      ~~
     | ...
)");
}

TEST_CASE("Other files are named, the one with the main citation stands first") {
    Marked m;
    m.add("bench.loom", "fuse <F1>, 20 A\n");
    m.add("parts/lamps.loom", "loom 1\nlamp <E1>, 55 W\n");
    CHECK(m.shown() == R"(
   1 | fuse F1, 20 A
     |      ~~
  in parts/lamps.loom
   2 | lamp E1, 55 W
     |      ~~
)");
    std::swap(m.cites[0], m.cites[1]);
    CHECK(m.shown() == R"(
  in parts/lamps.loom
   2 | lamp E1, 55 W
     |      ~~
  in bench.loom
   1 | fuse F1, 20 A
     |      ~~
)");
}

TEST_CASE("At most six lines, those cited first") {
    std::string text;
    for (int i = 1; i <= 9; ++i) text += "fuse <F" + std::to_string(i) + ">, 20 A\n";
    CHECK(shown(text) == R"(
   1 | fuse F1, 20 A
     |      ~~
   2 | fuse F2, 20 A
     |      ~~
   3 | fuse F3, 20 A
     |      ~~
   4 | fuse F4, 20 A
     |      ~~
   5 | fuse F5, 20 A
     |      ~~
   6 | fuse F6, 20 A
     |      ~~
     | and 3 more lines
)");
}

TEST_CASE("The gutter is as wide as the largest number") {
    CHECK(shown(std::string(1233, '\n') + "fuse <F1>, 20 A\n") == R"(
  1234 | fuse F1, 20 A
       |      ~~
)");
}

TEST_CASE("What no text stands behind shows nothing") {
    Sources sources;
    sources.add("bench.loom", "loom 1\n");
    const std::vector<Citation> cites{{Span{}, "assumed"}, {{7, 0, 3}, "no such file"}};
    CHECK(excerpt(sources, cites, {}, Ink::danger).empty());
    // A span beyond the end of its file is cut to it.
    const std::vector<Citation> beyond{{{0, 100, 200}, ""}};
    CHECK(excerpt(sources, beyond, {}, Ink::danger) == "   2 |\n     | ^\n");
}

TEST_CASE("On a terminal the marks have the colour of the finding") {
    Marked m;
    m.add("bench.loom", "fuse <F1>, 20 A\n");
    CHECK(excerpt(m.sources, m.cites, {80, true, true}, Ink::danger) ==
          "\x1b[2m   1 |\x1b[0m fuse F1, 20 A\n\x1b[2m     |\x1b[0m \x1b[1;31m     ~~\x1b[0m\n");
}

} // namespace loomproof::report
