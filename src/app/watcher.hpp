#pragma once
/// Waits until one of some files is saved anew, however an editor does that: written in place, or written beside and renamed over.

#include <cstdint>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace loomproof::app {

/// Linux tells of changes in the files' folders (inotify); where it cannot, the files are looked at twenty times a second.
class Watcher {
  public:
    Watcher();
    ~Watcher();
    Watcher(const Watcher&) = delete;
    Watcher& operator=(const Watcher&) = delete;

    /// From now on these files; what they are like now counts as known.
    void watch(const std::vector<std::string>& files);

    enum class Why { saved, interrupted };
    /// Returns once one of them is there and not as it was, has not changed for a hundredth of a second, and whoever wrote it has closed
    /// it (or has not written for a second); or when the person presses ctrl-C, or the terminal is closed.
    Why wait();

  private:
    struct Look {
        bool there = false;
        std::uint64_t inode = 0, size = 0;
        std::int64_t seconds = 0, nanoseconds = 0;
        bool operator==(const Look&) const = default;
    };
    static Look look_at(const std::string& file);
    std::vector<Look> look() const;
    /// Until something happened in one of the folders, at most so long.
    void pause(int milliseconds);
    /// Takes in what Linux has told since.
    void hear();
    bool one_is_being_written() const;

    int events_ = -1; ///< of inotify; -1: there is none
    std::vector<int> folders_;
    std::set<std::pair<int, std::string>>
        being_written_; ///< begun and not closed: the folder as inotify numbers it, the name
    std::vector<std::string> files_;
    std::vector<Look> known_;
};

} // namespace loomproof::app
