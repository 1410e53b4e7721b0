#pragma once
/// What the jobs took off: ends of wires that were at a terminal once and are no longer, parts that are gone, in marks and in words.

#include "circuit/view.hpp"

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
    struct Removed {
        WireId wire;
        TerminalId was, to; ///< the part's terminal, and where the wire's other end was
    };
    std::vector<Removed> removed; ///< wires that went with the part
};

/// The parts taken out of which at least one wire end is left, or that had a wire to something that is still there, in text order. Plugs,
/// grounds and metal leave none.
std::vector<Ghost> ghosts(const View& view);

/// What is no longer where it was, a line each for what a job removed and what it moved: "B removed: E10 cigar lighter (kept in tool box) and W61",
/// "B moved: W43 off GND3".
std::vector<std::string> removed_in_words(const View& view);

} // namespace loomproof::draw
