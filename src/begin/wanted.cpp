#include "begin/wanted.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <array>
#include <set>
#include <string_view>

namespace loomproof::begin {

namespace {

constexpr std::array little_words = std::to_array<std::string_view>(
    {"a",    "an",   "the",   "on",     "my",   "of",  "begin", "for",   "to",  "in",   "with",    "and", "some",
     "new",  "i",    "want",  "fit",    "add",  "up",  "put",   "at",    "it",  "wire", "install", "car", "van",
     "bike", "boat", "truck", "please", "plus", "ein", "eine",  "einen", "mit", "und",  "fuer",    "im",  "am"});

/// Letters of western Europe as those who have no key for them type: "Lüfter" and "LUEFTER" are "luefter". Other scripts stay.
std::string folded(std::string_view text) {
    static constexpr std::pair<std::string_view, std::string_view> letters[] = {
        {"\xc3\xa4", "ae"}, {"\xc3\x84", "ae"}, {"\xc3\xb6", "oe"}, {"\xc3\x96", "oe"}, {"\xc3\xbc", "ue"},
        {"\xc3\x9c", "ue"}, {"\xc3\x9f", "ss"}, {"\xc3\xa9", "e"},  {"\xc3\x89", "e"},  {"\xc3\xa8", "e"},
        {"\xc3\xaa", "e"},  {"\xc3\xa0", "a"},  {"\xc3\xa1", "a"},  {"\xc3\xb3", "o"},  {"\xc3\xad", "i"},
        {"\xc3\xb1", "n"},  {"\xc3\xa7", "c"}};
    std::string out = lower(text);
    for (const auto& [letter, plain] : letters)
        for (std::size_t at = 0; (at = out.find(letter, at)) != std::string::npos; at += plain.size())
            out.replace(at, letter.size(), plain);
    return out;
}

/// "spotlights", "spotlamps" and "spotlight" are "spotlamp".
std::string as_lamp(const std::string& word) {
    for (const std::string_view ending : {"lights", "light", "lamps", "lites", "lite"})
        if (word.ends_with(ending)) return word.substr(0, word.size() - ending.size()) + "lamp";
    return word;
}

std::vector<std::string> words_of(const std::string& text) {
    std::vector<std::string> out(1);
    for (const char ch : folded(text)) {
        if ((ch >= 'a' && ch <= 'z') || (ch >= '0' && ch <= '9') || static_cast<unsigned char>(ch) >= 0x80)
            out.back() += ch;
        else if (!out.back().empty())
            out.emplace_back();
    }
    if (out.back().empty()) out.pop_back();
    for (std::string& w : out) w = w == "2nd" ? std::string("second") : as_lamp(w);
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

/// Which of the typed words say this name; none where one of the name's words is missing.
std::set<std::size_t> said_by(const std::vector<std::string>& wanted, const std::string& called) {
    std::set<std::size_t> out;
    for (const std::string& word : words_of(called)) {
        const auto at = std::ranges::find_if(wanted, [&](const std::string& w) { return alike(w, word); });
        if (at == wanted.end()) return {};
        out.insert(static_cast<std::size_t>(at - wanted.begin()));
    }
    return out;
}

/// A name of a form that was typed.
struct Hit {
    std::size_t form;
    const Called* called;
    std::set<std::size_t> words; ///< which of those typed
};

bool apart(const std::set<std::size_t>& a, const std::set<std::size_t>& b) {
    return std::ranges::none_of(a, [&](std::size_t w) { return b.contains(w); });
}

/// More words before fewer, what was typed earlier before what comes later.
bool says_more(const Hit& a, const Hit& b) {
    if (a.words.size() != b.words.size()) return a.words.size() > b.words.size();
    return *a.words.begin() < *b.words.begin();
}

bool brings_a_battery(const Form& form) { return form.text.find("\nbattery G2") != std::string::npos; }

/// The choices of a question that these words name, in the order in which they were typed, each with the words that did.
std::vector<std::pair<const Option*, std::set<std::size_t>>> named_choices(const Ask& ask,
                                                                           const std::vector<std::string>& wanted) {
    std::vector<std::pair<const Option*, std::set<std::size_t>>> out;
    for (const Option& option : ask.options) {
        std::set<std::size_t> best = said_by(wanted, option.value);
        for (const std::string& also : option.also)
            if (const auto words = said_by(wanted, also); words.size() > best.size()) best = words;
        if (!best.empty()) out.emplace_back(&option, best);
    }
    // "water pump" names the pump; a choice whose words another one says too, and more, is not meant.
    std::erase_if(out, [&](const auto& one) {
        return std::ranges::any_of(out, [&](const auto& other) {
            return other.second.size() > one.second.size() && !apart(other.second, one.second);
        });
    });
    std::ranges::sort(out, {}, [](const auto& one) { return *one.second.begin(); });
    return out;
}

/// "inverter 2000W", "compressor 30 amps"; not "2 x 55 W" or "60/55 W", where nobody can tell what is meant by it.
std::string figure_in(const std::string& typed) {
    static constexpr std::array units = std::to_array<std::pair<std::string_view, std::string_view>>(
        {{"w", "W"}, {"watt", "W"}, {"watts", "W"}, {"kw", "kW"}, {"a", "A"}, {"amp", "A"}, {"amps", "A"}});
    const auto digit = [](char ch) { return ch >= '0' && ch <= '9'; };
    std::string out;
    const std::string small = lower(typed);
    for (std::size_t at = 0; at < small.size();) {
        if (!digit(small[at])) {
            ++at;
            continue;
        }
        const std::size_t begin = at;
        while (at < small.size() && (digit(small[at]) || ((small[at] == '.' || small[at] == ',') &&
                                                          at + 1 < small.size() && digit(small[at + 1]))))
            ++at;
        std::string number = small.substr(begin, at - begin);
        std::ranges::replace(number, ',', '.');
        while (at < small.size() && small[at] == ' ') ++at;
        std::size_t end = at;
        while (end < small.size() && small[end] >= 'a' && small[end] <= 'z') ++end;
        const std::string_view unit = std::string_view(small).substr(at, end - at);
        const auto* known = std::ranges::find(units, unit, [](const auto& u) { return u.first; });
        if (unit == "x" || (end < small.size() && small[end] == '/')) return {};
        if (known == units.end()) continue;
        if (!out.empty()) return {};
        out = number + ' ' + std::string(known->second);
        at = end;
    }
    return out;
}

void hear_answers(const Form& form, const std::vector<std::string>& wanted, Wanted& out) {
    for (const Ask& ask : form.asks) {
        if (!ask.by_job) continue;
        const auto choices = named_choices(ask, wanted);
        if (choices.empty()) continue;
        out.said[ask.id] = choices.front().first->value;
        for (std::size_t i = 1; i < choices.size(); ++i)
            if (apart(choices[i].second, choices.front().second))
                out.besides.push_back({out.forms.front(), choices[i].first->value});
    }
}

/// One letter too many, too few, another one, or two exchanged.
bool one_slip(std::string_view a, std::string_view b) {
    while (!a.empty() && !b.empty() && a.front() == b.front()) a.remove_prefix(1), b.remove_prefix(1);
    while (!a.empty() && !b.empty() && a.back() == b.back()) a.remove_suffix(1), b.remove_suffix(1);
    const bool exchanged = a.size() == 2 && b.size() == 2 && a[0] == b[1] && a[1] == b[0];
    return (a.size() <= 1 && b.size() <= 1) || exchanged;
}

/// All words that names of jobs and choices are made of.
std::vector<std::string> known_words(std::span<const Form> forms, std::span<const char* const> names) {
    std::set<std::string> out;
    const auto add = [&](const std::string& text) {
        for (const std::string& word : words_of(text)) out.insert(word);
    };
    for (std::size_t i = 0; i < forms.size(); ++i) {
        add(std::string(names[i]) + ' ' + forms[i].title);
        for (const Called& called : forms[i].called) add(called.words);
        for (const Ask& ask : forms[i].asks)
            for (const Option& option : ask.options)
                if (ask.by_job)
                    for (const std::string& also : option.also) add(also);
    }
    return {out.begin(), out.end()};
}

/// What was typed with the nearest known word for each that is not known: short ones with one slip, longer ones with two. Empty where a
/// word is like none, or no word was mended.
std::string without_slips(const std::vector<std::string>& typed, const std::vector<std::string>& known) {
    std::string out;
    bool mended = false;
    for (const std::string& word : typed) {
        std::string as = word;
        const bool has = std::ranges::any_of(known, [&](const std::string& k) { return alike(k, word); });
        if (!has && word.size() >= 4) {
            const auto slip =
                std::ranges::find_if(known, [&](const std::string& k) { return k.size() >= 3 && one_slip(k, word); });
            const auto near = slip != known.end() ? std::optional(*slip)
                              : word.size() >= 7  ? nearest_name(word, known)
                                                  : std::nullopt;
            if (near) as = *near, mended = true;
        }
        out += (out.empty() ? "" : " ") + as;
    }
    return mended ? out : std::string{};
}

Wanted wanted_as_typed(std::span<const Form> forms, std::span<const char* const> names, const std::string& typed) {
    const std::string wish(trimmed(typed));
    for (std::size_t i = 0; i < forms.size(); ++i)
        if (wish == std::to_string(i + 1) || equal_ignoring_case(wish, names[i]) ||
            equal_ignoring_case(wish, forms[i].title))
            return {{i}, {}, {}, {}, {}};
    const std::vector<std::string> wanted = words_of(wish);
    Wanted out;
    out.figure = figure_in(wish);
    std::size_t best = 1;
    for (std::size_t i = 0; i < forms.size(); ++i) {
        const std::size_t points = points_by_title(wanted, words_of(std::string(names[i]) + ' ' + forms[i].title));
        if (points > best) out.forms.clear(), best = points;
        if (points == best) out.forms.push_back(i);
    }
    if (!out.forms.empty()) {
        if (out.forms.size() == 1) hear_answers(forms[out.forms.front()], wanted, out);
        return out;
    }
    std::vector<Hit> hits;
    for (std::size_t i = 0; i < forms.size(); ++i)
        for (const Called& called : forms[i].called)
            if (auto words = said_by(wanted, called.words); !words.empty()) hits.push_back({i, &called, words});
    if (hits.empty()) return out;
    std::ranges::stable_sort(hits, says_more);
    // Of the words that are left when the best name is taken, the next best: a job besides.
    std::vector<Hit> jobs;
    for (const Hit& hit : hits)
        if (std::ranges::all_of(jobs, [&](const Hit& job) { return apart(job.words, hit.words); })) jobs.push_back(hit);
    std::ranges::stable_sort(
        jobs, {}, [&](const Hit& job) { return std::pair(!brings_a_battery(forms[job.form]), *job.words.begin()); });
    // The same words may mean another form just as well: then they are not told apart.
    const Hit first = jobs.front();
    for (const Hit& hit : hits)
        if (hit.words == first.words && std::ranges::find(out.forms, hit.form) == out.forms.end())
            out.forms.push_back(hit.form);
    if (out.forms.size() > 1) return out;
    out.why = jobs.front().called->why;
    for (const Hit& job : jobs)
        if (job.form != out.forms.front()) out.besides.push_back({job.form, job.called->words});
    hear_answers(forms[out.forms.front()], wanted, out);
    return out;
}

} // namespace

Wanted wanted_form(std::span<const Form> forms, std::span<const char* const> names, const std::string& typed) {
    Wanted out = wanted_as_typed(forms, names, typed);
    if (!out.forms.empty() && out.why.empty()) return out;
    const std::string mended = without_slips(words_of(typed), known_words(forms, names));
    if (mended.empty()) return out;
    Wanted as = wanted_as_typed(forms, names, mended);
    // Only the nearest form was found as it was typed: a better one is one that is made for it.
    if (as.forms.empty() || (!out.forms.empty() && (as.forms.size() > 1 || !as.why.empty()))) return out;
    as.read_as = mended;
    as.figure = out.figure;
    return as;
}

} // namespace loomproof::begin
