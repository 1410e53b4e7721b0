// A figure that nobody wrote down must never turn a finding into silence: it stays, or is undecided, or stands under "Not checked" with
// what to measure, or the figure that was taken for it is listed under "I assumed".
#include "rules/case_file.hpp"
#include "rules/run_text.hpp"
#include "support/places.hpp"
#include "support/sanitized.hpp"
#include "support/scenario/mistakes.hpp"
#include "support/scenario/scenario.hpp"

#include <algorithm>
#include <optional>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/core.h>

using namespace loomproof;
using support::Run;

namespace {

const std::regex& figure() {
    static const std::regex pattern(
        R"((about |measured |marked |guessed )?[0-9]+(\.[0-9]+)?(/[0-9]+(\.[0-9]+)?)?( to [0-9.]+)? ?(mm2|awg|sae|mm|cm|m|mA|A|kW|W|mV|V|mohm|kohm|ohm|Ah|uF|F)( to [0-9.]+ ?(ohm|W|V))?(?=$|[ ,|}]))");
    return pattern;
}
/// What only says what kind of figure follows it.
bool says_nothing_alone(const std::string& clause) {
    static const std::set<std::string> words{"",       "starts at",  "asleep",   "coil",          "resistor",
                                             "takes",  "behind",     "tails",    "inline holder", "fast",
                                             "slow",   "solenoid",   "at idle",  "seals",         "short-circuit",
                                             "breaks", "limited to", "terminals"};
    return words.contains(clause);
}

std::string trimmed_of(std::string text) {
    text.erase(0, text.find_first_not_of(' '));
    text.erase(text.find_last_not_of(' ') + 1);
    return text;
}

/// The clause without its `nth` figure; nothing where it has no so many. Empty where the figure was all that it said.
std::optional<std::string> without_figure(const std::string& clause, std::size_t nth) {
    if (clause.find('"') != std::string::npos) return std::nullopt;
    const std::sregex_iterator end;
    for (std::sregex_iterator at(clause.begin(), clause.end(), figure()); at != end; ++at) {
        const auto begin = static_cast<std::size_t>(at->position());
        if (begin > 0 && clause[begin - 1] != ' ') continue; // in a name
        if (nth-- > 0) continue;
        std::string rest =
            trimmed_of(clause.substr(0, begin)) + clause.substr(begin + static_cast<std::size_t>(at->length()));
        rest = trimmed_of(rest);
        return says_nothing_alone(rest) ? std::string{} : rest;
    }
    return std::nullopt;
}

struct Variant {
    std::string text, dropped;
};

/// A line of a file without each of its figures in turn.
std::vector<Variant> variants_of(const std::string& text, std::size_t line) {
    std::vector<std::string> lines(1);
    for (char ch : text) {
        if (ch == '\n')
            lines.emplace_back();
        else
            lines.back() += ch;
    }
    std::vector<Variant> all;
    if (line == 0 || line > lines.size()) return all;
    std::string statement = lines[line - 1];
    if (const std::size_t comment = statement.find("//"); comment != std::string::npos) statement.erase(comment);
    for (const char* head : {"accept", "limit", "expect", "never", "place", "loom", "system", "job", "cut", "cable"})
        if (trimmed_of(statement).starts_with(head)) return all;
    std::vector<std::string> clauses(1);
    bool quoted = false;
    for (char ch : statement) {
        quoted = quoted != (ch == '"');
        if (ch == ',' && !quoted)
            clauses.emplace_back();
        else
            clauses.back() += ch;
    }
    for (std::size_t i = 0; i < clauses.size(); ++i)
        for (std::size_t nth = 0; nth < 3; ++nth) {
            const auto rest = without_figure(trimmed_of(clauses[i]), nth);
            if (!rest) break;
            std::string changed;
            for (std::size_t k = 0; k < clauses.size(); ++k) {
                const std::string clause = k == i ? *rest : trimmed_of(clauses[k]);
                if (!clause.empty()) changed += (changed.empty() ? "" : ", ") + clause;
            }
            Variant v{{}, fmt::format("line {} without {} figure {} of: {}", line, clauses[i], nth, lines[line - 1])};
            for (std::size_t k = 0; k < lines.size(); ++k) v.text += (k + 1 == line ? changed : lines[k]) + "\n";
            all.push_back(std::move(v));
        }
    return all;
}

void lines_cited(const Run& run, const Finding& f, std::set<std::size_t>& lines) {
    for (const Citation& c : f.cites)
        if (c.span.exists()) lines.insert(run.sources.position(c.span.source, c.span.begin).line);
    for (const Finding& and_so : f.consequences) lines_cited(run, and_so, lines);
}

bool finds(const std::vector<Finding>& findings, const std::string& rule) {
    return std::ranges::any_of(findings,
                               [&](const Finding& f) { return f.rule == rule || finds(f.consequences, rule); });
}

/// Does it ask for something, find or fail to read something that `before` does not?
bool says_more(const Run& run, const Run& before) {
    const auto new_question = [&](const rules::NotChecked& n) {
        return std::ranges::none_of(before.outcome.not_checked, [&](const rules::NotChecked& b) {
            return n.rule == b.rule && n.what == b.what && n.why == b.why;
        });
    };
    return std::ranges::any_of(run.outcome.not_checked, new_question) ||
           run.reading.findings.size() > before.reading.findings.size() ||
           std::ranges::any_of(run.outcome.findings, [&](const Finding& f) {
               return f.severity < Severity::note && !finds(before.outcome.findings, std::string(f.rule));
           });
}

/// Is there an assumption that stands not in `before`? That of a length or size is no answer: within its bounds all is weighed.
std::vector<Assumption> assumed_in(const Run& run) {
    std::vector<Assumption> all = run.reading.circuit.assumptions;
    all.insert(all.end(), run.outcome.assumptions.begin(), run.outcome.assumptions.end());
    return all;
}
bool assumes_more(const Run& run, const Run& before) {
    const std::vector<Assumption> there = assumed_in(before);
    return std::ranges::any_of(assumed_in(run), [&](const Assumption& a) {
        if (a.subject.starts_with("length of") || a.subject.starts_with("size of")) return false;
        return std::ranges::none_of(there,
                                    [&](const Assumption& b) { return a.subject == b.subject && a.value == b.value; });
    });
}

} // namespace

TEST_CASE("the figures of a clause are taken out one by one") {
    CHECK(without_figure("2.5 mm2 red", 0) == "red");
    CHECK(without_figure("starts at 27 A", 0)->empty());
    CHECK(without_figure("55 W at 12 V", 1) == "55 W at");
    CHECK(without_figure("about 1.2 m", 0)->empty());
    CHECK(without_figure("0 ohm to 20 ohm", 0)->empty());
    CHECK_FALSE(without_figure("in engine-bay", 0));
    CHECK_FALSE(without_figure("fuse F1", 0));
}

TEST_CASE("a mistake made in a circuit with one figure left out of it is never a plain all clear") {
    std::size_t tried = 0;
    for (std::uint64_t seed = 1; seed <= support::tries(14); ++seed) {
        const auto profile = seed % 2 == 0 ? scenario::Profile::history : scenario::Profile::clean;
        const scenario::Scenario s = scenario::make(seed, 5 + static_cast<int>(seed * 5 % 18), profile);
        for (const scenario::Mistake& mistake : scenario::mistakes(s.plan, 1)) {
            std::vector<int> cited;
            const scenario::Plan wrong = scenario::with_mistake(s.plan, mistake, &cited);
            std::ranges::sort(cited);
            cited.erase(std::ranges::unique(cited).begin(), cited.end());
            const scenario::Written as_said = scenario::write(wrong, s.hand);
            if (as_said.files.size() > 1) continue;
            const Run before(as_said.main());
            std::size_t of_this = 0;
            for (int index : cited) {
                const auto& clauses = wrong.statements[static_cast<std::size_t>(index)].clauses;
                for (std::size_t i = 0; i < clauses.size() && of_this < 12; ++i) {
                    const auto rest = without_figure(clauses[i], 0);
                    if (!rest || rest->ends_with(" at")) continue;
                    if (clauses[i].starts_with("inline holder")) continue; // without it the mistake is gone
                    scenario::Plan unsaid = wrong;
                    auto& changed = unsaid.statements[static_cast<std::size_t>(index)].clauses;
                    if (rest->empty())
                        changed.erase(changed.begin() + static_cast<std::ptrdiff_t>(i));
                    else
                        changed[i] = *rest;
                    const scenario::Written written = scenario::write(unsaid, s.hand);
                    if (written.files.size() > 1) continue;
                    const Run run(written.main());
                    const std::string circuit =
                        fmt::format("scenario_tool {} {} {}: {}, without {} of {}", seed, s.size,
                                    scenario::word(profile), scenario::word(mistake.kind), clauses[i],
                                    wrong.statements[static_cast<std::size_t>(index)].head);
                    CAPTURE(circuit);
                    // Of the maker's own it is a note, with the figure and without.
                    CHECK((says_more(run, before) || assumes_more(run, before) ||
                           finds(run.outcome.findings, mistake.rule) ||
                           (!mistake.or_rule.empty() && finds(run.outcome.findings, mistake.or_rule))));
                    ++tried;
                    ++of_this;
                }
            }
        }
    }
    CHECK(tried >= 200);
}

/// Was the figure itself the mistake, so that nothing is left to ask for without it?
bool was_the_mistake(const std::string& name, const std::string& dropped) {
    const auto drops = [&](const char* words) { return dropped.find(words) != std::string::npos; };
    return drops("works from") || drops("10 V to 16 V") || // it asks for these volts, and without them for none
           (name.starts_with("wrong-voltage/") &&
            drops(" V figure")) || // without volts it is made for those of the system
           (name == "fuse-above-wire/bad-fuse-raised.loom" &&
            drops("fuse F3")) || // the job then leaves the maker's fuse in
           // No wire in a car is as long as these, so without the figure it is a usual one.
           (name == "voltage-drop/bad-about.loom" && drops("16 m")) ||
           (name == "voltage-drop/bad-whatever-length.loom" && drops("10 m"));
}

TEST_CASE("what a motor takes to start is assumed aloud only where a fuse might open with the most that motors take") {
    const auto says = [](const char* fuse, const char* motor) {
        const Run run(
            fmt::format("loom 1\nbattery, 60 Ah\nfuse F1, {}\nswitch S1, 30 A\nmotor M1, {}\n"
                        "wire from battery:+ to F1, 4 mm2 red, 0.1 m\nwire from F1 to S1, 4 mm2 red, 1 m\n"
                        "wire from S1 to M1:+, 4 mm2 red, 1 m\nwire from M1:- to ground, 4 mm2 black, 0.3 m\n",
                        fuse, motor));
        return std::ranges::any_of(run.outcome.assumptions, [](const Assumption& a) {
            return a.subject == "M1" && a.value == "3.8 times the working amps to start";
        });
    };
    CHECK(says("10 A", "7 A")); // 8 times 7 A open a fuse of 10 A
    CHECK_FALSE(says("10 A", "7 A, starts at 25 A"));
    CHECK_FALSE(says("30 A", "5 A")); // and no motor of 5 A one of 30 A
}

TEST_CASE("contacts and plugs of unknown rating that carry 30 A and more are asked for, behind thick cables too") {
    const auto open = [](const std::string& parts, const std::string& on, const std::string& words) {
        const Run run("loom 1\nbattery, 60 Ah\nfuse F1, 60 A, maxi\nload E1 \"heater\", 40 A\n" + parts +
                      "wire W1 from battery:+ to F1, 16 mm2 red, 0.1 m\n" + on +
                      "wire W9 from E1 to ground, 16 mm2 black, 0.3 m\n");
        return std::ranges::any_of(run.outcome.not_checked, [&](const rules::NotChecked& n) {
            return n.rule == "part-overloaded" && n.what == words && !n.measure.empty();
        });
    };
    const std::string dash = "wire W2 from F1 to S1, 16 mm2 red, 1 m\nwire W3 from S1 to E1, 16 mm2 red, 1 m\n";
    CHECK(open("switch S1 \"dash switch\"\n", dash, "how many amps S1 may switch"));
    CHECK_FALSE(open("switch S1 \"dash switch\", 50 A\n", dash, "how many amps S1 may switch"));
    CHECK_FALSE(open("switch S1 \"battery main switch\"\n", dash, "how many amps S1 may switch"));
    const std::string plug = "wire W2 from F1 through X1:1 to E1, 16 mm2 red, 1 m + 0.3 m\n";
    CHECK(open("connector X1 \"heater plug\", 2 holes\n", plug, "how many amps a hole of X1 may carry"));
    CHECK_FALSE(
        open("connector X1 \"heater plug\", 2 holes, 50 A each\n", plug, "how many amps a hole of X1 may carry"));
    const std::string relay =
        "wire W2 from F1 to K1:30, 16 mm2 red, 1 m\nwire W3 from K1:87 to E1, 16 mm2 red, 1 m\n"
        "wire W4 from T1 to K1:86, 1 mm2 blue, 1 m\nwire W5 from K1:85 to ground, 1 mm2 black, 1 m\n";
    const std::string trigger = "existing wire T1, blue, 1 mm2, live when \"ignition on\", behind 5 A\n";
    CHECK(open(trigger + "relay K1, 4-pin, studs, resistor\n", relay, "how many amps the contact of K1 may carry"));
    CHECK_FALSE(
        open(trigger + "relay K1, 4-pin, 70 A, studs, resistor\n", relay, "how many amps the contact of K1 may carry"));
}

TEST_CASE(
    "a contact that a sprung rocker closes is asked for its amps where a winch pulls over it, which takes minutes") {
    // A line pull of a minute and more and a duty of minutes are usual in winch makers' sheets (common practice, no source).
    const auto open = [](const std::string& motor, const std::string& relay) {
        const Run run(
            "loom 1\nbattery, 90 Ah\nfuse F1, 250 A, bolted\nfuse F2, 5 A\nrelay K1, 4-pin, studs, resistor" + relay +
            "\nmotor M1 " + motor +
            ", starts at 400 A\nswitch S1 \"rocker\", 10 A { off* | in connects C with I, springs back }\n"
            "wire W1 from battery:+ to F1, 70 mm2 red, 0.1 m\nwire W2 from F1 to K1:30, 70 mm2 red, 1 m\n"
            "wire W3 from K1:87 to M1:+, 70 mm2 red, 1 m\nwire W4 from M1:- to battery:-, 70 mm2 black, 1 m\n"
            "wire W5 from battery:+ to F2, 1 mm2 red, 0.1 m\nwire W6 from F2 to S1:C, 1 mm2 red, 1 m\n"
            "wire W7 from S1:I to K1:86, 1 mm2 blue, 1 m\nwire W8 from K1:85 to battery:-, 1 mm2 black, 1 m\n");
        return std::ranges::any_of(run.outcome.not_checked, [](const rules::NotChecked& n) {
            return n.rule == "part-overloaded" && n.what == "how many amps the contact of K1 may carry" &&
                   !n.measure.empty();
        });
    };
    CHECK(open("\"winch\", 199 A", ""));
    CHECK_FALSE(open("\"winch\", 199 A", ", 250 A"));
    CHECK(open("\"bilge\", 199 A, duty 1 min in 10 min", ""));
    CHECK_FALSE(open("\"bilge\", 199 A, duty 5 s in 1 min", ""));
    CHECK_FALSE(open("\"bleed pump\", 199 A", ""));
}

TEST_CASE("in the bad case of each rule: without one figure of a line that it cites the finding stays, is asked for, "
          "or rests on what is listed") {
    std::size_t tried = 0;
    std::set<std::string> rules_tried;
    for (const rules::Rule* rule : rules::table()) {
        for (const auto& file : cases::files_in(support::source_path("tests/cases") / rule->id, ".loom")) {
            if (!file.stem().string().starts_with("bad")) continue;
            const std::string name = std::string(rule->id) + "/" + file.filename().string();
            const std::string text = support::read_file(file);
            if (text.find("use \"") != std::string::npos) continue; // more than one file
            const Run before(text);
            if (!finds(before.outcome.findings, rule->id)) continue;
            std::set<std::size_t> lines;
            for (const Finding& f : before.outcome.findings) lines_cited(before, f, lines);
            for (std::size_t line : lines)
                for (const Variant& v : variants_of(text, line)) {
                    CAPTURE(name);
                    CAPTURE(v.dropped);
                    const Run run(v.text);
                    INFO(run.said());
                    INFO("without that figure: keep the finding, ask for the figure (Report::not_checked), or list "
                         "what is taken "
                         "for it among the assumptions");
                    CHECK((says_more(run, before) || finds(run.outcome.findings, rule->id) ||
                           assumes_more(run, before) || was_the_mistake(name, v.dropped)));
                    ++tried;
                    rules_tried.insert(rule->id);
                }
        }
    }
    CHECK(tried >= 500);
    CHECK(rules_tried.size() >= 50);
}

TEST_CASE("a size that cannot be read leaves the volts behind it open: no loss is made up for it") {
    // 21 mm2 is no size of wire; the cable by that name is 4 AWG.
    const Run r(R"(loom 1
battery, 74 Ah
fuse F1, 100 A, bolted
electronics A1 "amplifier", 60 A
wire W1 from battery:+ to F1, 20 mm2 red, 0.15 m
wire W2 from F1 to A1:+, 21 mm2 red, 5 m
wire W3 from A1:- to ground, 20 mm2 black, 0.5 m
)");
    CHECK_MESSAGE(!r.finds("voltage-drop"), r.said());
    CHECK(r.said().find("not checked, voltage-drop: volts at A1") != std::string::npos);
    REQUIRE(r.reading.findings.size() == 1);
    CHECK(r.reading.findings.front().cures.front().text.find("type 4 awg") != std::string::npos);
}
