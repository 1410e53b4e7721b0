#include "app/process.hpp"

#include "support/stored.hpp"

#include <doctest/doctest.h>

#include <fmt/core.h>

namespace loomproof::tests {

namespace {

/// The stored text does not count the checks: each new rule would change every one.
std::string without_counts(std::string text) {
    for (const std::string_view before : {" found in ", " of ", " not checked: "}) {
        const std::size_t verdict = text.find(" dangerous found in ");
        if (verdict == std::string::npos) return text;
        const std::size_t at = text.find(before, verdict) + before.size();
        text.replace(at, text.find_first_not_of("0123456789", at) - at, "#");
    }
    return text;
}

Ended check_transcript(const Bench& bench, const std::string& name, const std::vector<std::string>& words) {
    const Ended ended = run(bench, words);
    support::check_stored(fmt::format("tests/app/expected/{}.txt", name), without_counts(transcript(words, ended)));
    return ended;
}

/// A light bar as a kit would have it, with the fuse at the wrong end of the feed.
const char* const light_bar = "loom 1\n"
                              "battery, 60 Ah\n"
                              "fuse F1, 20 A\n"
                              "relay K1, 4-pin, 40 A\n"
                              "led E1 \"light bar\", 120 W\n"
                              "existing wire T1 \"main beam, left lamp plug\", blue/white, live when \"main beam on\"\n"
                              "\n"
                              "wire from battery:+ to F1,   12 awg red,   0.8 m\n"
                              "wire from F1 to K1:30,       12 awg red,   about 2 m\n"
                              "wire from K1:87 to E1:+,     12 awg red,   about 1 m\n"
                              "wire from E1:- to ground,    12 awg black, about 0.5 m\n"
                              "wire from T1 to K1:86,       18 awg blue,  about 1 m\n"
                              "wire from K1:85 to ground,   18 awg black, about 0.3 m\n";

std::string mended() {
    std::string out = light_bar;
    out.replace(out.find("0.8 m"), 5, "0.1 m");
    return out;
}

} // namespace

TEST_CASE("A danger is found, and the smallest change that mends it makes the file pass") {
    const Bench bench("light-bar");
    bench.write("lightbar.loom", light_bar);
    CHECK(check_transcript(bench, "check-light-bar", {"check", "lightbar.loom"}).status == 1);
    bench.write("lightbar.loom", mended());
    CHECK(check_transcript(bench, "check-light-bar-mended", {"check", "lightbar.loom"}).status == 0);
    CHECK(bench.files() == std::vector<std::string>{"lightbar.loom"});
}

TEST_CASE("Mistakes in the text come first, hide nothing else, and make the exit status 1") {
    const Bench bench("mistakes");
    std::string text = light_bar;
    text.replace(text.find("K1:30"), 5, "K7:30");
    text.replace(text.find("about 0.5 m"), 11, "about 0,5 m");
    bench.write("lightbar.loom", text);
    CHECK(check_transcript(bench, "check-mistakes", {"check", "lightbar.loom"}).status == 1);
}

TEST_CASE("The threshold decides about the exit status alone") {
    const Bench bench("threshold");
    bench.write("danger.loom", light_bar);
    bench.write("clean.loom", mended());
    bench.write("mistake.loom", mended() + "lamp E7, 55\n");
    const auto status = [&](const char* file, const char* threshold) {
        return run(bench, {"check", file, "--threshold", threshold}).status;
    };
    for (const char* threshold : {"danger", "fault", "advice", "note"}) CHECK(status("danger.loom", threshold) == 1);
    CHECK(status("clean.loom", "fault") == 0);
    CHECK(status("mistake.loom", "fault") == 1);
    CHECK(status("mistake.loom", "danger") == 0);
    CHECK(run(bench, {"check", "danger.loom", "--threshold", "danger"}).out ==
          run(bench, {"check", "danger.loom"}).out);
}

TEST_CASE("A file that describes nothing is never passed") {
    const Bench bench("nothing");
    for (const char* text : {"", "\n\n", "// nothing yet\n", "loom 1\n",
                             "loom 1\nvehicle \"Ridgeback pickup, 1986\", partly described\n"}) {
        CAPTURE(text);
        bench.write("empty.loom", text);
        const Ended ended = run(bench, {"check", "empty.loom"});
        CAPTURE(ended.out);
        CHECK(ended.status != 0);
        CHECK(ended.out.find("othing dangerous found") == std::string::npos);
    }
}

TEST_CASE("The same file gives the same bytes every time") {
    const Bench bench("again");
    bench.write("lightbar.loom", light_bar);
    const Ended first = run(bench, {"check", "lightbar.loom", "--all"});
    for (int i = 0; i < 3; ++i) CHECK(run(bench, {"check", "lightbar.loom", "--all"}).out == first.out);
}

} // namespace loomproof::tests
