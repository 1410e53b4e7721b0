#pragma once
/// What a sheet does, in words.

#include "draw/feeds.hpp"
#include "draw/sketch.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

/// Every load on the sheet with the fuses that feed it, the supply first, then fuses whose loads stand elsewhere: "Supply with starter; charge
/// lamp and gauges (F1); fan (F2, F3)". A fuse is named only where it feeds the load before it. `symbols`: those of the whole sketch that stand on the sheet, rising; `feeds`: feeds_of_loads of the whole sketch.
std::string title_of(const Sketch& whole, const std::vector<Feeds>& feeds, const std::vector<int>& symbols);

/// The same on at most two lines of that width (units) behind `before`, as far as words can be saved: which of several alike is left out first,
/// then the fuses; never a load.
std::string short_title_of(const Sketch& whole, const std::vector<Feeds>& feeds, const std::vector<int>& symbols,
                           const std::string& before, double width);

} // namespace loomproof::draw
