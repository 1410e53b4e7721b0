#include "draw/remarks.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "draw/functions.hpp"

#include <algorithm>
#include <set>

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

std::set<int> numbers_on(const Sketch& sheet) {
    std::set<int> found;
    for (const Symbol& s : sheet.symbols) found.insert(s.remarks.begin(), s.remarks.end());
    for (const Wire& w : sheet.wires) found.insert(w.remarks.begin(), w.remarks.end());
    return found;
}

} // namespace

void remark(Sketch& sketch, const std::vector<Finding>& findings, std::string verdict) {
    sketch.verdict = std::move(verdict);
    for (const Finding& f : findings) {
        if (f.severity == Severity::note) continue;
        Remark said{static_cast<int>(sketch.remarks.size()) + 1, words_of(f)};
        for (const std::string& subject : f.subjects) {
            std::vector<int>* marks = nullptr;
            if (Symbol* symbol = symbol_called(sketch, subject))
                marks = &symbol->remarks;
            else if (Wire* wire = wire_called(sketch, subject))
                marks = &wire->remarks;
            if (marks == nullptr) continue;
            marks->push_back(said.number);
            said.shown = true;
            break;
        }
        sketch.remarks.push_back(std::move(said));
    }
}

void share_remarks(Sketch& sheet, const Sketch& whole, bool alone) {
    const std::set<int> here = numbers_on(sheet);
    std::vector<Remark> found;
    for (const Remark& r : whole.remarks)
        if (here.contains(r.number) || (alone && !r.shown)) found.push_back(r);
    std::string verdict = whole.verdict;
    if (!alone && !verdict.empty() && !whole.remarks.empty()) {
        std::vector<std::string> numbers;
        for (const int number : here) numbers.push_back(std::to_string(number));
        verdict += numbers.empty() ? " None of the marks is on this sheet."
                                   : " On this sheet: " + std::string(numbers.size() > 1 ? "marks " : "mark ") +
                                         list_of(numbers) + ".";
    }
    sheet.verdict = std::move(verdict);
    sheet.remarks = std::move(found);
}

} // namespace loomproof::draw
