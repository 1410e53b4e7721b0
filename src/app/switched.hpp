#pragma once
/// What commands share that look at a circuit with its switches set: `--when`, and names of parts and terminals.

#include "app/command.hpp"
#include "circuit/read.hpp"
#include "circuit/view.hpp"

#include <optional>
#include <string>

namespace loomproof::app {

struct Switched {
    Reading reading;
    Wish wish;
};

/// Reads FILE and `--when`. Nothing, after saying why, where either cannot be understood. Mistakes in the text are said on the side:
/// what stands in those lines is in no figure. `sources` must outlive the result.
std::optional<Switched> read_switched(const Given&, Sources& sources, const Console&);

/// The part of that name as it is now; capitals do not matter. Nothing, after naming the nearest, where there is none.
std::optional<PartId> part_called(const View&, const std::string& name, const Console&);

/// "K1:30", "SP1", "ground"; a part alone means its first terminal. Nothing, after saying what there is, where there is none.
std::optional<TerminalId> terminal_called(const View&, const std::string& name, const Console&);

} // namespace loomproof::app
