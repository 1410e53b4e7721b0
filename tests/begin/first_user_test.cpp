// The first hour: files that are half typed, typed on a phone, or typed in another script; and slips that must never pass silently.
#include "app/process.hpp"
#include "circuit/read.hpp"
#include "rules/case_file.hpp"
#include "support/places.hpp"
#include "support/sanitized.hpp"
#include "support/stored.hpp"
#include "support/text.hpp"

#include <algorithm>
#include <filesystem>
#include <regex>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;
using tests::Bench;
using tests::count;
using tests::Ended;

namespace {

/// The files that `begin` wrote for strangers, one of each form.
std::vector<std::string> first_files() {
    std::vector<std::filesystem::path> paths;
    for (const auto& entry : std::filesystem::directory_iterator(support::source_path("tests/begin/expected")))
        if (entry.path().extension() == ".loom") paths.push_back(entry.path());
    std::ranges::sort(paths);
    std::vector<std::string> out;
    for (const auto& path : paths) out.push_back(support::read_file(path));
    REQUIRE(out.size() == 11);
    return out;
}

std::string dump_of(const std::string& text) {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "a.loom", text);
    std::string out = dump(reading.circuit);
    if (const std::size_t at = out.find("you guessed:"); at != std::string::npos)
        out.erase(at, out.find('\n', at) - at); // it quotes the figures as they were typed
    for (const Finding& f : reading.findings) out += f.rule + ": " + f.headline + '\n';
    return out;
}

std::string replaced(std::string text, const std::string& what, const std::string& with) {
    for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; at += with.size())
        text.replace(at, what.size(), with);
    return text;
}

} // namespace

TEST_CASE("a half-typed file lists what is still to wire on one line, dangers come first, and no end that is still "
          "open is a fault") {
    const Bench bench("half-typed");
    std::size_t open = 0;
    for (const std::string& text : first_files()) {
        std::size_t lines = 0;
        for (std::size_t end = 0; (end = text.find('\n', end)) != std::string::npos; ++end) {
            if (++lines % (support::sanitized ? 9 : 3) != 0 || text.compare(0, 6, "loom 1") != 0) continue;
            std::string half = text.substr(0, end + 1);
            CAPTURE(half);
            bench.write("half.loom", half);
            const Ended ended = run(bench, {"check", "half.loom", "--all"});
            CHECK(ended.err == "");
            CHECK((ended.status == 0 || ended.status == 1 ||
                   (ended.status == 2 && ended.out.find("othing dangerous") == std::string::npos)));
            const std::size_t still =
                count(ended.out, "\nStill to wire ") + (ended.out.starts_with("Still to wire ") ? 1 : 0);
            CHECK(still <= 1);
            open += still;
            std::size_t worst = 0; // danger, fault, advice, note, in this order down the page
            for (std::size_t at = 0; at < ended.out.size();) {
                const std::size_t line_end = ended.out.find('\n', at);
                const std::string line = ended.out.substr(at, line_end - at);
                std::size_t here = 0;
                for (const char* word : {"MISTAKE ", "DANGER ", "FAULT ", "ADVICE ", "NOTE "}) {
                    ++here;
                    if (!line.starts_with(word)) continue;
                    CHECK(here >= worst);
                    worst = here;
                }
                at = line_end + 1;
            }
            for (const char* rule : {"ground-missing", "terminal-not-wired", "part-not-wired", "never-powered"})
                CHECK_MESSAGE(count(ended.out, std::string(" ") + rule + '\n') == 0, ended.out);
        }
    }
    CHECK(open > (support::sanitized ? 8 : 30));
}

TEST_CASE("a danger in a half-typed file stands before what is still to wire") {
    const Bench bench("half-danger");
    bench.write(
        "half.loom",
        "loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nrelay K1, 4-pin\nwire from battery:+ to F1, 2.5 mm2 red, 0.9 m\n");
    const std::string out = run(bench, {"check", "half.loom"}).out;
    CHECK(out.starts_with("DANGER"));
    CHECK(count(out, "Still to wire ") == 1);
    CHECK(out.find("DANGER") < out.find("Still to wire "));
}

TEST_CASE("a fuse whose line cannot be read makes no danger of the wires on it: they stand under Not checked") {
    const Bench bench("fuse-not-read");
    bench.write("a.loom",
                "loom 1\nbattery, 60 Ah\ninline fuse F1, 20 A\nlamp E1, 55 W\nwire from battery:+ to F1, 2.5 mm2 "
                "red, 0.1 m\nwire from F1 to E1, 2.5 mm2 red, 1 m\nwire from E1:- to ground, 2.5 mm2 black, 1 m\n");
    const std::string out = run(bench, {"check", "a.loom"}).out;
    CHECK(count(out, "MISTAKE ") == 1);
    CHECK(count(out, "DANGER ") == 0);
    CHECK_MESSAGE(count(out, "whether a fuse protects what goes over F1") == 1, out);
    // The wire before it is judged all the same.
    bench.write("b.loom", replaced(bench.read("a.loom"), "red, 0.1 m", "red, 0.9 m"));
    CHECK(count(run(bench, {"check", "b.loom"}).out, "unfused-feed") == 1);
}

TEST_CASE("a feed from the ignition and a lamp in a switch get the line as it should be typed") {
    const Bench bench("as-it-should-be");
    bench.write("a.loom", "loom 1\nignition feed T1, orange\nswitch S1 \"dash\" with lamp\nstereo A1, 5 A\n");
    const std::string out = run(bench, {"check", "a.loom"}).out;
    CHECK(count(out, "Type: existing wire T1 \"ignition feed\", live when \"ignition on\"") == 1);
    CHECK(count(out, "lamp H1 \"lamp in the switch\", 1.2 W") == 1);
    CHECK(count(out, "load A1 \"stereo\"") == 1);
}

TEST_CASE("what a phone makes of a file means the same") {
    for (const std::string& text : first_files()) {
        CAPTURE(text);
        const std::string meant = dump_of(text);
        REQUIRE(meant.find("text-") == std::string::npos);
        std::string phone = text;
        bool opens = true; // curly quotes, opening and closing
        std::string curly;
        for (const char ch : phone) {
            if (ch == '"') {
                curly += opens ? "\xe2\x80\x9c" : "\xe2\x80\x9d";
                opens = !opens;
            } else
                curly += ch;
        }
        CHECK(dump_of(curly) == meant);
        CHECK(dump_of(replaced(phone, " mm2", " mm\xc2\xb2")) == meant);
        CHECK(dump_of(replaced(phone, " mm2", "mm2")) == meant);
        CHECK(dump_of(std::regex_replace(phone, std::regex("([0-9]) (A|W|V|m|Ah)\\b"), "$1$2")) == meant);
        CHECK(dump_of(std::regex_replace(phone, std::regex("([0-9]) A\\b"), "$1 a")) == meant);
        CHECK(dump_of(replaced(phone, "4-pin", "4\xe2\x80\x93pin")) == meant);
        CHECK(dump_of(replaced(phone, ":-", ":\xe2\x88\x92")) == meant);
        CHECK(dump_of(replaced(phone, "\nwire from ", "\nWire From ")) == meant);
        CHECK(dump_of(replaced(phone, "\nfuse ", "\nFuse ")) == meant);
        CHECK(dump_of(replaced(phone, "\n", "\r\n")) == meant);
        CHECK(dump_of(std::regex_replace(phone, std::regex("( mm2 [a-z]+), +"), "$1 ,\xc2\xa0")) == meant);
    }
}

TEST_CASE("slips that could mean another wire are mistakes, each with a cure, and never pass") {
    const Bench bench("slips");
    const std::string good =
        "loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nlamp E1, 55 W\nwire from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
        "wire from F1 to E1, 2.5 mm2 red/white, 1.5 m\nwire from E1:- to ground, 2.5 mm2 black, 1 m\n";
    CHECK(cases::Checking("good.loom", good).found().empty());
    const std::pair<const char*, const char*> slips[] = {
        {"2.5 mm2 red/white", "2,5 mm2 red/white"},
        {"2.5 mm2 red/white", "2.5 mm red/white"},
        {"2.5 mm2 red/white", "2.5 red/white"},
        {"2.5 mm2 red/white", "14 gauge red/white"},
        {"2.5 mm2 red/white", "14 ga red/white"},
        {"2.5 mm2 red/white", "14 red/white"},
        {"2.5 mm2 red/white", "#14 red/white"},
        {"2.5 mm2 red/white", "2.4 mm2 red/white"},
        {"2.5 mm2 red/white", "2.5 mm2 R/W"},
        {"2.5 mm2 red/white", "2.5 mm2 R"},
        {"2.5 mm2 red/white", "2.5 mm2 rd/w"},
        {"2.5 mm2 red/white", "2.5 mm2 gr"},
        {"1.5 m\n", "1,5 m\n"},
        {"1.5 m\n", "1.5\n"},
        {"1.5 m\n", "1.5 M ohm\n"},
        {"20 A", "20"},
        {"20 A", "20 MA"},
        {"55 W", "55,5 W"},
        {"55 W", "55"},
        {"60 Ah", "60 A"},
        {"to F1,", "to Fl,"},
        {"from F1 to E1", "from F1 E1"},
        {"lamp E1", "lmap E1"},
        {"E1:- to", "E1 :to"},
    };
    for (const auto& [from, to] : slips) {
        std::string bad = good;
        bad.replace(bad.find(from), std::string(from).size(), to);
        CAPTURE(bad);
        bench.write("slip.loom", bad);
        const Ended ended = run(bench, {"check", "slip.loom"});
        CHECK(ended.status == 1);
        CHECK(ended.out.find("MISTAKE") != std::string::npos);
        CHECK((ended.out.find("  cure ") != std::string::npos ||
               ended.out.find("; it has ") != std::string::npos));               // what to type, or what there is
        CHECK(ended.out.find("\nNothing dangerous found") == std::string::npos); // never as if all had been looked at
    }
}

TEST_CASE("a slip in ground, and what else people call the body, get the line with ground; no name becomes a fuse") {
    const Bench bench("gruond");
    const std::string good =
        "loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nlamp E1, 55 W\nwire from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
        "wire from F1 to E1, 2.5 mm2 red, 1.5 m\nwire from E1:- to ground, 2.5 mm2 black, 1 m\n";
    const auto with = [&](const std::string& word) {
        std::string bad = good;
        bad.replace(bad.find("ground"), 6, word);
        bench.write("slip.loom", bad);
        const Ended ended = run(bench, {"check", "slip.loom"});
        CHECK(ended.status == 1);
        return ended.out;
    };
    for (const char* word : {"gruond", "groud", "gound", "chasis", "minus", "frame", "car"}) {
        const std::string out = with(word);
        CAPTURE(out);
        CHECK(out.find("cure     Type: wire from E1:- to ground, 2.5 mm2 black, 1 m") != std::string::npos);
    }
    for (const char* word : {"gruond", "minus", "radiator", "pump", "thing"})
        CHECK(with(word).find("such as: fuse") == std::string::npos);
    CHECK(with("F7").find("such as: fuse F7") != std::string::npos); // that is a fuse's name
}

TEST_CASE("a line that is offered does not hold the next mistake, and a command names the file that was checked") {
    const Bench bench("offered");
    bench.write("a b.loom", "loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nswitch S1\nlamp E1, 55 W\nlamp E2, 55 W\n"
                            "wire from battery:+ to F1, 4 red, 0,1 m\n");
    CHECK(run(bench, {"check", "a b.loom"}).out.find("F1, 4 mm2 red, 0.1 m") != std::string::npos);
    bench.write("a b.loom", "loom 1\nbattery, 60 Ah\nfuse F1, 15 A\nswitch S1, 16 A\nlamp E1, 55 W\nlamp E2, 55 W\n"
                            "wire from battery:+ to F1, 2.5 mm2 red, 0.1 m\nwire from F1 to S1, 2.5 mm2 red, 1 m\n"
                            "wire from S1 to E1, 2.5 mm2 red, 1 m\nwire from E1 to E2, 2.5 mm2 red, 1 m\n"
                            "wire from E2 to ground, 2.5 mm2 black, 0.5 m\nexpect E2 on when S1 on\n");
    const std::string out = run(bench, {"check", "--all", "a b.loom"}).out;
    CHECK_MESSAGE(std::regex_search(out, std::regex("loomproof trace\\s+\"a\\s+b.loom\"")), out);
}

TEST_CASE("names may be any word in any script") {
    const std::string text = first_files()[1];
    const std::string meant = dump_of(text);
    const char* const names[] = {"Hupe",
                                 "feu-gauche",
                                 "r\xc3\xa9lais",
                                 "\xd1\x84\xd0\xb0\xd1\x80\xd0\xb0",
                                 "\xe3\x83\xaa\xe3\x83\xac\xe3\x83\xbc",
                                 "\xce\xb3\xce\xad\xce\xbd\xcf\x89",
                                 "\xe0\xa4\xac\xe0\xa4\xa4\xe0\xa5\x8d\xe0\xa4\xa4\xe0\xa5\x80",
                                 "\xd7\xa0\xd7\x95\xd7\xa8",
                                 "\xd9\x85\xd8\xb5\xd8\xa8\xd8\xa7\xd8\xad",
                                 "x_9"};
    for (const char* name : names) {
        CAPTURE(name);
        const std::string renamed = std::regex_replace(text, std::regex("\\bF1\\b"), name);
        const std::string other = dump_of(renamed);
        CHECK(other.find("text-") == std::string::npos);
        CHECK(cases::Checking("named.loom", renamed).found() == cases::Checking("plain.loom", text).found());
        CHECK(std::count(other.begin(), other.end(), '\n') == std::count(meant.begin(), meant.end(), '\n'));
    }
}
