// The rules against the generator: silent on what is clean, loud where a mistake was made, never certain about what nobody said.
#include "scenario/understood.hpp"

#include "rules/protection.hpp"
#include "rules/rule.hpp"
#include "support/scenario/mistakes.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

/// What the rules say of one text.
struct Judged {
    Understood understood;
    rules::Study study;
    rules::Outcome outcome;
    explicit Judged(const Written& text)
        : understood(text), study(understood.circuit()), outcome(rules::check(study)) {}
};

/// Findings and what was put under them, as one list.
void flatten(const std::vector<Finding>& findings, std::vector<const Finding*>& all) {
    for (const Finding& f : findings) {
        all.push_back(&f);
        flatten(f.consequences, all);
    }
}

/// Findings that count against the circuit.
std::vector<Finding> loud(const rules::Outcome& outcome) {
    std::vector<Finding> found;
    for (const Finding& f : outcome.findings) {
        if (f.severity != Severity::note) { found.push_back(f); }
    }
    return found;
}

Scenario clean_one(std::uint64_t seed) {
    static constexpr Profile clean[] = {Profile::clean, Profile::history, Profile::clean, Profile::noisy};
    return make(seed, static_cast<int>(3 + seed * 7 % 110), clean[seed % 4]);
}

/// The smallest text that still makes this rule speak on a clean scenario; for the message of a failing test.
std::string smallest_that_speaks(const Scenario& s, const std::string& rule) {
    const auto speaks = [&](const std::vector<std::uint32_t>& choices) {
        const Judged j(write(replay(choices, s.size, s.profile)));
        const auto found = loud(j.outcome);
        return std::any_of(found.begin(), found.end(), [&](const Finding& f) { return f.rule == rule; });
    };
    return speaks(s.choices) ? write(replay(shrink(s.choices, speaks, 300), s.size, s.profile).plan).main()
                             : write(s).main();
}

} // namespace

TEST_CASE("all rules are silent on clean circuits") {
    int explained = 0;
    for (std::uint64_t seed = 1; seed <= 240; ++seed) {
        const Scenario s = clean_one(seed);
        const Judged j(write(s));
        const auto found = loud(j.outcome);
        CAPTURE(seed);
        CAPTURE(word(s.profile));
        if (!found.empty() && explained < 3) {
            ++explained;
            MESSAGE("the smallest that I find:\n", smallest_that_speaks(s, found.front().rule));
        }
        CHECK(j.understood.told(found) == "");
        if (s.plan.seen("accept")) { CHECK(j.outcome.accepted.size() == 1); }
    }
}

TEST_CASE("what protects each wire is what was built") {
    std::size_t compared = 0;
    for (std::uint64_t seed = 1; seed <= 160; ++seed) {
        static constexpr Profile known[] = {Profile::clean, Profile::history, Profile::tangled, Profile::noisy};
        const Scenario s = make(seed, static_cast<int>(3 + seed * 7 % 110), known[seed % 4]);
        const Understood u(write(s));
        const rules::Study study(u.circuit());
        const auto protection = rules::protection_of_wires(study);
        std::map<std::pair<std::string, int>, const Wire*> built;
        for (const Edge& e : s.plan.edges) {
            if (e.alive && e.wire >= 0) { built[{e.name, e.piece}] = &s.plan.wires[static_cast<std::size_t>(e.wire)]; }
        }
        CAPTURE(seed);
        for (WireId id : study.now.wires()) {
            const loomproof::Wire& w = u.circuit().at(id);
            if (!w.named || !built.contains({w.name, w.piece})) { continue; }
            const Wire& meant = *built[{w.name, w.piece}];
            if (std::isnan(meant.protection)) { continue; }
            const rules::Protection& p = protection[id.index];
            CAPTURE(w.name);
            ++compared;
            if (std::isinf(meant.protection)) {
                CHECK(p.unprotected);
            } else if (meant.protection == 0) {
                CHECK_FALSE(p.fed);
            } else {
                CHECK(p.fed);
                CHECK_FALSE(p.unprotected);
                CHECK(p.lets_through.si == doctest::Approx(meant.protection).epsilon(0.01));
            }
        }
    }
    CHECK(compared > 5000);
}

TEST_CASE("each mistake is found at its line, and nothing else is blamed") {
    std::map<std::string, int> found_by, missing;
    for (std::uint64_t seed = 1; seed <= 160; ++seed) {
        const Scenario s =
            make(seed, static_cast<int>(6 + seed * 5 % 60), seed % 2 == 0 ? Profile::history : Profile::clean);
        for (const Mistake& m : mistakes(s.plan, 1)) {
            std::vector<int> at;
            const Written text = write(with_mistake(s.plan, m, &at), s.hand);
            const Judged j(text);
            std::vector<const Finding*> all;
            flatten(j.understood.reading.findings, all);
            if (!m.rule.starts_with("text-")) {
                const bool known = rules::find_rule(m.rule) != nullptr;
                const bool other_known = m.or_rule.empty() || rules::find_rule(m.or_rule) != nullptr;
                if (!known || !other_known) {
                    ++missing[known ? m.or_rule : m.rule];
                    continue;
                }
                flatten(j.outcome.findings, all);
            }
            ++found_by[m.rule];
            CAPTURE(seed);
            CAPTURE(std::string(word(m.kind)));
            CAPTURE(text.line_of[static_cast<std::size_t>(at.front())].line);
            const bool found = std::any_of(all.begin(), all.end(), [&](const Finding* f) {
                return (f->rule == m.rule || f->rule == m.or_rule) &&
                       std::any_of(at.begin(), at.end(), [&](int statement) {
                           const Written::Line& line = text.line_of[static_cast<std::size_t>(statement)];
                           return line.line > 0 && j.understood.cites(*f, text, line);
                       });
            });
            // A cut end in a job that is only planned is still to wire.
            const bool planned = m.kind == MistakeKind::cut_end_live &&
                                 std::any_of(all.begin(), all.end(), [](const Finding* f) { return f->rule == "still-to-wire"; });
            CHECK_MESSAGE((found || planned), "told instead:\n", j.understood.told(j.outcome.findings),
                          j.understood.told(j.understood.reading.findings));
            // What stands under a finding is explained by it.
            for (const Finding& f : j.outcome.findings) {
                const bool follows = f.rule == m.rule || f.rule == m.or_rule || f.severity > Severity::fault ||
                                     (f.rule == "expectation-not-met" && m.kind == MistakeKind::wire_too_thin) ||
                                     std::find(m.follows.begin(), m.follows.end(), f.rule) != m.follows.end();
                CHECK_MESSAGE(follows, "blamed as well:\n", j.understood.told({f}));
            }
        }
    }
    for (const auto& [rule, times] : missing) {
        MESSAGE(rule, " is no rule yet: ", times, " mistakes were not judged");
    }
    CHECK(found_by.size() >= 3);
}

TEST_CASE("nothing is certain where figures are unknown or guessed") {
    for (std::uint64_t seed = 1; seed <= 120; ++seed) {
        const Scenario s = make(seed, static_cast<int>(5 + seed * 7 % 80), Profile::doubt);
        const Judged j(write(s));
        std::vector<Finding> certain;
        for (const Finding& f : loud(j.outcome)) {
            if (f.certainty == Certainty::certain) { certain.push_back(f); }
        }
        CAPTURE(seed);
        CHECK(j.understood.told(certain) == "");
    }
}

} // namespace loomproof::scenario
