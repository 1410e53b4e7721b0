#include "draw/legend.hpp"

#include "base/number.hpp"
#include "reference/colours.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

std::string name_of_end(const Sketch& sketch, const End& end) {
    const Symbol& symbol = sketch.symbols[index(end.symbol)];
    const std::string& stamp = symbol.terminals[index(end.terminal)].stamp;
    return stamp.empty() ? symbol.name : symbol.name + ":" + stamp;
}

// "BN", "GNYE": of the standard, and no word of somebody's.
bool is_letters(const std::string& text) {
    return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) { return c >= 'A' && c <= 'Z'; }) &&
           reference::read_colour(text, reference::ColourSet::iec).colour.has_value();
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
    // By its colour a wire that was there is found.
    for (const Symbol& s : sheet.symbols) {
        if (s.kind != SymbolKind::existing && s.kind != SymbolKind::supply) continue;
        const std::string colour = s.rating.substr(0, s.rating.find(','));
        const std::size_t stroke = colour.find('/');
        const std::string main = colour.substr(0, stroke),
                          stripe = stroke == std::string::npos ? "" : colour.substr(stroke + 1);
        if (!is_letters(main) || !(stripe.empty() || is_letters(stripe))) continue;
        note(main);
        note(stripe);
        stripes = stripes || !stripe.empty();
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

// "Ground: GND1, GND2 and GND3 are one metal (body), battery:- is on it (sheet 1, path 1).", of every metal that the sheet has a foot on: who
// measures from a ground sign back to the battery looks for this first.
std::string say_grounds(const Sketch& sheet, const Grounds& grounds, const std::string& minus_at) {
    std::set<std::string> seen;
    for (const Symbol& s : sheet.symbols) seen.insert(metal_of(s));
    std::string text;
    for (const auto& [name, metal] : grounds.metals) {
        if (!seen.contains(name)) continue;
        const bool here = name == grounds.minus_on, several = metal.studs.size() > 1;
        if (!several && !here && (metal.feet < 2 || !metal.studs.empty())) continue;
        text += text.empty() ? "Ground: " : " ";
        if (several)
            text += list_of(metal.studs) + " are one metal (" + name + ")";
        else if (metal.studs.empty())
            text += "every sign \"" + name + "\" is one metal";
        else
            text += metal.studs.front() + " (" + name + ")";
        if (here) text += ", " + grounds.minuses + (minus_at.empty() ? "" : " (" + minus_at + ")");
        text += ".";
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
    seen(SymbolKind::splice, "Bar with dots: splice.");
    seen(SymbolKind::bus, "Thick bar: one feed for all on it.");
    seen(SymbolKind::metal, "Hatched bar: metal.");
    const auto any = [&](auto test, const char* words) {
        if (std::any_of(sheet.symbols.begin(), sheet.symbols.end(), test))
            text += std::string(text.empty() ? "" : " ") + words;
    };
    any([](const Symbol& s) { return s.kind == SymbolKind::joint && s.joint == JointStyle::crimp; },
        "Sleeve with two bars: two wires joined.");
    any([](const Symbol& s) { return s.kind == SymbolKind::joint && s.joint == JointStyle::solder; },
        "Dot in a wire: soldered.");
    any([](const Symbol& s) { return s.suppression == Suppression::resistor; },
        "Second box beside a relay's coil: its resistor.");
    any([](const Symbol& s) { return s.suppression == Suppression::diode; }, "Diode beside a relay's coil: in the relay.");
    any(
        [](const Symbol& s) {
            return s.kind == SymbolKind::beyond ||
                   std::any_of(s.terminals.begin(), s.terminals.end(), [](const Terminal& t) { return t.goes_on; });
        },
        "Three dots: goes on, not drawn.");
    seen(SymbolKind::supply, "Bar at a wire's end: a feed that is not drawn.");
    seen(SymbolKind::existing, "Diamond: a wire that was there before.");
    return text;
}

// The marks that lead on: to another sheet, to the other half of a part.
std::string ways_on(const Sketch& sheet) {
    std::string text;
    const auto any = [&](auto test) { return std::any_of(sheet.symbols.begin(), sheet.symbols.end(), test); };
    const auto say = [&](const char* words) { text += std::string(text.empty() ? "" : " ") + words; };
    if (any([](const Symbol& s) { return s.kind == SymbolKind::off_sheet; }))
        say("Two short waves: the wire goes on where it says.");
    if (any([](const Symbol& s) { return s.kind == SymbolKind::off_sheet && s.rating.starts_with("joins"); }))
        say("\"joins\": current either way, or not known.");
    if (any([](const Symbol& s) { return !s.other_halves.empty(); })) say("Broken frame: half of a relay.");
    return text;
}

// What the marks of what check found are, by shape and letter.
std::string marks_of_check(const Sketch& sheet) {
    std::string text;
    for (const auto& [letter, words] :
         {std::pair{'D', "triangle: danger"}, {'F', "square: fault"}, {'A', "round: advice"}})
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

namespace {

std::string dotted_lines(const Sketch& sheet) {
    const bool bolted = std::any_of(sheet.wires.begin(), sheet.wires.end(),
                                    [](const Wire& w) { return w.mounting && !w.removed && !w.assumed; });
    return bolted ? "Dotted line: no wire, metal on metal." : "";
}

std::vector<std::string> assumed_straps(const Sketch& sheet) {
    std::vector<std::string> lines;
    std::set<std::string> said;
    for (const Wire& w : sheet.wires) {
        if (!w.assumed) continue;
        std::string line = "Dash-dot line from " + name_of_end(sheet, w.a) + " to " + name_of_end(sheet, w.b) +
                           ": a strap that nobody wrote down, assumed. See that it is there.";
        if (said.insert(line).second) lines.push_back(std::move(line));
    }
    return lines;
}

} // namespace

std::vector<std::string> legend_of(const Sketch& sheet, const Grounds& grounds, const std::string& minus_at,
                                   bool black_and_white, Explains explains) {
    const bool all = explains == Explains::all_marks;
    std::vector<std::string> lines;
    std::string read = how_labels_are_read(sheet);
    const bool tubes = std::any_of(sheet.wires.begin(), sheet.wires.end(),
                                   [](const Wire& w) { return !w.mounting && !w.colour.main.empty(); });
    if (black_and_white && tubes) add(read, "No colour: every wire is an empty tube, ticks are its stripe.");
    if (all) {
        add(read, marks_of_check(sheet));
        add(read, signs(sheet));
        add(read, ways_on(sheet));
    }
    add(read, dotted_lines(sheet));
    if (!all && !sheet.symbols.empty()) add(read, "What the marks mean: contents.");
    for (std::string text : {say_grounds(sheet, grounds, minus_at), read})
        if (!text.empty()) lines.push_back(std::move(text));
    for (std::string& line : assumed_straps(sheet)) lines.push_back(std::move(line));
    return lines;
}

std::vector<std::string> leading_marks(const Sketch& whole, const std::string& minus_at, bool black_and_white) {
    std::vector<std::string> lines{"Two short waves: the same wire goes on on another sheet, and its length is that of "
                                   "the whole. \"goes on\": current runs there; \"comes from\": it comes from there; "
                                   "\"joins\": it runs either way, or none is known to.",
                                   "Numbers below a sheet count its current paths from the left: \"sheet 2, path 4\"."};
    for (std::string& line : legend_of(whole, Grounds(whole), minus_at, black_and_white)) lines.push_back(std::move(line));
    return lines;
}

} // namespace loomproof::draw
