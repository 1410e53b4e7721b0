#include "sizing/asked.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/figures.hpp"
#include "circuit/kind.hpp"
#include "circuit/typed.hpp"
#include "reference/insulation.hpp"
#include "reference/places.hpp"

#include <algorithm>
#include <vector>

#include <fmt/core.h>

namespace loomproof::sizing {

namespace {

const char* const how_to_type = "Type it like this: 120 W at 13.8 V, 3 m";

bool is_digit(char ch) { return ch >= '0' && ch <= '9'; }

/// "2 x 55 W", "2x55w", "two lamps 55 W", "2 lamps 55 W each": how many, taken out of the words; and what is left.
struct Several {
    int count = 1;
    bool said_each = false; ///< by a times sign or the word
    std::string rest;
};

/// The count that a word says, 0 where it is none: "2", "two", "pair".
int count_in(std::string_view word) {
    static constexpr std::pair<const char*, int> words[] = {{"two", 2},  {"pair", 2}, {"three", 3}, {"four", 4},
                                                            {"five", 5}, {"six", 6},  {"eight", 8}, {"zwei", 2},
                                                            {"drei", 3}, {"vier", 4}};
    for (const auto& [spelled, n] : words)
        if (equal_ignoring_case(word, spelled)) return n;
    if (word.empty() || word.size() > 2 || !std::ranges::all_of(word, is_digit)) return 0;
    const int n = std::stoi(std::string(word));
    return n >= 2 && n <= 20 ? n : 0;
}

/// The length of a times sign at the front: x, X, *, or the sign itself; 0 where there is none.
std::size_t times_sign(std::string_view word) {
    if (word.starts_with('x') || word.starts_with('X') || word.starts_with('*')) return 1;
    return word.starts_with("\xc3\x97") ? 2 : 0;
}

/// A number with this word behind it is a figure, not a count of things.
bool is_unit(const std::string& word) {
    const std::string with = "2 " + word;
    const Typed typed(with);
    for (const Unit unit : {Unit::watts, Unit::amps, Unit::volts, Unit::metres, Unit::celsius, Unit::size}) {
        Cursor c = typed.cursor();
        std::vector<Finding> problems;
        if (read_figure(c, unit, problems) || !problems.empty()) return true;
    }
    return false;
}

/// Does a load in watts or amps stand here? What is multiplied is the load, not the way.
bool is_load(const std::string& words) {
    const Typed typed(words);
    for (const Unit unit : {Unit::watts, Unit::amps}) {
        Cursor c = typed.cursor();
        std::vector<Finding> problems;
        if (read_figure(c, unit, problems)) return true;
    }
    return false;
}

/// "110 w 2,5 m", "0,1m": with a point where a comma stands between two digits.
std::string with_points(std::string_view words) {
    std::string out;
    bool decimal = false;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const bool between =
            words[i] == ',' && i > 0 && i + 1 < words.size() && is_digit(words[i - 1]) && is_digit(words[i + 1]);
        // "13.8,3 m" has its point already: two figures without a blank.
        if (between) {
            const std::size_t run = out.find_last_not_of("0123456789");
            if (run != std::string::npos && out[run] == '.') return std::string(words);
        }
        decimal = decimal || between;
        out += between ? '.' : words[i];
        // "0.1m": with a blank before the unit, as all examples have it.
        if (is_digit(words[i]) && i + 1 < words.size() && words[i + 1] == 'm' &&
            (i + 2 == words.size() || words[i + 2] == ' ' || words[i + 2] == ','))
            out += ' ';
    }
    return decimal ? out : std::string(words);
}

Several take_several(std::string_view typed) {
    std::vector<std::string> words;
    for (std::string_view left = trimmed(typed); !left.empty(); left = trimmed(left)) {
        const std::size_t end = std::min(left.find_first_of(" \t"), left.size());
        words.emplace_back(left.substr(0, end));
        left.remove_prefix(end);
    }
    Several out;
    const auto begins_with_digit = [&](std::size_t at) { return at < words.size() && is_digit(words[at].front()); };
    const auto after = [&](std::size_t at) { return at < words.size() ? words[at] : std::string{}; };
    bool figure_before = false; // then a bare number counts nothing
    for (std::size_t i = 0; i < words.size() && out.count == 1; ++i) {
        std::string& word = words[i];
        const std::size_t digits = std::min(word.find_first_not_of("0123456789"), word.size());
        const std::string next = i + 1 < words.size() ? words[i + 1] : std::string{};
        if (const int n = count_in(word.substr(0, digits)); n > 0 && digits < word.size()) { // "2x55w", "2x 55 W"
            const std::size_t sign = times_sign(std::string_view(word).substr(digits));
            const std::string behind = sign > 0 ? word.substr(digits + sign) : std::string{};
            if (sign > 0 && is_load(behind + ' ' + next + (behind.empty() ? ' ' + after(i + 2) : ""))) {
                out.count = n;
                out.said_each = true;
                word = behind;
            }
        } else if (n > 0 || count_in(word) > 0) {
            const int many = count_in(word);
            const std::size_t sign = times_sign(next);
            if (sign > 0 && is_load(next.substr(sign) + ' ' + after(i + 2) + ' ' + after(i + 3))) { // "2 x 55 W"
                out.count = many;
                out.said_each = true;
                word.clear();
                words[i + 1].erase(0, sign);
            } else if (figure_before || sign > 0) {
                continue;
            } else if (begins_with_digit(i + 1) || (!next.empty() && next != "," && !is_unit(next))) { // "two lamps"
                out.count = many;
                word.clear();
                if (next == "of") words[i + 1].clear();
            }
        }
        figure_before = figure_before || (!word.empty() && is_digit(word.front()));
    }
    for (std::string& word : words) {
        if (const std::string small = lower(word); out.count > 1 && (small == "each" || small == "each,")) {
            out.said_each = true;
            word = small == "each," ? "," : "";
        }
        if (!word.empty()) out.rest += (out.rest.empty() ? "" : " ") + word;
    }
    return out;
}

class Reader {
  public:
    explicit Reader(std::string_view words)
        : words_(trimmed(words)), several_(take_several(words)), typed_(several_.rest), c_(typed_.cursor()) {}

    Result<Asked> read() {
        if (const std::string typed = with_points(words_); typed != words_)
            return failure(
                "Decimals take a point here, since a comma ends what is said before it. Type it like this: " + typed);
        if (std::string problem = typed_.problem(); !problem.empty()) return failure(problem);
        take_name();
        while (!c_.done() && problem_.empty()) {
            if (c_.take_mark(',')) continue;
            if (!take_one() && problem_.empty()) problem_ = not_understood();
        }
        if (!problem_.empty()) return failure(problem_);
        return finished();
    }

  private:
    /// "air compressor 30 A": what is to be fed. Words that count are no name: how much all of them take must be said.
    void take_name() {
        static constexpr const char* counts[] = {"two",  "three", "four",   "five", "six", "both",
                                                 "pair", "each",  "double", "twin", "dual"};
        std::uint32_t words = 0;
        std::string name;
        bool several = false;
        while (words < 6 && c_.is_word(words) && !c_.is("in", words)) {
            Cursor ahead = c_;
            ahead.at += words;
            if (looks_like_figure(ahead)) break;
            several = several || std::ranges::any_of(counts, [&](const char* w) { return c_.is(w, words); });
            name += (name.empty() ? "" : " ") + std::string(c_.spelled(words));
            asked_.starts_hard = asked_.starts_hard || (find_kind(c_.spelled(words)) == &spec_of(Kind::motor));
            ++words;
        }
        Cursor behind = c_;
        behind.at += words;
        if (words == 0 || behind.done() || !(behind.is_mark(',') || looks_like_figure(behind))) {
            asked_.starts_hard = false;
            return;
        }
        if (several) {
            problem_ = "Is that what each takes, or all of them together? Type 2 x 55 W, 3 m or 110 W, 3 m.";
            return;
        }
        for (const char* front : {"wire for ", "cable for ", "fuse for ", "an ", "a ", "the ", "my "})
            if (lower(name).starts_with(front)) name.erase(0, std::string_view(front).size());
        asked_.load = name;
        c_.at = behind.at;
    }

    std::optional<Stated<double>> figure(Unit unit) {
        std::vector<Finding> problems;
        const auto read = read_figure(c_, unit, problems);
        if (!problems.empty()) problem_ = in_short(problems.front());
        if (!read || !problem_.empty()) return std::nullopt;
        if (!read->value.known()) {
            problem_ = "Nothing can be worked out from an unknown figure: type a cautious guess.";
            return std::nullopt;
        }
        return read->value;
    }

    template <class Q> bool once(std::optional<Q>& into, Unit unit, const char* what, bool least = false) {
        const auto read = figure(unit);
        if (!read) return false;
        if (into) problem_ = fmt::format("{} stands there twice.", what);
        into = Q{least ? read->low : read->high}; // "about 3 m", "guessed 9 A": on the safe side
        return problem_.empty();
    }

    bool take_place() {
        if (!c_.take("in")) return false;
        c_.take("the");
        std::string words(c_.spelled());
        ++c_.at;
        auto found = reference::find_place_temperature(words);
        if (!found && c_.is_word()) {
            words += ' ' + std::string(c_.spelled());
            found = reference::find_place_temperature(words);
            if (found) ++c_.at;
        }
        if (!found) {
            std::vector<std::string> known;
            for (const auto& p : reference::place_temperatures()) known.emplace_back(p.place);
            problem_ =
                fmt::format("How warm it gets there is not known; known places are {}. Or type the degrees: 50 degC.",
                            list_of(known));
            return false;
        }
        asked_.place_name = found->place;
        celsius_ = found->ambient.degrees;
        return true;
    }

    bool take_loss() {
        if (!(c_.take("drop") || c_.take("lose") || c_.take("loss") || c_.take("losing"))) return false;
        (void)(c_.take("of") || c_.take_words("at most") || c_.take_words("up to"));
        if (c_.is_word() && c_.is_mark('%', 1)) {
            double value = 0;
            try {
                value = std::stod(std::string(c_.spelled()));
            } catch (const std::exception&) { return false; }
            if (!(value > 0 && value < 50)) {
                problem_ = "A loss in % lies between 0 and 50.";
                return false;
            }
            c_.at += 2;
            percent_ = value;
            return true;
        }
        return once(loss_, Unit::volts, "The loss");
    }

    bool take_one() {
        if (c_.take_words("round trip") || c_.take_words("there and back") || c_.take_words("all in all"))
            return way(Way::all_in_all);
        if (c_.take_words("one way") || c_.take_words("each way")) return way(Way::distance);
        if (c_.take_words("body return") || c_.take_words("ground at the body")) return way(Way::body_back);
        if (take_kind()) return true;
        if (take_place() || !problem_.empty()) return problem_.empty();
        if (take_loss() || !problem_.empty()) return problem_.empty();
        if (c_.take("at") || c_.take("over") || c_.take("for")) return true;
        for (const std::uint32_t words : {2u, 1u}) { // "PVC 85", "GXL"
            if (!c_.is_word() || (words == 2 && !c_.is_word(1))) continue;
            const auto kind = reference::find_insulation(
                words == 1 ? std::string(c_.spelled()) : std::string(c_.spelled()) + ' ' + std::string(c_.spelled(1)));
            if (!kind) continue;
            asked_.insulation = kind->rating;
            c_.at += words;
            (void)(c_.take("degC") || c_.take("C"));
            return true;
        }
        for (const auto& [unit, take] :
             {std::pair{Unit::watts, &Reader::take_watts}, std::pair{Unit::amps, &Reader::take_amps},
              std::pair{Unit::volts, &Reader::take_volts}, std::pair{Unit::metres, &Reader::take_length},
              std::pair{Unit::celsius, &Reader::take_celsius}})
            if ((this->*take)() || !problem_.empty()) return problem_.empty();
        return false;
    }
    /// "55 W lamp", "two 55 W lamps": what it is, behind its figure.
    bool take_kind() {
        if (!c_.is_word() || !asked_.load.empty()) return false;
        std::string word(c_.spelled());
        const KindSpec* kind = find_kind(word);
        if (!kind && word.size() > 2 && word.ends_with('s')) kind = find_kind(word.substr(0, word.size() - 1));
        if (!kind) return false;
        asked_.load = word;
        asked_.starts_hard = kind == &spec_of(Kind::motor);
        ++c_.at;
        return true;
    }
    bool take_watts() { return once(watts_, Unit::watts, "The load in watts"); }
    bool take_amps() { return once(amps_, Unit::amps, "The load in amps"); }
    bool take_volts() { return once(volts_, Unit::volts, "The voltage", true); }
    bool take_length() { return once(length_, Unit::metres, "The length"); }
    bool take_celsius() { return once(celsius_, Unit::celsius, "The temperature"); }

    bool way(Way w) {
        asked_.way = w;
        return true;
    }

    std::string not_understood() const {
        if (c_.is("each")) return "How many are there? Type it like this: 2 x 55 W, 3 m.";
        if (looks_like_figure(c_)) return in_short(figure_problem(c_, how_to_type)) + '.';
        return fmt::format("\"{}\" is not understood here. {}.", c_.spelled(), how_to_type);
    }

    Result<Asked> finished() {
        if (!watts_ && !amps_)
            return failure(fmt::format("How much does it take? Say watts or amps. {}.", how_to_type));
        if (watts_ && amps_)
            return failure("Watts and amps both stand there: say the one that is printed on the load.");
        if (!length_)
            return failure(
                fmt::format("How far is it? Type, with the length of the wire from the battery to the load in "
                            "place of 3 m: loomproof size \"{}, 3 m\"",
                            words_));
        if (!(length_->si > 0) || length_->si > 1000) return failure("The length must lie between 0 and 1000 m.");
        const double count = several_.count;
        if (watts_) watts_ = *watts_ * count;
        if (amps_) amps_ = *amps_ * count;
        asked_.count = several_.count;
        asked_.each_assumed = several_.count > 1 && !several_.said_each;
        asked_.volts_assumed = !volts_;
        asked_.volts = volts_.value_or(Volts{12});
        if (!(asked_.volts.si >= 1)) return failure("The voltage must be 1 V or more.");
        if (asked_.volts.si > 60)
            return failure(
                "Above 60 V other rules hold, for the sake of life; this is for 6, 12, 24 and 48 V circuits.");
        asked_.watts = watts_;
        asked_.amps = amps_ ? *amps_ : *watts_ / asked_.volts;
        if (!(asked_.amps.si > 0)) return failure("The load takes nothing: there is nothing to size.");
        asked_.length = *length_;
        if (celsius_) {
            asked_.place = Celsius{*celsius_};
            asked_.place_assumed = false;
        }
        asked_.allowed_assumed = !loss_ && !percent_;
        asked_.allowed = loss_ ? *loss_ : percent_ ? asked_.volts * (*percent_ / 100) : usual_loss(asked_.volts);
        if (!(asked_.allowed.si > 0)) return failure("Some loss there always is: allow more than 0 V.");
        return asked_;
    }

    std::string words_;
    Several several_;
    Typed typed_;
    Cursor c_;
    Asked asked_;
    std::string problem_;
    std::optional<Watts> watts_;
    std::optional<Amps> amps_;
    std::optional<Volts> volts_, loss_;
    std::optional<Metres> length_;
    std::optional<double> celsius_, percent_;
};

} // namespace

Result<Asked> read_asked(std::string_view words) { return Reader(words).read(); }

Answer answer(const Asked& asked) {
    Answer out;
    out.fuse = fuse_for(asked.amps, asked.place);
    out.need = {asked.amps,          out.fuse ? out.fuse->rating.rating : asked.amps,
                asked.copper(),      asked.allowed,
                asked.place,         asked.insulation,
                thinnest_to_handle()};
    out.metric = thinnest(reference::SizeSystem::metric, out.need);
    out.awg = thinnest(reference::SizeSystem::awg, out.need);
    return out;
}

} // namespace loomproof::sizing
