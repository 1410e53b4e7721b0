#include "draw/layout_library.hpp"

#include "draw/layout_module.h"
#include "draw/module.hpp"

#include <algorithm>
#include <mutex>

namespace loomproof::draw {
namespace {

struct Library {
    loomproof_levels_function levels = nullptr;
    std::string trouble;
};

Library load() {
    constexpr const char* file = "loomproof-layout.so";
    const auto without = [&](const std::string& reason) {
        return Library{nullptr,
                       std::string("Nothing can be drawn: the file ") + file + " cannot be used (" + reason + ")."};
    };
    const Result<Module> module = Module::open(file);
    if (!module) return without(module.error());
    const auto levels = module->find<loomproof_levels_function>("loomproof_levels");
    return levels == nullptr ? without("it belongs to another version") : Library{levels, {}};
}

// The edges as the module wants them: one for each pair of nodes, and a root below all so that they hang together.
struct Edges {
    std::vector<int> tail, head, shortest, weight;
    explicit Edges(const LevelProblem& problem) {
        std::vector<LevelProblem::Edge> edges = problem.edges();
        std::stable_sort(edges.begin(), edges.end(), [](const auto& a, const auto& b) {
            return a.tail != b.tail ? a.tail < b.tail : a.head < b.head;
        });
        std::vector<bool> has_tail(static_cast<std::size_t>(problem.nodes()), false);
        for (std::size_t i = 0; i < edges.size(); ++i) {
            if (i > 0 && edges[i].tail == edges[i - 1].tail && edges[i].head == edges[i - 1].head) {
                shortest.back() = std::max(shortest.back(), edges[i].shortest);
                weight.back() += edges[i].weight;
                continue;
            }
            push(edges[i].tail, edges[i].head, edges[i].shortest, edges[i].weight);
            has_tail[static_cast<std::size_t>(edges[i].head)] = true;
        }
        for (int n = 0; n < problem.nodes(); ++n)
            if (!has_tail[static_cast<std::size_t>(n)]) push(problem.nodes(), n, 0, 0);
    }
    void push(int t, int h, int s, int w) {
        tail.push_back(t);
        head.push_back(h);
        shortest.push_back(s);
        weight.push_back(w);
    }
};

} // namespace

Result<std::vector<int>> rows_by_library(const LevelProblem& problem) {
    if (problem.nodes() == 0) return std::vector<int>{};
    static std::mutex one_at_a_time;
    const std::lock_guard<std::mutex> lock(one_at_a_time);
    static const Library module = load();
    if (module.levels == nullptr) return failure(module.trouble);

    const Edges edges(problem);
    std::vector<int> level(static_cast<std::size_t>(problem.nodes()) + 1);
    const int wrong = module.levels(problem.nodes() + 1, static_cast<int>(edges.tail.size()), edges.tail.data(),
                                    edges.head.data(), edges.shortest.data(), edges.weight.data(), level.data());
    if (wrong != 0)
        return failure("Nothing can be drawn: the layout library gave up (reason " + std::to_string(wrong) + ").");
    level.pop_back();
    return level;
}

} // namespace loomproof::draw
