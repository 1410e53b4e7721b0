// Apart from the header because <sys/wait.h> makes macros of short names.
#include "bench/measure.hpp"

#include <chrono>

#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace loomproof::bench {

Taken process(const std::vector<std::string>& command, std::size_t times) {
    std::vector<double> wall, processor;
    for (std::size_t i = 0; i < times; ++i) {
        std::vector<char*> arguments;
        for (const std::string& a : command) arguments.push_back(const_cast<char*>(a.c_str()));
        arguments.push_back(nullptr);
        const auto began = std::chrono::steady_clock::now();
        posix_spawn_file_actions_t actions;
        posix_spawn_file_actions_init(&actions);
        posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", 1, 0);
        pid_t child = 0;
        int status = 0;
        rusage used{};
        if (posix_spawn(&child, arguments[0], &actions, nullptr, arguments.data(), environ) == 0)
            wait4(child, &status, 0, &used);
        posix_spawn_file_actions_destroy(&actions);
        wall.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count());
        const auto in_seconds = [](const timeval& t) {
            return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
        };
        processor.push_back(in_seconds(used.ru_utime) + in_seconds(used.ru_stime));
    }
    for (std::vector<double>* all : {&wall, &processor})
        std::ranges::nth_element(*all, all->begin() + static_cast<std::ptrdiff_t>(times / 2));
    return {wall[times / 2], processor[times / 2]};
}

} // namespace loomproof::bench
