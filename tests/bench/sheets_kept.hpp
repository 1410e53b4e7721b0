#pragma once
/// One wire more, on sheets: which parts are still on the sheet that somebody has printed?

#include "draw/draw.hpp"

#include <cstddef>
#include <map>
#include <string>

namespace loomproof::bench {

/// By symbol, as the SVG names it ("s-..."), the number of the sheet on which it stands, from 0.
inline std::map<std::string, std::size_t> sheet_of_symbols(const draw::Sketch& sketch, const paper::Paper& paper) {
    std::map<std::string, std::size_t> found;
    const auto sheets = draw::draw_sheets(sketch, paper);
    if (!sheets) return found;
    for (std::size_t s = 0; s < sheets->size(); ++s) {
        const std::string& svg = (*sheets)[s].drawing.svg;
        const std::string begin = "<g id=\"s-";
        for (std::size_t at = svg.find(begin); at != std::string::npos; at = svg.find(begin, at + 1)) {
            const std::size_t name = at + begin.size() - 2;
            found.emplace(svg.substr(name, svg.find('"', name) - name), s);
        }
    }
    return found;
}

/// The share of the symbols that stand on a sheet of the same number as before; 0 where nothing was drawn.
inline double kept_on_sheets(const draw::Sketch& before, const draw::Sketch& after, const paper::Paper& paper) {
    const auto was = sheet_of_symbols(before, paper), is = sheet_of_symbols(after, paper);
    std::size_t kept = 0;
    for (const auto& [symbol, sheet] : was)
        if (const auto now = is.find(symbol); now != is.end() && now->second == sheet) ++kept;
    return was.empty() ? 0 : static_cast<double>(kept) / static_cast<double>(was.size());
}

} // namespace loomproof::bench
