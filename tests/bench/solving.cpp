// The solver and the search measured: goals and peers beside the figures, in one run.
//
//     out/build/dev/bench_solving            everything; a minute or two
//     out/build/dev/bench_solving groups     only the random circuits whose switches are tried in groups; also demo, sizes, eigen, graph, reading, memory
//
// Not a test: nothing here passes or fails by the clock, and nobody runs it but people. Shared machines vary by a quarter: trust ratios.
#include "bench/graph_rows.hpp"
#include "bench/linear_peer.hpp"
#include "bench/measure.hpp"
#include "circuit/read.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "solve/groups_peer.hpp"
#include "solve/network.hpp"
#include "support/scenario/scenario.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>

#include <malloc.h>

using namespace loomproof;
using namespace loomproof::bench;

namespace {

void demo(const std::string& built, const std::string& file) {
    Sources sources;
    const Reading reading = read_circuit(sources, file, [](const std::string& path) -> Result<std::string> {
        std::ifstream in(path, std::ios::binary);
        if (!in) return failure("no " + path);
        return std::string(std::istreambuf_iterator<char>(in), {});
    });
    if (!reading.readable) return say("Run this from the top of the tree: circuits are read from " + file + ".");
    const std::size_t before = solve::operating_points();
    const rules::Study study(reading.circuit);
    const rules::Outcome outcome =
        rules::check(study); // all that the command does, the circuit as it was built included
    const std::size_t solves = solve::operating_points() - before;
    const rules::Survey* survey = rules::survey_of(study);
    const auto stable = std::ranges::count_if(survey->behaviour.states, [](const solve::State& x) { return x.stable; });
    say(fmt::format(
        "check of {}: {} wires, {} findings; as it is now {} states ({} at rest); {} operating points by all "
        "rules together",
        file, study.now.wires().size(), outcome.findings.size(), survey->behaviour.states.size(), stable, solves));
    const Taken empty = process({built + "/bench_empty"}, 101),
                check = process({built + "/loomproof", "check", file}, 101);
    const auto against = [&](const char* what, double ours, double nothing) {
        const double goal = 1.3 * nothing + 50e-6 * static_cast<double>(solves);
        say(fmt::format("  {}: {:.2f} ms; an empty one linked the same way {:.2f} ms; goal 1.3 of that and 50 us a "
                        "solve {:.2f} ms; share of the goal {:.2f} (1 or less reaches it); {:.1f} us a solve, all else "
                        "in it",
                        what, ours * 1e3, nothing * 1e3, goal * 1e3, ours / goal,
                        (ours - nothing) / static_cast<double>(std::max<std::size_t>(solves, 1)) * 1e6));
    };
    against("whole process by the clock", check.wall, empty.wall);
    against("its processor time", check.processor, empty.processor);
}

void sizes() {
    say("one tree of boxes: us a wire (rules: all of them, switch positions too where the wires are few enough to try "
        "them), and one "
        "operating point from nothing");
    say("    wires    read   study   rules   graph  first point  warm point");
    for (const int wires : {100, 500, 1000, 10000, 100000}) {
        const std::string text = scenario::write(scenario::make(1, wires, scenario::Profile::stress)).main();
        Sources sources;
        Reading reading;
        const double read = seconds([&] { reading = read_circuit_text(sources, "stress", text); });
        const View now = View::now(reading.circuit);
        const double n = static_cast<double>(now.wires().size());
        const double graph = seconds([&] { const Graph g(now); });
        std::optional<rules::Study> study;
        const double studied = seconds([&] { study.emplace(reading.circuit); });
        const double judged = seconds([&] { static_cast<void>(rules::check(*study)); });
        solve::Model model(now);
        solve::Positions p = solve::at_rest(reading.circuit);
        for (std::size_t i = 0; i < p.size(); ++i)
            p[i] = static_cast<std::uint8_t>(reading.circuit.controls[i].positions.size() - 1);
        solve::Model::Quick first;
        const double cold = seconds([&] { first = model.quick(p); });
        const double warm = seconds([&] {
                                for (int i = 0; i < 10; ++i) model.quick(p, first.nodes);
                            }) /
                            10;
        say(fmt::format("{:9} {:7.1f} {:7.1f} {:7.1f} {:7.2f} {:9.2f} ms {:8.2f} ms", now.wires().size(),
                        read / n * 1e6, studied / n * 1e6, judged / n * 1e6, graph / n * 1e6, cold * 1e3, warm * 1e3));
    }
}

/// What is remembered of every state once a rule has asked for all of them: the solutions, from which points are told anew.
void memory() {
    const std::string text = scenario::write(scenario::make(1, 500, scenario::Profile::stress)).main();
    Sources sources;
    const Reading reading = read_circuit_text(sources, "stress", text);
    const View now = View::now(reading.circuit);
    const auto megabytes = [] { return static_cast<double>(mallinfo2().uordblks) / 1e6; };
    const double before = megabytes();
    const solve::Behaviour behaviour = solve::explore(now);
    const double explored = megabytes();
    for (solve::StateId s = 0; s < behaviour.states.size(); ++s) static_cast<void>(behaviour.point(s));
    const double all = megabytes() - explored;
    const double again = seconds([&] {
        for (solve::StateId s = 0; s < behaviour.states.size(); ++s) static_cast<void>(behaviour.point(s));
    });
    const auto states = static_cast<double>(behaviour.states.size());
    const double each = static_cast<double>(behaviour.remembered()) / states;
    const solve::ExploreOptions limits;
    const auto most = static_cast<double>(limits.most * limits.most_groups);
    say(fmt::format(
        "memory: {} wires, {} states ({}): {:.1f} MB for the states, {:.1f} MB more with every point "
        "remembered, {:.1f} kB a state; at the search's limit of {:.0f} that would be {:.0f} MB; a point told "
        "again {:.0f} us",
        now.wires().size(), behaviour.states.size(), behaviour.complete ? "all" : "capped", explored - before, all,
        each / 1e3, most, each * most / 1e6, again / states * 1e6));
}

void groups() {
    std::size_t circuits = 0, capped = 0, whole = 0, positions = 0, missed = 0, situations = 0, together = 0;
    std::size_t certain = 0, lost = 0, made_up = 0, troubles = 0, untold = 0;
    const double time = seconds([&] {
        for (std::uint64_t seed = 5001; seed <= 5300; ++seed) {
            const test::GroupsCompared x = test::compare_groups(seed, 5 + static_cast<unsigned>(seed % 4),
                                                                1 + static_cast<unsigned>(seed % 3), 20000);
            ++circuits;
            if (!x.complete) {
                ++capped;
                continue;
            }
            whole += x.missed == 0 ? 1 : 0;
            positions += x.positions;
            missed += x.missed;
            situations += x.situations;
            together += x.joint_situations;
            certain += x.certain;
            lost += x.certain_missed;
            made_up += x.certain_made_up;
            troubles += x.troubles;
            untold += x.troubles_missed;
            if (x.missed > 0) say(fmt::format("  seed {}: {} of {} positions missed", seed, x.missed, x.positions));
        }
    });
    say(fmt::format("switches in groups against all together, up to 8 switches: {} circuits, {} capped, {} of the rest "
                    "whole; {} positions, {} missed; {} operating points instead of {}; {:.1f} s",
                    circuits, capped, whole, positions, missed, situations, together, time));
    say(fmt::format(
        "  troubles of relays: {} together, {} of them in no group; certain ones (same relays): {} together, {} of "
        "them in no group, {} in groups only",
        troubles, untold, certain, lost, made_up));
}

} // namespace

int main(int count, char** values) {
    const std::string self = values[0], only = count > 1 ? values[1] : "";
    if (only.empty() || only == "demo")
        for (const char* file : {"netlists/demo-vehicle.loom", "netlists/demo-vehicle-factory.loom"})
            demo(self.substr(0, self.rfind('/')), file);
    if (only.empty() || only == "sizes") sizes();
    if (only.empty() || only == "eigen") beside_eigen();
    if (only.empty() || only == "graph") graph_rows(BENCH_FOLDER);
    if (only.empty() || only == "reading") reading_rows();
    if (only.empty() || only == "memory") memory();
    if (only.empty() || only == "groups") groups();
    return 0;
}
