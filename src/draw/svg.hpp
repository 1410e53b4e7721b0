#pragma once
/// The sheet as SVG: one self-contained picture without scripts, fonts or addresses.
///
/// What others may rely on: every symbol is <g id="s-KEY" class="symbol KIND">, every wire <g id="w-KEY" class="wire"> with
/// data-from and data-to naming the ids of the symbols at its two ends; letters, digits, '.' and '_' of a key stay, any
/// other byte becomes "-hh" in hexadecimal ("K1:30" gives "K1-3a30"), so that different keys have different ids. Colours and
/// line widths hang on classes in the one <style>; the letters of a wire's colour are in data-colour.
/// For the next drawing of the same circuit (kept.hpp) each symbol has its row, its first and its last column in data-stands and each wire the
/// column and row of both ends of each of its pieces in data-way.
/// The same sheet gives the same bytes in every locale.

#include "draw/sheet.hpp"

#include <string>
#include <string_view>

namespace loomproof::draw {

struct SvgOptions {
    bool black_and_white = false; ///< wires as hollow tubes, stripes as ticks: nothing is told by colour
    double scale = 1;             ///< size on paper against full size
};

std::string to_svg(const Sketch& sketch, const Sheet& sheet, const SvgOptions& options);

/// The id that a key becomes, without its "s-" or "w-".
std::string id_of(std::string_view key);

} // namespace loomproof::draw
