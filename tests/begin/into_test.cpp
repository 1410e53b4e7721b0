// Two jobs in one car: words that name both, and a form added to a file that is there.
#include "app/process.hpp"
#include "support/places.hpp"
#include "support/sanitized.hpp"
#include "support/text.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/core.h>

using namespace loomproof;
using tests::Bench;
using tests::count;
using tests::Ended;
using tests::has;
using tests::Run;

namespace {

/// Without the line ends that the screen's width makes.
std::string flat(std::string text) {
    std::ranges::replace(text, '\n', ' ');
    return text;
}

const std::vector<std::string> jobs{"headlamp-relays", "driving-lights", "electric-fan",   "two-fans",   "horn",
                                    "fuel-pump",       "second-battery", "trailer-socket", "fuse-block", "big-load",
                                    "fog-lights"};

/// As many "don't know" as the form has questions, then yes.
std::string nobody_knows(const Bench& bench, std::vector<std::string> command) {
    command.emplace_back("--paper");
    std::string out;
    for (std::size_t n = count(run(bench, command).out, "[ ] don't know"); n > 0; --n) out += "don't know\n";
    return out + "yes\n";
}

Ended begin_into(const Bench& bench, const std::string& job, const std::string& file) {
    const std::vector<std::string> command{"begin", job, "--into", file};
    return run(bench, Run{command, nobody_knows(bench, command)});
}

const char* const spots = "60\n2 x 55 W\nmm\n0.15\n1.2\n1.5\n0.5\nblue/white\ngrille\nmy car.loom\n";

} // namespace

TEST_CASE("words that name two jobs say which form this is and how the other comes into the same file") {
    const Bench bench("two-jobs");
    struct Case {
        const char *words, *first, *other;
    };
    const Case cases[] = {{"inverter with a leisure battery", "a second battery, charged", "begin inverter --into"},
                          {"spots and a fan", "driving lights", "begin fan --into"},
                          {"a fan and spots", "an electric cooling fan", "begin spot --into"},
                          {"fridge and inverter", "refrigerator", "begin inverter --into"}};
    for (const auto& [words, first, other] : cases) {
        CAPTURE(words);
        const std::string out = run(bench, Run{{"begin", words}, "stop\n"}).out;
        CHECK(has(out, "These words name 2 jobs"));
        CHECK_MESSAGE(has(flat(out), std::string("This one is for: ") + first), out);
        CHECK(has(out, other));
        CHECK(has(run(bench, Run{{"begin"}, std::string(words) + "\nstop\n"}).out, other));
    }
    for (const char* one :
         {"air horn compressor", "trailer lights", "light bar", "second battery charger", "12v fridge"})
        CHECK_FALSE(has(run(bench, Run{{"begin", one}, "stop\n"}).out, "These words name"));
}

TEST_CASE("what the words say already is not asked again, and the file is as if it had been answered") {
    const Bench asked("asked"), said("said");
    const std::string rest = "800 W\nown\nmm\n0.15\n1.5\n0.5\nyes\n";
    CHECK(run(asked, Run{{"begin", "big-load"}, "60\ninverter\n" + rest}).status == 0);
    const Ended ended = run(said, Run{{"begin", "inverter"}, "60\n" + rest});
    CHECK(ended.status == 0);
    CHECK(has(ended.out, "What is it? an inverter, as you said."));
    CHECK(count(ended.out, "What is it?") == 1);
    CHECK(said.read("inverter.loom") == asked.read("inverter.loom"));
    CHECK(count(run(said, {"begin", "inverter", "--paper"}).out, "What is it?") == 1);
    // Back from the first question leads to the list, where something else may be said.
    const Ended back = run(said, Run{{"begin", "inverter"}, "60\nback\nback\nheater\nstop\n"});
    CHECK(has(back.out, "What is it? a heater, as you said."));
}

TEST_CASE("German words find their form") {
    const Bench bench("german");
    const std::pair<const char*, const char*> words[] = {{"Zusatzscheinwerfer", "driving lights or"},
                                                         {"Fernlicht", "driving lights or"},
                                                         {"L\xc3\xbc"
                                                          "fter",
                                                          "an electric cooling fan"},
                                                         {"LUEFTER", "an electric cooling fan"},
                                                         {"zwei L\xc3\xbc"
                                                          "fter",
                                                          "two electric fans"},
                                                         {"Hupe", "louder horns"},
                                                         {"Benzinpumpe", "an electric fuel pump"},
                                                         {"Zweitbatterie", "a second battery"},
                                                         {"Anh\xc3\xa4ngerdose", "a trailer socket"},
                                                         {"Sicherungskasten", "a fuse block"},
                                                         {"Wechselrichter", "one big load"},
                                                         {"Abblendlicht", "headlamps on relays"},
                                                         {"spots", "driving lights or"}};
    for (const auto& [typed, title] : words) {
        CAPTURE(typed);
        const Ended paper = run(bench, {"begin", typed, "--paper"});
        CHECK(paper.status == 0);
        CHECK_MESSAGE(has(paper.out, std::string("\n") + title), paper.out);
    }
}

TEST_CASE("a form added to a file leaves every byte of it, takes free names and its battery, and the whole is clean") {
    for (const std::string& first : jobs)
        for (const std::string& second : jobs) {
            if (first != "driving-lights" && second != "driving-lights" && first != second) continue;
            if (support::sanitized && second != "horn") continue;
            CAPTURE(first);
            CAPTURE(second);
            const Bench bench("into");
            const std::string old = support::read_file(support::source_path("tests/begin/expected/" + first + ".loom"));
            bench.write("car.loom", old);
            const Ended ended = begin_into(bench, second, "car.loom");
            const std::string text = bench.read("car.loom");
            const bool two = first == "second-battery"; // which of the two is asked
            CHECK(has(ended.out, "Which one shall feed it?") == two);
            CHECK(has(ended.out, "The battery is the one in car.loom") == !two);
            CHECK_MESSAGE(ended.status == 0, ended.out);
            CHECK(text.starts_with(old + "\n"));
            CHECK(text.size() > old.size() + 200);
            CHECK(count(text, "\nbattery") == count(old, "\nbattery") + (second == "second-battery" ? 1U : 0U));
            CHECK(run(bench, {"tidy", "car.loom"}).out == text);
            for (const char* word : {"DANGER", "FAULT", "MISTAKE"}) CHECK(!has(ended.out, word));
            CHECK(has(ended.out, "Added to: car.loom"));
            CHECK(bench.files() == std::vector<std::string>{"car.loom", "car.svg"});
        }
}

TEST_CASE("what was guessed before a job was added is said once more") {
    const Bench bench("guessed-before");
    bench.write("car.loom",
                "loom 1\nbattery, guessed 60 Ah  // guessed 3 times\nfuse F9 \"guessed 5\", 10 A\nlamp E9, Guessed "
                "21 W\nstill to wire: F9, E9\n");
    CHECK(has(flat(begin_into(bench, "horn", "car.loom").out), "2 figures were guessed in car.loom before"));
    bench.write("sure.loom", "loom 1\nbattery, 60 Ah\n");
    CHECK_FALSE(has(begin_into(bench, "horn", "sure.loom").out, "sure.loom before"));
}

TEST_CASE("names with blanks are typed in quotes, and begin says how the next job comes in") {
    const Bench bench("blanks");
    const Ended ended = run(bench, Run{{"begin", "spots"}, spots});
    CHECK(ended.status == 0);
    CHECK(has(ended.out, "loomproof check \"my car.loom\"\n"));
    CHECK(has(ended.out, "loomproof begin --into \"my car.loom\"\n"));
    const std::string before = bench.read("my car.loom");
    const Ended both = begin_into(bench, "fan and horn", "my car.loom");
    CHECK(both.status == 0);
    CHECK(has(both.out, "loomproof begin horn --into \"my car.loom\""));
    CHECK(bench.read("my car.loom").starts_with(before));
    bench.write("it's $5.loom", "loom 1\nfan M1\nwire form x\n");
    CHECK(has(run(bench, {"draw", "it's $5.loom", "-o", "a.svg"}).err, "loomproof check 'it'\\''s $5.loom'"));
}

TEST_CASE("nothing is added where it would not fit, and the file stays as it is") {
    const Bench bench("into-not");
    const auto refused = [&](const std::string& text, const char* why) {
        bench.write("car.loom", text);
        const Ended ended = begin_into(bench, "horn", "car.loom");
        CHECK(ended.status == 2);
        CHECK_MESSAGE(has(ended.err, why), ended.err);
        CHECK(bench.read("car.loom") == text);
    };
    refused("loom 1\nsystem 24 V\nbattery, 60 Ah\n", "12 V");
    refused("loom 1\nsystem 12 V, positive ground\nbattery, 60 Ah\n", "minus on the body");
    refused("loom 1\nbattery, 60 Ah\nfuze F1, 20 A\n", "1 mistake");
    CHECK(run(bench, {"begin", "horn", "--into", "nothing.loom"}).status == 2);
    CHECK(run(bench, {"begin", "horn", "--into", "-"}).status == 2);
    // Stopped on the way, or no at the end.
    const std::string car = "loom 1\nbattery, 60 Ah";
    bench.write("car.loom", car);
    std::string answers = nobody_knows(bench, {"begin", "horn", "--into", "car.loom"});
    answers.replace(answers.size() - 4, 4, "no\nstop\n");
    CHECK(run(bench, Run{{"begin", "horn", "--into", "car.loom"}, answers}).status == 2);
    CHECK(bench.read("car.loom") == car);
    // A last line without an end, and a file without a battery, which then comes with the form.
    CHECK(begin_into(bench, "horn", "car.loom").status == 0);
    CHECK(bench.read("car.loom").starts_with(car + "\n\n"));
    bench.write("bare.loom", "loom 1\n");
    CHECK(begin_into(bench, "horn", "bare.loom").status == 0);
    CHECK(has(bench.read("bare.loom"), "\nbattery, guessed 60 Ah\n"));
}

TEST_CASE("in a file with jobs the form becomes one more, planned; with two batteries one is asked for") {
    const Bench bench("into-jobs");
    bench.write("car.loom",
                "loom 1\nbattery B1 \"starter\", 60 Ah\nbattery B2 \"living\", 90 Ah\nwire from B1:- to ground, 16 "
                "mm2 black, 0.4 m\nwire from B2:- to ground, 16 mm2 black, 0.4 m\njob \"lamp\" planned {\n  fuse F1, "
                "10 A\n  led E1, 20 W\n  wire from B1:+ to F1, 1.5 mm2 red, 0.1 m\n  wire from F1 to E1:+, 1.5 mm2 "
                "red, 1 m\n  wire from E1:- to ground, 1.5 mm2 black, 1 m\n}\n");
    const std::string old = bench.read("car.loom");
    const Ended ended = run(bench, Run{{"begin", "air", "compressor", "--into", "car.loom"},
                                       "living\n20 A\nown\nmm\n0.15\n1.5\n0.5\nyes\n"});
    CHECK_MESSAGE(ended.status == 0, ended.out);
    CHECK(has(ended.out, "car.loom has 2 batteries. Which one shall feed it?"));
    const std::string text = bench.read("car.loom");
    CHECK(text.starts_with(old + "\njob \"one big load"));
    CHECK(has(text, "from B2:+ to F2,"));
    CHECK(!has(text, "from battery:-")); // both stand in the file
    CHECK(run(bench, {"tidy", "car.loom"}).out.ends_with(text.substr(old.size())));
}

TEST_CASE(
    "the fuse at a battery's post is where the file says that the battery is, and the way home is that battery's") {
    const Bench bench("into-boot");
    bench.write("car.loom", "loom 1\nbattery B1 \"starter\", 60 Ah\nbattery B2 \"living\", 90 Ah, in boot\n"
                            "wire from B1:- to ground, 16 mm2 black, 0.4 m\n");
    const Ended ended = run(bench, Run{{"begin", "air", "compressor", "--into", "car.loom"},
                                       "living\n20 A\nown\nmm\n0.15\n1.5\n0.5\nyes\n"});
    CHECK_MESSAGE(ended.status == 0, ended.out);
    const std::string text = bench.read("car.loom");
    CHECK(has(text, "from B2:-"));
    CHECK(!has(text, "from battery:-"));
    const std::size_t fuse = text.find("\nfuse F1");
    REQUIRE(fuse != std::string::npos);
    CHECK(has(text.substr(fuse, text.find('\n', fuse + 1) - fuse), "in boot"));
}
