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

Result<void> write_file(const std::string& path, std::string_view content) {
    const auto cannot = [&](const std::string& why) { return failure("Cannot write " + path + ": " + why + "."); };
    std::string target = path;
    mode_t mode = usual_mode();
    struct stat info {};
    if (::stat(path.c_str(), &info) == 0) {
        if (S_ISDIR(info.st_mode)) return cannot("it is a folder");
        if (!S_ISREG(info.st_mode)) {
            // A device or a pipe: nothing to keep, and nothing may take its place.
            const Descriptor device{::open(path.c_str(), O_WRONLY | O_CLOEXEC)};
            if (device.fd < 0 || !write_all(device.fd, content)) return cannot(reason());
            return {};
        }
        if (::faccessat(AT_FDCWD, path.c_str(), W_OK, AT_EACCESS) != 0) return cannot(reason());
        mode = info.st_mode & 07777;
        if (char* real = ::realpath(path.c_str(), nullptr)) { // the file behind a link is renewed, not the link
            target = real;
            std::free(real);
        }
    }
    std::string temporary = target + ".XXXXXX";
    const Descriptor file{::mkostemp(temporary.data(), O_CLOEXEC)};
    if (file.fd < 0) return cannot(reason());
    // mkostemp makes private files.
    if (!write_all(file.fd, content) || ::fchmod(file.fd, mode) != 0 || ::fsync(file.fd) != 0 ||
        ::rename(temporary.c_str(), target.c_str()) != 0) {
        const std::string why = reason();
        ::unlink(temporary.c_str());
        return cannot(why + ". The old file, if there was one, is untouched");
    }
    return {};
}

} // namespace loomproof
