#pragma once
/// Motors that are wired to turn either way and only ever turn one way.
///
/// A motor over a reversing switch (window, winch, hood) gets its plus at the one end and its ground at the other, and the two exchanged for
/// the way back. Where one lead of that was forgotten it turns one way, and every switch position in which it stands still looks like one
/// in which it is meant to. What tells: in one of these its ends stand as for the way back, as far as they are wired.

#include "rules/ends.hpp"
#include "rules/survey.hpp"

#include <optional>
#include <vector>

namespace loomproof::rules {

struct OneWay {
    PrimitiveId motor;
    solve::StateId runs; ///< it turns here
    solve::StateId back; ///< and should turn the other way here
    TerminalId ready;    ///< its end that has what the way back asks for, where one has
    TerminalId hangs;    ///< its end that has nothing
    /// The end of a switch or relay without a wire from which the rest would have to come; does not exist where all of them have one.
    TerminalId bare;
    bool wants_ground = false; ///< what is missing is the ground, else the feed
    bool to_motor = false;     ///< `bare` has it, and no wire to the motor
    bool same = false;         ///< nothing is missing: `back` turns it the same way as `runs` does
};

/// In text order. Nothing of motors whose one end is the body.
std::vector<OneWay> one_way_motors(const Study&, const Survey&, const Sides&);

} // namespace loomproof::rules
