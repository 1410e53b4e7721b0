#include "support/stored.hpp"

#include "support/places.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>

#include <doctest/doctest.h>
#include <fmt/core.h>

namespace loomproof::support {

namespace {

// Takes the next line off `rest`, with its newline, so that a missing last newline is a difference too.
std::optional<std::string_view> take_line(std::string_view& rest) {
    if (rest.empty()) { return std::nullopt; }
    const std::size_t newline = rest.find('\n');
    const std::string_view line = rest.substr(0, newline == std::string_view::npos ? newline : newline + 1);
    rest.remove_prefix(line.size());
    return line;
}

std::string shown(std::optional<std::string_view> line) {
    if (!line) { return "(end)"; }
    if (line->ends_with('\n')) { return fmt::format("`{}`", line->substr(0, line->size() - 1)); }
    return fmt::format("`{}` (no newline)", *line);
}

} // namespace

bool accepting() {
    const char* wish = std::getenv("LOOMPROOF_ACCEPT");
    return wish != nullptr && std::string_view(wish) == "1";
}

std::string first_difference(std::string_view stored, std::string_view made) {
    for (std::size_t number = 1; !stored.empty() || !made.empty(); ++number) {
        const auto old_line = take_line(stored);
        const auto new_line = take_line(made);
        if (old_line != new_line) {
            return fmt::format("line {}: stored {}, made {}", number, shown(old_line), shown(new_line));
        }
    }
    return {};
}

void check_stored(std::string_view relative, std::string_view text) {
    const std::filesystem::path path = source_path(relative);
    if (accepting()) {
        create_directories(path.parent_path());
        std::ofstream(path, std::ios::binary) << text;
    }
    CAPTURE(relative);
    REQUIRE_MESSAGE(exists(path), "no stored output yet; run this test case again with LOOMPROOF_ACCEPT=1 (all of them: tests/run --accept), and "
                    "read what it wrote");
    CHECK(first_difference(read_file(path), text) == "");
}

} // namespace loomproof::support
