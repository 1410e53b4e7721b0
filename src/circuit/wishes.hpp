#pragma once
/// "S1 run, S5 hot": positions of controls as people say them, in the file and on the command line.
///
/// Several, with commas or `and`; each is a name and a position, or several with `or`; a section's name may stand between
/// ("S6 lights head", "S6.lights head", or only "S6 head" where one section alone has that position). An outside condition is said by its
/// text: "ignition on" in quotes, with `no` behind it for when it does not hold. `engine running` and `engine stopped` are understood.
///
/// Where a control has two positions, on, hot, closed, pressed, live and yes mean the second and off, cold, open, released and no the first;
/// a relay may be said to be pulled in or at rest.

#include "base/result.hpp"
#include "circuit/circuit.hpp"

#include <string_view>

namespace loomproof {

/// Reads the whole text. The error is one sentence, with the names that were meant.
Result<Wish> read_wish(const Circuit&, std::string_view text);

/// Do these positions (by ControlId) meet it? The engine is not looked at.
bool meets(const Wish&, const std::vector<std::uint8_t>& positions);

/// Does some line of the file expect this part to be on there?
bool is_expected_on(const Circuit&, PartId, const std::vector<std::uint8_t>& positions);

} // namespace loomproof
