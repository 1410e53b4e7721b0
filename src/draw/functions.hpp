#pragma once
/// What the paths of a sketch are for.

#include "draw/feeds.hpp"
#include "draw/sketch.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

/// What a load is called over its path: what the file calls it, else what it is.
std::string called(const Symbol& symbol);

/// How much is said of each load.
enum class Detail : unsigned char { all, without_which };

/// "brake lamp, left" and "brake lamp, right" are "brake lamp, left and right", or "brake lamp" without which; different things stand one
/// behind the other with `between` between them.
std::string summed_up(const Sketch& sketch, const std::vector<int>& symbols, const std::string& between,
                      Detail detail = Detail::all);

/// "Ridgeback pickup: contents"; without a title by the vehicle or the file, else "Contents".
std::string title_with(const Sketch& whole, const std::string& what);

/// Its first letter as a capital.
std::string with_capital(std::string text);

/// Headings for the loads behind each fuse; what several fuses feed has its own. One heading speaks of three different things at most: of more
/// there are more headings, so that no load goes unnamed. A fuse that feeds only the coil of a relay is headed by what that relay
/// is for, one that feeds only a switch by what the file calls the fuse.
std::vector<Heading> headings_of(const Sketch& sketch);

/// What a fuse is for behind which no load is drawn.
std::string said_of_fuse(const Sketch& sketch, int fuse);

/// A heading of which only these symbols are on the sheet.
Heading heading_of_some(const Sketch& sketch, const Heading& whole, std::vector<int> symbols);

/// What hangs on each fuse, by symbol, as the file spells it; empty for all that is no fuse.
std::vector<std::string> purposes_of(const Sketch& sketch, const std::vector<Feeds>& feeds);

} // namespace loomproof::draw
