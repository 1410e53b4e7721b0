#include "base/number.hpp"

#include <doctest/doctest.h>

#include <clocale>
#include <cmath>
#include <limits>

using namespace loomproof;

TEST_CASE("figures have three significant digits, whole numbers stay whole") {
    struct Row {
        double value;
        std::string_view text;
    };
    for (const Row& row : std::initializer_list<Row>{
             {0, "0"},
             {-0.0, "0"},
             {1, "1"},
             {12.6, "12.6"},
             {12.64, "12.6"},
             {12.66, "12.7"},
             {0.1778, "0.178"},
             {0.5, "0.5"},
             {2.50, "2.5"},
             {900, "900"},
             {1240, "1240"},
             {1240.4, "1240"},
             {999.4, "999"},
             {999.6, "1000"},
             {99.96, "100"},
             {9.996, "10"},
             {0.9996, "1"},
             {0.99949, "0.999"},
             {0.001, "0.001"},
             {0.0012345, "0.00123"},
             {0.00099996, "0.001"},
             {999999, "999999"},
             {123456.7, "123457"},
             {-12.34, "-12.3"},
             {-0.0004, "-0.0004"},
             {1e-12, "0"},
             {-1e-12, "0"},
             {1e21, "1000000000000000000000"},
         }) {
        CAPTURE(row.value);
        CHECK(figure(row.value) == row.text);
    }
    CHECK(figure(3.14159, 5) == "3.1416");
    CHECK(figure(0.0123456, 1) == "0.01");
    CHECK(figure(1234.5, 1) == "1234"); // halves to even, as IEEE 754 rounds
    CHECK(figure(std::numeric_limits<double>::quiet_NaN()) == "?");
    CHECK(figure(std::numeric_limits<double>::infinity()) == "?");
    CHECK(figure(-std::numeric_limits<double>::infinity()) == "?");
    CHECK(figure(std::numeric_limits<double>::max()).size() == 309);
    CHECK(figure(std::numeric_limits<double>::denorm_min()) == "0");
}

TEST_CASE("every power of ten and its neighbours keep three digits") {
    for (int exponent = -3; exponent < 6; ++exponent)
        for (const double factor : {1.0, 1.001, 0.99951, 0.9994, 9.9949, 5.005}) {
            const double value = factor * std::pow(10.0, exponent);
            CAPTURE(value);
            const double back = std::stod(figure(value));
            CHECK(std::abs(back - value) <= 0.005 * std::abs(value) + 1e-15);
            CHECK(figure(value).find('e') == std::string::npos);
        }
}

TEST_CASE("quantities with the unit that suits them") {
    CHECK(text(Amps{23}) == "23 A");
    CHECK(text(Amps{0.15}) == "150 mA");
    CHECK(text(Amps{0.9996}) == "1 A");
    CHECK(text(Amps{0.9994}) == "999 mA");
    CHECK(text(Amps{-0.002}) == "-2 mA");
    CHECK(text(Amps{0}) == "0 A");
    CHECK(text(Volts{12.63}) == "12.6 V");
    CHECK(text(Volts{0.04}) == "40 mV");
    CHECK(text(Volts{0.09996}) == "0.1 V");
    CHECK(text(Volts{0.3}) == "0.3 V");
    CHECK(text(Ohms{85}) == "85 ohm");
    CHECK(text(Ohms{0.003}) == "3 mohm");
    CHECK(text(Ohms{0.1}) == "0.1 ohm");
    CHECK(text(Ohms{10000}) == "10 kohm");
    CHECK(text(Ohms{9999}) == "9999 ohm");
    CHECK(text(Metres{0.8}) == "0.8 m");
    CHECK(text(Metres{0.178}) == "0.178 m");
    CHECK(text(Watts{120}) == "120 W");
    CHECK(text(square_millimetres(2.5)) == "2.5 mm2");
    CHECK(text(square_millimetres(0.35)) == "0.35 mm2");
    CHECK(text(Celsius{70}) == "70 degC");
    CHECK(text(Celsius{-20}) == "-20 degC");
    CHECK(text(Seconds{0.5}) == "0.5 s");
    CHECK(text(Seconds{0.04}) == "40 ms");
    CHECK(text(Seconds{0.0997}) == "99.7 ms");
    CHECK(text(Seconds{0.1}) == "0.1 s");
    CHECK(text(Seconds{119}) == "119 s");
    CHECK(text(Seconds{119.4}) == "119 s");
    CHECK(text(Seconds{119.5}) == "2 min");
    CHECK(text(Seconds{120.4}) == "2 min");
    CHECK(text(Seconds{150}) == "2.5 min");
    CHECK(text(Seconds{-3}) == "-3 s");
    CHECK(text(Amps{std::numeric_limits<double>::quiet_NaN()}) == "? A");
}

TEST_CASE("counts and lists") {
    CHECK(counted(0, "danger") == "0 dangers");
    CHECK(counted(1, "danger") == "1 danger");
    CHECK(counted(2, "danger") == "2 dangers");
    CHECK(list_of({}) == "");
    CHECK(list_of({"F1"}) == "F1");
    CHECK(list_of({"F1", "F2"}) == "F1 and F2");
    CHECK(list_of({"F1", "F2", "F3"}, "or") == "F1, F2 or F3");
}

TEST_CASE("no locale is consulted") {
    // German writes a comma; where that locale is not installed nothing changes, and the check is only weaker.
    const std::string before = std::setlocale(LC_ALL, nullptr);
    for (const char* name : {"de_DE.UTF-8", "de_DE", "C.UTF-8", ""}) {
        std::setlocale(LC_ALL, name);
        CHECK(figure(12.6) == "12.6");
        CHECK(text(Metres{1234.5}) == "1234 m");
    }
    std::setlocale(LC_ALL, before.c_str());
}
