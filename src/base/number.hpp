#pragma once
/// Figures for people: three significant digits, never in exponent form between 0.001 and 999999, never a locale.

#include "base/quantity.hpp"

#include <string>
#include <vector>

namespace loomproof {

/// "12.6", "0.178", "900", "1240": `digits` significant digits, integers kept whole, trailing zeros dropped.
/// Not-a-number and infinities give "?" (they are bugs elsewhere; a sheet must still print).
std::string figure(double value, int digits = 3);

std::string text(Amps);         ///< "23 A", "150 mA" below 1 A
std::string text(Volts);        ///< "12.6 V", "40 mV" below 0.1 V
std::string text(Ohms);         ///< "85 ohm", "3 mohm", "10 kohm"
std::string text(Metres);       ///< "0.8 m", "2.1 m"; "178 mm" is never printed: one unit for lengths
std::string text(Watts);        ///< "120 W"
std::string text(SquareMetres); ///< "2.5 mm2"
std::string text(Celsius);      ///< "70 degC"
std::string text(Seconds);      ///< "0.5 s", "40 ms", "2 min" from 120 s on

/// "1 danger", "2 dangers": the count and the word, with an s from two on (and for zero).
std::string counted(std::size_t n, const std::string& singular);
/// "a", "a and b", "a, b and c".
std::string list_of(const std::vector<std::string>& items, const std::string& last = "and");

} // namespace loomproof
