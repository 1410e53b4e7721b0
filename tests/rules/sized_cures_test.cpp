// A cure that names a fuse or a wire's size must not make it worse: with that in, nothing new of the same weight or more is found, and the
// wire's size makes an end of its finding.
#include "rules/case_file.hpp"
#include "rules/run_text.hpp"

#include "support/places.hpp"
#include "support/stored.hpp"

#include <algorithm>
#include <optional>
#include <regex>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;

namespace {

/// What a cure proposes for one fuse or wire: a figure that takes the place of another in its line.
struct Proposed {
    std::string thing;    ///< "fuse F1", "wire W2"
    std::string figure;   ///< "15 A", "4 mm2"
    bool ends_it = false; ///< the finding must be gone then
};

/// "Put a 15 A fuse in F1.", "Use 4 mm2 for W2.", "Use 4 mm2 or thicker for the red wire W2.": what only holds under a condition that nobody
/// knows, or together with other changes, is no proposal.
std::optional<Proposed> proposed(const std::string& cure) {
    static const std::regex fuse(R"(^Put an? ([0-9.]+ A) fuse(?: of the large size)? in ([A-Za-z0-9_-]+)[.:;])");
    static const std::regex wire(
        R"(^Use ([0-9.]+ (?:mm2|awg|sae))(?: or thicker)? for (?:the [a-z/]+ wire )?(W[0-9]+)\.$)");
    std::smatch found;
    if (std::regex_search(cure, found, fuse)) return Proposed{"fuse " + found[2].str(), found[1], false};
    if (std::regex_search(cure, found, wire)) return Proposed{"wire " + found[2].str(), found[1], true};
    return std::nullopt;
}

/// The text with that figure changed in the last line that says it; the text itself where none does.
std::string with_figure(const std::string& text, const Proposed& p) {
    const std::regex line("(^|\n)( *" + p.thing + "\\b[^\n]*?, +)[0-9.]+ (?:A|mm2|awg|sae)");
    std::smatch found;
    std::string before, rest = text;
    std::string out = text;
    while (std::regex_search(rest, found, line)) {
        before += found.prefix().str() + found[1].str();
        out = before + found[2].str() + p.figure + found.suffix().str();
        before += found[0].str().substr(found[1].length());
        rest = found.suffix();
    }
    return out;
}

using Told = std::pair<std::string, std::string>; // rule and what it is about

void flatten(const std::vector<Finding>& findings, std::vector<std::pair<Told, Severity>>& out) {
    for (const Finding& f : findings) {
        out.push_back({{f.rule, f.subjects.empty() ? "" : f.subjects.front()}, f.severity});
        flatten(f.consequences, out);
    }
}

std::vector<std::pair<Told, Severity>> told(const support::Run& run) {
    std::vector<std::pair<Told, Severity>> out;
    flatten(run.outcome.findings, out);
    return out;
}

struct Cure {
    Proposed change;
    Told of;
    Severity weight;
};

void collect(const std::vector<Finding>& findings, std::vector<Cure>& out) {
    for (const Finding& f : findings) {
        for (const auto& cure : f.cures)
            if (const auto p = proposed(cure.text))
                out.push_back({*p, {f.rule, f.subjects.empty() ? "" : f.subjects.front()}, f.severity});
        collect(f.consequences, out);
    }
}

} // namespace

TEST_CASE(
    "a fuse or a wire's size that a cure names leads to nothing new of the same weight; the size ends the finding") {
    int fuses = 0, wires = 0;
    for (const auto& here : cases::folders_in(support::source_path("tests/cases"))) {
        for (const auto& file : cases::files_in(here, ".loom")) {
            const std::string name = here.filename().string() + "/" + file.filename().string();
            if (!file.stem().string().starts_with("bad")) continue;
            const std::string text = support::read_file(file);
            const support::Run before(text);
            std::vector<Cure> all;
            collect(before.outcome.findings, all);
            if (all.empty()) continue;
            std::set<Told> known;
            for (const auto& [what, severity] : told(before)) known.insert(what);
            for (const Cure& cure : all) {
                const std::string mended = with_figure(text, cure.change);
                CAPTURE(name);
                CAPTURE(cure.change.thing);
                CAPTURE(cure.change.figure);
                REQUIRE(mended != text);
                const support::Run after(mended);
                INFO(after.said());
                for (const auto& [what, severity] : told(after)) {
                    CAPTURE(what.first);
                    CAPTURE(what.second);
                    CHECK((severity > cure.weight || known.contains(what)));
                    if (cure.change.ends_it) CHECK_FALSE((what == cure.of && severity <= cure.weight));
                }
                ++(cure.change.ends_it ? wires : fuses);
            }
        }
    }
    CHECK(fuses >= 5);
    CHECK(wires >= 10);
}

TEST_CASE("a larger fuse is not proposed past a contact that is made for less") {
    const auto cures = [](const std::string& contact) {
        const support::Run run("loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nswitch S1, " + contact +
                               "\nheater E1, 19 A\nwire from battery:+ to F1, 10 mm2 red, 0.1 m\n"
                               "wire from F1 to S1, 10 mm2 red, 1 m\nwire from S1 to E1, 10 mm2 red, 1 m\n"
                               "wire from E1 to ground, 10 mm2 black, 0.3 m\n");
        std::vector<Cure> all;
        collect(run.outcome.findings, all);
        return all.size();
    };
    CHECK(cures("20 A") == 0);
    CHECK(cures("40 A") == 1);
}

TEST_CASE("two rules that ask for thicker wire in one place ask for the same: the thicker one") {
    // A 30 A fuse asks for 2.5 mm2, which carries 35 A (33 CFR 183.425 Table 5, 14 AWG). 20 A over 4 m of 1.5 mm2 lose more than a volt (12.7 mohm/m
    // in ISO 6722) of the 0.7 V that trade practice allows: that asks for 4 mm2.
    const std::string text = "loom 1\nbattery, 70 Ah\nfuse F1, 30 A\nswitch S1 \"heater\", 30 A\n"
                             "wire W1 from battery:+ to F1, 10 mm2 red, 0.15 m\n"
                             "wire W2 from F1 to S1, 10 mm2 red, 1 m\nwire W3 from S1 to E1, 1.5 mm2 red, 4 m\n"
                             "wire W4 from E1 to ground, 6 mm2 black, 0.3 m\nload E1 \"heater\", 20 A\n";
    const support::Run run(text);
    std::set<std::string> sizes;
    std::size_t asked = 0;
    const auto look = [&](const auto& self, const std::vector<Finding>& findings) -> void {
        for (const Finding& f : findings) {
            for (const Remedy& cure : f.cures)
                if (cure.size && cure.size->wire == "W3") {
                    ++asked;
                    sizes.insert(cure.size->words);
                    CHECK(cure.text.find(cure.size->words) != std::string::npos);
                }
            self(self, f.consequences);
        }
    };
    look(look, run.outcome.findings);
    CAPTURE(run.said());
    CHECK(asked >= 2);
    CHECK(sizes == std::set<std::string>{"4 mm2"});
}
