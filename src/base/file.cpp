#include "base/file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>

namespace loomproof {

namespace {
struct Descriptor {
    int fd;
    ~Descriptor() {
        if (fd >= 0) ::close(fd);
    }
};
std::string reason() { return std::strerror(errno); }
} // namespace

Result<std::string> read_file(const std::string& path, std::size_t limit) {
    Descriptor file{::open(path.c_str(), O_RDONLY | O_CLOEXEC)};
    if (file.fd < 0) return failure("Cannot read " + path + ": " + reason() + ".");
    struct stat info {};
    if (::fstat(file.fd, &info) != 0) return failure("Cannot read " + path + ": " + reason() + ".");
    if (S_ISDIR(info.st_mode)) return failure("Cannot read " + path + ": it is a folder.");
    const auto too_large = [&] {
        const std::string most =
            limit < 1'000'000 ? std::to_string(limit) + " bytes" : std::to_string(limit / 1'000'000) + " MB";
        return failure(path + " is larger than " + most + ", the most that is read.");
    };
    std::string content;
    if (S_ISREG(info.st_mode)) {
        if (static_cast<std::size_t>(info.st_size) > limit) return too_large();
        content.reserve(static_cast<std::size_t>(info.st_size));
    }
    char buffer[1 << 16];
    for (;;) {
        const ssize_t n = ::read(file.fd, buffer, sizeof buffer);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return failure("Cannot read " + path + ": " + reason() + ".");
        if (n == 0) return content;
        content.append(buffer, static_cast<std::size_t>(n));
        if (content.size() > limit) return too_large();
    }
}

namespace {
/// Writes all of it; false where that went wrong (errno says why).
bool write_all(int to, std::string_view content) {
    while (!content.empty()) {
        const ssize_t n = ::write(to, content.data(), content.size());
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return false;
        content.remove_prefix(static_cast<std::size_t>(n));
    }
    return true;
}

/// What a plain open would give a new file.
mode_t usual_mode() {
    const mode_t mask = ::umask(0);
    ::umask(mask);
    return 0666 & ~mask;
}
} // namespace

namespace {

Result<void> cannot_write(const std::string& path, const std::string& why) {
    return failure("Cannot write " + path + ": " + why + ".");
}

/// A file on its way: written under another name beside its target.
struct Staged {
    std::string path;      ///< as the caller named it
    std::string target;    ///< behind links
    std::string temporary; ///< empty = none, or it took its place
    std::string kept;      ///< the old file under another name; empty = none
    bool fresh = true;     ///< there was no file before

    Result<void> stage(std::string_view content) {
        mode_t mode = usual_mode();
        target = path;
        struct stat info {};
        if (::stat(path.c_str(), &info) == 0) {
            if (S_ISDIR(info.st_mode)) return cannot_write(path, "it is a folder");
            if (!S_ISREG(info.st_mode)) return cannot_write(path, "it is no plain file");
            if (::faccessat(AT_FDCWD, path.c_str(), W_OK, AT_EACCESS) != 0) return cannot_write(path, reason());
            fresh = false;
            mode = info.st_mode & 07777;
            if (char* real = ::realpath(path.c_str(), nullptr)) { // the file behind a link is renewed, not the link
                target = real;
                std::free(real);
            }
        }
        temporary = target + ".XXXXXX";
        const Descriptor file{::mkostemp(temporary.data(), O_CLOEXEC)};
        if (file.fd < 0) {
            temporary.clear();
            return cannot_write(path, reason());
        }
        // mkostemp makes private files.
        if (write_all(file.fd, content) && ::fchmod(file.fd, mode) == 0 && ::fsync(file.fd) == 0) return {};
        const std::string why = reason();
        drop();
        return cannot_write(path, why + ". The old file, if there was one, is untouched");
    }
    Result<void> take_place() {
        if (::rename(temporary.c_str(), target.c_str()) != 0)
            return cannot_write(path, reason() + ". The old file, if there was one, is untouched");
        temporary.clear();
        return {};
    }
    /// The old file stays under a second name until all have taken their places. Where the disk knows no second names, it is not kept.
    void keep_old() {
        const std::string name = temporary + ".old";
        if (::link(target.c_str(), name.c_str()) == 0) kept = name;
    }
    void give_back() const {
        if (!kept.empty())
            ::rename(kept.c_str(), target.c_str());
        else if (fresh)
            ::unlink(target.c_str());
    }
    void drop() {
        if (!temporary.empty()) ::unlink(temporary.c_str());
        temporary.clear();
    }
};

} // namespace

Result<void> write_file(const std::string& path, std::string_view content) {
    struct stat info {};
    if (::stat(path.c_str(), &info) == 0 && !S_ISREG(info.st_mode) && !S_ISDIR(info.st_mode)) {
        // A device or a pipe: nothing to keep, and nothing may take its place.
        const Descriptor device{::open(path.c_str(), O_WRONLY | O_CLOEXEC)};
        if (device.fd < 0 || !write_all(device.fd, content)) return cannot_write(path, reason());
        return {};
    }
    Staged file{path, {}, {}, {}, true};
    Result<void> done = file.stage(content);
    if (done) done = file.take_place();
    file.drop();
    return done;
}

Result<void> write_files(const std::vector<FileContent>& files) {
    std::vector<Staged> staged;
    staged.reserve(files.size());
    Result<void> done;
    for (const FileContent& file : files) {
        staged.push_back({file.path, {}, {}, {}, true});
        done = staged.back().stage(file.content);
        if (!done) break;
    }
    if (done)
        for (Staged& file : staged) file.keep_old();
    std::size_t placed = 0;
    while (done && placed < staged.size()) {
        done = staged[placed].take_place();
        if (done) ++placed;
    }
    if (!done)
        for (std::size_t i = 0; i < placed; ++i) staged[i].give_back();
    for (Staged& file : staged) {
        file.drop();
        if (!file.kept.empty()) ::unlink(file.kept.c_str());
    }
    return done;
}

Result<void> write_new_file(const std::string& path, std::string_view content) {
    Descriptor file{::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666)};
    if (file.fd < 0 && errno == EEXIST) return failure("There is a " + path + " already; it stays as it is.");
    if (file.fd < 0) return failure("Cannot write " + path + ": " + reason() + ".");
    if (!write_all(file.fd, content) || ::fsync(file.fd) != 0) {
        const std::string why = reason();
        ::unlink(path.c_str());
        return failure("Cannot write " + path + ": " + why + ".");
    }
    return {};
}

} // namespace loomproof
