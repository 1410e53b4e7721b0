#include "app/console.hpp"

#include "report/columns.hpp"
#include "report/page.hpp"

#include <fcntl.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>

namespace loomproof::app {

namespace {

constexpr std::size_t widest_page = 100; ///< longer lines are hard to read

bool colour_wanted() {
    const char* no_colour = std::getenv("NO_COLOR");
    const char* kind = std::getenv("TERM");
    return (no_colour == nullptr || *no_colour == '\0') && kind != nullptr && *kind != '\0' &&
           std::strcmp(kind, "dumb") != 0;
}

/// Writes all of it; an error number, or 0.
int write_all(int to, std::string_view text) {
    while (!text.empty()) {
        const ssize_t n = ::write(to, text.data(), text.size());
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return errno;
        text.remove_prefix(static_cast<std::size_t>(n));
    }
    return 0;
}

/// A closed stream would lend its number to the next file opened. Input then ends at once; writing fails.
void keep_streams_apart() {
    for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
        if (::fcntl(stream, F_GETFD) < 0 && errno == EBADF) (void)::open("/dev/null", O_RDONLY);
    }
}

report::Screen screen_at(int stream) {
    report::Screen screen;
    screen.person = ::isatty(stream) == 1;
    winsize size{};
    if (screen.person && ::ioctl(stream, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        screen.width = std::min<std::size_t>(size.ws_col, widest_page);
    return screen;
}

} // namespace

Console::Console() {
    keep_streams_apart();
    std::signal(SIGPIPE, SIG_IGN);
    screen_ = screen_at(STDOUT_FILENO);
    screen_.colour = screen_.person && colour_wanted();
}

bool Console::keyboard_is_input() const { return ::isatty(STDIN_FILENO) == 1; }

void Console::say(std::string_view sentence) const {
    const report::Screen screen = screen_at(STDERR_FILENO);
    const std::string whole = "loomproof: " + report::printable(sentence);
    (void)write_all(STDERR_FILENO, screen.person ? report::paragraph(screen, whole) : whole + '\n');
}

bool Console::show() {
    const bool written = finish();
    out.clear();
    return written;
}

std::optional<std::string> Console::read_line() {
    std::string line;
    char ch = 0;
    for (;;) {
        const ssize_t n = ::read(STDIN_FILENO, &ch, 1); // one by one: what stands behind the line is not ours yet
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0) return line.empty() ? std::nullopt : std::optional(line);
        if (ch == '\n') return line;
        if (line.size() < 10'000) line += ch;
    }
}

bool Console::finish() const {
    const int error = write_all(STDOUT_FILENO, out);
    if (error == 0 || error == EPIPE) return true;
    say(std::string("Cannot write the result: ") + std::strerror(error) + '.');
    return false;
}

} // namespace loomproof::app
