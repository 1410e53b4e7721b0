#pragma once
/// Parts of the program that lie in files of their own and are loaded only when they are needed: they bring large libraries, and a command
/// that does without them starts without them.

#include "base/result.hpp"

namespace loomproof::draw {

/// An opened module. Stays open to the end.
class Module {
  public:
    /// Looks for `file` beside the program and in ../lib/loomproof. Fails with the reason alone ("it is not beside the program"): what cannot
    /// be done without it, the caller knows.
    static Result<Module> open(const char* file);

    /// The function of that name, as the type that it has. Null where the module belongs to another version.
    template <class Function> Function find(const char* name) const {
        return reinterpret_cast<Function>(find_any(name));
    }

  private:
    explicit Module(void* handle) : handle_(handle) {}
    void* find_any(const char* name) const;
    void* handle_;
};

} // namespace loomproof::draw
