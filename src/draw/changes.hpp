#pragma once
/// What the jobs took off: ends of wires that were at a terminal once and are no longer; and the key that explains the marks.

#include "circuit/view.hpp"
#include "draw/geometry.hpp"
#include "draw/picture.hpp"
#include "draw/sketch.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

/// One end of a wire that a job took off its terminal: the whole wire was removed, or this end was moved somewhere else. Ends that a cut
/// or a joint made, and ends at a part that is gone itself, are none.
struct TakenOff {
    WireId wire;
    TerminalId from, to;   ///< the terminal it was taken off, and where its other end was
    Revision revision = 0; ///< of the job that did it
    bool moved = false;    ///< the wire lives on
};

/// In text order; both ends of a removed wire, one after the other.
std::vector<TakenOff> taken_off(const View& view);

/// A part that a job took out of the circuit, and the wire ends that were left behind where its terminals were.
struct Ghost {
    PartId part;
    Revision gone = 0;
    struct Left {
        TerminalId was, is; ///< the part's terminal, and the loose end there now
    };
    std::vector<Left> left;
};

/// The parts taken out of which at least one wire end is left, in text order. Plugs, grounds and metal leave none.
std::vector<Ghost> ghosts(const View& view);

/// What is no longer where it was, a line each for what a job removed and what it moved: "B removed: E10 cigar lighter (kept in tool box) and W61",
/// "B moved: W43 off GND3".
std::vector<std::string> removed_in_words(const View& view);

/// The marks of change that occur in the sketch, each with its words, from `at` (top left) on in rows no wider than `width`; below them what
/// was removed. Nothing where the sketch does not show changes.
void paint_change_key(Picture& out, const Sketch& sketch, Point at, double width);

} // namespace loomproof::draw
