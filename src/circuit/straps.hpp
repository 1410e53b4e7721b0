#pragma once
/// How thick a battery's ground strap has to be where none is drawn, and what is taken for granted with it.

#include "circuit/circuit.hpp"

#include <string>

namespace loomproof {

/// A size as it is typed ("16 mm2", "2 awg"): that of the thickest cable at the other pole of a battery or at a starter, and at least what
/// carries the largest load of the file (a starter counts for half: it cranks for seconds, common practice, no source); 16 mm2 at least.
std::string strap_size(const Circuit&);

/// What nobody checks where a battery's strap is assumed: "whether yours carries the 300 A of M1 is not checked". Empty where 16 mm2
/// carries the largest load that comes back over the body: one with a wire of its own to the battery's ground `pole` does not.
std::string strap_not_judged(const Circuit&, TerminalId pole);

} // namespace loomproof
