#include "draw/legend.hpp"

#include "base/number.hpp"
#include "reference/colours.hpp"

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

// "Sizes without a unit are mm2. Colours: BK black, RD red; behind a stroke the stripe."
std::string how_labels_are_read(const Sketch& sheet) {
    bool sizes = false, stripes = false;
    std::map<std::string, std::string> words; // by letters
    const auto note = [&](const std::string& letters) {
        if (const auto colour = reference::read_colour(letters, reference::ColourSet::iec).colour)
            words[letters] = reference::word(*colour);
    };
    for (const Wire& w : sheet.wires) {
        if (w.mounting || w.label.empty()) continue;
        sizes = sizes || w.mm2_without_unit;
        note(w.colour.main);
        if (w.colour.stripe.empty()) continue;
        note(w.colour.stripe);
        stripes = true;
    }
    std::string line = sizes ? "Sizes without a unit are mm2." : "";
    if (words.empty()) return line;
    line += line.empty() ? "Colours: " : " Colours: ";
    bool first = true;
    for (const auto& [letters, word] : words) {
        line += (first ? "" : ", ") + letters + "\u00A0" + word;
        first = false;
    }
    return line + (stripes ? "; behind the stroke the stripe." : ".");
}

// The foot at which the battery's minus is wired to a stud: null where there is none.
const Symbol* minus_foot(const Sketch& whole) {
    for (const Wire& w : whole.wires) {
        if (w.removed) continue;
        const Symbol &a = whole.symbols[index(w.a.symbol)], &b = whole.symbols[index(w.b.symbol)];
        if (a.kind == SymbolKind::battery && a.terminals[index(w.a.terminal)].stamp == "-" &&
            b.kind == SymbolKind::foot)
            return &b;
    }
    return nullptr;
}

// "GND1, GND2 and GND3 are one metal (body)", of every metal with more than one stud.
void say_one_metal(const Sketch& whole, std::vector<std::string>& lines) {
    std::map<std::string, std::vector<std::string>> studs; // by metal
    for (const Symbol& s : whole.symbols) {
        if (s.kind != SymbolKind::foot || s.metal.empty() || s.name.empty()) continue;
        std::vector<std::string>& names = studs[s.metal];
        if (std::find(names.begin(), names.end(), s.name) == names.end()) names.push_back(s.name);
    }
    const Symbol* minus = minus_foot(whole);
    for (const auto& [metal, names] : studs) {
        if (names.size() < 2) continue;
        const bool here = minus && minus->metal == metal;
        lines.push_back(list_of(names) + " are one metal (" + metal + ")" +
                        (here ? "; the battery's minus is on it." : "."));
    }
}

// What the signs in the wires are: behind the sizes and colours, so that they take no line of their own.
std::string signs(const Sketch& sheet) {
    std::string text;
    const auto seen = [&](SymbolKind kind, const char* words) {
        if (std::any_of(sheet.symbols.begin(), sheet.symbols.end(), [&](const Symbol& s) { return s.kind == kind; }))
            text += std::string(text.empty() ? "" : " ") + words;
    };
    seen(SymbolKind::hole, "Name with a colon at a pin in its socket: plug, and hole of it.");
    seen(SymbolKind::splice, "Several wires at one bar without a name of a bus: a made joint (splice).");
    seen(SymbolKind::existing, "Diamond: a wire that was there before, known by its place and colour.");
    return text;
}

} // namespace

std::string owner_line(const Sketch& whole, std::size_t sheet, std::size_t sheets) {
    std::string line = whole.vehicle.empty() ? whole.title : whole.vehicle;
    if (!whole.as_of.empty()) line += (line.empty() ? "as of the job of " : "; as of the job of ") + whole.as_of;
    line += line.empty() ? "" : "; ";
    if (sheet == 0) return line + "overview";
    return line + "sheet\u00A0" + std::to_string(sheet) + "\u00A0of\u00A0" + std::to_string(sheets);
}

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
    std::string read = how_labels_are_read(whole);
    const std::string other = signs(whole);
    read += (read.empty() || other.empty() ? "" : " ") + other;
    if (!read.empty()) lines.push_back(std::move(read));
    say_one_metal(whole, lines);
    for (std::string& line : legend_of(whole, whole)) lines.push_back(std::move(line));
    return lines;
}

} // namespace loomproof::draw
