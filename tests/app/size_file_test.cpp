// What size FILE chooses: which of several wires, which fuse, and what it leaves as it is.
#include "app/process.hpp"

#include <string>

#include <doctest/doctest.h>

namespace loomproof::tests {

namespace {

/// The file after size --write.
std::string sized(const Bench& bench, const std::string& text) {
    bench.write("it.loom", text);
    run(bench, {"size", "it.loom", "--write"});
    return bench.read("it.loom");
}

bool has(const std::string& text, const std::string& piece) { return text.find(piece) != std::string::npos; }

} // namespace

TEST_CASE("size puts copper into long runs; tails stay, and nothing thicker goes to a lamp than its holder takes") {
    // An electrician's trailer: 0.3 m of 1.5 mm2 behind each lamp was to be 4 mm2, and 5 m to a lamp of 42 W as well.
    const Bench bench("size-tails");
    const std::string after = sized(bench, "loom 1\nbattery, 70 Ah\nfuse F1, 15 A\nswitch S1, 20 A\n"
                                           "lamp E1, 42 W\nlamp E2, 42 W\nsplice SP1\n"
                                           "wire from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
                                           "wire from F1 to S1, 1.5 mm2 red, 5 m\n"
                                           "wire from S1:2 to E1, 1.5 mm2 red, 4 m\n"
                                           "wire from S1:2 to E2, 1.5 mm2 red, 4 m\n"
                                           "wire from E1 to SP1, 1.5 mm2 white, 0.3 m\n"
                                           "wire from E2 to SP1, 1.5 mm2 white, 0.3 m\n"
                                           "wire from SP1 to ground, 1.5 mm2 white, 5 m\n");
    CAPTURE(after);
    CHECK(has(after, "battery:+ to F1, 2.5 mm2 red"));
    CHECK(has(after, "E1 to SP1, 1.5 mm2"));
    CHECK(has(after, "E2 to SP1, 1.5 mm2"));
    CHECK(has(after, "F1 to S1, 4 mm2"));
    CHECK(has(after, "SP1 to ground, 4 mm2"));
    CHECK(!has(after, "S1:2 to E1, 4 mm2"));
    CHECK(run(bench, {"check", "it.loom", "--threshold", "advice"}).status == 0);
}

TEST_CASE("what does not fit into a plug is not proposed, and what stays lost is said") {
    const Bench bench("size-plug");
    const auto text = [](const std::string& terminals) {
        return "loom 1\nbattery, 70 Ah\nfuse F1, 20 A\nconnector X1, 2 holes, 20 A each" + terminals +
               "\nheater E1, 12 A\nswitch S1, 20 A\nwire from battery:+ to F1, 4 mm2 red, 0.1 m\n"
               "wire from F1 to S1, 4 mm2 red, 0.3 m\nwire from S1 through X1:1 to E1, 4 mm2 red, 4 m + 7 m\n"
               "wire from E1 through X1:2 to ground, 2.5 mm2 black, 7 m + 4 m\n";
    };
    CHECK(has(sized(bench, text("")), "to ground, 4 mm2 black"));
    bench.write("it.loom", text(""));
    CHECK(has(run(bench, {"size", "it.loom"}).out, "Its wires still lose"));
    const std::string said = sized(bench, text(", terminals 2.5 mm2 to 10 mm2"));
    CAPTURE(said);
    CHECK(has(said, "to ground, 10 mm2 black"));
}

TEST_CASE("a smaller fuse that carries the load is proposed before wires grow for the larger one") {
    // A motorcycle: the 20 A fuse asked for 1 mm2 at LED tails of 0.17 A. 0.75 mm2 carries 15 A (33 CFR 183.425 Table 5, 18 AWG 20 A, 0.75 mm2 15 A: common practice).
    const Bench bench("size-smaller-fuse");
    const std::string bike = "loom 1\nbattery, 12 Ah\nfuse F1, 20 A\nswitch S1, 20 A\nled E1, 2 W\nled E2, 2 W\n"
                             "heater E3, 9 A\nwire from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
                             "wire from F1 to S1, 2.5 mm2 red, 1 m\nwire from S1:2 to E1:+, 0.75 mm2 blue, 1.5 m\n"
                             "wire from S1:2 to E2:+, 0.75 mm2 blue, 1.5 m\nwire from S1:2 to E3, 2.5 mm2 red, 1 m\n"
                             "wire from E1:- to ground, 0.75 mm2 black, 0.3 m\n"
                             "wire from E2:- to ground, 0.75 mm2 black, 0.3 m\n"
                             "wire from E3 to ground, 2.5 mm2 black, 0.3 m\n";
    std::string expected = bike;
    expected.replace(expected.find("20 A"), 4, "15 A");
    CHECK(sized(bench, bike) == expected);
    CHECK(run(bench, {"check", "it.loom", "--threshold", "advice"}).status == 0);

    // Nothing to save: the fuse stays.
    std::string thick = bike;
    for (std::size_t at = 0; (at = thick.find("0.75 mm2 blue")) != std::string::npos;) thick.replace(at, 8, "1 mm2");
    CHECK(sized(bench, thick) == thick);

    // A motor that takes 120 A to start would open the smaller one: the wires grow.
    std::string motor = bike;
    motor.replace(motor.find("heater E3, 9 A"), 14, "motor E3, 9 A, starts at 120 A");
    motor.replace(motor.find("to E3, "), 7, "to E3:+, ");
    motor.replace(motor.find("from E3 "), 8, "from E3:- ");
    const std::string grown = sized(bench, motor);
    CAPTURE(grown);
    CHECK(has(grown, "fuse F1, 20 A"));
    CHECK(has(grown, "S1:2 to E1:+, 1 mm2 blue"));

    // What stands in lines that cannot be read is in no figure: no fuse becomes smaller for want of it.
    std::string unread = bike;
    unread.replace(unread.find("to E3, "), 7, "to E4, ");
    unread.replace(unread.find("from E3 "), 8, "from E4 ");
    CHECK(has(sized(bench, unread), "fuse F1, 20 A"));
}

TEST_CASE("an outlet's fuse is no larger than what the outlet is made for") {
    const Bench bench("size-outlet");
    const auto camper = [](const std::string& fuse) {
        return "loom 1\nbattery, 90 Ah\nfuse F1, " + fuse +
               "\noutlet X1, 10 A\nwire from battery:+ to F1, 4 mm2 red, 0.15 m\n"
               "wire from F1 to X1:+, 4 mm2 red, 2.5 m\nwire from X1:- to ground, 4 mm2 black, 1 m\n";
    };
    CHECK(sized(bench, camper("10 A")) == camper("10 A")); // 10.4 A at the battery's volts asked for 15 A
    CHECK(sized(bench, camper("25 A")) == camper("10 A"));
    CHECK(run(bench, {"check", "it.loom", "--threshold", "advice"}).status == 0);
}

TEST_CASE("size and check ask for one size where one wire mends the loss") {
    const Bench bench("size-as-check");
    bench.write("it.loom", "loom 1\nbattery, 90 Ah\nfuse F1, 10 A\noutlet X1, 10 A\n"
                           "wire from battery:+ to F1, 4 mm2 red, 0.15 m\nwire from F1 to X1:+, 1.5 mm2 red, 4 m\n"
                           "wire from X1:- to ground, 1.5 mm2 black, 1 m\n");
    CHECK(has(run(bench, {"check", "it.loom"}).out, "Use 2.5 mm2"));
    CHECK(has(run(bench, {"size", "it.loom"}).out, "1.5 mm2 -> 2.5 mm2"));
    CHECK(has(run(bench, {"size", "it.loom"}).out, "1 figure would change; --write does it.\n"));
}

TEST_CASE("what --write would not do is not promised; large fuses are bought as what they are") {
    const Bench bench("size-promise");
    bench.write("it.loom", "loom 1\nbattery, 90 Ah\nfuse F1, 80 A\nfuse F2, 15 A\nheater E1, 60 A\nlamp E2, 55 W\n"
                           "wire from battery:+ to F1, 16 mm2 red, 0.15 m\nwire from F1 to E1, 16 mm2 red, 1 m\n"
                           "wire from E1 to ground, 16 mm2 black, 1 m\nwire from battery:+ to F2, 1.5 mm2 red, 0.9 m\n"
                           "wire from F2 to E2, 0.5 mm2 red, 1 m\nwire from E2 to ground, 1.5 mm2 black, 1 m\n");
    const Ended ended = run(bench, {"size", "it.loom"});
    CHECK(has(ended.out, "Mend these first"));
    CHECK(has(ended.out, "once what stands at the top is mended"));
    CHECK(has(ended.out, "fuse 80 A maxi blade"));
    CHECK(!has(ended.out, "fuse 80 A blade"));
}

} // namespace loomproof::tests
