/// Circuits made at random, whose maker knows when each load is on: the solver has to find the same in every switch position that it
/// reaches. And what must hold for any circuit: power given is power taken, currents balance at every node.

#include "circuit/read.hpp"
#include "circuit/view.hpp"
#include "solve/expectations.hpp"
#include "support/random.hpp"
#include "support/scenario/scenario.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>

using namespace loomproof;
using namespace loomproof::solve;

namespace {

/// Controls by the names that the maker gives them.
std::map<std::string, std::string> named(const Circuit& c, const Positions& positions) {
    std::map<std::string, std::string> out;
    for (std::size_t i = 0; i < c.controls.size(); ++i) {
        const Control& k = c.controls[i];
        const std::string part = name_of(c, k.part);
        out[k.type == Control::Type::condition ? "when " + k.name
            : k.name.empty()                   ? part
                                               : part + "." + k.name] = k.positions[positions[i]];
    }
    return out;
}

TerminalId filament_of(const Circuit& c, PartId part, const std::string& name) {
    for (TerminalId t : c.at(part).terminals)
        if (c.at(t).role == Role::filament && c.at(t).stamp == name) return t;
    return {};
}

struct Made {
    scenario::Scenario scenario;
    Sources sources;
    Reading reading;
    Made(std::uint64_t seed, int size, scenario::Profile profile) : scenario(scenario::make(seed, size, profile)) {
        reading = read_circuit_text(sources, "made", scenario::write(scenario.plan).main());
        REQUIRE(reading.findings.empty());
    }
    const Circuit& circuit() const { return reading.circuit; }
};

} // namespace

TEST_CASE("every load is on where its maker says, in every switch position that can be reached") {
    std::size_t compared = 0, states = 0, on = 0, wrong = 0;
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        const Made made(seed, 8 + static_cast<int>(seed) % 5 * 9,
                        seed % 3 == 0 ? scenario::Profile::history : scenario::Profile::clean);
        const Circuit& c = made.circuit();
        const View view = View::now(c);
        ExploreOptions options;
        options.most = 600;
        const Behaviour behaviour = explore(view, options);
        INFO("seed ", seed);
        for (const Trouble& t : behaviour.troubles) CHECK_MESSAGE(t.kind != Trouble::Kind::not_solved, "seed ", seed);
        CHECK(behaviour.troubles.empty());
        for (StateId s = 0; s < behaviour.states.size() && s < 150; ++s) {
            if (!behaviour.states[s].stable) continue;
            ++states;
            const Positions& positions = behaviour.states[s].positions;
            const Point point = behaviour.point(s);
            CHECK(point.settled);
            const auto at = named(c, positions);
            for (const scenario::Load& load : made.scenario.plan.loads) {
                const scenario::Part& part = made.scenario.plan.parts[static_cast<std::size_t>(load.part)];
                if (!part.alive) continue;
                PartId id;
                for (PartId p : view.parts())
                    if (name_of(c, p) == part.name) id = p;
                REQUIRE(id.exists());
                const Doing seen =
                    doing(view, id, load.filament.empty() ? TerminalId{} : filament_of(c, id, load.filament), point,
                          positions);
                const bool wanted = scenario::is_on(made.scenario.plan, load, at);
                ++compared;
                on += wanted ? 1 : 0;
                if (seen == (wanted ? Doing::on : Doing::off)) continue;
                if (++wrong < 10)
                    FAIL_CHECK("seed " << seed << ": " << part.name << ":" << load.filament << " should be "
                                       << (wanted ? "on" : "off") << " and is " << static_cast<int>(seen) << " with "
                                       << said(c, positions));
            }
        }
        for (const Judged& j : judge_expectations(behaviour)) CHECK(j.verdict != Judged::Verdict::broken);
    }
    CHECK(wrong == 0);
    MESSAGE(compared << " loads compared in " << states << " states, " << on << " of them on");
    CHECK(states > 1500);
    CHECK(on > 2000);
    CHECK(compared - on > 2000);
}

TEST_CASE("power given is power taken and currents balance, recalculated from what each device says of itself") {
    double worst_power = 0, worst_balance = 0;
    std::size_t points = 0;
    for (std::uint64_t seed = 1; seed <= 120; ++seed) {
        static constexpr scenario::Profile profiles[] = {scenario::Profile::tangled, scenario::Profile::clean,
                                                         scenario::Profile::doubt, scenario::Profile::tangled,
                                                         scenario::Profile::stress};
        const Made made(seed, 5 + static_cast<int>(seed) * 7 % 120, profiles[seed % 5]);
        const Circuit& c = made.circuit();
        test::Random random(seed);
        Conditions conditions;
        conditions.engine_running = seed % 2 == 0;
        conditions.starting = seed % 7 == 0;
        Model model(View::now(c), conditions);
        for (int round = 0; round < 5; ++round) {
            Positions p = at_rest(c);
            for (std::size_t i = 0; i < p.size(); ++i)
                p[i] = static_cast<std::uint8_t>(random.below(c.controls[i].positions.size()));
            const Model::Raw raw = model.raw(p);
            REQUIRE(raw.solution.converged);
            std::vector<double> sum(raw.solution.volts.size(), 0);
            double given = 0, taken = 0,
                   largest = 1; // below an amp the last digit of 12.6 V over microhms is what is left
            for (std::size_t k = 0; k < raw.ends.size(); ++k) {
                const double volts = raw.solution.volts[raw.ends[k].a] - raw.solution.volts[raw.ends[k].b];
                const double amps = respond(raw.devices[k], volts).amps;
                CHECK(std::isfinite(amps));
                sum[raw.ends[k].a] += amps;
                sum[raw.ends[k].b] -= amps;
                (volts * amps < 0 ? given : taken) += std::abs(volts * amps);
                largest = std::max(largest, std::abs(amps));
            }
            for (double s : sum) worst_balance = std::max(worst_balance, std::abs(s) / largest);
            worst_power = std::max(worst_power, std::abs(given - taken) / std::max(given, 1.0));
            ++points;
        }
    }
    MESSAGE(points << " operating points; balance " << worst_balance << ", power " << worst_power);
    CHECK(points == 600);
    CHECK(worst_balance < 1e-9);
    CHECK(worst_power < 1e-9);
}
