#pragma once
/// A wire in several pieces: which piece a length is of.

#include "draw/sketch.hpp"

#include <string>

namespace loomproof::draw {

/// Where several wires of the sketch have one name, each with a length says which piece it is, behind the length: "1.4 m to SP10", "0.2 m from
/// SP10"; between two plugs "0.4 m, X1:1 to X2:3".
void say_which_pieces(Sketch& sketch);

} // namespace loomproof::draw
