// Each rule against its cases, tests/cases/<rule>/: bad*.loom with exactly the findings that are marked, good.loom and
// silent-*.loom with none but marked notes, and the whole text of a check of bad*.loom as stored.
#include "rules/case_file.hpp"

#include "app/process.hpp"
#include "rules/rule.hpp"
#include "support/places.hpp"
#include "support/stored.hpp"

#include <algorithm>
#include <regex>
#include <string>

#include <doctest/doctest.h>

using namespace loomproof;
using cases::Checking;

namespace {

const std::filesystem::path& folder() {
    static const std::filesystem::path path = support::source_path("tests/cases");
    return path;
}

bool starts_with(const std::filesystem::path& file, const char* word) { return file.stem().string().starts_with(word); }

std::string text_of(const std::set<cases::Mark>& marks) {
    std::string text;
    for (const auto& [id, line] : marks) text += id + " in line " + std::to_string(line) + "\n";
    return text;
}

/// Findings that count, where only notes are allowed.
bool only_notes(const std::set<cases::Mark>& marks) {
    for (const auto& [id, line] : marks) {
        const rules::Rule* rule = rules::find_rule(id);
        if (!rule || rule->worst != Severity::note) return false;
    }
    return true;
}

/// What `check --all` prints; how many checks there are is left open, as each new rule changes it.
std::string page_of(const std::string& name, const std::string& text) {
    const tests::Bench bench("cases");
    bench.write(name, text);
    const tests::Ended ended = tests::run(bench, {"check", "--all", name});
    CHECK(ended.err == "");
    CHECK((ended.status == 0 || ended.status == 1));
    return std::regex_replace(ended.out, std::regex("in [0-9]+ of [0-9]+ checks"), "in n of m checks");
}

} // namespace

TEST_CASE("marks are read from the ends of lines") {
    const auto marks = cases::marks_in("a //! one\nb // two\nc //! three, four\n");
    CHECK(marks == std::set<cases::Mark>{{"one", 1}, {"three", 3}, {"four", 3}});
}

TEST_CASE("a changed line counts once, and marks do not count") {
    CHECK(cases::lines_that_differ("a\nb\n", "a\nb //! one\n") == 0);
    CHECK(cases::lines_that_differ("a\nb\nc\n", "a\nx\nc\n") == 1);
    CHECK(cases::lines_that_differ("a\nc\n", "a\nb\nc\nd\n") == 2);
}

TEST_CASE("each rule has a bad case with its finding, and a good twin that differs in at most two lines") {
    for (const rules::Rule* rule : rules::table()) {
        CAPTURE(rule->id);
        const auto here = folder() / rule->id;
        REQUIRE(exists(here / "bad.loom"));
        REQUIRE(exists(here / "good.loom"));
        const std::string bad = support::read_file(here / "bad.loom"), good = support::read_file(here / "good.loom");
        CHECK(text_of(cases::marks_in(bad)).find(rule->id) != std::string::npos);
        CHECK(cases::lines_that_differ(bad, good) <= 2);
        bool silent = false;
        for (const auto& file : cases::files_in(here, ".loom")) silent = silent || starts_with(file, "silent-");
        CHECK_MESSAGE(silent, "no silent-*.loom: what looks like it and must be left alone");
    }
}

TEST_CASE("no folder of cases belongs to a rule that does not exist") {
    for (const auto& here : cases::folders_in(folder())) {
        CAPTURE(here.filename().string());
        const std::string id = here.filename().string();
        CHECK((id == "real" || rules::find_rule(id)));
    }
}

TEST_CASE("bad cases give exactly what is marked; good and silent ones nothing but marked notes") {
    for (const rules::Rule* rule : rules::table()) {
        for (const auto& file : cases::files_in(folder() / rule->id, ".loom")) {
            const std::string name = std::string(rule->id) + "/" + file.filename().string();
            CAPTURE(name);
            const std::string text = support::read_file(file);
            const auto marks = cases::marks_in(text);
            const Checking checking(file.filename().string(), text);
            INFO(checking.said());
            CHECK(text_of(checking.found()) == text_of(marks));
            const bool bad = starts_with(file, "bad");
            CHECK((bad || starts_with(file, "good") || starts_with(file, "silent-")));
            if (bad)
                CHECK_FALSE(marks.empty());
            else
                CHECK(only_notes(marks));
        }
    }
}

TEST_CASE("what a check prints for each bad case is as stored") {
    for (const rules::Rule* rule : rules::table()) {
        for (const auto& file : cases::files_in(folder() / rule->id, ".loom")) {
            if (!starts_with(file, "bad")) continue;
            const std::string stored = "expected" + file.stem().string().substr(3) + ".txt";
            support::check_stored("tests/cases/" + std::string(rule->id) + "/" + stored,
                                  page_of(file.filename().string(), support::read_file(file)));
        }
    }
}

TEST_CASE("cures are printed with an or between them, so none begins with one") {
    for (const rules::Rule* rule : rules::table())
        for (const auto& file : cases::files_in(folder() / rule->id, ".txt")) {
            CAPTURE(file.string());
            CHECK(support::read_file(file).find(" or Or ") == std::string::npos);
        }
}

TEST_CASE("each stored output belongs to a bad case") {
    for (const rules::Rule* rule : rules::table())
        for (const auto& file : cases::files_in(folder() / rule->id, ".txt")) {
            CAPTURE(file.string());
            REQUIRE(starts_with(file, "expected"));
            CHECK(exists(file.parent_path() / ("bad" + file.stem().string().substr(8) + ".loom")));
        }
}

TEST_CASE("what strangers described in public gives what experienced people found there") {
    for (const auto& here : cases::folders_in(folder() / "real")) {
        for (const auto& file : cases::files_in(here, ".loom")) {
            const std::string name = here.filename().string() + "/" + file.filename().string();
            CAPTURE(name);
            const std::string text = support::read_file(file);
            const Checking checking(file.filename().string(), text);
            INFO(checking.said());
            CHECK(text_of(checking.found()) == text_of(cases::marks_in(text)));
        }
    }
}

TEST_CASE("the change of the text that a finding proposes makes an end of that finding") {
    for (const rules::Rule* rule : rules::table()) {
        for (const auto& file : cases::files_in(folder() / rule->id, ".loom")) {
            if (!starts_with(file, "bad")) continue;
            const std::string name = std::string(rule->id) + "/" + file.filename().string();
            CAPTURE(name);
            const Checking before(file.filename().string(), support::read_file(file));
            for (const std::string& text : before.mended(rule->id)) {
                CAPTURE(text);
                const Checking after(file.filename().string(), text);
                INFO(after.said());
                CHECK(after.count(rule->id) < before.count(rule->id));
                for (const auto& [id, line] : after.found()) CHECK_FALSE(id.starts_with("text-"));
            }
        }
    }
}
