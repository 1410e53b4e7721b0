#pragma once
/// How the holes of a plug stand, as somebody wrote it down: rows "3 2 1 / 6 5 4".

#include "base/result.hpp"

#include <cstddef>
#include <string_view>
#include <vector>

namespace loomproof {

/// Top row first, each from the left: numbers of holes from 1, 0 where there is none.
using HoleRows = std::vector<std::vector<int>>;

/// Rows are parted by "/", holes by blanks or commas; "-" leaves a place empty. Fails where a hole is missing, comes twice or is not
/// one of the plug's `holes`.
Result<HoleRows> hole_rows(std::string_view text, std::size_t holes);

} // namespace loomproof
