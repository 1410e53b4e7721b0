#pragma once
/// Runs the real program in a folder of its own, as a user would, and shows what came out.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::tests {

/// A fresh, empty folder out/tmp/app/PRESET/NAME, for one test case.
class Bench {
  public:
    explicit Bench(std::string_view name);

    const std::filesystem::path& folder() const { return folder_; }
    /// Writes a file below the folder, with the folders on the way to it.
    void write(std::string_view relative, std::string_view text) const;
    std::string read(std::string_view relative) const;
    /// Names of everything in the folder and below, sorted.
    std::vector<std::string> files() const;

  private:
    std::filesystem::path folder_;
};

/// How a run is set up.
struct Run {
    std::vector<std::string> words; ///< after the program's name
    std::string input;              ///< on standard input
    /// Added to an environment that holds nothing else but TERM=xterm and what the sanitizers ask for: "NO_COLOR=1".
    std::vector<std::string> environment = {};
    enum class Output {
        file,     ///< what a script sees
        terminal, ///< a pseudo-terminal of `width` columns
        full,     ///< a device that is full
        gone,     ///< a pipe that nobody reads
        closed,   ///< no standard output at all
    };
    Output output = Output::file;
    unsigned short width = 80;
    std::filesystem::path program = {}; ///< in place of the one that was built
};

struct Ended {
    int status = -1; ///< exit status; 1000 + signal where a signal ended it
    std::string out; ///< standard output; of a terminal with line ends as the program wrote them
    std::string err;
};

/// Runs to the end. Throws std::runtime_error where it could not be started.
Ended run(const Bench&, const Run&);
inline Ended run(const Bench& bench, std::vector<std::string> words) { return run(bench, Run{std::move(words), {}}); }

/// The run as a text to store: the command, standard output, standard error and the exit status if they say something.
std::string transcript(const std::vector<std::string>& words, const Ended&);

} // namespace loomproof::tests
