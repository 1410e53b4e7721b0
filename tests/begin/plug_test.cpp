// A plug written down hole by hole. Limits of readings: from memory, common practice.
#include "app/process.hpp"
#include "begin/plug.hpp"
#include "rules/case_file.hpp"
#include "support/stored.hpp"

#include <doctest/doctest.h>

using namespace loomproof;
using namespace loomproof::begin;
using tests::Bench;
using tests::Ended;
using tests::Run;

namespace {

const char* const answers =
    "sender plug\n4\n1\n1\nmine\nblue/white\n60 ohm\nblack\n0.3 ohm\nBlue/White\n12 V with ignition on\nempty\n";

std::string found(const std::string& text) {
    std::string out;
    for (const auto& [rule, line] : cases::Checking("plug.loom", text).found()) out += rule + ' ';
    return out;
}

} // namespace

TEST_CASE(
    "a plug is written down row by row, twins with their tags, readings in quotes, and what they allow as comments") {
    const Bench bench("plug");
    const Ended ended = run(bench, Run{{"plug", "X7", "car.loom"}, answers});
    CHECK(ended.status == 0);
    support::check_stored("tests/begin/expected/plug.txt", ended.out);
    const std::string text = bench.read("car.loom");
    CHECK(run(bench, {"tidy", "car.loom"}).out == text);
    CHECK(found(text) == ""); // the twins carry tags
}

TEST_CASE("what is there stays: the plug is added at the end, a second of that name is refused, and so is a file it "
          "would not fit") {
    const Bench bench("plug-append");
    const std::string old = "loom 1\nbattery, 60 Ah // mine";
    bench.write("car.loom", old);
    CHECK(run(bench, Run{{"plug", "X7", "car.loom"}, answers}).status == 0);
    const std::string once = bench.read("car.loom");
    CHECK(once.starts_with(old + "\n\nconnector X7 \"sender plug\""));
    const Ended again = run(bench, Run{{"plug", "x7", "car.loom"}, answers});
    CHECK(again.status == 2);
    CHECK(again.out.find("has a X7 already; nothing was changed") != std::string::npos);
    CHECK(bench.read("car.loom") == once);
    CHECK(run(bench, Run{{"plug", "X8", "car.loom"}, answers}).status == 0);
    CHECK(bench.read("car.loom").starts_with(once));
    const std::string open = "loom 1\njob \"not closed\" planned {\n";
    bench.write("open.loom", open);
    (void)run(bench, Run{{"plug", "X7", "open.loom"}, answers});
    CHECK(bench.read("open.loom").starts_with(open));
    const Ended stopped = run(bench, Run{{"plug", "X9", "new.loom"}, "fan plug\nstop\n"});
    CHECK(stopped.status == 2);
    CHECK(bench.files() == std::vector<std::string>{"car.loom", "open.loom"});
}

TEST_CASE("back goes back, one letter is no colour, and don't know leaves out") {
    const Bench bench("plug-back");
    const Ended whole =
        run(bench, Run{{"plug", "X7", "--holes", "2"},
                       "fan plug\ndon't know\nback\n2\ndon't know\nmoulded\nB\nblack\nback\nred\ndon't know\nempty\n"});
    CHECK(whole.out.find("\nconnector X7 \"fan plug\", 2 holes, mating side, numbers moulded {\n  1 red\n}\n// X7 hole "
                         "2: empty\n") != std::string::npos);
}

TEST_CASE("what readings allow is said as a possibility, never more") {
    CHECK(could_be("12 V with ignition on") == "it could be a feed that is live when \"ignition on\"");
    CHECK(could_be("12.4V when lights on") == "it could be a feed that is live when \"lights on\"");
    CHECK(could_be("12.6 V key on") == "it could be a feed that is live when \"key on\"");
    CHECK(could_be("12 V key off").find("all times") != std::string::npos);
    CHECK(could_be("12 V").find("say with what") != std::string::npos);
    CHECK(could_be("12 V in the beat").find("flasher") != std::string::npos);
    CHECK(could_be("0.3 ohm").find("ground") != std::string::npos);
    CHECK(could_be("6 ohm").find("lamp") != std::string::npos);
    CHECK(could_be("85 ohm").find("coil") != std::string::npos);
    CHECK(could_be("10 kohm").find("sensor") != std::string::npos);
    CHECK(could_be("0 V").find("dead") != std::string::npos);
    CHECK(could_be("open").find("nothing joins") != std::string::npos);
    CHECK(could_be("smells burnt").empty());
    CHECK(could_be("2,5 ohm").empty()); // not clear, so nothing follows
}

TEST_CASE("names, counts and the empty grid") {
    for (const char* good : {"X7", "fan-plug",
                             "\xd0\xa8\xd0\xa0"
                             "1"})
        CHECK(read_name(good));
    for (const char* bad : {"", "X 7", "12 V", "battery", "X7:1", "{", "5"}) {
        CAPTURE(bad);
        CHECK_FALSE(read_name(bad));
    }
    const Bench bench("plug-grid");
    CHECK(run(bench, {"plug", "X7", "--holes", "0"}).status == 2);
    CHECK(run(bench, {"plug", "X7", "--holes", "six"}).status == 2);
    support::check_stored("tests/begin/expected/grid.txt", run(bench, {"plug", "X7", "--blank", "--holes", "3"}).out);
    for (std::size_t width : {40u, 60u, 80u}) {
        const std::string grid = blank_grid("X7", 12, width);
        for (std::size_t at = grid.find('+'); at < grid.size();) {
            const std::size_t end = grid.find('\n', at);
            if (grid[at] == '|' || grid[at] == '+') CHECK(end - at <= std::max<std::size_t>(width, 43));
            at = end + 1;
        }
    }
}

TEST_CASE("a reading says its unit; an empty line asks whether there is a wire, and writes nothing") {
    CHECK(*read_reading("12,5 V with ignition on") == "12.5 V with ignition on");
    CHECK(*read_reading("open") == "open");
    CHECK(*read_reading("0.3 ohm") == "0.3 ohm");
    CHECK(read_reading("12.5").error() == "Volts or ohms? Type 12.5 V, or 12.5 ohm.");
    CHECK_FALSE(read_reading("5 Mohm"));
    CHECK_FALSE(read_reading("12,512 V"));
    for (const char* none :
         {"inf", "nan", "-inf V", "nan ohm", "yellow", "smells burnt", "1e999 V", "V", "2 A", "3 m", "-", "x"}) {
        CAPTURE(none);
        REQUIRE_FALSE(read_reading(none));
        CHECK(read_reading(none).error().find("ype ") != std::string::npos); // what to type
    }
    for (const char* good :
         {"OL", "open", "lamp bright with key on", "12.6 volts key off", "0 V", "beeps", "Lampe hell"}) {
        CAPTURE(good);
        CHECK(read_reading(good));
    }
    CHECK(read_reading("12 V with ignition on?"));
    CHECK(read_reading("main beam?").error().find("is no reading") != std::string::npos);
    const Bench said("plug-said");
    const Ended words = run(said, Run{{"plug", "X7", "new.loom"},
                                      "lamp plug\n1\nfrom behind\nlatch up\nmy own\nblue\n12 V main beam on?\n"});
    CHECK_MESSAGE(words.status == 0, words.out);
    CHECK(said.read("new.loom").find("1 hole, wire side, latch up, numbers mine") != std::string::npos);
    CHECK(said.read("new.loom").find("1 blue \"12 V main beam on?\"") != std::string::npos);
    const Bench bench("plug-empty");
    const Ended ended =
        run(bench, Run{{"plug", "X7", "new.loom"},
                       "sender plug\n2\n1\n1\nmine\nblue with a red stripe\n12.5\n\n12.5 V\n\nempty\n"});
    CHECK(ended.status == 0);
    CHECK(ended.out.find("No wire in this hole? Type: empty.") != std::string::npos);
    CHECK(ended.out.find("Not measured? Type: don't know.") != std::string::npos);
    const std::string text = bench.read("new.loom");
    CHECK(text.find("1 blue/red \"12.5 V\"") != std::string::npos);
    CHECK(text.find("// X7 hole 2: empty") != std::string::npos);
}
