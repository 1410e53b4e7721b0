/// The table to take to the car, and the way between two points, from the real binary.

#include "app/process.hpp"
#include "support/places.hpp"
#include "support/stored.hpp"

#include <doctest/doctest.h>

using namespace loomproof;

namespace {

const std::string circuit = R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "dash switch"
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.12 m
wire W2 from F1 to S1, 2.5 mm2 red, 1 m
wire W3 from S1 to E1, 1.5 mm2 blue, 3 m
wire W4 from E1 to ground, 1.5 mm2 black, 1 m
)";

tests::Ended run(const std::vector<std::string>& arguments) {
    const tests::Bench bench("predict");
    bench.write("lamp.loom", circuit);
    return tests::run(bench, arguments);
}

} // namespace

TEST_CASE("predict prints what the meter should say, with the switch off and on") {
    const tests::Ended off = run({"predict", "lamp.loom"}), on = run({"predict", "lamp.loom", "--when", "S1 on"});
    CHECK(off.status == 0);
    CHECK(on.status == 0);
    support::check_stored("tests/app/expected/predict-off.txt", off.out);
    support::check_stored("tests/app/expected/predict-on.txt", on.out);
}

TEST_CASE("trace prints each drop on the way") {
    const tests::Ended way = run({"trace", "lamp.loom", "battery:+", "E1:1", "--when", "S1 on"});
    CHECK(way.status == 0);
    support::check_stored("tests/app/expected/trace.txt", way.out);
}

TEST_CASE("an outside condition may be named without its own quotes") {
    const tests::Bench bench("predict");
    bench.write("bar.loom", "loom 1\nexisting wire T1, behind 15 A, live when \"main beam on\"\nlamp E1, 5 W\n"
                            "wire from T1 to E1, 1 mm2, 1 m\nwire from E1 to ground, 1 mm2, 1 m\n");
    const tests::Ended ended = tests::run(bench, {"predict", "bar.loom", "--when", "main beam on"});
    CHECK(ended.status == 0);
    CHECK(ended.out.find("bright") != std::string::npos);
    CHECK(tests::run(bench, {"predict", "bar.loom", "--when", " Main beam on , engine running"}).status == 0);
}

TEST_CASE("a position, part or terminal that is not there is said so, with exit status 2") {
    CHECK(run({"predict", "lamp.loom", "--when", "S9 on"}).status == 2);
    CHECK(run({"predict", "lamp.loom", "--at", "E9"}).status == 2);
    const tests::Ended way = run({"trace", "lamp.loom", "battery:+", "E1:7"});
    CHECK(way.status == 2);
    CHECK(way.err.find("E1") != std::string::npos);
}
