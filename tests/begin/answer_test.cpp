// Answers as phones and people type them, and answers that must not be guessed at.
#include "begin/answer.hpp"
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
    for (const char* typed :
         {"don't know", "Don\xe2\x80\x99t know", "DONT KNOW", "don`t know.", "  dont  know ", "unknown", "I don't know",
          "not sure", "idk", "IDK", "n/a", "pass", "dont no", "no idea"}) {
        CAPTURE(typed);
        CHECK(read_word(typed) == Word::dont_know);
    }
    for (const char* typed : {"?", " ? ", "help", "Help"}) CHECK(read_word(typed) == Word::explain);
    for (const char* typed : {"back", "BACK", " back."}) CHECK(read_word(typed) == Word::back);
    for (const char* typed : {"stop", "Stop", "quit"}) CHECK(read_word(typed) == Word::stop);
    for (const char* typed : {"", "120 W", "back door plug", "stop lamp wire", "12"})
        CHECK(read_word(typed) == Word::none);
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
    for (const char* typed :
         {"3 m", "0 A", "-5 A", "9 A and more", "nine", "99999 A", "9 A, 10 A", "{", "\"", "1 2 3"}) {
        CAPTURE(typed);
        CHECK(refused(ask, typed));
    }
    const Ask length = asking({Unit::metres});
    for (const char* typed : {"1,500 m", "60", "2 A", "0 m", "400 m", "1,5,2 m", "1, 5 m"})
        CHECK(refused(length, typed));
    for (const char* typed : {"2 m", "60 cm", "6 ft", "guessed 2 m", "18 in"}) CHECK_FALSE(refused(length, typed));
}

TEST_CASE("what can be several lamps, or a thousand watts, is asked back; lithium is said elsewhere") {
    Ask lamps = asking({Unit::watts, Unit::amps});
    lamps.or_two = true;
    CHECK(became(lamps, "55 watts each").find("2 x 55 watts") != std::string::npos);
    CHECK(refused(lamps, "55 W each"));
    CHECK_FALSE(refused(lamps, "2 x 55 W"));
    CHECK(became(lamps, "1.000 W").find("1000 W or 1 W") != std::string::npos);
    CHECK(became(lamps, "1.500 W").find("1500 W or 1.5 W") != std::string::npos);
    for (const char* typed : {"1.5 W", "0.125 A", "12.25 W", "1000 W"}) CHECK_FALSE(refused(lamps, typed));
    const Ask battery = asking({Unit::amp_hours});
    CHECK(became(battery, "100 Ah lithium").find("100 Ah, lithium") != std::string::npos);
    CHECK(refused(battery, "100 Ah lithium"));
}

TEST_CASE("where one unit alone is possible a bare number is taken with it, and a comma before one or two digits as a "
          "point") {
    Ask length = asking({Unit::metres});
    length.unit_words = "m";
    CHECK(became(length, "1.5") == "1.5 m");
    CHECK(became(length, "about 1.5") == "about 1.5 m");
    CHECK(became(length, "1,5 m") == "1.5 m");
    CHECK(became(length, "1,25") == "1.25 m");
    CHECK(became(length, "150").find("150 cm, or 150 m?") !=
          std::string::npos); // nobody's wire in a car: centimetres are meant
    Ask battery = asking({Unit::amp_hours});
    battery.unit_words = "Ah";
    CHECK(became(battery, "55") == "55 Ah");
    CHECK(became(battery, "About 60") == "About 60 Ah");
    CHECK(refused(battery, "60 A"));
    CHECK(refused(asking({Unit::amps, Unit::watts}), "about 60")); // W or A: not guessed
}

TEST_CASE("two lamps alike are an answer where the form draws two") {
    Ask ask = asking({Unit::watts, Unit::amps});
    CHECK(became(ask, "2 x 55 W").find("for all 2 together") != std::string::npos);
    ask.or_two = true;
    for (const char* typed : {"2x55 W", "2 x 55W", "2 X 55 W", "2*55 W", "2 \xc3\x97 55 W"}) {
        CAPTURE(typed);
        CHECK(became(ask, typed).starts_with("2 x 55"));
    }
    for (const char* typed : {"2x55", "2 lamps of 55 W", "two 55 W lamps", "Two lamps of 55 W each",
                              "2 lamps, 55 W each", "two 55W", "a pair of 55 W lamps", "2 x 55 W lamps"}) {
        CAPTURE(typed);
        CHECK((became(ask, typed) == "2 x 55 W" || became(ask, typed) == "2 x 55W"));
    }
    CHECK(became(ask, "1 x 55 W") == "55 W");
    for (const char* typed : {"4 x 55 W", "0 x 55 W", "2 x", "2 x 2 x 55 W", "2 x 5", "2 x 55 m", "2 lamps, 110 W"}) {
        CAPTURE(typed);
        CHECK(refused(ask, typed));
    }
}

TEST_CASE("what a motor takes to start is three times what it takes, and is not guessed twice over") {
    const auto form =
        read_form("small",
                  "title t\nfile t.loom\nask load\n  say How much?\n  takes A\n  unknown guessed 60 A\n"
                  "wire feed carries load over 1 m\n---\nloom 1\nmotor M1, <load>, starts at <feed start>\n",
                  "");
    REQUIRE(form);
    CHECK(filled(*form, {{"load", "guessed 60 A"}}).find("starts at guessed 180 A") != std::string::npos);
    CHECK(filled(*form, {{"load", "30 A"}}).find("starts at guessed 90 A") != std::string::npos);
}

TEST_CASE("wire is sold in whatever words people have for it") {
    Ask ask = asking(Ask::Takes::option);
    ask.options[0].also = {"mm", "mm2", "metric"};
    ask.options[1].also = {"awg", "gauge", "ga"};
    for (const char* typed : {"mm", "2,5 mm2", "2.5mm\xc2\xb2", "metric", "1"}) CHECK(became(ask, typed) == "mm2");
    for (const char* typed : {"awg", "AWG", "14 AWG", "gauge", "#14 ga", "2"}) CHECK(became(ask, typed) == "awg");
    for (const char* typed : {"2.5", "m", "14"}) CHECK(refused(ask, typed));
}

TEST_CASE("colours are words or sure letters; one letter is never guessed") {
    const Ask ask = asking(Ask::Takes::colour);
    CHECK(became(ask, "Blue/White") == "blue/white");
    CHECK(became(ask, "BU/WH") == "blue/white");
    CHECK(became(ask, "light green") == "light green");
    CHECK(became(ask, "blue with red stripe") == "blue/red"); // as people say it
    for (const char* typed : {"white green", "white with green", "White and Green", "weiss mit gr\xc3\xbcn",
                              "white, green", "wei\xc3\x9f/gr\xc3\xbcn", "white wire with a green stripe"}) {
        CAPTURE(typed);
        CHECK(became(ask, typed) == "white/green");
    }
    CHECK(became(ask, "rot") == "red");
    CHECK(became(ask, "dark blue white") == "dark blue/white");
    CHECK(became(ask, "schwarz") == "black");
    CHECK(refused(ask, "red white blue"));
    for (const char* typed : {"b", "B/W", "G", "R", "blu/wite", "GR", "7"}) {
        CAPTURE(typed);
        CHECK(refused(ask, typed));
    }
    CHECK(became(ask, "b").find("Type it in words: black.") != std::string::npos);
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
    const auto form = read_form("small",
                                "title t\nfile t.loom\nask load\n  say How much?\n  takes W A\n  unknown guessed 60 "
                                "W\n---\nloom 1\nlamp E1, <load>\n",
                                "");
    REQUIRE(form);
    std::uint64_t seed = 7;
    const char* const pieces[] = {
        "12",           " ", "W", "\"",   "{",       "}",   ",",  "//", "don't", "know",   "\xff",
        "\xe2\x80\x9c", "/", "?", "back", "unknown", "mm2", "\t", ".",  "-",     "<load>", "5"};
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
