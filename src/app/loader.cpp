#include "app/loader.hpp"

#include "base/file.hpp"
#include "netlist/source.hpp"

#include <filesystem>
#include <string_view>
#include <system_error>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view parts_prefix = "parts/";

bool leads_up(const fs::path& name) {
    for (const fs::path& step : name)
        if (step == "..") return true;
    return false;
}

/// Does `file` lie in `folder` or below, once all links are followed?
bool lies_in(const fs::path& folder, const fs::path& file) {
    std::error_code problem;
    const fs::path top = fs::canonical(folder, problem);
    if (problem) return false;
    const fs::path real = fs::canonical(file, problem);
    if (problem) return false;
    auto step = real.begin();
    for (const fs::path& part : top) {
        if (step == real.end() || *step != part) return false;
        ++step;
    }
    return true;
}

} // namespace

Result<std::string> FileLoader::operator()(const std::string& path) const {
    if (path == main_path_) {
        if (path == "-") {
            Result<std::string> text = read_file("/dev/stdin", largest_source);
            return text ? text : failure("Cannot read standard input.");
        }
        return read_file(path, largest_source);
    }
    const std::size_t slash = main_path_.rfind('/');
    const std::string folder = slash == std::string::npos ? std::string{} : main_path_.substr(0, slash + 1);
    if (!path.starts_with(folder)) return failure(fmt::format("{} lies outside the folder of {}.", path, main_path_));
    return used(path.substr(folder.size()));
}

Result<std::string> FileLoader::used(const std::string& name) const {
    const fs::path relative(name);
    if (name.empty() || relative.is_absolute() || leads_up(relative))
        return failure(
            fmt::format("{} lies outside the folder of {}, and is not read for that reason.", name, main_path_));

    const fs::path main_folder = fs::path(main_path_).parent_path();
    struct Candidate {
        fs::path folder, file;
    };
    std::vector<Candidate> candidates{{main_folder.empty() ? fs::path(".") : main_folder, main_folder / relative}};
    if (name.starts_with(parts_prefix))
        if (const std::string parts = folder_that_comes_along("parts"); !parts.empty())
            candidates.push_back({parts, fs::path(parts) / name.substr(parts_prefix.size())});

    for (const auto& [folder, file] : candidates) {
        std::error_code problem;
        const fs::file_status status = fs::status(file, problem);
        if (!fs::exists(status)) continue;
        if (!lies_in(folder, file))
            return failure(
                fmt::format("{} is a link that leads out of the folder of {}, and is not followed for that reason.",
                            name, main_path_));
        if (!fs::is_regular_file(status)) return failure(fmt::format("{} is no plain file.", name));
        return read_file(file.string(), largest_source);
    }
    return failure(fmt::format("There is no file {}, neither beside {} nor among the parts that come with Loomproof.",
                               name, main_path_ == "-" ? "the folder you are in" : main_path_));
}

std::string folder_that_comes_along(std::string_view name) {
    std::error_code problem;
    const fs::path program = fs::read_symlink("/proc/self/exe", problem);
    std::vector<fs::path> candidates;
    if (!problem) {
        candidates.push_back(program.parent_path() / "../share/loomproof" / name);
        candidates.push_back(program.parent_path() / name);                       // unpacked into one folder
        candidates.push_back(program.parent_path() / "../../../netlists" / name); // built in out/build/PRESET
    }
    candidates.push_back(fs::path(LOOMPROOF_SHARED_FOLDER) / name);
    for (const fs::path& folder : candidates)
        if (fs::is_directory(folder, problem)) return folder.string();
    return {};
}

} // namespace loomproof::app
