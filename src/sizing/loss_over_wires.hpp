#pragma once
/// Too many volts lost on the way to a load: which of its wires become thicker.

#include "sizing/proposal.hpp"

namespace loomproof::sizing {

/// Where the place of a wire is not said, what the tables take.
Celsius temperature_of(const Circuit&, PlaceId);
reference::SizeSystem system_in(const std::string& size);
/// Nothing where no size was said.
std::optional<reference::WireSize> size_of(const loomproof::Wire&);
/// What a wire must do, with any loss allowed. A length that nobody said counts as none.
Need need_of(const Circuit&, WireId, Amps flows, Amps carries);
/// For long or in passing; 0 A where nothing is known.
Amps most_amps(const Flows&, WireId);

/// The most copper that goes where this wire ends: a terminal for a blade (reference::blade_terminal_takes), a hole of a plug (as its line says, else
/// 4 mm2), a lamp holder (2.5 mm2; both common practice, no source). Nothing where studs and joints take what comes.
std::optional<SquareMetres> taken_at(const View&, TerminalId);

/// Gives the runs that bring most volts back their next size, load by load, the worst first.
class LossOverWires {
  public:
    /// All must outlive it. `usual`: for wires whose size nobody said.
    LossOverWires(const View&, const Flows&, reference::SizeSystem usual);
    /// Changes `needs`, `stays` and `way`. What cannot be mended by thicker wire is handed back.
    std::vector<ForWire::Way> mend(std::vector<ForWire>&);

  private:
    /// Pieces of one run have one size.
    using Run = std::vector<std::size_t>;
    Volts lost_in(WireId, const std::vector<ForWire>&) const;
    std::vector<Run> runs_on(const LoadWay&, const std::vector<ForWire>&) const;
    /// The next size for the run of which it brings most back, `least` at least; of runs that lose `of` or more. False where there is none.
    bool step(const LoadWay&, const std::vector<Run>&, std::vector<ForWire>&, const ForWire::Way& why, Volts least,
              Volts of) const;
    std::optional<reference::WireSize> next_size(const Run&, const std::vector<ForWire>&) const;

    const View& view_;
    const Circuit& c_;
    const Flows& flows_;
    reference::SizeSystem usual_;
    Volts allowed_;
    std::vector<std::optional<std::size_t>> at_; ///< by wire id: its place in the proposal
};

} // namespace loomproof::sizing
