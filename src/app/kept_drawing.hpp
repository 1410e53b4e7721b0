#pragma once
/// The drawing that --keep names.

#include "base/result.hpp"
#include "draw/kept.hpp"
#include "draw/sketch.hpp"
#include "paper/type.hpp"

#include <string>

namespace loomproof::app {

/// The drawing on one page. Fails with a sentence for people, which says what to do.
Result<draw::KeptDrawing> kept_page(const std::string& name);

/// The sheets of a set that was drawn on that paper (called "A4") as `name`: FILE.svg means FILE-1.svg, FILE-2.svg and so on. Fails likewise.
Result<draw::KeptDrawing> kept_sheets(const std::string& name, const std::string& paper_name,
                                      const paper::Paper& paper);

/// A sentence where the drawing shows another circuit than the sketch; else empty.
std::string another_circuit(const draw::Sketch& sketch, const draw::KeptDrawing& kept, const std::string& name,
                            const std::string& file);

} // namespace loomproof::app
