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

/// Does `--when` name something that is not there in this view, because a job that is only planned brings it? Says so.
bool names_what_is_planned(const View&, const Wish&, const Console&);

/// What goes above figures where planned jobs are left out: one remark, no wider than 60 columns; empty where none is.
std::string plan_remark(const View&);

/// The part of that name as it is in the view; capitals do not matter. Nothing, after naming the nearest, where there is none.
std::optional<PartId> part_called(const View&, const std::string& name, const Console&);

/// "battery:+", "K1:30", "SP1", "ground"; a part alone means its first terminal; "E2:+" and "E2:-" of a part with two ends mean that which is
/// fed and that which is grounded. Nothing, after saying what there is, where there is none.
std::optional<TerminalId> terminal_called(const View&, const std::string& name, const Console&);

} // namespace loomproof::app
