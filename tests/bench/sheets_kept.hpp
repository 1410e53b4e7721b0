#pragma once
/// One wire more, on sheets: where are the parts that somebody has printed?

#include "draw/draw.hpp"
#include "draw/kept.hpp"
#include "paper/type.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace loomproof::bench {

/// Where a symbol stands: the sheet, from 0, and where on it its drawing begins, mm.
struct OnSheet {
    std::size_t sheet = 0;
    double x = 0, y = 0;
};

/// Such a drawing, on sheets or on one page, as it is remembered in its SVG: what draw --keep reads.
inline draw::KeptDrawing remembered(const std::vector<std::string>& sheets) {
    draw::KeptDrawing kept;
    for (const std::string& svg : sheets)
        if (Result<draw::KeptSheet> sheet = draw::read_kept(svg)) kept.sheets.push_back(std::move(*sheet));
    return kept;
}

/// What was drawn: its SVG, and how often wires cross.
struct Drawn {
    std::vector<std::string> sheets;
    int crossings = 0;
};
inline Drawn drawn_on(const draw::Sketch& sketch, const paper::Paper& paper, const draw::KeptDrawing* kept = nullptr) {
    draw::Options options;
    options.kept = kept;
    Drawn found;
    const auto sheets = draw::draw_sheets(sketch, paper, options);
    if (!sheets) return found;
    for (const draw::SheetDrawing& sheet : *sheets) {
        found.sheets.push_back(sheet.drawing.svg);
        found.crossings += sheet.drawing.crossings;
    }
    return found;
}
inline Drawn drawn_on_one_page(const draw::Sketch& sketch, const draw::KeptDrawing* kept = nullptr) {
    draw::Options options;
    options.kept = kept;
    Drawn found;
    if (const auto page = draw::draw(sketch, options)) found = {{page->svg}, page->crossings};
    return found;
}

/// By symbol, as the SVG names it ("s-...").
inline std::map<std::string, OnSheet> places_on(const Drawn& drawn) {
    std::map<std::string, OnSheet> found;
    for (std::size_t s = 0; s < drawn.sheets.size(); ++s) {
        const std::string& svg = drawn.sheets[s];
        double scale = 1;
        if (const auto sheet = draw::read_kept(svg)) scale = sheet->scale;
        const std::string begin = "<g id=\"s-", first = " d=\"M";
        for (std::size_t at = svg.find(begin); at != std::string::npos; at = svg.find(begin, at + 1)) {
            const std::size_t name = at + begin.size() - 2;
            OnSheet place{s};
            if (const std::size_t d = svg.find(first, at); d != std::string::npos) {
                char* behind = nullptr;
                place.x = std::strtod(svg.c_str() + d + first.size(), &behind) / paper::units_per_mm * scale;
                place.y = std::strtod(behind, nullptr) / paper::units_per_mm * scale;
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

inline Kept kept_share_of(const Drawn& before, const Drawn& after) {
    constexpr double a_finger = 10; // mm
    const auto was = places_on(before), is = places_on(after);
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

/// Both freshly drawn.
inline Kept kept_on_sheets(const draw::Sketch& before, const draw::Sketch& after, const paper::Paper& paper) {
    return kept_share_of(drawn_on(before, paper), drawn_on(after, paper));
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

/// One wire more: drawn freshly, and drawn with the drawing from before kept to.
struct Again {
    Kept fresh, kept;
    int crossings_fresh = 0, crossings_kept = 0;
    int sheets_fresh = 0, sheets_kept = 0;
};
enum class On : unsigned char { sheets_of_a4, one_page };

inline Drawn drawn(const draw::Sketch& sketch, On on, const draw::KeptDrawing* kept = nullptr) {
    return on == On::sheets_of_a4 ? drawn_on(sketch, paper::a4, kept) : drawn_on_one_page(sketch, kept);
}

inline Again one_more(const Drawn& before, const draw::KeptDrawing& kept, const draw::Sketch& after, On on) {
    const Drawn fresh = drawn(after, on), as_before = drawn(after, on, &kept);
    return {
        kept_share_of(before, fresh), kept_share_of(before, as_before),      fresh.crossings,
        as_before.crossings,          static_cast<int>(fresh.sheets.size()), static_cast<int>(as_before.sheets.size())};
}

/// The mean over a wire more on each splice, of many on every so manieth. Crossings and sheets are sums.
inline Again kept_on_average(const draw::Sketch& sketch, On on) {
    constexpr std::size_t most = 12;
    std::vector<std::size_t> splices;
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
        if (sketch.symbols[s].kind == draw::SymbolKind::splice) splices.push_back(s);
    const std::size_t step = std::max<std::size_t>(1, splices.size() / most);
    const Drawn before = drawn(sketch, on);
    const draw::KeptDrawing kept = remembered(before.sheets);
    Again sum;
    double tried = 0;
    for (std::size_t i = 0; i < splices.size(); i += step) {
        const Again again = one_more(before, kept, with_one_wire_more(sketch, splices[i]), on);
        for (const auto& [into, from] : {std::pair(&sum.fresh, &again.fresh), {&sum.kept, &again.kept}}) {
            into->same_number += from->same_number;
            into->same_sheet += from->same_sheet;
            into->same_company += from->same_company;
        }
        sum.crossings_fresh += again.crossings_fresh;
        sum.crossings_kept += again.crossings_kept;
        sum.sheets_fresh += again.sheets_fresh;
        sum.sheets_kept += again.sheets_kept;
        ++tried;
    }
    for (Kept* kept_share : {&sum.fresh, &sum.kept})
        if (tried > 0)
            *kept_share = {kept_share->same_number / tried, kept_share->same_sheet / tried,
                           kept_share->same_company / tried};
    return sum;
}

/// A line or two for people: fresh and kept side by side.
inline std::string as_text(const Again& mean, On on) {
    const bool page = on == On::one_page;
    std::string text =
        fmt::format("  a wire more on each splice, {}: parts where they stood, freshly drawn {:.0f} %, with "
                    "--keep {:.0f} %; crossings in all {} and {}",
                    page ? "one page" : "A4", mean.fresh.same_company * 100, mean.kept.same_company * 100,
                    mean.crossings_fresh, mean.crossings_kept);
    if (page) return text;
    return text +
           fmt::format("; sheets {} and {}\n    with those they stood with: freshly {:.0f} %, with --keep {:.0f} "
                       "%; on the sheet of the same number: {:.0f} % and {:.0f} %",
                       mean.sheets_fresh, mean.sheets_kept, mean.fresh.same_sheet * 100, mean.kept.same_sheet * 100,
                       mean.fresh.same_number * 100, mean.kept.same_number * 100);
}

} // namespace loomproof::bench
