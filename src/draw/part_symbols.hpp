#pragma once
/// The symbol of one part of a circuit: which kind, what is written, which terminal sits where.

#include "circuit/view.hpp"
#include "draw/sketch.hpp"

#include <functional>
#include <vector>

namespace loomproof::draw {

struct PartSymbol {
    Symbol symbol;
    std::vector<TerminalId> seats;     ///< terminals of the part that are drawn
    std::vector<std::size_t> terminal; ///< beside each: its index in the symbol
};

/// For every kind but plugs, grounds and loose ends, which the converter splits up itself. `used` tells whether a terminal has a
/// wire or is bolted to metal: some terminals are drawn only then.
PartSymbol symbol_of(const View& view, PartId part, const std::function<bool(TerminalId)>& used);

/// The kind of symbol each kind of part is drawn with (a switch: its lever form). A test asks it for all kinds.
SymbolKind symbol_kind_of(Kind kind);

} // namespace loomproof::draw
