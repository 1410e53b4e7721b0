#pragma once
/// How long a battery lasts, in words.

#include "rules/study.hpp"

#include <string>

namespace loomproof::rules {

/// "1 h 45 min", "42 days".
std::string span_in_words(double seconds);

/// " Half of what the battery holds is gone in 3 h 45 min.", from the first battery that says its Ah; empty where none does.
std::string half_empty(const Study&, Amps);
/// The same, for a battery of a usual size where none says it.
std::string half_empty_of_any(const Study&, Amps);

} // namespace loomproof::rules
