#pragma once
/// One wire more, on sheets: where are the parts that somebody has printed?

#include "draw/draw.hpp"
#include "paper/type.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

namespace loomproof::bench {

/// Where a symbol stands: the sheet, from 0, and where on it its drawing begins, mm.
struct OnSheet {
    std::size_t sheet = 0;
    double x = 0, y = 0;
};

/// By symbol, as the SVG names it ("s-...").
inline std::map<std::string, OnSheet> places_on_sheets(const draw::Sketch& sketch, const paper::Paper& paper) {
    std::map<std::string, OnSheet> found;
    const auto sheets = draw::draw_sheets(sketch, paper);
    if (!sheets) return found;
    for (std::size_t s = 0; s < sheets->size(); ++s) {
        const std::string& svg = (*sheets)[s].drawing.svg;
        const std::string begin = "<g id=\"s-", first = " d=\"M";
        for (std::size_t at = svg.find(begin); at != std::string::npos; at = svg.find(begin, at + 1)) {
            const std::size_t name = at + begin.size() - 2;
            OnSheet place{s};
            if (const std::size_t d = svg.find(first, at); d != std::string::npos) {
                char* behind = nullptr;
                place.x = std::strtod(svg.c_str() + d + first.size(), &behind) / paper::units_per_mm;
                place.y = std::strtod(behind, nullptr) / paper::units_per_mm;
            }
            found.emplace(svg.substr(name, svg.find('"', name) - name), place);
        }
    }
    return found;
}

/// Shares of the symbols, 0 to 1; 0 where nothing was drawn.
struct Kept {
    double same_number = 0; ///< on the sheet of the same number
    double same_sheet = 0;  ///< with those that it stood with
    double same_company =
        0; ///< with those that it stood with, and no more than 10 mm from where it stood on their sheet
};

inline Kept kept_on_sheets(const draw::Sketch& before, const draw::Sketch& after, const paper::Paper& paper) {
    constexpr double a_finger = 10; // mm
    const auto was = places_on_sheets(before, paper), is = places_on_sheets(after, paper);
    // Where most of a sheet's symbols are now: whatever its number, that is the sheet again.
    std::map<std::size_t, std::map<std::size_t, int>> went;
    for (const auto& [symbol, place] : was)
        if (const auto now = is.find(symbol); now != is.end()) ++went[place.sheet][now->second.sheet];
    std::map<std::size_t, std::size_t> again;
    for (const auto& [sheet, to] : went)
        again[sheet] = std::max_element(to.begin(), to.end(), [](const auto& a, const auto& b) {
                           return a.second < b.second;
                       })->first;
    std::size_t number = 0, sheet = 0, company = 0;
    for (const auto& [symbol, place] : was) {
        const auto now = is.find(symbol);
        if (now == is.end()) continue;
        number += now->second.sheet == place.sheet ? 1 : 0;
        const bool near = std::hypot(now->second.x - place.x, now->second.y - place.y) <= a_finger;
        sheet += now->second.sheet == again.at(place.sheet) ? 1 : 0;
        company += near && now->second.sheet == again.at(place.sheet) ? 1 : 0;
    }
    if (was.empty()) return {};
    const auto all = static_cast<double>(was.size());
    return {static_cast<double>(number) / all, static_cast<double>(sheet) / all, static_cast<double>(company) / all};
}

/// A wire more on one symbol, to a ground foot of its own.
inline draw::Sketch with_one_wire_more(const draw::Sketch& sketch, std::size_t on) {
    draw::Sketch more = sketch;
    draw::Symbol foot;
    foot.kind = draw::SymbolKind::foot;
    foot.name = "body";
    foot.key = "one-more-foot";
    foot.terminals = {{}};
    more.symbols.push_back(foot);
    draw::Wire wire;
    wire.key = "one-more";
    wire.label = "W999 1 BN";
    wire.mm2 = 1;
    wire.a = {static_cast<int>(on), 0};
    wire.b = {static_cast<int>(more.symbols.size()) - 1, 0};
    more.wires.push_back(wire);
    return more;
}

/// The mean over a wire more on each splice, of many on every so manieth; sheets of A4.
inline Kept kept_on_average(const draw::Sketch& sketch) {
    constexpr std::size_t most = 12;
    std::vector<std::size_t> splices;
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
        if (sketch.symbols[s].kind == draw::SymbolKind::splice) splices.push_back(s);
    const std::size_t step = std::max<std::size_t>(1, splices.size() / most);
    Kept sum;
    double tried = 0;
    for (std::size_t i = 0; i < splices.size(); i += step) {
        const Kept kept = kept_on_sheets(sketch, with_one_wire_more(sketch, splices[i]), paper::a4);
        sum.same_number += kept.same_number;
        sum.same_sheet += kept.same_sheet;
        sum.same_company += kept.same_company;
        ++tried;
    }
    return tried == 0 ? Kept{} : Kept{sum.same_number / tried, sum.same_sheet / tried, sum.same_company / tried};
}

} // namespace loomproof::bench
