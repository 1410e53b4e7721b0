#pragma once
/// Pictures of a plug's face and of a relay's base.

#include "draw/geometry.hpp"
#include "draw/picture.hpp"
#include "draw/sketch.hpp"

#include <string>

namespace loomproof::draw {

/// The room that a face takes, from 0, 0 (units). Nothing for Face::Type::none.
struct FaceSize {
    double width = 0, height = 0;
};
FaceSize size_of(const Face& face);

/// Is there a blade of that number (30, 85 ...) on that base?
bool has_place_on_base(Face::Type base, const std::string& stamp);

/// Draws it from the pen's origin on. A plug is a grid of its holes, each with number, colour and wire; what has a twin has a black
/// diamond and a letter. A base is a frame with its blades in place, what goes to each beside it.
void paint_face(const Pen& pen, const Face& face);

} // namespace loomproof::draw
