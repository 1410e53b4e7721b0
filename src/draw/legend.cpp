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

// "Sizes in mm2. Colours: BK black, RD red; behind a stroke the stripe."
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
    std::string line = sizes ? "Sizes in mm2." : "";
    if (words.empty()) return line;
    line += line.empty() ? "Colours: " : " Colours: ";
    bool first = true;
    for (const auto& [letters, word] : words) {
        line += (first ? "" : ", ") + letters + "\u00A0" + word;
        first = false;
    }
    return line + (stripes ? "; behind the stroke the stripe." : ".");
}

// "GND1, GND2 and GND3 are one metal (body); the battery's minus is on it: sheet 1, path 1.", of every metal with more than one stud that
// the sheet has a foot on.
std::string say_one_metal(const Sketch& sheet, const Sketch& whole, const std::string& minus_at) {
    std::map<std::string, std::vector<std::string>> studs; // by metal
    for (const Symbol& s : whole.symbols) {
        if (s.kind != SymbolKind::foot || s.metal.empty() || s.name.empty()) continue;
        std::vector<std::string>& names = studs[s.metal];
        if (std::find(names.begin(), names.end(), s.name) == names.end()) names.push_back(s.name);
    }
    const int minus = minus_foot(whole);
    std::string text;
    for (const auto& [metal, names] : studs) {
        const bool seen = std::any_of(sheet.symbols.begin(), sheet.symbols.end(), [&, &on = metal](const Symbol& s) {
            return s.kind == SymbolKind::foot && s.metal == on;
        });
        if (!seen) continue;
        const bool here = minus >= 0 && whole.symbols[index(minus)].metal == metal;
        if (names.size() > 1)
            text += (text.empty() ? "" : " ") + list_of(names) + " are one metal (" + metal + ")" +
                    (here ? "; the battery's minus is on it" + (minus_at.empty() ? "." : ": " + minus_at + ".") : ".");
        else if (here && !minus_at.empty())
            text +=
                std::string(text.empty() ? "" : " ") + "Battery's minus on " + names.front() + ": " + minus_at + ".";
    }
    return text;
}

// What the signs in the wires are: behind the sizes and colours, so that they take no line of their own.
std::string signs(const Sketch& sheet) {
    std::string text;
    const auto seen = [&](SymbolKind kind, const char* words) {
        if (std::any_of(sheet.symbols.begin(), sheet.symbols.end(), [&](const Symbol& s) { return s.kind == kind; }))
            text += std::string(text.empty() ? "" : " ") + words;
    };
    const auto hole = std::find_if(sheet.symbols.begin(), sheet.symbols.end(),
                                   [](const Symbol& s) { return s.kind == SymbolKind::hole && !s.group.empty(); });
    if (hole != sheet.symbols.end() && hole->name.size() > hole->group.size())
        text = hole->name + ": plug " + hole->group + ", hole " + hole->name.substr(hole->group.size() + 1) + ".";
    seen(SymbolKind::splice, "Bar with dots: wires joined (splice).");
    seen(SymbolKind::bus, "Thick bar: one feed for all its wires.");
    seen(SymbolKind::metal, "Hatched bar: metal.");
    seen(SymbolKind::beyond, "Three dots: what lies behind is not drawn.");
    seen(SymbolKind::supply, "Bar at a wire's end: a feed from what is not drawn.");
    seen(SymbolKind::existing, "Diamond: a wire that was there before, known by its place and colour.");
    return text;
}

// The marks that lead on: to another sheet, to the other half of a part.
std::string ways_on(const Sketch& sheet) {
    std::string text;
    const auto any = [&](auto test) { return std::any_of(sheet.symbols.begin(), sheet.symbols.end(), test); };
    const auto say = [&](const char* words) { text += std::string(text.empty() ? "" : " ") + words; };
    if (any([](const Symbol& s) { return s.kind == SymbolKind::off_sheet; }))
        say("Two short waves: the same wire goes on where the words say.");
    if (any([](const Symbol& s) { return s.kind == SymbolKind::off_sheet && s.rating.starts_with("joins"); }))
        say("\"joins\": current runs either way there, or none is known to.");
    if (any([](const Symbol& s) { return !s.other_halves.empty(); }))
        say("A broken frame is half of a relay; its other half stands where it says.");
    return text;
}

// What the marks of what check found are, by shape and letter.
std::string marks_of_check(const Sketch& sheet) {
    std::string text;
    for (const auto& [letter, words] :
         {std::pair{'D', "black triangle, D: danger"}, {'F', "black square, F: fault"}, {'A', "round, A: advice"}})
        if (std::any_of(sheet.remarks.begin(), sheet.remarks.end(),
                        [&, &begin = letter](const Remark& r) { return r.shown && r.mark.front() == begin; }))
            text += (text.empty() ? "Marks of check: " : "; ") + std::string(words);
    return text.empty() ? text : text + ".";
}

void add(std::string& text, const std::string& more) {
    if (!more.empty()) text += (text.empty() ? "" : " ") + more;
}

} // namespace

std::string owner_line(const Sketch& whole, std::size_t sheet, std::size_t sheets) {
    // The title says what is drawn, too: "Ridgeback pickup, as it is now, planned jobs not drawn".
    std::string line = whole.title.find(whole.vehicle) != std::string::npos ? whole.title : whole.vehicle;
    if (line != whole.title && !whole.title.empty()) line += "; " + whole.title;
    if (!whole.as_of.empty()) line += (line.empty() ? "as of the job of " : "; as of the job of ") + whole.as_of;
    // A date alone would say that all is fitted; some titles say it already.
    std::vector<std::string> planned;
    for (const Job& job : whole.jobs)
        if (job.planned) planned.emplace_back(1, job.letter);
    if (!planned.empty() && whole.title.find("planned") == std::string::npos)
        line += (line.empty() ? "with planned job" : ", with planned job") +
                std::string(planned.size() > 1 ? "s " : " ") + list_of(planned);
    if (sheets == 1) return line;
    line += line.empty() ? "" : "; ";
    if (sheet == 0) return line + "overview";
    return line + "sheet\u00A0" + std::to_string(sheet) + "\u00A0of\u00A0" + std::to_string(sheets);
}

int minus_foot(const Sketch& whole) {
    for (const Wire& w : whole.wires) {
        if (w.removed) continue;
        const Symbol &a = whole.symbols[index(w.a.symbol)], &b = whole.symbols[index(w.b.symbol)];
        if (a.kind == SymbolKind::battery && a.terminals[index(w.a.terminal)].stamp == "-" &&
            b.kind == SymbolKind::foot)
            return w.b.symbol;
    }
    return -1;
}

namespace {

// Dotted lines, and metal that is everywhere.
std::string on_metal(const Sketch& sheet, const Sketch& whole) {
    std::string text;
    const bool bolted = std::any_of(sheet.wires.begin(), sheet.wires.end(),
                                    [](const Wire& w) { return w.mounting && !w.removed && !w.assumed; });
    if (bolted) text = "Dotted line: no wire, but metal on metal: a part bolted on, a fuse in its rail.";
    std::map<std::string, int> feet;
    for (const Symbol& s : whole.symbols)
        if (is_on_metal(s) && !s.name.empty()) ++feet[s.name];
    for (const auto& [name, count] : feet) {
        const bool here = std::any_of(sheet.symbols.begin(), sheet.symbols.end(), [&, &called = name](const Symbol& s) {
            return is_on_metal(s) && s.name == called;
        });
        if (here && count > 1)
            add(text, "Every ground sign with \"" + name + "\" is one and the same metal, on whichever sheet.");
    }
    return text;
}

std::vector<std::string> assumed_straps(const Sketch& sheet) {
    std::vector<std::string> lines;
    std::set<std::string> said;
    for (const Wire& w : sheet.wires) {
        if (!w.assumed) continue;
        std::string line = "Dotted line from " + name_of_end(sheet, w.a) + " to " + name_of_end(sheet, w.b) +
                           ": a strap that nobody wrote down, assumed. See that it is there.";
        if (said.insert(line).second) lines.push_back(std::move(line));
    }
    return lines;
}

} // namespace

std::vector<std::string> legend_of(const Sketch& sheet, const Sketch& whole, const std::string& minus_at,
                                   bool black_and_white) {
    std::vector<std::string> lines;
    std::string read = how_labels_are_read(sheet), marks = ways_on(sheet);
    const bool tubes = std::any_of(sheet.wires.begin(), sheet.wires.end(),
                                   [](const Wire& w) { return !w.mounting && !w.colour.main.empty(); });
    if (black_and_white && tubes)
        add(read, "Printed without colour: every wire is an empty tube, ticks in it are its stripe, the letters say "
                  "the colours.");
    add(read, marks_of_check(sheet));
    add(read, signs(sheet));
    add(marks, say_one_metal(sheet, whole, minus_at));
    add(marks, on_metal(sheet, whole));
    for (std::string* text : {&read, &marks})
        if (!text->empty()) lines.push_back(std::move(*text));
    for (std::string& line : assumed_straps(sheet)) lines.push_back(std::move(line));
    return lines;
}

std::vector<std::string> leading_marks(const Sketch& whole, bool black_and_white) {
    std::vector<std::string> lines{"Two short waves: the same wire goes on on another sheet, and its length is that of "
                                   "the whole. \"goes on\": current "
                                   "runs there; \"comes from\": it "
                                   "comes from there; \"joins\": it runs either way, or none is known to.",
                                   "Numbers below a sheet count its current paths from the left: \"sheet 2, path 4\"."};
    for (std::string& line : legend_of(whole, whole, {}, black_and_white)) lines.push_back(std::move(line));
    return lines;
}

} // namespace loomproof::draw
