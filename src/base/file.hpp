#pragma once
/// Files, whole or not at all.

#include "base/result.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof {

/// The whole content of `path`. Fails (with a sentence) where it is missing, a folder, unreadable or larger than `limit` bytes.
Result<std::string> read_file(const std::string& path, std::size_t limit);

/// Writes beside the target, flushes, then renames over it: readers see the old content or the new, never half.
/// On failure the old file is untouched and nothing is left behind. A file that is there keeps its permissions; behind a link the file
/// itself is renewed. What is no file (a device, a pipe) is written straight.
Result<void> write_file(const std::string& path, std::string_view content);

/// Writes a file that must not be there yet: what is there stays as it is, and the failure says so.
Result<void> write_new_file(const std::string& path, std::string_view content);

struct FileContent {
    std::string path, content;
};

/// All of them or none: each is written beside its target first, and only when all are safe on the disk they take their places. Where
/// one cannot, those that did give their places back. Targets may not exist yet or be plain files; no two may be the same.
Result<void> write_files(const std::vector<FileContent>& files);

} // namespace loomproof
