#include "begin/plug.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/figures.hpp"
#include "circuit/read.hpp"
#include "circuit/typed.hpp"
#include "netlist/tidy.hpp"

#include <algorithm>
#include <map>
#include <optional>

#include <fmt/core.h>

namespace loomproof::begin {

namespace {

struct Measured {
    std::optional<double> volts, ohms;
    std::string rest; ///< behind the figure: "with ignition on"
};

Measured measured(const std::string& reading) {
    const Typed typed(reading);
    Measured out;
    for (const Unit unit : {Unit::volts, Unit::ohms}) {
        Cursor c = typed.cursor();
        std::vector<Finding> problems;
        const auto read = read_figure(c, unit, problems);
        if (!read || !read->value.known()) continue;
        (unit == Unit::volts ? out.volts : out.ohms) = read->value.nominal;
        out.rest = reading.substr(std::min<std::size_t>(read->value.span.end, reading.size()));
        while (!out.rest.empty() && (out.rest.front() == ' ' || out.rest.front() == ',')) out.rest.erase(0, 1);
    }
    return out;
}

bool says(const std::string& text, std::initializer_list<const char*> words) {
    const std::string small = lower(text);
    return std::ranges::any_of(words, [&](const char* word) { return small.find(word) != std::string::npos; });
}

std::string tidied(std::string text) {
    Sources sources;
    const std::uint32_t source = sources.add("plug", std::move(text));
    const Parsed parsed = parse(sources, source);
    return tidy(sources, parsed.tree, {is_keyword, unit_split, false});
}

} // namespace

std::vector<std::vector<std::string>> twins(const PlugSeen& plug) {
    std::map<std::string, std::vector<std::string>> by_colour;
    for (const PlugHole& h : plug.holes)
        if (!h.empty && !h.colour.empty()) by_colour[h.colour].push_back(h.number);
    std::vector<std::vector<std::string>> out;
    for (auto& [colour, holes] : by_colour)
        if (holes.size() > 1) out.push_back(holes);
    std::ranges::sort(out, {}, [&](const auto& holes) {
        return std::ranges::find(plug.holes, holes.front(), &PlugHole::number) - plug.holes.begin();
    });
    return out;
}

std::string could_be(const std::string& reading) {
    const Measured m = measured(reading);
    std::string when;
    for (const char* word : {"with ", "when "})
        if (const std::size_t at = lower(m.rest).find(word); at != std::string::npos)
            when = m.rest.substr(at + std::string_view(word).size());
    if (m.volts) {
        if (*m.volts < 1) return "dead while it was measured: measure again with what it could belong to switched on";
        if (says(m.rest, {"beat", "puls", "flash"}))
            return "it could be fed in the beat of a flasher, or pulsed by a unit";
        if (!when.empty()) return fmt::format("it could be a feed that is live when \"{}\"", when);
        if (says(m.rest, {"always", "all the time", "key off", "off"}))
            return "it could be a feed that is live at all times";
        std::string said = lower(m.rest); // "12.6 V key on"
        while (!said.empty() && (said.back() == ' ' || said.back() == '.')) said.pop_back();
        if (said.ends_with(" on") || said.ends_with(" running") || said.ends_with(" pressed"))
            return fmt::format("it could be a feed that is live when \"{}\"", said);
        return "it is live; say with what: key off, ignition on, lights on";
    }
    if (m.ohms) {
        if (*m.ohms < 2) return "it could be ground, or a switch to ground that is closed";
        if (*m.ohms < 20) return "a lamp or motor could hang between it and ground";
        if (*m.ohms >= 40 && *m.ohms <= 200) return "a relay's coil or a sender could hang between it and ground";
        return "a sender, a sensor or a unit could hang between it and ground";
    }
    if (says(reading, {"open", "nothing", "no reading", "offen", "nichts"}) || equal_ignoring_case(reading, "OL") ||
        equal_ignoring_case(reading, "O.L"))
        return "nothing joins it to ground: a feed that is off, an output, or an open switch";
    return {};
}

Result<std::string> read_reading(const std::string& as_typed) {
    std::string typed = as_typed;
    const std::size_t digits = typed.find_first_not_of("0123456789");
    if (digits != 0 && digits != std::string::npos && typed[digits] == ',' && digits + 1 < typed.size()) {
        const std::size_t behind =
            std::min(typed.find_first_not_of("0123456789", digits + 1), typed.size()) - digits - 1;
        if (behind == 1 || behind == 2) typed[digits] = '.';
    }
    std::string sure = typed; // "12 V?": a doubt is noted as it was typed
    std::erase(sure, '?');
    const Typed words(sure);
    if (std::string problem = words.problem(); !problem.empty()) return failure(problem);
    const Cursor c = words.cursor();
    if (!looks_like_figure(c)) { // "open", "lamp lights with key on"
        if (says(typed,
                 {"open",  "nothing", "no reading", "lamp", "light", "lit",  "bright", "dim",   "dark",  "blink",
                  "flash", "puls",    "beep",       "tone", "live",  "dead", "ground", "lampe", "offen", "nichts"}) ||
            equal_ignoring_case(typed, "OL") || equal_ignoring_case(typed, "O.L"))
            return typed;
        return failure(
            fmt::format("\"{}\" is no reading. Type what the meter showed: 12.6 V with ignition on; 0.3 ohm; "
                        "open. Or what the test lamp did: lamp bright, lamp dim, lamp out. Not measured: "
                        "don't know.",
                        typed));
    }
    for (const Unit unit : {Unit::volts, Unit::ohms}) {
        Cursor at = c;
        std::vector<Finding> problems;
        if (!read_figure(at, unit, problems)) continue;
        if (!problems.empty()) return failure(in_short(problems.front()));
        return typed;
    }
    if (c.is_word() && c.spelled().find_first_not_of("0123456789.") == std::string_view::npos) {
        const std::string number(c.spelled());
        const std::string rest = typed.substr(std::min(typed.size(), typed.find(number) + number.size()));
        return failure(fmt::format("Volts or ohms? Type {0} V{1}, or {0} ohm{1}.", number, rest));
    }
    return failure(
        fmt::format("\"{}\" is neither volts nor ohms. Type such as 12.6 V with ignition on, or 0.3 ohm; not "
                    "measured: don't know.",
                    typed));
}

std::string plug_text(const PlugSeen& plug) {
    std::string out = fmt::format("connector {}", plug.name);
    if (!plug.what.empty()) out += fmt::format(" \"{}\"", plug.what);
    out += fmt::format(", {} {}", plug.holes.size(), plug.holes.size() == 1 ? "hole" : "holes");
    if (!plug.side.empty()) out += ", " + plug.side;
    if (!plug.latch.empty()) out += ", latch " + plug.latch;
    if (!plug.numbers.empty()) out += ", numbers " + plug.numbers;
    const bool any = std::ranges::any_of(plug.holes, [](const PlugHole& h) { return !h.empty && !h.colour.empty(); });
    if (any) {
        const auto alike = twins(plug);
        out += " {\n";
        for (const PlugHole& h : plug.holes) {
            if (h.empty || h.colour.empty()) continue;
            std::string said;
            for (const auto& holes : alike)
                if (const auto at = std::ranges::find(holes, h.number); at != holes.end())
                    said = fmt::format("tag {}", at - holes.begin() + 1);
            if (!h.reading.empty()) said += (said.empty() ? "" : ", ") + h.reading;
            out += fmt::format("  {} {}{}\n", h.number, h.colour, said.empty() ? "" : fmt::format(" \"{}\"", said));
        }
        out += '}';
    }
    out += '\n';
    for (const PlugHole& h : plug.holes) {
        if (h.empty)
            out += fmt::format("// {} hole {}: empty\n", plug.name, h.number);
        else if (h.colour.empty())
            out += fmt::format("// {} hole {}: colour not said{}\n", plug.name, h.number,
                               h.reading.empty() ? "" : "; " + h.reading);
        if (!h.reading.empty())
            if (const std::string could = could_be(h.reading); !could.empty())
                out += fmt::format("// {} hole {}: {}; trace it before you rely on it\n", plug.name, h.number, could);
    }
    return tidied(out);
}

std::string blank_grid(const std::string& name, int holes, std::size_t width) {
    // hole, colour, and two readings; on a narrow screen the readings go below.
    std::string out = fmt::format("Plug {}   what it is: ____________________\n", name);
    out += "seen from  [ ] the wire side  [ ] the mating side\nlatch      [ ] up  [ ] down  [ ] left  [ ] "
           "right\nnumbers    [ ] moulded on it  [ ] mine\n\n";
    const bool narrow = width < 76;
    const auto row = [&](std::string_view hole, std::string_view colour, std::string_view key_off,
                         std::string_view key_on, std::string_view ohms) {
        return narrow ? fmt::format("| {:>4} | {:<12} | {:<14} |\n", hole, colour, key_off)
                      : fmt::format("| {:>4} | {:<16} | {:<12} | {:<14} | {:<12} |\n", hole, colour, key_off, key_on,
                                    ohms);
    };
    const std::string rule = narrow ? "+------+--------------+----------------+\n"
                                    : "+------+------------------+--------------+----------------+--------------+\n";
    out +=
        rule + row("hole", "colour/stripe", narrow ? "reading" : "V, key off", "V, what is on", "ohm, to body") + rule;
    for (int i = 1; i <= holes; ++i) out += row(std::to_string(i), "", "", "", "") + rule;
    return out + "\nTwo of one colour: tie a tag on each before you cut.\n";
}

Result<std::string> read_name(const std::string& typed) {
    const Typed words(typed);
    const Cursor c = words.cursor();
    if (!words.problem().empty() || !c.is_word() || c.left() != 1)
        return failure(fmt::format("\"{}\" cannot be a name: one word of letters and digits, such as X7.", typed));
    if (looks_like_figure(c) || is_keyword(lower(typed)))
        return failure(fmt::format("\"{}\" means something else in a circuit file; take a name such as X7.", typed));
    return typed;
}

} // namespace loomproof::begin
