#pragma once
/// Circuit files of the tree, with what they include.

#include "circuit/read.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

namespace loomproof::support {

/// The file as the program would read it. The sources live as long as the test program.
inline Reading read_circuit_file(const std::filesystem::path& file) {
    static Sources sources;
    return read_circuit(sources, file.string(), [](const std::string& path) -> Result<std::string> {
        std::ifstream in(path, std::ios::binary);
        if (!in) return failure("no " + path);
        return std::string(std::istreambuf_iterator<char>(in), {});
    });
}

} // namespace loomproof::support
