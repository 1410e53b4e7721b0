#pragma once
/// What drives a wire by electronics: output pins of units, and feeds of which the file says that they are pulsed.

#include "circuit/view.hpp"

#include <string>
#include <vector>

namespace loomproof {

struct Output {
    PartId part;
    TerminalId at;       ///< its pin; the only terminal of a feed
    PrimitiveId contact; ///< conducts while it drives; does not exist for a feed
    bool plus = true;    ///< it joins its pin to plus; false: to ground
    // What is said of it; null where nothing is. They live as long as the circuit.
    const Attribute* pulsed = nullptr;  ///< [Hz], perhaps an unknown figure
    const Attribute* clamped = nullptr; ///< [V] where it takes up a coil's kick itself
    const Attribute* least = nullptr;   ///< [W] that it is content with ...
    const Attribute* most = nullptr;    ///< ... and the most; null where only the lamp was said that it was made for
};

/// In text order, those of poisoned parts left out.
std::vector<Output> outputs_of(const View&);

/// The pin that this contact of an electronic unit drives; does not exist for any other primitive.
TerminalId output_pin(const Circuit&, const Primitive&);

/// For people: "output 7 of A1", "existing wire T1".
std::string called(const Circuit&, const Output&);

} // namespace loomproof
