/// Type on paper: sizes, widths and line breaks, shared by the drawing and the printed sheets.
///
/// All lengths of the drawing are in drawing units. One unit is a quarter of a millimetre on paper, so that whole units
/// are fine enough for every line and a browser shows a sheet at about its printed size.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomproof::paper {

/// Drawing units in one millimetre of paper.
inline constexpr double units_per_mm = 4.0;

/// Height of a capital as a part of the type size in Helvetica and the faces cut to its measures (Arial, Liberation
/// Sans): 718 of 1000, from the CapHeight line of the published Helvetica font metrics.
inline constexpr double capital_height = 0.718;

/// Type sizes in drawing units, chosen so that capitals stand 2.5 mm and 3 mm high: what can be read under a dash
/// by the light of a phone.
inline constexpr double plain_size = 14.0; // capitals 2.5 mm
inline constexpr double name_size = 17.0;  // capitals 3.05 mm
inline constexpr double title_size = 22.0; // capitals 3.95 mm

enum class Weight : unsigned char { normal, bold };

/// The font families to name in a drawing, most wanted first. The widths below are those of the first four.
inline constexpr std::string_view font_families = "Helvetica, Arial, 'Liberation Sans', 'Nimbus Sans', sans-serif";

/// How far the text advances, in the unit in which `size` is given. `text` is UTF-8; a byte that is no UTF-8 counts as one
/// letter. The widths of the printable ASCII characters are those of the published Helvetica and Helvetica-Bold font
/// metrics; other Latin, Greek and Cyrillic letters are taken as 0.67 wide, marks that join the letter before as 0, all
/// others (ideographs, symbols) as 1.0. Kerning is not applied: it only ever makes text narrower.
double text_width(std::string_view text, double size, Weight weight = Weight::normal);

/// The text as lines no wider than `limit`, broken at spaces. A word wider than the limit stands alone on its line, unbroken:
/// names are never torn. No line is empty; an empty or blank text has no lines.
std::vector<std::string> broken_into_lines(std::string_view text, double limit, double size,
                                           Weight weight = Weight::normal);

/// A sheet of paper, millimetres, upright, and what a printer leaves white around the edge.
struct Paper {
    double width = 0, height = 0, margin = 10;
};
inline constexpr Paper a4{210, 297, 10};            // ISO 216
inline constexpr Paper a3{297, 420, 10};            // ISO 216
inline constexpr Paper us_letter{215.9, 279.4, 10}; // ANSI Y14.1 size A, 8.5 x 11 inch

} // namespace loomproof::paper
