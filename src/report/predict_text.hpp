#pragma once
/// Predicted readings, and the way between two points, as terminal text. Same input, same bytes, in any locale.

#include "report/ink.hpp"
#include "solve/predict.hpp"

#include <string>
#include <vector>

namespace loomproof::report {

struct PredictOptions {
    /// Only rows at these parts; empty: all.
    std::vector<PartId> only;
};

/// Set for a phone: never wider than 60 columns. What works, a line each ("E1 work lamp: lit, 4.6 A"), and what does not; a table by
/// place: terminal, volts under load, what a test lamp does, amps, where its wire leads; a terminal without a wire stands there where it is
/// live. A part that was asked for says what its contacts and fuses let through. Then where volts are lost on the way to the loads that work, worst first: where only some parts are asked for, all of theirs; else
/// the five that lose most, from 0.3 V on. Then what the figures hang on. What goes wrong on the way there stands before all.
std::string predict_text(const View&, const solve::Prediction&, const Screen&, const PredictOptions& = {});

/// Stop by stop with each drop.
std::string trace_text(const View&, const solve::Trace&, TerminalId from, TerminalId to, const Screen&);

} // namespace loomproof::report
