#pragma once
/// What the command line asks for.

#include "app/command.hpp"

#include <string>

namespace loomproof::app {

struct Asked {
    enum class For {
        nothing, ///< no word at all
        help,    ///< of `command`, or of the whole program where that is null
        version,
        command, ///< `command` with `given`
        unclear, ///< `problem` says what, names the nearest known word, and says where help is
    };
    For what = For::nothing;
    const Command* command = nullptr;
    Given given;
    std::string problem;
};

/// Reads the command line by the table of commands. Words after `--` are arguments even if they begin with a dash. An option
/// given twice counts as the last one says. Never throws for what a user typed.
Asked read_arguments(int argc, const char* const* argv);

} // namespace loomproof::app
