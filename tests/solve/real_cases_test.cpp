/// Figures that strangers measured or reckoned in public, against ours: tests/cases/real/<case> has the address and what was assumed. Each
/// tolerance is what the page's own figures allow (read to a quarter of a volt, copper cold or warm), and was set before looking.

#include "solve/bench.hpp"
#include "solve/predict.hpp"

#include "circuit/wishes.hpp"

#include "support/places.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <sstream>
#include <string>

using namespace loomproof;
using namespace loomproof::solve;
using loomproof::test::Bench;

namespace {

enum class What { volts_over_wires, amps_in_wire, volts_across, volts_at, ohms_of_wire };

struct Figure {
    const char* file; ///< below tests/cases/real
    const char* when;
    What what;
    const char* things;         ///< names, with blanks between
    double expected, tolerance; ///< share of the expected
};

constexpr Figure figures[] = {
    // 400 A over 6 ft of 1/0 gauge lose 0.24 V; at 20 degC, warm copper up to two fifths more
    {"C10/one-nought.loom", "S1 on, S2 on", What::ohms_of_wire, "W3", 0.24 / 400 * 1.2, 0.2},
    // measured 0.25 and 0.25 V near, 0.5 and 0.25 V far, at 65 W and 12.1 V
    {"C22/found.loom", "\"main beam on\"", What::volts_over_wires, "W6", 0.25, 0.2},
    {"C22/found.loom", "\"main beam on\"", What::volts_over_wires, "W7", 0.50, 0.2},
    {"C22/found.loom", "\"main beam on\"", What::volts_over_wires, "W8", 0.25, 0.2},
    {"C22/found.loom", "\"main beam on\"", What::volts_over_wires, "W9", 0.25, 0.2},
    // reckoned: 10 m of 18 gauge at 5 A
    {"C24/test-wires.loom", "", What::volts_over_wires, "W1 W2", 1.05, 0.1},
    // reckoned from the 0.55th power of the volts: 36.3 A at 14 V
    {"C26/one-40.loom", "S1 on, engine running", What::amps_in_wire, "W1", 36.3, 0.03},
    // read: 14.4 V in front, 13.9 V behind; twice that with two batteries
    {"C28/one-battery.loom", "\"engine charges\", engine running", What::volts_over_wires, "W1 W2 W3", 0.45, 0.25},
    // marine table: 0.21 V and 0.84 V over 21 ft at 10 A
    {"C30/gauge-10.loom", "S1 on", What::volts_over_wires, "W2 W3 W4", 0.21, 0.1},
    {"C30/gauge-16.loom", "S1 on", What::volts_over_wires, "W2 W3 W4", 0.84, 0.1},
    // reckoned: 30 mA through the buzzer
    {"C58/no-diode.loom", "", What::amps_in_wire, "W20", 0.030, 0.1},
    // reckoned: 0.8 V across the unlit side, with its two 21 W bulbs as hot as when lit; cold they get less, and at most that
    {"C70/bulbs.loom", "S0 on, \"K7 lit\", S1 left", What::volts_across, "E3", 0.45, 0.8},
    // measured: the ground 5 V up
    {"C78/found.loom", "S1 on", What::volts_at, "SP1", 5, 0.1},
    // 6 V each in a row
    {"C84/as-built.loom", "S1 low", What::volts_across, "M1", 6.2, 0.05},
    {"C84/as-built.loom", "S1 low", What::volts_across, "M2", 6.2, 0.05},
    // printed: 30 A over 1.2 m of 12 gauge lose 0.19 V
    {"C90/as-described.loom", "S1 start", What::ohms_of_wire, "W1 W2 W3 W4", 0.19 / 30, 0.2},
};

double ours(const Bench& b, const Prediction& p, const Figure& f) {
    double sum = 0;
    std::istringstream names(f.things);
    for (std::string name; names >> name;) {
        if (f.what == What::volts_at) return p.point.volts[b.terminal(name).index].value().si;
        if (f.what == What::volts_across) return std::abs(p.point.primitive_volts[b.primitive(name).index].value().si);
        for (std::size_t i = 0; i < b.circuit().wires.size(); ++i) { // a wire over a plug is two pieces of one name
            if (b.circuit().wires[i].name != name) continue;
            const double volts = std::abs(p.point.wire_drop[i].value().si),
                         amps = std::abs(p.point.wire_amps[i].value().si);
            if (f.what == What::amps_in_wire) return amps;
            sum += f.what == What::ohms_of_wire ? volts / amps : volts; // the same current in all of them
        }
    }
    return sum;
}

} // namespace

TEST_CASE("figures that strangers measured or reckoned come out") {
    for (const Figure& f : figures) {
        const std::string about = std::string(f.file) + ": " + f.things;
        CAPTURE(about);
        std::string text = support::read_file(support::source_path(std::string("tests/cases/real/") + f.file));
        const Bench b(text.erase(0, text.find('\n') + 1)); // the bench writes the first line itself
        const Prediction p = predict(b.view(), *read_wish(b.circuit(), f.when));
        CHECK(p.arrived.settled);
        const double found = ours(b, p, f); // not by Approx, which adds its share of one
        CAPTURE(found);
        CAPTURE(f.expected);
        CHECK(std::abs(found - f.expected) <= f.tolerance * f.expected);
    }
}
