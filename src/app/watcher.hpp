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

    /// From now on none.
    void forget();
    /// From now on this file too; what it is like now counts as known.
    void watch(const std::string& file);

    enum class Why { saved, interrupted };
    /// Returns once one of them is there and not as it was, and whoever wrote it has closed it; where Linux does not tell of that, or the
    /// file is empty, once it has not changed for a hundredth of a second (a second where it is still open for writing). Or when the person presses ctrl-C, or the terminal is closed.
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
    /// Until something happened in one of the folders, at most so long. Did something happen?
    bool pause(int milliseconds);
    /// Takes in what Linux has told since.
    void hear();
    bool one_is_being_written() const;
    /// Has each file that is not as it was been closed, or moved into its place, since, and is there something in it?
    bool all_are_closed(const std::vector<Look>& now) const;

    int events_ = -1; ///< of inotify; -1: there is none
    std::vector<int> folders_;
    std::set<std::pair<int, std::string>>
        being_written_; ///< begun and not closed: the folder as inotify numbers it, the name
    std::set<std::string> closed_; ///< names of what was closed after writing, or moved in, since `forget`
    std::vector<std::string> files_;
    std::vector<Look> known_;
};

} // namespace loomproof::app
