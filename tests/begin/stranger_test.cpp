// A stranger at the keyboard: from `begin` to a verdict and a picture, with each form, and what happens when he slips.
#include "app/process.hpp"
#include "begin/form.hpp"
#include "rules/case_file.hpp"
#include "support/places.hpp"
#include "support/sanitized.hpp"
#include "support/stored.hpp"

#include <algorithm>
#include <map>
#include <regex>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/core.h>

using namespace loomproof;
using tests::Bench;
using tests::Ended;
using tests::Run;

namespace {

using Lines = std::vector<std::string>;

const Lines jobs{"headlamp-relays", "driving-lights", "electric-fan", "two-fans", "horn",      "fuel-pump",
                 "second-battery",  "trailer-socket", "fuse-block",   "big-load", "fog-lights"};

begin::Form form_of(const std::string& job) {
    const auto text = [](const std::string& name) {
        return support::read_file(support::source_path("netlists/templates/" + name + ".form"));
    };
    const auto form = begin::read_form(job, text(job), text("common"));
    REQUIRE_MESSAGE(form, (form ? std::string{} : form.error()));
    return *form;
}

enum class Sold { metric, gauge, nobody_knows };

/// What the file is called with the answers below.
std::string file_of(const std::string& job) { return (job == "big-load" ? "air-compressor" : job) + ".loom"; }

/// What somebody with the job before him would answer.
Lines answers_for(const std::string& job, Sold sold) {
    const std::map<std::string, std::string> usual{{"battery", "60 Ah"},
                                                   {"load", job == "second-battery" || job == "fuse-block" ? "30 A"
                                                            : job == "big-load"                            ? "700 W"
                                                            : job == "driving-lights"                      ? "120 W"
                                                                                                           : "9 A"},
                                                   {"sold", sold == Sold::gauge ? "2" : "1"},
                                                   {"reach", "1.2 m"},
                                                   {"post", "0.15 m"},
                                                   {"thermostat", "1"},
                                                   {"out", "1.5 m"},
                                                   {"back", "0.5 m"},
                                                   {"colour", "blue/white"},
                                                   {"where", "plug behind the grille"},
                                                   {"bulb", "1"},
                                                   {"dip", "blue/red"},
                                                   {"main", "blue/white"},
                                                   {"second", job == "fuse-block" ? "40 W" : "80 Ah"},
                                                   {"left", "yellow"},
                                                   {"right", "green"},
                                                   {"tail", "brown"},
                                                   {"stop", "red"},
                                                   {"behind", "10 A"},
                                                   {"first", "5 A"},
                                                   {"what", "1"},
                                                   {"kit-fuse", "15 A"},
                                                   {"lit", "yes"},
                                                   {"works", "1"},
                                                   {"switched", "2"}};
    Lines out{std::to_string(std::find(jobs.begin(), jobs.end(), job) - jobs.begin() + 1)};
    for (const begin::Ask& ask : form_of(job).asks) { // all are put: the answers are those that ask for most
        REQUIRE_MESSAGE(usual.contains(ask.id), ask.id);
        out.push_back(sold == Sold::nobody_knows ? "don't know" : usual.at(ask.id));
    }
    out.emplace_back("yes");
    return out;
}

std::string typed(const Lines& lines) {
    std::string out;
    for (const std::string& line : lines) out += line + '\n';
    return out;
}

/// Up to what the check says: that is stored elsewhere.
std::string talk_of(const Ended& ended) { return ended.out.substr(0, ended.out.find("What the check says:")); }

std::string rules_found(const std::string& text) {
    const cases::Checking checking("twin.loom", text);
    std::string out;
    for (const auto& [rule, line] : checking.found()) out += rule + ' ';
    return out;
}

} // namespace

TEST_CASE(
    "each form leads from begin to a verdict and a picture in at most 12 answers, and its file is clean and tidy") {
    for (const std::string& job : jobs)
        for (const Sold sold : {Sold::metric, Sold::gauge, Sold::nobody_knows}) {
            if (support::sanitized && sold == Sold::gauge) continue; // it uses memory as metric does
            CAPTURE(job);
            CAPTURE(static_cast<int>(sold));
            const Bench bench("begin");
            const Lines answers = answers_for(job, sold);
            CHECK(answers.size() <= 12);
            const Ended ended = run(bench, Run{{"begin"}, typed(answers)});
            CHECK_MESSAGE(ended.status == 0, ended.out);
            CHECK(ended.err == "");
            CHECK(ended.out.find("battery off, the grounded post first") <
                  ended.out.find("1. What do you want to fit?"));
            CHECK(ended.out.find("Nothing dangerous found in ") != std::string::npos);
            for (const char* word : {"DANGER", "FAULT", "ADVICE", "MISTAKE"})
                CHECK(ended.out.find(word) == std::string::npos);
            const std::string file = sold == Sold::nobody_knows ? job + ".loom" : file_of(job),
                              picture = file.substr(0, file.size() - 4) + "svg";
            CHECK(bench.files() == Lines{file, picture});
            CHECK(bench.read(picture).find("</svg>") != std::string::npos);
            const std::string text = bench.read(file);
            CHECK(text.find('<') == std::string::npos);
            CHECK(text.find("not_answered") == std::string::npos);
            CHECK(run(bench, {"tidy", file}).out == text);
            for (std::size_t at = 0; at < ended.out.size();) {
                const std::size_t end = ended.out.find('\n', at);
                const std::string line = ended.out.substr(at, end - at);
                if (line.starts_with("    ")) CHECK(line.size() <= 130); // lines of the file itself
                at = end + 1;
            }
        }
}

TEST_CASE("the big load is what it is and is switched as it is: each way leads to a clean file, and asks only what it "
          "needs") {
    const std::string what[] = {"compressor", "pump", "heater", "amplifier", "inverter", "fridge", "something else"};
    for (const std::string& it : what)
        for (const std::string& how :
             {std::string("dash switch"), std::string("pressure switch"), std::string("own")}) {
            if (support::sanitized && it != "compressor") continue;
            CAPTURE(it);
            CAPTURE(how);
            const Bench bench("begin-big-load");
            const bool own = how == "own";
            Lines answers{"60", it, "30 A", how, "mm2", "0.15"};
            if (!own) answers.emplace_back("1.2");
            answers.insert(answers.end(), {"1.5", "0.5"});
            if (!own) answers.emplace_back("orange");
            answers.emplace_back("yes");
            const Ended ended = run(bench, Run{{"begin", "big-load"}, typed(answers)});
            CHECK_MESSAGE(ended.status == 0, ended.out);
            CHECK(ended.out.find("Nothing dangerous found in ") != std::string::npos);
            for (const char* word : {"DANGER", "FAULT", "ADVICE", "MISTAKE"})
                CHECK(ended.out.find(word) == std::string::npos);
            const Lines files = bench.files(); // called after what it is: "air-compressor.loom"
            REQUIRE(files.size() == 2);
            if (it == "compressor") CHECK(files.front() == "air-compressor.loom");
            const std::string file = bench.read(files.front());
            const auto stands = [&](const char* text) { return file.find(text) != std::string::npos; };
            CHECK(stands("\nrelay K1") == !own);
            CHECK(stands("\nswitch S1 \"dash switch\"") == !own);
            CHECK(stands("\nswitch S2 \"pressure switch\"") == (how == "pressure switch"));
            CHECK(stands("starts at guessed 90 A") == (it == "compressor" || it == "pump"));
            CHECK_FALSE(stands("\nwire from battery:- to ground")); // nobody asked for a strap
            CHECK((ended.out.find("where that ignition wire is") != std::string::npos) == !own);
            CHECK((ended.out.find("\n9. Write it to") != std::string::npos) == own);
        }
    // Back over a question that was not put, and another answer before it: now it is put.
    const Bench bench("begin-big-load-back");
    const Ended back =
        run(bench, Run{{"begin", "big-load"},
                       "60\n1\n30 A\nown\nmm\n0.15\n1.5\nback\nback\nback\nback\n1\nmm\n0.15\n1.2\nstop\n"});
    CHECK(back.out.find("7. How long is the wire from the fuse to the relay") != std::string::npos);
}

TEST_CASE("a relay that reads its own volts needs no wire from the alternator, by whichever name it is asked for") {
    const std::string before = "60\n80 Ah\n40 A\nmm\n0.15\n1\n3\n0.5\n";
    for (const char* job : {"vsr", "voltage sensing relay", "split charge", "second-battery"}) {
        CAPTURE(job);
        const Bench bench("begin-vsr");
        const bool told = std::string(job).starts_with("v");
        const Ended ended = run(bench, Run{{"begin", job}, before + (told ? "yes\n" : "2\nyes\n")});
        CHECK_MESSAGE(ended.status == 0, ended.out);
        const std::string file = bench.read("second-battery.loom");
        CHECK(file.find("\"joins the batteries\", voltage-sensing, 70 A") != std::string::npos);
        CHECK(file.find("\nexisting wire") == std::string::npos);
        CHECK(file.find("from K1:85 to ground") != std::string::npos);
        CHECK(ended.out.find("Nothing dangerous found in ") != std::string::npos);
        CHECK(ended.out.find("at 42 A (5 %") != std::string::npos);
        for (const char* word : {"DANGER", "FAULT", "ADVICE", "MISTAKE"})
            CHECK(ended.out.find(word) == std::string::npos);
    }
}

TEST_CASE("of a headlamp's bulb any two watts are an answer, and both old plugs are in the file") {
    const Bench bench("begin-bulbs");
    const std::string rest = "mm\n0.15\n1.2\n1.5\n0.5\nblue/red\nblue/white\nyes\n";
    const Ended ended = run(bench, Run{{"begin", "headlights"}, "60\n55\n100 / 55w\n" + rest});
    CHECK_MESSAGE(ended.status == 0, ended.out);
    CHECK(ended.out.find("main beam first: 100/55") != std::string::npos); // "55" alone is not taken
    const std::string file = bench.read("headlamp-relays.loom");
    CHECK(file.find("\"headlamp, left\", 100/55 W") != std::string::npos);
    CHECK(file.find("\"main beam, old plug of the right headlamp, not used\"") != std::string::npos);
    CHECK(file.find("\ncap W1, ") != std::string::npos);
    CHECK(ended.out.find("the numbers moulded on your relay") != std::string::npos);
    // Where nobody knows, the file says so.
    const Bench lost("begin-bulbs-lost");
    const Ended guessed = run(lost, Run{{"begin", "headlights"}, "60\ndon't know\n" + rest});
    CHECK(guessed.status == 0);
    CHECK(lost.read("headlamp-relays.loom").find("\"headlamp, left\", guessed 60/55 W") != std::string::npos);
    CHECK(guessed.out.find("(now: guessed 60/55 W)") != std::string::npos);
}

TEST_CASE("what each form's answers lead to is as stored") {
    for (const std::string& job : jobs) {
        const Bench bench("begin-stored");
        (void)run(bench, Run{{"begin"}, typed(answers_for(job, Sold::metric))});
        support::check_stored("tests/begin/expected/" + job + ".loom", bench.read(file_of(job)));
    }
    const Bench bench("begin-stored");
    const Ended ended = run(bench, Run{{"begin"}, typed(answers_for("driving-lights", Sold::metric))});
    support::check_stored("tests/begin/expected/talk.txt", talk_of(ended));
    const Bench lost("begin-lost");
    const Ended dont_know = run(lost, Run{{"begin"}, typed(answers_for("electric-fan", Sold::nobody_knows))});
    support::check_stored("tests/begin/expected/talk-dont-know.txt", talk_of(dont_know));
}

TEST_CASE("the classic mistake of each job, made in its file, is found") {
    struct Twin {
        const char* job;
        std::vector<std::pair<const char*, const char*>> changes; ///< pattern, what stands there instead
        const char* rule;
    };
    const Twin twins[] = {
        {"headlamp-relays",
         {{"from F1 to K1:30", "from F1 to K1:86"}, {"from SP1 to K1:86", "from SP1 to K1:30"}},
         "coil-contact-exchanged"},
        {"driving-lights", {{"(battery:\\+ to F1,.*)0.15 m", "$010.9 m"}}, "unfused-feed"},
        {"electric-fan", {{"(fuse F1 \"fan\"), [0-9]+ A", "$1, 40 A"}}, "fuse-above-wire"},
        {"two-fans", {{"(from M2:- to ground, *)[0-9.]+ mm2", "$010.5 mm2"}}, "wire-overloaded"},
        {"horn", {{"from F1 to K1:30", "from battery:+ to K1:30"}}, "unfused-feed"},
        {"fuel-pump",
         {{"from F1 to K1:30", "from F1:2 to K1:30"}, {"from T1 to K1:86", "from F1:2 to K1:86"}},
         "coil-never-releases"},
        {"second-battery",
         {{"from K1:87 to F2", "from K1:87 to G2:+"}, {"wire from F2 to G2:\\+.*", "still to wire: F2:1, F2:2"}},
         "one-end-protected"},
        {"trailer-socket",
         {{"loom 1", "loom 1\ncomplete"}, {"through X1:3 to ground(.*) \\+ 0.5 m", "to X1:3$1"}},
         "ground-missing"},
        {"fuse-block", {{"(\"main fuse\"), [0-9]+ A, maxi", "$1, 150 A, bolted"}}, "fuse-above-wire"},
        {"fog-lights", {{"from F1 to K1:30", "from battery:+ to K1:30"}}, "unfused-feed"},
        {"big-load", {{"(from M1:- to ground, *)[0-9.]+ mm2", "$012.5 mm2"}}, "wire-overloaded"},
    };
    REQUIRE(std::size(twins) == jobs.size());
    for (const Twin& twin : twins) {
        CAPTURE(twin.job);
        const Bench bench("begin-twin");
        (void)run(bench, Run{{"begin"}, typed(answers_for(twin.job, Sold::metric))});
        const std::string good = bench.read(file_of(twin.job));
        std::string bad = good;
        for (const auto& [pattern, with] : twin.changes) {
            const std::string before = bad;
            bad = std::regex_replace(bad, std::regex(pattern), with, std::regex_constants::format_first_only);
            CHECK_MESSAGE(bad != before, pattern);
        }
        CHECK(cases::lines_that_differ(good, bad) <= 3);
        CHECK(rules_found(good) == "");
        CHECK_MESSAGE(rules_found(bad).find(twin.rule) != std::string::npos, rules_found(bad));
        // Files to look at and to check by hand: the form stays the one source of both.
        support::check_stored(
            std::string("tests/begin/twins/") + twin.job + ".loom",
            fmt::format("// What begin makes of {}, with the classic mistake of that job. A check says: {}.\n{}",
                        twin.job, twin.rule, bad));
    }
}

TEST_CASE("nothing is written over: a name that is taken gets a number, and a taken name that is typed is refused") {
    const Bench bench("begin-taken");
    bench.write("driving-lights.loom", "mine\n");
    bench.write("other.loom", "mine too\n");
    Lines answers = answers_for("driving-lights", Sold::metric);
    answers.back() = "other.loom";
    answers.emplace_back("yes");
    bench.write("driving-lights-2.svg", "my drawing\n");
    const Ended ended = run(bench, Run{{"begin"}, typed(answers)});
    CHECK(ended.status == 0);
    CHECK(ended.out.find("There is a other.loom already; it stays as it is.") != std::string::npos);
    CHECK(bench.read("driving-lights.loom") == "mine\n");
    CHECK(bench.read("other.loom") == "mine too\n");
    CHECK(bench.read("driving-lights-2.svg") == "my drawing\n");
    CHECK(bench.files() == Lines{"driving-lights-2-2.svg", "driving-lights-2.loom", "driving-lights-2.svg",
                                 "driving-lights.loom", "other.loom"});
}

TEST_CASE("stop, and an end of the input, leave nothing behind") {
    for (const std::string& job : jobs) {
        const Lines answers = answers_for(job, Sold::metric);
        for (std::size_t n = 0; n < answers.size(); n += support::sanitized ? 9 : 3) {
            Lines some(answers.begin(), answers.begin() + static_cast<std::ptrdiff_t>(n));
            for (const char* last : {"stop", ""}) {
                const Bench bench("begin-stop");
                if (*last != '\0') some.emplace_back(last);
                const Ended ended = run(bench, Run{{"begin"}, typed(some)});
                CHECK(ended.status == 2);
                CHECK(ended.out.find("Stopped. Nothing was written.") != std::string::npos);
                CHECK(bench.files().empty());
                if (*last != '\0') some.pop_back();
            }
        }
    }
}

TEST_CASE("? explains every question, back goes back, and the file comes out the same") {
    for (const std::string& job : jobs) {
        CAPTURE(job);
        const Lines answers = answers_for(job, Sold::metric);
        const Bench straight("begin-straight"), round("begin-round");
        (void)run(straight, Run{{"begin"}, typed(answers)});
        Lines slow;
        for (std::size_t i = 0; i < answers.size(); ++i) {
            slow.emplace_back("?");
            if (i > 1) {
                slow.emplace_back("BACK");
                slow.push_back(answers[i - 1]);
            }
            slow.push_back(answers[i]);
        }
        const Ended ended = run(round, Run{{"begin"}, typed(slow)});
        CHECK_MESSAGE(ended.status == 0, ended.out);
        CHECK(ended.out.find("no more to say") == std::string::npos);
        CHECK(round.read(file_of(job)) == straight.read(file_of(job)));
    }
    const Bench bench("begin-other-job"); // back from the first question of a job leads to the list again
    const Ended ended = run(bench, Run{{"begin"}, typed({"1", "back", "10", "stop"})});
    CHECK(ended.out.find("one big load") != std::string::npos);
}

TEST_CASE("answers can come from a file, a job can be named, and the form can be printed") {
    const Bench bench("begin-file");
    Lines answers = answers_for("horn", Sold::gauge);
    answers.erase(answers.begin());
    bench.write("answers.txt", typed(answers));
    const Ended ended = run(bench, {"begin", "horn", "--answers", "answers.txt"});
    CHECK(ended.status == 0);
    CHECK(ended.out.find("\n1. How large is the battery?") != std::string::npos);
    CHECK(bench.files() == Lines{"answers.txt", "horn.loom", "horn.svg"});
    CHECK(run(bench, Run{{"begin", "hron"}, "stop\n"}).out.find("Read as: horn.") != std::string::npos);
    CHECK(run(bench, {"begin", "--answers", "nothing.txt"}).status == 2);
    for (const std::string& job : jobs) {
        const Ended paper = run(bench, {"begin", job, "--paper"});
        CHECK(paper.status == 0);
        std::size_t boxes = 0;
        for (std::size_t at = 0; (at = paper.out.find("[ ] don't know", at)) != std::string::npos; ++at) ++boxes;
        CHECK(boxes == form_of(job).asks.size());
        CHECK(static_cast<std::size_t>(std::count(paper.out.begin(), paper.out.end(), '\n')) < 130);
    }
    support::check_stored("tests/begin/expected/paper.txt", run(bench, {"begin", "horn", "--paper"}).out);
    CHECK(run(bench, {"begin", "--paper"}).out.find("trailer-socket") != std::string::npos);
}

TEST_CASE("on a phone's narrow screen every line of the talk fits") {
    for (const std::string& job : {std::string("driving-lights"), std::string("fuel-pump")}) {
        const Bench bench("begin-phone");
        Run phone{{"begin"}, typed(answers_for(job, Sold::metric))};
        phone.output = Run::Output::terminal;
        phone.width = 44;
        phone.environment = {"NO_COLOR=1"};
        const std::string out = run(bench, phone).out;
        const std::size_t talk = out.find("This is the file:"); // the file itself keeps its lines
        REQUIRE(talk != std::string::npos);
        for (std::size_t at = 0; at < talk;) {
            const std::size_t end = out.find('\n', at);
            const std::string line = out.substr(at, end - at);
            CHECK_MESSAGE(line.size() <= 45, line);
            at = end + 1;
        }
    }
}
