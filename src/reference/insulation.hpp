#pragma once
/// Kinds of insulation by the name on the reel: the temperature they stand for good, and once after a short.
///
/// Walls are not listed: published ones contradict each other.

#include "base/quantity.hpp"
#include "reference/source.hpp"

#include <optional>
#include <span>
#include <string_view>

namespace loomproof::reference {

enum class InsulationMaterial { unstated, thermoplastic, cross_linked, rubber, silicone };

struct InsulationKind {
    std::string_view name; ///< as the trade spells it: "GXL", "FLRY", "class B", "PVC 85"
    Celsius rating;        ///< the class: hottest copper that the insulation stands for good
    InsulationMaterial material = InsulationMaterial::unstated;
    Source source;         ///< of the rating
    std::string_view note; ///< what a reader should know about the figure; may be empty
};

/// All known kinds, in the order in which a list of choices shows them.
std::span<const InsulationKind> insulation_kinds();

/// A kind by name; case, spaces, hyphens and a final "degC" do not matter ("pvc85", "PVC 85 degC"). Nothing for unknown names.
std::optional<InsulationKind> find_insulation(std::string_view name);

/// The temperature that insulation stands once, for the few seconds of a short (short_time.hpp). IEC 60364-5-54 and
/// BS 7671, confirmed: thermoplastic 160 C, cross-linked 250 C, rubber 200 C (220 C from class 85 C up), silicone 350 C.
/// Where the material is not stated: 160 C, the lowest of all, up to class 125 C; nothing above, where it would be
/// a guess.
std::optional<Celsius> short_time_limit(InsulationMaterial, Celsius rating);

} // namespace loomproof::reference
