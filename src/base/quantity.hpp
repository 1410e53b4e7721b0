#pragma once
/// Physical quantities that cannot be mixed up.
///
/// A Quantity holds one double in SI base units; its dimension is part of its type, so volts divided by
/// ohms are amps and nothing else compiles. Quantities stand at every door between rooms; inside a
/// numeric kernel plain SI doubles are used. Temperatures on the Celsius scale are points, not
/// quantities: Celsius - Celsius is a Kelvin difference.

#include <compare>

namespace loomproof {

/// Exponents of metre, kilogram, second, ampere, kelvin.
template <int L, int M, int T, int I, int K> struct Dimension {};

template <class D> struct Quantity {
    double si = 0; ///< value in SI base units (V, A, ohm, m, m2, W, C, s, Hz, K)

    constexpr Quantity() = default;
    explicit constexpr Quantity(double si_value) : si(si_value) {}

    constexpr auto operator<=>(const Quantity&) const = default;
    constexpr Quantity operator-() const { return Quantity{-si}; }
    constexpr Quantity& operator+=(Quantity o) {
        si += o.si;
        return *this;
    }
    constexpr Quantity& operator-=(Quantity o) {
        si -= o.si;
        return *this;
    }
    friend constexpr Quantity operator+(Quantity a, Quantity b) { return Quantity{a.si + b.si}; }
    friend constexpr Quantity operator-(Quantity a, Quantity b) { return Quantity{a.si - b.si}; }
    friend constexpr Quantity operator*(Quantity a, double f) { return Quantity{a.si * f}; }
    friend constexpr Quantity operator*(double f, Quantity a) { return Quantity{a.si * f}; }
    friend constexpr Quantity operator/(Quantity a, double f) { return Quantity{a.si / f}; }
    friend constexpr double operator/(Quantity a, Quantity b) { return a.si / b.si; }
};

template <int L, int M, int T, int I, int K, int l, int m, int t, int i, int k>
constexpr auto operator*(Quantity<Dimension<L, M, T, I, K>> a, Quantity<Dimension<l, m, t, i, k>> b) {
    return Quantity<Dimension<L + l, M + m, T + t, I + i, K + k>>{a.si * b.si};
}
template <int L, int M, int T, int I, int K, int l, int m, int t, int i, int k>
constexpr auto operator/(Quantity<Dimension<L, M, T, I, K>> a, Quantity<Dimension<l, m, t, i, k>> b) {
    return Quantity<Dimension<L - l, M - m, T - t, I - i, K - k>>{a.si / b.si};
}

using Metres = Quantity<Dimension<1, 0, 0, 0, 0>>;
using SquareMetres = Quantity<Dimension<2, 0, 0, 0, 0>>;
using Seconds = Quantity<Dimension<0, 0, 1, 0, 0>>;
using Hertz = Quantity<Dimension<0, 0, -1, 0, 0>>;
using Amps = Quantity<Dimension<0, 0, 0, 1, 0>>;
using Volts = Quantity<Dimension<2, 1, -3, -1, 0>>;
using Ohms = Quantity<Dimension<2, 1, -3, -2, 0>>;
using Watts = Quantity<Dimension<2, 1, -3, 0, 0>>;
using Coulombs = Quantity<Dimension<0, 0, 1, 1, 0>>;
using Farads = Quantity<Dimension<-2, -1, 4, 2, 0>>;
using Kelvin = Quantity<Dimension<0, 0, 0, 0, 1>>; ///< a temperature difference

/// A point on the Celsius scale.
struct Celsius {
    double degrees = 0;
    constexpr Celsius() = default;
    explicit constexpr Celsius(double d) : degrees(d) {}
    constexpr auto operator<=>(const Celsius&) const = default;
    friend constexpr Kelvin operator-(Celsius a, Celsius b) { return Kelvin{a.degrees - b.degrees}; }
    friend constexpr Celsius operator+(Celsius a, Kelvin d) { return Celsius{a.degrees + d.si}; }
};

constexpr SquareMetres square_millimetres(double mm2) { return SquareMetres{mm2 * 1e-6}; }
constexpr double in_square_millimetres(SquareMetres a) { return a.si * 1e6; }
constexpr Coulombs amp_hours(double ah) { return Coulombs{ah * 3600}; }

} // namespace loomproof
