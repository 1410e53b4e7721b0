#pragma once
/// How long a battery lasts, in words.

#include "rules/study.hpp"

#include <string>

namespace loomproof::rules {

/// "1 h 45 min", "42 days".
std::string span_in_words(double seconds);

/// The battery that a load hangs on with every switch at rest, the nearest of several; not existing where none does.
PartId battery_of(const Study&, PartId load);
/// " Half of what the battery holds is gone in 3 h 45 min."; empty where it does not say its Ah. A battery that does not exist: the first of the
/// file that says it.
std::string half_empty(const Study&, Amps, PartId battery = {});
/// The same, for a battery of a usual size where it is not said.
std::string half_empty_of_any(const Study&, Amps, PartId battery = {});

} // namespace loomproof::rules
