#pragma once
/// What hangs behind a wire or a fuse: a bound by structure, until the solved circuit knows what runs together.

#include "rules/study.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof::rules {

struct LoadsBehind {
    /// It is the only way to them: what they take goes through it. False: it lies in a loop, and nothing is said.
    bool only_way = false;
    Amps sum;                    ///< all at once
    Amps largest;                ///< the largest single one
    std::vector<PartId> parts;   ///< each once, in text order
    std::vector<PartId> unknown; ///< of these, whose current nobody stated
};

/// Loads that a live pole feeds over this wire or protector, contacts that can close counted as closed, with `near` the end towards
/// the source. Those behind a resistor in the run of a wire are taken with what it leaves them: amps at full volts, over one plus its ohms
/// times these amps over the system's volts (Ohm's law, loads as resistances).
LoadsBehind loads_behind(const Study&, EdgeRef, TerminalId near);

/// The end of a live wire or protector or contact that current comes in at. What has no length lies equally far from the source with both
/// ends: then the shortest way tells which end it passes first.
TerminalId fed_end(const Study&, EdgeRef);

/// What a fault current reaches from there before it meets a fuse, link or breaker; not over `without`.
Reach up_to_the_next_fuses(const Study&, TerminalId from, EdgeRef without);

/// The wire that carries the least of those that a fuse fitted at `from` would stand before, up to the next fuse; `without` left out.
struct Thinnest {
    WireId wire;
    Amps carries;
};
std::optional<Thinnest> thinnest_behind(const Study&, TerminalId from, EdgeRef without);

/// The least of what contacts, holes of plugs, meters, holders and slots are made for, and which of them: a fuse that lets more through than
/// that protects the wires, not them.
struct Weakest {
    Amps made_for;
    PartId part;
    std::string words; ///< "relay K1", "hole 2 of X7", "the holder of F1"
};
/// Of what lies between `from` and the next fuses, links and breakers, away from `without`; with `seat_of_fuse`, its holder or slot too.
/// Parts that do not say what they are made for are left out. Nothing where nothing says so.
std::optional<Weakest> weakest_behind(const Study&, TerminalId from, EdgeRef without, PartId seat_of_fuse = {});

} // namespace loomproof::rules
