#pragma once
/// A plug written down as seen: rows of colours, with what a meter showed at each hole. From readings follow proposals of what a hole could
/// be; they are never put in as facts.

#include "base/result.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace loomproof::begin {

inline constexpr int most_holes = 64;

struct PlugHole {
    std::string number;  ///< "1"
    std::string colour;  ///< "blue/white"; empty: not said
    std::string reading; ///< as typed; empty: not measured
    bool empty = false;  ///< no wire in it
};

struct PlugSeen {
    std::string name;                       ///< "X7"
    std::string what, side, latch, numbers; ///< "fan plug", "wire side", "up", "moulded"; each may be empty
    std::vector<PlugHole> holes;
};

/// Holes that hold wires of the same colour, by number; each group has two or more.
std::vector<std::vector<std::string>> twins(const PlugSeen&);

/// "it could be ground", "it could be a feed that is live when \"ignition on\"": what a reading allows, as half a sentence; empty where it says
/// nothing. Limits: 2 ohm for ground, 20 ohm for lamps and motors, 40 to 200 ohm for relay coils (from memory).
std::string could_be(const std::string& reading);

/// What the meter showed, as it goes into the file: a comma before one or two digits is a decimal one, as one figure is wanted. A number without
/// unit, and a figure that can be read in two ways, are failures that say what to type.
Result<std::string> read_reading(const std::string& typed);

/// The statement, in its tidy form, with a comment for each reading.
std::string plug_text(const PlugSeen&);

/// A grid to fill in by hand.
std::string blank_grid(const std::string& name, int holes, std::size_t width);

/// What can be a name in a circuit file: one word of letters and digits, no figure with a unit, no word of the language.
Result<std::string> read_name(const std::string& typed);

} // namespace loomproof::begin
