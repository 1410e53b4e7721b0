#include "app/process.hpp"

#include "app/command.hpp"
#include "base/number.hpp"
#include "base/version.hpp"
#include "support/stored.hpp"

#include <doctest/doctest.h>

#include <fmt/core.h>

namespace loomproof::tests {

namespace {
void check_transcript(const Bench& bench, const std::string& name, const std::vector<std::string>& words) {
    support::check_stored(fmt::format("tests/app/expected/{}.txt", name), transcript(words, run(bench, words)));
}

std::string all_commands() {
    std::vector<std::string> names;
    for (const app::Command& c : app::commands()) names.emplace_back(c.name);
    return list_of(names);
}
} // namespace

TEST_CASE("Help texts are stored whole") {
    const Bench bench("help");
    check_transcript(bench, "alone", {});
    check_transcript(bench, "help", {"--help"});
    for (const app::Command& c : app::commands())
        check_transcript(bench, fmt::format("help-{}", c.name), {c.name, "--help"});
}

TEST_CASE("Help is asked for with either spelling, anywhere behind the command, and names every option") {
    const Bench bench("help-anywhere");
    CHECK(run(bench, {"-h"}).out == run(bench, {"--help"}).out);
    CHECK(run(bench, {"check", "nothing.loom", "--all", "-h"}).out == run(bench, {"check", "--help"}).out);
    for (const app::Command& c : app::commands()) {
        const Ended help = run(bench, {c.name, "--help"});
        CHECK(help.status == 0);
        CHECK(help.err.empty());
        for (const app::Option& o : c.options) CHECK(help.out.find(o.name) != std::string::npos);
        for (std::size_t at = 0, end = 0; at < help.out.size(); at = end + 1) {
            end = help.out.find('\n', at);
            CHECK(end - at <= 80);
        }
    }
}

TEST_CASE("The version is the project's") {
    const Ended ended = run(Bench("version"), {"--version"});
    CHECK(ended.out == fmt::format("loomproof {}\n", version()));
    CHECK(ended.status == 0);
}

TEST_CASE("What cannot be understood names the nearest known word, on standard error, with exit status 2") {
    const Bench bench("unclear");
    const struct {
        std::vector<std::string> words;
        std::string expected;
    } rows[] = {
        {{"chekc", "a.loom"}, "There is no command \"chekc\"; the nearest is check. See loomproof --help."},
        {{"frobnicate"}, "There is no command \"frobnicate\"; there are " + all_commands() + ". See loomproof --help."},
        {{"a.loom"}, "To check a.loom: loomproof check a.loom. See loomproof --help."},
        {{"--frob"}, "loomproof has no option --frob. See loomproof --help."},
        {{"--verison"}, "loomproof has no option --verison; the nearest is --version. See loomproof --help."},
        {{"--all", "check", "a.loom"},
         "--all belongs behind its command: loomproof check FILE --all. See loomproof check --help."},
        {{"check"}, "check needs a FILE: the circuit file; - reads standard input. See loomproof check --help."},
        {{"check", "a.loom", "b.loom"},
         "check takes one FILE; \"b.loom\" is one too many. See loomproof check --help."},
        {{"check", "a.loom", "--", "b.loom"},
         "check takes one FILE; \"b.loom\" is one too many. See loomproof check --help."},
        {{"check", "a.loom", "--al"}, "check has no option --al; the nearest is --all. See loomproof check --help."},
        {{"check", "a.loom", "--treshold=note"},
         "check has no option --treshold; the nearest is --threshold. See loomproof check --help."},
        {{"check", "a.loom", "-x"}, "check has no option -x. See loomproof check --help."},
        {{"check", "a.loom", "--all=yes"}, "--all stands alone, without a value. See loomproof check --help."},
        {{"check", "a.loom", "--threshold"},
         "--threshold needs its SEVERITY behind it: danger, fault, advice or note. See loomproof check --help."},
        {{"check", "a.loom", "--threshold", "dangr"},
         "--threshold can be danger, fault, advice or note, not \"dangr\"; the nearest is danger. See loomproof check "
         "--help."},
        {{"check", "a.loom", "--threshold="},
         "--threshold needs its SEVERITY behind it: danger, fault, advice or note. See loomproof check --help."},
        {{"draw", "a.loom", "-o"}, "-o needs its FILE behind it. See loomproof draw --help."},
        {{"tidy", "a.loom", "--wirte"},
         "tidy has no option --wirte; the nearest is --write. See loomproof tidy --help."},
        {{"tidy", "a", "b"}, "tidy takes one FILE; \"b\" is one too many. See loomproof tidy --help."},
        {{"che\x1b[2Jck"},
         "There is no command \"che\xef\xbf\xbd[2Jck\"; there are " + all_commands() + ". See loomproof --help."},
    };
    for (const auto& row : rows) {
        CAPTURE(row.expected);
        const Ended ended = run(bench, row.words);
        CHECK(ended.err == fmt::format("loomproof: {}\n", row.expected));
        CHECK(ended.out.empty());
        CHECK(ended.status == 2);
    }
    CHECK(bench.files().empty());
}

TEST_CASE("Words behind -- are files even if they begin with a dash") {
    const Bench bench("dash");
    bench.write("-x", "loom 1\nbattery, 60 Ah\n");
    CHECK(run(bench, {"tidy", "--", "-x"}).out == "loom 1\nbattery, 60 Ah\n");
}

} // namespace loomproof::tests
