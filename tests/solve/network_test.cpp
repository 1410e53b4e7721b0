/// Operating points against worked examples that other people published, and against what must hold for any network.
///
/// Source of the circuit examples: "Lessons in Electric Circuits" (Kuphaldt and others), volume I, an open textbook; the chapter stands
/// beside each. Tolerances are the rounding of the published figures.

#include "solve/network.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

using namespace loomproof::solve;

namespace {

Solution solved(std::uint32_t nodes, const std::vector<Branch>& branches) {
    Solution s = solve(nodes, branches);
    CHECK(s.converged);
    CHECK(s.residual < 1e-8); // 24 V behind 10 uohm leave a nanoamp of rounding
    return s;
}

constexpr double ideal = 1e-5; // an ideal source of the book: far below the rounding of its figures

} // namespace

TEST_CASE("series-parallel combination (chapter series-parallel)") {
    // 24 V; 100 ohm beside 250 ohm, in series with 350 ohm beside 200 ohm
    const Solution s = solved(3, {{1, 0, Device::source(24, ideal)},
                                  {1, 2, Device::resistor(100)},
                                  {1, 2, Device::resistor(250)},
                                  {2, 0, Device::resistor(350)},
                                  {2, 0, Device::resistor(200)}});
    CHECK(s.volts[2] == doctest::Approx(15.373).epsilon(1e-4));
    CHECK(s.amps[1] == doctest::Approx(0.086275).epsilon(1e-4));
    CHECK(s.amps[2] == doctest::Approx(0.034510).epsilon(1e-4));
    CHECK(s.amps[3] == doctest::Approx(0.043922).epsilon(1e-4));
    CHECK(s.amps[4] == doctest::Approx(0.076863).epsilon(1e-4));
}

TEST_CASE("two batteries feeding one load (chapter network analysis)") {
    const Solution s = solved(4, {{1, 0, Device::source(28, ideal)},
                                  {2, 0, Device::source(7, ideal)},
                                  {1, 3, Device::resistor(4)},
                                  {2, 3, Device::resistor(1)},
                                  {3, 0, Device::resistor(2)}});
    CHECK(s.volts[3] == doctest::Approx(8).epsilon(1e-5));
    CHECK(s.amps[2] == doctest::Approx(5).epsilon(1e-5));
    CHECK(s.amps[3] == doctest::Approx(-1).epsilon(1e-5)); // into the 7 V battery
    CHECK(s.amps[4] == doctest::Approx(4).epsilon(1e-5));
}

TEST_CASE("unbalanced bridge (chapter network analysis)") {
    const Solution s = solved(4, {{1, 0, Device::source(24, ideal)},
                                  {1, 2, Device::resistor(150)},
                                  {1, 3, Device::resistor(50)},
                                  {2, 3, Device::resistor(100)},
                                  {2, 0, Device::resistor(300)},
                                  {3, 0, Device::resistor(250)}});
    CHECK(s.volts[2] == doctest::Approx(17.655).epsilon(0.001 / 17.655));
    CHECK(s.volts[3] == doctest::Approx(19.310).epsilon(0.001 / 19.310));
    CHECK(-s.amps[0] == doctest::Approx(0.136092).epsilon(1e-4));
}

TEST_CASE("source resistance and battery under test load (chapter batteries)") {
    CHECK(solved(2, {{1, 0, Device::source(10, 0.2)}, {1, 0, Device::resistor(1)}}).volts[1] ==
          doctest::Approx(8.333).epsilon(1e-4));
    struct Row {
        double volts, ohms, printed;
    };
    for (const Row& r : {Row{13.2, 0.1, 13.187}, Row{13.0, 5, 12.381}, Row{11.5, 20, 9.583}, Row{7.5, 50, 5.0}})
        CHECK(solved(2, {{1, 0, Device::source(r.volts, r.ohms)}, {1, 0, Device::resistor(100)}}).volts[1] ==
              doctest::Approx(r.printed).epsilon(0.001 / r.printed));
    // five 2.0 V cells of 0.2 ohm side by side: 2.0 V behind 0.04 ohm
    std::vector<Branch> cells(5, {1, 0, Device::source(2, 0.2)});
    cells.push_back({1, 0, Device::resistor(0.04)});
    CHECK(solved(2, cells).volts[1] == doctest::Approx(1.0));
}

TEST_CASE("an ammeter in a branch (chapter meters)") {
    const Solution first = solved(3, {{1, 0, Device::source(2, ideal)},
                                      {1, 2, Device::resistor(0.5)},
                                      {2, 0, Device::resistor(3)},
                                      {1, 0, Device::resistor(1.5)}});
    CHECK(first.amps[1] == doctest::Approx(0.57143).epsilon(1e-4));
    const Solution second = solved(3, {{1, 0, Device::source(2, ideal)},
                                       {1, 2, Device::resistor(0.5)},
                                       {2, 0, Device::resistor(1.5)},
                                       {1, 0, Device::resistor(3)}});
    CHECK(second.amps[1] == doctest::Approx(1.0).epsilon(1e-4));
}

TEST_CASE("faults in series and parallel circuits (chapter series and parallel)") {
    const auto series = [](double middle) {
        return solved(4, {{1, 0, Device::source(9, ideal)},
                          {1, 2, Device::resistor(100)},
                          {2, 3, Device::resistor(middle)},
                          {3, 0, Device::resistor(50)}});
    };
    CHECK(series(300).amps[1] == doctest::Approx(0.020).epsilon(1e-5));
    CHECK(series(1e-6).amps[1] == doctest::Approx(0.060).epsilon(1e-5)); // second one shorted
    // second one open: the whole 9 V stand across the break
    const Solution open =
        solved(4, {{1, 0, Device::source(9, ideal)}, {1, 2, Device::resistor(100)}, {3, 0, Device::resistor(50)}});
    CHECK(open.volts[2] - open.volts[3] == doctest::Approx(9));
}

TEST_CASE("warm wire (chapter conductors): 14 V, 250 ohm, two wires of 15 ohm at 20 degrees") {
    const auto at = [](double wire) {
        return solved(4, {{1, 0, Device::source(14, ideal)},
                          {1, 2, Device::resistor(wire)},
                          {2, 3, Device::resistor(250)},
                          {3, 0, Device::resistor(wire)}});
    };
    const Solution cold = at(15), warm = at(15 * (1 + 0.004041 * 15));
    CHECK(cold.volts[2] - cold.volts[3] == doctest::Approx(12.5).epsilon(1e-5));
    CHECK(warm.amps[1] == doctest::Approx(0.049677).epsilon(1e-4));
    CHECK(warm.volts[2] - warm.volts[3] == doctest::Approx(12.42).epsilon(0.005 / 12.42));
}

TEST_CASE("a lamp at its rated volts takes its rated current, and half the volts give 0.68 of it") {
    // 0.5^0.55 = 0.683: the published exponent
    const Solution full = solved(2, {{1, 0, Device::source(12, ideal)}, {1, 0, Device::filament(12, 4.6)}});
    CHECK(full.amps[1] == doctest::Approx(4.6).epsilon(1e-5));
    const Solution half = solved(2, {{1, 0, Device::source(6, ideal)}, {1, 0, Device::filament(12, 4.6)}});
    CHECK(half.amps[1] == doctest::Approx(4.6 * std::pow(0.5, 0.55)).epsilon(1e-5));
}

TEST_CASE("a diode blocks one way and drops some 0.7 V the other") {
    const Solution forward =
        solved(3, {{1, 0, Device::source(12, 0.01)}, {1, 2, Device::diode()}, {2, 0, Device::resistor(12)}});
    CHECK(forward.volts[1] - forward.volts[2] > 0.6);
    CHECK(forward.volts[1] - forward.volts[2] < 0.8);
    const Solution reverse =
        solved(3, {{1, 0, Device::source(12, 0.01)}, {2, 1, Device::diode()}, {2, 0, Device::resistor(12)}});
    CHECK(std::abs(reverse.amps[1]) < 1e-6);
}

TEST_CASE("a diode that begins far too high comes down in a few long steps") {
    // Newton's own steps take 45 mV each, from 0.99 V to the 20 mV that drive 30 nA: twenty-two of them.
    const std::vector<Ends> ends{{1, 0}, {1, 2}, {2, 0}};
    const std::vector<Device> devices{Device::source(0.3, 1e-3), Device::diode(), Device::resistor(1e7)};
    Network network(3, ends);
    const std::vector<double> high{0, 0.99, 0};
    const Solution s = network.solve(devices, high);
    CHECK(s.converged);
    CHECK(s.steps <= 12);
    CHECK(s.volts[1] == doctest::Approx(0.3));
    CHECK(s.amps[1] == doctest::Approx(s.volts[2] / 1e7));
    CHECK(s.amps[1] == doctest::Approx(respond(Device::diode(), s.volts[1] - s.volts[2]).amps));
}

TEST_CASE("a generator gives what it can and takes nothing back") {
    const Solution light = solved(2, {{1, 0, Device::generator(14.2, 0.01, 65)}, {1, 0, Device::resistor(14.2)}});
    CHECK(light.amps[0] == doctest::Approx(-1).epsilon(0.002));
    const Solution heavy = solved(2, {{1, 0, Device::generator(14.2, 0.01, 65)}, {1, 0, Device::resistor(0.1)}});
    CHECK(heavy.amps[0] == doctest::Approx(-65).epsilon(1e-6));
    const Solution stopped = solved(2, {{1, 0, Device::source(15, 0.1)}, {1, 0, Device::generator(14.2, 0.01, 65)}});
    CHECK(std::abs(stopped.amps[1]) < 1e-9);
}

TEST_CASE("what hangs on nothing is an island, not a number") {
    const Solution s =
        solved(5, {{1, 0, Device::source(12, 0.01)}, {1, 2, Device::resistor(10)}, {3, 4, Device::resistor(5)}});
    CHECK_FALSE(s.island[2]);
    CHECK(s.volts[2] == doctest::Approx(12));
    CHECK(s.island[3]);
    CHECK(s.island[4]);
}

TEST_CASE("near-zero resistances keep their current") {
    // 100 A through a chain of micro-ohms: the volts across each must come out right
    const Solution s = solved(4, {{1, 0, Device::source(12, 0.02)},
                                  {1, 2, Device::resistor(1e-6)},
                                  {2, 3, Device::resistor(1e-6)},
                                  {3, 0, Device::resistor(0.1)}});
    CHECK(s.amps[1] == doctest::Approx(12 / 0.120002).epsilon(1e-6));
}

TEST_CASE("one network, many positions: the same as a new network for each") {
    const std::vector<Ends> ends = {{1, 0}, {1, 2}, {2, 3}, {3, 0}, {2, 4}, {4, 0}};
    Network network(5, ends);
    std::vector<double> before;
    for (unsigned position = 0; position < 8; ++position) {
        const auto closed = [&](unsigned bit) {
            return position >> bit & 1 ? Device::resistor(0.002) : Device::open();
        };
        const std::vector<Device> devices = {Device::source(12.6, 0.007), closed(0), closed(1),
                                             Device::filament(12, 1.75),  closed(2), Device::filament(12, 5)};
        const Solution one = network.solve(devices, before);
        std::vector<Branch> branches;
        for (std::size_t i = 0; i < ends.size(); ++i) branches.push_back({ends[i].a, ends[i].b, devices[i]});
        const Solution fresh = solve(5, branches);
        CHECK(fresh.converged);
        CHECK(one.converged);
        for (std::size_t n = 0; n < 5; ++n) {
            CHECK(one.island[n] == fresh.island[n]);
            if (!one.island[n]) CHECK(one.volts[n] == doctest::Approx(fresh.volts[n]).epsilon(1e-12));
        }
        before = one.volts;
    }
}

TEST_CASE("a wire that its current warms: the cubic, and no more than its largest resistance") {
    // 0.1 ohm cold, doubled at 10 A: 10 A leave 2 V, 5 A leave 0.625 V
    const Device wire = Device::conductor(0.1, 10, 3);
    CHECK(respond(wire, 2).amps == doctest::Approx(10).epsilon(1e-12));
    CHECK(respond(wire, -0.625).amps == doctest::Approx(-5).epsilon(1e-12));
    CHECK(respond(wire, 30).amps == doctest::Approx(100).epsilon(1e-12)); // three times 0.1 ohm
    CHECK(respond(wire, 1e-9).amps == doctest::Approx(1e-8).epsilon(1e-12));
    // Below a volt here a polynomial and two steps solve the cubic, above that Newton: both fulfil it to the last digits.
    for (double v = 1e-6; v < 4; v *= 1.01) {
        const double x = respond(wire, v).amps / 10;
        CHECK(x + x * x * x == doctest::Approx(v).epsilon(6e-16));
    }
    for (double v = -20; v < 20; v += 0.37) {
        const Response r = respond(wire, v);
        CHECK(r.siemens > 0);
        CHECK(respond(wire, v + 1e-6).amps - r.amps == doctest::Approx(r.siemens * 1e-6).epsilon(1e-4));
    }
}

TEST_CASE("all devices asked at once say to the last digit what each says alone") {
    std::mt19937 random(5);
    const auto some = [&](double low, double high) {
        return low * std::pow(high / low, static_cast<double>(random()) / 4294967296.0);
    };
    Devices all;
    for (int round = 0; round < 200; ++round) {
        std::vector<Device> devices;
        const std::size_t count = random() % 40; // odd ones too: they go two at a time
        for (std::size_t i = 0; i < count; ++i) {
            switch (random() % 12) {
            case 0: devices.push_back(Device::open()); break;
            case 1: devices.push_back(Device::resistor(some(1e-4, 1e4))); break;
            case 2: devices.push_back(Device::filament(12, some(0.1, 10))); break;
            case 3: devices.push_back(Device::diode()); break;
            case 4: devices.push_back(Device::source(some(1, 30), some(1e-3, 1))); break;
            case 5: devices.push_back(Device::battery(12.6, 0.01, 0.3)); break;
            case 6: devices.push_back(Device::generator(14.2, 0.02, 60)); break;
            case 7: devices.push_back(Device::sink(12, some(0.1, 10))); break;
            case 8: devices.push_back(Device::current(some(0.1, 10))); break;
            default: devices.push_back(Device::conductor(some(1e-4, 1), some(0.5, 200), 1 + some(1e-5, 5))); break;
            }
        }
        all.set(devices);
        const std::size_t size = all.size();
        std::vector<double> across(size), amps(size), siemens(size);
        for (double& v : across) v = random() % 9 == 0 ? 0 : some(1e-9, 1e3) * (random() % 2 == 0 ? 1 : -1);
        all.respond(across, amps, siemens);
        std::size_t open = 0;
        for (const Device& d : devices) open += d.law == Device::Law::open ? 1 : 0;
        CHECK(size + open == count);
        for (std::size_t place = 0; place < size; ++place) {
            const Response alone = respond(devices[all.numbers()[place]], across[place]);
            CHECK(amps[place] == alone.amps);
            CHECK(siemens[place] == alone.siemens);
        }
    }
}

TEST_CASE("a network without a branch, and one in which nothing conducts") {
    const std::optional<Network::Probe> lamp = Network::Probe{1, Device::filament(12, 0.25)};
    for (const bool branch : {false, true}) {
        const std::vector<Ends> ends(branch ? 1 : 0, Ends{1, 2});
        const std::vector<Device> devices(ends.size(), Device::open());
        Network network(3, ends);
        for (const auto& probe : {std::optional<Network::Probe>{}, lamp}) {
            const Solution s = network.solve(devices, {}, probe);
            CHECK(s.converged);
            CHECK(s.volts[1] == 0);
            CHECK(s.island[1] == !probe);
            CHECK(s.island[2]);
        }
    }
}

TEST_CASE("a test lamp held against a node") {
    // Over a relay coil of 85 ohm a meter shows nearly all volts, and a lamp of 3 W gets a quarter of them
    const std::vector<Ends> ends = {{1, 0}, {1, 2}};
    const std::vector<Device> devices = {Device::source(12.6, 0.007), Device::resistor(85)};
    Network network(3, ends);
    CHECK(network.solve(devices).volts[2] == doctest::Approx(12.6));
    const Solution lamp = network.solve(devices, {}, Network::Probe{2, Device::filament(12, 0.25)});
    CHECK(lamp.volts[2] < 3);
    CHECK(lamp.residual < 1e-9);
}

TEST_CASE("what a small current changes, seen from either end") {
    const std::vector<Ends> ends = {{1, 0}, {1, 2}, {2, 3}, {3, 0}};
    std::vector<Device> devices = {Device::source(12.6, 0.05), Device::resistor(0.4), Device::filament(12, 1.75),
                                   Device::resistor(0.3)};
    Network network(4, ends);
    const Solution before = network.solve(devices);
    const std::vector<double> change = network.small_change(2, 3);
    const Solution after = network.solve(devices, {}, Network::Probe{2, Device::current(-1e-4)});
    CHECK((after.volts[2] - after.volts[3] - before.volts[2] + before.volts[3]) / 1e-4 ==
          doctest::Approx(change[2]).epsilon(1e-3));
}
