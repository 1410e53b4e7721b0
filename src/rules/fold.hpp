#pragma once
/// The folding stage: the only one that knows what all rules found. One cause, one finding.

#include "rules/rule.hpp"

#include <vector>

namespace loomproof::rules {

/// A finding of rule `consequence` goes under one of rule `cause` where the two share a subject.
struct Explains {
    const char* cause;
    const char* consequence;
};

/// In this order: what the file accepts is taken out (an acceptance that matches nothing becomes a finding itself); consequences go
/// under their causes; what the maker built becomes one note for the vehicle; the rest is sorted. What is sorted first can burn or
/// cannot be stopped; then by severity, certainty (certain, undecided, possible) and place in the text.
Outcome fold(const Circuit&, Report);

} // namespace loomproof::rules
