// Colours as people and diagrams write them. Codes: IEC 60757; DIN 47002; the letters of British, Japanese and American
// diagrams (common practice, from memory).
#include "reference/colours.hpp"

#include <cstdlib>
#include <set>
#include <string>

#include <doctest/doctest.h>

namespace loomproof::reference {
namespace {

using enum ColourSet;

// "blue/white", or "? blue (German letters), black (some diagrams)", or "no colour".
std::string read(std::string_view text, ColourSet set = undeclared) {
    const ColourAnswer answer = read_colour(text, set);
    if (answer.colour) return answer.readings.empty() ? word(*answer.colour) : "sure and unsure at once";
    if (answer.readings.empty()) return "no colour";
    std::string out = "?";
    for (const ColourReading& reading : answer.readings) {
        if (out != "?") out += ",";
        out += " " + word(reading.colour) + " (" + std::string(reading.whose) + ")";
    }
    return out;
}

TEST_CASE("letters of IEC 60757 are read without a declaration") {
    const std::pair<const char*, const char*> codes[] = {
        {"BK", "black"}, {"BN", "brown"}, {"RD", "red"},       {"OG", "orange"}, {"YE", "yellow"},
        {"GN", "green"}, {"BU", "blue"},  {"VT", "violet"},    {"GY", "grey"},   {"WH", "white"},
        {"PK", "pink"},  {"GD", "gold"},  {"TQ", "turquoise"}, {"SR", "silver"},
    };
    for (const auto& [code, colour] : codes) {
        CHECK(read(code) == colour);
        CHECK(read(code, iec) == colour);
        CHECK(letters(read_colour(code, iec).colour.value(), iec) == code);
    }
    CHECK(read("GNYE") == "green/yellow");
    CHECK(read("RD/BK") == "red/black");
    CHECK(read("bu-wh") == "blue/white");
    CHECK(read("RDBK") == "red/black");
    CHECK(read(" BU/WH ") == "blue/white");
}

TEST_CASE("words are read in every set") {
    for (const ColourSet set : {undeclared, iec, british, german, japanese, american}) {
        for (const std::string& spelling : colour_words()) {
            CAPTURE(spelling);
            CHECK(read_colour(spelling, set).colour.has_value());
        }
        CHECK(read("red", set) == "red");
        CHECK(read("Purple", set) == "violet");
        CHECK(read("gray", set) == "grey");
        CHECK(read("blue/white", set) == "blue/white");
        CHECK(read("blue-white", set) == "blue/white");
        CHECK(read("light green", set) == "light green");
        CHECK(read("Light-Green/black", set) == "light green/black");
        CHECK(read("light-green-black", set) == "light green/black");
        CHECK(read("sky blue", set) == "light blue");
    }
    CHECK(read("BU/white") == "blue/white");
}

TEST_CASE("British letters") {
    const std::pair<const char*, const char*> codes[] = {
        {"B", "black"}, {"N", "brown"},  {"R", "red"},  {"O", "orange"}, {"Y", "yellow"}, {"G", "green"},
        {"U", "blue"},  {"P", "violet"}, {"S", "grey"}, {"W", "white"},  {"K", "pink"},   {"LG", "light green"},
    };
    for (const auto& [code, colour] : codes) {
        CHECK(read(code, british) == colour);
        CHECK(letters(read_colour(code, british).colour.value(), british) == code);
    }
    CHECK(read("U/W", british) == "blue/white");
    CHECK(read("UW", british) == "blue/white");
    CHECK(read("LGU", british) == "light green/blue");
    CHECK(read("GLG", british) == "green/light green");
    CHECK(read("BR", british) == "black/red");
    CHECK(read("RD", british) == "red");
    CHECK(read("GRN", british) == "green");
}

TEST_CASE("German letters") {
    const std::pair<const char*, const char*> codes[] = {
        {"sw", "black"}, {"br", "brown"},  {"rt", "red"},  {"or", "orange"}, {"ge", "yellow"}, {"gn", "green"},
        {"bl", "blue"},  {"vi", "violet"}, {"gr", "grey"}, {"ws", "white"},  {"rs", "pink"},   {"tk", "turquoise"},
    };
    for (const auto& [code, colour] : codes) {
        CHECK(read(code, german) == colour);
        CHECK(letters(read_colour(code, german).colour.value(), german) == code);
    }
    CHECK(read("sw/ge", german) == "black/yellow");
    CHECK(read("swge", german) == "black/yellow");
    CHECK(read("GNGE", german) == "green/yellow");
    CHECK(read("GR", german) == "grey");
}

TEST_CASE("Japanese letters, where a capital makes the difference") {
    const std::pair<const char*, const char*> codes[] = {
        {"B", "black"}, {"Br", "brown"},       {"R", "red"},         {"O", "orange"}, {"Y", "yellow"},
        {"G", "green"}, {"L", "blue"},         {"V", "violet"},      {"Gr", "grey"},  {"W", "white"},
        {"P", "pink"},  {"Lg", "light green"}, {"Sb", "light blue"},
    };
    for (const auto& [code, colour] : codes) {
        CHECK(read(code, japanese) == colour);
        CHECK(letters(read_colour(code, japanese).colour.value(), japanese) == code);
    }
    CHECK(read("R/B", japanese) == "red/black");
    CHECK(read("RB", japanese) == "red/black");
    CHECK(read("BrW", japanese) == "brown/white");
    CHECK(read("Gr/R", japanese) == "grey/red");
    CHECK(read("GR", japanese) == "? grey (Japanese letters), green/red (Japanese letters)");
    CHECK(read("br", japanese) == "? brown (Japanese letters), black/red (Japanese letters)");
    CHECK(read("GRY", japanese) == "? grey/yellow (Japanese letters), grey (American letters)");
}

TEST_CASE("American letters") {
    const std::pair<const char*, const char*> codes[] = {
        {"BLK", "black"},          {"BRN", "brown"},         {"RED", "red"},
        {"ORN", "orange"},         {"YEL", "yellow"},        {"GRN", "green"},
        {"BLU", "blue"},           {"PPL", "violet"},        {"VIO", "violet"},
        {"GRY", "grey"},           {"WHT", "white"},         {"PNK", "pink"},
        {"LT GRN", "light green"}, {"DK GRN", "dark green"}, {"LT BLU", "light blue"},
        {"DK BLU", "dark blue"},   {"TAN", "tan"},
    };
    for (const auto& [code, colour] : codes) {
        CHECK(read(code, american) == colour);
        CHECK(read(code) == colour);
    }
    CHECK(read("DK-BLU/WHT", american) == "dark blue/white");
    CHECK(read("LT BLU/BLK", american) == "light blue/black");
}

TEST_CASE("one letter without a declared set is never sure: all readings come back") {
    CHECK(read("G") == "? green (British letters), green (Japanese letters)");
    CHECK(read("P") == "? violet (British letters), pink (Japanese letters)");
    CHECK(read("B") == "? black (British letters), black (Japanese letters)");
    CHECK(read("L") == "? blue (Japanese letters)");
    CHECK(read("U") == "? blue (British letters)");
    CHECK(read("V") == "? violet (Japanese letters)");
    CHECK(read("R/B") == "? red/black (British letters), red/black (Japanese letters)");
    CHECK(read("G", iec) == "? green (British letters), green (Japanese letters)");
}

TEST_CASE("two letters of several sets: all readings come back") {
    CHECK(
        read("GR") ==
        "? green/red (British letters), grey (German letters), grey (Japanese letters), green/red (Japanese letters), "
        "green (some diagrams)");
    CHECK(read("BR") == "? black/red (British letters), brown (German letters), brown (Japanese letters), black/red "
                        "(Japanese letters)");
    CHECK(read("BL") == "? blue (German letters), black/blue (Japanese letters), black (some diagrams)");
    CHECK(read("LG") ==
          "? light green (British letters), light green (Japanese letters), blue/green (Japanese letters)");
    CHECK(read("sw/ge") == "? black/yellow (German letters)");
}

TEST_CASE("under one-letter sets an IEC code may be two colours of theirs: both readings come back") {
    CHECK(read("BN", british) == "? brown (IEC 60757), black/brown (British letters)");
    CHECK(read("GY", british) == "? grey (IEC 60757), green/yellow (British letters)");
    CHECK(read("BK", british) == "? black (IEC 60757), black/pink (British letters)");
    CHECK(read("B/N", british) == "black/brown");
    CHECK(read("GY", japanese) == "? grey (IEC 60757), green/yellow (Japanese letters)");
    CHECK(read("RD", japanese) == "red");
}

TEST_CASE("what is no colour") {
    for (const char* text : {"", " ", "X", "reddish", "/", "-", "RD/", "/BK", "red/", "blue/blue", "RD/BK/WH", "RD BK",
                             "GNGN", "12", "--"}) {
        CAPTURE(std::string(text));
        CHECK(read(text) == "no colour");
    }
}

TEST_CASE("letters fall back to words rather than mix") {
    CHECK(letters({Colour::blue, Colour::white}, iec) == "BU/WH");
    CHECK(letters({Colour::blue, Colour::white}, undeclared) == "BU/WH");
    CHECK(letters({Colour::blue, Colour::white}, british) == "U/W");
    CHECK(letters({Colour::blue, Colour::white}, german) == "bl/ws");
    CHECK(letters({Colour::violet, std::nullopt}, american) == "PPL");
    CHECK(letters({Colour::light_green, Colour::black}, iec) == "light green/black");
    CHECK(letters({Colour::light_green, Colour::black}, british) == "LG/B");
    CHECK(letters({Colour::black, Colour::tan}, german) == "black/tan");
    CHECK(letters(Colour::tan, iec) == "");
}

TEST_CASE("what is written is read back as the same colour, in every set, for every pair") {
    for (const ColourSet set : {iec, british, german, japanese, american}) {
        for (int base = 0; base < colour_count; ++base) {
            for (int stripe = -1; stripe < colour_count; ++stripe) {
                if (base == stripe) continue;
                WireColour colour{static_cast<Colour>(base), std::nullopt};
                if (stripe >= 0) colour.stripe = static_cast<Colour>(stripe);
                CAPTURE(letters(colour, set));
                CHECK(read_colour(letters(colour, set), set).colour == colour);
                CHECK(read_colour(word(colour), set).colour == colour);
            }
        }
    }
}

TEST_CASE("declared sets have names") {
    CHECK(find_colour_set("British") == british);
    CHECK(find_colour_set("iec") == iec);
    CHECK(find_colour_set("german") == german);
    CHECK(find_colour_set("japanese") == japanese);
    CHECK(find_colour_set("american") == american);
    CHECK_FALSE(find_colour_set("french"));
    CHECK_FALSE(find_colour_set(""));
    CHECK(source_of(german).standing == Standing::confirmed);
    CHECK(source_of(british).standing == Standing::from_memory);
}

TEST_CASE("painted colours can be told apart") {
    struct Paint {
        long red, green, blue;
    };
    const auto paint = [](int c) {
        const std::string text(hex(static_cast<Colour>(c)));
        REQUIRE(text.size() == 7);
        const long value = std::strtol(text.c_str() + 1, nullptr, 16);
        return Paint{value >> 16, (value >> 8) & 255, value & 255};
    };
    for (int a = 0; a < colour_count; ++a) {
        for (int b = 0; b < a; ++b) {
            CAPTURE(word(static_cast<Colour>(a)));
            CAPTURE(word(static_cast<Colour>(b)));
            const Paint p = paint(a), q = paint(b);
            const long distance = std::abs(p.red - q.red) + std::abs(p.green - q.green) + std::abs(p.blue - q.blue);
            CHECK(distance >= 50);
        }
    }
}

} // namespace
} // namespace loomproof::reference
