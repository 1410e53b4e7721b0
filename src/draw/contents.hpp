#pragma once
/// The page in front of a set of sheets: what each sheet does, how the supply runs to the fuses, where each part stands.

#include "draw/sheet.hpp"

#include <map>
#include <string>
#include <utility>
#include <vector>

namespace loomproof::draw {

/// Where something stands in the set. Both count from 1; path 0 where the sheet has none to count by.
struct Spot {
    int sheet = 0, path = 0;
    bool operator<(const Spot& o) const { return sheet != o.sheet ? sheet < o.sheet : path < o.path; }
    bool operator==(const Spot&) const = default;
};

/// What is known about the set.
struct SetPlan {
    const Sketch* whole = nullptr; ///< outlives the call
    bool black_and_white = false;
    std::vector<std::string> titles; ///< of each sheet, without its number
    std::vector<std::vector<Spot>>
        spots; ///< by symbol of the whole sketch: its own place first, then where it is drawn again
    std::map<std::pair<std::string, int>, Spot>
        ends; ///< by a wire's key and the symbol of the whole sketch at which it ends: where that end is
    std::map<std::string, Spot>
        marks; ///< by the number of the remark's mark: where it stands, the first where it stands several times
    std::vector<std::pair<std::string, int>> tables; ///< a plug or relay by its name, and the sheet of its table
    std::vector<std::string> purpose; ///< by symbol: what hangs on this fuse; empty for all others
};

/// "sheet 2, path 4"; "sheet 1, paths 2, 4"; from four sheets on only "sheets 1-3, 7". One entry a line.
std::vector<std::string> spots_as_text(std::vector<Spot> spots);

/// Finished pages of that size (units) with a white edge. At least one.
std::vector<Sheet> contents_pages(const SetPlan& plan, double width, double height, double edge);

} // namespace loomproof::draw
