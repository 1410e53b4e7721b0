#pragma once
/// Where a published figure comes from, and how far it may be trusted.
///
/// Every table of this room carries a Source beside its rows. The standing says how we know the figure and is never
/// raised on the way to the user: what is from memory is printed as from memory.

#include <string>
#include <string_view>

namespace loomproof::reference {

enum class Standing {
    confirmed,       ///< read in a copy of the source, or computed by a formula that was
    from_memory,     ///< the source exists, its figure was not read again
    common_practice, ///< usual in the trade; nobody publishes it
};

struct Source {
    std::string_view text; ///< standard and table, with a word where it was written for something else; lives for ever
    Standing standing = Standing::from_memory;
};

/// "confirmed", "from memory", "common practice".
std::string_view word(Standing);

/// The source as a finding prints it: the text, followed by ", from memory" where that is its standing. Texts of common
/// practice say so themselves, so nothing is added to them.
std::string cite(const Source&);

/// The weaker of two standings: that of a figure which rests on both.
constexpr Standing weaker(Standing a, Standing b) { return a < b ? b : a; }

} // namespace loomproof::reference
