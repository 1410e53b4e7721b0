#pragma once
/// What check found, put on the drawing: numbered marks at what the findings are about, their words for the foot of the sheets.

#include "draw/sketch.hpp"
#include "findings/finding.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

/// Numbers the findings in their order, behind the letter of how bad they and what follows from them are (notes get none: they never count
/// against the circuit), and puts each mark at the first of its subjects that is drawn: a part, one half of a relay drawn apart, a hole of a plug, a ground's first foot, a wire's first piece. What is
/// about nothing that is drawn gets its words only. `verdict` is a sentence or more: what check says of the whole.
void remark(Sketch& sketch, const std::vector<Finding>& findings, std::string verdict);

/// Gives the sheet, a part of `whole` or all of it (`alone`), what stands at its foot: the verdict and which of its marks are here, and the
/// words of those; on one that is alone those, too, that have no mark.
void share_remarks(Sketch& sheet, const Sketch& whole, bool alone);

} // namespace loomproof::draw
