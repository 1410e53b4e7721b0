#include "app/switched.hpp"

#include "app/circuit_file.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/wishes.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <string_view>
#include <vector>

namespace loomproof::app {

namespace {

/// "main beam on, S1 on": outside conditions named without quotes of their own get them (the shell has eaten those that were typed).
std::string with_conditions_quoted(const Circuit& circuit, std::string_view text) {
    std::string quoted;
    for (bool more = true; more;) {
        const std::size_t comma = text.find(',');
        more = comma != std::string_view::npos;
        std::string_view piece = text.substr(0, comma);
        text.remove_prefix(more ? comma + 1 : text.size());
        while (piece.starts_with(' ')) piece.remove_prefix(1);
        while (piece.ends_with(' ')) piece.remove_suffix(1);
        const bool condition = std::any_of(circuit.controls.begin(), circuit.controls.end(), [&](const Control& c) {
            return c.type == Control::Type::condition && equal_ignoring_case(c.name, piece);
        });
        const std::string mark = condition ? "\"" : "";
        quoted += (quoted.empty() ? "" : ", ") + mark + std::string(piece) + mark;
    }
    return quoted;
}

} // namespace

std::optional<Switched> read_switched(const Given& given, Sources& sources, const Console& console) {
    const std::string file = given.value("FILE");
    std::optional<Reading> reading = read(file, sources, console);
    if (!reading) return std::nullopt;
    if (!reading->findings.empty())
        console.say(fmt::format("The file has {}; what stands in those lines is in no figure. loomproof check {} shows them.",
                                counted(reading->findings.size(), "mistake"), file));
    Switched asked{std::move(*reading), {}};
    if (!given.has("--when")) return asked;
    Result<Wish> wish = read_wish(asked.reading.circuit, with_conditions_quoted(asked.reading.circuit, given.value("--when")));
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
