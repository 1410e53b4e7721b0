// Cures are done to the letter, where they can be typed: the finding is gone then, and nothing as bad has come.
#include "rules/case_file.hpp"
#include "rules/typed_cures.hpp"

#include "app/process.hpp"
#include "support/places.hpp"
#include "support/stored.hpp"

#include <algorithm>
#include <map>
#include <regex>
#include <set>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;

namespace {

using Told = std::pair<std::string, std::string>; // rule and what it is about

Told told(const Finding& f) { return {f.rule, f.subjects.empty() ? "" : f.subjects.front()}; }

/// Each finding with those that come of it.
void each(const std::vector<Finding>& findings, std::vector<const Finding*>& out) {
    for (const Finding& f : findings) {
        out.push_back(&f);
        each(f.consequences, out);
    }
}

std::vector<const Finding*> all_of(const support::Run& run) {
    std::vector<const Finding*> out;
    each(run.outcome.findings, out);
    return out;
}

/// How many there are of the same rule about the same thing, as bad or worse.
std::size_t as_bad(const support::Run& run, const Finding& f) {
    const std::vector<const Finding*> all = all_of(run);
    return static_cast<std::size_t>(
        std::ranges::count_if(all, [&](const Finding* g) { return told(*g) == told(f) && g->severity <= f.severity; }));
}

} // namespace

TEST_CASE("a cure that can be typed makes an end of its finding, and leads to nothing new of the same weight") {
    std::map<std::string, int> tried;
    for (const auto& here : cases::folders_in(support::source_path("tests/cases"))) {
        for (const auto& file : cases::files_in(here, ".loom")) {
            const std::string name = here.filename().string() + "/" + file.filename().string();
            if (!file.stem().string().starts_with("bad")) continue;
            CAPTURE(name);
            const std::string text = support::read_file(file);
            const support::Run before(text);
            std::set<Told> known;
            for (const Finding* f : all_of(before)) known.insert(told(*f));
            std::set<std::string> open; // a figure that the cure gives may decide what was not checked before
            for (const rules::NotChecked& n : before.outcome.not_checked) open.insert(n.rule);
            for (const Finding* f : all_of(before)) {
                for (const Remedy& cure : f->cures) {
                    CAPTURE(f->headline);
                    CAPTURE(cure.text);
                    std::optional<cases::Typed> mended;
                    try {
                        mended = cases::typed(before, text, *f, cure.text);
                    } catch (const std::exception& wrong) { FAIL_CHECK(std::string(wrong.what())); }
                    if (!mended) continue;
                    ++tried[mended->sort];
                    CHECK(mended->text != text);
                    const support::Run after(mended->text);
                    INFO(after.said());
                    CHECK(after.reading.findings.size() <= before.reading.findings.size());
                    if (mended->ends_it) CHECK(as_bad(after, *f) < as_bad(before, *f));
                    for (const Finding* g : all_of(after)) {
                        CAPTURE(g->rule);
                        CAPTURE(g->headline);
                        CHECK((g->severity > f->severity || known.contains(told(*g)) || open.contains(g->rule)));
                    }
                }
            }
        }
    }
    for (const std::string& sort : cases::sorts_of_cures()) CHECK_MESSAGE(tried[sort] > 0, "never tried: " << sort);
}

TEST_CASE("a command that a cure names can be run as it stands there") {
    static const std::regex command(R"(loomproof ((?:trace|predict|help|explain) .*?)(?=[;),]|[.:](?: |$)|$))");
    static const std::regex word(R"('([^']*)'|(\S+))");
    std::set<std::string> verbs;
    for (const auto& here : cases::folders_in(support::source_path("tests/cases"))) {
        for (const auto& file : cases::files_in(here, ".loom")) {
            if (!file.stem().string().starts_with("bad")) continue;
            const std::string text = support::read_file(file);
            const support::Run checked(text);
            for (const Finding* f : all_of(checked))
                for (const Remedy& cure : f->cures)
                    for (std::sregex_iterator c(cure.text.begin(), cure.text.end(), command), end; c != end; ++c) {
                        const std::string line = (*c)[1];
                        CAPTURE(file.string());
                        CAPTURE(line);
                        const tests::Bench bench("commands-of-cures");
                        bench.write("a.loom", text);
                        std::vector<std::string> words;
                        for (std::sregex_iterator w(line.begin(), line.end(), word); w != end; ++w) {
                            const std::string one = (*w)[1].matched ? (*w)[1] : (*w)[2];
                            words.push_back(one == "FILE" ? "a.loom" : one);
                        }
                        const tests::Ended ended = tests::run(bench, words);
                        CHECK(ended.status == 0);
                        CHECK(ended.err == "");
                        CHECK(ended.out != "");
                        verbs.insert(words.front());
                    }
        }
    }
    CHECK(verbs == std::set<std::string>{"help", "predict", "trace"});
}
