#pragma once
/// Terminal stamps of DIN 72552: what the number beside a terminal says, in our words.
///
/// A stamp names the terminal of a part, never the wire: the two ends of one wire may carry different stamps. Nothing is
/// computed from a stamp; these words only explain.

#include "reference/source.hpp"

#include <optional>
#include <span>
#include <string_view>

namespace loomproof::reference {

struct Stamp {
    std::string_view stamp; ///< "30", "87a", "57L", "D+"
    std::string_view meaning;
    Standing standing = Standing::from_memory; ///< of `meaning`, against five published lists of DIN 72552
    /// What the same stamp means on the common plug-in relay where that differs from the strict reading; else empty.
    std::string_view on_plug_in_relays;
    Standing plug_in_standing = Standing::from_memory; ///< meaningless where there is no such meaning
};

/// In the order of the standard's groups. Valid for ever.
std::span<const Stamp> stamps();

/// By stamp; case does not matter. Nothing for what is no stamp of the standard ("86c").
std::optional<Stamp> find_stamp(std::string_view);

} // namespace loomproof::reference
