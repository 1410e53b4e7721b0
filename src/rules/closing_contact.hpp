#pragma once
/// What a contact has to stand in the moment in which it closes: motors that start, lamps that are cold. Reported under part-overloaded.

#include "rules/survey.hpp"

#include <string>

namespace loomproof::rules {

/// Has the terminal a cable for more than 60 A on it? A battery's main switch, a winch contactor is made for what such cables carry (common
/// practice, no source).
bool has_cable(const Study&, TerminalId);
/// "the make contact of relay K1 "fan"", "hole 2 of X7": for headlines.
std::string what_it_is(const Circuit&, const Primitive&);

/// Relay contacts that motors start over: a finding where it is more than any sheet allows, else not checked where sheets differ or nobody
/// said. Contacts of relays and switches that say what they carry and that cold lamps are switched on with: not checked, never a finding.
void judge_closing_contacts(const Study&, const Survey&, Report&);

} // namespace loomproof::rules
