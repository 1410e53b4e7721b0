#pragma once
/// Does what protects a wire open before a dead short has spoiled its insulation?
///
/// Structural: the current follows from the battery's inner resistance and the wires on the way alone. Contacts, joints and fuses make
/// it smaller, so messages say "at most". Two currents are tried: a short at the wire's near end with cold copper, and one at its far
/// end with copper at the insulation's class; both times follow I^2 t beyond the last published row of the fuse.

#include "reference/fuses.hpp"
#include "rules/study.hpp"

#include <optional>
#include <string_view>

namespace loomproof::rules {

/// The style that says how fast a device opens. What is not said is the usual one: a plug-in blade, above 40 A the large size, above
/// 100 A bolted (common practice). A feed that is not drawn counts as a blade fuse of its rating.
reference::Protector style_of(const Study&, PrimitiveId device, Amps rating);

struct Clearing {
    enum class Verdict {
        in_time,     ///< by the latest time of the fuse's band
        may_be_late, ///< by its earliest time only
        too_late,    ///< not even by that, or the current is too small to open it
        no_curve,    ///< `why` says for which device
        not_known,   ///< the wire's size or insulation is not known
    };
    Verdict verdict = Verdict::not_known;
    Amps current;                    ///< of the harder of the two shorts
    std::optional<Seconds> opens_by; ///< latest; nothing where no standard promises that it opens
    Seconds stands;                  ///< so long the wire stands that current
    bool assumed_current = false;    ///< the source's inside is not known: ten times the rating was tried
    PrimitiveId device;              ///< no_curve: the one without
    std::string_view why;            ///< no_curve: in words
};

/// Of a wire that is fed over protectors, none of them of unknown rating.
Clearing clearing_of_short(const Study&, WireId);

} // namespace loomproof::rules
