#pragma once
/// What a wire can carry, steadily, before its insulation gets hotter than it stands.
///
/// The rule, from the effective copper area (wire_sizes.hpp), the insulation class and the temperature of the place:
///
/// 1. Row: the largest row of 33 CFR 183.425 Table 5 whose AWG area is not above the wire's area. Never interpolated
///    upwards: a row that is above by up to 4 % counts too, but less by the share of copper that is missing (70 mm2
///    beside 2/0 AWG). Below AWG 18 the rows of a small-wire table of common practice apply; each is reached by the
///    size that it is named after (0.5 mm2 by the effective area of ISO 6722 0.5 mm2).
/// 2. Column: the class of the insulation, or the next lower column of the table. The law's figures hold at 30 C.
/// 3. Place: times sqrt((class - place) / (class - 30 C)). A wire that makes its heat by I^2 R and loses it in proportion
///    to its temperature rise follows this; it gives 0.856 for 105 C wire at 50 C, where the law's own note has 0.85. A
///    place cooler than 30 C earns nothing: summer comes.
///
/// The regulation was written for boats and says so in every message; no open road-vehicle standard gives such a table.
/// It holds for a wire by itself. Wires in a bundle are not reduced below 50 V (33 CFR 183.435(b)).
/// Small-wire rows are for 105 C insulation. Lower classes are reduced by what Table 5 takes off its AWG 18 row, or by
/// the law of step 3 where that takes off more; higher classes earn nothing.

#include "base/quantity.hpp"
#include "reference/source.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace loomproof::reference {

/// Temperature for which Table 5 is printed (86 F).
constexpr Celsius table_ambient{30};

/// Class of a wire whose insulation nobody stated: thin-wall vehicle wire. Common practice.
constexpr Celsius default_insulation_class{105};

struct Carrying {
    Amps amps;                ///< in this place; zero where the place is as hot as the class or hotter
    Amps at_table_ambient;    ///< the figure of the row and column, at 30 C, times copper_factor
    double copper_factor = 1; ///< share of the row's copper where the wire has a little less; 0.96..1
    double place_factor = 1;  ///< amps / at_table_ambient, 0..1
    std::string_view row;     ///< "16 AWG", "0.75 mm2"
    Celsius column;           ///< class that the column was printed for, at most the wire's own class
    Celsius insulation_class; ///< as asked
    Celsius place;            ///< as asked
    Source source;
};

/// Nothing where no table reaches: less copper than the 0.22 mm2 row, an insulation class below 60 C, a place or area
/// that is not a number. The longest row (4/0 AWG) holds for everything thicker.
std::optional<Carrying> what_a_wire_can_carry(SquareMetres copper, Celsius insulation_class, Celsius place);

/// Temperature of the copper at a steady current: place + (class - 30 C) * (I / at_table_ambient)^2. That is the class
/// exactly when the wire carries `amps` (places from 30 C up).
Celsius copper_temperature(const Carrying&, Amps);

/// How the figure came about, for people: "Carries 17.1 A: 25 A, as 16 AWG does at 30 degC in 105 degC insulation
/// (33 CFR 183.425 Table 5, written for boats), times 0.683 for a place at 70 degC."
std::string sentence(const Carrying&);

} // namespace loomproof::reference
