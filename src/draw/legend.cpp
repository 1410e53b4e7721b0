#include "draw/legend.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// Feet on metal that is everywhere: no stud that can be pointed at.
bool is_on_metal(const Symbol& symbol) { return symbol.kind == SymbolKind::foot && symbol.group.empty(); }

std::string name_of_end(const Sketch& sketch, const End& end) {
    const Symbol& symbol = sketch.symbols[index(end.symbol)];
    const std::string& stamp = symbol.terminals[index(end.terminal)].stamp;
    return stamp.empty() ? symbol.name : symbol.name + ":" + stamp;
}

} // namespace

std::vector<std::string> legend_of(const Sketch& sheet, const Sketch& whole) {
    std::vector<std::string> lines;
    const bool bolted = std::any_of(sheet.wires.begin(), sheet.wires.end(),
                                    [](const Wire& w) { return w.mounting && !w.removed && !w.assumed; });
    if (bolted) lines.emplace_back("Dotted line: no wire, but metal on metal: a part bolted on, a fuse in its rail.");
    std::set<std::string> said;
    for (const Wire& w : sheet.wires) {
        if (!w.assumed) continue;
        std::string line = "Dotted line from " + name_of_end(sheet, w.a) + " to " + name_of_end(sheet, w.b) +
                           ": a strap that nobody wrote down, assumed. See that it is there.";
        if (said.insert(line).second) lines.push_back(std::move(line));
    }
    std::map<std::string, int> feet;
    for (const Symbol& s : whole.symbols)
        if (is_on_metal(s) && !s.name.empty()) ++feet[s.name];
    for (const auto& [name, count] : feet) {
        const bool here = std::any_of(sheet.symbols.begin(), sheet.symbols.end(), [&, &called = name](const Symbol& s) {
            return is_on_metal(s) && s.name == called;
        });
        if (here && count > 1)
            lines.push_back("Every ground sign with \"" + name + "\" is one and the same metal, on whichever sheet.");
    }
    return lines;
}

std::vector<std::string> leading_marks(const Sketch& whole) {
    std::vector<std::string> lines{"Two short waves end a wire that goes on on another sheet. \"goes on\": current "
                                   "runs there; \"comes from\": it "
                                   "comes from there; \"joins\": it runs either way, or none is known to.",
                                   "Numbers below a sheet count its current paths from the left: \"sheet 2, path 4\"."};
    if (std::any_of(whole.symbols.begin(), whole.symbols.end(),
                    [](const Symbol& s) { return !s.other_halves.empty(); }))
        lines.emplace_back("A broken frame is half of a relay; its other half stands where it says.");
    for (std::string& line : legend_of(whole, whole)) lines.push_back(std::move(line));
    return lines;
}

} // namespace loomproof::draw
