/// What is said around the parts: boxes, types, bundles, wishes, limits, expectations, the engine, a vehicle without metal.

#include "base/number.hpp"
#include "circuit/reading.hpp"

using namespace loomproof;
using loomproof::tests::part;
using loomproof::tests::Read;

TEST_CASE("in a vehicle without metal nothing is grounded by itself") {
    const Read r("no metal\nbattery\nlamp E1, 5 W\nwire from battery:+ to E1\nwire from E1 to ground");
    CHECK(r.findings() == "This vehicle has no metal that could carry current.\n");
    const Read mounted("system 12 V, insulated return\nlamp E1, 5 W, grounded by its mounting");
    CHECK(mounted.findings() == "This vehicle has no metal that E1 could be grounded on.\n");
    const Read wired("no metal\nbattery\nlamp E1, 5 W\nwire from battery:+ to E1\nwire from E1 to battery:-\nbeyond "
                     "Z1, takes 1 A\nwire from battery:+ to Z1");
    CHECK(wired.findings() == "");
    CHECK(dump(wired.circuit()).find("strap") == std::string::npos);
    CHECK(dump(wired.circuit()).find("Z1 > battery:-") != std::string::npos);
}

TEST_CASE("a box has rails, and the fuses in it sit on them") {
    const Read r("box FB1 \"under dash\", 20 A each {\n rail R1 fed from 1: F1..F3, 7\n rail R2 fed from 2: F5, F6\n "
                 "slot 3, 30 A\n}\nfuse F1, 10 A\nfuse F3, 15 A\n"
                 "fuse F9, 5 A, in FB1 slot 7\nfuse F5, 15 A\nbreaker F6, 15 A\nlamp E1, 5 W\nwire from F1 to E1\nwire "
                 "from FB1:1 to nothing\nwire from FB1:R2 to nothing");
    CHECK(r.findings() == "");
    const std::string all = dump(r.circuit());
    for (const char* seat :
         {"joint F1:1 > R1", "joint F3:1 > R1", "joint F9:1 > R1", "joint F5:1 > R2", "joint F6:1 > R2"}) {
        CAPTURE(seat);
        CHECK(all.find(seat) != std::string::npos);
    }
    CHECK(name_of(r.circuit(), r.circuit().wires[0].a) == "F1:2"); // its first end has its feed in the box
    CHECK(name_of(r.circuit(), r.circuit().wires[1].a) == "R1");
    CHECK(name_of(r.circuit(), r.circuit().wires[2].a) == "R2");
    bool empty = false;
    for (const Assumption& a : r.circuit().assumptions)
        empty = empty || (a.subject == "FB1:" && a.value == "nothing in slot F2");
    CHECK(empty);
    CHECK(dump(Read("box FB1 { rail R1: F1 to F3 }\nfuse F2, 5 A\nwire from FB1 to nothing").circuit())
              .find("joint F2:1 > R1") != std::string::npos);
    const std::vector<std::pair<std::string, std::string>> wrong = {
        {"box FB1 { rail R1 fed from 1: F1 }", "Nothing here is called F1.\n"},
        {"box FB1 { rail R1 fed from 1: E1 }\nlamp E1, 5 W", "E1 is no fuse and no breaker.\n"},
        {"box FB1 { rail R1: F1..F6 }\nbox FB2 { rail R1: F7..F9 }", "Two things are called R1.\n"},
        {"fuse F1, 5 A, in FB2 slot 1", "There is no box called FB2.\n"},
        {"box FB1 { slots 20 A }", "In a box stand its rails and what its slots may carry.\n"},
    };
    for (const auto& [typed, headline] : wrong) {
        CAPTURE(typed);
        CHECK(Read(typed).findings() == headline);
    }
}

TEST_CASE("a wish commands an output") {
    const Read r("wish fan { no* | yes }\nelectronics A1 { supply 1, 0.4 A | ground 2 | output 6 ground side, 1 A, "
                 "when fan yes | output 7 plus side }\n"
                 "relay K1, 4-pin\nexpect K1 on when fan yes");
    CHECK(r.findings() == "");
    CHECK(r.circuit().expectations.size() == 1);
    CHECK(dump(r.circuit()).find("contact A1:2 > A1:6 in 10 of fan rated 1 A") != std::string::npos);
    CHECK(r.open() == "when A1 drives its outputs\n"); // 7 is nobody's wish
    CHECK(Read("electronics A1 { supply 1 | output 6 ground side, when fan yes }").findings() ==
          "Nothing here is called fan and can be \"yes\".\n");
    CHECK(Read("wish fan").findings() == "What fan may be is not said.\n");
}

TEST_CASE("a type is said once, and the writer's own words win") {
    const std::string lamps =
        "type H4 is a lamp, 60/55 W at 12 V, filaments main and dip\ntype \"P21/5W\" is a lamp, 21/5 W, common case\n";
    const auto same = [&](const std::string& typed, const std::string& meant) {
        const Read a(lamps + typed), b(lamps + meant);
        CHECK(a.findings() == "");
        CHECK(dump(a.circuit()) == dump(b.circuit()));
    };
    same("lamp E1, H4", "lamp E1, 60/55 W at 12 V, filaments main and dip");
    same("lamp E1 as h4", "lamp E1, 60/55 W at 12 V, filaments main and dip");
    same("lamp E1 H4 \"left\"", "lamp E1 \"left\", 60/55 W at 12 V, filaments main and dip");
    same("lamp E1, H4, 100/90 W", "lamp E1, 100/90 W, filaments main and dip");
    same("lamp E1 as \"P21/5W\"", "lamp E1, 21/5 W, common case");
    same("lamp H4, 5 W", "lamp H4, 5 W"); // a name all the same
    CHECK(part("type micro is a relay, 4-pin, stamped 3 for 30, stamped 5 for 87\nrelay K1 as micro\nwire from K1:3 to "
               "nothing\nwire from K1:5 to nothing",
               "K1")
              .starts_with("86 85 30 87"));
    const std::vector<std::pair<std::string, std::string>> wrong = {
        {"lamp E1 as H9", "No type of lamp is called H9 here.\n"},
        {"relay K1 as H4", "No type of relay is called H4 here.\n"},
        {"type H4 is a lamp, 5 W", "Two types are called H4.\n"},
        {"type X is a thing, 5 W", "\"thing\" is no kind of part.\n"},
        {"type X", "What the type X is, is not said.\n"},
    };
    for (const auto& [typed, headline] : wrong) {
        CAPTURE(typed);
        CHECK(Read(lamps + typed).findings() == headline);
    }
}

TEST_CASE("wires have types, lie in bundles, and are cores of cables") {
    const std::string all = "type \"GXL 14\" is a wire, 14 sae, GXL\nbundle nose \"front loom\", in engine-bay, "
                            "sleeved\nbundle tail { in boot | GXL }\n"
                            "cable CB1 \"trailer\", 2 cores, 1.5 mm2, 6 m {\n 1 yellow\n 2 2.5 mm2 white\n}\n";
    const auto same = [&](const std::string& typed, const std::string& meant) {
        CAPTURE(typed);
        const Read a(all + "place engine-bay\nplace boot\nwire W1 from ground to nothing, " + typed),
            b(all + "place engine-bay\nplace boot\nwire W1 from ground to nothing, " + meant);
        CHECK(a.findings() == "");
        CHECK(dump(a.circuit()) == dump(b.circuit()));
    };
    same("as \"GXL 14\", 1 m red", "14 sae, GXL, 1 m red");
    same("as \"GXL 14\", 12 sae", "12 sae, GXL");
    same("1.5 mm2, in nose", "1.5 mm2, in engine-bay, sleeved");
    same("1.5 mm2, in tail", "1.5 mm2, in boot, GXL");
    same("core 1 of CB1", "1.5 mm2 yellow, 6 m");
    same("core 2 of CB1", "2.5 mm2 white, 6 m");
    CHECK(Read(all + "wire W1 from ground to nothing, core 1 of CB1\nwire W2 from ground to nothing, core 2 of CB1")
              .open() == "how warm the wires in CB1 make one another\n");
    const std::vector<std::pair<std::string, std::string>> wrong = {
        {"wire W1 from ground to nothing, as \"GXL 9\"", "No type of wire is called GXL 9 here.\n"},
        {"wire W1 from ground to nothing, core 1 of CB2", "No cable is called CB2 here.\n"},
        {"wire W1 from ground to nothing, core 1 of CB1\nwire W2 from ground to nothing, core 1 of CB1",
         "Core 1 of CB1 is two wires.\n"},
        {"wire W1 from ground to nothing, in CB1\nwire W2 from ground to nothing, in CB1\nwire W3 from ground to "
         "nothing, in CB1",
         "CB1 has 2 cores; this is one wire more.\n"},
    };
    for (const auto& [typed, headline] : wrong) {
        CAPTURE(typed);
        CHECK(Read(all + typed).findings() == headline);
    }
    CHECK(Read("fuse F1, 5 A\nlamp E1, 5 W\ncable from F1 to E1, 1.5 mm2").findings() == "");
}

TEST_CASE("a limit of the file, and circuits that nobody may touch") {
    const Read r("lamp E1, 5 W\nlimit voltage-drop on E1 0.3 V because \"bright\"\nwire W1 from ground to nothing, 1 "
                 "mm2, restraint\nwire W2 from ground to nothing\nrestraint W2");
    CHECK(r.findings() == "");
    REQUIRE(r.circuit().limits.size() == 1);
    CHECK(r.circuit().limits[0].volts.nominal.si == doctest::Approx(0.3));
    CHECK(r.circuit().wires[0].restraint);
    CHECK(r.circuit().wires[1].restraint);
    const Read share("limit voltage-drop 3 % because \"bright\"\nsystem 24 V, negative ground");
    CHECK(share.findings() == "");
    REQUIRE(share.circuit().limits.size() == 1);
    CHECK(share.circuit().limits[0].volts.nominal.si == doctest::Approx(0.72));
    CHECK(Read("limit voltage-drop 300 % because \"x\"").findings() == "That share of the volts cannot be read.\n");
    CHECK(Read("limit voltage-drop 0.3 V").findings() ==
          "A reason is missing; without one the limit stays as it is.\n");
    CHECK(Read("limit unfused-feed 0.3 m because \"x\"").findings() ==
          "No limit of \"unfused-feed\" can be set in a file.\n");
}

TEST_CASE("an expectation may name an outside condition") {
    const Read r("existing wire T1, live when \"main beam on\"\nlamp E1, 5 W\nexpect E1 on when \"main beam "
                 "on\"\nexpect E1 off when \"main beam on\" no");
    CHECK(r.findings() == "");
    CHECK(r.circuit().expectations.size() == 2);
}

TEST_CASE("the engine: what keeps it alive, what it can do, and a piece of metal of the same name") {
    const Read r("load Y1 \"ignition coil\", 3 ohm\nswitch S3\nengine, runs while Y1 is fed, stops when S3:1 is "
                 "grounded\nmetal engine\nwire from engine to ground, 16 mm2 black, 0.4 m");
    CHECK(r.findings() == "");
    REQUIRE(r.circuit().engine);
    const Engine& e = *r.circuit().engine;
    CHECK(name_of(r.circuit(), e.fed_part) == "Y1");
    CHECK(name_of(r.circuit(), e.grounded) == "S3:1");
    CHECK(r.circuit().at(e.control).positions == std::vector<std::string>{"stopped", "cranking", "idling", "running"});
    const Read fewer(
        "engine { stopped* | running }\nswitch S1 { off* | run connects 30 with 15 }\nengine, runs while S1:15 is fed");
    CHECK(fewer.findings() == "");
    CHECK(fewer.circuit().at(fewer.circuit().engine->control).positions ==
          std::vector<std::string>{"stopped", "running"});
    CHECK(name_of(fewer.circuit(), fewer.circuit().engine->fed) == "S1:15");
    CHECK(Read("engine { stopped* | flying }").findings() == "An engine is stopped, cranking, idling or running.\n");
    CHECK(Read("engine, runs on petrol").findings() == "\"runs\" is not known about an engine.\n");
    CHECK(Read("engine, runs while Y9 is fed").findings().starts_with("Nothing here is called Y9"));
}
