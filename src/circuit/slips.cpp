#include "circuit/slips.hpp"

#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/text_problems.hpp"
#include "reference/german_colours.hpp"

#include <algorithm>
#include <charconv>
#include <string_view>
#include <vector>

namespace loomproof {

namespace {

struct Number {
    double value = 0;
    std::string_view rest; ///< of the word, behind it
    bool there = false;
};

Number number_in(std::string_view word) {
    Number n;
    if (word.empty() || word[0] < '0' || word[0] > '9') return n;
    const auto [end, error] =
        std::from_chars(word.data(), word.data() + word.size(), n.value, std::chars_format::fixed);
    n.there = error == std::errc{};
    n.rest = word.substr(static_cast<std::size_t>(end - word.data()));
    return n;
}

/// A number with its unit, glued or a word of its own, at the cursor; moves behind it. Empty unit: none.
std::optional<Number> with_unit(Cursor& c, std::string_view word) {
    Number n = number_in(word);
    if (!n.there) return std::nullopt;
    ++c.at;
    if (n.rest.empty() && c.is_word()) {
        n.rest = c.spelled();
        ++c.at;
    }
    return n;
}

std::optional<Finding> several_alike(const Cursor& at) {
    Cursor c = at;
    if (!c.is_word()) return std::nullopt;
    const Number count = number_in(c.spelled());
    if (!count.there || count.value < 2 || count.value > 20 || count.value != static_cast<int>(count.value))
        return std::nullopt;
    std::string_view word = count.rest;
    if (word.empty()) { // "2 x 55 W"
        ++c.at;
        word = c.is_word() ? c.spelled() : std::string_view{};
    }
    if (word.empty() || (word[0] != 'x' && word[0] != 'X')) return std::nullopt;
    word.remove_prefix(1);
    if (word.empty()) {
        ++c.at;
        word = c.is_word() ? c.spelled() : std::string_view{};
    }
    const auto each = with_unit(c, word);
    if (!each || each->rest.empty()) return std::nullopt;
    const Span span = c.span_from(at.at);
    const std::string unit(each->rest);
    Finding f = text_problem("text-unclear-figure", span, "What several take together is one figure.",
                             "Type what they take together: " +
                                 line_with(at, span, figure(count.value * each->value) + " " + unit));
    f.cures.push_back({"Give each a line of its own: " + line_with(at, span, figure(each->value) + " " + unit)});
    return f;
}

std::optional<Finding> from_to(const Cursor& at) {
    Cursor c = at;
    if (!c.is_word()) return std::nullopt;
    const Number low = number_in(c.spelled());
    if (!low.there) return std::nullopt;
    std::string_view second;
    if (low.rest.size() > 1 && low.rest[0] == '-') { // "2-3 m" is one word
        second = low.rest.substr(1);
    } else if (low.rest.empty() && (c.is_mark('-', 1) || c.is("to", 1)) && c.is_word(2)) {
        c.at += 2;
        second = c.spelled();
    }
    const auto high = with_unit(c, second);
    if (!high || high->rest.empty() || !(high->value > low.value)) return std::nullopt;
    const Span span = c.span_from(at.at);
    const std::string unit(high->rest);
    Finding f =
        text_problem("text-unclear-figure", span, "A figure that lies between two is written about the middle.",
                     "Type: " + line_with(at, span, "about " + figure((low.value + high->value) / 2) + " " + unit));
    f.cures.push_back({"Type the larger of the two: " + line_with(at, span, figure(high->value) + " " + unit)});
    return f;
}

std::optional<Finding> two_ratings(const Cursor& at) {
    Cursor c = at;
    if (!c.is_word() || !c.is_mark('/', 1) || !c.is_word(2)) return std::nullopt;
    const Number one = number_in(c.spelled());
    c.at += 2;
    const Number other = number_in(c.spelled());
    if (!one.there || !one.rest.empty() || !other.there) return std::nullopt;
    const bool amps = equal_ignoring_case(other.rest, "A");
    if (!other.rest.empty() && !amps) return std::nullopt;
    ++c.at;
    if (!amps) c.take("A");
    const Span span = c.span_from(at.at);
    // A rest contact never carries more than the make contact of the same relay (sheets of two makers).
    const double make = std::max(one.value, other.value), rest = std::min(one.value, other.value);
    return text_problem("text-unclear-figure", span,
                        "Two ratings of one relay are those of its two contacts: 87 (make) and 87a (rest).",
                        "Type: " + line_with(at, span, figure(make) + " A make, " + figure(rest) + " A rest"));
}

/// "60-0-60 A": a scale with its zero in the middle.
std::optional<Finding> zero_in_the_middle(const Cursor& at) {
    Cursor c = at;
    if (!c.is_word()) return std::nullopt;
    const std::string_view word = c.spelled();
    const std::size_t middle = word.find("-0-");
    if (middle == std::string_view::npos) return std::nullopt;
    const Number left = number_in(word.substr(0, middle)), right = number_in(word.substr(middle + 3));
    if (!left.there || !left.rest.empty() || !right.there) return std::nullopt;
    ++c.at;
    std::string unit(right.rest);
    if (unit.empty() && c.is_word()) {
        unit = c.spelled();
        ++c.at;
    }
    const Span span = c.span_from(at.at);
    return text_problem(
        "text-unclear-figure", span,
        "Of a scale with its zero in the middle one end is said: it shows as much both ways.",
        "Type: " + line_with(at, span, figure(std::min(left.value, right.value)) + " " + (unit.empty() ? "A" : unit)));
}

/// "duty 10 %": how long at a time decides how hot it gets.
std::optional<Finding> duty_in_percent(const Cursor& at) {
    Cursor c = at;
    if (!c.take("duty") && !c.take_words("duty cycle")) return std::nullopt;
    c.take("cycle");
    if (!c.is_word()) return std::nullopt;
    const Number n = number_in(c.spelled());
    if (!n.there || !(n.value > 0) || n.value >= 100) return std::nullopt;
    ++c.at;
    if (n.rest != "%" && !(n.rest.empty() && c.take_mark('%'))) return std::nullopt;
    const Span span = c.span_from(at.at);
    constexpr double minutes = 5;
    return text_problem(
        "text-unclear-figure", span,
        "How long at a time it runs is not said: in the same share of the time a wire gets hotter the "
        "longer each run lasts.",
        "If it is so, type: " +
            line_with(at, span, "duty " + figure(n.value / 100 * minutes * 60) + " s in " + figure(minutes) + " min"));
}

/// "relay K1, solid-state": no coil, no contact.
std::optional<Finding> solid_state(const Cursor& at) {
    Cursor c = at;
    if (!c.take("solid-state") && !c.take_words("solid state") && !c.take("SSR") && !c.take("semiconductor"))
        return std::nullopt;
    const std::string name(at.tree->tokens.size() > at.first + 1 &&
                                   at.tree->tokens[at.first + 1].kind == TokenKind::word
                               ? at.sources->text({at.tree->source, at.tree->tokens[at.first + 1].begin,
                                                   at.tree->tokens[at.first + 1].end})
                               : std::string_view("K1"));
    return text_problem("text-word-unknown", c.span_from(at.at),
                        "A solid-state relay has neither coil nor contact: it is a unit with an input and an output.",
                        "Type, with your own terminals and amps: electronics " + name +
                            " \"solid-state relay\" { supply 30, 0.02 A | ground 31 | input 86 wants plus | output 87 "
                            "plus side, 40 A }. When it drives its output is then asked as \"" +
                            name + " drives 87\".");
}

} // namespace

std::optional<Finding> slip_in_figure(const Cursor& c, Kind kind) {
    if (auto f = zero_in_the_middle(c)) return f;
    if (auto f = duty_in_percent(c)) return f;
    if (kind == Kind::relay)
        if (auto f = solid_state(c)) return f;
    if (auto f = several_alike(c)) return f;
    if (auto f = from_to(c)) return f;
    return kind == Kind::relay ? two_ratings(c) : std::nullopt;
}

bool stands_alone(const Cursor& at) {
    Cursor c = at;
    while (c.is_word() && !number_in(c.spelled()).there) ++c.at; // about, measured ...
    ++c.at;
    return c.done() || c.is_mark(',') || c.is_mark('+') || c.is_text();
}

bool skip_word_before_figure(Cursor& c) {
    for (const char* word : {"length", "size", "colour", "color", "of"}) {
        if (!c.is(word)) continue;
        Cursor next = c;
        ++next.at;
        if (!next.take_mark(':')) next.take_mark('=');
        if (next.done() || next.is_mark(',')) return false;
        c.at = next.at;
        return true;
    }
    return false;
}

std::optional<Finding> plug_behind_ends(const Cursor& at) {
    Cursor c = at;
    if (!(c.take("via") || c.take("through")) || !c.is_word() || !c.is_mark(':', 1) || !c.has(2)) return std::nullopt;
    const std::uint32_t plug = c.at;
    c.at += 2;
    c.take_stamp();
    const Span whole = at.statement(), named = c.span_from(plug), away = c.span_from(at.at);
    std::string line(at.sources->text(whole));
    line.erase(away.begin - whole.begin, away.end - away.begin);
    Cursor to = at;
    for (to.at = at.first; to.at < at.at && !to.is("to");) ++to.at;
    if (to.at == at.at) return std::nullopt;
    line.insert(to.span().begin - whole.begin, "through " + std::string(at.sources->text(named)) + " ");
    std::string typed = one_line(line);
    if (const auto comma = typed.find(" ,"); comma != std::string::npos) typed.erase(comma, 1);
    return text_problem("text-word-unknown", away, "The plug that a wire runs through stands between its two ends.",
                        "Type: " + typed);
}

std::pair<Span, std::string> german_colour(Cursor c) {
    const auto word = [](const Cursor& at) {
        return at.is_word() ? reference::english_colour(lower(at.spelled())) : std::string_view{};
    };
    const std::uint32_t start = c.at;
    std::string out(word(c));
    if (out.empty()) return {};
    ++c.at;
    Cursor second = c;
    if (second.is_mark('/') || second.is_mark('-')) ++second.at;
    if (const std::string_view stripe = word(second); !stripe.empty()) {
        out += '/' + std::string(stripe);
        c.at = second.at + 1;
    }
    return {c.span_from(start), out};
}

} // namespace loomproof
