#pragma once
/// What a wire of the circuit can carry where it lies, and what would carry more.

#include "circuit/view.hpp"
#include "findings/finding.hpp"
#include "reference/carrying.hpp"
#include "reference/wire_sizes.hpp"

#include <optional>
#include <string>

namespace loomproof::rules {

/// Nothing where its size is not known or no table reaches.
std::optional<reference::Carrying> what_it_carries(const Circuit&, WireId);

/// The thinnest size, counted as the wire's own size is (mm2, AWG, SAE), that carries `amps` in its insulation and place.
std::optional<reference::WireSize> size_that_carries(const Circuit&, WireId, Amps);
/// The thinnest size, counted so, with as much copper.
std::optional<reference::WireSize> size_as_thick_as(const Circuit&, WireId, SquareMetres copper);
/// A remedy whose text has reference::spelled(size) in it, for one wire.
Remedy thicker(const Circuit&, WireId, const reference::WireSize&, std::string text);
/// Two rules that ask for thicker wire in one place each have their own reason: whoever follows one of them shall not meet the other one
/// next. The thickest size asked for a wire stands in all remedies for it.
void agree_on_sizes(std::vector<Finding>&);

/// The temperature that the wire's insulation stands once, in a short.
std::optional<Celsius> stands_once(const Circuit&, WireId);

/// The statement's own words: its end at that terminal, its size, its length. The wire's statement where they are not there.
Citation cite_wire_end(const Circuit&, WireId, TerminalId, std::string label = {});
Citation cite_size(const Circuit&, WireId, std::string label = {});
Citation cite_length(const Circuit&, WireId, std::string label = {});

} // namespace loomproof::rules
