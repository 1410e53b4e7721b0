#include "base/file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
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
    std::string content;
    if (S_ISREG(info.st_mode)) content.reserve(static_cast<std::size_t>(info.st_size) < limit ? static_cast<std::size_t>(info.st_size) : limit);
    char buffer[1 << 16];
    for (;;) {
        const ssize_t n = ::read(file.fd, buffer, sizeof buffer);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return failure("Cannot read " + path + ": " + reason() + ".");
        if (n == 0) return content;
        content.append(buffer, static_cast<std::size_t>(n));
        if (content.size() > limit)
            return failure(path + " is larger than " + std::to_string(limit / 1000000) + " MB, the most that is read.");
    }
}

Result<void> write_file(const std::string& path, std::string_view content) {
    std::string temporary = path + ".XXXXXX";
    Descriptor file{::mkostemp(temporary.data(), O_CLOEXEC)};
    if (file.fd < 0) return failure("Cannot write " + path + ": " + reason() + ".");
    const auto fail = [&] {
        const std::string why = reason();
        ::unlink(temporary.c_str());
        return failure("Cannot write " + path + ": " + why + ". The old file, if there was one, is untouched.");
    };
    while (!content.empty()) {
        const ssize_t n = ::write(file.fd, content.data(), content.size());
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return fail();
        content.remove_prefix(static_cast<std::size_t>(n));
    }
    // mkostemp makes private files; give what a plain open would have given.
    const mode_t mask = ::umask(0);
    ::umask(mask);
    if (::fchmod(file.fd, 0666 & ~mask) != 0 || ::fsync(file.fd) != 0) return fail();
    if (::rename(temporary.c_str(), path.c_str()) != 0) return fail();
    return {};
}

} // namespace loomproof
