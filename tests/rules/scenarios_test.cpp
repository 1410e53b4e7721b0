// The rules against made-up circuits: where everything is done well all rules are silent, and one mistake is found by the rule
// that it belongs to, at the line where it was made.
#include "circuit/read.hpp"
#include "rules/rule.hpp"
#include "support/sanitized.hpp"
#include "support/scenario/mistakes.hpp"
#include "support/scenario/scenario.hpp"

#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/core.h>

using namespace loomproof;

namespace {

struct Checked {
    Sources sources;
    Reading reading;
    rules::Outcome outcome;

    explicit Checked(const scenario::Written& written)
        : reading(read(written)), outcome(rules::check(rules::Study(reading.circuit))) {}

    Reading read(const scenario::Written& written) {
        const Loader loader = [&](const std::string& path) -> Result<std::string> {
            for (const auto& file : written.files)
                if (file.path == path) return file.text;
            return failure("no file " + path);
        };
        return read_circuit(sources, written.files.front().path, loader);
    }

    std::string at(const Finding& f) const {
        if (f.cites.empty() || !f.cites.front().span.exists()) return "?";
        const Span span = f.cites.front().span;
        return fmt::format("{}:{}", sources.at(span.source).name, sources.position(span.source, span.begin).line);
    }

    std::string said() const {
        std::string all;
        for (const Finding& f : reading.findings) all += fmt::format("{} {} {}\n", at(f), f.rule, f.headline);
        for (const Finding& f : outcome.findings) all += fmt::format("{} {} {}\n", at(f), f.rule, f.headline);
        return all;
    }
};

constexpr scenario::Profile well_made[] = {scenario::Profile::clean, scenario::Profile::history,
                                           scenario::Profile::noisy};

/// Some mistakes are not there any more, or not yet, when the last job is done: a later job put another fuse in; a plan has not got so far.
bool overtaken(const scenario::Mistake& mistake, const std::string& text, const rules::Outcome& outcome) {
    if (mistake.kind == scenario::MistakeKind::cut_end_live)
        return std::ranges::any_of(outcome.findings, [](const Finding& f) { return f.rule == "still-to-wire"; });
    if (mistake.kind != scenario::MistakeKind::fuse_too_large) return false;
    const std::string& head = mistake.edits.front().text.head; // fuse F1 "radio"
    const std::string start = head.substr(0, head.find(' ', head.find(' ') + 1));
    std::size_t times = 0;
    for (std::size_t at = text.find(start); at != std::string::npos; at = text.find(start, at + 1))
        if (const char next = text[at + start.size()]; next == ',' || next == ' ') ++times;
    return times > 1;
}

/// What else a mistake brings about, beyond what the generator knows of.
bool comes_of_it(scenario::MistakeKind kind, const std::string& rule) {
    using enum scenario::MistakeKind;
    // A feed tied to ground at a terminal also reaches ground over diodes that lead there.
    if (kind == terminal_doubled) return rule == "diode-wrong-way";
    // The row of the plug that was written down still has the old colour.
    if (kind == twin_colours) return rule == "plug-hole-conflict";
    // A thin wire loses volts that somebody counted on.
    if (kind == wire_too_thin) return rule == "expectation-not-met";
    return false;
}

} // namespace

TEST_CASE("circuits made well, new or changed by jobs: all rules are silent") {
    std::size_t joined = 0;
    for (std::uint64_t seed = 1; seed <= support::tries(240); ++seed) {
        const auto profile = well_made[seed % 3];
        const scenario::Scenario s = scenario::make(seed, 5 + static_cast<int>(seed * 7 % 90), profile);
        const Checked checked(scenario::write(s));
        const std::string circuit = fmt::format("scenario_tool {} {} {}", seed, s.size, scenario::word(profile));
        CAPTURE(circuit);
        // Two batteries that nothing parts are well made but for that one advice, where one starts the engine and the other feeds loads.
        std::string said = checked.said();
        if (s.plan.seen("joined for good") && checked.outcome.findings.size() == 1 &&
            (said.find(" batteries-joined-for-good ") != std::string::npos ||
             (said.find(" as-built-by-maker ") != std::string::npos &&
              checked.outcome.findings.front().consequences.size() == 1 &&
              checked.outcome.findings.front().consequences.front().rule == "batteries-joined-for-good"))) {
            ++joined;
            said.clear();
        }
        CHECK(said == "");
        if (s.plan.seen("accept")) CHECK(checked.outcome.accepted.size() == 1);
    }
    MESSAGE(joined, " circuits with two batteries joined for good");
}

TEST_CASE("one mistake in a circuit made well is found by its rule, where it was made") {
    std::map<std::string, int> found;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        const auto profile = well_made[seed % 2];
        const scenario::Scenario s = scenario::make(seed, 10 + static_cast<int>(seed * 7 % 60), profile);
        for (const scenario::Mistake& mistake : scenario::mistakes(s.plan, seed <= 20 ? 2 : 1)) {
            REQUIRE_MESSAGE(rules::find_rule(mistake.rule) != nullptr, mistake.rule);
            std::vector<int> cited;
            const scenario::Written text = scenario::write(scenario::with_mistake(s.plan, mistake, &cited), s.hand);
            const Checked checked(text);
            const std::string circuit = fmt::format("scenario_tool {} {} {} mistakes: {}", seed, s.size,
                                                    scenario::word(profile), scenario::word(mistake.kind));
            CAPTURE(circuit);
            CAPTURE(text.main());
            CAPTURE(checked.said());
            const auto cites_it = [&](const Finding& f) {
                return f.rule == mistake.rule && std::ranges::any_of(f.cites, [&](const Citation& c) {
                           const std::size_t line = checked.sources.position(c.span.source, c.span.begin).line;
                           return std::ranges::any_of(cited, [&](int statement) {
                               const auto where = text.line_of[static_cast<std::size_t>(statement)];
                               return where.file >= 0 &&
                                      text.files[static_cast<std::size_t>(where.file)].path ==
                                          checked.sources.at(c.span.source).name &&
                                      static_cast<std::size_t>(where.line) == line;
                           });
                       });
            };
            const auto found_it = [&](const Finding& f) {
                return cites_it(f) || std::ranges::any_of(f.consequences, cites_it);
            };
            CHECK((std::ranges::any_of(checked.outcome.findings, found_it) ||
                   overtaken(mistake, text.main(), checked.outcome)));
            for (const Finding& f : checked.outcome.findings) {
                CAPTURE(f.rule);
                const bool follows = std::ranges::find(mistake.follows, f.rule) != mistake.follows.end();
                CHECK((f.severity == Severity::note || f.rule == mistake.rule || follows ||
                       comes_of_it(mistake.kind, f.rule)));
            }
            ++found[scenario::word(mistake.kind)];
        }
    }
    // Each kind that this test is about was made several times.
    for (const char* kind :
         {"coil and contact exchanged", "relay's diode turned", "clamp diode turned", "terminal doubled",
          "terminal open", "ground removed", "battery ground removed", "screen loop", "part not wired", "stale accept",
          "fuse bypassed", "fuse at the far end", "fuse in the ground line", "fuse too large", "wire too thin",
          "link too large", "insulation too cool", "holder too weak", "contact too weak"})
        CHECK_MESSAGE(found[kind] >= 5, std::string(kind));
    for (const char* kind :
         {"both dipped beams on one fuse", "two thin wires before one load", "ground of a sensor shared with a blower",
          "a fan that generates beside a coil", "LED lamp on a watched output"})
        CHECK_MESSAGE(found[kind] >= 20, std::string(kind));
    // Seldom is a coil fed straight from what nobody drew, and a charge lamp drawn.
    for (const char* kind : {"colour changed in a splice", "trigger pulsed", "diode on the charge lamp"})
        CHECK_MESSAGE(found[kind] >= 1, std::string(kind));
}
