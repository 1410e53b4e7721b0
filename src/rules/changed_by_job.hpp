#pragma once
/// What a finding says about a part that a job changed.

#include "circuit/view.hpp"
#include "findings/finding.hpp"

#include <span>

namespace loomproof::rules {

/// Each finding that cites a part's first line cites instead, of a part that a job changed since, what counts: the words of the
/// job. Where that job is only planned it is named, as nothing of it is in the vehicle yet.
void cite_what_counts(const View&, std::span<Finding>);

} // namespace loomproof::rules
