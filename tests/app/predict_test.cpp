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

TEST_CASE("predict fits a phone: 60 columns, whatever the screen") {
    const tests::Ended on = run({"predict", "lamp.loom", "--when", "S1 on"});
    for (std::size_t at = 0; at < on.out.size();) {
        const std::size_t end = on.out.find('\n', at);
        CHECK_MESSAGE(end - at <= 60, on.out.substr(at, end - at));
        at = end + 1;
    }
    CHECK(on.out.find("E1 work lamp: lit, 4.63 A") != std::string::npos);
}

TEST_CASE("a free 87a that is live has its row") {
    const tests::Bench bench("predict");
    bench.write("relay.loom", "loom 1\nbattery, 60 Ah\nfuse F1, 15 A\nrelay K1, 5-pin, 30 A\nswitch S1\nlamp E1, 55 W\n"
                              "wire from battery:+ to F1, 2.5 mm2, 0.12 m\nwire from F1 to K1:30, 2.5 mm2, 1 m\nwire "
                              "from F1 to S1, 1 mm2, 1 m\n"
                              "wire from S1 to K1:86, 1 mm2, 1 m\nwire from K1:85 to ground, 1 mm2, 1 m\n"
                              "wire from K1:87 to E1, 2.5 mm2, 1 m\nwire from E1 to ground, 2.5 mm2, 1 m\n");
    const tests::Ended off = tests::run(bench, {"predict", "relay.loom"});
    const tests::Ended on = tests::run(bench, {"predict", "relay.loom", "--when", "S1 on"});
    CHECK_MESSAGE(off.out.find("K1:87a") != std::string::npos, off.out);
    CHECK(off.out.find("free, and live") != std::string::npos);
    CHECK(on.out.find("K1:87a") == std::string::npos);
    CHECK_MESSAGE(on.out.find("K1: pulled in") != std::string::npos, on.out);
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

TEST_CASE("several positions: in one --when, in several, with commas or with and; never one of them dropped") {
    const tests::Bench bench("predict");
    bench.write(
        "two.loom",
        "loom 1\nexisting wire T1, behind 15 A, live when \"main beam on\"\nexisting wire T2, behind 15 A, live when "
        "\"lock and alarm on\"\n"
        "switch S1\nlamp E1 \"near\", 5 W\nlamp E2 \"far\", 5 W\nwire from T1 to S1, 1 mm2, 1 m\nwire from S1 to E1, 1 "
        "mm2, 1 m\n"
        "wire from E1 to ground, 1 mm2, 1 m\nwire from T2 to E2, 1 mm2, 1 m\nwire from E2 to ground, 1 mm2, 1 m\n");
    const std::string all =
        tests::run(bench, {"predict", "two.loom", "--when", "\"main beam on\", S1 on, \"lock and alarm on\""}).out;
    CHECK(all.find("E2 far: lit") != std::string::npos);
    for (const std::vector<std::string>& asked : std::vector<std::vector<std::string>>{
             {"predict", "two.loom", "--when", "main beam on", "--when", "S1 on", "--when", "lock and alarm on"},
             {"predict", "two.loom", "--when", "main beam on and S1 on and lock and alarm on"},
             {"predict", "two.loom", "--when=main beam on, S1 on", "--when", "lock and alarm on"}}) {
        const tests::Ended ended = tests::run(bench, asked);
        CHECK(ended.status == 0);
        CHECK(ended.out == all);
    }
    const tests::Ended twice = run({"predict", "lamp.loom", "--when", "S1 on", "--when", "S1 off"});
    CHECK(twice.status == 2);
    CHECK(twice.err.find("S1 cannot stand in two positions at once: name one of them.") != std::string::npos);
    const tests::Ended at = run({"predict", "lamp.loom", "--at", "E1", "--at", "F1"});
    CHECK(at.status == 2);
    CHECK(at.err.find("--at stands there twice, with E1 and F1; give it once.") != std::string::npos);
}

TEST_CASE("a position, part or terminal that is not there is said so, with exit status 2") {
    CHECK(run({"predict", "lamp.loom", "--when", "S9 on"}).status == 2);
    CHECK(run({"predict", "lamp.loom", "--at", "E9"}).status == 2);
    const tests::Ended way = run({"trace", "lamp.loom", "battery:+", "E1:7"});
    CHECK(way.status == 2);
    CHECK(way.err.find("E1") != std::string::npos);
}

TEST_CASE("a job that is only planned is in no figure, unless somebody asks for it") {
    const tests::Bench bench("predict-planned");
    bench.write("demo-vehicle-factory.loom",
                support::read_file(support::source_path("netlists/demo-vehicle-factory.loom")));
    bench.write("car.loom", support::read_file(support::source_path("netlists/demo-vehicle.loom")));
    const std::string said = "Planned and not in these figures: job \"Driving lights\". With\nit: --planned\n";
    const tests::Ended now = tests::run(bench, {"predict", "car.loom"});
    CHECK(now.status == 0);
    CHECK_MESSAGE(now.out.starts_with(said), now.out.substr(0, 200));
    CHECK(now.out.find("K2") == std::string::npos);
    const tests::Ended plan = tests::run(bench, {"predict", "car.loom", "--planned"});
    CHECK(plan.out.find("K2:86") != std::string::npos);
    CHECK(plan.out.find("Planned and") == std::string::npos);

    const std::string answer = "loomproof: E8 belongs to the planned job \"Driving lights\": add --planned.\n";
    CHECK(tests::run(bench, {"predict", "car.loom", "--at", "E8"}).err == answer);
    CHECK(tests::run(bench, {"trace", "car.loom", "battery:+", "E8:1"}).err == answer);
    CHECK(tests::run(bench, {"predict", "car.loom", "--when", "K2 at rest"})
              .err.find("K2 belongs to the planned job \"Driving lights\": add --planned.") != std::string::npos);
    CHECK(tests::run(bench, {"predict", "car.loom", "--at", "E8", "--planned"}).status == 0);
    CHECK(tests::run(bench, {"trace", "car.loom", "battery:+", "E8:1", "--planned"}).status == 0);
    const tests::Ended lighter = tests::run(bench, {"trace", "car.loom", "battery:+", "E10:1"});
    CHECK_MESSAGE(lighter.status == 0, lighter.err);
    CHECK(lighter.out.starts_with(said));
}

TEST_CASE("where the engine runs the key is on, unless somebody says otherwise; what was taken is said") {
    const tests::Bench bench("predict-key");
    const auto with = [&](const std::string& circuit_text, const std::string& when) {
        bench.write("key.loom", circuit_text);
        const tests::Ended ended = tests::run(bench, {"predict", "key.loom", "--when", when});
        CHECK_MESSAGE(ended.status == 0, ended.err);
        return ended.out;
    };
    const std::string load = "lamp E1, 5 W\nwire from E1:2 to ground, 1 mm2 black, 1 m\n";
    const std::string battery = "loom 1\nbattery, 60 Ah\n";
    // Terminal 15 (DIN 72552): what is switched on with the ignition.
    const std::string key =
        battery + load +
        "switch S1 { off* | run connects 30 with 15 | start connects 30 with 15 and 50, springs back }\n"
        "switch S2\nwire from battery:+ to S1:30, 1 mm2 red, 1 m\nwire from S1:15 to E1:1, 1 mm2 red, 1 m\n";
    const std::string runs = with(key, "engine running");
    CHECK_MESSAGE(
        runs.starts_with(
            "with S1 run, engine running\nAt rest: S2 off.\nThe engine runs, so S1 is taken to stand at run;"),
        runs);
    CHECK(runs.find("E1: lit") != std::string::npos);
    const std::string off = with(key, "engine running, S1 off");
    CHECK_MESSAGE(off.starts_with("with everything at rest, engine running\nAt rest: S1 off and S2 off.\n"), off);
    CHECK(with(key, "engine stopped").find("taken to") == std::string::npos);
    // By its word, where one alone has it.
    std::string word = key;
    for (std::size_t at; (at = word.find("15")) != std::string::npos;) word.replace(at, 2, "2");
    CHECK(with(word, "engine running").starts_with("with S1 run, engine running\n"));
    // An outside condition.
    const std::string outside = "loom 1\nexisting wire T1, behind 15 A, live when \"ignition on\"\n" + load +
                                "wire from T1 to E1:1, 1 mm2, 1 m\n";
    const std::string lit = with(outside, "engine running");
    CHECK_MESSAGE(lit.find("E1: lit") != std::string::npos, lit);
    CHECK(lit.find("\"ignition on\" is taken to hold") != std::string::npos);
    CHECK(with(outside, "engine running, no \"ignition on\"").find("E1: lit") == std::string::npos);
}

TEST_CASE("a start wire is not held while the engine runs") {
    const tests::Bench bench("predict-start-wire");
    // Terminal 50 (DIN 72552): the starter's own wire, live while the key is held.
    for (const char* when : {"key on start", "key turned"}) {
        bench.write("start.loom", std::string("loom 1\nbattery, 60 Ah\nstarter M1, 180 A\n"
                                              "supply Z1 \"lock\", behind 30 A, plus when \"") +
                                      when +
                                      "\"\nwire from battery:+ to M1:30, 35 mm2, 1 m\nwire from Z1 to M1:50, 2.5 mm2, "
                                      "1 m\n");
        const tests::Ended ended = tests::run(bench, {"predict", "start.loom", "--when", "engine running"});
        CHECK_MESSAGE(ended.status == 0, ended.err);
        CHECK_MESSAGE(ended.out.find("taken to hold") == std::string::npos, ended.out);
    }
}

TEST_CASE("a fuse in a box stands on its rail, with what flows there") {
    const tests::Bench bench("predict-rail");
    bench.write("box.loom", "loom 1\nbattery, 60 Ah\nbox FB1 \"fuses\" {\n  rail R1 fed from 1: F1\n}\nfuse F0, 30 A\n"
                            "fuse F1, 10 A\nlamp E1, 21 W\nwire from battery:+ to F0, 4 mm2, 0.1 m\n"
                            "wire from F0 to FB1:1, 4 mm2, 1 m\nwire from F1 to E1, 1 mm2, 1 m\n"
                            "wire from E1 to ground, 1 mm2, 1 m\n");
    const std::string out = tests::run(bench, {"predict", "box.loom"}).out;
    CHECK_MESSAGE(out.find("on rail R1") != std::string::npos, out);
    CHECK_MESSAGE(out.find("free, and live") == std::string::npos, out);
    CHECK_MESSAGE(out.find("to its metal") == std::string::npos, out);
}

TEST_CASE("what is live while it charges is live while the engine runs, and the other way round; short words find "
          "their control") {
    const tests::Bench bench("predict-charging");
    bench.write("c.loom", "loom 1\nbattery, 60 Ah\nswitch S1, thermal { cold* | hot connects 1 with 2 }\n"
                          "existing wire T1, behind 15 A, live when \"charging\"\n"
                          "existing wire T2, behind 15 A, live when \"ignition on\"\nlamp E1, 5 W\nlamp E2, 5 W\n"
                          "wire from T1 to E1:1, 1 mm2, 1 m\nwire from E1:2 to ground, 1 mm2, 1 m\n"
                          "wire from T2 to S1:1, 1 mm2, 1 m\nwire from S1:2 to E2:1, 1 mm2, 1 m\n"
                          "wire from E2:2 to ground, 1 mm2, 1 m\n");
    const auto with = [&](const char* when) {
        const tests::Ended ended = tests::run(bench, {"predict", "c.loom", "--when", when});
        CHECK_MESSAGE(ended.status == 0, ended.err);
        return ended.out;
    };
    const std::string runs = with("engine running");
    CHECK_MESSAGE(runs.find("E1: lit") != std::string::npos, runs);
    CHECK(runs.find("\"charging\" is taken to hold") != std::string::npos);
    CHECK(with("engine running, no \"charging\"").find("E1: lit") == std::string::npos);
    const std::string charges = with("charging");
    CHECK_MESSAGE(charges.find("engine running") != std::string::npos, charges);
    CHECK(with("engine stopped, charging").find("engine stopped\n") != std::string::npos);
    CHECK(with("engine stopped").find("E1: lit") == std::string::npos);
    CHECK(with("hot, ignition") == with("S1 hot, ignition on"));
    CHECK(with("hot, ignition off").find("E2: lit") == std::string::npos);
}

TEST_CASE("an unknown name after --when lists all that can be said") {
    const tests::Ended ended = run({"predict", "lamp.loom", "--when", "S9 on"});
    CHECK_MESSAGE(ended.err.find("--when can say: S1 off or on; engine running or stopped.") != std::string::npos,
                  ended.err);
}

TEST_CASE("a cut that was joined again is a joint; what is open is still a loose end") {
    const tests::Bench bench("predict-joint");
    bench.write("car.loom",
                circuit + "job \"relay\" fitted 2026-05-02 {\n  cut W3 1 m from E1: W3a stays at E1, W3b stays at S1\n"
                          "  wire W5 from F1:2 to W3a, 1.5 mm2 red, 1 m\n}\n");
    const tests::Ended ended = tests::run(bench, {"predict", "car.loom"});
    CHECK_MESSAGE(ended.out.find("joint W3a/W5") != std::string::npos, ended.out);
    CHECK(ended.out.find("loose end of W3b") != std::string::npos);
    CHECK(ended.out.find("loose end of W3a") == std::string::npos);
    CHECK(ended.out.find("\"none\"") != std::string::npos); // W3b is joined to nothing with S1 off
    CHECK(ended.out.find("floats") == std::string::npos);
    const tests::Ended way = tests::run(bench, {"trace", "car.loom", "F1:2", "E1:1"});
    CHECK(way.out.find("joint W3a/W5") != std::string::npos);
}

TEST_CASE(
    "a part that was asked for says what its contacts carry, and currents through loads that are off are no figures") {
    const std::string fans = support::source_path("tests/cases/real/C84/as-built.loom").string();
    const tests::Ended low = run({"predict", fans, "--when", "S1 low", "--at", "K3"});
    CHECK_MESSAGE(low.out.find("Nothing works") == std::string::npos, low.out);
    CHECK(low.out.find("K3 87a to 30: closed, 7.73 A") != std::string::npos);
    CHECK(low.out.find("K3 30 to 87: open") != std::string::npos);
    CHECK(low.out.find("Off: K3 coil.") != std::string::npos);
    const tests::Ended fuse = run({"predict", "lamp.loom", "--when", "S1 on", "--at", "F1"});
    CHECK_MESSAGE(fuse.out.find("What passes\n  F1: 4.63 A\n") != std::string::npos, fuse.out);

    const std::string car = support::source_path("netlists/demo-vehicle.loom").string();
    const tests::Ended engine = run({"predict", car, "--when", "engine running"});
    CHECK_MESSAGE(engine.out.find("0.0257") == std::string::npos, engine.out);
    CHECK(engine.out.find("E1:main           0.01  out       off") != std::string::npos);
    CHECK(engine.out.find("Amps \"off\": less than") != std::string::npos);
}

TEST_CASE("rows stand as the current goes") {
    const tests::Bench bench("predict-order");
    bench.write("order.loom", "loom 1\nlamp E1, 5 W\nground GND1 on body\nswitch S1\nfuse F1, 5 A\nbattery, 60 Ah\n"
                              "wire from E1:2 to GND1, 1 mm2, 1 m\nwire from S1:2 to E1:1, 1 mm2, 1 m\n"
                              "wire from F1:2 to S1:1, 1 mm2, 1 m\nwire from battery:+ to F1:1, 1 mm2, 0.1 m\n");
    const std::string out = tests::run(bench, {"predict", "order.loom"}).out;
    std::size_t before = 0;
    for (const char* row :
         {"\n  battery:+", "\n  F1:1", "\n  F1:2", "\n  S1:1", "\n  S1:2", "\n  E1:1", "\n  E1:2", "\n  GND1"}) {
        const std::size_t at = out.find(row);
        CHECK_MESSAGE((at != std::string::npos && at > before), row, out);
        before = at;
    }
}

TEST_CASE("a short list: what hangs behind one fuse, what lies in one place, what one job put in") {
    const tests::Bench bench("predict-short");
    bench.write("two.loom",
                "loom 1\nbattery, 60 Ah\nfuse F1, 10 A\nfuse F2, 10 A\nlamp E1, 21 W, in boot\nlamp E2, 21 W\n"
                "wire from battery:+ to F1, 1.5 mm2, 0.1 m\nwire from battery:+ to F2, 1.5 mm2, 0.1 m\n"
                "wire from F1 to E1, 1.5 mm2, 1 m\nwire from F2 to E2, 1.5 mm2, 1 m\n"
                "wire from E1 to ground, 1.5 mm2, 1 m\nwire from E2 to ground, 1.5 mm2, 1 m\n");
    const tests::Ended behind = tests::run(bench, {"predict", "two.loom", "--behind", "F1"});
    CHECK(behind.status == 0);
    CHECK_MESSAGE(behind.out.find("E1:1") != std::string::npos, behind.out);
    CHECK(behind.out.find("F1:2") != std::string::npos);
    CHECK(behind.out.find("E2") == std::string::npos);
    CHECK(behind.out.find("F2:1") == std::string::npos);
    const tests::Ended in = tests::run(bench, {"predict", "two.loom", "--in", "boot"});
    CHECK(in.out.find("E1:1") != std::string::npos);
    CHECK(in.out.find("F1:1") == std::string::npos);
    CHECK(tests::run(bench, {"predict", "two.loom", "--in", "attic"}).err.find("There is boot.") != std::string::npos);
    CHECK(tests::run(bench, {"predict", "two.loom", "--job", "Fan"}).err.find("no jobs") != std::string::npos);
}

TEST_CASE("a lamp behind a rheostat stands there for both ends of its slider") {
    const tests::Bench bench("predict-rheostat");
    bench.write("dim.loom", "loom 1\nbattery, 60 Ah\nfuse F1, 5 A\nrheostat R1, 0 ohm to 100 ohm, 10 W\nlamp E1, 2 W\n"
                            "wire from battery:+ to F1, 1 mm2, 0.1 m\nwire from F1 to R1, 1 mm2, 1 m\n"
                            "wire from R1 to E1, 1 mm2, 1 m\nwire from E1 to ground, 1 mm2, 0.3 m\n");
    const tests::Ended ended = tests::run(bench, {"predict", "dim.loom"});
    CHECK_MESSAGE(ended.out.find("Turned to 100 ohm:\nE1 gets 3.8 V") != std::string::npos, ended.out);
    CHECK(ended.out.find("(dim)") != std::string::npos);
}

TEST_CASE("trace takes the fed and the grounded end of a lamp by + and -, whichever way round it is wired") {
    const tests::Bench bench("trace-ends");
    bench.write("turned.loom",
                "loom 1\nbattery, 60 Ah\nfuse F1, 10 A\nlamp E1, 21 W\nwire from battery:+ to F1, 1.5 mm2, 0.1 m\n"
                "wire from F1 to E1:2, 1.5 mm2, 1 m\nwire from E1:1 to ground, 1.5 mm2, 1 m\n");
    const tests::Ended ended = tests::run(bench, {"trace", "turned.loom", "E1:+", "battery:+"});
    CHECK(ended.status == 0);
    CHECK_MESSAGE(ended.out.starts_with("E1:2 to battery:+"), (ended.out + ended.err));
    CHECK(tests::run(bench, {"trace", "turned.loom", "E1:-", "battery:-"}).out.starts_with("E1:1 to battery:-"));
}

TEST_CASE("of a lamp with two filaments both may be fed: trace asks which, and takes its one grounded end by -") {
    const tests::Bench bench("trace-filaments");
    bench.write("two.loom", "loom 1\nbattery, 60 Ah\nfuse F1, 10 A\nfuse F2, 10 A\n"
                            "lamp E1, 60/55 W, filaments main and dip\n"
                            "wire from battery:+ to F1, 2.5 mm2, 0.1 m\nwire from battery:+ to F2, 2.5 mm2, 0.1 m\n"
                            "wire from F1 to E1:main, 1.5 mm2, 1 m\nwire from F2 to E1:dip, 1.5 mm2, 1 m\n"
                            "wire from E1:common to ground, 1.5 mm2, 1 m\n");
    const tests::Ended fed = tests::run(bench, {"trace", "two.loom", "battery:+", "E1:+"});
    CHECK(fed.status == 2);
    CHECK_MESSAGE(fed.err.find("E1 has no terminal of that name; there is E1:main, E1:dip and E1:common.") !=
                      std::string::npos,
                  (fed.out + fed.err));
    const tests::Ended grounded = tests::run(bench, {"trace", "two.loom", "E1:-", "battery:-"});
    CHECK_MESSAGE(grounded.out.starts_with("E1:common to battery:-"), (grounded.out + grounded.err));
}

TEST_CASE("a terminal may be typed behind a blank; an undrawn fuse of no known rating is no figure in ohms") {
    using namespace loomproof::tests;
    const Bench bench("trace-blank");
    bench.write("a.loom",
                "loom 1\nbattery, 60 Ah\nexisting wire T1 \"parking lamp\", live when \"lights on\"\nlamp E1, 21 W\n"
                "wire from T1 to E1, 1 mm2 red, 1 m\nwire from E1 to ground, 1 mm2 black, 1 m\n");
    const Ended with_colon = run(bench, {"trace", "a.loom", "battery:+", "E1"});
    CHECK(with_colon.status == 0);
    for (const char* typed : {"battery +", "battery+", "Battery  +"})
        CHECK(run(bench, {"trace", "a.loom", typed, "E1"}).out == with_colon.out);
    CHECK(run(bench, {"trace", "a.loom", "my battery", "E1"}).err ==
          "loomproof: Nothing here is called my battery; battery is near.\n");
    const std::string out = run(bench, {"predict", "a.loom", "--when", "lights on"}).out;
    CHECK(out.find("which fuse T1 comes from") != std::string::npos);
    CHECK(out.find("the rating of T1") == std::string::npos);
}

TEST_CASE("with two batteries it is said from where volts count: from the body where both are tied to it, else from a "
          "post by its name") {
    const tests::Bench bench("predict-two-batteries");
    bench.write("two.loom", "loom 1\nbattery B1, 60 Ah\nbattery B2, 60 Ah\nfuse F1, 10 A\nlamp E1, 21 W\n"
                            "wire from B1:+ to F1, 1.5 mm2, 0.1 m\nwire from F1 to E1, 1.5 mm2, 1 m\n"
                            "wire from E1 to ground, 1.5 mm2, 1 m\n");
    CHECK(tests::run(bench, {"predict", "two.loom"}).out.find("Volts against the body, to which") != std::string::npos);
    // A leisure battery with wires of its own back to it: nothing of it counts from the starter battery.
    bench.write("own.loom",
                "loom 1\nvehicle \"van\"\nbattery B1, 60 Ah\nbattery B2, 60 Ah\nfuse F1, 10 A\nlamp E1, 21 W\n"
                "wire from B1:- to ground, 16 mm2, 0.3 m\n"
                "wire from B2:+ to F1, 1.5 mm2, 0.1 m\nwire from F1 to E1, 1.5 mm2, 1 m\n"
                "wire from E1 to B2:-, 1.5 mm2, 1 m\n");
    const std::string own = tests::run(bench, {"predict", "own.loom"}).out;
    CHECK_MESSAGE(own.find("Volts against B1:-.") != std::string::npos, own);
    CHECK(own.find("What hangs on B2 has no way there") != std::string::npos);
    CHECK(own.find("  E1:1      12.5  bright") != std::string::npos);
    CHECK(own.find("none") == std::string::npos);
}
