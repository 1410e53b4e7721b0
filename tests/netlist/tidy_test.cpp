#include "netlist/tidy.hpp"

#include "base/words.hpp"
#include "netlist/characters.hpp"
#include "netlist/dump.hpp"
#include "netlist/samples.hpp"
#include "support/random.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

using namespace loomproof;
using namespace loomproof::test;

namespace {

constexpr std::string_view keywords[] = {"loom",  "battery", "wire",   "fuse",     "from", "to",
                                         "about", "place",   "switch", "connects", "with", "and"};
constexpr std::string_view units[] = {"v", "a", "w", "m", "ah", "mm2", "mm²", "degc", "awg"};

bool is_keyword(std::string_view word) {
    return std::find(std::begin(keywords), std::end(keywords), word) != std::end(keywords);
}

std::size_t split_unit(std::string_view word) {
    std::size_t i = 0;
    while (i < word.size() && (is_digit(word[i]) || word[i] == '.')) ++i;
    const std::string unit = lower(word.substr(i));
    return i > 0 && std::find(std::begin(units), std::end(units), unit) != std::end(units) ? i : 0;
}

std::string tidied(std::string_view text, bool number_wires = false) {
    const Read r = read(text);
    return tidy(r.sources, r.tree(), {is_keyword, split_unit, number_wires});
}

struct Row {
    std::string_view what;
    std::string_view text;
    std::string_view tidy;
};

void check(const Row& row) {
    CAPTURE(row.what);
    CAPTURE(row.text);
    CHECK(tidied(row.text) == row.tidy);
    CHECK(tidied(row.tidy) == row.tidy);
}

/// The statements of a text in the form in which a text and its tidied form must agree: words in one case, figures apart
/// from their units, gluing kept where a reader minds it (at colons and at signs behind a word).
std::string meaning(const Read& r) {
    const Tree& tree = r.tree();
    std::string out;
    for (const Statement& s : tree.statements) {
        for (std::uint32_t up = s.parent; up != Statement::none; up = tree.statements[up].parent) out += "  ";
        for (std::uint32_t i = s.first; i < s.last; ++i) {
            const Token& t = tree.tokens[i];
            const std::string word(spelling(r.sources, tree, t));
            const bool behind_word = i > s.first && tree.tokens[i - 1].kind == TokenKind::word;
            const bool behind_colon = i > s.first && tree.tokens[i - 1].mark == ':';
            const bool minds = (t.mark == ':' && behind_word) ||
                               (behind_colon && (t.kind == TokenKind::word || t.mark == '+' || t.mark == '-'));
            out += minds && t.glued ? "~" : " ";
            if (t.kind == TokenKind::text)
                out += '"' + word + '"';
            else if (t.kind == TokenKind::stray)
                out += '<' + word + '>';
            else if (const std::size_t unit = split_unit(word); unit > 0)
                out += lower(word.substr(0, unit) + " " + word.substr(unit));
            else
                out += lower(word);
        }
        out += s.open == Statement::none ? "\n" : s.close == Statement::none ? " {?\n" : " {}\n";
    }
    return out;
}

/// All comments of a text, in order.
std::string comments(const Read& r) {
    const std::string_view text = r.sources.at(0).text;
    std::string out;
    std::size_t at = 0;
    const auto scan = [&](std::string_view gap) {
        for (std::size_t i = 0; i + 1 < gap.size(); ++i) {
            if (gap.substr(i, 2) != "//") continue;
            std::size_t end = i;
            while (end < gap.size() && line_end_at(gap, end) == 0) ++end;
            std::string comment(gap.substr(i, end - i));
            while (comment.back() == ' ' || comment.back() == '\t') comment.pop_back();
            out += comment + '\n';
            i = end;
        }
    };
    for (const Token& t : r.tree().tokens) {
        scan(text.substr(at, t.begin - at));
        at = t.end;
    }
    scan(text.substr(at));
    return out;
}

/// What must hold for every text.
void check_properties(const std::string& text) {
    const Read before = read(text);
    const std::string once = tidy(before.sources, before.tree(), {is_keyword, split_unit, false});
    const Read after = read(once);
    const std::string twice = tidy(after.sources, after.tree(), {is_keyword, split_unit, false});
    const bool same = once == twice && meaning(before) == meaning(after) && comments(before) == comments(after) &&
                      rules(before) == rules(after) && flaw(after).empty();
    if (same) return;
    CAPTURE(text);
    CAPTURE(once);
    CHECK(once == twice);
    CHECK(meaning(before) == meaning(after));
    CHECK(comments(before) == comments(after));
    CHECK(rules(before) == rules(after));
    CHECK(flaw(after) == "");
}

} // namespace

TEST_CASE("blanks, commas, marks") {
    for (const Row& row : std::initializer_list<Row>{
             {"nothing", "", ""},
             {"only blanks", " \n \t\n\n", ""},
             {"blanks and line ends", "  fuse   F1 ,20 A\r\n\tfuse\u00a0F2\r", "fuse F1, 20 A\nfuse F2\n"},
             {"a comma at the end", "fuse F1, 20 A,\n,\nfuse F2 ,\n", "fuse F1, 20 A\nfuse F2\n"},
             {"terminals, rest, ranges stay glued", "wire from battery:+ to E1:-, F1..F6\noff*",
              "wire from battery:+ to E1:-, F1..F6\noff*\n"},
             {"colons as typed", "cut W14 0.15 m from X7:1:  W14x stays\nstill to wire : K1:85",
              "cut W14 0.15 m from X7:1: W14x stays\nstill to wire : K1:85\n"},
             {"sums", "a, 2.1m+0.2 m + 3 m +4m, G2:B+ x", "a, 2.1 m + 0.2 m + 3 m + 4 m, G2:B+ x\n"},
             {"bars, brackets, percent", "w RD|BK ( +-20% )", "w RD | BK (+-20 %)\n"},
             {"colours and filaments", "lamp E4, 21/5w, BU/WH", "lamp E4, 21/5 w, BU/WH\n"},
         })
        check(row);
}

TEST_CASE("phones' typing becomes plain") {
    for (const Row& row : std::initializer_list<Row>{
             {"quotes", "led E1 “a” „b“ «c» ‘d’", "led E1 \"a\" \"b\" \"c\" \"d\"\n"},
             {"quotes inside", "led 'the \"old\" bar', “it’s”, ‘the “old” one’, 'it’s “old”'",
              "led 'the \"old\" bar', \"it’s\", 'the “old” one', 'it’s “old”'\n"},
             {"a text glued to a word", "led E1\"a\",'b'", "led E1 \"a\", \"b\"\n"},
             {"dashes", "wire to E1:–, engine—bay – 4‑pin", "wire to E1:-, engine-bay - 4-pin\n"},
             {"signs", "2×5 … F1…F6 F1...F6", "2*5 .. F1..F6 F1..F6\n"},
             {"invisible characters at edges", "fuse\u200b F1\u200e", "fuse F1\n"},
             {"capitals of the language's words", "FUSE F1, About 2M\nBattery To", "fuse F1, about 2 M\nbattery to\n"},
             {"not of stamps, nor in quotes", "wire to S1:To, \"Wire To\"", "wire to S1:To, \"Wire To\"\n"},
             {"spellings of values stay", "fuse F1, .5m + .5 m, 2.50mm², 1e3", "fuse F1, .5 m + .5 m, 2.50 mm², 1e3\n"},
         })
        check(row);
}

TEST_CASE("a figure and its unit come apart only where a figure stands") {
    for (const Row& row : std::initializer_list<Row>{
             {"in a clause", "battery, 60ah, about 12v, 28/0.3mm2", "battery, 60 ah, about 12 v, 28/0.3 mm2\n"},
             {"behind a text", "led E1 \"bar\" 120w", "led E1 \"bar\" 120 w\n"},
             {"stamps stay", "wire from K1:87a to S1:15a, x\nhot connects 30 with 87a and 15a, 49a with 31a",
              "wire from K1:87a to S1:15a, x\nhot connects 30 with 87a and 15a, 49a with 31a\n"},
             {"stamps in a short block", "switch S1, 10a { 15a* | 30a connects 1 with 15a }",
              "switch S1, 10 a { 15a* | 30a connects 1 with 15a }\n"},
             {"names stay", "supply 12v \"x\"\nwire from 12v to 5a, 87a:1",
              "supply 12v \"x\"\nwire from 12v to 5a, 87a:1\n"},
             {"unknown units and slips stay", "battery, 60x, 4-pin, 0.m", "battery, 60x, 4-pin, 0.m\n"},
         })
        check(row);
}

TEST_CASE("lines, blocks, empty lines") {
    for (const Row& row : std::initializer_list<Row>{
             {"long", "factory{\nfuse F1\n    fuse F2\n}", "factory {\n  fuse F1\n  fuse F2\n}\n"},
             {"short stays", "switch S5{cold*|hot connects 1 with 2,}",
              "switch S5 { cold* | hot connects 1 with 2 }\n"},
             {"short with bars at its ends", "switch S5 { | cold* | }", "switch S5 { cold* }\n"},
             {"empty", "factory {}\njob {\n\n}", "factory { }\njob {\n}\n"},
             {"over two lines becomes long", "switch S5 { cold* | warm\n| hot }\nx",
              "switch S5 {\n  cold*\n  warm\n  hot\n}\nx\n"},
             {"nested", "f {\n s {\n section a { x | y }\n }\n}\ng",
              "f {\n  s {\n    section a { x | y }\n  }\n}\ng\n"},
             {"a block behind a comma", "connector X7,\n {\n 1 red\n}", "connector X7 {\n  1 red\n}\n"},
             {"a short block on the next line", "connector X7,\n   { 1 | 2 }", "connector X7 {\n  1\n  2\n}\n"},
             {"empty lines", "\n\nfuse F1\n\n\n\nfuse F2\nf {\n\n a\n\n\n b\n\n}\n\n\n",
              "fuse F1\n\nfuse F2\nf {\n  a\n\n  b\n}\n"},
             {"a statement goes on", "wire W1 from A to B,\n 2 m,   3 v\nf {\n a,\n      b { c | d }\n}",
              "wire W1 from A to B,\n    2 m, 3 v\nf {\n  a,\n      b { c | d }\n}\n"},
         })
        check(row);
}

TEST_CASE("comments stay where they stand") {
    for (const Row& row : std::initializer_list<Row>{
             {"alone", "//a  \n\n\n// b\n", "//a\n\n// b\n"},
             {"behind", "fuse F1//a\nfuse F22 // b\nfuse F3", "fuse F1   //a\nfuse F22  // b\nfuse F3\n"},
             {"around blocks", "f { // a\n// b\nx // c\n// d\n} // e\n// g",
              "f {  // a\n  // b\n  x  // c\n  // d\n}  // e\n// g\n"},
             {"in an empty block", "f {\n// a\n}", "f {\n  // a\n}\n"},
             {"inside a statement", "wire W1, // a\n// b\n\n  2 m, // c\n  3 m // d\nx",
              "wire W1,  // a\n    // b\n    2 m,  // c\n    3 m   // d\nx\n"},
             {"before a block", "X7, // a\n // b\n { // c\n 1\n}", "X7 {  // a\n  // b\n  // c\n  1\n}\n"},
             {"behind a comma that goes", "fuse F1, // a\nfuse F2", "fuse F1  // a\nfuse F2\n"},
             {"behind a bar that goes", "s { a | // x\n b }", "s {\n  a  // x\n  b\n}\n"},
         })
        check(row);
}

TEST_CASE("columns") {
    check({"wires",
           "wire W1 from battery:- to GND1, 16 mm2 BK, 0.4 m\nwire W10 from battery:+ to F9:1, 6 mm2 RD, 0.15 m // "
           "short\n// note\n"
           "wire W14 from F3 through X7:1 to M2:+, 1 mm2 BU/WH, 2.1 m + 0.2 m, in engine-bay\nwire W2 from A to "
           "B\n\nwire W3 from A to B, 1 mm2",
           "wire W1  from battery:- to GND1,         16 mm2 BK,   0.4 m\n"
           "wire W10 from battery:+ to F9:1,         6 mm2 RD,    0.15 m  // short\n"
           "// note\n"
           "wire W14 from F3 through X7:1 to M2:+,   1 mm2 BU/WH, 2.1 m + 0.2 m, in engine-bay\n"
           "wire W2  from A to B\n"
           "\n"
           "wire W3 from A to B, 1 mm2\n"});
    check({"unnamed wires", "wire from A to B, 2 m\nfuse F1\nwire from long to B, 2 m\nwire from A to B, 12 awg",
           "wire from A to B, 2 m\nfuse F1\nwire from long to B,   2 m\nwire from A to B,      12 awg\n"});
    check({"positions", "switch S1 {\noff*\naccessory connects 30 with 15R\nrun connects 30 with 15R and 15\n}",
           "switch S1 {\n  off*\n  accessory  connects 30 with 15R\n  run        connects 30 with 15R and 15\n}\n"});
    check({"expectations", "expect M2 on when S1 run\nexpect M2 off when S1 off\nexpect M2 dim",
           "expect M2 on  when S1 run\nexpect M2 off when S1 off\nexpect M2 dim\n"});
    const std::string wide(80, 'x');
    check({"a very wide one stands out", "wire from " + wide + " to B, 2 m\nwire from A to C, 2 m",
           "wire from " + wide + " to B, 2 m\nwire from A to C,   2 m\n"});
    check({"widths are characters", "wire from Größe to B, 2 m\nwire from Grosse to B, 2 m",
           "wire from Größe to B,    2 m\nwire from Grosse to B,   2 m\n"});
}

TEST_CASE("wires get the next free numbers") {
    CHECK(tidied("wire from A to B\nwire W7 from A to B\nWire From A to B\nf { wire from A to B }\nwire w x from "
                 "A\n\"wire from\"",
                 true) == "wire W8 from A to B\nwire W7 from A to B\nwire W9 from A to B\nf { wire W10 from A to B "
                          "}\nwire w x from A\n\"wire from\"\n");
    CHECK(tidied("wire from A to W14x", true) == "wire W15 from A to W14x\n");
    CHECK(tidied("wire from A to ~B", true) == "wire from A to ~B\n");
    const std::string once = tidied(light_bar, true);
    CHECK(once.find("wire W6 from K1:85") != std::string::npos);
    CHECK(tidied(once, true) == once);
}

TEST_CASE("a statement with a mistake stays as typed") {
    for (const Row& row : std::initializer_list<Row>{
             {"a comma between digits", "  Wire   W1 , 2,5mm2  // x\nFuse F1 ,2a",
              "Wire   W1 , 2,5mm2  // x\nfuse F1, 2 a\n"},
             {"an unclosed quote", "Fuse  F1 “left, 20a\nFuse  F2", "Fuse  F1 “left, 20a\nfuse F2\n"},
             {"two commas", "Fuse  F1,,20a", "Fuse  F1,,20a\n"},
             {"in a block", "f {\nFuse  F1  ~\nFuse  F2\n}", "f {\n  Fuse  F1  ~\n  fuse F2\n}\n"},
             {"in a short block", "f  { Fuse  F1  ~ | x}", "f  { Fuse  F1  ~ | x}\n"},
             {"in the head of a block", "Switch  ~  {\nOff  *\n}", "Switch  ~ {\n  Off *\n}\n"},
             {"between wires that line up", "wire W1 from A to B, 2 m\nWire  W2 from ~, 2 m\nwire W10 from A to B, 2 m",
              "wire W1  from A to B,   2 m\nWire  W2 from ~, 2 m\nwire W10 from A to B,   2 m\n"},
             {"over several lines", "Wire  W1 ,\n Fuse   ~ ,\n  x", "Wire  W1 ,\n    Fuse   ~ ,\n    x\n"},
             {"braces that do not match keep all", "f {\n Fuse  F1\r\n", "f {\n Fuse  F1\r\n"},
             {"a brace too many", "Fuse  F1\n  }\n", "Fuse  F1\n  }\n"},
             {"a brace on the next line", "f\n{\nFuse  F1 }\n", "f\n{\nFuse  F1 }\n"},
             {"something behind a brace", "f { a } Fuse  F1\n", "f { a } Fuse  F1\n"},
             {"two bars", "f { a | | b\n }\n", "f { a | | b\n }\n"},
         })
        check(row);
}

TEST_CASE("the samples in canonical form") {
    CHECK(tidied(light_bar) == R"(loom 1
battery, 60 Ah
fuse F1, 20 A
relay K1, 4-pin, 40 A
led E1 "light bar", 120 W
existing wire T1 "main beam, left lamp plug", blue/white, live when "main beam on"

wire from battery:+ to F1,   12 awg red,   about 0.1 m
wire from F1 to K1:30,       12 awg red,   about 2 m
wire from K1:87 to E1:+,     12 awg red,   about 1 m
wire from E1:- to ground,    12 awg black, about 0.5 m
wire from T1 to K1:86,       18 awg blue,  about 1 m
wire from K1:85 to ground,   18 awg black, about 0.3 m
)");
    CHECK(tidied(as_typed_on_a_phone) == R"(loom 1
battery, 60 ah
fuse F1 "left kick panel", 20 a
led E1 "the ‘old’ bar", 10*12 w

wire from battery:+ to F1 - front,   2.5 mm² red,        about 0.1 m
wire from F1 to E1:-,                2.5 mm2 blue/white, 2 m + 0.3 m  // “quoted”
rail R1 fed from 1: F1..F6
place engine-bay, -20 °C to 70degC
)");
    for (const std::string_view sample : samples) check_properties(std::string(sample));
}

TEST_CASE("tidying changes no meaning and is done after one time, on samples damaged at random") {
    static constexpr std::string_view pieces[] = {
        " ",           "  ",       "\n",         "\n\n",      "\r\n",   "\t",     ",",   ",,",   ", ",  ",\n    ",
        ":",           "/",        "//",         " // x\n",   "{",      "}",      " { ", " }",   "|",   " | ",
        "*",           "+",        " + ",        "-",         "–",      "×",      "…",   "..",   ".",   "\"",
        "“",           "”",        "'",          "’",         "\"a\"",  "\"a",    "2,5", "20A",  "12v", "87a",
        "~",           "?",        "\xe9",       "\u200b",    "\u00a0", "\u202e", "%",   "(",    ")",   "wire",
        "from",        "connects", "wire from ", "expect ",   " when ", "a",      "1",   "0.3m", "W",   "\u2028",
        "factory {\n", "}\n",      "\n}\n",      "{ a | b }", "=",      "#",      ";",   "&",
    };
    Random random(20240607);
    for (int round = 0; round < 3000; ++round) {
        std::string text(samples[random.below(std::size(samples))]);
        if (random.below(2) == 0) { // a stretch of it, so that damage lies dense
            const std::size_t from = random.below(text.size());
            text = text.substr(from, random.below(200));
        }
        for (std::size_t n = random.below(8); n-- > 0;) {
            const std::size_t at = random.below(text.size() + 1);
            switch (random.below(4)) {
            case 0: text.erase(at, random.below(12)); break;
            case 1: text.insert(at, text.substr(random.below(text.size() + 1), random.below(40))); break;
            default: text.insert(at, pieces[random.below(std::size(pieces))]); break;
            }
        }
        check_properties(text);
    }
}

TEST_CASE("tidying hostile texts ends, and in bounded space") {
    for (const std::string_view piece : {"{", "a{", "a {\n", "}", "\"", ",", "a,", "a,\n ", "|", "a{b|", "a b ", "2m,",
                                         "wire from a, ", "//\n", "a //\n", "\n", "connects 2m, ", "(", "a:"}) {
        std::string text;
        while (text.size() < 100'000) text += piece;
        CAPTURE(piece);
        const std::string once = tidied(text);
        CHECK(once.size() <= 4 * text.size());
        CHECK((tidied(once) == once));
    }
}
