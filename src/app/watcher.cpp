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
constexpr int open_at_most = 1000; ///< and so long where it has a file open for writing still: half a file is no save

std::string folder_of(const std::string& file) {
    const std::size_t slash = file.rfind('/');
    if (slash == std::string::npos) return ".";
    return slash == 0 ? "/" : file.substr(0, slash);
}

std::string name_of(const std::string& file) { return file.substr(file.rfind('/') + 1); }

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

void Watcher::forget() {
    files_.clear();
    known_.clear();
    for (const int folder : folders_) ::inotify_rm_watch(events_, folder);
    folders_.clear();
    being_written_.clear();
    closed_.clear();
}

void Watcher::watch(const std::string& file) {
    if (std::find(files_.begin(), files_.end(), file) != files_.end()) return;
    if (events_ >= 0) { // before it is looked at: no change falls in between
        const int folder =
            ::inotify_add_watch(events_, folder_of(file).c_str(),
                                IN_CLOSE_WRITE | IN_MODIFY | IN_MOVED_TO | IN_CREATE | IN_DELETE | IN_ATTRIB);
        if (folder >= 0 && std::find(folders_.begin(), folders_.end(), folder) == folders_.end())
            folders_.push_back(folder);
    }
    files_.push_back(file);
    known_.push_back(look_at(file));
}

bool Watcher::pause(int milliseconds) {
    pollfd wait{events_, POLLIN, 0};
    const bool told = ::poll(&wait, events_ >= 0 ? 1 : 0, milliseconds) > 0;
    if (events_ >= 0) hear();
    return told;
}

void Watcher::hear() {
    alignas(inotify_event) char told[4096];
    for (ssize_t size; (size = ::read(events_, told, sizeof told)) > 0;) {
        for (ssize_t at = 0; at < size;) {
            const auto* event = reinterpret_cast<const inotify_event*>(told + at);
            at += static_cast<ssize_t>(sizeof *event + event->len);
            const bool ours =
                std::find(folders_.begin(), folders_.end(), event->wd) != folders_.end(); // not of an earlier round
            if (event->len == 0 || !ours) continue;
            // Only whose writing has begun and not ended counts here; what has changed is seen by looking.
            if (event->mask & (IN_MODIFY | IN_CREATE)) being_written_.emplace(event->wd, event->name);
            if (event->mask & (IN_CLOSE_WRITE | IN_MOVED_TO | IN_DELETE))
                being_written_.erase({event->wd, event->name});
            if (event->mask & (IN_CLOSE_WRITE | IN_MOVED_TO)) closed_.emplace(event->name);
        }
    }
}

bool Watcher::one_is_being_written() const {
    return std::any_of(being_written_.begin(), being_written_.end(), [&](const auto& written) {
        return std::any_of(files_.begin(), files_.end(),
                           [&](const std::string& file) { return name_of(file) == written.second; });
    });
}

bool Watcher::all_are_closed(const std::vector<Look>& now) const {
    if (one_is_being_written()) return false;
    for (std::size_t i = 0; i < now.size(); ++i)
        if (now[i] != known_[i] && (now[i].size == 0 || closed_.count(name_of(files_[i])) == 0)) return false;
    return true;
}

Watcher::Why Watcher::wait() {
    while (stop_wanted == 0) {
        std::vector<Look> now = look();
        const bool all_there = std::all_of(now.begin(), now.end(), [](const Look& l) { return l.there; });
        if (now != known_ && all_there) {
            // An editor may write in several goes: wait until nothing moves any more. One that empties the file and fills it
            // has it open all the while, and may be held up in between.
            if (events_ >= 0) hear();
            int still = 0; // milliseconds without a change
            while (stop_wanted == 0 && !all_are_closed(now) &&
                   (still == 0 || (one_is_being_written() && still < open_at_most))) {
                const std::vector<Look> before = std::move(now);
                const bool quiet = !pause(settled_after);
                now = look();
                still = now != before ? 0 : still + (quiet ? settled_after : 0);
            }
            if (stop_wanted != 0) break;
            if (std::all_of(now.begin(), now.end(), [](const Look& l) { return l.there; })) {
                known_ = std::move(now);
                return Why::saved;
            }
        }
        (void)pause(events_ >= 0 && !folders_.empty() ? looks_anyway : looks_between);
    }
    return Why::interrupted;
}

} // namespace loomproof::app
