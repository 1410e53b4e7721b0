#include "begin/spoken_colour.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "reference/colours.hpp"
#include "reference/german_colours.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>
#include <vector>

#include <fmt/core.h>

namespace loomproof::begin {

namespace {

/// The words, in small letters and English; those between two colours are left out.
std::vector<std::string> colour_words_in(const std::string& typed) {
    std::vector<std::string> out(1);
    for (const char ch : lower(typed))
        if (std::string_view(" \t/-,+&").find(ch) == std::string_view::npos)
            out.back() += ch;
        else if (!out.back().empty())
            out.emplace_back();
    std::erase_if(out, [](const std::string& word) {
        static constexpr std::array<std::string_view, 14> between{
            "", "with", "and", "mit", "und", "a", "stripe", "tracer", "wire", "streifen", "on", "trace", "line", "the"};
        return std::ranges::find(between, word) != between.end();
    });
    // Shortened words that can mean one colour only (common practice, no source).
    static constexpr std::array<std::pair<std::string_view, std::string_view>, 15> shortened{{{"blk", "black"},
                                                                                              {"brn", "brown"},
                                                                                              {"orn", "orange"},
                                                                                              {"org", "orange"},
                                                                                              {"yel", "yellow"},
                                                                                              {"ylw", "yellow"},
                                                                                              {"grn", "green"},
                                                                                              {"blu", "blue"},
                                                                                              {"vio", "violet"},
                                                                                              {"pur", "purple"},
                                                                                              {"ppl", "purple"},
                                                                                              {"gry", "grey"},
                                                                                              {"wht", "white"},
                                                                                              {"whi", "white"},
                                                                                              {"pnk", "pink"}}};
    for (std::string& word : out)
        for (const auto& [letters, means] : shortened)
            if (word == letters) word = means;
    for (std::string& word : out)
        if (const std::string_view english = reference::english_colour(word); !english.empty()) word = english;
    return out;
}

/// A colour without stripe that is said in whole words; letters are not: they mean different colours to different people.
std::optional<std::string> one_colour(const std::string& words) {
    const auto& known = reference::colour_words();
    if (std::ranges::find(known, words) == known.end()) return std::nullopt;
    const auto answer = reference::read_colour(words, reference::ColourSet::undeclared);
    if (!answer.colour || answer.colour->stripe) return std::nullopt;
    return reference::word(*answer.colour);
}

/// One or two colours, of one or two words each.
std::optional<std::string> in_words(const std::string& typed) {
    const std::vector<std::string> words = colour_words_in(typed);
    std::vector<std::string> colours;
    for (std::size_t i = 0; i < words.size();) {
        std::optional<std::string> colour;
        if (i + 1 < words.size() && (colour = one_colour(words[i] + ' ' + words[i + 1])))
            i += 2;
        else if ((colour = one_colour(words[i])))
            ++i;
        else
            return std::nullopt;
        colours.push_back(*colour);
    }
    if (colours.empty() || colours.size() > 2) return std::nullopt;
    return colours.size() == 1 ? colours.front() : colours.front() + '/' + colours.back();
}

/// "bl/wht": letters of one of the colours that can mean two, where the rest is plain. Both readings in words; empty: it is not that.
std::vector<std::string> both_readings(const std::string& typed) {
    struct Doubt {
        std::string_view letters;
        std::array<const char*, 2> means;
    };
    static constexpr std::array<Doubt, 4> doubts{
        {{"bl", {"black", "blue"}}, {"gr", {"green", "grey"}}, {"b", {"black", "blue"}}, {"p", {"purple", "pink"}}}};
    std::vector<std::string> words = colour_words_in(typed), out;
    for (std::string& word : words)
        for (const Doubt& doubt : doubts) {
            if (word != doubt.letters || !out.empty()) continue;
            for (const char* meant : doubt.means) {
                word = meant;
                std::string all;
                for (const std::string& each : words) all += (all.empty() ? "" : "/") + each;
                if (auto read = in_words(all)) out.push_back(std::move(*read));
            }
        }
    return out.size() == 2 ? out : std::vector<std::string>{};
}

} // namespace

Result<std::string> read_spoken_colour(const std::string& typed) {
    const reference::ColourAnswer answer = reference::read_colour(typed, reference::ColourSet::undeclared);
    if (answer.colour) return reference::word(*answer.colour);
    if (auto said = in_words(typed)) return *said;
    if (const auto two = both_readings(typed); answer.readings.empty() && !two.empty())
        return failure(fmt::format("\"{}\" can mean {}. Type it in words.", typed, list_of(two, "or")));
    if (answer.readings.empty()) {
        const auto near = nearest_name(typed, reference::colour_words());
        return failure(fmt::format(
            "\"{}\" is no colour that is known here{}. Type it in words: blue, or blue/white with the stripe second.",
            typed, near ? "; the nearest is " + *near : ""));
    }
    // Whose letters mean it, colour by colour: "black (British letters or Japanese letters)".
    std::vector<std::string> colours, means;
    for (const auto& r : answer.readings) {
        const std::string colour = reference::word(r.colour);
        if (std::ranges::find(colours, colour) != colours.end()) continue;
        std::vector<std::string> whose;
        for (const auto& other : answer.readings)
            if (other.colour == r.colour) whose.emplace_back(other.whose);
        colours.push_back(colour);
        means.push_back(fmt::format("{} ({})", colour, list_of(whose, "or")));
    }
    return failure(
        fmt::format("\"{}\" can mean {}. Type it in words: {}.", typed, list_of(means, "or"), list_of(colours, "or")));
}

} // namespace loomproof::begin
