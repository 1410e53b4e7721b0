#pragma once
/// The finished sheet: everything with its place, nothing left to decide. What svg.hpp writes out.

#include "base/result.hpp"
#include "draw/kept.hpp"
#include "draw/labels.hpp"
#include "draw/order.hpp"
#include "draw/picture.hpp"
#include "draw/route.hpp"
#include "draw/sketch.hpp"

#include <cstdint>
#include <optional>
#include <vector>

namespace loomproof::draw {

struct PaintedSymbol {
    int symbol = 0;
    Picture picture;
    Box box; ///< ink and words
    Stood stood{};
};

struct PaintedWire {
    int wire = 0;
    std::vector<Point> path; ///< corners from `a` to `b`
    struct Gap {
        std::size_t run; ///< path[run] to path[run + 1], a level run
        double x, half;  ///< left open from x - half to x + half
    };
    std::vector<Gap> gaps;
    std::vector<Word> labels;
    std::vector<Flag> flags;
    std::vector<Leader> leaders;
    std::vector<WayPoint> way{}; ///< both ends of each piece, from `a` to `b`
};

/// The arrow of a heading: below its foot the way begins to what the heading names.
struct Arrow {
    int heading = 0;
    Point foot;
};

struct Sheet {
    double width = 0, height = 0;
    std::vector<PaintedSymbol> symbols{};
    std::vector<PaintedWire> wires{};
    Picture notes{}; ///< headings, path numbers, title
    std::vector<Arrow> arrows{};
    std::vector<std::pair<Point, Point>> links{}; ///< dashed lines between the holes of one plug
    std::vector<int> path_of{};                   ///< by symbol: number of the nearest path; 0 where the sheet has none
    std::vector<std::vector<int>> taps_of{}; ///< by symbol: of a bar the paths of the wires that leave it; else none
    int crossings = 0, bends = 0;
    std::vector<std::string> in_table{}; ///< labels of the wires for whose words there was no room: a table says them
    std::vector<std::size_t>
        tables_left{};     ///< of the sketch's tables those for which the page has no room: they are not on the sheet
    bool given_up = false; ///< too large, and nothing is on it
    double origin = 0;     ///< where column 0 begins
    std::optional<int>
        kept_shift{}; ///< the column in which column 0 of the sheet is now whose places were kept; nothing where none were
    int left_out = 0; ///< repeated labels that were left out for want of room
};

struct SheetOptions {
    int starts = 0; ///< of the ordering; 0 = by size
    std::uint64_t seed = 1;
    double wider_for_straightness = 0.06; ///< by what part a drawing may grow in width to have fewer bends
    std::vector<Point>
        pages{}; ///< widths and heights (units) that the sheet should fit: side tables stand where that is best for one of them, and are left out where they would make it smaller
    double least_scale =
        0; ///< gives up as soon as it is clear that the sheet would have to be made smaller than that to fit any page: it is then `given_up`
    bool pockets = false; ///< tables that have no room elsewhere may stand in the white of the circuit: takes a while
    const KeptSheet* kept = nullptr; ///< everything that stood there keeps its place, as well as it can
    bool relays_either_way = false;  ///< a relay the other way round costs no more than any mirrored symbol
};

/// Writes the paths' numbers (0, or none at all: there is none) over the first blank left for that many (paths_blank); the other words close up.
void fill_in_paths(Picture& symbol, const std::vector<int>& paths);
void fill_in_path(Picture& symbol, int path);

/// What stays white around a page, units.
struct Edges {
    double side = 0, top = 0, bottom = 0;
};

/// How large the sheet may be on such a page (units) against full size: 1, or a little less than what just fits.
double scale_to_fit(const Sheet& sheet, double width, double height, const Edges& edges);

/// Puts the sheet on a page of that size (units) with a white edge: at the top, centred sideways, or with its origin there or as near to it as the
/// white edge allows. False, and nothing done, where it is too large.
bool put_on_page(Sheet& sheet, double width, double height, const Edges& edges,
                 std::optional<double> origin = std::nullopt);

/// Lays out the sketch. Fails only where the layout library cannot be used.
Result<Sheet> lay_out(const Sketch& sketch, const SheetOptions& options);

} // namespace loomproof::draw
