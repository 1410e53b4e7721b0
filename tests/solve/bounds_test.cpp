/// Bounds of solved figures over what is unknown, against many random choices of the unknown ones, and a divider worked by hand.

#include "solve/bench.hpp"
#include "solve/bounds.hpp"
#include "support/random.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace loomproof;
using namespace loomproof::solve;
using loomproof::test::Bench;

namespace {

Figure volts_at(const Bench& b, const char* part) {
    const PrimitiveId id = b.primitive(part);
    const solve::Positions p = at_rest(b.circuit());
    return [=](Model& m) { return m.point(p).primitive_volts[id.index]->si; };
}

} // namespace

TEST_CASE("one wire of unknown length: the divider by hand, and where a limit is crossed") {
    const Bench b("battery, 60 Ah, 1 mohm\nload E1, 1 ohm\nwire W1 from battery:+ to E1, 0.5 mm2 red, unknown m\nwire "
                  "W2 from E1 to ground, 16 mm2 black, 0.1 m\n");
    Conditions cold;
    cold.warmed = false;
    Model model(b.view(), cold);
    const std::vector<Unknown> all = unknowns_of(b.view());
    REQUIRE(all.size() == 1);
    CHECK(all[0].what == "length");
    const Figure volts = volts_at(b, "E1");
    const double before = volts(model);
    const Bounds x = bounds(model, all, volts);
    const double metre = 1 / 58e6 / b.circuit().at(b.wire("W1")).area.nominal.si * (1 + 0.00393 * 10);
    const double rest = 12.6 / before - metre; // all but the wire, over the load's 1 ohm
    CHECK(x.taken == doctest::Approx(before));
    CHECK(x.high == doctest::Approx(12.6 / (rest + 0.1 * metre)).epsilon(1e-9));
    CHECK(x.low == doctest::Approx(12.6 / (rest + 8 * metre)).epsilon(1e-9));
    CHECK(x.sure);
    CHECK(volts(model) == doctest::Approx(before).epsilon(1e-12)); // left as it was
    // 11.5 V are left at this length
    const auto at = crossing(model, all[0], volts, 11.5);
    REQUIRE(at);
    CHECK(all[0].figure(*at) == doctest::Approx((12.6 / 11.5 - rest) / metre).epsilon(2e-3));
    CHECK_FALSE(crossing(model, all[0], volts, 13));
}

TEST_CASE("what a load takes and a size may be rough too") {
    const Bench b(
        "battery, 60 Ah, 1 mohm\nload E1, about 10 A\nlamp E2, about 60 W\nwire W1 from battery:+ to E1, guessed "
        "2.5 mm2 red, 1 m\nwire W2 from E1 to ground, 4 mm2 black, about 2 m\nwire W3 from battery:+ to E2, 4 mm2 red, "
        "1 "
        "m\nwire W4 from E2 to ground, 4 mm2 black, 1 m\n");
    CHECK(unknowns_of(b.view()).empty());
    const std::vector<Unknown> all = unknowns_of(b.view(), true);
    REQUIRE(all.size() == 4);
    CHECK(all[0].what == "size");
    CHECK(all[0].least < 1);
    CHECK(all[0].most > 1);
    CHECK(all[1].what == "length");
    CHECK(all[1].least == doctest::Approx(0.8));
    CHECK(all[1].most == doctest::Approx(1.2));
    CHECK(all[2].what == "what it takes");
    CHECK(all[2].figure(all[2].least) == doctest::Approx(12)); // about: a fifth more or less
    CHECK(all[2].figure(all[2].most) == doctest::Approx(8));
    Model model(b.view());
    const PrimitiveId id = b.primitive("E1");
    const solve::Positions at = at_rest(b.circuit());
    const Bounds x = bounds(model, all, [&](Model& m) { return m.point(at).primitive_amps[id.index]->si; });
    CHECK(x.high / x.low > 1.45);
    CHECK(x.high / x.low < 1.5);
}

TEST_CASE("no random choice of the unknown figures lies outside the bounds") {
    std::size_t tried = 0, many = 0, wide = 0;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        test::Random r(seed);
        std::string text = "battery, 60 Ah, 10 mohm\n";
        const std::size_t branches = 1 + r.below(4);
        for (std::size_t i = 0; i < branches; ++i) {
            const std::string n = std::to_string(i);
            text += (r.below(2) == 0 ? "lamp E" + n + ", 55 W\n" : "load E" + n + ", 2 ohm\n") + "bus B" + n + "\n";
            text += "wire from " +
                    (i == 0 || r.below(2) == 0 ? std::string("battery:+") : "B" + std::to_string(i - 1)) + " to B" + n +
                    ", 1 mm2 red, " + (r.below(2) == 0 ? "unknown m\n" : "2 m\n");
            text +=
                "wire from B" + n + " to E" + n + ", 1 mm2 red, " + (r.below(2) == 0 ? "about 3 m\n" : "unknown m\n");
            text += "wire from E" + n + " to ground, " + (r.below(2) == 0 ? "black, 1 m\n" : "1 mm2 black, 1 m\n");
        }
        const Bench b(text);
        Model model(b.view());
        const std::vector<Unknown> all = unknowns_of(b.view(), true);
        const Figure volts = volts_at(b, "E0");
        const Bounds x = bounds(model, all, volts);
        many += x.relevant.size() > 4 ? 1 : 0;
        wide += x.high - x.low > 0.5 ? 1 : 0;
        if (!x.sure) continue;
        for (int k = 0; k < 40; ++k) {
            for (const Unknown& u : all)
                model.scale(u.edge, u.least * std::pow(u.most / u.least, static_cast<double>(r.below(1001)) / 1000));
            const double now = volts(model);
            CHECK(now <= x.high + 1e-4 * std::abs(x.high));
            CHECK(now >= x.low - 1e-4 * std::abs(x.low));
            ++tried;
        }
        for (const Unknown& u : all) model.scale(u.edge, 1);
        CHECK(volts(model) == doctest::Approx(x.taken).epsilon(1e-9));
    }
    MESSAGE(tried, " choices tried; more than four unknowns mattered in ", many, " circuits");
    CHECK(tried > 1800);
    CHECK(many > 3);
    CHECK(wide > 20);
}
