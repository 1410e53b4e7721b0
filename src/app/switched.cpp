#include "app/switched.hpp"

#include "app/circuit_file.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/wishes.hpp"

#include <fmt/core.h>

#include <vector>

namespace loomproof::app {

std::optional<Switched> read_switched(const Given& given, Sources& sources, const Console& console) {
    const std::string file = given.value("FILE");
    std::optional<Reading> reading = read(file, sources, console);
    if (!reading) return std::nullopt;
    if (!reading->findings.empty())
        console.say(fmt::format("The file has {}; what stands in those lines is in no figure. loomproof check {} shows them.",
                                counted(reading->findings.size(), "mistake"), file));
    Switched asked{std::move(*reading), {}};
    if (!given.has("--when")) return asked;
    Result<Wish> wish = read_wish(asked.reading.circuit, given.value("--when"));
    if (!wish) // the shell has eaten the quotes round an outside condition: main beam on
        if (Result<Wish> condition = read_wish(asked.reading.circuit, "\"" + given.value("--when") + "\"")) wish = std::move(condition);
    if (!wish) {
        console.say(wish.error());
        return std::nullopt;
    }
    asked.wish = std::move(*wish);
    return asked;
}

std::optional<PartId> part_called(const View& view, const std::string& name, const Console& console) {
    std::vector<std::string> names;
    for (PartId p : view.parts()) {
        if (equal_ignoring_case(name_of(view.circuit(), p), name)) return p;
        names.push_back(name_of(view.circuit(), p));
    }
    const auto near = nearest_name(name, names);
    console.say(fmt::format("Nothing here is called {}{}", name, near ? "; " + *near + " is near." : "."));
    return std::nullopt;
}

std::optional<TerminalId> terminal_called(const View& view, const std::string& name, const Console& console) {
    const Circuit& c = view.circuit();
    for (PartId p : view.parts())
        for (TerminalId t : c.at(p).terminals)
            if (!c.at(t).internal && equal_ignoring_case(name_of(c, t), name)) return t;
    const std::size_t colon = name.find(':');
    const std::optional<PartId> part = part_called(view, name.substr(0, colon), console);
    if (!part) return std::nullopt;
    std::vector<std::string> there;
    for (TerminalId t : c.at(*part).terminals) {
        if (c.at(t).internal) continue;
        if (colon == std::string::npos) return t;
        if (there.empty() || there.back() != name_of(c, t)) there.push_back(name_of(c, t));
    }
    console.say(fmt::format("{} has no terminal of that name; there is {}.", name_of(c, *part), list_of(there)));
    return std::nullopt;
}

} // namespace loomproof::app
