#include "begin/form.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <charconv>

#include <fmt/core.h>

namespace loomproof::begin {

namespace {

constexpr std::string_view blanks = " \r"; // a form may come with the line ends of another system

/// The first word, which is taken away.
std::string take_word(std::string_view& s) {
    s = trimmed(s, blanks);
    const std::size_t end = std::min(s.find(' '), s.size());
    const std::string word(s.substr(0, end));
    s = trimmed(s.substr(end), blanks);
    return word;
}

std::optional<Unit> unit_of(std::string_view word) {
    if (word == "A") return Unit::amps;
    if (word == "W") return Unit::watts;
    if (word == "m") return Unit::metres;
    if (word == "Ah") return Unit::amp_hours;
    return std::nullopt;
}

class Reader {
  public:
    Reader(std::string_view name, std::string_view text) : name_(name), text_(text) {}

    Result<Form> read(const std::vector<Ask>& common) {
        std::size_t number = 0;
        while (!text_.empty()) {
            const std::size_t end = std::min(text_.find('\n'), text_.size());
            const std::string_view line = text_.substr(0, end);
            text_.remove_prefix(std::min(end + 1, text_.size()));
            ++number;
            if (trimmed(line, blanks) == "---") {
                form_.text = std::string(text_);
                break;
            }
            if (trimmed(line, blanks).empty() || trimmed(line, blanks).front() == '#') continue;
            if (!take(line)) return failure(fmt::format("{}:{}: not understood: {}", name_, number, line));
        }
        for (Ask& a : form_.asks) {
            if (!a.say.empty()) continue;
            const auto at = std::ranges::find(common, a.id, &Ask::id);
            if (at == common.end()) return failure(fmt::format("{}: nobody says what {} asks", name_, a.id));
            const Condition when = a.when;
            a = *at;
            a.when = when;
        }
        for (Said& later : form_.later)
            if (const auto at = std::ranges::find(common, later.text, &Ask::id); at != common.end())
                later.text = at->measure;
        return std::move(form_);
    }

  private:
    bool take(std::string_view line) {
        std::string_view rest = line;
        const std::string word = take_word(rest);
        const bool inside = line.front() == ' ';
        if (inside) return !form_.asks.empty() && take_about(form_.asks.back(), word, rest);
        if (word == "title")
            form_.title = rest;
        else if (word == "file")
            form_.file = rest;
        else if (word == "caution")
            return take_said(rest, form_.cautions);
        else if (word == "ask")
            form_.asks.emplace_back().id = rest;
        else if (word == "wire")
            return take_wire(rest);
        else if (word == "later")
            return take_said(rest, form_.later);
        else if (word == "called" || word == "nearest")
            take_called(rest, word == "nearest");
        else
            return false;
        return !rest.empty();
    }

    static bool take_said(std::string_view rest, std::vector<Said>& to) {
        Said said;
        if (rest.starts_with('[')) {
            const std::size_t close = rest.find(']');
            const auto when = read_condition(rest.substr(1, close - 1));
            if (!when || close == std::string_view::npos) return false;
            said.when = *when;
            rest = trimmed(rest.substr(close + 1), blanks);
        }
        said.text = rest;
        to.push_back(std::move(said));
        return !rest.empty();
    }

    /// "winch, capstan" or "winch, capstan: why".
    void take_called(std::string_view rest, bool nearest) {
        const std::size_t colon = nearest ? rest.find(':') : std::string_view::npos;
        const std::string why(colon == std::string_view::npos ? "" : trimmed(rest.substr(colon + 1), blanks));
        rest = rest.substr(0, colon);
        while (!rest.empty()) {
            const std::size_t end = std::min(rest.find(','), rest.size());
            form_.called.push_back({std::string(trimmed(rest.substr(0, end), blanks)), why});
            rest.remove_prefix(std::min(end + 1, rest.size()));
        }
    }

    static bool take_about(Ask& ask, const std::string& word, std::string_view rest) {
        const auto add = [&](std::string& to) { to += (to.empty() ? "" : " ") + std::string(rest); };
        if (word == "say")
            add(ask.say);
        else if (word == "help")
            add(ask.help);
        else if (word == "measure")
            add(ask.measure);
        else if (word == "unknown")
            ask.unknown = rest;
        else if (word == "told")
            return (ask.by_job = rest == "job");
        else if (word == "when") {
            const auto when = read_condition(rest);
            if (!when) return false;
            ask.when = *when;
        } else if (word == "sets") {
            if (ask.options.empty()) return false;
            std::string name = take_word(rest);
            ask.options.back().sets.emplace_back(std::move(name), rest);
        } else if (word == "option") {
            const std::size_t bar = rest.find('|');
            if (bar == std::string_view::npos) return false;
            ask.takes = Ask::Takes::option;
            ask.options.push_back({std::string(trimmed(rest.substr(0, bar), blanks)),
                                   std::string(trimmed(rest.substr(bar + 1), blanks))});
        } else if (word == "also") {
            if (ask.options.empty()) return false;
            for (;; rest.remove_prefix(1)) {
                const std::size_t end = std::min(rest.find(','), rest.size());
                ask.options.back().also.emplace_back(trimmed(rest.substr(0, end), blanks));
                rest.remove_prefix(end);
                if (rest.empty()) break;
            }
        } else if (word == "takes") {
            constexpr std::string_view two = ", or two";
            ask.or_two = rest.ends_with(two);
            if (ask.or_two) rest.remove_suffix(two.size());
            if (rest == "W/W")
                ask.or_pair = true;
            else if (rest == "colour")
                ask.takes = Ask::Takes::colour;
            else if (rest == "words")
                ask.takes = Ask::Takes::words;
            else {
                ask.takes = Ask::Takes::figure;
                while (!rest.empty()) {
                    const std::string unit = take_word(rest);
                    if (!unit_of(unit)) return false;
                    ask.units.push_back(*unit_of(unit));
                    ask.unit_words += (ask.unit_words.empty() ? "" : " or ") + unit;
                }
            }
        } else
            return false;
        return true;
    }

    bool take_wire(std::string_view rest) {
        WireSum sum;
        sum.name = take_word(rest);
        if (take_word(rest) != "carries") return false;
        sum.load = take_word(rest);
        std::string word = take_word(rest);
        if (word == "x") {
            const std::string times = take_word(rest);
            if (std::from_chars(times.data(), times.data() + times.size(), sum.times).ec != std::errc{}) return false;
            word = take_word(rest);
        }
        if (word == "behind") {
            sum.fuse = take_word(rest);
            word = take_word(rest);
        }
        if (word != "over") return false;
        if (const std::size_t in = rest.find(" in "); in != std::string_view::npos) {
            sum.place = trimmed(rest.substr(in + 4), blanks);
            rest = rest.substr(0, in);
        }
        while (!rest.empty()) {
            const std::size_t plus = std::min(rest.find('+'), rest.size());
            sum.over.emplace_back(trimmed(rest.substr(0, plus), blanks));
            rest.remove_prefix(std::min(plus + 1, rest.size()));
        }
        form_.wires.push_back(std::move(sum));
        return true;
    }

    std::string_view name_, text_;
    Form form_;
};

} // namespace

std::optional<Condition> read_condition(std::string_view text) {
    const std::size_t equals = text.find('=');
    if (equals == std::string_view::npos || equals == 0) return std::nullopt;
    Condition out;
    out.other = text[equals - 1] == '!';
    out.id = text.substr(0, equals - (out.other ? 1 : 0));
    out.value = text.substr(equals + 1);
    return out;
}

Result<Form> read_form(std::string_view name, std::string_view text, std::string_view common) {
    std::vector<Ask> asks;
    if (!common.empty()) {
        auto shared = Reader("common.form", common).read({});
        if (!shared) return failure(shared.error());
        asks = std::move(shared->asks);
    }
    return Reader(name, text).read(asks);
}

} // namespace loomproof::begin
