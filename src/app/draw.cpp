#include "app/circuit_file.hpp"
#include "app/command.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "draw/from_circuit.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

/// lightbar.svg for lightbar.loom
std::string usual_name(const std::string& file) {
    return file == "-" ? "circuit.svg" : std::filesystem::path(file).replace_extension(".svg").string();
}

/// Would writing to `target` destroy something that was just read?
bool is_a_source(const std::string& target, const Sources& sources) {
    std::error_code none;
    for (std::uint32_t i = 0; i < sources.count(); ++i)
        if (std::filesystem::equivalent(target, sources.at(i).name, none)) return true;
    return false;
}

} // namespace

Exit draw(const Given& given, Console& console) {
    const std::string file = given.value("FILE"), target = given.value("-o");
    const bool to_stream = !given.has("-o") || target == "-";
    if (to_stream && console.screen().person) {
        console.say(fmt::format("Say where the drawing goes: loomproof draw {} -o {}", file, usual_name(file)));
        return Exit::failed;
    }
    Sources sources;
    const std::optional<Reading> reading = read(file, sources, console);
    if (!reading) return Exit::failed;
    if (describes_nothing(reading->circuit)) {
        console.say(fmt::format("There is nothing to draw in {} yet: no wire and no part.", file));
        return Exit::failed;
    }
    if (!to_stream && is_a_source(target, sources)) {
        console.say(fmt::format("{} holds the circuit: the drawing needs another file.", target));
        return Exit::failed;
    }

    draw::Options options;
    if (given.value("--relays") == "apart") options.relays = draw::Relays::apart;
    Result<draw::Drawing> drawing = draw::draw(View::now(reading->circuit), options);
    const Result<void> written = !drawing    ? Result<void>(failure(drawing.error()))
                                 : to_stream ? Result<void>{}
                                             : write_file(target, drawing->svg);
    if (!written) {
        console.say(written.error());
        return Exit::failed;
    }
    if (to_stream) console.out = std::move(drawing->svg);
    if (drawing->labels_without_place > 0)
        console.say(fmt::format("{} found no place in the drawing.",
                                counted(static_cast<std::size_t>(drawing->labels_without_place), "label")));

    const auto mistakes =
        static_cast<std::size_t>(std::count_if(reading->findings.begin(), reading->findings.end(),
                                               [](const Finding& f) { return f.severity <= Severity::fault; }));
    if (mistakes == 0) return Exit::clean;
    console.say(fmt::format("{} in the text: what stands there is not drawn. loomproof check {} shows them.",
                            counted(mistakes, "mistake"), file));
    return Exit::found;
}

} // namespace loomproof::app
