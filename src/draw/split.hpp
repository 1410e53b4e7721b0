#pragma once
/// One sketch cut into several, each small enough for a sheet: by fuse, so that a sheet holds what one looks for together.

#include "draw/body.hpp"
#include "draw/kept.hpp"
#include "draw/lookup.hpp"
#include "draw/sketch.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace loomproof::draw {

/// A break mark and where its wire goes on.
struct BreakMark {
    int symbol = 0;       ///< in this part's sketch
    int other_part = 0;   ///< index of the part it goes on in
    int other_symbol = 0; ///< its partner there
    int taps =
        0; ///< the words leave room for the paths of so many wires that leave the partner, a bus; 0: for its own path
};

/// The sketch of one sheet.
struct SketchPart {
    Sketch sketch;
    std::vector<BreakMark> marks;
    /// What stands on another sheet too, or has its other half there: relays drawn apart, buses drawn again, studs, plugs. Of one symbol in the
    /// order in which its words leave blanks for a path (path_blank).
    std::vector<BreakMark> elsewhere;
    std::vector<int> from; ///< by symbol: index in the whole sketch; -1 for break marks and buses drawn again
    const KeptSheet* stood = nullptr; ///< the sheet of an earlier drawing to whose places everything here keeps
};

/// Which fuse a symbol belongs to: the first one up its thickest wire; -1 where there is none (the supply).
/// Index: symbols of the sketch; a fuse belongs to itself. With `buses` a bus bar counts like a fuse.
std::vector<int> owners(const Sketch& sketch, bool buses);

/// What hangs together with no source, no bus and no fuse: a wire left over, a part taken out of its circuit. By symbol.
std::vector<bool> strays(const Sketch& sketch);

/// Symbols (indexes) that stand on one sheet together, for each sheet.
using Grouping = std::vector<std::vector<int>>;

/// Small groups to begin with: one for each fuse, those with the most wires between them together while they have no more than
/// `limit` symbols (a splice counts half its wires). The supply first, then in the order of the fuses. Every symbol is in one. With
/// a limit of 0 every fuse stays by itself.
Grouping group(const Sketch& sketch, std::size_t limit);

/// What the loads of each symbol's group are, for grouping by function: the words before the comma of what loads are called
/// ("headlamp" of "headlamp, left"), in small letters, sorted.
std::vector<std::string> functions_of(const Sketch& sketch, const std::vector<int>& symbols);

/// The letter of the first job that added one of the symbols or a wire at one of them; 0 where none did.
char job_of(const Sketch& sketch, const std::vector<int>& symbols);

/// One sketch for each group. A bus bar stands again on every sheet that it feeds. Each other wire between two groups ends in a
/// break mark on both sides, which says "goes on: sheet 2" or "comes from: sheet 1" (on both sides "joins: sheet 2" where current has no one
/// direction), a path number to be filled in (path_blank) and the terminal there; the same way the halves of a relay drawn apart name each
/// other, and a bus, a stud or a plug that other sheets show too says where. A side table stands on the sheet with most of what it speaks of.
std::vector<SketchPart> cut(const Sketch& sketch, const Grouping& grouping);

/// Only that of group `g`, faster: what `cut` gives for it, but that parts of other sheets (marks, elsewhere) are not numbered.
/// `lookup` is of the sketch.
SketchPart cut_one(const Sketch& sketch, const Lookup& lookup, const Grouping& grouping, std::size_t g);

} // namespace loomproof::draw
