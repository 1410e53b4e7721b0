#include "paper/type.hpp"

#include <doctest/doctest.h>

using namespace loomproof::paper;

TEST_CASE("widths are those of the published Helvetica metrics") {
    // Helvetica.afm and Helvetica-Bold.afm of the Adobe Core 14 fonts (WX of each letter, thousandths of the type size);
    // Liberation Sans agrees in each of the 95 printable ASCII letters (read with fontTools from version 2.1.5).
    CHECK(text_width("A", 1000) == doctest::Approx(667));
    CHECK(text_width("W", 1000) == doctest::Approx(944));
    CHECK(text_width("i", 1000) == doctest::Approx(222));
    CHECK(text_width("m", 1000, Weight::bold) == doctest::Approx(889));
    CHECK(text_width("@", 1000, Weight::bold) == doctest::Approx(975));
    CHECK(text_width("87a", 1000, Weight::bold) == doctest::Approx(556 + 556 + 556));
    CHECK(text_width("W31 4 RD/GN", 1000) == doctest::Approx(944 + 3 * 556 + 2 * 278 + 722 + 722 + 278 + 778 + 722));
    CHECK(text_width("", 14) == 0);
}

TEST_CASE("letters beyond ASCII and broken bytes have a width and never run past the end") {
    CHECK(text_width("\xC3\xA9", 1000) == doctest::Approx(670));      // one letter, not two
    CHECK(text_width("\xE6\xBC\xA2", 1000) == doctest::Approx(1000)); // an ideograph
    CHECK(text_width("e\xCC\x81", 1000) == doctest::Approx(556));     // a mark joins its letter
    CHECK(text_width("\xE6\xBC", 1000) > 0);                          // cut short
    CHECK(text_width("\xFF", 1000) > 0);
}

TEST_CASE("capitals are as high as promised") {
    CHECK(plain_size * capital_height / units_per_mm >= 2.5);
    CHECK(name_size * capital_height / units_per_mm == doctest::Approx(3.05).epsilon(0.01));
}

TEST_CASE("lines break at spaces and nowhere else") {
    using Lines = std::vector<std::string>;
    CHECK(broken_into_lines("left inner wing, body", 80, 14) == Lines{"left inner", "wing, body"});
    CHECK(broken_into_lines("unbreakable", 10, 14) == Lines{"unbreakable"});
    CHECK(broken_into_lines("  two   words ", 1000, 14) == Lines{"two words"});
    CHECK(broken_into_lines("", 100, 14).empty());
    CHECK(broken_into_lines("   ", 100, 14).empty());
    for (const std::string& line : broken_into_lines("a long text that has to be broken several times to fit", 70, 14))
        CHECK(text_width(line, 14) <= 70);
}
