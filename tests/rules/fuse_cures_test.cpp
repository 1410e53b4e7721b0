// A cure that names a fuse for a place must not make it worse: with that fuse in, nothing new of the same weight or more is found.
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

struct Proposed {
    std::string fuse, rating;
};

/// "Put a 15 A fuse in F1.": what only holds under a condition that nobody knows is no proposal.
std::optional<Proposed> proposed(const std::string& cure) {
    static const std::regex words(R"(^Put an? ([0-9.]+ A) fuse(?: of the large size)? in ([A-Za-z0-9_-]+)[.:;])");
    std::smatch found;
    if (!std::regex_search(cure, found, words)) return std::nullopt;
    return Proposed{found[2], found[1]};
}

/// The text with that fuse's rating changed in the last line that says it; the text itself where none does.
std::string with_fuse(const std::string& text, const Proposed& p) {
    const std::regex line("(^|\n)( *fuse " + p.fuse + "\\b[^\n]*?, )[0-9.]+ A");
    std::smatch found;
    std::string before, rest = text;
    std::string out = text;
    while (std::regex_search(rest, found, line)) {
        before += found.prefix().str() + found[1].str();
        out = before + found[2].str() + p.rating + found.suffix().str();
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

void collect(const std::vector<Finding>& findings, std::vector<std::pair<Proposed, Severity>>& out) {
    for (const Finding& f : findings) {
        for (const auto& cure : f.cures)
            if (const auto p = proposed(cure.text)) out.emplace_back(*p, f.severity);
        collect(f.consequences, out);
    }
}

} // namespace

TEST_CASE("a fuse that a cure names leads to nothing new of the same weight") {
    int tried = 0;
    for (const auto& here : cases::folders_in(support::source_path("tests/cases"))) {
        for (const auto& file : cases::files_in(here, ".loom")) {
            const std::string name = here.filename().string() + "/" + file.filename().string();
            if (!file.stem().string().starts_with("bad")) continue;
            const std::string text = support::read_file(file);
            const support::Run before(text);
            std::vector<std::pair<Proposed, Severity>> all;
            collect(before.outcome.findings, all);
            if (all.empty()) continue;
            std::set<Told> known;
            for (const auto& [what, severity] : told(before)) known.insert(what);
            for (const auto& [p, weight] : all) {
                const std::string mended = with_fuse(text, p);
                CAPTURE(name);
                CAPTURE(p.fuse);
                CAPTURE(p.rating);
                REQUIRE(mended != text);
                const support::Run after(mended);
                for (const auto& [what, severity] : told(after)) {
                    CAPTURE(what.first);
                    CAPTURE(what.second);
                    CHECK((severity > weight || known.contains(what)));
                }
                ++tried;
            }
        }
    }
    CHECK(tried >= 5);
}

TEST_CASE("a larger fuse is not proposed past a contact that is made for less") {
    const auto cures = [](const std::string& contact) {
        const support::Run run("loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nswitch S1, " + contact +
                               "\nheater E1, 19 A\nwire from battery:+ to F1, 10 mm2 red, 0.1 m\n"
                               "wire from F1 to S1, 10 mm2 red, 1 m\nwire from S1 to E1, 10 mm2 red, 1 m\n"
                               "wire from E1 to ground, 10 mm2 black, 0.3 m\n");
        std::vector<std::pair<Proposed, Severity>> all;
        collect(run.outcome.findings, all);
        return all.size();
    };
    CHECK(cures("20 A") == 0);
    CHECK(cures("40 A") == 1);
}
