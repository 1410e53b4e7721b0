#pragma once
/// The sheets of an earlier drawing taken up again: what stood on one stays on it, and what is new finds a sheet. Inside matter of bind.cpp.

#include "base/result.hpp"
#include "draw/kept.hpp"
#include "draw/split.hpp"

#include <cstddef>
#include <functional>
#include <vector>

namespace loomproof::draw {

struct KeptDivision {
    Grouping
        sheets; ///< those of the earlier drawing in their order, without those of which nothing is left; new ones behind
    std::vector<const KeptSheet*> stood; ///< by sheet, to whose places it keeps; nullptr: it is laid out freshly
    std::size_t first_new = 0;           ///< sheet
};

/// How large a sheet of the grouping may be printed with the narrowest white edges, 1 = at full size, if it keeps to these places, or laid out
/// freshly (nullptr). Less than `least` need not be told apart.
using SizeOf = std::function<Result<double>(const Grouping&, std::size_t sheet, const KeptSheet*, double least)>;

/// What is new goes to the sheet of what it hangs on while there is room, else, if it is more than a single part, to a sheet at the end. A sheet
/// on which what stood there has no room any more where it stood is laid out freshly; if that does not help either, one of its circuits goes to
/// a sheet at the end. New sheets may be too full. Fails only where `size_of` does.
Result<KeptDivision> divided_as_before(const Sketch& sketch, const KeptDrawing& kept, const SizeOf& size_of);

} // namespace loomproof::draw
