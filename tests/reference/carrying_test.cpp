// What a wire can carry: the regulation retyped, its notes, trade pairs, and other people's tables as bounds.
#include "reference/carrying.hpp"

#include "reference/near.hpp"
#include "reference/wire_sizes.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <doctest/doctest.h>

namespace loomproof::reference {
namespace {

constexpr Celsius c105{105}, at_30{30}, at_50{50}, at_70{70};

double amps(const std::optional<WireSize>& size, Celsius insulation, Celsius place) {
    return what_a_wire_can_carry(size.value().copper, insulation, place).value().amps.si;
}

// 33 CFR 183.425 Table 5, retyped column by column.
constexpr std::array<const char*, 15> table_5_awg{"18", "16", "14", "12",  "10",  "8",   "6",  "4",
                                                  "3",  "2",  "1",  "1/0", "2/0", "3/0", "4/0"};
struct Column {
    double degrees;
    std::array<double, 15> amps;
};
constexpr Column table_5[] = {
    {60, {10, 15, 20, 25, 40, 55, 80, 105, 120, 140, 165, 195, 225, 260, 300}},
    {75, {10, 15, 20, 25, 40, 65, 95, 125, 145, 170, 195, 230, 265, 310, 360}},
    {80, {15, 20, 25, 35, 50, 70, 100, 130, 150, 175, 210, 245, 285, 330, 385}},
    {90, {20, 25, 30, 40, 55, 70, 100, 135, 155, 180, 210, 245, 285, 330, 385}},
    {105, {20, 25, 35, 45, 60, 80, 120, 160, 180, 210, 245, 285, 330, 385, 445}},
    {125, {25, 30, 40, 50, 70, 90, 125, 170, 195, 225, 265, 305, 355, 410, 475}},
    {200, {25, 35, 45, 55, 70, 100, 135, 180, 210, 240, 280, 325, 370, 430, 510}},
};

TEST_CASE("Table 5 comes back row by row and column by column") {
    for (const Column& column : table_5) {
        for (std::size_t i = 0; i < table_5_awg.size(); ++i) {
            CAPTURE(column.degrees);
            CAPTURE(std::string(table_5_awg[i]));
            const auto carrying =
                what_a_wire_can_carry(find_awg(table_5_awg[i]).value().copper, Celsius{column.degrees}, at_30).value();
            CHECK(carrying.amps.si == column.amps[i]);
            CHECK(carrying.row == std::string(table_5_awg[i]) + " AWG");
            CHECK(carrying.column.degrees == column.degrees);
            CHECK(carrying.source.standing == Standing::confirmed);
        }
    }
}

TEST_CASE("never interpolated upwards: a hair less copper than a row is that row times its share, a size less is the "
          "row below") {
    for (std::size_t i = 1; i < table_5_awg.size(); ++i) {
        CAPTURE(std::string(table_5_awg[i]));
        const SquareMetres row = find_awg(table_5_awg[i]).value().copper;
        CHECK(within(what_a_wire_can_carry(row * 0.97, c105, at_30).value().amps.si, table_5[4].amps[i] * 0.97, 1e-6));
        CHECK(what_a_wire_can_carry(row * 0.95, c105, at_30).value().amps.si == table_5[4].amps[i - 1]);
        CHECK(what_a_wire_can_carry(row * 1.0001, c105, at_30).value().amps.si == table_5[4].amps[i]);
    }
    // Sizes between two rows: AWG 13, and metric sizes by what they hold (1.5 mm2 holds 1.36: AWG 16).
    CHECK(amps(find_awg("13"), c105, at_30) == 35);
    CHECK(amps(find_metric(1.5), c105, at_30) == 25);
    CHECK(amps(find_sae("14"), c105, at_30) == 25);
    // 70 mm2 is the metric neighbour of 2/0 AWG (0.259 mohm/m in ISO 6722, 0.256 by the AWG formula): 330 A times 0.988. 35 mm2 beside
    // 2 AWG (0.527 and 0.513): 210 A times 0.973.
    CHECK(within_share(amps(find_metric(70), c105, at_30), 326, 0.005));
    CHECK(within_share(amps(find_metric(35), c105, at_30), 204, 0.005));
    CHECK(amps(find_metric(120), c105, at_30) == 445);
}

TEST_CASE("insulation between two columns takes the lower column; below 60 C nothing is published") {
    const SquareMetres copper = find_awg("12").value().copper;
    const auto carry = [&](double insulation) { return what_a_wire_can_carry(copper, Celsius{insulation}, at_30); };
    CHECK(carry(85).value().amps.si == 35);
    CHECK(carry(85).value().column.degrees == 80);
    CHECK(carry(100).value().amps.si == 40);
    CHECK(carry(124.9).value().amps.si == 45);
    CHECK(carry(150).value().amps.si == 50);
    CHECK(carry(250).value().amps.si == 55);
    CHECK_FALSE(carry(59.9));
}

TEST_CASE("the factor for a warm place agrees with the notes of the table") {
    // 33 CFR 183.425 Table 5 note 1, engine space at 50 C. 105 C confirmed, the others from memory.
    const std::pair<double, double> notes[] = {{60, 0.58}, {75, 0.75},  {80, 0.78},
                                               {90, 0.82}, {105, 0.85}, {125, 0.89}};
    const SquareMetres copper = find_awg("10").value().copper;
    for (const auto& row : notes) {
        const auto insulation = row.first;
        const auto factor = row.second;
        CAPTURE(insulation);
        CHECK(within(what_a_wire_can_carry(copper, Celsius{insulation}, at_50).value().place_factor, factor, 0.01));
    }
    // The note gives 1.00 to 200 C wire (from memory); the law of heat takes 6 % off, the safer figure.
    CHECK(what_a_wire_can_carry(copper, Celsius{200}, at_50).value().place_factor ==
          doctest::Approx(0.9393).epsilon(1e-4));
}

TEST_CASE("engine-space figures of a published table, 105 C wire") {
    // A cable maker's technical table after 33 CFR 183.425, sizes 18 to 1; printed to 0.1 A with the factor 0.85 where ours
    // is 0.8563, so ours lie 0.7 % above; a second maker prints whole amps.
    const std::pair<const char*, double> rows[] = {
        {"18", 17}, {"16", 21.3}, {"14", 29.8}, {"12", 38.3}, {"10", 51},
        {"8", 68},  {"6", 102},   {"4", 136},   {"2", 178.5}, {"1", 208.3},
    };
    for (const auto& row : rows) {
        const auto awg = row.first;
        const auto printed = row.second;
        CAPTURE(std::string(awg));
        CHECK(within_share(amps(find_awg(awg), c105, at_50), printed, 0.009));
    }
}

TEST_CASE("everyday pairs of wire and fuse pass: the wire carries at least the fuse") {
    // Common practice, no source. 105 C insulation, 30 C.
    const std::pair<double, double> pairs[] = {{0.5, 10}, {0.75, 15}, {1, 15}, {1.5, 20}, {2.5, 30}, {4, 40}, {6, 60}};
    for (const auto& row : pairs) {
        const auto nominal = row.first;
        const auto fuse = row.second;
        CAPTURE(nominal);
        CHECK(amps(find_metric(nominal), c105, at_30) >= fuse);
    }
}

TEST_CASE("small wires: each size reaches the row that is named after it") {
    // Common practice, no source; chosen on the safe side of Table 5 extended by area^0.6.
    CHECK(amps(find_metric(0.22), c105, at_30) == 5);
    CHECK(amps(find_metric(0.35), c105, at_30) == 9);
    CHECK(amps(find_sae("22"), c105, at_30) == 9);
    CHECK(amps(find_metric(0.5), c105, at_30) == 12);
    CHECK(amps(find_sae("20"), c105, at_30) == 12);
    CHECK(amps(find_awg("20"), c105, at_30) == 12);
    CHECK(amps(find_metric(0.75), c105, at_30) == 15);
    CHECK(amps(find_sae("18"), c105, at_30) == 17);
    CHECK(amps(find_awg("18"), c105, at_30) == 20);
    for (const auto& size :
         {find_metric(0.22), find_metric(0.35), find_metric(0.5), find_metric(0.75), find_sae("18")}) {
        const auto carrying = what_a_wire_can_carry(size.value().copper, c105, at_30).value();
        CHECK(carrying.source.standing == Standing::common_practice);
        CHECK(carrying.amps.si <
              20 * std::pow(carrying.row == "18 SAE" ? 0.7788 / 0.8231 : size->copper / find_awg("18")->copper, 0.6));
    }
    CHECK_FALSE(what_a_wire_can_carry(find_metric(0.13).value().copper, c105, at_30));
    CHECK_FALSE(what_a_wire_can_carry(find_awg("26").value().copper, c105, at_30));
}

TEST_CASE("small wires of another class: never more than the 105 C row, never more than a thicker wire") {
    const SquareMetres half = find_metric(0.5).value().copper;
    const auto carry = [&](double insulation) {
        return what_a_wire_can_carry(half, Celsius{insulation}, at_30).value().amps.si;
    };
    CHECK(carry(60) == doctest::Approx(6));                    // as Table 5 halves its AWG 18 row
    CHECK(carry(80) == doctest::Approx(9));                    // 15 of 20
    CHECK(carry(90) == doctest::Approx(10.733).epsilon(1e-4)); // by the law of heat; the table takes nothing off
    CHECK(carry(125) == 12);
    CHECK(carry(200) == 12);
}

TEST_CASE("thicker wire, better insulation, cooler place: never less") {
    std::vector<SquareMetres> areas;
    for (double mm2 = 0.2034; mm2 < 130; mm2 *= 1.07) areas.push_back(square_millimetres(mm2));
    for (std::size_t i = 0; i < areas.size(); ++i) {
        for (double insulation = 60; insulation <= 205; insulation += 5) {
            for (double place = -20; place <= 120; place += 20) {
                CAPTURE(in_square_millimetres(areas[i]));
                CAPTURE(insulation);
                CAPTURE(place);
                const auto get = [](SquareMetres a, double c, double p) {
                    return what_a_wire_can_carry(a, Celsius{c}, Celsius{p}).value().amps.si;
                };
                const double here = get(areas[i], insulation, place);
                CHECK(here >= 0);
                CHECK(get(areas[i], insulation + 5, place) >= here - 1e-9);
                CHECK(get(areas[i], insulation, place - 20) >= here);
                if (i + 1 < areas.size()) CHECK(get(areas[i + 1], insulation, place) >= here);
            }
        }
    }
}

TEST_CASE("a place as hot as the insulation leaves nothing, a cold one adds nothing") {
    const SquareMetres copper = find_metric(2.5).value().copper;
    CHECK(what_a_wire_can_carry(copper, c105, c105).value().amps.si == 0);
    CHECK(what_a_wire_can_carry(copper, c105, Celsius{140}).value().amps.si == 0);
    CHECK(what_a_wire_can_carry(copper, c105, Celsius{-20}).value().amps.si == 35);
    CHECK(what_a_wire_can_carry(copper, c105, at_70).value().amps.si == doctest::Approx(35 * std::sqrt(35.0 / 75)));
}

TEST_CASE("what is no figure has no answer") {
    const double nan = std::nan(""), infinity = std::numeric_limits<double>::infinity();
    CHECK_FALSE(what_a_wire_can_carry(SquareMetres{nan}, c105, at_30));
    CHECK_FALSE(what_a_wire_can_carry(SquareMetres{infinity}, c105, at_30));
    CHECK_FALSE(what_a_wire_can_carry(SquareMetres{0}, c105, at_30));
    CHECK_FALSE(what_a_wire_can_carry(SquareMetres{-1e-6}, c105, at_30));
    CHECK_FALSE(what_a_wire_can_carry(square_millimetres(2), Celsius{nan}, at_30));
    CHECK_FALSE(what_a_wire_can_carry(square_millimetres(2), c105, Celsius{nan}));
}

TEST_CASE("copper reaches its class exactly at the current it can carry") {
    for (const double place : {30.0, 50.0, 70.0, 100.0}) {
        for (const double insulation : {105.0, 125.0}) {
            const auto carrying =
                what_a_wire_can_carry(find_metric(1.5).value().copper, Celsius{insulation}, Celsius{place}).value();
            CHECK(copper_temperature(carrying, carrying.amps).degrees == doctest::Approx(insulation));
            CHECK(copper_temperature(carrying, carrying.amps * 0.5).degrees ==
                  doctest::Approx(place + (insulation - place) / 4));
            CHECK(copper_temperature(carrying, Amps{0}).degrees == place);
        }
    }
}

TEST_CASE("bundles of an aircraft table stay below what a wire by itself carries") {
    // FAA AC 43.13-1B table 11-9, 105 C column: bundles of 33 wires (9 from size 8 up) at 70 C. Single wires of the same
    // number must come out above, and not by more than a bundle of that size takes off (about half, and rounding).
    const std::pair<const char*, double> rows[] = {
        {"20", 4}, {"18", 6}, {"16", 7},  {"14", 10},   {"12", 13},   {"10", 17},   {"8", 38},    {"6", 50},
        {"4", 68}, {"2", 95}, {"1", 113}, {"1/0", 128}, {"2/0", 147}, {"3/0", 172}, {"4/0", 204},
    };
    for (const auto& row : rows) {
        const auto awg = row.first;
        const auto bundled = row.second;
        CAPTURE(std::string(awg));
        CHECK(amps(find_awg(awg), c105, at_70) > bundled);
        CHECK(amps(find_awg(awg), c105, at_70) < 2.6 * bundled);
    }
}

TEST_CASE("the sentence says how the figure came about") {
    const SquareMetres copper = find_metric(1.5).value().copper;
    CHECK(sentence(what_a_wire_can_carry(copper, c105, at_70).value()) ==
          "Carries 17.1 A: 25 A, as 16 AWG does at 30 degC in 105 degC insulation (33 CFR 183.425 Table 5, written for "
          "boats), "
          "times 0.683 for a place at 70 degC.");
    CHECK(sentence(what_a_wire_can_carry(copper, Celsius{85}, at_30).value()) ==
          "Carries 20 A, as 16 AWG does at 30 degC in 85 degC insulation (33 CFR 183.425 Table 5, written for boats, "
          "column for "
          "80 degC).");
    CHECK(sentence(what_a_wire_can_carry(find_metric(0.5).value().copper, c105, at_30).value()) ==
          "Carries 12 A, as 0.5 mm2 does at 30 degC in 105 degC insulation (common practice for wires below 18 AWG, no "
          "published "
          "table).");
}

} // namespace
} // namespace loomproof::reference
