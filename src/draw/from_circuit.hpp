#pragma once
/// From a circuit to what is drawn of it.

#include "base/result.hpp"
#include "circuit/view.hpp"
#include "draw/draw.hpp"
#include "draw/sketch.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

struct SketchOptions {
    std::string title{}; ///< empty = the vehicle's text
    Relays relays = Relays::together;
    bool tables = true; ///< of plugs and relay bases
    /// The marks of change too: added wires with a doubled edge, cuts as a double bar, what was taken off as a ghosted stub at its old
    /// terminal, what a part's rating was; with a key.
    bool changes = false;
};

/// Everything alive in the view. Each wire end at a ground stud or at the body's metal becomes a foot of its own; each wired hole
/// of a plug one symbol; switches that are more than on and off become tables; ends of cut wires are cuts, caps or joints.
/// Parts without any wire are drawn, but grounds, metal, plugs and splices without one are not. Names are spelled as in the file.
/// Keys: a symbol's is its part's name, with ":hole" for a plug's hole, "/n" for the feet of a stud and the ends of a cut; a
/// wire's is its name, with "/piece" for a piece of a run. Wires that a job made (not pieces of cut ones) carry its letter.
Sketch sketch_of(const View& view, const SketchOptions& options = {});

/// Lays out the older sketch and tells each symbol of the newer one that is in it, too, where it stood: what the maker built keeps its place
/// when jobs are drawn. Fails only where the layout library cannot be used.
Result<void> remember_places(Sketch& newer, const Sketch& older);

/// One page for the whole view. Fails only where the layout library cannot be used.
Result<Drawing> draw(const View& view, const Options& options = {});

/// The view on sheets of that paper (see draw.hpp).
Result<std::vector<SheetDrawing>> draw_sheets(const View& view, const paper::Paper& paper, const Options& options = {});

/// The view on sheets of that paper with contents and overview.
Result<SheetSet> draw_set(const View& view, const paper::Paper& paper, const Options& options = {});

} // namespace loomproof::draw
