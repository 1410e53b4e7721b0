#include "netlist/dump.hpp"
#include "netlist/samples.hpp"
#include "netlist/text_ids.hpp"

#include <doctest/doctest.h>

#include <set>

using namespace loomproof;
using namespace loomproof::test;

namespace {

struct Row {
    std::string_view what;
    std::string_view text;
    std::string_view tree;
    std::string_view rules = "";
};

void check(const Row& row) {
    CAPTURE(row.what);
    CAPTURE(row.text);
    const Read r = read(row.text);
    CHECK(dump(r) == row.tree);
    CHECK(rules(r) == row.rules);
    CHECK(rebuilt(r) == r.sources.at(0).text);
    CHECK(flaw(r) == "");
}

} // namespace

TEST_CASE("statements, clauses and terminals") {
    for (const Row& row : std::initializer_list<Row>{
             {"nothing", "", ""},
             {"only blanks and comments", " \n\n// loom 1\n\t//x", ""},
             {"one word", "complete", "complete\n"},
             {"an unnamed part", "battery, 60 Ah\n", "battery, 60 Ah\n"},
             {"a text", "led E1 \"light bar\", 120 W", "led E1 \"light bar\", 120 W\n"},
             {"terminals keep their signs", "wire from battery:+ to E1:-, 12 awg",
              "wire from battery:+ to E1:-, 12 awg\n"},
             {"stamps with a sign", "wire from G2:B+ to battery:+", "wire from G2:B+ to battery:+\n"},
             {"a rest position", "off*\nout *", "off*\nout *\n"},
             {"colours and filaments", "lamp E4, 21/5 W, BU/WH | BK", "lamp E4, 21/5 W, BU/WH | BK\n"},
             {"decimals, strands, ranges", "wire 28/0.30, 0.15 m, F1..F6, .5 m",
              "wire 28/0.30, 0.15 m, F1..F6, .5 m\n"},
             {"dates, ratings, names with points and dashes", "4-pin engine-bay 2026-05-02 E1.main K1_b",
              "4-pin engine-bay 2026-05-02 E1.main K1_b\n"},
             {"gauge with a hash, percent, brackets", "#12 (+-20 %) a=b; c&d", "#12 (+-20 %) a=b; c&d\n"},
             {"a comment ends a line", "fuse F1 // \"left {\nfuse F2//x", "fuse F1\nfuse F2\n"},
             {"no comment inside a text", "use \"a//b\"", "use \"a//b\"\n"},
             {"two colons", "cut W14 0.15 m from X7:1: W14x stays at X7",
              "cut W14 0.15 m from X7:1: W14x stays at X7\n"},
             {"letters of all languages", "Sicherung Größe 熔断器 \"é\"", "Sicherung Größe 熔断器 \"é\"\n"},
         })
        check(row);
}

TEST_CASE("a statement goes on behind a comma where the next line is indented deeper") {
    for (const Row& row : std::initializer_list<Row>{
             {"deeper", "wire from A to B,\n  2 m\nfuse F1", "wire from A to B, 2 m\nfuse F1\n"},
             {"over several lines, against the first", "wire W1,\n    RD,\n  2 m,\n 3 V", "wire W1, RD, 2 m, 3 V\n"},
             {"over comments and empty lines", "wire W1, // red\n\n  // long\n  2 m", "wire W1, 2 m\n"},
             {"not deeper", "wire W1,\nfuse F1", "wire W1\nfuse F1\n"},
             {"no comma", "wire W1\n  2 m", "wire W1\n2 m\n"},
             {"counted from the line, not from the brace", "factory { wire W1,\n  2 m\n}",
              "factory {\n  wire W1, 2 m\n}\n"},
             {"a closing brace never continues", "factory {\n  fuse F1,\n    }", "factory {\n  fuse F1\n}\n"},
             {"a tab is eight columns", "      wire W1,\n\t2 m", "wire W1, 2 m\n"},
             {"tab against tab", "\twire W1,\n\tfuse F1", "wire W1\nfuse F1\n"},
             {"at the end of the text", "wire W1,", "wire W1\n"},
             {"a comma before a block", "connector X7, {\n 1 red\n}", "connector X7 {\n  1 red\n}\n"},
         })
        check(row);
}

TEST_CASE("blocks") {
    for (const Row& row : std::initializer_list<Row>{
             {"long", "factory {\n  fuse F1\n  fuse F2\n}\nfuse F3", "factory {\n  fuse F1\n  fuse F2\n}\nfuse F3\n"},
             {"short", "switch S5 { cold* | hot connects 1 with 2 }",
              "switch S5 {\n  cold*\n  hot connects 1 with 2\n}\n"},
             {"glued", "switch S5{cold*|hot}", "switch S5 {\n  cold*\n  hot\n}\n"},
             {"short over two lines", "switch S5 { cold* |\n   hot\n | warm }",
              "switch S5 {\n  cold*\n  hot\n  warm\n}\n"},
             {"bars at both ends", "switch S5 { | cold* | hot | }", "switch S5 {\n  cold*\n  hot\n}\n"},
             {"a bar is a mark in a long block", "factory {\n  wire W1, RD | BK\n}",
              "factory {\n  wire W1, RD | BK\n}\n"},
             {"short in long in long",
              "job \"x\" {\n  switch S6 {\n    section a { off* | on }\n    section b { up | down }\n  }\n  fuse F1\n}",
              "job \"x\" {\n  switch S6 {\n    section a {\n      off*\n      on\n    }\n    section b {\n      up\n   "
              "   down\n    }\n  }\n  fuse F1\n}\n"},
             {"long in short keeps its bars", "a { b {\n c | d\n } | e }", "a {\n  b {\n    c | d\n  }\n  e\n}\n"},
             {"empty", "factory { }\njob {\n}", "factory {}\njob {}\n"},
             {"comments everywhere", "factory { // built\n // x\n fuse F1 // y\n}// z", "factory {\n  fuse F1\n}\n"},
             {"closing behind the last statement", "factory {\n fuse F1\n fuse F2 }\nfuse F3",
              "factory {\n  fuse F1\n  fuse F2\n}\nfuse F3\n"},
         })
        check(row);
}

TEST_CASE("phones' typing is understood") {
    for (const Row& row : std::initializer_list<Row>{
             {"curly quotes", "led E1 “light bar”", "led E1 \"light bar\"\n"},
             {"low and reversed quotes", "led E1 „light bar“, ‟x”, «y», »z«",
              "led E1 \"light bar\", \"x\", \"y\", \"z\"\n"},
             {"one straight, one curly", "led E1 \"light bar”", "led E1 \"light bar\"\n"},
             {"single quotes of all kinds", "a 'x' ‘y’ ‚z‘ ‹w›", "a \"x\" \"y\" \"z\" \"w\"\n"},
             {"apostrophes inside texts", "place \"driver's side\", 'driver’s door', “it’s”",
              "place \"driver's side\", \"driver’s door\", \"it’s\"\n"},
             {"double quotes inside single ones", "led E1 'the \"old\" bar'", "led E1 \"the \"old\" bar\"\n"},
             {"dashes as marks", "E1:– E1:— E1:− E1:‑", "E1:- E1:- E1:- E1:-\n"},
             {"dashes in words", "engine–bay 4—pin 2026−05‑02", "engine-bay 4-pin 2026-05-02\n"},
             {"blanks that do not break", "2.5\u00a0mm², 3\u202fA, 4\u2007A\u3000x", "2.5 mm², 3 A, 4 A x\n"},
             {"multiplication signs", "2 × 55 W, 2×5", "2 * 55 W, 2*5\n"},
             {"ellipsis", "F1…F6 F1...F6 F1 .. F6", "F1..F6 F1..F6 F1 .. F6\n"},
             {"capitals and glued units stay as typed", "FUSE F1, 20A, 12v", "FUSE F1, 20A, 12v\n"},
             {"ohm, degrees, squares", "5 Ω 70 °C 2 mm² 3 µF ½", "5 Ω 70 °C 2 mm² 3 µF ½\n"},
             {"byte-order mark", "\ufefffuse F1", "fuse F1\n"},
             {"invisible characters at the edge of a word", "fuse\u200b F1\u200e,\u2060 20 A\ufeff", "fuse F1, 20 A\n"},
             {"and within a terminal", "wire to K1\u200e:\u200e30", "wire to K1:30\n"},
             {"line ends of all kinds", "a\r\nb\rc\nd\u2028e\u2029f\u0085g\r\n", "a\nb\nc\nd\ne\nf\ng\n"},
             {"vertical blanks", "a\fb\vc", "a b c\n"},
         })
        check(row);
}

TEST_CASE("a comma between digits is never guessed") {
    for (const Row& row : std::initializer_list<Row>{
             {"a size", "wire W1, 2,5 mm2, 2 m", "wire W1, <2,5> mm2, 2 m\n", "text-unreadable-number"},
             {"glued to its unit", "wire 2,5mm2", "wire <2,5mm2>\n", "text-unreadable-number"},
             {"behind a name it parts two things", "fuse F1,20 A", "fuse F1,20 A\n", ""},
             {"and with a phone's dash in it", "fuse F–1,20 A", "fuse F-1,20 A\n", ""},
             {"but what follows may be a decimal", "fuse F1,2,5 A", "fuse F1,<2,5> A\n", "text-unreadable-number"},
             {"behind a unit", "2.5 mm2,5 m", "2.5 mm2,5 m\n", ""},
             {"a list", "through 1,2,3 x", "through <1,2,3> x\n", "text-unreadable-number"},
             {"thousands", "12,000.5 A", "<12,000.5> A\n", "text-unreadable-number"},
             {"a point right behind", "2,.5 m", "<2,.5> m\n", "text-unreadable-number"},
             {"behind a hole", "to X7:1,2 m", "to X7:1,2 m\n", ""},
             {"but not behind a colon with a blank", "wire: 1,2", "wire: <1,2>\n", "text-unreadable-number"},
             {"after a sign and a slash", "-2,5 28/0,30", "-<2,5> 28/<0,30>\n",
              "text-unreadable-number text-unreadable-number"},
             {"a unit between is no decimal", "20A,5 A", "20A,5 A\n", ""},
             {"a blank behind the comma is two things", "20, 5 A", "20, 5 A\n", ""},
             {"a blank before it too", "20 ,5 A", "20 ,5 A\n", ""},
             {"letters behind", "F1,F2,x", "F1,F2,x\n", ""},
         })
        check(row);
}

TEST_CASE("a comma between digits: what the finding says") {
    const Read r = read("wire W1 from A to B, 2,5");
    REQUIRE(r.parsed.findings.size() == 1);
    const Finding& f = r.parsed.findings[0];
    CHECK(f.headline == "2,5 can be read in two ways: as 2.5, or as 2 and 5.");
    CHECK(f.severity == Severity::fault);
    CHECK(r.sources.text(f.cites[0].span) == "2,5");
    REQUIRE(f.cures.size() == 2);
    CHECK(f.cures[0].text == "Write 2.5 if it is one figure.");
    CHECK(f.cures[1].text == "Write 2, 5 if they are separate.");
    REQUIRE(f.edits.size() == 2);
    CHECK(f.edits[0].replacement == "2.5");
    CHECK(f.edits[1].replacement == "2, 5");
    CHECK(f.edits[0].grade == TextEdit::Grade::your_choice);
}

TEST_CASE("with a unit behind it, it is one figure: nothing is 1 of nothing beside 2 m") {
    for (const char* line :
         {"wire W1 from A to B, 1,2 m", "wire W1 from A to B, 1,2m", "wire W1 from A to B, 1,2  ohm, red"}) {
        const Read r = read(line);
        REQUIRE(r.parsed.findings.size() == 1);
        const Finding& f = r.parsed.findings[0];
        CHECK(f.headline.find("a comma stands where the point of a decimal belongs.") != std::string::npos);
        REQUIRE(f.cures.size() == 1);
        CHECK(f.cures[0].text.starts_with("Write 1.2"));
        CHECK(f.cures[0].text.find("separate") == std::string::npos);
        CHECK(f.edits.size() == 1);
    }
    // What follows is no unit: a hole, a name.
    CHECK(read("wire W1 from A to B, 1,2 x").parsed.findings[0].cures.size() == 2);
}

TEST_CASE("a comma between digits that is hardly a decimal comma") {
    const Read r = read("through 1,2,3");
    REQUIRE(r.parsed.findings.size() == 1);
    const Finding& f = r.parsed.findings[0];
    CHECK(f.headline ==
          "In 1,2,3 a comma stands between two digits: a decimal comma, or a blank is missing behind it.");
    REQUIRE(f.edits.size() == 1);
    CHECK(f.edits[0].replacement == "1, 2, 3");
    CHECK(f.cures[0].text == "Write 1, 2, 3 if they are separate.");
    CHECK(f.cures[1].text == "Write a point in place of a decimal comma.");
}

TEST_CASE("quotes that do not end") {
    for (const Row& row : std::initializer_list<Row>{
             {"the rest of the line is lost, the next is read", "fuse F1 \"left, 20 A\nfuse F2",
              "fuse F1 <\"left, 20 A>\nfuse F2\n", "text-unclosed-quote"},
             {"single", "fuse F1 'left, 20 A\nfuse F2", "fuse F1 <'left, 20 A>\nfuse F2\n", "text-unclosed-quote"},
             {"an opening brace stays", "switch S1 \"ignition {\n  off*\n}\nfuse F1",
              "switch S1 <\"ignition> {\n  off*\n}\nfuse F1\n", "text-unclosed-quote"},
             {"a whole block goes with it", "switch S1 \"x { off* | on }\nfuse F1",
              "switch S1 <\"x { off* | on }>\nfuse F1\n", "text-unclosed-quote"},
             {"a closing brace stays", "switch S1 { off* | on \"x }\nfuse F1",
              "switch S1 {\n  off*\n  on <\"x>\n}\nfuse F1\n", "text-unclosed-quote"},
             {"several closing braces stay", "a { b { c \"x } }\nfuse F1", "a {\n  b {\n    c <\"x>\n  }\n}\nfuse F1\n",
              "text-unclosed-quote"},
             {"not over a comment", "switch S1 \"x { // then\n off*\n}", "switch S1 <\"x> {\n  off*\n}\n",
              "text-unclosed-quote"},
             {"at the very end", "fuse \"", "fuse <\">\n", "text-unclosed-quote"},
             {"glued behind", "led \"bar\"20", "led <\"bar\"20>\n", "text-quote-in-text"},
             {"nested of the same kind", "led \"the \"old\" bar\", 2 W", "led <\"the \"old>\" bar\", 2 W\n",
              "text-quote-in-text"},
             {"inches", "box 12\" wide, 3\"", "box 12<\"> wide, 3<\">\n", "text-stray-character text-stray-character"},
             {"feet", "6' long", "6<'> long\n", "text-stray-character"},
             {"an apostrophe in a name", "fuse driver's, 20 A", "fuse <driver's>, 20 A\n", "text-stray-character"},
             {"a text right behind a name is fine", "fuse F1\"left\"", "fuse F1\"left\"\n", ""},
         })
        check(row);
}

TEST_CASE("characters that mean nothing") {
    for (const Row& row : std::initializer_list<Row>{
             {"a tilde", "~2 m", "<~>2 m\n", "text-stray-character"},
             {"an arrow", "wire A → B", "wire A <→> B\n", "text-stray-character"},
             {"inside a word the whole word is lost", "wire A→B, K$1, 2 m", "wire <A→B>, <K$1>, 2 m\n",
              "text-stray-character text-stray-character"},
             {"behind a word the word stays", "fuse F1? 20 A.", "fuse F1<?> 20 A<.>\n",
              "text-stray-character text-stray-character"},
             {"a run is one mistake", "fuse F1 ?!?! x", "fuse F1 <?!?!> x\n", "text-stray-character"},
             {"control characters", "fuse\x01 F1\x7f", std::string_view("fuse<\x01> F1<\x7f>\n"),
              "text-stray-character text-stray-character"},
             {"bytes that are no UTF-8", "fuse F\xe9\xe9 x", std::string_view("fuse F<\xe9\xe9> x\n"),
              "text-broken-encoding"},
             {"such bytes inside a word",
              "fuse F\xe9"
              "1 x",
              std::string_view("fuse <F\xe9"
                               "1> x\n"),
              "text-broken-encoding"},
             {"in a comment", "fuse F1 // F\xe9r\nx", "fuse F1\nx\n", "text-broken-encoding"},
             {"in a text", "fuse F1 \"F\xe9\"", std::string_view("fuse F1 \"F\xe9\"\n"), "text-broken-encoding"},
             {"invisible inside a word", "fuse F\u200b1, 20 A", "fuse <F\u200b1>, 20 A\n", "text-invisible-character"},
             {"invisible beside a dash or a point", "engine\u200b-bay 0.\u200b5", "<engine\u200b-bay> <0.\u200b5>\n",
              "text-invisible-character text-invisible-character"},
             {"invisible beside a decimal comma", "2\u200b,\u200b5 m", "<2\u200b,\u200b5> m\n",
              "text-unreadable-number"},
             {"soft hyphen inside a word", "en\u00adgine", "<en\u00adgine>\n", "text-invisible-character"},
             {"direction turned", "fuse \u202eF1", "fuse <\u202e>F1\n", "text-hidden-direction"},
             {"direction turned in a comment", "fuse F1 // \u202e x", "fuse F1\n", "text-hidden-direction"},
             {"direction turned in a text", "fuse F1 \"\u2066x\u2069\"", "fuse F1 \"\u2066x\u2069\"\n",
              "text-hidden-direction text-hidden-direction"},
             {"a middle dot is no point", "2·5 mm2", "<2·5> mm2\n", "text-stray-character"},
             {"an apostrophe is no thousand", "1'000 W", "<1'000> W\n", "text-stray-character"},
         })
        check(row);
}

TEST_CASE("empty clauses") {
    for (const Row& row : std::initializer_list<Row>{
             {"between two commas", "fuse F1,, 20 A", "fuse F1,, 20 A\n", "text-empty-clause"},
             {"a run is one mistake", "fuse F1, , ,, 20 A", "fuse F1, , ,, 20 A\n", "text-empty-clause"},
             {"at the front", ", 20 A\nfuse", ", 20 A\nfuse\n", "text-empty-clause"},
             {"nothing but commas says nothing", "fuse F1,,\n,,\n,\nfuse F2", "fuse F1\nfuse F2\n", ""},
             {"nothing but commas in a block", "factory {\n , \n fuse F1\n ,\n}", "factory {\n  fuse F1\n}\n", ""},
             {"a comma at the end says nothing", "fuse F1, 20 A,\nfuse F2", "fuse F1, 20 A\nfuse F2\n", ""},
             {"between two bars", "switch S1 { a | | b }", "switch S1 {\n  a\n  b\n}\n", "text-empty-clause"},
         })
        check(row);
}

TEST_CASE("braces that do not match") {
    for (const Row& row : std::initializer_list<Row>{
             {"never closed", "factory {\n  fuse F1\n  fuse F2\n", "factory {?\n  fuse F1\n  fuse F2\n",
              "text-unclosed-block"},
             {"the inner one is missing, seen by the indentation",
              "factory {\n  switch S1 {\n    off*\n  fuse F1\n}\nfuse F2",
              "factory {\n  switch S1 {?\n    off*\n  fuse F1\n}\nfuse F2\n", "text-unclosed-block"},
             {"the inner one is missing, the outer one closes right after it",
              "factory {\n  switch S1 {\n    off*\n}\nfuse F2", "factory {\n  switch S1 {?\n    off*\n}\nfuse F2\n",
              "text-unclosed-block"},
             {"a short block without its end", "switch S5 { cold* | hot\nfuse F1",
              "switch S5 {?\n  cold*\n  hot\nfuse F1\n", "text-unclosed-block"},
             {"two of them", "factory {\n  switch S1 {\n    off*\n  switch S2 {\n    on*\n  fuse F1\n}\n",
              "factory {\n  switch S1 {?\n    off*\n  switch S2 {?\n    on*\n  fuse F1\n}\n",
              "text-unclosed-block text-unclosed-block"},
             {"without indentation the braces decide", "factory {\nfuse F1\nfuse F2",
              "factory {?\n  fuse F1\n  fuse F2\n", "text-unclosed-block"},
             {"one too many", "fuse F1\n}\nfuse F2", "fuse F1\nfuse F2\n", "text-stray-brace"},
             {"one too many inside, seen by the indentation",
              "factory {\n  switch S1 {\n    off*\n  }\n  }\n  fuse F1\n}\nfuse F2",
              "factory {\n  switch S1 {\n    off*\n  }\n  fuse F1\n}\nfuse F2\n", "text-stray-brace"},
             {"closing braces under their block are fine", "switch S1 {\n    off*\n    }\nfuse F1",
              "switch S1 {\n  off*\n}\nfuse F1\n", ""},
             {"an opening brace on the next line", "switch S1\n{\n  off*\n}\nfuse F1",
              "switch S1 {\n  off*\n}\nfuse F1\n", "text-stray-brace"},
             {"an opening brace of nothing", "{\n  off*\n}\nfuse F1", "{\n  off*\n}\nfuse F1\n", "text-stray-brace"},
             {"two blocks on one statement", "switch S1 { a } { b }", "switch S1 {\n  a\n}\n{\n  b\n}\n",
              "text-stray-brace"},
             {"a statement behind a block", "switch S1 { a } fuse F1\nfuse F2",
              "switch S1 {\n  a\n}\nfuse F1\nfuse F2\n", "text-after-brace"},
             {"a clause behind a block", "switch S1 { a }, 5 A\nfuse F2", "switch S1 {\n  a\n}\n<,> 5 A\nfuse F2\n",
              "text-after-brace"},
             {"a statement behind a block in a block", "f {\n  s { a } g, 2 A }\nh",
              "f {\n  s {\n    a\n  }\n  g, 2 A\n}\nh\n", "text-after-brace"},
         })
        check(row);
}

TEST_CASE("blocks too deep are skipped to their end") {
    std::string text;
    for (int i = 0; i < 18; ++i) text += "b" + std::to_string(i) + " { ";
    text += "x";
    for (int i = 0; i < 18; ++i) text += " }";
    const Read r = read(text + "\nfuse F1\n");
    CHECK(rules(r) == "text-too-deep");
    CHECK(flaw(r) == "");
    const std::string tree = dump(r);
    CHECK(tree.find("b16 {}") != std::string::npos);
    CHECK(tree.find("b17") == std::string::npos);
    CHECK(tree.substr(tree.size() - 10) == "}\nfuse F1\n");
}

TEST_CASE("every mistake of a file comes out in one run, in the order of the text") {
    const Read r = read("loom 1\n"
                        "fuse F1 \"left, 20 A\n"
                        "wire W1 from A to B, 2,5 mm2\n"
                        "switch S1 {\n"
                        "  off* ~\n"
                        "fuse F2,, 15 A\n"
                        "}\n"
                        "fuse F3\n");
    CHECK(findings(r) ==
          "2:9 text-unclosed-quote The quote before \"left, 20 A\" is not closed on its line.\n"
          "3:22 text-unreadable-number In 2,5 a comma stands where the point of a decimal belongs.\n"
          "5:8 text-stray-character The character \"~\" means nothing in a circuit file outside quotes.\n"
          "6:8 text-empty-clause Nothing stands between two commas.\n");
    CHECK(dump(r) == "loom 1\n"
                     "fuse F1 <\"left, 20 A>\n"
                     "wire W1 from A to B, <2,5> mm2\n"
                     "switch S1 {\n"
                     "  off* <~>\n"
                     "  fuse F2,, 15 A\n"
                     "}\n"
                     "fuse F3\n");
}

TEST_CASE("an unclosed block names both places") {
    const Read r = read("factory {\n  switch S1 \"ignition\" {\n    off*\n  fuse F1\n}\n");
    REQUIRE(r.parsed.findings.size() == 1);
    const Finding& f = r.parsed.findings[0];
    CHECK(f.headline == "The { of switch S1 \"ignition\" in line 2 has no }.");
    REQUIRE(f.cites.size() == 2);
    CHECK(f.cites[0].label == "opened here");
    CHECK(r.sources.position(0, f.cites[1].span.begin).line == 4);
    CHECK(f.why == "By the indentation it ends before line 4, and it was read so.");
    CHECK(f.cures[0].text == "Put a } before line 4, or wherever it ends.");
}

TEST_CASE("beyond a thousand mistakes the rest is counted") {
    std::string text;
    for (int i = 0; i < 1203; ++i) text += "fuse ~\n";
    const Read r = read(text);
    REQUIRE(r.parsed.findings.size() == most_mistakes + 1);
    CHECK(r.parsed.findings.back().rule == text_id::many_mistakes);
    CHECK(r.parsed.findings.back().headline == "203 more mistakes in this text are not listed.");
}

TEST_CASE("every finding of this room has its row in the table, a reason and a cure, and speaks in whole sentences") {
    std::set<std::string_view> ids;
    for (const TextId& row : netlist_text_ids) {
        CHECK(row.id.substr(0, 5) == "text-");
        CHECK(ids.insert(row.id).second);
        CHECK(!row.meaning.empty());
    }
    std::string text = "a \"b\nc 2,5\nd \"e\"f\ng ~ F\u200b1 \u202e x\xff,, y\nh { i | | j }\nk { l } m\n}\n\n{\n";
    for (int i = 0; i < 20; ++i) text += "n { ";
    std::set<std::string> seen;
    const Read one = read(text);
    std::string many;
    for (int i = 0; i < 1001; ++i) many += "~\n";
    const Read two = read(many);
    for (const Read* r : {&one, &two})
        for (const Finding& f : r->parsed.findings) {
            CAPTURE(f.headline);
            seen.insert(f.rule);
            CHECK(ids.count(f.rule) == 1);
            CHECK(!f.why.empty());
            CHECK(!f.cures.empty());
            CHECK(f.cites.at(0).span.exists());
            for (const std::string& sentence : {f.headline, f.why, f.cures.at(0).text})
                CHECK((sentence.back() == '.' || sentence.substr(sentence.size() - 2) == " {"));
        }
    CHECK(seen.size() == ids.size());
}

TEST_CASE("the samples read without a mistake") {
    for (const std::string_view sample : samples) {
        const Read r = read(sample);
        CHECK(findings(r) == "");
        CHECK(rebuilt(r) == r.sources.at(0).text);
        CHECK(flaw(r) == "");
    }
    CHECK(dump(read(as_typed_on_a_phone)) == "Loom 1\n"
                                             "Battery, 60ah\n"
                                             "fuse F1 \"left kick panel\",20a\n"
                                             "led E1 \"the ‘old’ bar\" , 10*12 w\n"
                                             "wire from battery:+ to F1 - front, 2.5 mm² red,about 0.1m\n"
                                             "wire from F1 to E1:-, 2.5mm2 blue/white , 2 m +0.3m\n"
                                             "rail R1 fed from 1: F1..F6\n"
                                             "place engine-bay, -20 °C to 70degC\n");
    const std::string tree = dump(read(fan_on_a_relay));
    CHECK(tree.find("    off*\n    accessory connects 30 with 15R\n") != std::string::npos);
    CHECK(tree.find("  wire W14 from F3 through X7:1 to M2:+, 1 mm2 BU/WH | BK, 2.1 m + 0.2 m\n") != std::string::npos);
    CHECK(tree.find("  wire from battery:+ to K1:30, 2.5 mm2 RD, about 1.2 m\n") != std::string::npos);
}

TEST_CASE("words carry their spelling and their place") {
    const Read r = read("place engine–bay “a”, ×");
    const Tree& tree = r.tree();
    REQUIRE(tree.tokens.size() == 5);
    CHECK(spelling(r.sources, tree, tree.tokens[1]) == "engine-bay");
    CHECK(r.sources.text(tree.span(tree.tokens[1])) == "engine–bay");
    CHECK(tree.tokens[1].respelled);
    CHECK(spelling(r.sources, tree, tree.tokens[2]) == "a");
    CHECK(spelling(r.sources, tree, tree.tokens[3]) == ",");
    CHECK(spelling(r.sources, tree, tree.tokens[4]) == "*");
    CHECK(sizeof(Token) == 12);
    CHECK(sizeof(Statement) == 28);
}

TEST_CASE("spans of statements reach to the end of their block") {
    const Read r = read("factory {\n  a { b } \n}\nc {\n  d e\n");
    const auto text = [&](std::size_t i) { return r.sources.text(r.tree().span(r.tree().statements[i])); };
    const auto head = [&](std::size_t i) { return r.sources.text(r.tree().head(r.tree().statements[i])); };
    CHECK(text(0) == "factory {\n  a { b } \n}");
    CHECK(head(0) == "factory");
    CHECK(text(1) == "a { b }");
    CHECK(text(3) == "c {\n  d e");
}
