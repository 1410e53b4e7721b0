#pragma once
/// Colours as people say them, to a question: "white with green", "white green", "rot", "schwarz mit gelb".

#include "base/result.hpp"

#include <string>

namespace loomproof::begin {

/// The colour in the words of a circuit file, "white/green". The failure says what it could mean, or what to type.
Result<std::string> read_spoken_colour(const std::string& typed);

} // namespace loomproof::begin
