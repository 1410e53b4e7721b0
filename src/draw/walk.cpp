#include "draw/walk.hpp"

#include <algorithm>
#include <numeric>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

} // namespace

Walk walk_down(const std::vector<Thing>& things, const std::vector<std::uint64_t>& rank) {
    std::vector<bool> seen(things.size(), false);
    Walk walk;
    walk.met.assign(things.size(), 0);
    int count = 0;
    std::vector<int> came_from(things.size(), -1);
    std::vector<int> stack;
    std::vector<Touch> down;
    for (std::size_t root = 0; root < things.size(); ++root) {
        if (seen[root] || !things[root].above.empty()) continue;
        stack.push_back(static_cast<int>(root));
        while (!stack.empty()) {
            const int n = stack.back();
            stack.pop_back();
            if (seen[index(n)]) continue;
            seen[index(n)] = true;
            walk.met[index(n)] = count++;
            walk.order.push_back(n);
            down = things[index(n)].below;
            if (!rank.empty())
                std::stable_sort(down.begin(), down.end(), [&](const Touch& a, const Touch& b) {
                    return rank[index(a.other)] < rank[index(b.other)];
                });
            for (auto t = down.rbegin(); t != down.rend(); ++t) {
                stack.push_back(t->other);
                if (!seen[index(t->other)])
                    came_from[index(t->other)] = n; // the last to push it is where it is met from
            }
        }
    }
    // What hangs on each node in the walk is met right behind it.
    walk.branch.assign(things.size(), 1);
    for (auto n = walk.order.rbegin(); n != walk.order.rend(); ++n)
        if (came_from[index(*n)] >= 0) walk.branch[index(came_from[index(*n)])] += walk.branch[index(*n)];
    return walk;
}

std::vector<int> by_home(const std::vector<Thing>& things, std::vector<double> place, const std::vector<int>& met) {
    const std::vector<double> known = place;
    for (int round = 0; round < 40; ++round) {
        std::vector<double> next = place;
        for (std::size_t n = 0; n < things.size(); ++n) {
            if (known[n] >= 0) continue;
            double sum = 0;
            int count = 0;
            for (const std::vector<Touch>* touches : {&things[n].above, &things[n].below})
                for (const Touch& t : *touches)
                    if (place[index(t.other)] >= 0) {
                        sum += place[index(t.other)];
                        ++count;
                    }
            if (count > 0) next[n] = sum / count;
        }
        place = std::move(next);
    }
    std::vector<int> order(things.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
        const double x = place[index(a)], y = place[index(b)];
        return x != y ? x < y : met[index(a)] < met[index(b)];
    });
    return order;
}

} // namespace loomproof::draw
