// What people type behind `size`, and what must never be guessed.
#include "sizing/asked.hpp"

#include <doctest/doctest.h>

using namespace loomproof;
using namespace loomproof::sizing;

TEST_CASE("a load and a length are enough, in any order and as phones type them") {
    for (const char* words : {"120 W at 13.8 V, 3 m", "3 m, 13.8 V, 120 W", "120w at 13.8v 3m",
                              "120 W AT 13.8 V , 3 metres one way", "120 W over 3 m at 13.8 V"}) {
        CAPTURE(words);
        const auto read = read_asked(words);
        REQUIRE(read);
        CHECK(read->amps.si == doctest::Approx(120 / 13.8));
        CHECK(read->copper().si == doctest::Approx(6));
        CHECK(read->allowed == usual_loss(Volts{12}));
    }
    CHECK(read_asked("9 A, 3 m in the engine bay")->place == Celsius{70});
    CHECK(read_asked("9 A, 3 m, 60 degC, drop 3 %, at 12 V")->allowed.si == doctest::Approx(0.36));
    CHECK(read_asked("9 A, 10 ft, drop 0.3 V")->allowed == Volts{0.3});
    CHECK(read_asked("9 A, 3 m, PVC 85")->insulation == Celsius{85});
    CHECK(read_asked("about 9 A, 3 m")->amps.si == doctest::Approx(10.8)); // on the safe side
    CHECK(read_asked("9 A, guessed 2 m")->length.si == doctest::Approx(3));
}

TEST_CASE("what is not clear is not guessed") {
    const auto problem = [](const char* words) {
        const auto read = read_asked(words);
        return read ? std::string("read!") : read.error();
    };
    CHECK(problem("2,5 A, 3 m").find("2.5") != std::string::npos);
    CHECK(problem("9 A, 0,5 m").find("0.5") != std::string::npos);
    CHECK(problem("9 A, 3").find("no unit") != std::string::npos);
    CHECK(problem("9, 3 m").find("no unit") != std::string::npos);
    CHECK(problem("9 MA, 3 m").find("two ways") != std::string::npos);
    CHECK(problem("120 W").find("How far") != std::string::npos);
    CHECK(problem("3 m").find("How much") != std::string::npos);
    CHECK(problem("120 W, 9 A, 3 m").find("both") != std::string::npos);
    CHECK(problem("9 A, 3 m, 4 m").find("twice") != std::string::npos);
    CHECK(problem("9 A at 230 V, 3 m").find("60 V") != std::string::npos);
    CHECK(problem("9 A, 3 m, sideways").find("sideways") != std::string::npos);
    CHECK(problem("9 A, 3 m, in the attic").find("engine-bay") != std::string::npos);
    CHECK(problem("unknown A, 3 m").find("unknown") != std::string::npos);
    CHECK(problem("0 A, 3 m").find("nothing") != std::string::npos);
    CHECK(problem("").find("How much") != std::string::npos);
    CHECK(problem("9 A, 3 m, drop 80 %").find("between") != std::string::npos);
}

TEST_CASE(
    "what is to be fed may be named before its figure; several are multiplied where it is said that each takes that") {
    const auto named = read_asked("air compressor 30A, 3 m");
    REQUIRE(named);
    CHECK(named->load == "air compressor");
    CHECK(named->starts_hard);
    CHECK(named->amps == Amps{30});
    CHECK(read_asked("wire for a light bar, 120 W, 3 m")->load == "light bar");
    CHECK_FALSE(read_asked("light bar 120 W, 3 m")->starts_hard);
    CHECK(read_asked("120 W, 3 m")->load.empty());
    const auto problem = [](const char* words) {
        const auto read = read_asked(words);
        return read ? std::string("read!") : read.error();
    };
    CHECK(problem("air compressor 30A").find("loomproof size \"air compressor 30A, 3 m\"") != std::string::npos);
    CHECK(problem("both lamps 55 W, 3 m").find("together") != std::string::npos);
    const auto two = read_asked("two lamps 55 W, 3 m");
    REQUIRE(two);
    CHECK(two->count == 2);
    CHECK(two->each_assumed);
    CHECK(two->watts->si == doctest::Approx(110));
    CHECK(two->load == "lamps");
    CHECK(problem("air compressor").find("not understood") != std::string::npos);
    CHECK(problem("lamp 12, 3 m").find("no unit") != std::string::npos);
}
