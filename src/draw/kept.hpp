#pragma once
/// A drawing that was made before, as it is remembered in its SVG: where each symbol stood and how each wire ran.
///
/// Whoever draws a circuit again, because a wire was added, wants to find everything where the printed sheet has it.

#include "base/result.hpp"
#include "draw/sketch.hpp"
#include "draw/stood.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::draw {

struct KeptSymbol {
    std::string id; ///< as in the SVG, with its "s-"
    bool foot = false, off_sheet = false;
    Stood stood;
};

struct KeptWire {
    std::string id, from, to;  ///< as in the SVG: its own, with its "w-", and those of the symbols at its ends
    std::vector<WayPoint> way; ///< both ends of each piece, from `from` to `to`
};

struct KeptSheet {
    std::vector<KeptSymbol> symbols;
    std::vector<KeptWire> wires;
    double origin = 0;                  ///< where column 0 begins, drawing units from the sheet's left edge
    double width_mm = 0, height_mm = 0; ///< of the paper
    double scale = 1;                   ///< at which it was printed: 1 = full size
};

/// What stands in the SVG of a sheet. Fails, with words for people that go behind its file's name ("is no drawing ..."), where it is none of
/// ours or holds numbers that no drawing has.
Result<KeptSheet> read_kept(std::string_view svg);

/// All sheets of a drawing.
struct KeptDrawing {
    std::vector<KeptSheet> sheets;
    std::optional<KeptSheet> overview;
};

/// What of a sketch stood on a sheet. Index: symbols, wires; nullptr for what is new there. It points into the sheet.
struct Recalled {
    std::vector<const KeptSymbol*> symbols;
    std::vector<const KeptWire*> wires;
};

/// Is that the id of a bus that stands on another sheet, too, and is drawn again on this one?
bool is_drawn_again(std::string_view id);

/// A symbol is known by its key (a bus drawn again, whatever its sheet's number was), but ground feet and break marks, which are counted on
/// from wire to wire, by their wire; a wire by its key and what it joins, or where the file gives it no name, by what it joins.
Recalled recall(const Sketch& sketch, const KeptSheet& kept);

/// The share of the drawing's symbols that the sketch still has, 0 to 1; feet and break marks do not count. 1 where there are none.
double share_known(const Sketch& sketch, const KeptDrawing& kept);

} // namespace loomproof::draw
