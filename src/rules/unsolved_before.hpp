#pragma once
/// A load whose volts hang on a part that gives some which nothing here works out: a converter, a charger, a dynamo's regulator.

#include "rules/survey.hpp"

#include <optional>
#include <string>

namespace loomproof::rules {

/// "it hangs on what G7 gives, and that is not worked out", where in that state it does.
std::optional<std::string> hangs_on_unsolved(const Survey&, PartId, solve::StateId);
/// The same in any state that lasts.
std::optional<std::string> hangs_on_unsolved(const Survey&, PartId);

} // namespace loomproof::rules
