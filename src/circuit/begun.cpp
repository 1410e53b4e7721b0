#include "circuit/begun.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/examples.hpp"
#include "circuit/text_problems.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include <fmt/core.h>

namespace loomproof {

std::optional<Unit> unit_of_gap(std::string_view gap) {
    if (gap == "{A}") return Unit::amps;
    if (gap == "{V}") return Unit::volts;
    if (gap == "{W}") return Unit::watts;
    if (gap == "{ohm}") return Unit::ohms;
    if (gap == "{m}") return Unit::metres;
    if (gap == "{Ah}") return Unit::amp_hours;
    if (gap == "{degC}") return Unit::celsius;
    if (gap == "{size}") return Unit::size;
    if (gap == "{F}") return Unit::farads;
    if (gap == "{s}") return Unit::seconds;
    if (gap == "{Hz}") return Unit::hertz;
    if (gap == "{bar}") return Unit::pascals;
    if (gap == "{n}") return Unit::count;
    return std::nullopt;
}

std::vector<std::string_view> elements_of(std::string_view pattern) {
    std::vector<std::string_view> out;
    while (!pattern.empty()) {
        const std::size_t blank = pattern.find(' ');
        out.push_back(pattern.substr(0, blank));
        pattern.remove_prefix(blank == std::string_view::npos ? pattern.size() : blank + 1);
    }
    return out;
}

namespace {

std::string spelled_at(const Cursor& c, Span span) { return std::string(c.sources->text(span)); }

bool is_bare_number(const Cursor& c, std::uint32_t ahead = 0) {
    if (!c.is_word(ahead)) return false;
    const std::string_view word = c.spelled(ahead);
    return word.front() >= '0' && word.front() <= '9' && word.back() != '.' &&
           word.find_first_not_of("0123456789.") == std::string_view::npos && std::ranges::count(word, '.') <= 1;
}

/// The unit for a figure that stands alone; `size` for wire sizes, where there are several.
std::string unit_for(Unit unit, std::string_view pattern, const char* size) {
    switch (unit) {
    case Unit::amps: return "A";
    case Unit::volts: return "V";
    case Unit::watts: return "W";
    case Unit::ohms: return "ohm";
    case Unit::metres: return pattern.find("{m} to {m}") != std::string_view::npos ? "mm" : "m"; // what a seal takes
    case Unit::amp_hours: return "Ah";
    case Unit::celsius: return "degC";
    case Unit::size: return size;
    case Unit::farads: return "uF";
    case Unit::seconds: return "s";
    case Unit::hertz: return "Hz";
    case Unit::pascals: return "bar";
    case Unit::count: return "";
    }
    return "";
}

struct Begun {
    std::uint32_t end = 0;
    std::string typed; ///< as it should be
};

/// The pattern at the cursor, with units where they were left out. Nothing where it does not fit, has all its units, or is a figure alone.
std::optional<Begun> with_units(Cursor c, std::string_view pattern, const char* size) {
    Begun out;
    bool bare = false, word = false;
    std::vector<Finding> none;
    const auto take = [&](std::string text) { out.typed += (out.typed.empty() ? "" : " ") + std::move(text); };
    for (const std::string_view element : elements_of(pattern)) {
        const std::uint32_t start = c.at;
        if (const auto unit = unit_of_gap(element); unit || element == "{W/W}") {
            if (unit && read_figure(c, *unit, none) && none.empty()) {
                take(spelled_at(c, c.span_from(start)));
                continue;
            }
            none.clear();
            c.at = start;
            if (c.is("about") || c.is("measured") || c.is("guessed")) ++c.at;
            if (!is_bare_number(c) || (unit && *unit == Unit::count)) return std::nullopt;
            ++c.at;
            if (!unit) {
                if (!c.is_mark('/') || !is_bare_number(c, 1)) return std::nullopt;
                c.at += 2;
            }
            take(spelled_at(c, c.span_from(start)) + " " + (unit ? unit_for(*unit, pattern, size) : "W"));
            bare = true;
        } else if (element.front() == '{') {
            const bool text = element == "{text}";
            if (text ? !c.is_text() : !c.is_word()) return std::nullopt;
            ++c.at;
            take(spelled_at(c, c.span_from(start)));
        } else {
            if (element == "/" ? !c.take_mark('/') : !c.take(element)) return std::nullopt;
            take(std::string(element));
            word = true;
        }
    }
    if (!bare || !word || !(c.done() || c.is_mark(',') || c.is_text())) return std::nullopt;
    out.end = c.at;
    return out;
}

} // namespace

std::optional<Finding> figure_without_unit(const Cursor& at, const KindSpec& kind) {
    struct Way {
        std::string typed, meaning;
    };
    std::vector<Way> ways;
    std::uint32_t end = at.at;
    const auto attempt = [&](std::span<const AttrSpec> specs) {
        for (const AttrSpec& a : specs) {
            const bool sized = std::string_view(a.pattern).find("{size}") != std::string_view::npos;
            for (const char* size : {"mm2", "awg"}) {
                const auto begun = with_units(at, a.pattern, size);
                if (!begun || begun->end < end || ways.size() == 4) continue;
                if (begun->end > end) ways.clear();
                end = begun->end;
                if (std::ranges::any_of(ways, [&](const Way& w) { return w.typed == begun->typed; })) continue;
                ways.push_back(
                    {begun->typed, sized ? std::string(size) + " is meant" : "it is " + std::string(a.meaning)});
            }
        }
    };
    attempt(kind.attributes);
    attempt(common_attributes(kind));
    if (ways.empty()) return std::nullopt;
    Cursor c = at;
    c.at = end;
    const Span span = c.span_from(at.at);
    Finding f = text_problem("text-unit-missing", span,
                             "In \"" + one_line(spelled_at(at, span)) + "\" the figure has no unit.");
    for (const Way& way : ways)
        f.cures.push_back(
            {(ways.size() == 1 ? "Type: " : "Type, if " + way.meaning + ": ") + line_with(at, span, way.typed)});
    return f;
}

std::vector<Remedy> with_word_and_unit(const Cursor& at, const KindSpec& kind) {
    std::vector<Remedy> cures;
    if (!is_bare_number(at)) return cures;
    for (const AttrSpec& a : kind.attributes) {
        std::string typed;
        int gaps = 0;
        bool plain = *a.meaning != '\0';
        for (const std::string_view element : elements_of(a.pattern)) {
            const auto unit = unit_of_gap(element);
            plain = plain && (unit ? *unit != Unit::count && *unit != Unit::size : element.front() != '{');
            gaps += unit ? 1 : 0;
            typed +=
                (typed.empty() ? "" : " ") +
                (unit ? std::string(at.spelled()) + " " + unit_for(*unit, a.pattern, "mm2") : std::string(element));
        }
        if (plain && gaps == 1 && cures.size() < 3)
            cures.push_back({"Type, if it is " + std::string(a.meaning) + ": " + line_with(at, at.span(), typed)});
    }
    return cures;
}

std::string cure_for_begun(const Cursor& at, const AttrSpec& spec) {
    Cursor c = at;
    ++c.at;
    const std::string_view pattern = spec.pattern;
    const bool wants_figure = pattern.find("{") != std::string_view::npos &&
                              std::ranges::any_of(elements_of(pattern), [](std::string_view e) {
                                  return unit_of_gap(e).has_value() || e == "{W/W}";
                              });
    if (!wants_figure) return "Type, with your own words: " + as_typed(spec);
    if (!looks_like_figure(c) || c.is("unknown")) return "Type, with your own figure: " + as_typed(spec);
    // A figure of another unit: that of the example would only mislead.
    std::string form;
    for (const std::string_view element : elements_of(pattern)) {
        const auto unit = unit_of_gap(element);
        form += form.empty() ? "" : " ";
        form += unit                 ? "... " + unit_for(*unit, pattern, "mm2")
                : element == "{W/W}" ? ".../... W"
                                     : std::string(element);
    }
    while (!form.empty() && form.back() == ' ') form.pop_back();
    return "\"" + std::string(c.spelled()) +
           "\" does not fit there. Type, with your figure in place of the dots: " + form;
}

std::optional<Finding> live_in_other_words(const Cursor& at) {
    Cursor c = at;
    std::vector<Finding> none;
    const bool volts = [&] {
        Cursor figure = c;
        figure.take_mark('+');
        if (!read_figure(figure, Unit::volts, none)) return false;
        c.at = figure.at;
        return true;
    }();
    if (!volts && !c.take("live") && !c.take("hot") && !c.take("plus")) return std::nullopt;
    if (volts && (c.is("always") || c.is("permanently") || c.is("permanent"))) {
        ++c.at;
        const Span span = c.span_from(at.at);
        return text_problem("text-word-unknown", span, "A feed is live always, or live when something is on.",
                            "Type: " + line_with(at, span, "live always"));
    }
    if (!c.take("when") && !(volts && (c.take("with") || c.take("while") || c.take("if")))) return std::nullopt;
    const std::uint32_t start = c.at;
    if (c.is_text()) {
        if (!volts) return std::nullopt;
        ++c.at;
    } else {
        while (c.is_word()) ++c.at;
    }
    if (c.at == start) return std::nullopt;
    // "plus when S1 run", "live when ignition on": read as a switch that is drawn, and asked about there.
    const std::size_t words = c.at - start;
    if (!volts && (words <= 2 || (words == 3 && at.is("is", 3)))) return std::nullopt;
    std::string when = one_line(spelled_at(c, c.span_from(start)));
    std::erase(when, '"');
    const Span span = c.span_from(at.at);
    return text_problem("text-word-unknown", span, "When a feed is live stands in quotes, behind: live when.",
                        "Type: " + line_with(at, span, "live when \"" + when + "\""));
}

namespace {

/// What is typed for a colour and is none: letters of no set, from memory. Of two that may be meant the likelier first.
struct Letters {
    std::string_view typed;
    std::array<reference::Colour, 2> meant;
};
constexpr std::array<Letters, 14> misspelt{{{"wt", {reference::Colour::white, reference::Colour::white}},
                                            {"wi", {reference::Colour::white, reference::Colour::white}},
                                            {"wht", {reference::Colour::white, reference::Colour::white}},
                                            {"bl", {reference::Colour::blue, reference::Colour::black}},
                                            {"blu", {reference::Colour::blue, reference::Colour::blue}},
                                            {"blk", {reference::Colour::black, reference::Colour::black}},
                                            {"bla", {reference::Colour::black, reference::Colour::black}},
                                            {"br", {reference::Colour::brown, reference::Colour::brown}},
                                            {"gr", {reference::Colour::green, reference::Colour::grey}},
                                            {"re", {reference::Colour::red, reference::Colour::red}},
                                            {"ge", {reference::Colour::yellow, reference::Colour::yellow}},
                                            {"yl", {reference::Colour::yellow, reference::Colour::yellow}},
                                            {"gy", {reference::Colour::grey, reference::Colour::grey}},
                                            {"or", {reference::Colour::orange, reference::Colour::orange}}}};

std::vector<reference::Colour> colours_near(std::string_view word) {
    std::vector<reference::Colour> out;
    for (const Letters& l : misspelt)
        if (equal_ignoring_case(l.typed, word))
            for (const reference::Colour c : l.meant)
                if (std::ranges::find(out, c) == out.end()) out.push_back(c);
    if (!out.empty()) return out;
    std::vector<std::string> words;
    for (const std::string& w : reference::colour_words()) words.push_back(w);
    if (const auto near = nearest_name(word, words))
        if (const auto read = reference::read_colour(*near, reference::ColourSet::undeclared); read.colour)
            out.push_back(read.colour->base);
    return out;
}

std::string in_case_of(std::string_view model, std::string_view letters) {
    const bool small = std::ranges::none_of(model, [](char ch) { return ch >= 'A' && ch <= 'Z'; });
    return small ? lower(letters) : std::string(letters);
}

} // namespace

std::optional<Finding> no_such_colour(const Cursor& at, reference::ColourSet set) {
    const bool stripe = at.is_mark('/') && at.is_word(1) && at.at > at.first;
    if (!stripe && !at.is_word()) return std::nullopt;
    const std::string word(at.spelled(stripe ? 1 : 0));
    const auto near = colours_near(word);
    if (near.empty()) return std::nullopt;
    std::string main, before;
    std::optional<reference::WireColour> base;
    Cursor c = at;
    if (stripe) {
        --c.at;
        if (!c.is_word()) return std::nullopt;
        before = std::string(c.spelled());
        base = reference::read_colour(before, set).colour;
        if (!base || base->stripe) return std::nullopt;
    }
    const std::uint32_t start = c.at;
    c.at = at.at + (stripe ? 2 : 1);
    const Span whole = c.span_from(start), wrong = at.span(stripe ? 1 : 0);
    Finding f = text_problem("text-word-unknown", wrong, "");
    std::string names;
    for (const reference::Colour colour : near) {
        const std::string as_word(reference::word(colour));
        // Letters stay letters where they can mean one thing only; else the colours are spelled out.
        std::string typed = as_word;
        if (stripe) {
            const std::string letters =
                before + '/' + in_case_of(word, reference::letters(colour, reference::ColourSet::iec));
            const reference::WireColour meant{base->base, colour};
            const bool words = before.size() > 3;
            typed = !words && reference::read_colour(letters, set).colour == meant ? letters : reference::word(meant);
        }
        const std::string_view shown =
            stripe && typed.starts_with(before + '/') ? std::string_view(typed).substr(before.size() + 1) : as_word;
        names += (names.empty() ? "" : " or ") + std::string(shown) + (shown == as_word ? "" : " (" + as_word + ")");
        f.cures.push_back(
            {(near.size() == 1 ? "Type: " : "Type, if " + as_word + " is meant: ") + line_with(at, whole, typed)});
    }
    f.headline = fmt::format("\"{}\" is no colour; {} {} near.", word, names, near.size() == 1 ? "is" : "are");
    return f;
}

} // namespace loomproof
