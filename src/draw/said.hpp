#pragma once
/// Figures as they are printed on the drawing, with how well they are known.

#include "circuit/circuit.hpp"
#include "draw/sketch.hpp"

#include <string>

namespace loomproof::draw {

/// "2 m"; "~2 m" where it was said to be about that or is a default of the trade; "2 m?" where it was guessed; "? m" where somebody said that
/// it is unknown; empty where nobody said anything. What is no plain fact is noted in `doubts`.
std::string said(const Stated<Amps>& value, Doubts& doubts);
std::string said(const Stated<Volts>& value, Doubts& doubts);
std::string said(const Stated<Watts>& value, Doubts& doubts);
std::string said(const Stated<Ohms>& value, Doubts& doubts);
std::string said(const Stated<Metres>& value, Doubts& doubts);

/// A text for the figure, with the same marks; `unit` stands behind the question mark of what is unknown.
std::string marked(const std::string& text, Knowledge how, const Span& span, const std::string& unit, Doubts& doubts);

/// "16 SAE" of "16 sae", "12 AWG" of "12 awg": gauges as their standards write them; all else as it is.
std::string in_letters_of_its_standard(std::string size);

/// A wire's size as typed, square millimetres without their unit: "2.5", "12 AWG", "~2.5", "? mm2".
std::string size_text(const loomproof::Wire& wire, Doubts& doubts);

} // namespace loomproof::draw
