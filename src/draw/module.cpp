#include "draw/module.hpp"

#include <filesystem>
#include <string>
#include <system_error>

#include <dlfcn.h>

namespace loomproof::draw {

Result<Module> Module::open(const char* file) {
    std::error_code error;
    const std::filesystem::path program = std::filesystem::read_symlink("/proc/self/exe", error);
    const std::filesystem::path folder = program.parent_path();
    std::string reason = "it is not beside the program";
    for (const auto& candidate : {folder / file, folder / ".." / "lib" / "loomproof" / file}) {
        if (!std::filesystem::exists(candidate, error)) continue;
        void* const handle = dlopen(candidate.c_str(), RTLD_NOW | RTLD_LOCAL);
        if (handle != nullptr) return Module(handle);
        const char* const said = dlerror();
        reason = said != nullptr ? said : "it does not load";
    }
    return failure(reason);
}

void* Module::find_any(const char* name) const { return dlsym(handle_, name); }

} // namespace loomproof::draw
