// How long after a save the new check stands on the screen: `loomproof watch`, measured from outside, with a save in place and one by
// renaming. Beside it, as a peer in the same run, what a whole check of the same file from the command line takes.
//
//     out/build/release/bench_watch
//
// Not a test: nothing here passes or fails by the clock. The goal is 100 ms.
#include "support/places.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

namespace fs = std::filesystem;
using namespace loomproof;

namespace {

using Clock = std::chrono::steady_clock;

double milliseconds_since(Clock::time_point began) {
    return std::chrono::duration<double, std::milli>(Clock::now() - began).count();
}

/// The program with its standard output in a pipe.
class Started {
  public:
    explicit Started(const std::vector<std::string>& words) {
        int ends[2];
        if (pipe(ends) != 0) throw std::runtime_error("no pipe");
        read_ = ends[0];
        posix_spawn_file_actions_t actions;
        posix_spawn_file_actions_init(&actions);
        posix_spawn_file_actions_adddup2(&actions, ends[1], STDOUT_FILENO);
        posix_spawn_file_actions_addclose(&actions, ends[0]);
        std::vector<char*> arguments;
        for (const std::string& w : words) arguments.push_back(const_cast<char*>(w.c_str()));
        arguments.push_back(nullptr);
        if (posix_spawn(&pid_, words.front().c_str(), &actions, nullptr, arguments.data(), environ) != 0)
            throw std::runtime_error("cannot start " + words.front());
        posix_spawn_file_actions_destroy(&actions);
        close(ends[1]);
    }
    Started(const Started&) = delete;
    Started& operator=(const Started&) = delete;
    ~Started() { close(read_); }

    /// Reads until `text` has come; false where the output ends before.
    bool wait_for(const std::string& text) {
        for (;;) {
            if (const auto at = seen_.find(text); at != std::string::npos) {
                seen_.erase(0, at + text.size());
                return true;
            }
            char more[65536];
            const ssize_t n = read(read_, more, sizeof more);
            if (n <= 0) return false;
            seen_.append(more, static_cast<std::size_t>(n));
        }
    }
    void stop() {
        kill(pid_, SIGINT);
        join();
    }
    void join() {
        wait_for("\n\n\n never \n");
        int status = 0;
        waitpid(pid_, &status, 0);
    }

  private:
    pid_t pid_ = -1;
    int read_ = -1;
    std::string seen_;
};

void write(const fs::path& path, const std::string& text) { std::ofstream(path, std::ios::binary) << text; }

std::string figures(std::vector<double> all) {
    std::ranges::sort(all);
    return fmt::format("median {:6.1f} ms   most {:6.1f} ms", all[all.size() / 2], all.back());
}

void measure(const std::string& name, const std::string& text, const fs::path& folder) {
    constexpr int times = 21;
    const std::string program = support::program().string();
    const fs::path file = folder / "car.loom", beside = folder / "new.loom";
    write(file, text);
    std::vector<double> peer, in_place, renamed;
    for (int i = 0; i < times; ++i) {
        const auto began = Clock::now();
        Started({program, "check", file.string()}).join();
        peer.push_back(milliseconds_since(began));
    }
    Started watch({program, "watch", file.string()});
    const std::string waiting = "Waiting for the next save";
    if (!watch.wait_for(waiting)) return;
    for (int i = 0; i < 2 * times; ++i) {
        usleep(30000); // nobody saves faster; the watcher rests
        const std::string changed = text + fmt::format("// save {}\nlamp E{}, 5 W\n", i, 900 + i);
        const bool rename = i % 2 == 1;
        if (rename) write(beside, changed);
        const auto began = Clock::now();
        if (rename)
            fs::rename(beside, file);
        else
            write(file, changed);
        if (!watch.wait_for(waiting)) return;
        (rename ? renamed : in_place).push_back(milliseconds_since(began));
    }
    watch.stop();
    fmt::print("{}\n  a save in place     {}\n  a save by renaming  {}\n  peer: check, whole  {}\n", name,
               figures(in_place), figures(renamed), figures(peer));
    std::fflush(stdout);
}

} // namespace

int main() {
    const fs::path folder = support::source_path("out/tmp") / "bench-watch";
    fs::create_directories(folder);
    fmt::print("from a save to the check on the screen; the goal is 100 ms ({})\n", BENCH_BUILT);
    measure("one lamp, 6 lines",
            "loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nlamp E1, 55 W\nwire from battery:+ to F1, 2.5 mm2 red, 0.1 m\nwire "
            "from F1 to E1, 2.5 mm2 red, 1 m\nwire from E1:- to ground, 2.5 mm2 black, 1 m\n",
            folder);
    for (const char* used : {"demo-vehicle-factory.loom"})
        fs::copy_file(support::source_path(std::string("netlists/") + used), folder / used,
                      fs::copy_options::overwrite_existing);
    measure("the demo vehicle", support::read_file(support::source_path("netlists/demo-vehicle.loom")), folder);
    fs::remove_all(folder);
}
