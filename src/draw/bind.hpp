#pragma once
/// Which symbols go on which sheet of paper: as few sheets as hold all at full size.

#include "base/result.hpp"
#include "draw/draw.hpp"
#include "draw/sheet.hpp"
#include "draw/split.hpp"
#include "paper/type.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

/// A page in drawing units, with the edge that stays white.
struct Page {
    double width = 0, height = 0, edge = 0;
};
Page page_of(const paper::Paper& paper, bool landscape);
/// With white edges all around; or with those at the sides and at the top as narrow as printers allow, for a circuit that would otherwise have to
/// be torn or printed smaller. Below stands whose the sheet is.
double scale_on(const Sheet& sheet, const Page& page);
double scale_with_narrow_edges(const Sheet& sheet, const Page& page);
Edges narrow_edges(const Page& page);

/// The sheets of a set, laid out; index: sheet.
struct Bound {
    std::vector<SketchPart> parts;
    std::vector<Sheet> sheets;
    std::vector<std::string> titles; ///< without the sheet's number
    struct TablePlace {
        std::string of; ///< the plug or relay, by its name
        int sheet = 0;  ///< from 1
    };
    std::vector<TablePlace> tables; ///< of several sheets: where the table of each plug and relay stands
    double enlarged = 1;            ///< a lone sheet with room to spare: its scale, above 1
};

/// Cuts the sketch into sheets of that paper and lays them out. Fails only where the layout library cannot be used.
Result<Bound> bind(const Sketch& sketch, const paper::Paper& paper, const Options& options);

/// The set of what was bound with contents, from that sketch with that paper and those options; what draw_set does behind bind.
Result<SheetSet> set_of(const Sketch& sketch, Bound made, const paper::Paper& paper, const Options& options);

} // namespace loomproof::draw
