#include "circuit/wishes.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/text_problems.hpp"
#include "circuit/view.hpp"
#include "circuit/wish_reader.hpp"

#include <algorithm>
#include <array>
#include <optional>

namespace loomproof {

namespace {

constexpr std::array second_words{"on", "hot", "closed", "pressed", "live", "yes", "in"};
constexpr std::array first_words{"off", "cold", "open", "released", "dead", "no", "out"};

bool among(const auto& words, std::string_view word) {
    return std::ranges::any_of(words, [&](const char* w) { return equal_ignoring_case(w, word); });
}

std::optional<std::uint8_t> position_called(const Control& control, std::string_view word) {
    for (std::size_t i = 0; i < control.positions.size(); ++i)
        if (equal_ignoring_case(control.positions[i], word)) return static_cast<std::uint8_t>(i);
    if (control.positions.size() != 2 && control.type != Control::Type::relay) return std::nullopt;
    if (among(second_words, word)) return static_cast<std::uint8_t>(control.positions.size() - 1);
    if (among(first_words, word)) return std::uint8_t{0};
    return std::nullopt;
}

class WishReader {
  public:
    WishReader(const Circuit& c, Cursor& at, Wish& out, std::vector<Finding>& problems)
        : c_(c), at_(at), out_(out), problems_(problems) {}

    bool read() {
        const std::size_t before = problems_.size();
        while (!at_.done()) {
            if (at_.take_mark(',') || at_.take("and")) continue;
            if (!term()) at_.skip_clause();
        }
        return problems_.size() == before && !hangs_on_mistake_;
    }

  private:
    bool problem(const char* id, Span span, std::string headline, std::string cure) {
        problems_.push_back(text_problem(id, span, std::move(headline), std::move(cure)));
        return false;
    }

    bool term() {
        if (at_.is_text()) return condition();
        if ((at_.is("no") || at_.is("not")) && at_.is_text(1)) { // as one says it: off when no "ignition on"
            ++at_.at;
            return condition(false);
        }
        if (!at_.is_word()) {
            if (at_.token().kind == TokenKind::stray) return ++at_.at, false; // reported already
            return problem("text-word-unknown", at_.span(), "A switch and its position are expected here.",
                           "Type: when S1 run, S5 on");
        }
        if (at_.is("engine") && at_.is_word(1)) return engine();
        const std::uint32_t start = at_.at;
        std::string name(at_.spelled()), section;
        PartId part = part_called(c_, name);
        if (const std::size_t dot = name.rfind('.'); !part.exists() && dot != std::string::npos) {
            section = name.substr(dot + 1);
            part = part_called(c_, name.substr(0, dot));
        }
        if (!part.exists()) return unknown_name(name);
        ++at_.at;
        const Part& p = c_.at(part);
        if (p.kind == Kind::not_known || p.poisoned) { // its own line is reported
            hangs_on_mistake_ = hangs_on_mistake_ || p.controls.empty();
            if (p.controls.empty()) return false;
        }
        if (p.controls.empty())
            return problem("text-word-unknown", at_.span_from(start), name_of(c_, part) + " has no positions.",
                           "Name a switch, a relay, or a condition in quotes.");
        if (section.empty() && at_.is_word() && std::ranges::any_of(p.controls, [&](ControlId id) {
                return !c_.at(id).name.empty() && equal_ignoring_case(c_.at(id).name, at_.spelled());
            })) {
            section = std::string(at_.spelled());
            ++at_.at;
        }
        return positions(p, section, start);
    }

    /// Without an engine in the file: whether it charges. "running" is any way of running.
    bool engine() {
        const Span span = at_.span();
        const bool running = at_.is("running", 1), stopped = at_.is("stopped", 1);
        std::uint64_t set = 0;
        std::vector<std::string> known{"stopped", "running"};
        if (c_.engine) {
            known = c_.at(c_.engine->control).positions;
            for (std::size_t i = 0; i < known.size(); ++i)
                if (at_.is(known[i], 1) || (running && known[i] == "idling")) set |= std::uint64_t{1} << i;
        }
        if (c_.engine ? set == 0 : !running && !stopped)
            return problem("text-word-unknown", at_.span(1),
                           "The engine is never \"" + std::string(at_.spelled(1)) + "\" here.",
                           "It can be " + list_of(known) + ".");
        at_.at += 2;
        if (c_.engine)
            out_.at.push_back({c_.engine->control, set, span});
        else
            out_.engine_running = running;
        return true;
    }

    bool unknown_name(const std::string& name) {
        std::vector<std::string> known;
        for (const Part& p : c_.parts)
            if (!p.controls.empty()) known.push_back(p.name);
        const auto nearest = nearest_name(name, known);
        return problem("text-name-unknown", at_.span(), "Nothing here is called " + name + ".",
                       nearest ? "Did you mean " + *nearest + "?"
                               : "Name a switch, a relay, or a condition in quotes.");
    }

    bool condition(bool holds = true) {
        const std::string text(at_.spelled());
        const Span span = at_.span();
        ++at_.at;
        if (at_.take("no") || at_.take("off"))
            holds = !holds;
        else if (!at_.take("yes"))
            at_.take("on");
        std::vector<std::string> known;
        bool found = false;
        for (std::size_t i = 0; i < c_.controls.size(); ++i) {
            if (c_.controls[i].type != Control::Type::condition) continue;
            known.push_back(c_.controls[i].name);
            if (!equal_ignoring_case(c_.controls[i].name, text)) continue;
            out_.at.push_back({ControlId{i}, std::uint64_t{holds ? 2U : 1U}, span});
            found = true;
        }
        if (found) return true;
        for (std::string& k : known) k = "\"" + k + "\"";
        return problem("text-name-unknown", span, "Nothing here hangs on \"" + text + "\".",
                       known.empty() ? "Name a switch and its position." : "Known here: " + list_of(known) + ".");
    }

    /// The control that has this position; of several sections the one that alone has it.
    bool positions(const Part& p, const std::string& section, std::uint32_t start) {
        std::optional<ControlId> control;
        std::uint64_t set = 0;
        do {
            if (at_.take("pulled")) { // "pulled in"
                at_.take("in");
                if (!take(p, section, "pulled in", control, set, start)) return false;
                continue;
            }
            at_.take("is");
            at_.take("at"); // "at rest"
            if (!at_.is_word())
                return problem("text-statement-unfinished", at_.span(), "The position of " + p.name + " is missing.",
                               "Type: when " + p.name + " " + c_.at(p.controls.front()).positions.back());
            const std::string word(at_.spelled());
            ++at_.at;
            if (!take(p, section, word, control, set, start)) return false;
        } while (at_.take("or"));
        out_.at.push_back({*control, set, at_.span_from(start)});
        return true;
    }

    bool take(const Part& p, const std::string& section, const std::string& word, std::optional<ControlId>& control,
              std::uint64_t& set, std::uint32_t start) {
        std::vector<std::pair<ControlId, std::uint8_t>> fits;
        std::vector<std::string> known;
        for (ControlId id : p.controls) {
            const Control& k = c_.at(id);
            if (!section.empty() && !equal_ignoring_case(k.name, section)) continue;
            if (control && id != *control) continue;
            known.insert(known.end(), k.positions.begin(), k.positions.end());
            if (const auto at = position_called(k, word)) fits.emplace_back(id, *at);
        }
        if (fits.empty())
            return problem("text-word-unknown", at_.span_from(start), p.name + " has no position \"" + word + "\".",
                           "Its positions: " + list_of(known) + ".");
        if (fits.size() > 1) {
            const std::string example = p.name + " " + c_.at(fits.front().first).name + " " + word;
            return problem("text-said-twice", at_.span_from(start), p.name + " has that position in two sections.",
                           "Name the section too: " + example);
        }
        control = fits.front().first;
        set |= std::uint64_t{1} << fits.front().second;
        return true;
    }

    const Circuit& c_;
    Cursor& at_;
    Wish& out_;
    std::vector<Finding>& problems_;
    bool hangs_on_mistake_ = false;
};

} // namespace

PartId part_called(const Circuit& c, std::string_view name) {
    PartId found;
    for (std::size_t i = 0; i < c.parts.size(); ++i)
        if (equal_ignoring_case(c.parts[i].name, name)) found = PartId{i};
    return found;
}

bool read_wish(const Circuit& c, Cursor& at, Wish& out, std::vector<Finding>& problems) {
    return WishReader(c, at, out, problems).read();
}

Result<Wish> read_wish(const Circuit& c, std::string_view text) {
    Sources sources;
    const std::uint32_t source = sources.add("positions", std::string(text));
    Parsed parsed = parse(sources, source);
    Wish wish;
    const auto said = [](const Finding& f) { return f.headline + (f.cures.empty() ? "" : " " + f.cures.front().text); };
    if (!parsed.findings.empty()) return failure(said(parsed.findings.front()));
    if (parsed.tree.statements.empty()) return wish;
    if (parsed.tree.statements.size() > 1) return failure("Positions belong on one line: S1 run, S5 on");
    Cursor at(sources, parsed.tree, parsed.tree.statements.front());
    std::vector<Finding> problems;
    if (!read_wish(c, at, wish, problems))
        return failure(problems.empty() ? "The positions were not understood." : said(problems.front()));
    for (Wish::At& w : wish.at) w.span = {}; // of a text that nobody keeps
    return wish;
}

bool meets(const Wish& wish, const std::vector<std::uint8_t>& positions) {
    return std::ranges::all_of(wish.at,
                               [&](const Wish::At& w) { return (w.positions >> positions[w.control.index] & 1) != 0; });
}

bool is_expected_on(const Circuit& c, PartId part, const std::vector<std::uint8_t>& positions) {
    return std::ranges::any_of(c.expectations, [&](const Expectation& e) {
        return e.part == part && e.what == Expectation::What::on && meets(e.when, positions);
    });
}

} // namespace loomproof
