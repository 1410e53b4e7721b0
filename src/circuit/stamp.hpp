#pragma once
/// What is moulded at a terminal, as the file says it.

#include "circuit/circuit.hpp"

namespace loomproof {

/// The stamp that the file gives an alternator's lamp or sense terminal ("lamp terminal D+"), else the one that its kind lists.
const std::string& shown_stamp(const Circuit&, TerminalId);

} // namespace loomproof
