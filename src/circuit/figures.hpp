#pragma once
/// Figures in the text: "20 A", "about 2 m", "12v", "unknown m", "1/0 awg". Inside matter of the reader.

#include "base/quantity.hpp"
#include "base/stated.hpp"
#include "circuit/cursor.hpp"
#include "findings/finding.hpp"

#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace loomproof {

enum class Unit : std::uint8_t {
    amps,
    volts,
    watts,
    ohms,
    metres,
    amp_hours,
    celsius,
    size,
    farads,
    seconds,
    hertz,
    pascals,
    count
};

/// "amps (A, mA)": for messages.
const char* unit_words(Unit);

struct FigureRead {
    Stated<double>
        value; ///< SI; celsius in degrees; pressures in pascals over that of the air; size in square metres of effective copper
    std::string spelled; ///< as typed, for sizes
};

/// Reads a figure of the wanted unit at the cursor, and moves behind it. Returns nothing and does not move where there is none of
/// that unit. A figure that cannot be trusted ("2.5 mm" for a size, "12 gauge", "5 Mohm", a size that no table has) is consumed,
/// reported in `problems`, and comes back with an unknown value: the caller poisons what it belongs to.
std::optional<FigureRead> read_figure(Cursor&, Unit, std::vector<Finding>& problems);

/// "60/55 W", "guessed 60/55 W": two figures of one unit, first and second; reads nothing and does not move where there is no such pair.
std::optional<std::pair<Stated<double>, Stated<double>>> read_pair(Cursor&, Unit);

/// "10 ohm to 180 ohm", "10 to 180 ohm", "10-180 ohm": first and second as typed; reads nothing and does not move where there is no such pair.
std::optional<std::pair<FigureRead, FigureRead>> read_range(Cursor&, Unit, std::vector<Finding>& problems);

/// Is there something at the cursor that begins with a digit, or one of about, measured, marked, guessed, unknown?
bool looks_like_figure(const Cursor&);

/// What is wrong with the figure-like thing at the cursor, which no pattern understood: without unit, with an unknown unit, or a
/// unit that does not belong here. Where the unit is missing, the cures are the statement with each unit of `likely` that the number can
/// have, as long as it stands alone; else the cure is `expected`. Does not move.
Finding figure_problem(const Cursor&, const std::string& expected, std::span<const Unit> likely = {},
                       bool stands_alone = true);

/// Where in a word its unit begins ("12v" -> 2), or 0 where the word is not a number with a known unit. For tidy.
std::size_t unit_split(std::string_view word);

} // namespace loomproof
