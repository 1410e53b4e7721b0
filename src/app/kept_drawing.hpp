#pragma once
/// The drawing that --keep names.

#include "base/result.hpp"
#include "draw/kept.hpp"
#include "draw/sketch.hpp"

#include <string>

namespace loomproof::app {

/// Fails with a sentence for people, which says what to do.
Result<draw::KeptDrawing> kept_drawing(const std::string& name);

/// A sentence where the drawing shows another circuit than the sketch; else empty.
std::string another_circuit(const draw::Sketch& sketch, const draw::KeptDrawing& kept, const std::string& name,
                            const std::string& file);

} // namespace loomproof::app
