#pragma once
/// Sketch in, picture out.

#include "base/result.hpp"
#include "draw/kept.hpp"
#include "draw/sketch.hpp"
#include "paper/type.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace loomproof::draw {

enum class Relays : std::uint8_t {
    together, ///< coil and contact in one frame
    apart,    ///< each where its current flows, in dashed frames that name each other's path
};

/// What stands together on a sheet.
enum class Together : std::uint8_t {
    by_fuse,     ///< what hangs on one fuse
    by_function, ///< fuses that feed the same kind of thing (all that is called "headlamp, ...") first
    by_job,      ///< what a job added or touched, a sheet or more for each job; the rest by fuse
};

struct Options {
    bool black_and_white = false; ///< for a printer without colour: wires as hollow tubes, stripes as ticks
    int starts = 0;               ///< how often the ordering begins anew; 0 = as the size of the sketch allows
    std::uint64_t seed = 1;
    Relays relays = Relays::together; ///< only where a view is drawn: a sketch has chosen already
    bool tables = true;               ///< of plugs and relay bases, likewise
    Together together = Together::by_fuse;
    const KeptDrawing* kept = nullptr; ///< an earlier drawing, on one page or on such sheets, to whose places everything keeps
    bool with_contents =
        false; ///< a page of contents explains the marks: the sheets say only what is needed beside them
};

struct Drawing {
    std::string svg;                    ///< see svg.hpp for what may be relied on
    double width_mm = 0, height_mm = 0; ///< on paper
    int crossings = 0, bends = 0;
    int labels_without_place = 0; ///< what stands in a table below the circuit, because there was no room at the wire
    std::vector<std::string> labels_in_table{}; ///< the labels of those wires ("W31 4 RD/GN"), in their order
    int repeats_left_out = 0;                   ///< labels that would only have repeated one along a long run
};

/// One of several sheets.
struct SheetDrawing {
    Drawing drawing;
    std::string title; ///< what it does: "Cooling fan (F2), horn (F4)"
    bool landscape = false;
    double scale =
        1; ///< above 1 where one sheet is all and has room; below 1 where the sheet had to be made smaller to fit: capitals are then lower than 2.5 mm
    int symbols = 0, breaks = 0;
};

/// The sketch on as few sheets of the paper as hold it at full size, upright or lying, cut by fuse: the supply first. A cut wire
/// ends in a break mark with the sheet, path and terminal at which it goes on. A sheet that fits in no way is made smaller.
Result<std::vector<SheetDrawing>> draw_sheets(const Sketch& sketch, const paper::Paper& paper,
                                              const Options& options = {});

/// A drawing on several sheets, with what leads through them.
struct SheetSet {
    /// What is on each sheet, how the supply runs from the battery over link and box to the fuses and their sheets, and where each
    /// part stands. One page, or as many as it takes; none where one sheet holds all and says itself what its marks mean.
    std::vector<SheetDrawing> contents;
    /// The supply as a drawing, down to the fuses, each with the sheet on which it goes on; made smaller where it must be. Nothing where it
    /// could not be read then (contents say the same in words), and where one sheet holds all.
    std::optional<SheetDrawing> overview;
    std::vector<SheetDrawing> sheets;
};

/// The sheets of draw_sheets, their contents and an overview; where there are contents, they explain the marks.
Result<SheetSet> draw_set(const Sketch& sketch, const paper::Paper& paper, const Options& options = {});

/// One page for the whole sketch, however large. The same sketch and options give the same bytes. Fails, with a sentence for
/// people, only where the layout library cannot be used.
Result<Drawing> draw(const Sketch& sketch, const Options& options = {});

} // namespace loomproof::draw
