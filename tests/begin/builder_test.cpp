// What a home builder typed at begin, and what must come of it.
#include "app/process.hpp"
#include "rules/case_file.hpp"
#include "support/text.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;
using tests::Bench;
using tests::count;
using tests::Ended;
using tests::has;
using tests::Run;

TEST_CASE("where the fuse sits is asked, stands in the file, and a long way to it is a danger") {
    const Bench near("post-near"), far("post-far"), open("post-open");
    const auto typed = [](const char* post) {
        return std::string("60\n120 W\n1\n") + post + "\n1.2\n1.5\n0.5\nblue/white\ngrille\nyes\n";
    };
    CHECK(run(near, Run{{"begin", "driving-lights"}, typed("15 cm")}).status == 0);
    CHECK(has(near.read("driving-lights.loom"), "15 cm"));
    const Ended ended = run(far, Run{{"begin", "driving-lights"}, typed("0.9 m")});
    CHECK(ended.status == 1);
    CHECK(has(ended.out, "unfused-feed"));
    const Ended guessed = run(open, Run{{"begin", "driving-lights"}, typed("don't know")});
    CHECK(has(guessed.out, "0.18 m of the post"));
    CHECK(has(open.read("driving-lights.loom"), "guessed 0.1 m"));
}

TEST_CASE("the last words of begin are the guesses that the verdict rests on") {
    const Bench bench("rests-on");
    std::string all = "electric fan\n";
    for (int i = 0; i < 10; ++i) all += "don't know\n";
    const std::string out = run(bench, Run{{"begin"}, all + "yes\n"}).out;
    const std::size_t verdict = out.find("Nothing dangerous found in "),
                      rests = out.find("This verdict rests on 7 guessed figures.");
    CHECK(verdict != std::string::npos);
    REQUIRE_MESSAGE(rests != std::string::npos, out);
    CHECK(rests > verdict);
    CHECK(has(out.substr(rests), "(now: guessed 12 A)"));
    CHECK(has(out.substr(rests), "(now: guessed 0.1 m)"));
    CHECK(count(bench.read("electric-fan.loom"), "guessed ") ==
          12); // of each in its line and among what is still to find out
    CHECK(has(bench.read("electric-fan.loom"), "(taken so far:"));
    CHECK(has(out, "Taken until then: guessed 12 A."));
    const Bench sure("rests-on-nothing");
    CHECK_FALSE(
        has(run(sure, Run{{"begin", "fan"}, "60\n9 A\n1\n0.15\n1\n1\n0.5\ngreen\nfuse box\n1\nyes\n"}).out, "guessed"));
}

TEST_CASE("the answers of the paper form work from a file; a wrong one is named by its line and its question") {
    const Bench bench("paper-answers");
    const std::string good = "60\n9 A\nmm\n0,15\n1.2\n1.5\n0.5\nblue/white\nplug\nyes\n";
    bench.write("good.txt", good);
    for (const char* words : {"head lamp relays", "headlights", "the headlight relay"}) // as people call it
        CHECK(run(bench, {"begin", words, "--paper"}).status == 0);
    CHECK(run(bench, {"begin", "horn", "--answers", "good.txt"}).status == 0);
    bench.write("bad.txt", "60\n9 A\nby the yard\n0.15\n");
    const Ended bad = run(bench, {"begin", "horn", "--answers", "bad.txt"});
    CHECK(bad.status == 2);
    CHECK(has(bad.err, "bad.txt, line 3: question 3: How is wire sold"));
    bench.write("bad.txt", "60\nnine\nby the yard\n0.15\n1.2\nfar\n0.5\nblue\nplug\nyes\n"); // all of them at once
    const Ended three = run(bench, {"begin", "horn", "--answers", "bad.txt"});
    CHECK(three.status == 2);
    for (const char* line : {"bad.txt, line 2: question 2", "bad.txt, line 3: question 3",
                             "bad.txt, line 6: question 6", "1 in mm2", "3 answers were not taken"})
        CHECK_MESSAGE(has(three.err, line), three.err);
    bench.write("short.txt", "60\n9 A\n");
    const Ended shorter = run(bench, {"begin", "horn", "--answers", "short.txt"});
    CHECK(shorter.status == 2);
    CHECK(has(shorter.err, "question 3"));
    CHECK(bench.files() == std::vector<std::string>{"bad.txt", "good.txt", "horn.loom", "horn.svg", "short.txt"});
}

TEST_CASE("two driving lights are two lamps, each with its ground; sizes say why; wire too thick for a plug-in relay "
          "says so") {
    const Bench bench("two-lamps");
    const Ended ended =
        run(bench, Run{{"begin", "lights"}, "60\n2x55 W\n2,5 mm2\n0.15\n1.2\n1.5\n0.5\nblue/white\ngrille\nyes\n"});
    CHECK_MESSAGE(ended.status == 0, ended.out);
    const std::string file = bench.read("driving-lights.loom");
    CHECK(count(file, "\nlamp E") == 2);
    CHECK(has(file, "from E1:- to ground"));
    CHECK(has(file, "from E2:- to ground"));
    CHECK(has(file, "from K1:87 to SP1"));
    CHECK(count(ended.out, "m of it lose 0.") == 1);
    CHECK_FALSE(has(ended.out, "blades of a plug-in relay"));
    const Bench thick("too-thick");
    const Ended fan = run(thick, Run{{"begin", "fan"}, "60\n15 A\nmm\n0.15\n3\n3\n2\ngreen\nfuse box\nplus\nyes\n"});
    CHECK_MESSAGE(has(fan.out, "blades of a"), fan.out);
    CHECK(has(thick.read("electric-fan.loom"), "from S1:2 to K1:86")); // the thermostat switches plus
}

TEST_CASE("the last question is not answered by not knowing; back leads to the list; jobs are found by their words") {
    const Bench bench("words");
    const std::string horn = "60\n9 A\n1\n0.15\n1.2\n1.5\n0.5\nblue/white\nplug\n";
    const Ended unsure = run(bench, Run{{"begin", "horn"}, horn + "don't know\nstop\n"});
    CHECK(unsure.status == 2);
    CHECK(bench.files().empty());
    const Ended back = run(bench, Run{{"begin", "horn"}, "back\nelectric fan\nback\n2\nstop\n"});
    CHECK(count(back.out, "1. What do you want to fit?") == 2);
    CHECK_FALSE(has(back.out, "first question"));
    CHECK(has(back.out, "2. How large is the battery?"));
    const std::pair<const char*, const char*> words[] = {
        {"fan", "A fan may start"},        {"driving lights", "Driving lights must"},
        {"lights", "Driving lights must"}, {"Electric Fan", "A fan may start"},
        {"headlamps", "Bulbs of more"},    {"fuel", "Fuel vapour"}};
    for (const auto& [typed, said] : words) {
        CAPTURE(typed);
        CHECK(has(run(bench, Run{{"begin", typed}, "stop\n"}).out, said));
        CHECK(has(run(bench, Run{{"begin"}, std::string(typed) + "\nstop\n"}).out, said));
    }
    CHECK(has(run(bench, Run{{"begin"}, "electric\nstop\n"}).out, "electric-fan, two-fans or fuel-pump: type which"));
    CHECK(has(run(bench, {"begin", "electric"}).err, "electric-fan, two-fans or fuel-pump"));
    CHECK(run(bench, {"begin", "windscreen"}).status == 2);
}

TEST_CASE("a job that is only misspelt finds its form, and what it was read as is said") {
    const Bench bench("misspelt");
    const auto title = [&](const char* words) { return run(bench, {"begin", words, "--paper"}); };
    CHECK(has(title("2nd battery").out, "a second battery"));
    CHECK(has(title("begin fann").out, "an electric cooling fan"));
    CHECK(has(title("drivng lights").out, "driving lights"));
    CHECK(title("flux capacitor").status == 2);
    CHECK(has(run(bench, Run{{"begin", "fann"}, "stop\n"}).out, "Read as: fan."));
    CHECK_FALSE(has(run(bench, Run{{"begin", "fan"}, "stop\n"}).out, "Read as"));
}

TEST_CASE("fog lamps hang on the side lamps and a switch of their own, never on the main beam") {
    const Bench bench("fog");
    const Ended ended = run(
        bench, Run{{"begin", "fog", "lights"}, "60\n2 x 55 W\n20 A\nyes\nmm\n0.15\n1.2\n1.5\n0.5\ngrey/green\nyes\n"});
    CHECK_MESSAGE(ended.status == 0, ended.out);
    const std::string file = bench.read("fog-lights.loom");
    CHECK(has(file, "live when \"side lights on\""));
    CHECK(has(file, "expect E1 off when S1 off"));
    CHECK_FALSE(has(file, "main"));
    CHECK_FALSE(has(file, "driving"));
    CHECK_FALSE(has(ended.out, "must go out with the main beam"));
    // The kit's fuse is what the wires have to carry, and its switch has a lamp that goes to ground.
    CHECK(has(file, "fuse F1 \"fog lamps\", 20 A"));
    CHECK(has(ended.out, "carries the 20 A fuse"));
    CHECK(has(file, "wire from H1 to ground"));
    CHECK(has(ended.out, "Nothing dangerous found in "));
    // Lamps alone: a fuse that suits them, and a switch with two terminals.
    const Bench plain("fog-plain");
    const Ended none = run(
        plain, Run{{"begin", "fog", "lights"}, "60\n2 x 55 W\nnone\nno\nmm\n0.15\n1.2\n1.5\n0.5\ngrey/green\nyes\n"});
    CHECK_MESSAGE(none.status == 0, none.out);
    CHECK(has(plain.read("fog-lights.loom"), "fuse F1 \"fog lamps\", 15 A"));
    CHECK_FALSE(has(plain.read("fog-lights.loom"), "H1"));
    // One that is too small for them is not passed over: 2 x 55 W take 9.6 A for long (a fuse for 80 % of its rating: common practice).
    const Bench small("fog-small");
    const Ended weak = run(
        small, Run{{"begin", "fog", "lights"}, "60\n2 x 55 W\n7.5 A\nno\nmm\n0.15\n1.2\n1.5\n0.5\ngrey/green\nyes\n"});
    CHECK(has(weak.out, "fuse-near-limit"));
}

TEST_CASE("watts or amps among the words of the job stand in for a guess where nobody knows better") {
    const auto file_after = [&](const std::vector<std::string>& words) {
        Run talk{{"begin"}, "60\ndon't know\nown\nmm\n0.15\n1.5\n0.5\nfile\n"};
        talk.words.insert(talk.words.end(), words.begin(), words.end());
        const Bench own("figure-" + words.back());
        const std::string out = run(own, talk).out;
        return std::pair(out, own.read("file.loom"));
    };
    for (const auto& [words, guess] : std::vector<std::pair<std::vector<std::string>, std::string>>{
             {{"inverter", "2000W"}, "guessed 2000 W"},
             {{"2000", "watt", "inverter"}, "guessed 2000 W"},
             {{"inverter", "1.5", "kW"}, "guessed 1.5 kW"},
             {{"amplifier", "40A"}, "guessed 40 A"},
             {{"amplifier", "2", "x", "300", "W"}, "guessed 60 A"},
             {{"12v", "fridge"}, "guessed 60 A"}}) {
        const auto [out, file] = file_after(words);
        CHECK_MESSAGE(has(file, guess), out);
        CHECK(has(out, "You said") == (guess != "guessed 60 A"));
    }
}

TEST_CASE("a caution is said where it is about what is fitted; where that is asked yet, all are") {
    const Bench bench("own-cautions");
    const char* const about[] = {"mains", "hoses", "monoxide"};
    const std::pair<const char*, std::array<bool, 3>> jobs_said[] = {{"inverter", {true, false, false}},
                                                                     {"compressor", {false, true, false}},
                                                                     {"heater", {false, false, true}},
                                                                     {"amplifier", {false, false, false}},
                                                                     {"big-load", {true, true, true}}};
    for (const auto& [job, said] : jobs_said)
        for (const bool paper : {true, false}) {
            CAPTURE(job);
            std::vector<std::string> words{"begin", job};
            if (paper) words.emplace_back("--paper");
            Run talk(words, "stop\n");
            const std::string out = run(bench, talk).out;
            for (std::size_t i = 0; i < said.size(); ++i) CHECK_MESSAGE(has(out, about[i]) == said[i], out);
        }
}

TEST_CASE("what people call it finds a form, typed as it comes; what has none gets the nearest, and why") {
    const Bench bench("own-words");
    const std::pair<std::vector<const char*>, const char*> meant[] = {
        {{"headlight", "relay"}, "headlamps on relays"},
        {{"head", "lamps"}, "headlamps on relays"},
        {{"air", "compressor"}, "one big load"},
        {{"Light", "Bar"}, "driving lights"},
        {{"spot", "lights"}, "driving lights"},
        {{"spotlights"}, "driving lights"},
        {{"fog", "lights"}, "front fog lamps"},
        {{"12v", "fog", "lamps"}, "front fog lamps"},
        {{"Nebellampen"}, "front fog lamps"},
        {{"stereo", "amp"}, "one big load"},
        {{"Druckluft-Hupe", "mit", "Kompressor"}, "louder horns"},
        {{"Presslufthorn"}, "louder horns"},
        {{"amplifier"}, "one big load"},
        {{"12v", "fridge"}, "one big load"},
        {{"inverter"}, "one big load"},
        {{"diesel", "heater"}, "one big load"},
        {{"heater"}, "one big load"},
        {{"two", "speed", "fan"}, "two electric fans"},
        {{"radiator fan"}, "an electric cooling fan"},
        {{"air", "horns"}, "louder horns"},
        {{"dual", "batteries"}, "a second battery"},
        {{"petrol", "pump"}, "an electric fuel pump"},
        {{"trailer", "lights"}, "a trailer socket"},
        {{"install", "my", "new", "spotlights"}, "driving lights"},
    };
    for (const auto& [words, title] : meant) {
        std::vector<std::string> all{"begin"};
        for (const char* w : words) all.emplace_back(w);
        all.emplace_back("--paper");
        CAPTURE(words.front());
        const Ended ended = run(bench, all);
        CHECK(ended.status == 0);
        CHECK_MESSAGE(has(ended.out, std::string("\n") + title), ended.out);
        CHECK_FALSE(has(ended.out, "no form for just that"));
    }
    const std::pair<const char*, const char*> nearest[] = {
        {"rear fog light", "front fog lamps"}, {"winch", "one big load"},
        {"caravan", "a trailer socket"},       {"usb", "a fuse block"},
        {"cb radio", "a fuse block"},          {"heated seats", "a fuse block"},
        {"solar", "a second battery"},         {"work lights", "driving lights"}};
    for (const auto& [words, title] : nearest) {
        CAPTURE(words);
        const Ended named = run(bench, {"begin", words, "--paper"});
        CHECK(named.status == 0);
        CHECK(has(named.out, "There is no form for just that. The nearest: " + std::string(title)));
        const Ended typed = run(bench, Run{{"begin"}, std::string(words) + "\nstop\n"});
        CHECK(has(typed.out, "The nearest: " + std::string(title)));
    }
    CHECK(has(run(bench, {"begin", "windscreen"}).err, "loomproof begin big-load"));
}
