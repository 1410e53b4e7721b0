#pragma once
/// Two questions to an alternator that turns, for excitation-lost: does it see the battery's volts over its sense wire, and does the
/// battery hold its volts down over the main lead?

#include "rules/survey.hpp"

namespace loomproof::rules {

/// Reports under `rule`. `awake`: the current into a lamp terminal from which on the ignition counts as switched on, where the file says
/// nothing of the engine.
void judge_alternator_lines(const Study&, const Survey&, const char* rule, Amps awake, Report&);

} // namespace loomproof::rules
