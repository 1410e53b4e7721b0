#pragma once
/// The lines of the circuit file that a finding speaks about, with marks under the words that matter.
///
///    9 | wire from battery:+ to F1, 12 awg red, 0.8 m
///      |           ~~~~~~~~~    ~~              ~~~~~ no fuse on this lead

#include "findings/finding.hpp"
#include "netlist/source.hpp"
#include "report/ink.hpp"

#include <span>
#include <string>

namespace loomproof::report {

/// The most lines of the file that one finding shows.
inline constexpr std::size_t most_lines_shown = 6;

/// Shows each line that a citation touches once, with all marks of that line under it and their labels beside or below; `mark_ink`
/// colours the marks. Lines stand in text order, those of the file with the main citation first; a line of another file than
/// the one checked (source 0) is announced by that file's name. Of a citation over several lines the first and the last are shown. At most
/// `most_lines_shown` lines, those cited first; how many more there are is said. A citation that is a whole line has no marks under it.
/// A place between two characters is marked ^. Lines wider than the terminal go on below, and of a very long line only the marked
/// stretches are shown. Tabs stop at every fourth column. Empty where no citation has text behind it.
std::string excerpt(const Sources&, std::span<const Citation>, const Screen&, Ink mark_ink);

} // namespace loomproof::report
