#include "base/id.hpp"
#include "base/quantity.hpp"
#include "base/span.hpp"
#include "base/stated.hpp"

#include <doctest/doctest.h>

#include <type_traits>

using namespace loomproof;

namespace {

template <class A, class B>
concept adds = requires(A a, B b) {
    a + b;
};
template <class A, class B>
concept compares = requires(A a, B b) {
    a < b;
};
template <class A, class B> using product = decltype(A{} * B{});
template <class A, class B> using quotient = decltype(A{} / B{});

// What compiles is the test: dimensions come out right, and nothing of two dimensions mixes.
static_assert(std::is_same_v<quotient<Volts, Ohms>, Amps>);
static_assert(std::is_same_v<product<Amps, Ohms>, Volts>);
static_assert(std::is_same_v<product<Volts, Amps>, Watts>);
static_assert(std::is_same_v<product<Amps, Seconds>, Coulombs>);
static_assert(std::is_same_v<product<Ohms, Farads>, Seconds>);
static_assert(std::is_same_v<quotient<Coulombs, Volts>, Farads>);
static_assert(std::is_same_v<product<Metres, Metres>, SquareMetres>);
static_assert(std::is_same_v<quotient<Volts, Volts>, double>);
static_assert(!adds<Volts, Amps> && adds<Volts, Volts>);
static_assert(!compares<Volts, Amps> && compares<Volts, Volts>);
static_assert(!adds<Celsius, Celsius> && adds<Celsius, Kelvin>);
static_assert(!std::is_convertible_v<double, Volts> && !std::is_convertible_v<Volts, double>);
static_assert(!std::is_convertible_v<std::size_t, Id<struct PartTag>> &&
              !std::is_convertible_v<Id<struct PartTag>, Id<struct WireTag>>);

} // namespace

TEST_CASE("quantities count like numbers") {
    CHECK((Volts{12} / Ohms{3}).si == 4);
    CHECK(Volts{12} / Volts{3} == 4.0);
    CHECK((2 * Amps{3} + Amps{1} - Amps{2}).si == 5);
    CHECK((Amps{3} / 2).si == 1.5);
    CHECK((-Amps{3}).si == -3);
    Amps a{1};
    a += Amps{2};
    a -= Amps{0.5};
    CHECK(a == Amps{2.5});
    CHECK(Amps{1} < Amps{2});
    CHECK(in_square_millimetres(square_millimetres(2.5)) == doctest::Approx(2.5));
    CHECK(amp_hours(60).si == 216000);
    CHECK((Celsius{70} - Celsius{20}).si == 50);
    CHECK((Celsius{20} + Kelvin{50}).degrees == 70);
}

TEST_CASE("spans join, and what no text stands behind joins with anything") {
    const Span a{0, 5, 9}, b{0, 2, 4}, other{1, 0, 3}, nothing{};
    CHECK(joined(a, b) == Span{0, 2, 9});
    CHECK(joined(b, a) == Span{0, 2, 9});
    CHECK(joined(a, nothing) == a);
    CHECK(joined(nothing, a) == a);
    CHECK(joined(a, other) == a);
    CHECK(!joined(nothing, nothing).exists());
}

TEST_CASE("stated values know whether and how they are known") {
    const Stated<Amps> unknown;
    CHECK(!unknown.known());
    CHECK(unknown.or_else(Amps{3}) == Amps{3});
    const auto given = Stated<Amps>::exactly(Amps{2}, {0, 1, 4});
    CHECK(given.known());
    CHECK(given.or_else(Amps{3}) == Amps{2});
    CHECK(given.low == given.high);
    CHECK(given.span.exists());
    const auto assumed = Stated<Amps>::assume(Amps{2}, "common practice");
    CHECK(assumed.how == Knowledge::assumed);
    CHECK(assumed.basis == "common practice");
    CHECK(!assumed.span.exists());
}

TEST_CASE("ids do not exist until they are given") {
    const Id<struct PartTag> none, first{0}, second{1};
    CHECK(!none.exists());
    CHECK(first.exists());
    CHECK(first < second);
    CHECK(first != none);
}
