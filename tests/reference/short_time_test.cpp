// The heating of copper in a short, against printed constants, published currents and two old fusing formulas.
#include "reference/short_time.hpp"

#include "reference/carrying.hpp"
#include "reference/near.hpp"
#include "reference/wire_sizes.hpp"

#include <cmath>
#include <numbers>

#include <doctest/doctest.h>

namespace loomproof::reference {
namespace {

constexpr double circular_mil_mm2 = std::numbers::pi / 4 * 0.0254 * 0.0254;

TEST_CASE("k is what the standards print") {
    // IEC 60364-5-54, BS 7671: copper, printed as whole numbers.
    struct Row {
        double start, end, k;
    };
    const Row rows[] = {{70, 160, 115}, {90, 160, 100}, {90, 250, 143},
                        {60, 200, 141}, {85, 220, 134}, {180, 350, 132}};
    for (const Row& row : rows) {
        CAPTURE(row.k);
        CHECK(within(adiabatic_k(Celsius{row.start}, Celsius{row.end}), row.k, 0.6));
    }
    CHECK(adiabatic_k(Celsius{105}, Celsius{105}) == 0);
    CHECK(adiabatic_k(Celsius{180}, Celsius{160}) == 0);
}

TEST_CASE("published currents for one second, EPR cable, 90 to 250 C") {
    // A ship cable maker's data sheet, rounded to 10 A; IEC k = 143.
    const std::pair<double, double> rows[] = {
        {1.5, 210}, {2.5, 360}, {4, 570},   {6, 860},    {10, 1430},  {16, 2290},
        {25, 3580}, {35, 5010}, {50, 7150}, {70, 10020}, {95, 13590}, {120, 17170},
    };
    for (const auto& row : rows) {
        const auto mm2 = row.first;
        const auto amps = row.second;
        CAPTURE(mm2);
        CHECK(within(current_to_reach(square_millimetres(mm2), Seconds{1}, Celsius{90}, Celsius{250}).si, amps, 10));
        CHECK(within_share(time_to_reach(square_millimetres(mm2), Amps{amps}, Celsius{90}, Celsius{250}).si, 1, 0.05));
    }
}

TEST_CASE("16 gauge copper melts in five seconds at 168.9 A, not at the 178 A of a page with a sign wrong") {
    // Onderdonk's formula as a public forum page applies it (2581 cmil, 25 C, 1083 C): its denominator should read 234 + Ta.
    const double amps =
        current_to_reach(square_millimetres(2581 * circular_mil_mm2), Seconds{5}, Celsius{25}, copper_melting_point).si;
    CHECK(within_share(amps, 168.9, 0.005));
    CHECK_FALSE(within_share(amps, 178, 0.02));
}

TEST_CASE("time and current are each other's inverse; a tenth of the current lasts a hundred times as long") {
    const SquareMetres copper = square_millimetres(0.465);
    const Celsius start{105}, end{160};
    const Seconds t = time_to_reach(copper, Amps{200}, start, end);
    CHECK(current_to_reach(copper, t, start, end).si == doctest::Approx(200));
    CHECK(time_to_reach(copper, Amps{20}, start, end).si == doctest::Approx(100 * t.si));
    CHECK(time_to_reach(copper, Amps{-200}, start, end).si == doctest::Approx(t.si));
    CHECK(std::isinf(time_to_reach(copper, Amps{0}, start, end).si));
    CHECK(time_to_reach(copper, Amps{200}, end, start).si == 0);
}

// Current at which a bare wire in open air melts at last. Preece, Royal Society, 1880s: 10244 d^1.5, d in inches.
double preece(double inches) { return 10244 * std::pow(inches, 1.5); }

TEST_CASE("whatever the table lets a wire carry lies well under the current that melts it in open air") {
    // Printed values of that formula (two pages): the diameter that melts at a current, to 0.0001 in; 0.0524 in gives 123 A.
    const std::pair<double, double> printed[] = {{10, 0.0098}, {20, 0.0156},  {30, 0.0205},
                                                 {60, 0.0325}, {100, 0.0457}, {200, 0.0725}};
    for (const auto& [amps, inches] : printed) CHECK(within(std::pow(amps / 10244, 2.0 / 3), inches, 1e-4));
    CHECK(within(preece(0.0524), 123, 0.5));

    for (const WireSize& size : wire_sizes(SizeSystem::awg)) {
        const auto carrying = what_a_wire_can_carry(size.copper, Celsius{200}, Celsius{30});
        if (!carrying) continue;
        CAPTURE(size.name);
        const double inches = std::sqrt(size.copper.si * 4 / std::numbers::pi) / 0.0254;
        CHECK(carrying->amps.si < 0.5 * preece(inches));
    }
}

} // namespace
} // namespace loomproof::reference
