#include "report/columns.hpp"

#include <doctest/doctest.h>

#include <fmt/core.h>

namespace loomproof::report {

namespace {
std::string lines(const std::vector<std::string>& all) {
    std::string out;
    for (const std::string& line : all) out += line + "|";
    return out;
}
} // namespace

TEST_CASE("Text is set into lines at blanks, the first line with its own room") {
    const struct {
        const char* text;
        std::size_t first, room;
        const char* expected;
    } rows[] = {
        {"", 10, 10, "|"},
        {"one", 10, 10, "one|"},
        {"one two three", 7, 7, "one two|three|"},
        {"one two three", 3, 20, "one|two three|"},
        {"  one \n two\tthree  ", 20, 20, "one two three|"},
        {"exactly ten", 11, 11, "exactly ten|"},
        // A word wider than the room is cut, and what follows it goes on behind.
        {"abcdefghij kl", 4, 4, "abcd|efgh|ij|kl|"},
        {"abcdefgh", 4, 4, "abcd|efgh|"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.text);
        CHECK(lines(wrap(row.text, row.first, row.room)) == row.expected);
    }
}

TEST_CASE("A figure is never parted from its unit") {
    const struct {
        const char* text;
        std::size_t room;
        const char* expected;
    } rows[] = {
        {"carries 900 A.", 11, "carries|900 A.|"},
        {"a lead of 0.8 m, bare", 13, "a lead of|0.8 m, bare|"},
        {"size 2.5 mm2: thin", 8, "size|2.5 mm2:|thin|"},
        {"at (12.6 V)", 9, "at|(12.6 V)|"},
        {"from F1 A", 7, "from F1|A|"}, // F1 is a name, no figure
        {"fuse 20 is", 8, "fuse 20|is|"},
    };
    for (const auto& row : rows) {
        CAPTURE(row.text);
        CHECK(lines(wrap(row.text, row.room, row.room)) == row.expected);
    }
}

TEST_CASE("No line is wider than its room, for any text and room") {
    const std::string text =
        "Der Lüfter läuft nach 日本語の文 bei 0.8 m und e\xcc\x81 x supercalifragilistic 12.6 V (900 A).";
    for (std::size_t room = 2; room < 100; ++room)
        for (std::size_t first = 2; first < 40; first += 7) {
            const auto all = wrap(text, first, room);
            for (std::size_t i = 0; i < all.size(); ++i) {
                CAPTURE(room);
                CAPTURE(all[i]);
                CHECK(columns(all[i]) <= (i == 0 ? first : room));
            }
        }
}

TEST_CASE("Columns of a text: wide characters two, combining marks none") {
    CHECK(columns("") == 0);
    CHECK(columns("K1:30") == 5);
    CHECK(columns("Lüfter") == 6);
    CHECK(columns("Lu\xcc\x88"
                  "fter") == 6);                     // u with a combining diaeresis
    CHECK(columns("\xe9\x98\xb2\xe7\x81\xab") == 4); // two ideographs
    CHECK(columns("\xed\x95\x9c") == 2);             // hangul
    CHECK(columns("\xf0\x9f\x94\xa5") == 2);         // fire
    CHECK(columns("12 \xe2\x84\xa6") == 4);          // ohm sign
    CHECK(columns("\xef\xbc\xa1") == 2);             // full-width A
}

TEST_CASE("What could lead a terminal astray never reaches it") {
    const std::string bad = "\xef\xbf\xbd";
    CHECK(printable("a\x1b[31mb") == "a" + bad + "[31mb");
    CHECK(printable(std::string_view("a\0b", 3)) == "a" + bad + "b");
    CHECK(printable("a\x7f\x08") == "a" + bad + bad);
    CHECK(printable("a\xc2\x9b"
                    "b") == "a" + bad + "b"); // C1 control: one-byte escape
    CHECK(printable("a\xe2\x80\xae"
                    "b") == "a" + bad + "b"); // right-to-left override
    CHECK(printable("a\xe2\x81\xa6"
                    "b") == "a" + bad + "b");                // isolate
    CHECK(printable("a\xff\xc3(") == "a" + bad + bad + "("); // no UTF-8
    CHECK(printable("\xed\xa0\x80") == bad + bad + bad);     // surrogate
    CHECK(printable("one\ttwo\nthree") == "one two three");
    CHECK(printable("Grüße, 日本, 30\xc2\xb0") == "Grüße, 日本, 30\xc2\xb0");
}

} // namespace loomproof::report
