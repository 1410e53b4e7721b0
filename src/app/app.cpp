#include "app/app.hpp"

#include "app/arguments.hpp"
#include "app/help.hpp"
#include "base/version.hpp"

#include <exception>
#include <new>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

Exit answer(const Asked& asked, Console& console) {
    switch (asked.what) {
    case Asked::For::nothing:
        // Nothing was checked: a script that lost its arguments must not take that for "nothing found".
        console.out = first_words();
        return Exit::failed;
    case Asked::For::help:
        console.out = asked.command == nullptr ? help(console.screen()) : help(*asked.command, console.screen());
        return Exit::clean;
    case Asked::For::version: console.out = fmt::format("loomproof {}\n", version()); return Exit::clean;
    case Asked::For::command: return asked.command->run(asked.given, console);
    case Asked::For::unclear: console.say(asked.problem); return Exit::failed;
    }
    return Exit::failed;
}

} // namespace

int run(int argc, const char* const* argv) noexcept {
    try {
        Console console;
        try {
            const Exit status = answer(read_arguments(argc, argv), console);
            return static_cast<int>(console.finish() ? status : Exit::failed);
        } catch (const std::bad_alloc&) {
            console.say("There is not enough memory for this circuit.");
        } catch (const std::exception& problem) {
            console.say(
                fmt::format("Stopped by a mistake in Loomproof itself: {}. Nothing was checked.", problem.what()));
        }
    } catch (...) {
        // Not even a remark could be made; the exit status still tells.
    }
    return static_cast<int>(Exit::failed);
}

} // namespace loomproof::app
