#include "begin/wanted.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace loomproof::begin {

namespace {

constexpr std::array<std::string_view, 29> little_words{
    "a",   "an",  "the",  "on", "my",  "of", "for",     "to",  "in",  "with",  "and",  "some", "new", "i",     "want",
    "fit", "add", "wire", "up", "put", "at", "install", "car", "van", "truck", "bike", "boat", "it",  "please"};

/// "spotlights", "spotlamps" and "spotlight" are "spotlamp".
std::string as_lamp(const std::string& word) {
    for (const std::string_view ending : {"lights", "light", "lamps", "lites", "lite"})
        if (word.ends_with(ending)) return word.substr(0, word.size() - ending.size()) + "lamp";
    return word;
}

std::vector<std::string> words_of(const std::string& text) {
    std::vector<std::string> out(1);
    for (const char ch : lower(text)) {
        if ((ch >= 'a' && ch <= 'z') || (ch >= '0' && ch <= '9'))
            out.back() += ch;
        else if (!out.back().empty())
            out.emplace_back();
    }
    if (out.back().empty()) out.pop_back();
    for (std::string& w : out) w = as_lamp(w);
    for (std::size_t i = 1; i < out.size(); ++i) // "head lamp", "spot lamps"
        for (const std::string_view before : {"head", "spot", "fog", "flood", "work"})
            if (out[i - 1] == before && out[i] == "lamp") {
                out[i - 1] += "lamp";
                out.erase(out.begin() + static_cast<std::ptrdiff_t>(i--));
                break;
            }
    std::erase_if(out, [](const std::string& w) { return std::ranges::find(little_words, w) != little_words.end(); });
    return out;
}

/// "battery" of "batteries", "fan" of "fans".
std::string singular(const std::string& word) {
    if (word.size() > 4 && word.ends_with("ies")) return word.substr(0, word.size() - 3) + 'y';
    if (word.size() > 3 && word.ends_with("s")) return word.substr(0, word.size() - 1);
    return word;
}
bool alike(const std::string& a, const std::string& b) { return singular(a) == singular(b); }

/// All words in name and title, whole words before beginnings ("fan" is the job of one fan, though "fans" begins with it).
std::size_t points_by_title(const std::vector<std::string>& wanted, const std::vector<std::string>& title) {
    std::size_t points = 0;
    for (const std::string& word : wanted) {
        const bool whole = std::ranges::find(title, word) != title.end();
        const bool begins = word.size() >= 3 && std::ranges::any_of(title, [&](const std::string& t) {
                                return t.starts_with(word) || (t.size() >= 3 && word == t + 's');
                            });
        if (!whole && !begins) return 0;
        points += whole ? 2 : 1;
    }
    return points;
}

/// How many words the name has, where all of them were typed.
std::size_t points_by_name(const std::vector<std::string>& wanted, const std::string& called) {
    const std::vector<std::string> words = words_of(called);
    const bool all = std::ranges::all_of(words, [&](const std::string& word) {
        return std::ranges::any_of(wanted, [&](const std::string& w) { return alike(w, word); });
    });
    return all ? words.size() : 0;
}

} // namespace

Wanted wanted_form(std::span<const Form> forms, std::span<const char* const> names, const std::string& typed) {
    const std::string wish(trimmed(typed));
    for (std::size_t i = 0; i < forms.size(); ++i)
        if (wish == std::to_string(i + 1) || equal_ignoring_case(wish, names[i]) ||
            equal_ignoring_case(wish, forms[i].title))
            return {{i}, {}};
    const std::vector<std::string> wanted = words_of(wish);
    Wanted out;
    std::size_t best = 1;
    const auto take = [&](std::size_t form, std::size_t points, const std::string& why) {
        if (points > best) out = {}, best = points;
        if (points != best || std::ranges::find(out.forms, form) != out.forms.end()) return;
        out.forms.push_back(form);
        out.why = why;
    };
    for (std::size_t i = 0; i < forms.size(); ++i)
        take(i, points_by_title(wanted, words_of(std::string(names[i]) + ' ' + forms[i].title)), {});
    if (!out.forms.empty()) return out;
    best = 1;
    for (std::size_t i = 0; i < forms.size(); ++i)
        for (const Called& called : forms[i].called) take(i, points_by_name(wanted, called.words), called.why);
    if (out.forms.size() > 1) out.why.clear();
    return out;
}

} // namespace loomproof::begin
