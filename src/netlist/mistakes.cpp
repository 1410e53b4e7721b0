#include "netlist/mistakes.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "netlist/characters.hpp"
#include "netlist/syntax.hpp"
#include "netlist/text_ids.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cctype>
#include <initializer_list>
#include <iterator>
#include <string>
#include <tuple>

namespace loomproof {

namespace {

/// The front of a text, at most `most` characters, for a sentence.
std::string shortened(std::string_view text, std::size_t most) {
    std::size_t i = 0;
    for (std::size_t n = 0; i < text.size(); ++n) {
        if (n == most) return std::string(text.substr(0, i)) + "...";
        i += std::max<std::size_t>(1, utf8_length(text.substr(i, 4)));
    }
    return std::string(text);
}

std::string code_point(std::uint32_t code) { return fmt::format("U+{:04X}", code); }

bool shows(const Character& c) {
    const bool control = c.code < 0x20 || (c.code >= 0x7f && c.code < 0xa0) || c.code == 0xfffd;
    return !control && c.kind != CharacterKind::invisible && c.kind != CharacterKind::direction &&
           c.kind != CharacterKind::broken;
}

/// A text without what nobody sees in it.
std::string seen(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); i += character_at(text, i).length)
        if (character_at(text, i).kind != CharacterKind::invisible) out += text.substr(i, character_at(text, i).length);
    return out;
}

/// In quotes that differ from what stands inside.
std::string in_quotes(const std::string& what) {
    const char quote = what.find('"') == std::string::npos ? '"' : '\'';
    return quote + what + quote;
}

struct Hint {
    std::string_view characters;
    const char* cure;
};

/// What people mean by characters that the language does not know.
constexpr Hint hints[] = {
    {"~≈≅±", R"(Write "about" before a figure that may be a fifth more or less: about 2 m.)"},
    {"?", R"(Write "unknown" in place of what nobody knows yet: unknown m.)"},
    {".·․", "Leave the full stop out. In a figure write a point with a digit before and behind it: 2.5."},
    {"\"″", R"(For inches write "in": 18 in. A text in quotes needs a blank before its first quote.)"},
    {"'′",
     R"(For feet write "ft": 6 ft. A name with an apostrophe cannot be read: use another, and put the rest in quotes.)"},
    {"→⇒>", R"(Write "to".)"},
    {"@", R"(Write "at".)"},
    {"^", "Write mm2 for square millimetres."},
    {"•▪■●◦", "Leave the bullet out: every statement has its own line anyway."},
    {"，、；：", "Write a plain comma, semicolon or colon."},
    {"[]<", "Round brackets, or none, are meant here."},
};

const char* cure_for(std::string_view character) {
    for (const Hint& hint : hints)
        if (hint.characters.find(character) != std::string_view::npos) return hint.cure;
    return "Leave it out, or put it in quotes if it belongs to a text for people.";
}

/// "12" of 12": the digits that end at `end`; empty where other word characters stand before them.
std::string figure_before(std::string_view text, std::size_t end) {
    std::size_t begin = end;
    while (begin > 0 && (is_digit(text[begin - 1]) || text[begin - 1] == '.')) --begin;
    if (begin == end || (begin > 0 && std::string_view(" \t,\n").find(text[begin - 1]) == std::string_view::npos))
        return {};
    return std::string(text.substr(begin, end - begin));
}

constexpr const char* retype =
    "It comes along when text is copied from a chat or a web page. Type the line again by hand.";

} // namespace

Span Mistakes::span(std::size_t begin, std::size_t end) const {
    return {source_, static_cast<std::uint32_t>(begin), static_cast<std::uint32_t>(end)};
}

std::size_t Mistakes::line(std::size_t at) const {
    const std::vector<std::uint32_t>& begins = sources_->at(source_).line_begins;
    return static_cast<std::size_t>(std::upper_bound(begins.begin(), begins.end(), at) - begins.begin());
}

bool Mistakes::full() {
    if (findings_.size() < most_mistakes) return false;
    ++unlisted_;
    return true;
}

std::string Mistakes::quoted(std::size_t begin, std::size_t end) const {
    std::string shown;
    const std::string_view text = sources_->text(span(begin, end));
    for (std::size_t i = 0; i < text.size();) {
        const Character c = character_at(text, i);
        shown += shows(c) ? std::string(text.substr(i, c.length)) : code_point(c.code);
        i += c.length;
    }
    return shortened(shown, 24);
}

Finding& Mistakes::add(std::string_view rule, std::size_t begin, std::size_t end, std::string headline) {
    Finding& finding = findings_.emplace_back();
    finding.rule = rule;
    finding.headline = std::move(headline);
    finding.cites.push_back({span(begin, end), {}});
    return finding;
}

/// Does a unit of measure stand behind the figure that ends here, with or without a blank?
static bool begins_with_unit(std::string_view text, std::size_t at) {
    while (at < text.size() && text[at] == ' ') ++at;
    const std::size_t from = at;
    while (at < text.size() && (std::isalnum(static_cast<unsigned char>(text[at])) != 0)) ++at;
    static constexpr std::string_view units[] = {"m",    "cm", "mm",  "mm2",  "ft",   "in",   "A",   "mA",  "V",   "mV",
                                                 "W",    "kW", "ohm", "mohm", "kohm", "Ohm",  "Ah",  "F",   "uF",  "mF",
                                                 "sqmm", "s",  "min", "h",    "Hz",   "degC", "bar", "psi", "kPa", "a"};
    return std::ranges::find(units, text.substr(from, at - from)) != std::end(units);
}

namespace {

/// The line of the text in which `at` lies, without what surrounds it, with [begin, end) typed in another way.
std::string retyped(std::string_view text, std::size_t begin, std::size_t end, std::string_view instead) {
    const std::size_t before = begin == 0 ? std::string_view::npos : text.rfind('\n', begin - 1);
    const std::size_t front = before == std::string_view::npos ? 0 : before + 1;
    const std::size_t back = std::min(text.find('\n', end), text.size());
    std::string out(text.substr(front, begin - front));
    out += instead;
    out += text.substr(end, back - end);
    out.erase(0, std::min(out.find_first_not_of(" \t"), out.size()));
    while (!out.empty() && std::string_view(" \t\r").find(out.back()) != std::string_view::npos) out.pop_back();
    return out;
}

/// Does the line describe a wire?
bool is_wire_line(std::string_view line) {
    const std::size_t end = std::min(line.find_first_of(" \t"), line.size());
    const std::string_view word = line.substr(0, end);
    return word == "wire" || word == "cable" || word == "lead" || word == "Wire";
}

/// Does a figure with one of these units stand in the line?
bool has_figure(std::string_view line, std::initializer_list<std::string_view> units) {
    for (std::size_t at = 0; at < line.size();) {
        const std::size_t from = at;
        while (at < line.size() && std::isalnum(static_cast<unsigned char>(line[at])) != 0) ++at;
        std::string_view word = line.substr(from, at - from);
        word.remove_prefix(std::min(word.find_first_not_of("0123456789"), word.size()));
        if (std::ranges::find(units, word) != units.end()) return true;
        if (at == from) ++at;
    }
    return false;
}

} // namespace

void Mistakes::unreadable_number(std::size_t begin, std::size_t end) {
    if (full()) return;
    const std::string typed = seen(sources_->text(span(begin, end)));
    std::vector<std::string> parts;
    for (std::size_t from = 0; from <= typed.size();) {
        const std::size_t comma = std::min(typed.find(',', from), typed.size());
        parts.push_back(typed.substr(from, comma - from));
        from = comma + 1;
    }
    std::string several;
    for (const std::string& part : parts) several += (several.empty() ? "" : ", ") + part;
    // "2,5" has two readings of equal right. In "2,5mm2" and "1,2,3" a decimal comma makes less sense, but who knows.
    const bool two_figures = parts.size() == 2 && parts[0].find_first_not_of("0123456789.") == std::string::npos &&
                             parts[1].find('.') == std::string::npos;
    std::string one = two_figures ? parts[0] + "." + parts[1] : std::string{};
    // "0.1m" is shown as one types it: with a blank before the unit.
    if (const std::size_t unit = one.find_first_not_of("0123456789."); unit != std::string::npos && unit > 0)
        one.insert(unit, " ");
    // "0,1": 0 of what? And "1,2 m": nothing is 1 of nothing beside 2 m.
    const bool surely_one = two_figures && (parts[0].find_first_not_of('0') == std::string::npos ||
                                            begins_with_unit(sources_->at(source_).text, end) ||
                                            parts[1].find_first_not_of("0123456789") != std::string::npos);
    Finding& f = add(
        text_id::unreadable_number, begin, end,
        surely_one ? fmt::format("In {} a comma stands where the point of a decimal belongs.", shortened(typed, 40))
        : two_figures
            ? fmt::format("{} can be read in two ways: as {}, or as {} and {}.", shortened(typed, 40),
                          shortened(one, 40), shortened(parts[0], 20), shortened(parts[1], 20))
            : fmt::format("In {} a comma stands between two digits: a decimal comma, or a blank is missing behind it.",
                          shortened(typed, 40)));
    f.why = "A comma ends what is said before it, and decimals take a point. A figure read wrongly can mean a wire ten "
            "times "
            "too thin, so nothing is guessed.";
    // "1,5mm" of a wire: the point alone would only lead to the next question, as millimetres are no size of copper.
    const std::string_view text = sources_->at(source_).text;
    std::size_t mm_end = end;
    while (mm_end < text.size() && text[mm_end] == ' ') ++mm_end;
    const bool glued = one.ends_with(" mm");
    const bool apart = surely_one && !glued && text.substr(mm_end, 2) == "mm" &&
                       (mm_end + 2 == text.size() || std::isalnum(static_cast<unsigned char>(text[mm_end + 2])) == 0);
    if (surely_one && (glued || apart) && is_wire_line(retyped(text, begin, end, typed))) {
        const std::size_t all = glued ? end : mm_end + 2;
        const std::string digits = glued ? one.substr(0, one.size() - 3) : one;
        f.headline =
            fmt::format("\"{}\" takes a point, and mm can mean two wires: {} mm2 of copper, or a wire {} mm across.",
                        shortened(std::string(text.substr(begin, all - begin)), 40), digits, digits);
        f.cures.push_back({fmt::format("Type, if {0} mm2 is the size on the reel: {1}", digits,
                                       retyped(text, begin, all, digits + " mm2"))});
        f.cures.push_back(
            {"If it was measured across, measure the bare strands, or read the size on the wire itself."});
        f.edits.push_back({span(begin, all), digits + " mm2", TextEdit::Grade::your_choice});
        return;
    }
    if (two_figures) {
        f.cures.push_back({fmt::format("Write {}{}.", shortened(one, 40), surely_one ? "" : " if it is one figure")});
        f.edits.push_back({span(begin, end), one, TextEdit::Grade::your_choice});
    }
    if (surely_one) return;
    f.cures.push_back({fmt::format("Write {} if they are separate.", shortened(several, 40))});
    f.edits.push_back({span(begin, end), several, TextEdit::Grade::your_choice});
    if (!two_figures) f.cures.push_back({"Write a point in place of a decimal comma."});
}

void Mistakes::unclosed_quote(std::size_t begin, std::size_t end) {
    if (full()) return;
    const std::size_t inside = begin + character_at(sources_->at(source_).text, begin).length;
    const std::string first = inside < end ? in_quotes(quoted(inside, end)) : std::string("the end of the line");
    Finding& f =
        add(text_id::unclosed_quote, begin, end, fmt::format("The quote before {} is not closed on its line.", first));
    f.why = "Without its end nobody can tell what belongs to the text, so the rest of this line was not read.";
    f.cures.push_back({"Put a quote behind the last word of the text, on the same line."});
}

void Mistakes::quote_in_text(std::size_t begin, std::size_t end) {
    if (full()) return;
    Finding& f = add(text_id::quote_in_text, begin, end,
                     fmt::format("The text {} ends in the middle of a word.", quoted(begin, end)));
    f.why = "Each double quote ends a text, whatever its shape, and it is not clear whether the rest belongs to it.";
    f.cures.push_back({"Put a blank or a comma behind the last quote of the text."});
    f.cures.push_back({R"(For quotes within a text, put single quotes around the whole: 'the "old" lamp'.)"});
}

void Mistakes::stray_character(std::size_t begin, std::size_t end) {
    if (full()) return;
    const std::string& text = sources_->at(source_).text;
    const Character first = character_at(text, begin);
    const bool one = begin + first.length == end;
    std::string what = shows(first) ? quoted(begin, end) : "The control character " + code_point(first.code);
    if (shows(first)) what = (one ? "The character " : "The characters ") + in_quotes(what);
    Finding& f = add(
        text_id::stray_character, begin, end,
        fmt::format("{} {} nothing in a circuit file outside quotes.", what, one || !shows(first) ? "means" : "mean"));
    f.why = "Nothing is guessed: what is said together with it was not read.";
    const std::string figure = figure_before(text, begin);
    const std::string_view sign = std::string_view(text).substr(begin, first.length);
    if (!figure.empty() && (first.kind == CharacterKind::quote || sign == "″")) {
        f.headline = fmt::format("{}{} is not read: inches are written in.", figure, sign);
        f.cures.push_back({fmt::format("Type {} in.", figure)});
        f.edits.push_back({span(begin, end), " in", TextEdit::Grade::your_choice});
        return;
    }
    if (!figure.empty() && (first.kind == CharacterKind::single_quote || sign == "′")) {
        f.headline = fmt::format("{}{} is not read: feet are written ft.", figure, sign);
        f.cures.push_back({fmt::format("Type {} ft.", figure)});
        f.edits.push_back({span(begin, end), " ft", TextEdit::Grade::your_choice});
        return;
    }
    const std::string line = retyped(text, begin, end, sign);
    if (sign == "?" && one && figure.empty() && is_wire_line(line)) {
        std::size_t behind = end;
        while (behind < text.size() && text[behind] == ' ') ++behind;
        const bool with_unit = begins_with_unit(text, behind);
        const bool sized = has_figure(line, {"mm2", "awg", "sae", "AWG", "SAE", "sqmm"});
        const bool long_said = has_figure(line, {"m", "cm", "ft", "in"});
        for (const auto& [typed, said, unsaid] :
             {std::tuple{"unknown mm2", sized, "its size"}, std::tuple{"unknown m", long_said, "its length"}})
            if (!said && !with_unit)
                f.cures.push_back(
                    {fmt::format("Type, if {} is not known: {}", unsaid, retyped(text, begin, end, typed))});
        if (with_unit) f.cures.push_back({"Type: " + retyped(text, begin, end, "unknown")});
        if (!f.cures.empty()) return;
    }
    f.cures.push_back({cure_for(sign)});
}

void Mistakes::invisible_character(std::size_t begin, std::size_t end, std::size_t word_begin, std::size_t word_end) {
    if (full()) return;
    const std::string_view text = sources_->at(source_).text;
    const std::string left(text.substr(word_begin, begin - word_begin));
    const std::string right = seen(text.substr(end, word_end - end));
    Finding& f =
        add(text_id::invisible_character, begin, end,
            fmt::format("A character that cannot be seen ({}) stands between {} and {}.",
                        code_point(character_at(text, begin).code), shortened(left, 20), shortened(right, 20)));
    f.cites.front().span = span(word_begin, word_end);
    f.why = "It may be one word or two, and you cannot see which. It comes along when text is copied from a chat or a "
            "web page.";
    f.cures.push_back({fmt::format("Type {} again if it is one word.", shortened(left + right, 40))});
    f.cures.push_back({fmt::format("Type {} again if they are two.", shortened(left + " " + right, 40))});
    f.edits.push_back({span(begin, end), "", TextEdit::Grade::your_choice});
    f.edits.push_back({span(begin, end), " ", TextEdit::Grade::your_choice});
}

void Mistakes::hidden_direction(std::size_t begin, std::size_t end, bool harmless) {
    if (full()) return;
    const Character c = character_at(sources_->at(source_).text, begin);
    Finding& f = add(text_id::hidden_direction, begin, end,
                     fmt::format("An invisible character ({}) makes this line show in another order than it is read.",
                                 code_point(c.code)));
    if (harmless) f.severity = Severity::advice;
    f.why = "What you see there is not what was read: a wire may look as if it were in the file, or as if it were not.";
    f.cures.push_back({retype});
}

void Mistakes::broken_encoding(std::size_t begin, std::size_t end) {
    if (full()) return;
    Finding& f = add(text_id::broken_encoding, begin, end,
                     fmt::format("{} in line {} {} no character.", counted(end - begin, "byte"), line(begin),
                                 end - begin == 1 ? "is" : "are"));
    f.why = "The text is not in UTF-8 there, so nobody knows which letter was meant.";
    f.cures.push_back({"Type the letter again and save the file as plain text in UTF-8."});
}

void Mistakes::empty_clause(std::size_t begin, std::size_t end) {
    if (full()) return;
    const bool alone = end - begin == 1;
    Finding& f = add(text_id::empty_clause, begin, end,
                     alone ? "A statement begins with a comma: nothing stands before it."
                           : "Nothing stands between two commas.");
    f.why = "Something may have been left out.";
    f.cures.push_back({"Write what is missing there, or leave the comma out."});
}

void Mistakes::empty_position(std::size_t begin, std::size_t end) {
    if (full()) return;
    Finding& f = add(text_id::empty_clause, begin, end, "Nothing stands between two |.");
    f.why = "Something may have been left out, a switch position for instance.";
    f.cures.push_back({"Write what is missing there, or leave one | out."});
}

void Mistakes::unclosed_block(Span open, Span head, Span seems_to_end_before) {
    if (full()) return;
    const std::string of = head.exists() ? quoted(head.begin, head.end) : std::string("a block");
    Finding& f = add(text_id::unclosed_block, open.begin, open.end,
                     fmt::format("The {{ of {} in line {} has no }}.", of, line(open.begin)));
    f.cites.front().label = "opened here";
    if (!seems_to_end_before.exists()) {
        f.why = "Everything down to the end of the text was read as part of it.";
        f.cures.push_back({"Put a } where it ends."});
        return;
    }
    const std::size_t where = line(seems_to_end_before.begin);
    f.cites.push_back({seems_to_end_before, "seems to end before this"});
    f.why = fmt::format("By the indentation it ends before line {}, and it was read so.", where);
    f.cures.push_back({fmt::format("Put a }} before line {}, or wherever it ends.", where)});
}

void Mistakes::stray_closing_brace(std::size_t at, Span suspect_open, Span suspect_close) {
    if (full()) return;
    Finding& f = add(text_id::stray_brace, at, at + 1, fmt::format("The }} in line {} closes nothing.", line(at)));
    f.why = "Every block before it is closed already, or one was never opened.";
    f.cures.push_back({"Take it out, or put the { back where the block begins."});
    if (!suspect_open.exists()) return;
    f.cites.push_back({suspect_open, "opened here"});
    f.cites.push_back({suspect_close, "closed here, at another indentation"});
    f.why += fmt::format(" Look at line {}: its }} closes what line {} opens.", line(suspect_close.begin),
                         line(suspect_open.begin));
}

void Mistakes::stray_opening_brace(std::size_t at, Span head) {
    if (full()) return;
    Finding& f =
        add(text_id::stray_brace, at, at + 1,
            head.exists() ? fmt::format("The {{ in line {} stands on another line than its statement.", line(at))
                          : fmt::format("The {{ in line {} belongs to no statement.", line(at)));
    if (head.exists()) {
        f.why = fmt::format("It was read as the block of {}.", quoted(head.begin, head.end));
        f.cures.push_back({"Put it at the end of that line."});
    } else {
        f.why = "Nobody can tell what the block is for, so nothing in it was read.";
        f.cures.push_back({"Write what it is before it, such as: factory {"});
    }
}

void Mistakes::too_deep(std::size_t open, std::size_t end) {
    if (full()) return;
    Finding& f = add(
        text_id::too_deep, open, open + 1,
        fmt::format("The block in line {} lies inside {} others, one more than is read.", line(open), deepest_block));
    f.why = fmt::format("It was not read, down to line {}.", line(end));
    f.cures.push_back({"Look for a missing } before it. No circuit needs more than a section in a switch in a job."});
}

void Mistakes::after_brace(std::size_t begin, std::size_t end) {
    if (full()) return;
    Finding& f = add(text_id::after_brace, begin, end,
                     fmt::format("Behind the }} in line {} stands more: {}", line(begin), quoted(begin, end)));
    f.headline += ".";
    f.why = "A statement ends with the } of its block.";
    f.cures.push_back({"Begin a new line for what follows, or move it before the {."});
}

void Mistakes::absorb(Mistakes&& other) {
    std::move(other.findings_.begin(), other.findings_.end(), std::back_inserter(findings_));
    unlisted_ += other.unlisted_;
}

std::vector<Finding> Mistakes::take() {
    std::stable_sort(findings_.begin(), findings_.end(), [](const Finding& a, const Finding& b) {
        return a.cites.front().span.begin < b.cites.front().span.begin;
    });
    if (findings_.size() > most_mistakes) {
        unlisted_ += findings_.size() - most_mistakes;
        findings_.resize(most_mistakes);
    }
    if (unlisted_ > 0) {
        Finding& last = findings_.emplace_back();
        last.rule = text_id::many_mistakes;
        last.headline = fmt::format("{} in this text {} not listed.", counted(unlisted_, "more mistake"),
                                    unlisted_ == 1 ? "is" : "are");
        last.cites.push_back({span(0, 0), {}});
        last.why = fmt::format("At most {} are listed.", most_mistakes);
        last.cures.push_back({"Mend those first, or look whether this is a circuit file at all."});
    }
    return std::move(findings_);
}

} // namespace loomproof
