// Answers as phones and people type them, and answers that must not be guessed at.
#include "begin/dialogue.hpp"

#include <doctest/doctest.h>

using namespace loomproof;
using namespace loomproof::begin;

namespace {

Ask asking(std::vector<Unit> units) {
    Ask ask;
    ask.takes = Ask::Takes::figure;
    ask.units = std::move(units);
    ask.unit_words = "A or W";
    ask.unknown = "unknown A";
    return ask;
}
Ask asking(Ask::Takes takes) {
    Ask ask;
    ask.takes = takes;
    ask.options = {{"mm2", "in mm2"}, {"awg", "by AWG number"}};
    return ask;
}
std::string became(const Ask& ask, const char* typed) {
    const auto value = read_answer(ask, typed);
    return value ? *value : "no: " + value.error();
}
bool refused(const Ask& ask, const char* typed) { return !read_answer(ask, typed); }

} // namespace

TEST_CASE("the words that every question knows, however they are typed") {
    for (const char* typed : {"don't know", "Don\xe2\x80\x99t know", "DONT KNOW", "don`t know.", "  dont  know ", "unknown", "I don't know", "not sure"}) {
        CAPTURE(typed);
        CHECK(read_word(typed) == Word::dont_know);
    }
    for (const char* typed : {"?", " ? ", "help", "Help"}) CHECK(read_word(typed) == Word::explain);
    for (const char* typed : {"back", "BACK", " back."}) CHECK(read_word(typed) == Word::back);
    for (const char* typed : {"stop", "Stop", "quit"}) CHECK(read_word(typed) == Word::stop);
    for (const char* typed : {"", "120 W", "back door plug", "stop lamp wire", "12"}) CHECK(read_word(typed) == Word::none);
}

TEST_CASE("figures are kept as typed where they are clear") {
    const Ask ask = asking({Unit::amps, Unit::watts});
    for (const char* typed : {"120 W", "120w", " 9 A ", "about 9 A", "measured 8.7 A", "9 Amps", "1.2 kW"}) {
        CAPTURE(typed);
        CHECK_FALSE(refused(ask, typed));
    }
    CHECK(became(ask, "unknown A") == "unknown A");
}

TEST_CASE("figures that are not clear, not of this kind or not possible are sent back with the reason") {
    const Ask ask = asking({Unit::amps, Unit::watts});
    CHECK(became(ask, "2,5 A").find("2.5") != std::string::npos);
    CHECK(became(ask, "9").find("unit") != std::string::npos);
    CHECK(became(ask, "9 MA").find("two ways") != std::string::npos);
    for (const char* typed : {"3 m", "0 A", "-5 A", "9 A and more", "nine", "99999 A", "9 A, 10 A", "{", "\"", "1 2 3"}) {
        CAPTURE(typed);
        CHECK(refused(ask, typed));
    }
    const Ask length = asking({Unit::metres});
    for (const char* typed : {"0,5 m", "2", "2 A", "0 m", "400 m"}) CHECK(refused(length, typed));
    for (const char* typed : {"2 m", "60 cm", "6 ft", "guessed 2 m", "18 in"}) CHECK_FALSE(refused(length, typed));
}

TEST_CASE("colours are words or sure letters; one letter is never guessed") {
    const Ask ask = asking(Ask::Takes::colour);
    CHECK(became(ask, "Blue/White") == "blue/white");
    CHECK(became(ask, "BU/WH") == "blue/white");
    CHECK(became(ask, "light green") == "light green");
    for (const char* typed : {"b", "B/W", "G", "R", "blu/wite", "GR", "7"}) {
        CAPTURE(typed);
        CHECK(refused(ask, typed));
    }
    CHECK(became(ask, "B").find(" or ") != std::string::npos); // both readings are shown
}

TEST_CASE("words for the drawing in any script, without what would end their quotes") {
    const Ask ask = asking(Ask::Takes::words);
    CHECK(became(ask, "  left \"lamp\" plug ") == "left lamp plug");
    CHECK(became(ask, "\xe2\x80\x9eHupe\xe2\x80\x9c") == "Hupe");
    CHECK(became(ask, "\xd1\x84\xd0\xb0\xd1\x80\xd0\xb0") == "\xd1\x84\xd0\xb0\xd1\x80\xd0\xb0");
    CHECK(refused(ask, "\"\""));
    CHECK(refused(ask, "\xff"));
    CHECK(refused(ask, std::string(61, 'x').c_str()));
    const Ask choice = asking(Ask::Takes::option);
    CHECK(became(choice, "2") == "awg");
    CHECK(became(choice, "MM2") == "mm2");
    CHECK(refused(choice, "3"));
}

TEST_CASE("whatever is typed, the form answers and ends where it should") {
    const auto form = read_form("small", "title t\nfile t.loom\nask load\n  say How much?\n  takes W A\n  unknown guessed 60 W\n---\nloom 1\nlamp E1, <load>\n", "");
    REQUIRE(form);
    std::uint64_t seed = 7;
    const char* const pieces[] = {"12", " ", "W", "\"", "{", "}", ",", "//", "don't", "know", "\xff", "\xe2\x80\x9c", "/", "?", "back", "unknown", "mm2", "\t", ".", "-", "<load>", "5"};
    for (int round = 0; round < 400; ++round) {
        std::string typed;
        for (int i = 0; i < 5; ++i) {
            seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
            typed += pieces[(seed >> 33) % std::size(pieces)];
        }
        CAPTURE(typed);
        Dialogue dialogue(*form, 1);
        const std::string said = dialogue.take(typed, 60);
        if (!dialogue.done()) continue;
        const std::string file = dialogue.file();
        CHECK(file.find("lamp E1") != std::string::npos);
        CHECK(std::count(file.begin(), file.end(), '\n') == 2); // nothing that was typed makes a line of its own
    }
}
