#pragma once
/// A wire and a fuse for one load, with the arithmetic and where published tables disagree.

#include "report/ink.hpp"
#include "sizing/asked.hpp"

#include <string>

namespace loomproof::report {

/// Without `all` the answer alone, what was assumed in a line, and a table that disagrees only where it would choose otherwise.
std::string size_text(const sizing::Asked&, const sizing::Answer&, const Screen&, bool all = true);

/// "Carries 35 A, as 14 AWG does ...; 7.6 mohm/m x 1.05 (copper at 33 degC) x 6 m x 8.7 A = 0.42 V."
std::string arithmetic(const sizing::Wire&, const sizing::Need&);
/// What the table for thick bundles says against it, as one or two sentences; empty below 24 AWG.
std::string other_table(const sizing::Wire&, Amps steady);
/// Would that table ask for a thicker wire?
bool other_table_differs(const sizing::Wire&, Amps steady);

} // namespace loomproof::report
