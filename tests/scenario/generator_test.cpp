// The generator itself: recorded choices, coverage, and that its own claims agree with each other.
#include "support/scenario/mistakes.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

constexpr Profile every_profile[] = {Profile::clean, Profile::history, Profile::tangled,
                                     Profile::doubt, Profile::noisy,   Profile::stress};

} // namespace

TEST_CASE("splitmix64 gives the published numbers") {
    // The first outputs for seed 1234567, from the widely copied public-domain reference implementation (S. Vigna, 2015); also
    // a task of a well-known collection of programming tasks.
    std::uint64_t state = 1234567;
    CHECK(splitmix64(state) == 6457827717110365317U);
    CHECK(splitmix64(state) == 3203168211198807973U);
    CHECK(splitmix64(state) == 9817491932198370423U);
    CHECK(splitmix64(state) == 4593380528125082431U);
    CHECK(splitmix64(state) == 16408922859458223821U);
}

TEST_CASE("a scenario is the same for the same seed, and from its recorded choices") {
    for (Profile profile : every_profile) {
        for (int size : {0, 1, 5, 40}) {
            const Scenario once = make(77, size, profile);
            const Scenario again = make(77, size, profile);
            const Scenario replayed = replay(once.choices, size, profile);
            CAPTURE(word(profile));
            CAPTURE(size);
            CHECK(write(once).main() == write(again).main());
            CHECK(write(once).main() == write(replayed).main());
            CHECK(edge_list(once.plan) == edge_list(replayed.plan));
            CHECK(write(once).main() != write(make(78, size + 5, profile)).main());
        }
    }
}

TEST_CASE("shrinking deletes choices until nothing can go") {
    // Looks for a relay; the smallest circuit with one has no more than that relay's circuit, the battery and its strap.
    const Scenario large = make(3, 60, Profile::clean);
    const auto has_relay = [](const std::vector<std::uint32_t>& choices) {
        return replay(choices, 60, Profile::clean).plan.seen("kind relay");
    };
    REQUIRE(has_relay(large.choices));
    const auto small = shrink(large.choices, has_relay);
    CHECK(has_relay(small));
    const Scenario least = replay(small, 60, Profile::clean);
    CHECK(least.plan.wires.size() <= 20);
    CHECK(least.plan.wires.size() * 3 < large.plan.wires.size());
}

TEST_CASE("sizes are about what was asked for, up to a hundred thousand wires") {
    for (int size : {5, 12, 60, 300, 1000}) {
        for (Profile profile : {Profile::clean, Profile::stress}) {
            const auto wires = static_cast<int>(make(9, size, profile).plan.wires.size());
            CAPTURE(size);
            CHECK(wires >= size * 9 / 10);
            CHECK(wires <= size + 30);
        }
    }
    const Scenario huge = make(1, 100'000, Profile::stress);
    CHECK(huge.plan.wires.size() >= 100'000);
    CHECK(write(huge).main().size() > 4'000'000);
}

TEST_CASE("what is built clean keeps its own promises") {
    for (std::uint64_t seed = 1; seed <= 150; ++seed) {
        const Scenario s =
            make(seed, static_cast<int>(5 + seed % 90), seed % 3 == 0 ? Profile::history : Profile::clean);
        CAPTURE(seed);
        REQUIRE(s.plan.clean);
        std::map<int, int> wires_at;
        for (const Wire& w : s.plan.wires) {
            if (!w.alive) { continue; }
            CAPTURE(w.name);
            // Nothing that is protected carries less than what protects it.
            if (std::isfinite(w.protection) && !w.behind_link) { CHECK(w.carries >= w.protection); }
            const bool starter = std::find(w.more.begin(), w.more.end(), "starter cable") != w.more.end();
            for (const auto& [source, length] : w.unprotected) {
                const bool told = s.plan.seen("accept") && length > 0.5;
                CHECK((starter || told || length <= 0.15 + 1e-9));
            }
        }
        for (const Edge& e : s.plan.edges) {
            if (e.alive && e.element == Element::wire) {
                ++wires_at[e.a];
                ++wires_at[e.b];
                CHECK(e.length > 0);
            }
        }
        for (std::size_t n = 0; n < s.plan.nodes.size(); ++n) {
            const int part = s.plan.nodes[n].part;
            if (part < 0 || !wires_at.contains(static_cast<int>(n))) { continue; }
            static const std::set<std::string, std::less<>> many = {"splice", "bus", "ground", "battery"};
            CAPTURE(s.plan.nodes[n].name);
            CHECK((many.contains(s.plan.parts[static_cast<std::size_t>(part)].keyword) ||
                   wires_at[static_cast<int>(n)] == 1));
        }
    }
}

TEST_CASE("conditions: at rest, in one position, in another") {
    Plan plan;
    const int key = plan.control("S1", {"off", "run", "start"});
    const int fan = plan.control("S2", {"cold", "hot"});
    Load load;
    load.on = both(Condition{{{{key, {"run", "start"}}}}}, Condition{{{{fan, {"hot"}}}}});
    CHECK_FALSE(is_on(plan, load, {}));
    CHECK_FALSE(is_on(plan, load, {{"S1", "run"}}));
    CHECK(is_on(plan, load, {{"S1", "start"}, {"S2", "hot"}}));
    load.on = plan.opposite(load.on);
    CHECK(is_on(plan, load, {}));
    CHECK(is_on(plan, load, {{"S1", "run"}}));
    CHECK_FALSE(is_on(plan, load, {{"S1", "start"}, {"S2", "hot"}}));
    load.on = both(Condition{{{{key, {"run"}}}}}, Condition{{{{key, {"start"}}}}});
    CHECK(load.on.any.empty());
}

TEST_CASE("every shape and every habit of typing occurs in 300 seeds") {
    std::map<std::string, int> seen;
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        const Scenario s = make(seed, static_cast<int>(seed * 7 % 120), every_profile[seed % 5]);
        for (const std::string& feature : s.plan.features) { ++seen[feature]; }
    }
    static constexpr const char* wanted[] = {
        "kind battery",
        "kind touch",
        "kind wish",
        "kind box",
        "load said more",
        "kind alternator",
        "kind starter",
        "kind supply",
        "kind beyond",
        "kind existing wire",
        "kind fuse",
        "kind link",
        "kind breaker",
        "kind switch",
        "kind relay",
        "kind lamp",
        "kind led",
        "kind motor",
        "kind horn",
        "kind load",
        "kind electronics",
        "kind diode",
        "kind resistor",
        "kind flasher",
        "kind sensor",
        "kind sender",
        "kind gauge",
        "kind solar",
        "kind charger",
        "kind converter",
        "kind dynamo",
        "kind regulator",
        "kind solenoid",
        "kind heater",
        "kind socket",
        "kind ammeter",
        "kind shunt",
        "kind capacitor",
        "kind connector",
        "kind splice",
        "kind bus",
        "kind ground",
        "metal",
        "positive ground",
        "negative ground",
        "6 V",
        "12 V",
        "24 V",
        "series batteries",
        "second battery",
        "isolator",
        "doubled strap",
        "doubled ground",
        "splice chain",
        "ground splice",
        "bus",
        "box",
        "link",
        "ignition switch",
        "charge lamp",
        "sense",
        "multi-section switch",
        "two filaments",
        "diodes isolate",
        "clamp diode",
        "resistor",
        "reversing motor",
        "hold",
        "doubled feed",
        "ring",
        "loose things",
        "screen",
        "ground side",
        "mounted",
        "mounted on engine",
        "relay 4-pin",
        "relay 5-pin",
        "relay two makes",
        "supply when",
        "supply always",
        "supply ground",
        "existing wire when",
        "existing wire always",
        "existing wire ground",
        "fuse blade",
        "fuse maxi",
        "fuse bolted",
        "fuse glass",
        "through a plug",
        "through two plugs",
        "colour changes at a plug",
        "plug as seen",
        "colours in words",
        "colours in iec",
        "colours in british",
        "colours in german",
        "place",
        "part in a place",
        "insulation GXL",
        "insulation TXL",
        "insulation SXL",
        "insulation FLRY",
        "insulation GPT",
        "insulation TWP",
        "insulation PVC 85 degC",
        "insulation 105 degC",
        "mm2",
        "awg",
        "sae",
        "metres",
        "centimetres",
        "feet and inches",
        "odd name",
        "hostile text",
        "complete",
        "expect",
        "accept",
        "still to wire",
        "unknown on a wire",
        "unknown on a part",
        "known as about",
        "known as guessed",
        "known as marked",
        "known as measured",
        "factory",
        "job planned",
        "job fitted",
        "job relay",
        "cut",
        "cap",
        "splice on a wire",
        "move",
        "remove",
        "change",
        "empty file",
        "comments",
        "blanks",
        "tabs",
        "crlf",
        "phone",
        "wrapped lines",
        "other order",
        "use",
    };
    for (const char* feature : wanted) {
        CAPTURE(std::string(feature));
        CHECK(seen[feature] > 0);
    }
    for (int way = 0; way <= 5; ++way) { CHECK(seen[fmt::format("switch way {}", way)] > 0); }
}

TEST_CASE("every kind of mistake has places, and changes the text where it says") {
    std::map<MistakeKind, int> places;
    for (std::uint64_t seed = 1; seed <= 120; ++seed) {
        const Scenario s =
            make(seed, static_cast<int>(20 + seed % 60), seed % 2 == 0 ? Profile::history : Profile::clean);
        const std::string right = write(s).main();
        for (const Mistake& m : mistakes(s.plan, 1)) {
            ++places[m.kind];
            std::vector<int> cites;
            const Written wrong = write(with_mistake(s.plan, m, &cites), s.hand);
            CAPTURE(word(m.kind));
            CHECK(wrong.main() != right);
            REQUIRE_FALSE(cites.empty());
            for (int at : cites) { CHECK(wrong.line_of[static_cast<std::size_t>(at)].line > 0); }
        }
    }
    for (MistakeKind kind : all_mistakes()) {
        CAPTURE(word(kind));
        CHECK(places[kind] > 0);
    }
}

TEST_CASE("damage keeps UTF-8 whole unless asked otherwise") {
    int broken = 0, changed = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        const std::string text = write(make(seed, 10, Profile::noisy)).main();
        const std::string hurt = damaged(text, seed, 1 + static_cast<int>(seed % 9));
        CHECK(is_valid_utf8(hurt));
        changed += hurt != text;
        broken += !is_valid_utf8(damaged(text, seed, 20, true));
    }
    CHECK(changed > 180);
    CHECK(broken > 50);
}

} // namespace loomproof::scenario
