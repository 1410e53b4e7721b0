#pragma once
/// Files, whole or not at all.

#include "base/result.hpp"

#include <cstddef>
#include <string>
#include <string_view>

namespace loomproof {

/// The whole content of `path`. Fails (with a sentence) where it is missing, a folder, unreadable or larger than `limit` bytes.
Result<std::string> read_file(const std::string& path, std::size_t limit);

/// Writes beside the target, flushes, then renames over it: readers see the old content or the new, never half.
/// On failure the old file is untouched and nothing is left behind. A file that is there keeps its permissions; behind a link the file
/// itself is renewed. What is no file (a device, a pipe) is written straight.
Result<void> write_file(const std::string& path, std::string_view content);

} // namespace loomproof
