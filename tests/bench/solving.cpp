// The solver and the search measured: goals and peers beside the figures, in one run.
//
//     out/build/dev/bench_solving            everything; a minute or two
//     out/build/dev/bench_solving groups     only the random circuits whose switches are tried in groups
//
// Not a test: nothing here passes or fails by the clock, and nobody runs it but people. Shared machines vary by a quarter: trust ratios.
#include "circuit/read.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "solve/groups_peer.hpp"
#include "support/scenario/scenario.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

using namespace loomproof;

namespace {

void say(const std::string& line) {
    fmt::print("{}\n", line);
    std::fflush(stdout);
}

template <class Work> double seconds(const Work& work) {
    const auto began = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
}

/// Median wall time of a process, its output thrown away; in seconds.
double process(const std::vector<std::string>& command, int times) {
    std::vector<double> all;
    for (int i = 0; i < times; ++i)
        all.push_back(seconds([&] {
            std::vector<char*> arguments;
            for (const std::string& a : command) arguments.push_back(const_cast<char*>(a.c_str()));
            arguments.push_back(nullptr);
            posix_spawn_file_actions_t actions;
            posix_spawn_file_actions_init(&actions);
            posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", 1, 0);
            pid_t child = 0;
            int status = 0;
            if (posix_spawn(&child, arguments[0], &actions, nullptr, arguments.data(), environ) == 0)
                waitpid(child, &status, 0);
            posix_spawn_file_actions_destroy(&actions);
        }));
    std::ranges::nth_element(all, all.begin() + times / 2);
    return all[static_cast<std::size_t>(times / 2)];
}

void demo(const std::string& built) {
    const std::string file = "netlists/demo-vehicle.loom";
    std::ifstream in(file, std::ios::binary);
    if (!in) return say("Run this from the top of the tree: the demo is read from " + file + ".");
    Sources sources;
    const Reading reading = read_circuit_text(sources, file, std::string(std::istreambuf_iterator<char>(in), {}));
    const rules::Study study(reading.circuit);
    const rules::Survey* survey = rules::survey_of(study);
    const std::size_t solves =
        survey->behaviour.situations + static_cast<std::size_t>(std::ranges::count_if(
                                           survey->behaviour.states, [](const solve::State& s) { return s.stable; }));
    const double empty = process({built + "/bench_empty"}, 101),
                 check = process({built + "/loomproof", "check", file}, 101);
    say(fmt::format("check of the demo: {} wires, {} states, {} operating points", study.now.wires().size(),
                    survey->behaviour.states.size(), solves));
    say(fmt::format("  whole process {:.2f} ms, an empty one linked the same way {:.2f} ms; goal 1.3 of that and 50 us "
                    "a solve: {:.2f} ms",
                    check * 1e3, empty * 1e3, (1.3 * empty + 50e-6 * static_cast<double>(solves)) * 1e3));
    say(fmt::format("  ratio to the goal {:.2f} (1 or less reaches it)",
                    check / (1.3 * empty + 50e-6 * static_cast<double>(solves))));
}

void sizes() {
    say("one tree of boxes: us a wire, and one operating point from nothing");
    say("    wires    read   study   graph  first point  warm point");
    for (const int wires : {100, 1000, 10000}) {
        const std::string text = scenario::write(scenario::make(1, wires, scenario::Profile::stress)).main();
        Sources sources;
        Reading reading;
        const double read = seconds([&] { reading = read_circuit_text(sources, "stress", text); });
        const View now = View::now(reading.circuit);
        const double n = static_cast<double>(now.wires().size());
        const double graph = seconds([&] { const Graph g(now); });
        double study = -1;
        if (wires <= 1000) study = seconds([&] { const rules::Study s(reading.circuit); });
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
        say(fmt::format("{:9} {:7.1f} {:>7} {:7.2f} {:9.2f} ms {:8.2f} ms", now.wires().size(), read / n * 1e6,
                        study < 0 ? std::string("-") : fmt::format("{:.1f}", study / n * 1e6), graph / n * 1e6,
                        cold * 1e3, warm * 1e3));
    }
}

void groups() {
    std::size_t circuits = 0, capped = 0, whole = 0, positions = 0, missed = 0, situations = 0, together = 0;
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
            if (x.missed > 0) say(fmt::format("  seed {}: {} of {} positions missed", seed, x.missed, x.positions));
        }
    });
    say(fmt::format("switches in groups against all together, up to 8 switches: {} circuits, {} capped, {} of the rest "
                    "whole; {} positions, {} missed; {} operating points instead of {}; {:.1f} s",
                    circuits, capped, whole, positions, missed, situations, together, time));
}

} // namespace

int main(int count, char** values) {
    const std::string self = values[0], only = count > 1 ? values[1] : "";
    if (only.empty() || only == "demo") demo(self.substr(0, self.rfind('/')));
    if (only.empty() || only == "sizes") sizes();
    if (only.empty() || only == "groups") groups();
    return 0;
}
