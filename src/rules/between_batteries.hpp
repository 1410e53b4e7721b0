#pragma once
/// Contacts between two batteries: what a flat one takes.

#include "rules/rule.hpp"

namespace loomproof::rules {

/// A contact that says what it is made for, with a battery on either side of it or a battery on one and an undrawn feed on the other, where
/// the fuses and the cables let a flat battery take more over it than that: a fault, reported under part-overloaded. Silent where the
/// smaller fuse of the two sides is at most the next size above its rating, where the wires alone keep the current below it, where either
/// part stands in the report already, and where no fuse stands on either side (unfused-feed speaks of that).
void judge_contacts_between_batteries(const Study&, Report&);

} // namespace loomproof::rules
