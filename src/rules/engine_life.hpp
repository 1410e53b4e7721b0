#pragma once
/// What keeps the engine alive, where nobody drew it.
///
/// Where a terminal does, volts alone do not make it fed: through a small lamp it has them until something takes current. It counts as fed if it
/// kept half of its volts at the current of a small ignition; what is drawn there and takes more than 10 mA is judged by itself, as
/// electronics of some 50 mA do run on through a charge lamp (all common practice, no source).

#include "rules/study.hpp"
#include "solve/states.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof::rules {

/// What a small ignition takes (common practice, no source).
inline constexpr Amps small_ignition{1};

struct DoubtfulLife {
    std::vector<EdgeRef> way; ///< from what keeps the engine alive to the source of its volts
    TerminalId source;
    std::vector<PrimitiveId> loads; ///< on that way; never empty
};

/// In this state the engine runs, but what keeps it alive has volts through loads only, and nothing drawn there takes current: whether it
/// really runs is not known. Nothing where it is known, or where it does not run.
std::optional<DoubtfulLife> doubtful_life(const Study&, const solve::Behaviour&, solve::StateId);

/// What to find out then, and what the answer decides. Precondition: the file says what terminal keeps the engine alive.
std::string what_decides_life(const Circuit&);

} // namespace loomproof::rules
