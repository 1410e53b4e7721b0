#include "draw/remarks.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "draw/functions.hpp"
#include "draw/picture.hpp"

#include <algorithm>

namespace loomproof::draw {
namespace {

bool has_stamp(const Symbol& symbol, const std::string& stamp) {
    return std::any_of(symbol.terminals.begin(), symbol.terminals.end(),
                       [&](const Terminal& t) { return equal_ignoring_case(t.stamp, stamp); });
}

// Null where nothing that is drawn is called so.
Symbol* symbol_called(Sketch& sketch, const std::string& subject) {
    const std::size_t colon = subject.rfind(':');
    const std::string part = subject.substr(0, colon);
    const std::string stamp = colon == std::string::npos ? "" : subject.substr(colon + 1);
    Symbol *of_that_part = nullptr, *of_that_group = nullptr;
    for (Symbol& s : sketch.symbols) {
        if (s.removed) continue;
        if (equal_ignoring_case(s.name, subject) || equal_ignoring_case(s.key, subject)) return &s;
        if (equal_ignoring_case(s.name, part)) {
            if (!stamp.empty() && has_stamp(s, stamp)) return &s;
            if (of_that_part == nullptr) of_that_part = &s;
        }
        if (of_that_group == nullptr && !s.group.empty() && equal_ignoring_case(s.group, part)) of_that_group = &s;
    }
    return of_that_part != nullptr ? of_that_part : of_that_group;
}

Wire* wire_called(Sketch& sketch, const std::string& subject) {
    for (Wire& w : sketch.wires)
        if (!w.removed && !w.name.empty() && equal_ignoring_case(w.name, subject)) return &w;
    // One without a name is called by its colour and ends, which its hint begins with.
    for (Wire& w : sketch.wires)
        if (!w.removed && w.name.empty() && (w.hint == subject || w.hint.starts_with(subject + ", "))) return &w;
    return nullptr;
}

// "Danger: ...", with what follows from it and is worse.
std::string words_of(const Finding& f) {
    std::string text = with_capital(word(f.severity));
    if (f.certainty == Certainty::undecided) text += " (undecided)";
    text += ": " + f.headline;
    for (const Finding& c : f.consequences)
        if (c.severity < f.severity) text += " And so " + std::string(word(c.severity)) + ": " + c.headline;
    return text;
}

std::string kind_of(const std::string& mark) {
    return mark.starts_with('D') ? "danger" : mark.starts_with('F') ? "fault" : "advice";
}

bool is_on(const Sketch& sheet, const std::string& mark) {
    const auto has = [&](const auto& thing) {
        return std::find(thing.remarks.begin(), thing.remarks.end(), mark) != thing.remarks.end();
    };
    return std::any_of(sheet.symbols.begin(), sheet.symbols.end(), has) ||
           std::any_of(sheet.wires.begin(), sheet.wires.end(), has);
}

} // namespace

void remark(Sketch& sketch, const std::vector<Finding>& findings, std::string verdict) {
    sketch.verdict = std::move(verdict);
    for (const Finding& f : findings) {
        if (f.severity == Severity::note) continue;
        Severity worst = f.severity; // what follows counts, too: the words say it
        for (const Finding& c : f.consequences) worst = std::min(worst, c.severity);
        Remark said{with_capital(word(worst)).substr(0, 1) + std::to_string(sketch.remarks.size() + 1), words_of(f)};
        for (const std::string& subject : f.subjects) {
            std::vector<std::string>* marks = nullptr;
            if (Symbol* symbol = symbol_called(sketch, subject))
                marks = &symbol->remarks;
            else if (Wire* wire = wire_called(sketch, subject))
                marks = &wire->remarks;
            if (marks == nullptr) continue;
            marks->push_back(said.mark);
            said.shown = true;
            break;
        }
        sketch.remarks.push_back(std::move(said));
    }
}

void share_remarks(Sketch& sheet, const Sketch& whole, bool alone) {
    std::vector<Remark> found;
    std::vector<std::string> here;
    for (const Remark& r : whole.remarks) {
        const bool shown = is_on(sheet, r.mark);
        if (shown) here.push_back(kind_of(r.mark) + "\u00A0" + number_of_mark(r.mark));
        if (shown || (alone && !r.shown)) found.push_back(r);
    }
    std::string verdict = whole.verdict;
    if (!alone && !verdict.empty() && !whole.remarks.empty())
        verdict += here.empty() ? " None of the marks is on this sheet." : " On this sheet: " + list_of(here) + ".";
    sheet.verdict = std::move(verdict);
    sheet.remarks = std::move(found);
}

} // namespace loomproof::draw
