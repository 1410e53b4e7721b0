#pragma once
/// Over how many sheets must one leaf to follow a load from its fuse to its ground?

#include "draw/bind.hpp"
#include "draw/feeds.hpp"
#include "draw/functions.hpp"
#include "paper/type.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <set>
#include <string>
#include <vector>

namespace loomproof::bench {

/// Of one set of sheets of A4, or of several added up.
struct Followed {
    int loads = 0;            ///< that hang on a fuse
    long sheets = 0;          ///< of all loads: the sheets on which what lies between fuse and ground stands
    int on_one = 0;           ///< loads for which that is one sheet
    std::size_t worst = 0;    ///< the most for one load
    std::string worst_load{}; ///< what that is called
    int headings = 0;         ///< over paths
    int only_paths = 0;       ///< of these: no arrow leads to what they name, they say "(path 4)"
    std::size_t all_sheets = 0;

    double mean() const { return loads == 0 ? 0 : static_cast<double>(sheets) / loads; }
    void add(const Followed& more) {
        loads += more.loads;
        sheets += more.sheets;
        on_one += more.on_one;
        headings += more.headings;
        only_paths += more.only_paths;
        all_sheets += more.all_sheets;
        if (more.worst > worst) {
            worst = more.worst;
            worst_load = more.worst_load;
        }
    }
};

/// A bus is drawn again on each sheet, so it leads to none.
inline Followed followed_on_sheets(const draw::Sketch& sketch) {
    Followed out;
    const auto bound = draw::bind(sketch, paper::a4, {.with_contents = true});
    if (!bound) return out;
    const draw::Bound& made = *bound;
    out.all_sheets = made.parts.size();
    std::vector<std::size_t> home(sketch.symbols.size(), 0);
    for (std::size_t p = 0; p < made.parts.size(); ++p)
        for (const int s : made.parts[p].from)
            if (s >= 0) home[static_cast<std::size_t>(s)] = p;
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s) {
        const int load = static_cast<int>(s);
        if (!draw::is_for_something(sketch.symbols[s]) || draw::feeds_of(sketch, load).fuses.empty()) continue;
        std::set<std::size_t> sheets;
        for (const int on_way : draw::from_fuse_to_ground(sketch, load))
            if (sketch.symbols[static_cast<std::size_t>(on_way)].kind != draw::SymbolKind::bus)
                sheets.insert(home[static_cast<std::size_t>(on_way)]);
        ++out.loads;
        out.sheets += static_cast<long>(sheets.size());
        out.on_one += sheets.size() == 1 ? 1 : 0;
        if (sheets.size() > out.worst) {
            out.worst = sheets.size();
            out.worst_load = draw::called(sketch.symbols[s]);
        }
    }
    for (const draw::Sheet& sheet : made.sheets)
        for (const draw::Word& word : sheet.notes.words) {
            if (word.kind != draw::WordKind::heading) continue;
            ++out.headings;
            out.only_paths += word.text.find("(path") != std::string::npos ? 1 : 0;
        }
    return out;
}

inline std::string said_of(const std::string& name, const Followed& f) {
    return fmt::format(
        "{:<36}{:>4} sheets of A4, {:>4} loads on {:.2f} sheets each, {} on one, at most {} ({}); {} of {} "
        "headings only say the path",
        name, f.all_sheets, f.loads, f.mean(), f.on_one, f.worst, f.worst_load, f.only_paths, f.headings);
}

} // namespace loomproof::bench
