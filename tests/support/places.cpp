#include "support/places.hpp"

#include <fstream>
#include <iterator>
#include <stdexcept>

namespace loomproof::support {

std::filesystem::path build_folder() { return std::filesystem::read_symlink("/proc/self/exe").parent_path(); }

std::filesystem::path source_path(std::string_view relative) {
    for (std::filesystem::path at = build_folder(); at != at.root_path(); at = at.parent_path()) {
        if (exists(at / "tests/support/places.cpp")) { return at / relative; }
    }
    throw std::runtime_error("no source tree above " + build_folder().string());
}

std::filesystem::path program() { return build_folder() / "loomproof"; }

std::string read_file(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    if (!file) { throw std::runtime_error("cannot read " + path.string()); }
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

} // namespace loomproof::support
