#include "begin/answer.hpp"

#include "base/words.hpp"
#include "begin/spoken_colour.hpp"
#include "circuit/read.hpp"
#include "circuit/typed.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <string_view>
#include <utility>

#include <fmt/core.h>

namespace loomproof::begin {
namespace {

/// Without the words behind a figure that say what has it: "55 W lamps each" is "55 W". `some`: there were any.
std::string without_things(std::string text, bool& some) {
    static constexpr std::array<std::string_view, 21> things{
        "lamp",      "lamps",      "light",     "lights",  "bulb",   "bulbs", "spot",
        "spots",     "spotlights", "headlamps", "halogen", "fog",    "fogs",  "driving",
        "foglights", "headlights", "each",      "apiece",  "pieces", "ones",  "fans"};
    for (;;) {
        text = std::string(trimmed(text));
        const std::size_t blank = text.find_last_of(' ');
        if (blank == std::string::npos ||
            std::ranges::find(things, lower(std::string_view(text).substr(blank + 1))) == things.end())
            return text;
        some = true;
        text.resize(blank);
    }
}

/// "2x55" of lamps: so many watts, as no lamp takes so many amps. With the figure as it was typed where that does not decide it.
std::string in_watts_if_only(const Ask& ask, const std::string& each) {
    constexpr int least = 20;
    const bool bare = !each.empty() && each.size() <= 3 && each.find_first_not_of("0123456789") == std::string::npos;
    const bool watts = std::ranges::find(ask.units, Unit::watts) != ask.units.end();
    return bare && watts && std::stoi(each) >= least ? each + " W" : each;
}

/// A text for between quotes: without what would end it, and not longer than a drawing can show.
Result<std::string> read_words(const std::string& typed) {
    std::string out;
    for (std::size_t i = 0; i < typed.size();) {
        const std::size_t length = utf8_length(std::string_view(typed).substr(i));
        if (length == 0) return failure("There is something in it that is no letter. Type it again.");
        const std::string letter = typed.substr(i, length);
        i += length;
        const bool quote = letter == "\"" || letter == "\xe2\x80\x9c" || letter == "\xe2\x80\x9d" ||
                           letter == "\xe2\x80\x9e" || letter == "\xe2\x80\x9f";
        if (quote || static_cast<unsigned char>(letter[0]) < ' ' || letter == "\x7f") continue;
        out += letter;
    }
    out = std::string(trimmed(out));
    if (out.empty()) return failure("A few words are wanted here, or: don't know.");
    if (code_points(out) > 60) return failure("That is too long for a drawing: at most 60 letters.");
    return out;
}

/// The answer with what only one reading allows: "60" where Ah alone is asked for is "60 Ah", and "1,5 m" is 1.5 m, as one figure is
/// wanted here and no more than two digits follow. A circuit file takes neither.
std::string plain_figure(const Ask& ask, const std::string& typed) {
    std::string out = typed;
    const std::size_t first = out.find_first_of("0123456789");
    if (first == std::string::npos) return out;
    std::size_t end = first;
    const auto digits = [&] {
        const std::size_t from = end;
        while (end < out.size() && out[end] >= '0' && out[end] <= '9') ++end;
        return end - from;
    };
    digits();
    if (end < out.size() && (out[end] == ',' || out[end] == '.')) {
        const std::size_t sign = end++;
        const std::size_t behind = digits();
        if (out[sign] == ',' && (behind == 1 || behind == 2)) out[sign] = '.';
        if (behind == 0) return typed;
    }
    const std::string before = lower(trimmed(out.substr(0, first)));
    const bool bare =
        end == out.size() && (before.empty() || before == "about" || before == "guessed" || before == "measured");
    return bare && ask.units.size() == 1 ? out + ' ' + ask.unit_words : out;
}

/// A bare number of metres above this is likelier one of centimetres, and is not taken without its unit.
constexpr double most_bare_metres = 10;

/// What is typed for two alike where one figure would do for one lamp alone: "55 W each", "55 watts per lamp".
bool says_each(const std::string& rest) {
    static constexpr std::array<std::string_view, 9> words{"each",    "apiece",    "per lamp", "per light", "per bulb",
                                                           "a piece", "per piece", "per side", "each one"};
    return std::ranges::find(words, lower(trimmed(rest))) != words.end();
}

/// "1.000 W": with a point before three digits as for thousands, where both readings are possible. What is meant is asked.
std::optional<std::string> thousands_or_not(const Ask& ask, const std::string& typed) {
    const std::size_t first = typed.find_first_of("0123456789");
    if (first == std::string::npos || typed[first] == '0') return std::nullopt;
    const std::size_t point = std::min(typed.find_first_not_of("0123456789", first), typed.size());
    const std::size_t end = std::min(typed.find_first_not_of("0123456789", point + 1), typed.size());
    if (point == typed.size() || typed[point] != '.' || end != point + 4) return std::nullopt;
    const std::string unit(trimmed(std::string_view(typed).substr(end)));
    const bool by_thousands = equal_ignoring_case(unit, "W") || equal_ignoring_case(unit, "watt") ||
                              equal_ignoring_case(unit, "watts") || equal_ignoring_case(unit, "mA");
    const std::string whole = typed.substr(first, point - first), rest = typed.substr(point + 1, 3);
    if (!by_thousands || std::ranges::find(ask.units, Unit::watts) == ask.units.end()) return std::nullopt;
    const std::string small = rest == "000" ? whole : whole + '.' + rest.substr(0, rest.find_last_not_of('0') + 1);
    return fmt::format("{} can be {}{} {} or {} {}: type which of the two.", typed, whole, rest, unit, small, unit);
}

bool says_none(const std::string& typed) {
    static constexpr std::array<std::string_view, 6> words{"none", "no", "nothing", "no fuse", "without", "not there"};
    return std::ranges::find(words, lower(trimmed(typed))) != words.end();
}

Result<std::string> read_figure_answer(const Ask& ask, const std::string& as_typed) {
    if (ask.unknown.empty() && says_none(as_typed)) return std::string{};
    if (const auto alike = several(as_typed)) {
        Ask one = ask;
        one.or_two = false;
        const auto each = read_figure_answer(one, in_watts_if_only(ask, alike->each));
        if (!each) return each;
        if (alike->count == 1) return each;
        if (!ask.or_two || alike->count != 2)
            return failure(fmt::format("One figure is wanted here, for all {} together{}.", alike->count,
                                       ask.or_two ? ", or that of two alike: 2 x 55 W" : ""));
        return fmt::format("2 x {}", *each);
    }
    if (const auto doubtful = thousands_or_not(ask, as_typed)) return failure(*doubtful);
    const std::string typed = plain_figure(ask, as_typed);
    const Typed words(typed);
    if (std::string problem = words.problem(); !problem.empty()) return failure(problem);
    for (const Unit unit : ask.units) {
        Cursor c = words.cursor();
        std::vector<Finding> problems;
        const auto read = read_figure(c, unit, problems);
        if (!problems.empty()) return failure(in_short(problems.front()));
        if (!read) continue;
        const std::string rest = c.done() ? std::string{} : typed.substr(read->value.span.end);
        if (says_each(rest)) {
            const std::string one(trimmed(std::string_view(typed).substr(0, read->value.span.end)));
            return failure(ask.or_two ? fmt::format("How many are there? Two: type 2 x {0}. One alone: type {0}.", one)
                                      : fmt::format("How many are there? One figure is wanted here, for all together: "
                                                    "of one it is {0}.",
                                                    one));
        }
        if (const std::string kind = lower(trimmed(rest)); unit == Unit::amp_hours && kind.find("li") == 0)
            return failure(fmt::format("Type {0} alone. This form reckons with a lead battery; that yours is lithium "
                                       "belongs in the file afterwards, behind the Ah: {0}, lithium.",
                                       trimmed(std::string_view(typed).substr(0, read->value.span.end))));
        if (!c.done())
            return failure(fmt::format("\"{}\" is understood, but not what stands behind it. One figure, in {}.",
                                       typed.substr(0, read->value.span.end), ask.unit_words));
        if (!read->value.known()) return ask.unknown; // "unknown A"
        const double most = unit == Unit::metres  ? 50
                            : unit == Unit::watts ? 3600
                            : unit == Unit::amps  ? 300
                                                  : 3600 * 1000.0;
        if (!(read->value.nominal > 0)) return failure("It must be more than nothing.");
        if (unit == Unit::metres && typed.size() > as_typed.size() && read->value.nominal > most_bare_metres)
            return failure(fmt::format("Type the unit too: {} cm, or {}?", as_typed, typed));
        if (read->value.nominal > most) return failure("That is more than this form is made for. Look at the unit.");
        return std::string(trimmed(typed));
    }
    const Cursor c = words.cursor();
    if (looks_like_figure(c))
        return failure(in_short(figure_problem(c, fmt::format("Type the number with its unit, {}.", ask.unit_words))));
    const Unit unit = ask.units.front();
    return failure(fmt::format("A figure in {} is wanted here, such as {}, or: don't know.", ask.unit_words,
                               unit == Unit::watts    ? "120 W"
                               : unit == Unit::amps   ? "9 A"
                               : unit == Unit::metres ? "1.5 m"
                                                      : "60 Ah"));
}

/// "100/55", "100 / 55 w": two watts in one, main beam first.
std::optional<std::string> read_pair(const std::string& typed) {
    std::string plain;
    for (const char ch : typed)
        if (ch != ' ') plain += ch;
    if (plain.ends_with('W') || plain.ends_with('w')) plain.pop_back();
    const std::size_t slash = plain.find('/');
    if (slash == std::string::npos) return std::nullopt;
    const auto good = [](std::string_view digits) {
        return !digits.empty() && digits.size() <= 3 && digits.front() != '0' &&
               std::ranges::all_of(digits, [](char ch) { return ch >= '0' && ch <= '9'; });
    };
    const std::string first = plain.substr(0, slash), second = plain.substr(slash + 1);
    if (!good(first) || !good(second)) return std::nullopt;
    return first + '/' + second + " W";
}

} // namespace

std::optional<double> figure_of(const std::string& answer, std::initializer_list<Unit> units, Unit* which, Take take) {
    std::string words = answer;
    if (const std::size_t slash = words.find('/'); slash != std::string::npos) {
        const std::size_t end = std::min(words.find(' ', slash), words.size());
        const std::size_t begin = words.find_last_of(' ', slash) + 1;
        double first = 0, second = 0;
        std::from_chars(words.data() + begin, words.data() + slash, first);
        std::from_chars(words.data() + slash + 1, words.data() + end, second);
        if (first >= second)
            words.erase(slash, end - slash);
        else
            words.erase(begin, slash + 1 - begin);
    }
    const Typed typed(words);
    for (const Unit unit : units) {
        Cursor c = typed.cursor();
        std::vector<Finding> problems;
        const auto read = read_figure(c, unit, problems);
        if (!read || !problems.empty() || !read->value.known()) continue;
        if (which != nullptr) *which = unit;
        return take == Take::upper ? read->value.high : read->value.nominal;
    }
    return std::nullopt;
}

std::optional<Several> several(const std::string& answer) {
    static constexpr std::array<std::pair<std::string_view, int>, 8> words{{{"two", 2},
                                                                            {"three", 3},
                                                                            {"four", 4},
                                                                            {"five", 5},
                                                                            {"six", 6},
                                                                            {"eight", 8},
                                                                            {"a pair of", 2},
                                                                            {"pair of", 2}}};
    const std::string small = lower(answer);
    std::size_t at = 0;
    while (at < answer.size() && answer[at] >= '0' && answer[at] <= '9') ++at;
    Several out;
    const bool in_digits = at == 1 || at == 2;
    if (in_digits) out.count = std::stoi(answer.substr(0, at));
    if (at > 2) return std::nullopt;
    for (const auto& [word, count] : words)
        if (at == 0 && small.starts_with(word) && small.size() > word.size() && small[word.size()] == ' ') {
            out.count = count;
            at = word.size();
        }
    if (out.count == 0) return std::nullopt;
    while (at < answer.size() && answer[at] == ' ') ++at;
    static constexpr std::array<std::string_view, 5> times{"x", "*", "\xc3\x97", "times ", "of "};
    bool some = false;
    for (const std::string_view sign : times)
        if (small.compare(at, sign.size(), sign) == 0) {
            out.each = without_things(std::string(trimmed(std::string_view(answer).substr(at + sign.size()))), some);
            if (!out.each.empty()) return out;
        }
    // "two 55 W lamps", "2 55 W lamps", "two lamps of 55 W", "2 lamps, 55 W each"
    const std::size_t figure = answer.find_first_of("0123456789", at);
    if (figure == std::string::npos) return std::nullopt;
    const std::string before(trimmed(std::string_view(small).substr(at, figure - at)));
    out.each = without_things(answer.substr(figure), some);
    const bool of = before.ends_with(" of") || before.ends_with(" at") || before.ends_with(" with");
    if (out.each.find_first_of(" Ww") == std::string::npos || !(of || some || (before.empty() && !in_digits)))
        return std::nullopt;
    return out;
}

Result<std::string> read_answer(const Ask& ask, const std::string& typed_with_blanks) {
    const std::string typed(trimmed(typed_with_blanks));
    switch (ask.takes) {
    case Ask::Takes::words: return read_words(typed);
    case Ask::Takes::colour: return read_spoken_colour(typed);
    case Ask::Takes::figure: return read_figure_answer(ask, typed);
    case Ask::Takes::option: break;
    }
    for (std::size_t i = 0; i < ask.options.size(); ++i)
        if (typed == std::to_string(i + 1) || equal_ignoring_case(typed, ask.options[i].value) ||
            equal_ignoring_case(typed, ask.options[i].text))
            return ask.options[i].value;
    std::string letters; // "2,5 mm2" is "mm2", "14 AWG" is "awg"
    for (const char ch : lower(typed))
        if (!(letters.empty() && (ch == ' ' || ch == '.' || ch == ',' || ch == '#' || (ch >= '0' && ch <= '9'))))
            letters += ch;
    if (letters.ends_with("\xc2\xb2")) letters.replace(letters.size() - 2, 2, "2");
    for (const Option& option : ask.options)
        if (std::ranges::find(option.also, letters) != option.also.end()) return option.value;
    if (ask.or_pair) {
        if (auto pair = read_pair(typed)) return *pair;
        return failure(
            fmt::format("Type the number in front of your answer, 1 to {}, or both figures from the bulb, main "
                        "beam first: 100/55. Or: don't know.",
                        ask.options.size()));
    }
    return failure(
        fmt::format("Type the number in front of your answer, 1 to {}, or: don't know.", ask.options.size()));
}

} // namespace loomproof::begin
