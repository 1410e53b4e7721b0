// One wire more must not turn the sheet upside down: who knows the drawing finds everything where it was.
#include "circuit/read.hpp"
#include "draw/from_circuit.hpp"
#include "draw/sheet.hpp"
#include "support/places.hpp"
#include "support/sanitized.hpp"
#include "support/scenario/scenario.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <vector>

using namespace loomproof;

namespace {

using Places = std::map<std::string, draw::Point>;

Places places_in(const std::string& text) {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "calm.loom", text);
    draw::Sketch sketch = draw::sketch_of(View::now(reading.circuit), {.title = {}, .tables = false});
    if (reading.circuit.has_factory)
        REQUIRE(draw::remember_places(sketch,
                                      draw::sketch_of(View::factory(reading.circuit), {.title = {}, .tables = false})));
    const Result<draw::Sheet> sheet = draw::lay_out(sketch, {});
    REQUIRE_MESSAGE(sheet, sheet.error());
    Places out;
    for (const draw::PaintedSymbol& s : sheet->symbols) {
        // Feet of a stud are counted on from wire to wire: they are known by where their wire comes from, not by their number.
        const draw::Symbol& symbol = sketch.symbols[static_cast<std::size_t>(s.symbol)];
        if (symbol.kind == draw::SymbolKind::foot) continue;
        out[symbol.key] = {s.box.left, (s.box.top + s.box.bottom) / 2};
    }
    return out;
}

struct Kept {
    int parts = 0, kept = 0;
    double share() const { return parts == 0 ? 1 : static_cast<double>(kept) / parts; }
};

// A part keeps its place where its three nearest neighbours are still on the same side of it, left or right and above or below.
Kept compare(const Places& before, const Places& after) {
    constexpr std::size_t neighbours = 3;
    constexpr double same = 14; // less than that is beside, not left or right
    const auto side = [&](double d) { return std::abs(d) < same ? 0 : d < 0 ? -1 : 1; };
    Kept kept;
    for (const auto& [key, at] : before) {
        const auto now = after.find(key);
        if (now == after.end()) continue;
        std::vector<std::pair<double, std::string>> near;
        for (const auto& [other, there] : before)
            if (other != key && after.contains(other))
                near.emplace_back(std::hypot(there.x - at.x, there.y - at.y), other);
        std::sort(near.begin(), near.end());
        near.resize(std::min(near.size(), neighbours));
        ++kept.parts;
        const bool all = std::all_of(near.begin(), near.end(), [&](const auto& n) {
            const draw::Point was = before.at(n.second), is = after.at(n.second);
            const int dx = side(was.x - at.x), dy = side(was.y - at.y), dx_now = side(is.x - now->second.x),
                      dy_now = side(is.y - now->second.y);
            return dx * dx_now >= 0 && dy * dy_now >= 0;
        });
        kept.kept += all ? 1 : 0;
    }
    return kept;
}

std::string pickup() {
    const std::string factory = support::read_file(support::source_path("netlists/demo-vehicle-factory.loom"));
    const std::string jobs = support::read_file(support::source_path("netlists/demo-vehicle.loom"));
    return factory + jobs.substr(jobs.find("job "));
}

// What somebody may add on a Saturday, each as one more wire with what it needs.
const std::vector<std::string> additions{
    "wire W901 from battery:+ to nothing, 2.5 mm2 RD, 1 m\n",
    "fuse F901, 5 A\nwire W902 from battery:+ to F901, 2.5 mm2 RD, 0.1 m\n",
    "fuse F902, 5 A\nlamp E901 \"boot lamp\", 5 W\nwire W903 from battery:+ to F902, 2.5 mm2 RD, 0.1 m\nwire W904 from "
    "F902 to E901, 1 mm2 WH, 1 m\n"
    "wire W905 from E901 to ground, 1 mm2 BN, 1 m\n",
};

} // namespace

TEST_CASE("with one wire more, nine parts of ten keep their place among their neighbours") {
    Kept car;
    const Places before = places_in(pickup());
    std::vector<std::string> more = additions;
    more.push_back("wire W910 from H4 to GND3, 1.5 mm2 BN, 1 m\n");
    more.push_back("wire W911 from SP4 to nothing, 1 mm2 BK/RD, 1 m\n");
    more.push_back("lamp E902 \"glove box lamp\", 5 W\nwire W912 from SP1 to E902, 0.75 mm2 GY, 1 m\nwire W913 from "
                   "E902 to GND3, 0.75 mm2 BN, 1 m\n");
    more.push_back("wire W914 from M2:- to GND2, 1.5 mm2 BN, 1 m\n");
    for (const std::string& addition : more) {
        const Kept kept = compare(before, places_in(pickup() + addition));
        MESSAGE("the pickup, with " << addition.substr(0, addition.find(',')) << ": " << kept.kept << " of "
                                    << kept.parts << " keep their place");
        car.parts += kept.parts;
        car.kept += kept.kept;
    }
    if (support::sanitized) return; // the layouts themselves are tried elsewhere
    Kept random;
    double worst = 1;
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        const scenario::Scenario s = scenario::make(seed, 10 + static_cast<int>(seed * 5), scenario::Profile::clean);
        const std::string text = scenario::write(s).main();
        const Places as_it_was = places_in(text);
        for (const std::string& addition : additions) {
            const Kept kept = compare(as_it_was, places_in(text + addition));
            random.parts += kept.parts;
            random.kept += kept.kept;
            worst = std::min(worst, kept.share());
        }
    }
    MESSAGE("the pickup: " << 100 * car.share() << " % of the parts keep their place; random circuits: "
                           << 100 * random.share() << " %, the worst " << 100 * worst << " %");
    CHECK(car.share() >= 0.9);
    CHECK(random.share() >= 0.9);
}
