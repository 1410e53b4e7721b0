#pragma once
/// Time taken, and one line after the other on the terminal as it comes.

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <cstdio>
#include <ctime>
#include <string>
#include <vector>

namespace loomproof::bench {

inline void say(const std::string& line) {
    fmt::print("{}\n", line);
    std::fflush(stdout);
}

/// Processor time of this process: what others do on the machine meanwhile is not in it.
template <class Work> double seconds(const Work& work) {
    const auto now = [] {
        timespec t{};
        clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
        return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
    };
    const double began = now();
    work();
    return now() - began;
}

/// The median of so many runs.
template <class Work> double median_seconds(const Work& work, std::size_t times) {
    std::vector<double> all;
    for (std::size_t i = 0; i < times; ++i) all.push_back(seconds(work));
    std::ranges::nth_element(all, all.begin() + static_cast<std::ptrdiff_t>(times / 2));
    return all[times / 2];
}

struct Taken {
    double wall = 0, processor = 0; ///< seconds
};

/// Medians of a process, its output thrown away.
Taken process(const std::vector<std::string>& command, std::size_t times);

} // namespace loomproof::bench
