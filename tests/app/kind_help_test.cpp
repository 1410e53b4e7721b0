// help KIND: what to type about every part. Each line shown is read as it stands, by the reader itself.
#include "app/process.hpp"

#include "circuit/examples.hpp"
#include "circuit/read.hpp"
#include "support/text.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

namespace loomproof::tests {

namespace {

std::string problems_of(const std::string& text) {
    Sources sources;
    std::string out;
    for (const Finding& f : read_circuit(sources, "example.loom", [&](const std::string& path) {
                                return Result<std::string>(path == "example.loom" ? text : "loom 1\n");
                            }).findings)
        out += f.headline + '\n';
    return out;
}

} // namespace

TEST_CASE("the example lines of every kind of part are read without a question, as a part of that kind") {
    for (const KindSpec& kind : kind_table()) {
        if (kind.keyword == nullptr) continue;
        CAPTURE(kind.keyword);
        const std::string text = "loom 1\n" + std::string(kind.example) + '\n';
        CHECK(problems_of(text) == "");
        Sources sources;
        const Reading reading = read_circuit_text(sources, "example.loom", text);
        CHECK(std::ranges::any_of(reading.circuit.parts, [&](const Part& p) { return p.kind == kind.kind; }));
    }
}

TEST_CASE("what may be said about a part is shown as it may be typed: no gap of a pattern is left") {
    for (const KindSpec& kind : kind_table())
        for (const AttrSpec& a : kind.attributes) {
            CAPTURE(as_typed(a));
            if (*a.meaning != '\0') CHECK(as_typed(a).find('{') == std::string::npos);
        }
}

TEST_CASE("the example lines of wires, jobs and all other statements are read without a question") {
    for (const StatementExample& s : statement_examples()) {
        CAPTURE(s.words);
        CHECK(problems_of(std::string("loom 1\n") + s.before + s.line + '\n') == "");
    }
}

TEST_CASE("help knows every part by its name, its title and whatever else it is called, and says what to type") {
    const Bench bench("help-kinds");
    for (const KindSpec& kind : kind_table()) {
        if (kind.keyword == nullptr) continue;
        std::vector<std::string> words{kind.keyword};
        for (std::string_view also = kind.also; !also.empty();) {
            const std::size_t end = std::min(also.find(' '), also.size());
            if (also.substr(0, end) != "plug") words.emplace_back(also.substr(0, end)); // a command
            also.remove_prefix(std::min(end + 1, also.size()));
        }
        for (const std::string& word : words) {
            CAPTURE(word);
            const Ended ended = run(bench, {"help", word});
            CHECK(ended.status == 0);
            const std::string_view example = kind.example;
            CHECK(has(ended.out, "What to type:\n\n    " + std::string(example.substr(0, example.find('\n')))));
        }
    }
    const std::string relay = run(bench, {"help", "relays"}).out;
    CHECK(has(relay, "A switch that another current works")); // the word's meaning stands first
    CHECK(has(relay, "K1:87   joined to the fed side while it is pulled in"));
    CHECK(has(run(bench, {"help", "fusible", "link"}).out, "link F9, 16 sae, 0.2 m"));
    CHECK(has(run(bench, {"help", "wire"}).out, "wire from F1 to K1:30, 2.5 mm2 red, 1.2 m"));
    CHECK(has(run(bench, {"help", "pressure", "switch"}).out, "switch S1 \"dash switch\""));
    CHECK(has(run(bench, {"explain", "compressor"}).out, "winch, wiper"));
    CHECK(has(run(bench, {"help", "moter"}).err, "the nearest is motor"));
    CHECK_FALSE(has(run(bench, {"help", "existing", "wire"}).out, "fused")); // what is inside a part has no wire
}

TEST_CASE("help finds what may be said within a line, and what people call the things that begin has a form for") {
    const Bench bench("help-said");
    for (const KindSpec& kind : kind_table()) {
        if (kind.keyword == nullptr) continue;
        for (const AttrSpec& a : kind.attributes) {
            const std::string_view pattern = a.pattern;
            const std::string_view word = pattern.substr(0, pattern.find(' '));
            if (word.size() < 4 || *a.meaning == '\0' ||
                !std::ranges::all_of(word, [](char ch) { return ch >= 'a' && ch <= 'z'; }))
                continue;
            CAPTURE(word);
            CHECK(run(bench, {"help", std::string(word)}).status == 0);
        }
    }
    CHECK(has(run(bench, {"help", "existing"}).out, "existing wire T1"));
    CHECK(has(run(bench, {"help", "live", "when"}).out, "existing wire ..., live when \""));
    for (const char* word : {"inverter", "fridge", "Wechselrichter", "Zusatzscheinwerfer"}) {
        CAPTURE(word);
        CHECK(run(bench, {"help", word}).status == 0);
    }
    CHECK(run(bench, {"help", "77"}).status == 2); // no number of a form
}

} // namespace loomproof::tests
