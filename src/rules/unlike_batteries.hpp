#pragma once
/// Batteries of different volts whose live poles come together.

#include "rules/rule.hpp"

namespace loomproof::rules {

/// Two batteries that share their ground and of which one has more than a quarter more volts than the other (a row of batteries counts with
/// their sum), where switches and relays can be set so that current flows from the one into the other over wires, fuses, contacts and diodes
/// alone: a danger, reported under wrong-voltage. One finding for each battery with fewer volts. A converter or charger between them parts them.
void judge_unlike_batteries(const Study&, Report&);

} // namespace loomproof::rules
