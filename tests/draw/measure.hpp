#pragma once
/// Measures a produced drawing as a stranger would who has only the SVG: reads it, works out where every line and every word
/// lies, and lists what is wrong. Nothing of the layout is asked.

#include <string>
#include <vector>

namespace loomproof::draw::test {

struct Measure {
    int wires = 0;
    int ends_on_terminal =
        0; ///< wire ends that lie on the end of a black line of the symbol they name; 2 a wire if right
    std::vector<std::string> wrong_ends;
    /// Word on word (or nearer to it than 2 units), wire, symbol; wire on wire or symbol; a label that is as near to another wire as to its
    /// own, or whose line leads elsewhere: one text for each.
    std::vector<std::string> overlaps;
    int crossings = 0;             ///< of level and upright runs of two wires, or of one with itself
    int crossings_without_gap = 0; ///< where the level run is not left open
    int bends = 0;
    double wire_length = 0; ///< of all wires on the sheet, drawing units
    int words = 0;
    double width = 0, height = 0;
    int outside = 0; ///< things that stick out of the sheet
};

/// Throws std::runtime_error where the text is no XML or holds a path that cannot be read.
Measure measure(const std::string& svg);

} // namespace loomproof::draw::test
