#include "netlist/tidy.hpp"

#include "app/command.hpp"
#include "app/loader.hpp"
#include "app/typed_name.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/read.hpp"
#include "netlist/source.hpp"

#include <fmt/core.h>

namespace loomproof::app {

Exit tidy(const Given& given, Console& console) {
    const std::string file = given.value("FILE");
    if (file == "-" && given.has("--write")) {
        console.say("Standard input cannot be changed: leave --write out, and the result is printed.");
        return Exit::failed;
    }
    if (file == "-" && console.keyboard_is_input())
        console.say("Reading the circuit from the keyboard; Ctrl-D ends it.");
    const Result<std::string> text = FileLoader(file)(file);
    const Result<void> readable = text ? check_readable(file, *text) : Result<void>(failure(text.error()));
    if (!readable) {
        console.say(readable.error());
        return Exit::failed;
    }

    Sources sources;
    const std::uint32_t source = sources.add(file, *text);
    const Parsed parsed = parse(sources, source);
    std::string result = loomproof::tidy(sources, parsed.tree, {is_keyword, unit_split, given.has("--number-wires")});
    if (!given.has("--write")) {
        console.out = std::move(result);
    } else if (result != *text) {
        if (const Result<void> written = write_file(file, result); !written) {
            console.say(written.error());
            return Exit::failed;
        }
    }
    if (parsed.findings.empty()) return Exit::clean;
    console.say(fmt::format("{} in the text: those statements stay as they were typed. loomproof check {} shows them.",
                            counted(parsed.findings.size(), "mistake"), typed_name(file)));
    return Exit::found;
}

} // namespace loomproof::app
