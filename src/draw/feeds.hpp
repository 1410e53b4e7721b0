#pragma once
/// From where current comes: up the wires of a sketch, against the current.

#include "draw/sketch.hpp"

#include <map>
#include <vector>

namespace loomproof::draw {

/// What opens by itself and can be put back: a fuse or a breaker.
bool is_fuse(SymbolKind);
/// What opens by itself: a fusible link, too.
bool protects(SymbolKind);

/// Is a path there for its sake? What the file says is a load, what by its symbol can only be one, and what lies beyond the drawing; alternator
/// and starter belong to the supply, and a ghost is for nothing any more.
bool is_for_something(const Symbol& symbol);

/// What a way up from a symbol leads to. Current passes a relay's contact from contact to contact only, never from its coil, and a
/// switch's table only between terminals that some position joins.
struct Feeds {
    std::vector<int> fuses; ///< the first fuse, breaker or fusible link on each way up; symbols, rising
    bool through_load =
        false; ///< some way passes a load: what is here is its ground side, or it stands in a row with another
};

/// The ways up from the symbol: by all wires that lead into it. Index: symbols of the sketch.
Feeds feeds_of(const Sketch& sketch, int symbol);
/// Those of several symbols, in their order: the sketch is walked once.
std::vector<Feeds> feeds_of(const Sketch& sketch, const std::vector<int>& symbols);

/// What current meets on its way to a symbol: the symbol itself, and up the wires all that lies before it, beyond its fuses too, as far as
/// battery, alternator or another load. Those are not in it.
struct Way {
    std::vector<bool> symbols, wires; ///< indexes of the sketch
};
/// By symbol the way to each of these.
std::map<int, Way> ways_to(const Sketch& sketch, const std::vector<int>& symbols);

/// What one follows with a finger from a load's fuses to its grounds: the symbol, up to the first fuse on each way and with it, and down to
/// the feet with them; no source. Current passes as in Feeds; a unit, and what is not drawn, ends a way. Symbols, rising.
std::vector<int> from_fuse_to_ground(const Sketch& sketch, int symbol);

/// feeds_of for every symbol that a path is for; empty for all others.
std::vector<Feeds> feeds_of_loads(const Sketch& sketch);

} // namespace loomproof::draw
