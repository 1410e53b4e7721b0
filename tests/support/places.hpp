#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace loomproof::support {

/// The folder that holds the running test program, and with it the program under test and its modules. Absolute.
std::filesystem::path build_folder();

/// A path inside the checked-out tree, wherever the test was started from: source_path("tests/cases/x.loom").
/// Throws std::runtime_error where the build folder does not lie inside the tree.
std::filesystem::path source_path(std::string_view relative);

/// The program under test, as users run it. It is built before any suite is.
std::filesystem::path program();

/// The whole file, byte for byte. Throws std::runtime_error, naming the file, where it cannot be read.
std::string read_file(const std::filesystem::path& path);

} // namespace loomproof::support
