// Texts that nobody means: binary, endless nesting, a megabyte of one mark. Reading must stay linear: the numbers of
// tokens, statements and findings are bounded by the text, and the suite as a whole would not end if the time were not.

#include "netlist/dump.hpp"
#include "netlist/samples.hpp"
#include "support/random.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <iterator>
#include <string>
#include <string_view>

using namespace loomproof;
using namespace loomproof::test;

namespace {

std::string repeated(std::string_view piece, std::size_t bytes) {
    std::string text;
    text.reserve(bytes + piece.size());
    while (text.size() < bytes) text += piece;
    return text;
}

void check_whole(const Read& r) {
    CHECK(flaw(r) == "");
    CHECK((rebuilt(r) == r.sources.at(0).text));
    CHECK(r.tree().tokens.size() <= r.sources.at(0).text.size());
    CHECK(r.tree().statements.size() <= r.tree().tokens.size());
    CHECK(r.parsed.findings.size() <= most_mistakes + 1);
}

} // namespace

TEST_CASE("a megabyte of one thing") {
    for (const std::string_view piece : {"{", "}", "\"", "'", ",", "a{", "1,", "a'", "\xe9", "~a", "a\u200b", "}{"}) {
        CAPTURE(piece);
        check_whole(read(repeated(piece, 1'000'000)));
    }
}

TEST_CASE("a hundred thousand bytes of one thing") {
    for (const std::string_view piece : {"{}",
                                         "{\n",
                                         "}\n",
                                         "a{}",
                                         "a{\n",
                                         "a\"",
                                         "\"\n",
                                         "“",
                                         ",\n",
                                         ",\n ",
                                         ", ,",
                                         "|",
                                         "{|",
                                         "a{|",
                                         "a|",
                                         "a{b|",
                                         "/",
                                         "//",
                                         "//\n",
                                         "\n",
                                         "\r",
                                         "\r\n",
                                         "\t",
                                         " ",
                                         " \n",
                                         ".",
                                         "..",
                                         "1,2,",
                                         ".5",
                                         "-",
                                         "–",
                                         "a–",
                                         "a-",
                                         "a.",
                                         "\xe9"
                                         "a",
                                         "\u200b",
                                         "\u202e",
                                         "//\u202e\n",
                                         "~",
                                         "~\n",
                                         "a~",
                                         "\xc3",
                                         "\xf0\x9f",
                                         "x",
                                         "é",
                                         "熔",
                                         "a,\n  ",
                                         "a{b\n",
                                         " a{\n",
                                         "a{b}c",
                                         "{a}\n ,",
                                         "a {\n  b\n,\n",
                                         "\xe2\x80\xa8",
                                         "\xc2\x85",
                                         "\xff\xfe",
                                         "×",
                                         "…",
                                         "=",
                                         "#",
                                         "\x01"}) {
        CAPTURE(piece);
        check_whole(read(repeated(piece, 100'000)));
    }
}

TEST_CASE("nesting a hundred thousand deep") {
    std::string text;
    for (int i = 0; i < 100'000; ++i) text += "a {\n";
    Read r = read(text);
    check_whole(r);
    CHECK(r.parsed.findings.size() == deepest_block + 1); // one too deep, the others never closed
    for (int i = 0; i < 100'000; ++i) text += "}\n";
    r = read(text + "fuse F1\n");
    check_whole(r);
    CHECK(rules(r) == "text-too-deep");
    CHECK(dump(r).find("\nfuse F1\n") != std::string::npos);
}

TEST_CASE("binary files read to the end") {
    Random random(7);
    for (int round = 0; round < 50; ++round) {
        std::string text;
        for (int i = 0; i < 4000; ++i) text += static_cast<char>(random.below(256));
        check_whole(read(text));
    }
}

TEST_CASE("a broken byte at each place of a sample") {
    for (const std::string_view sample : samples)
        for (std::size_t i = 0; i <= sample.size(); ++i)
            for (const std::string_view broken : {"\xff", "\x80", "\xe2\x80", "\xed\xa0\x80"}) {
                std::string text(sample);
                text.insert(i, broken);
                const Read r = read(text);
                CHECK(rules(r).find("text-broken-encoding") != std::string::npos);
                const std::string found = flaw(r);
                if (found.empty() && rebuilt(r) == text) continue;
                CAPTURE(text);
                CHECK(found == "");
                CHECK(rebuilt(r) == text);
            }
}

TEST_CASE("a sample cut off at each place") {
    for (const std::string_view sample : samples)
        for (std::size_t i = 0; i <= sample.size(); ++i) {
            const Read r = read(sample.substr(0, i));
            CAPTURE(i);
            CHECK(flaw(r) == "");
            CHECK((rebuilt(r) == sample.substr(0, i)));
        }
}

// Lines of nothing but plain words, marks and spaces are read by a short way of their own; behind a tab no line is.
TEST_CASE("a tab between two words is what a space is, in samples and in damaged ones") {
    const auto with_tabs = [](std::string text) {
        bool indents = true;
        for (char& c : text) {
            if (c == '\n' || c == '\r') indents = true;
            if (c == ' ' && !indents) c = '\t';
            indents = indents && (c == ' ' || c == '\n' || c == '\r');
        }
        return text;
    };
    constexpr std::string_view pieces[] = {" ",  "  ", ",",   ",,",   "/", "//", "{",      "}",      "|",
                                           "\"", "'",  "1,5", "2, 5", "-", ".",  "..",     ".5",     "x.",
                                           "-x", "–",  "×",   "\n",   ":", "é",  "\u200b", "K1:30,5"};
    Random random(11);
    for (const std::string_view sample : samples)
        for (int round = 0; round < 2000; ++round) {
            std::string text(sample);
            for (std::size_t n = random.below(4); n > 0; --n)
                text.insert(random.below(text.size()), pieces[random.below(std::size(pieces))]);
            const Read plain = read(text), tabbed = read(with_tabs(text));
            CAPTURE(text);
            const auto same_token = [](const Token& a, const Token& b) {
                return a.kind == b.kind && a.mark == b.mark && a.glued == b.glued && a.respelled == b.respelled &&
                       a.begin == b.begin && a.end == b.end;
            };
            const auto same_statement = [](const Statement& a, const Statement& b) {
                return a.first == b.first && a.last == b.last && a.open == b.open && a.close == b.close &&
                       a.parent == b.parent && a.next == b.next;
            };
            CHECK(std::ranges::equal(plain.tree().tokens, tabbed.tree().tokens, same_token));
            CHECK(std::ranges::equal(plain.tree().statements, tabbed.tree().statements, same_statement));
            CHECK(rules(plain) == rules(tabbed));
        }
}

TEST_CASE("tokens grow with the text and nothing else") {
    const auto tokens = [](std::size_t lines) {
        std::string text;
        for (std::size_t i = 0; i < lines; ++i)
            text += "wire from F3 through X7:1 to M2:+, 1 mm2 BU/WH, 2.1 m + 0.2 m\n";
        const Read r = read(text);
        CHECK(r.parsed.findings.empty());
        CHECK(r.tree().statements.size() == lines);
        return r.tree().tokens.size();
    };
    CHECK(tokens(1000) == 1000 * tokens(1));
    CHECK(tokens(10000) == 10000 * tokens(1));
}
