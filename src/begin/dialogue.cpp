#include "begin/dialogue.hpp"

#include "base/words.hpp"
#include "begin/answer.hpp"
#include "circuit/typed.hpp"
#include "report/columns.hpp"
#include "rules/leads.hpp"

#include <algorithm>
#include <array>

#include <fmt/core.h>

namespace loomproof::begin {

namespace {

/// Every line begins with `lead`; later ones hang two columns further.
std::string in_lines(std::string_view text, std::size_t width, std::string_view lead) {
    const std::size_t room = std::max<std::size_t>(24, width - std::min(width, lead.size() + 2));
    std::string out;
    for (const std::string& line : report::wrap(text, room + 2, room))
        out += std::string(lead) + (out.empty() ? "" : "  ") + line + '\n';
    return out;
}

/// On paper: with which answer to which question this one is for.
std::string only_where(const Form& form, const Answers& said, const Ask& ask, std::size_t width) {
    std::size_t number = 0;
    for (std::size_t i = 0; i < form.asks.size(); ++i) {
        if (!said.contains(form.asks[i].id)) ++number;
        if (form.asks[i].id == ask.when.id)
            for (const Option& o : form.asks[i].options)
                if (o.value == ask.when.value)
                    return in_lines(fmt::format("{} question {} is answered with: {}",
                                                ask.when.other ? "Leave it out where" : "Only where", number, o.text),
                                    width, "   ");
    }
    return {};
}

} // namespace

Word read_word(const std::string& typed) {
    std::string plain; // letters alone: "Don’t know." is "dontknow"
    for (const char ch : lower(typed))
        if ((ch >= 'a' && ch <= 'z') || ch == '?') plain += ch;
    const auto is = [&](std::initializer_list<std::string_view> words) {
        return std::ranges::find(words, plain) != words.end();
    };
    if (is({"?", "help", "why"})) return Word::explain;
    if (is({"dontknow", "donotknow", "idontknow", "dunno", "unknown", "notsure", "noidea", "idk", "na", "pass",
            "dontno", "donno", "idontno", "noclue", "ihavenoidea", "idonotknow", "nobodyknows"}))
        return Word::dont_know;
    if (is({"back"})) return Word::back;
    if (is({"stop", "quit", "exit"})) return Word::stop;
    return Word::none;
}

namespace {

/// What is to be said of a fuse that sits further from the battery than it may: the file takes it as it is, and so it is said at once.
std::string too_far_from_post(const std::string& answer, std::size_t width) {
    const Typed typed(answer);
    Cursor c = typed.cursor();
    std::vector<Finding> problems;
    const auto read = read_figure(c, Unit::metres, problems);
    if (!read || !read->value.known() || !(Metres{read->value.nominal} > rules::allowed_lead)) return {};
    return in_lines(
        fmt::format("{} stands in the file as you say, but nothing protects that piece of wire: shorted to "
                    "the body it burns. 0.18 m is the most (7 in, 33 CFR 183.455, written for boats). Put "
                    "the fuse nearer and go back; or sleeve the whole lead, up to 1 m, and write \"sleeved\" "
                    "behind its length. The check calls it a danger until then.",
                    answer),
        width, "  ");
}

} // namespace

bool Dialogue::asked(std::size_t question) const {
    const Ask& ask = form_.asks[question];
    return !said_.contains(ask.id) && holds(ask.when, answers_);
}

bool Dialogue::at_first() const {
    for (std::size_t i = 0; i < at_; ++i)
        if (asked(i)) return false;
    return true;
}

void Dialogue::skip() {
    for (; at_ < form_.asks.size() && !asked(at_); ++at_) {
        const Ask& ask = form_.asks[at_];
        const auto said = said_.find(ask.id);
        answers_[ask.id] = said != said_.end() && holds(ask.when, answers_) ? said->second : "";
        unknown_.resize(at_ + 1);
        unknown_[at_] = false;
    }
}

std::size_t Dialogue::number() const {
    std::size_t out = first_;
    for (std::size_t i = 0; i < at_; ++i)
        if (asked(i)) ++out;
    return out;
}

std::string Dialogue::question(std::size_t width) const {
    const Ask& ask = form_.asks[at_];
    std::string out = in_lines(fmt::format("{}. {}", number(), ask.say), width, "");
    for (std::size_t i = 0; i < ask.options.size(); ++i)
        out += in_lines(fmt::format("{}  {}", i + 1, ask.options[i].text), width, "   ");
    return out;
}

std::string Dialogue::became(const Ask& ask, std::size_t width) const {
    std::string out;
    for (const std::string& line : lines_of(form_, answers_, ask.id)) out += in_lines(line, width, "    ");
    Answers before = answers_;
    before.erase(ask.id);
    const std::vector<std::string> then = why_these(form_, before);
    for (const std::string& why : why_these(form_, answers_))
        if (std::ranges::find(then, why) == then.end()) out += in_lines(why, width, "  ");
    return out;
}

std::string Dialogue::take(const std::string& typed, std::size_t width) {
    const Ask& ask = form_.asks[at_];
    refused_.clear();
    switch (read_word(typed)) {
    case Word::explain:
        return in_lines(ask.help.empty() ? "There is no more to say about this one." : ask.help, width, "  ");
    case Word::back: return go_back() ? "" : in_lines("This is the first question about it.", width, "  ");
    case Word::dont_know: {
        answers_[ask.id] = ask.unknown;
        unknown_.resize(at_ + 1);
        unknown_[at_] = true;
        ++at_;
        std::string said =
            (ask.measure.empty() ? "" : in_lines("Find out later: " + ask.measure, width, "  ")) +
            (ask.takes == Ask::Takes::figure && !ask.unknown.empty() && !ask.unknown.starts_with("unknown")
                 ? in_lines(fmt::format("Taken until then: {}.", ask.unknown), width, "  ")
                 : "") +
            became(ask, width);
        skip();
        return said;
    }
    case Word::stop:
    case Word::none: break;
    }
    const bool empty = typed.find_first_not_of(" \t\r") == std::string::npos;
    const Result<std::string> value =
        empty ? failure("Type an answer, or one of: ?  don't know  back  stop") : read_answer(ask, typed);
    if (!value) {
        refused_ = value.error();
        return in_lines(refused_, width, "  ");
    }
    answers_[ask.id] = *value;
    unknown_.resize(at_ + 1);
    unknown_[at_] = false;
    ++at_;
    std::string said = became(ask, width);
    if (ask.or_two && value->find(" x ") == std::string::npos)
        said += in_lines(fmt::format("{0} is one figure, for all together. If there are two that take {0} each: back, "
                                     "then 2 x {0}.",
                                     *value),
                         width, "  ");
    if (ask.id == "post") said += too_far_from_post(*value, width);
    skip();
    return said;
}

bool Dialogue::go_back() {
    std::size_t to = at_;
    while (to > 0 && (to == at_ || !asked(to))) --to;
    if (to == at_) return false;
    for (; at_ > to; --at_) answers_.erase(form_.asks[at_ - 1].id);
    unknown_.resize(at_);
    return true;
}

std::vector<Dialogue::Open> Dialogue::to_measure() const {
    std::vector<Open> out;
    for (std::size_t i = 0; i < unknown_.size(); ++i) {
        const Ask& ask = form_.asks[i];
        if (unknown_[i] && !ask.measure.empty())
            out.push_back(
                {ask.measure, ask.unknown,
                 !ask.unknown.empty() && (ask.takes == Ask::Takes::figure || ask.takes == Ask::Takes::option)});
    }
    const Answers values = all_values(form_, answers_);
    for (const Said& later : form_.later)
        if (holds(later.when, values)) out.push_back({with_values(later.text, form_, answers_), {}, false});
    return out;
}

std::string Dialogue::file() const {
    constexpr std::size_t width = 100;
    std::string out = filled(form_, answers_);
    const auto open = to_measure();
    if (!open.empty()) out += "\n// Still to find out; then mend the lines above:\n";
    for (const Open& o : open)
        out +=
            in_lines("- " + o.measure + (o.counts ? fmt::format(" (taken so far: {})", o.instead) : ""), width, "//  ");
    return out;
}

std::string on_paper(const Form& form, const Answers& said, std::size_t width) {
    std::string out = in_lines(form.title, width, "") + '\n';
    for (const std::string& caution : cautions_of(form, said)) out += in_lines(caution, width, "  ");
    std::size_t number = 0;
    for (const Ask& ask : form.asks) {
        if (said.contains(ask.id)) continue;
        out += '\n' + in_lines(fmt::format("{}. {}", ++number, ask.say), width, "");
        out += only_where(form, said, ask, width);
        if (!ask.help.empty()) out += in_lines(ask.help, width, "   ");
        for (const Option& o : ask.options) out += in_lines("[ ] " + o.text, width, "   ");
        if (ask.options.empty())
            out += "   " + std::string(std::min<std::size_t>(40, width - 12), '_') +
                   (ask.unit_words.empty() ? "" : " " + ask.unit_words) + '\n';
        out += "   [ ] don't know\n";
    }
    return out;
}

} // namespace loomproof::begin
