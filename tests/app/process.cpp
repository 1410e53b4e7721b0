#include "app/process.hpp"

#include "support/places.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <stdexcept>

#include <fmt/core.h>

extern char** environ; // NOLINT: as POSIX declares it

namespace loomproof::tests {

namespace fs = std::filesystem;

namespace {

struct Descriptor {
    int number = -1;
    explicit Descriptor(int n) : number(n) {
        if (n < 0) throw std::runtime_error("a test could not open what it needs");
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() { close(); }
    void close() {
        if (number >= 0) ::close(number);
        number = -1;
    }
};

int create(const fs::path& path) { return ::open(path.c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0600); }

int open_terminal() {
    const int master = ::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (master >= 0 && (::grantpt(master) != 0 || ::unlockpt(master) != 0)) return -1;
    return master;
}

/// Everything until the last writer is gone.
std::string drained(int from) {
    std::string out;
    char buffer[4096];
    for (ssize_t n = 0; (n = ::read(from, buffer, sizeof buffer)) > 0;) out.append(buffer, static_cast<std::size_t>(n));
    return out;
}

std::vector<std::string> environment_of(const Run& run) {
    std::vector<std::string> out{"TERM=xterm"};
    for (char** at = environ; *at != nullptr; ++at) {
        const std::string_view one = *at;
        for (const std::string_view passed : {"ASAN_OPTIONS=", "UBSAN_OPTIONS=", "LSAN_OPTIONS="})
            if (one.starts_with(passed)) out.emplace_back(one);
    }
    for (const std::string& added : run.environment) {
        const std::string name = added.substr(0, added.find('=') + 1);
        std::erase_if(out, [&](const std::string& e) { return e.starts_with(name); });
        if (added.size() > name.size()) out.push_back(added);
    }
    return out;
}

std::vector<char*> pointers(std::vector<std::string>& strings) {
    std::vector<char*> out;
    out.reserve(strings.size() + 1);
    for (std::string& s : strings) out.push_back(s.data());
    out.push_back(nullptr);
    return out;
}

} // namespace

Bench::Bench(std::string_view name) {
    folder_ = support::source_path("out/tmp/app") / support::build_folder().filename() / name;
    fs::remove_all(folder_);
    fs::create_directories(folder_);
}

void Bench::write(std::string_view relative, std::string_view text) const {
    const fs::path path = folder_ / relative;
    fs::create_directories(path.parent_path());
    std::ofstream(path, std::ios::binary) << text;
}

std::string Bench::read(std::string_view relative) const { return support::read_file(folder_ / relative); }

std::vector<std::string> Bench::files() const {
    std::vector<std::string> out;
    for (const fs::directory_entry& e : fs::recursive_directory_iterator(folder_))
        out.push_back(e.path().lexically_relative(folder_).string());
    std::sort(out.begin(), out.end());
    return out;
}

Ended run(const Bench& bench, const Run& run) {
    // Beside the folder, so that the test sees in it only what the program did.
    const std::string beside = bench.folder().string();
    std::ofstream(beside + ".in", std::ios::binary) << run.input;
    Descriptor in(::open((beside + ".in").c_str(), O_RDONLY | O_CLOEXEC));
    Descriptor err(create(beside + ".err"));
    Descriptor out(run.output == Run::Output::full ? ::open("/dev/full", O_WRONLY | O_CLOEXEC)
                                                   : create(beside + ".out"));
    Descriptor master(run.output == Run::Output::terminal ? open_terminal() : ::dup(in.number));
    if (run.output == Run::Output::terminal) {
        out.close();
        out.number = ::open(::ptsname(master.number), O_RDWR | O_NOCTTY | O_CLOEXEC);
        const winsize size{25, run.width, 0, 0};
        ::ioctl(out.number, TIOCSWINSZ, &size);
    } else if (run.output == Run::Output::gone) {
        int ends[2];
        if (::pipe(ends) != 0) throw std::runtime_error("no pipe");
        ::close(ends[0]);
        out.close();
        out.number = ends[1];
    }

    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addchdir_np(&actions, bench.folder().c_str());
    posix_spawn_file_actions_adddup2(&actions, in.number, STDIN_FILENO);
    if (run.output == Run::Output::closed)
        posix_spawn_file_actions_addclose(&actions, STDOUT_FILENO);
    else
        posix_spawn_file_actions_adddup2(&actions, out.number, STDOUT_FILENO);
    posix_spawn_file_actions_adddup2(&actions, err.number, STDERR_FILENO);

    std::vector<std::string> words{"loomproof"};
    words.insert(words.end(), run.words.begin(), run.words.end());
    std::vector<std::string> environment = environment_of(run);
    const fs::path program = run.program.empty() ? support::program() : run.program;
    pid_t child = -1;
    const int failure =
        ::posix_spawn(&child, program.c_str(), &actions, nullptr, pointers(words).data(), pointers(environment).data());
    posix_spawn_file_actions_destroy(&actions);
    if (failure != 0) throw std::runtime_error("cannot start " + program.string());
    out.close();

    Ended ended;
    if (run.output == Run::Output::terminal) {
        ended.out = drained(master.number);
        std::erase(ended.out, '\r'); // the terminal's own, one before each line end
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    ended.status = WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
    if (run.output == Run::Output::file) ended.out = support::read_file(beside + ".out");
    ended.err = support::read_file(beside + ".err");
    return ended;
}

std::string transcript(const std::vector<std::string>& words, const Ended& ended) {
    std::string out = "$ loomproof";
    for (const std::string& w : words) out += w.find(' ') == std::string::npos ? ' ' + w : fmt::format(" '{}'", w);
    out += '\n' + ended.out;
    if (!ended.err.empty()) out += "(standard error)\n" + ended.err;
    return out + fmt::format("(exit status {})\n", ended.status);
}

} // namespace loomproof::tests
