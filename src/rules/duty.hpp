#pragma once
/// Loads that run for a while and then rest: how warm a wire gets in that time.

#include "base/quantity.hpp"
#include "reference/carrying.hpp"
#include "rules/survey.hpp"

#include <optional>
#include <string>

namespace loomproof::rules {

/// `duty 30 s in 5 min`: on for `on`, again after `period` from one start to the next.
struct Duty {
    Seconds on, period;
    std::string words; ///< "30 s in 5 min"
};

/// What the file says of this part; nothing where it says none.
std::optional<Duty> duty_of(const Study&, PartId);

/// The duty of all that takes current behind a wire or a protector at a peak, where every one of them says one: the one that warms most. Nothing where one
/// runs for hours, or where the edge is not the only way to them.
std::optional<Duty> duty_behind(const Study&, const Survey&, EdgeRef, const Peak&);

/// What a wire of this area carries with that duty: above `carrying.amps`, as it cools in between. A wire warms like a body of one time
/// constant, the time in which its steady current would heat its copper alone by the same (IEC 60949 for the copper; a real wire with
/// its insulation is slower): the highest rise is that of steady current times (1 - e^(-on/T)) / (1 - e^(-period/T)).
Amps carries_with(const Duty&, SquareMetres copper, const reference::Carrying&);

} // namespace loomproof::rules
