/// Lines that are a wire for whoever typed them, though no statement begins so: "F1 -> K1-30", "K1 87 - E2", "Battery + to F1". The cure is
/// the whole line as it should be typed.

#include "base/words.hpp"
#include "circuit/figures.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"
#include "reference/wire_sizes.hpp"

#include <algorithm>
#include <array>

#include <fmt/core.h>

namespace loomproof {

namespace {

bool is_sign(const Cursor& c) {
    return c.has(0) && (c.is_mark('-') || c.is_mark('>') || c.is_mark('=') || c.token().kind == TokenKind::stray);
}

/// An arrow, as one sign or drawn of several: "->", "=>", "→". Its stray sign was reported where it was read.
bool is_arrow_sign(std::string_view sign) {
    return sign == ">" || sign == "\xe2\x86\x92" || sign == "\xe2\x87\x92" || sign == "\xe2\x9e\x9c";
}

bool has_digit(std::string_view word) { return word.find_first_of("0123456789") != std::string_view::npos; }

/// "2.5mm red 2m": as a wire says it, with mm2 where the sizes of wires have that figure, and commas left to `tidy`.
std::string as_said_of_a_wire(std::string text) {
    for (const char* end : {"mm ", "mm,", "mm"}) {
        const std::string_view ending(end);
        for (std::size_t at = 0; (at = text.find(ending, at)) != std::string::npos; at += ending.size()) {
            if (ending == "mm" && at + 2 != text.size()) continue;
            std::size_t digits = at;
            while (digits > 0 && text[digits - 1] == ' ') --digits;
            std::size_t begin = digits;
            while (begin > 0 && (has_digit(text.substr(begin - 1, 1)) || text[begin - 1] == '.')) --begin;
            const std::string figure = text.substr(begin, digits - begin);
            const auto sizes = reference::wire_sizes(reference::SizeSystem::metric);
            if (std::ranges::any_of(sizes, [&](const auto& size) { return size.name == figure; }))
                text.insert(at + 2, "2");
        }
    }
    return text;
}

} // namespace

/// Has the part a terminal of that name? Where any name would do, numbers are meant; no terminal is made by asking.
bool Reader::may_be_terminal(PartId id, const std::string& stamp) {
    const Kind kind = c_.at(id).kind;
    if (kind == Kind::connector) return !stamp.empty() && has_digit(stamp.substr(0, 1));
    if (kind == Kind::bus || kind == Kind::not_known) return false;
    return find_terminal(id, stamp).has_value();
}

/// One end, however it is joined to its terminal: "K1:30", "K1-30", "K1.30", "K1 30", "K1 pin 30", "battery +". Empty: none stands here.
std::string Reader::loose_end_typed(Cursor& c, bool must_be_known) {
    static constexpr std::array<std::string_view, 6> before{"from", "the", "a", "pin", "terminal", "wire"};
    Cursor at = c;
    while (at.is_word() && std::ranges::any_of(before, [&](std::string_view w) { return at.is(w); }) &&
           !part_at_end(at))
        ++at.at;
    skip_kind_words(at);
    if (!at.is_word()) return {};
    const std::string word(at.spelled());
    const auto part = part_at_end(at);
    if (!part && (means_ground(word) || equal_ignoring_case(word, "body"))) {
        ++at.at;
        while (at.is("point") || at.is("bolt") || at.is("strap")) ++at.at;
        c.at = at.at;
        return "ground";
    }
    std::string name = part ? c_.at(*part).name : word, stamp;
    if (!part) { // "K1-30", "K1.30": one word
        const std::size_t joint = word.find_last_of("-.");
        if (joint != std::string::npos && joint > 0) {
            const auto joined = part_named(word.substr(0, joint));
            if (joined && may_be_terminal(*joined, word.substr(joint + 1))) {
                c.at = at.at + 1;
                return c_.at(*joined).name + ':' + word.substr(joint + 1);
            }
        }
    }
    const bool name_like = has_digit(word) && !has_digit(word.substr(0, 1)) && !find_kind(word);
    if (!part && (must_be_known || !name_like)) return {};
    ++at.at;
    if (!part) {
        c.at = at.at;
        return name;
    }
    // The terminal behind it, where the part has one that is called so.
    Cursor behind = at;
    const bool colon = behind.take_mark(':');
    (void)(behind.take("pin") || behind.take("terminal") || behind.take("hole") || behind.take("post"));
    std::string typed = behind.take_stamp();
    if (equal_ignoring_case(typed, "plus") || equal_ignoring_case(typed, "positive") ||
        equal_ignoring_case(typed, "pos"))
        typed = "+";
    if (equal_ignoring_case(typed, "minus") || equal_ignoring_case(typed, "negative") ||
        equal_ignoring_case(typed, "neg"))
        typed = "-";
    while (behind.is("terminal") || behind.is("post") || behind.is("pole")) ++behind.at;
    // "K1 - E2", "E1 -> F1": the sign stands between two ends, unless it ends the line or "to" follows.
    const bool between = typed == "-" && !colon && !(behind.done() || behind.is_mark(',') || behind.is("to"));
    if (!typed.empty() && !between && (colon || may_be_terminal(*part, typed))) {
        stamp = typed;
        at = behind;
    }
    c.at = at.at;
    return stamp.empty() ? name : name + ':' + stamp;
}

/// The minus of a part whose other end is ground, where nobody said which end is meant.
std::string Reader::with_minus(const std::string& end, const std::string& other) const {
    const auto part = other == "ground" ? part_named(end) : std::nullopt;
    if (!part) return end;
    for (const TerminalId t : c_.at(*part).terminals)
        if (c_.at(t).role == Role::minus && !c_.at(t).stamp.empty()) return end + ':' + c_.at(t).stamp;
    return end;
}

bool Reader::wire_line(const Item& item) {
    Cursor c = item.cursor(sources_);
    const std::uint32_t start = c.at;
    static constexpr std::array<std::string_view, 8> verbs{"connect", "run",   "join",   "solder",
                                                           "wire",    "cable", "attach", "go"};
    const bool verb = std::ranges::any_of(verbs, [&](std::string_view v) { return c.is(v); }) && c.is_word(1);
    if (verb) ++c.at;
    // What it is like may stand first: "2.5 mm2 red from F1 to K1:30".
    std::string front;
    for (Cursor from = c; !from.done() && !front.size(); ++from.at) {
        if (!from.is("from") || from.at == c.at) continue;
        if (!looks_like_figure(c)) break;
        front = one_line(sources_.text(Span{item.span().source, c.span().begin, from.tree->tokens[from.at - 1].end}));
        c.at = from.at;
    }
    const std::string a = loose_end_typed(c, false);
    if (a.empty()) return false;
    bool arrow = false, sign = false;
    while (is_sign(c)) {
        arrow = arrow || is_arrow_sign(sources_.text(c.span()));
        sign = true;
        ++c.at;
    }
    const bool to = c.take("to") || c.take("into") || c.take_words("goes to") || c.take("and");
    const std::string b = loose_end_typed(c, !(to || arrow));
    if (b.empty() || a == b) return false;
    if (!(to || arrow || sign || (part_named(a.substr(0, a.find(':'))) && c.done()))) return false;
    // A wire as it should be is read by others.
    Cursor rest = c;
    if (rest.is_mark(',')) ++rest.at;
    std::string behind = rest.done()
                             ? std::string{}
                             : one_line(sources_.text(Span{item.span().source, rest.span().begin, item.span().end}));
    std::string line = fmt::format("wire from {} to {}", with_minus(a, b), with_minus(b, a));
    bool section_supposed = false;
    for (const std::string& said : {front, behind}) {
        const std::string as_wire = as_said_of_a_wire(said);
        section_supposed = section_supposed || as_wire != said;
        if (!said.empty()) line += ", " + as_wire;
    }
    const Span at{item.span().source, item.span().begin, c.tree->tokens[std::max(c.at, start + 1) - 1].end};
    // The arrow was a mistake of its own where it was read: it is part of this one.
    const Span whole = item.span();
    std::erase_if(out_.findings, [&](const Finding& f) {
        return f.rule == std::string_view("text-stray-character") && !f.cites.empty() &&
               f.cites.front().span.source == whole.source && f.cites.front().span.begin >= whole.begin &&
               f.cites.front().span.end <= whole.end && is_arrow_sign(sources_.text(f.cites.front().span));
    });
    std::string headline = "This seems to be a wire; a wire begins with wire from.";
    // Taken over silently a diameter would be read as a section.
    if (section_supposed) headline += " mm2 is the section of its copper; if you measured across it, mm2 is wrong.";
    problem("text-word-unknown", at, headline, "Type: " + line);
    return true;
}

/// Is this wire typed with an arrow, or with its terminals joined in another way ("wire K1.86 to T1")?
bool Reader::wire_in_other_signs(const Item& item) const {
    Cursor c = item.cursor(sources_);
    Cursor end = c;
    ++end.at;
    bool from = false;
    for (Cursor at = c; !at.done(); ++at.at) {
        if (at.token().kind == TokenKind::stray && is_arrow_sign(sources_.text(at.span()))) return true;
        from = from || at.is("from");
    }
    return !from && !begins_with_end(end);
}

/// "wire T1 "main beam" live with main beam on": what is there already and live at times.
bool Reader::live_line(const Item& item) {
    Cursor c = item.cursor(sources_);
    (void)c.take("existing");
    if (!c.take("wire")) return false;
    Cursor live = c;
    while (!live.done() && !live.is("live")) ++live.at;
    if (live.done() || !live.has(1) || live.is("always", 1) || live.is_text(2)) return false;
    for (Cursor end = c; end.at < live.at; ++end.at)
        if (end.is("to")) return false; // a wire with two ends
    Cursor when = live;
    ++when.at;
    static constexpr std::array<std::string_view, 6> words{"when", "with", "if", "while", "at", "on"};
    const bool said = std::ranges::any_of(words, [&](std::string_view w) { return when.is(w); });
    if (!said) return false;
    const bool in_words = when.is("when");
    ++when.at;
    // "live when S1 on", "live when fan yes": a control that the file has.
    const auto names_it = [&](const Item& other) {
        const Cursor o = other.cursor(sources_);
        return o.is_word(1) && equal_ignoring_case(o.spelled(1), when.spelled());
    };
    if (in_words && (has_digit(when.spelled()) || when.is("engine") || when.is("no") || when.is_text() ||
                     std::ranges::any_of(items_, names_it)))
        return false;
    while (when.is("the")) ++when.at;
    Cursor end = when;
    while (!end.done() && !end.is_mark(',')) ++end.at;
    if (end.at == when.at) return false;
    std::string condition =
        one_line(sources_.text(Span{item.span().source, when.span().begin, end.tree->tokens[end.at - 1].end}));
    std::erase(condition, '"');
    std::string name = "T1", label, colours;
    if (c.is_word() && has_digit(c.spelled())) {
        name = c.spelled();
        ++c.at;
    }
    while (c.at < live.at) {
        std::vector<Finding> none;
        const ClauseReader quiet{colours_, &none, &places_};
        Cursor colour = c;
        if (c.is_text())
            label += (label.empty() ? "" : " ") + std::string(c.spelled());
        else if (const auto seen = quiet.colour(colour)) {
            colours = std::string(sources_.text(seen->span));
            c.at = colour.at;
            continue;
        } else if (c.is_word())
            label += (label.empty() ? "" : " ") + std::string(c.spelled());
        ++c.at;
    }
    std::string line = "existing wire " + name;
    if (!label.empty()) line += " \"" + label + '"';
    if (!colours.empty()) line += ", " + colours;
    line += ", live when \"" + condition + '"';
    if (!end.done()) line += one_line(sources_.text(Span{item.span().source, end.span().begin, item.span().end}));
    problem("text-word-unknown", live.span(), "A wire that is there already says when it is live.", "Type: " + line);
    return true;
}

/// "battery + to F1", "fuse F1 to K1:30": a kind of thing and its name, then where it goes: no part is described so.
bool Reader::goes_somewhere(const Item& item) const {
    Cursor c = item.cursor(sources_);
    const KindSpec* kind = find_kind(c.spelled());
    if (!kind || !c.is_word()) return false;
    ++c.at;
    if (kind->one_of_a_kind && (c.is_mark('+') || c.is_mark('-') || c.is_mark(':') || c.is("plus") || c.is("minus") ||
                                c.is("positive") || c.is("negative") || c.is("terminal")))
        ++c.at;
    else if (c.is_word() && !c.is("to"))
        ++c.at;
    for (int more = 0; more < 3 && !c.done() && !c.is("to") && !c.is_mark(',') && !c.is_text(); ++more) {
        if (looks_like_figure(c) && !c.is("to", 1)) break; // "10 ohm to 180 ohm"; "pin 87 to" is a terminal
        if (is_arrow_sign(sources_.text(c.span()))) break;
        if (c.is("from") || c.is("between") || c.is("with")) return false;
        ++c.at;
    }
    return c.has(1) && (c.is("to") || is_arrow_sign(sources_.text(c.span())));
}

} // namespace loomproof
