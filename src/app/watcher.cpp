#include "app/watcher.hpp"

#include <poll.h>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <cstddef>

namespace loomproof::app {

namespace {

volatile std::sig_atomic_t stop_wanted = 0;

void on_signal(int) { stop_wanted = 1; }

constexpr int looks_between = 50;  ///< milliseconds between two looks where nothing tells of changes
constexpr int looks_anyway = 1000; ///< and where something does: network drives do not always tell
constexpr int settled_after = 10;  ///< milliseconds without a change: the editor is done

std::string folder_of(const std::string& file) {
    const std::size_t slash = file.rfind('/');
    if (slash == std::string::npos) return ".";
    return slash == 0 ? "/" : file.substr(0, slash);
}

} // namespace

Watcher::Watcher() : events_(::inotify_init1(IN_NONBLOCK | IN_CLOEXEC)) {
    struct sigaction action {};
    action.sa_handler = on_signal; // without SA_RESTART: a pause ends at once
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) ::sigaction(signal, &action, nullptr);
}

Watcher::~Watcher() {
    if (events_ >= 0) ::close(events_);
}

Watcher::Look Watcher::look_at(const std::string& file) {
    struct stat info {};
    if (::stat(file.c_str(), &info) != 0 || !S_ISREG(info.st_mode)) return {};
    return {true, info.st_ino, static_cast<std::uint64_t>(info.st_size), info.st_mtim.tv_sec, info.st_mtim.tv_nsec};
}

std::vector<Watcher::Look> Watcher::look() const {
    std::vector<Look> out;
    for (const std::string& file : files_) out.push_back(look_at(file));
    return out;
}

void Watcher::watch(const std::vector<std::string>& files) {
    files_ = files;
    known_ = look();
    if (events_ < 0) return;
    for (const int folder : folders_) ::inotify_rm_watch(events_, folder);
    folders_.clear();
    for (const std::string& file : files_) {
        const int folder =
            ::inotify_add_watch(events_, folder_of(file).c_str(),
                                IN_CLOSE_WRITE | IN_MODIFY | IN_MOVED_TO | IN_CREATE | IN_DELETE | IN_ATTRIB);
        if (folder >= 0 && std::find(folders_.begin(), folders_.end(), folder) == folders_.end())
            folders_.push_back(folder);
    }
}

void Watcher::pause(int milliseconds) const {
    pollfd wait{events_, POLLIN, 0};
    (void)::poll(&wait, events_ >= 0 ? 1 : 0, milliseconds);
    if (events_ < 0) return;
    alignas(inotify_event) char told[4096]; // what happened is seen by looking
    while (::read(events_, told, sizeof told) > 0) {}
}

Watcher::Why Watcher::wait() {
    while (stop_wanted == 0) {
        std::vector<Look> now = look();
        const bool all_there = std::all_of(now.begin(), now.end(), [](const Look& l) { return l.there; });
        if (now != known_ && all_there) {
            // An editor may write in several goes: wait until nothing moves any more.
            for (std::vector<Look> before; before != now && stop_wanted == 0;) {
                before = now;
                pollfd none{};
                (void)::poll(&none, 0, settled_after);
                now = look();
            }
            if (stop_wanted != 0) break;
            if (std::all_of(now.begin(), now.end(), [](const Look& l) { return l.there; })) {
                known_ = std::move(now);
                return Why::saved;
            }
        }
        pause(events_ >= 0 && !folders_.empty() ? looks_anyway : looks_between);
    }
    return Why::interrupted;
}

} // namespace loomproof::app
