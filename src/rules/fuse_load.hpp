#pragma once
/// Words and remedies for a fuse that is too small for what hangs on it.

#include "reference/fuses.hpp"
#include "rules/survey.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof::rules {

/// Where the file says what the device is rated at; else its statement.
Citation cite_rating(const Study&, PrimitiveId device, std::string label);

/// "F1"; "the fuse before T1" for one that is not drawn.
std::string protector_words(const Circuit&, PrimitiveId device);
/// "F1 and F2".
std::string protector_words(const Circuit&, const std::vector<PrimitiveId>& devices);

/// A larger fuse where the wires behind it carry one, else what else helps. `wanted`: least rating that would do.
std::vector<Remedy> remedies_for_load(const Study&, PrimitiveId device, Amps wanted, const std::vector<PartId>& behind);

/// "10 A fuse", "40 A breaker".
std::string device_kind(const Study&, PrimitiveId device, Amps rating);

/// "60 ms to 0.9 s"; "not before 0.8 s, and no standard says how long it may take" where there is no end.
std::string band_in_words(const reference::TimeBand&);

/// As built by the maker: the device and all that hangs on it, and nothing hung there before that took less.
bool load_is_as_built(const Study&, const Study& factory, PrimitiveId device);

} // namespace loomproof::rules
