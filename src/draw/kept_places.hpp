#pragma once
/// A circuit laid out again where it stood: rows, order and columns of an earlier sheet, and what is new where it disturbs least. Inside matter of
/// sheet.cpp.

#include "base/result.hpp"
#include "draw/kept.hpp"
#include "draw/weave.hpp"

#include <optional>

namespace loomproof::draw {

struct KeptPlaces {
    Weave weave; ///< with rows, order and columns
    int columns = 0;
    int shift = 0; ///< the column in which column 0 of the earlier sheet is now
};

/// Nothing where none of the sketch's symbols stood on that sheet. Fails only where no columns could be found.
Result<std::optional<KeptPlaces>> places_as_before(const Sketch& sketch, const KeptSheet& kept);

} // namespace loomproof::draw
