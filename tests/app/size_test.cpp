#include "app/process.hpp"

#include "support/places.hpp"
#include "support/stored.hpp"

#include <algorithm>
#include <filesystem>
#include <regex>

#include <doctest/doctest.h>

namespace loomproof::tests {

TEST_CASE("size without a file says wire, fuse, arithmetic and where tables disagree") {
    const Bench bench("size");
    const std::vector<std::string> words{"size", "120", "W", "at", "13.8", "V,", "3", "m", "--all"};
    const Ended ended = run(bench, words);
    CHECK(ended.status == 0);
    support::check_stored("tests/app/expected/size-words.txt", transcript(words, ended));
    CHECK(run(bench, {"size", "120 W at 13.8 V, 3 m", "--all"}).out == ended.out);
    CHECK(run(bench, {"size", "120 W at 13.8 V, 3 m, how"}).out == ended.out);
    CHECK(bench.files().empty());
}

TEST_CASE("size answers in short first; a table that would choose otherwise is not left out") {
    const Bench bench("size-short");
    const std::vector<std::string> words{"size", "200", "W,", "4", "m"};
    const Ended ended = run(bench, words);
    support::check_stored("tests/app/expected/size-short.txt", transcript(words, ended));
    CHECK(ended.out.find("--all") != std::string::npos);
    CHECK(ended.out.find("How it comes about\n") == std::string::npos);
    CHECK(std::count(ended.out.begin(), ended.out.end(), '\n') <= 20);
    // FAA AC 43.13-1B table 11-9 allows 14 AWG 10 A in a bundle: enough for 8.7 A, not for 30 A on 10 AWG (17 A).
    CHECK(run(bench, {"size", "120 W at 13.8 V, 3 m"}).out.find("table 11-9") == std::string::npos);
    CHECK(run(bench, {"size", "30 A, 0.5 m"}).out.find("table 11-9") != std::string::npos);
}

TEST_CASE("several alike are taken together, and it says so") {
    const Bench bench("size-several");
    const auto short_of = [&](const char* words) { return run(bench, {"size", words}); };
    for (const char* words : {"two lamps 55W 12v 3m", "2 x 55 W 3 m", "2x55w 3m", "2 \xc3\x97 55 W, 3 m",
                              "two 55w lamps 3m", "2 lamps 55w 3m", "3 m 2x55 W", "pair of lamps, 55 W each, 3 m",
                              "zwei Lampen 55 W 3 m", "2 55W lamps 3 m", "2*55w 3m"}) {
        CAPTURE(words);
        const Ended ended = short_of(words);
        CHECK_MESSAGE(ended.status == 0, ended.err);
        CHECK(ended.out.find("2 x 55 W are 110 W") != std::string::npos);
        const std::string sizes = ended.out.substr(ended.out.find("  wire "), 50);
        CHECK(short_of("110 W, 3 m").out.find(sizes.substr(0, sizes.find('\n'))) != std::string::npos);
    }
    CHECK(short_of("two lamps 55 W 3 m").out.find("leave the count out") != std::string::npos);
    CHECK(short_of("2 x 55 W 3 m").out.find("leave the count out") == std::string::npos);
    for (const char* words : {"9 A 2 m", "2 m 9 A", "12 V 9 A 2 m", "5 A, 2 m"}) // a figure counts nothing
        CHECK(short_of(words).out.find("together. ") == std::string::npos);
    for (const char* words : {"both lamps 110 W 3 m", "55 W each 3 m", "2 x 3 m 55 W"}) {
        CAPTURE(words);
        const Ended ended = short_of(words);
        CHECK(ended.status == 2);
        CHECK(ended.err.find("ype ") != std::string::npos);
    }
}

TEST_CASE("size says what it did not understand") {
    const Bench bench("size-unclear");
    const Ended ended = run(bench, {"size", "2,5 A,", "3 m"});
    CHECK(ended.status == 2);
    CHECK(ended.out.empty());
    CHECK(ended.err == "loomproof: Decimals take a point here, since a comma ends what is said before it. Type it like "
                       "this: 2.5 A, 3 m\n");
    CHECK(run(bench, {"size", "110", "w", "2,5", "m"}).err.ends_with("this: 110 w 2.5 m\n"));
    CHECK(run(bench, {"size", "55 W, 0,1m"}).err.ends_with("this: 55 W, 0.1 m\n"));
    CHECK(run(bench, {"size"}).status == 2);
}

namespace {

const char* const too_thin = "loom 1\n"
                             "battery, 60 Ah\n"
                             "fuse F1 \"bar\",  10 A // as found\n"
                             "switch S1, 20 A\n"
                             "led E1, 120 W\n"
                             "wire from battery:+ to F1,  2.5 mm2 red, 0.1 m\n"
                             "wire W2 from F1 to S1, 1mm2 red, 2 m, in engine-bay   // the old wire\n"
                             "wire W3 from S1 to E1:+, red, 3 m\n"
                             "wire W4 from E1:- to ground, 14 AWG black, 1 m\n";

std::string with_thin_wires(const std::string& text) {
    return std::regex_replace(text, std::regex(", +[0-9.]+ mm2 "), ", 0.5 mm2 ");
}

} // namespace

TEST_CASE("size FILE says which wires and fuses do not do, and --write changes their figures and nothing else") {
    const Bench bench("size-file");
    bench.write("bar.loom", too_thin);
    const Ended ended = run(bench, {"size", "bar.loom"});
    CHECK(ended.status == 0);
    CHECK(bench.read("bar.loom") == too_thin);
    support::check_stored("tests/app/expected/size-file.txt", transcript({"size", "bar.loom"}, ended));
    CHECK(run(bench, {"size", "bar.loom", "--write"}).status == 0);
    std::string expected = too_thin;
    const auto change = [&](const std::string& from, const std::string& to) {
        expected.replace(expected.find(from), from.size(), to);
    };
    change("10 A // as found", "15 A // as found");
    change("1mm2 red, 2 m", "2.5 mm2 red, 2 m");
    change("to E1:+, red", "to E1:+, 2.5 mm2, red");
    CHECK(bench.read("bar.loom") == expected);
    CHECK(run(bench, {"check", "bar.loom", "--threshold", "advice"}).status == 0);
    CHECK(run(bench, {"size", "bar.loom"}).out.find("Nothing in the file has to change.") != std::string::npos);
}

TEST_CASE("what is clean stays as it is; what was made too thin all over is mended by one run of size --write") {
    const Bench bench("size-forms");
    int thinned = 0;
    for (const auto& entry : std::filesystem::directory_iterator(support::source_path("tests/begin/expected"))) {
        if (entry.path().extension() != ".loom") continue;
        const std::string name = entry.path().filename().string();
        CAPTURE(name);
        const std::string text = support::read_file(entry.path());
        bench.write(name, text);
        CHECK(run(bench, {"size", name, "--write"}).status == 0);
        CHECK(bench.read(name) == text);
        bench.write(name, with_thin_wires(text));
        CHECK(bench.read(name) != text);
        CHECK(run(bench, {"check", name, "--threshold", "advice"}).status == 1);
        CHECK(run(bench, {"size", name, "--write"}).status == 0);
        const Ended checked = run(bench, {"check", name, "--threshold", "advice"});
        CHECK_MESSAGE(checked.status == 0, checked.out);
        ++thinned;
    }
    CHECK(thinned == 11);
}

namespace {

bool has_fuse_danger(const std::string& checked) {
    static const std::regex headline("(^|\n)DANGER[^\n]*fuse-above-wire");
    return std::regex_search(checked, headline);
}

} // namespace

TEST_CASE("what size --write wrote has no fuse above a wire, or size says that danger stays") {
    const Bench bench("size-fuse-above-wire");
    int mended = 0, left = 0;
    for (const auto& entry : std::filesystem::directory_iterator(support::source_path("tests/cases/fuse-above-wire"))) {
        const std::string name = entry.path().filename().string();
        if (!name.starts_with("bad")) continue;
        CAPTURE(name);
        bench.write(name, support::read_file(entry.path()));
        const bool before = has_fuse_danger(run(bench, {"check", name}).out);
        const Ended sized = run(bench, {"size", name, "--write"});
        const bool after = has_fuse_danger(run(bench, {"check", name}).out);
        const bool said = sized.out.find("Still dangerous with that") != std::string::npos;
        CHECK(after == said);
        CHECK(sized.status == (said || sized.out.find("Mend these first") != std::string::npos ? 1 : 0));
        mended += before && !after;
        left += after;
    }
    CHECK(mended >= 4);
    CHECK(left == 1); // bad-load-added: the thin wire is the maker's, and only what came with a job is sized
}

TEST_CASE("a wire behind a fuse that the file cannot change must suit that fuse") {
    const Bench bench("size-undrawn-fuse");
    const auto trigger = [&](const std::string& behind) {
        bench.write("trigger.loom",
                    "loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nrelay K1, 4-pin, mini, 40 A\nled E1, 120 W\n"
                    "existing wire T1 \"main beam\", blue, live when \"main beam on\"" +
                        behind +
                        "\nwire from battery:+ to F1, 4 mm2 red, 0.1 m\n"
                        "wire from F1 to K1:30, 4 mm2 red, 1 m\nwire from K1:87 to E1:+, 4 mm2 red, 1 m\n"
                        "wire from E1:- to ground, 4 mm2 black, 0.5 m\n"
                        "wire from T1 to K1:86, 0.35 mm2 blue, 1 m\n"
                        "wire from K1:85 to ground, 0.5 mm2 black, 0.3 m\n");
        return run(bench, {"size", "trigger.loom", "--write"});
    };
    // 33 CFR 183.425 Table 5, 105 degC: 14 AWG carries 35 A, 16 AWG 25 A.
    const Ended large = trigger(", behind 30 A");
    CHECK(large.out.find("0.35 mm2 -> 2.5 mm2") != std::string::npos);
    CHECK(large.out.find("fuse of its own") != std::string::npos);
    CHECK(bench.read("trigger.loom").find("T1 to K1:86, 2.5 mm2 blue") != std::string::npos);
    CHECK(!has_fuse_danger(run(bench, {"check", "trigger.loom"}).out));
    CHECK(trigger(", behind 7.5 A").out.find("Nothing in the file has to change") != std::string::npos);
    const Ended unknown = trigger("");
    CHECK(unknown.out.find("is not said") != std::string::npos);
    CHECK(unknown.out.find("1 A that its fuse") == std::string::npos);
}

TEST_CASE(
    "nothing is sized while something else is wrong with the circuit; other files and standard input are not changed") {
    const Bench bench("size-wrong");
    std::string wrong = too_thin;
    wrong.replace(wrong.find("to F1,  2.5 mm2 red, 0.1 m"), 26, "to F1,  2.5 mm2 red, 0.9 m");
    bench.write("wrong.loom", wrong);
    const Ended ended = run(bench, {"size", "wrong.loom", "--write"});
    CHECK(ended.status == 1);
    CHECK(ended.out.find("Mend these first") != std::string::npos);
    CHECK(bench.read("wrong.loom") == wrong);
    CHECK(run(bench, Run{{"size", "-", "--write"}, too_thin}).status == 2);
    CHECK(run(bench, Run{{"size", "-"}, too_thin}).status == 0);
    CHECK(run(bench, {"size", "wrong.loom", "--job", "Z"}).err ==
          "loomproof: No job is called Z; this file has none.\n");
    CHECK(run(bench, {"size", "nothing.loom"}).status == 2);
    CHECK(run(bench, {"size", "9 A, 3 m", "--write"}).status == 2);
    bench.write("parts.loom",
                "loom 1\nfuse F1, 10 A\nswitch S1, 20 A\nled E1, 120 W\nwire W2 from F1 to S1, 1 mm2 red, 2 m\n");
    bench.write("main.loom",
                "loom 1\nuse \"parts.loom\"\nbattery, 60 Ah\nwire from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
                "wire W3 from S1 to E1:+, 1 mm2 red, 3 m\nwire W4 from E1:- to ground, 2.5 mm2 black, 1 m\n");
    const std::string parts = bench.read("parts.loom");
    const Ended used = run(bench, {"size", "main.loom", "--write"});
    CHECK(used.out.find("Not changed by --write") != std::string::npos);
    CHECK(bench.read("parts.loom") == parts);
    CHECK(bench.read("main.loom").find("W3 from S1 to E1:+, 4 mm2 red") != std::string::npos);
}

} // namespace loomproof::tests
