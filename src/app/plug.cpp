#include "begin/plug.hpp"

#include "app/asking.hpp"
#include "app/command.hpp"
#include "app/loader.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "begin/answer.hpp"
#include "begin/dialogue.hpp"
#include "circuit/read.hpp"
#include "netlist/source.hpp"
#include "report/page.hpp"

#include <algorithm>
#include <charconv>
#include <filesystem>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

/// "6" or "6 holes"; nothing for what is no count from 1 to most_holes.
std::optional<int> count_of(const std::string& typed) {
    int n = 0;
    const std::size_t first = std::min(typed.find_first_not_of(' '), typed.size());
    const auto [end, error] = std::from_chars(typed.data() + first, typed.data() + typed.size(), n);
    if (error != std::errc{} || (end != typed.data() + typed.size() && *end != ' ')) return std::nullopt;
    return n >= 1 && n <= begin::most_holes ? std::optional(n) : std::nullopt;
}

/// One after the other, with a way back: what the plug is, how it is seen, then colour and reading of each hole.
class Recorder {
  public:
    Recorder(Console& console, Asking& asking, std::string name, std::optional<int> holes)
        : console_(console), asking_(asking), holes_given_(holes.has_value()) {
        plug_.name = std::move(name);
        if (holes) set_holes(*holes);
    }

    /// Nothing where the person stopped.
    std::optional<begin::PlugSeen> run() {
        for (step_ = 0; step_ < last_step();) {
            if (holes_given_ && step_ == 1) ++step_;
            const begin::Ask ask = ask_of(step_);
            console_.out += report::paragraph(console_.screen(), ask.say);
            for (std::size_t i = 0; i < ask.options.size(); ++i)
                console_.out += fmt::format("  {}  {}\n", i + 1, ask.options[i].text);
            const auto line =
                asking_.answer(is_colour() ? "?, don't know, empty, back, stop" : "?, don't know, back, stop");
            if (!line) return std::nullopt;
            switch (begin::read_word(*line)) {
            case begin::Word::stop: return std::nullopt;
            case begin::Word::back:
                if (step_ > 0) --step_;
                if (holes_given_ && step_ == 1) --step_;
                if (step_ >= head_steps && !is_colour() && hole().empty) --step_; // it had no reading
                continue;
            case begin::Word::explain: console_.out += report::labelled(console_.screen(), "", ask.help, 0); continue;
            case begin::Word::dont_know:
                if (step_ == 1) {
                    console_.out += "Count them; without that no row can be written.\n";
                    continue;
                }
                take("");
                continue;
            case begin::Word::none: break;
            }
            if (step_ == 1) {
                const auto n = count_of(*line);
                if (n)
                    set_holes(*n), ++step_;
                else
                    console_.out += fmt::format("Type how many, from 1 to {}.\n", begin::most_holes);
                continue;
            }
            const std::string small = lower(*line);
            if (is_colour() && (small == "empty" || small == "none" || small == "-")) {
                hole().empty = true;
                step_ += 2; // no reading of a hole without a wire
                continue;
            }
            if (step_ >= head_steps && line->find_first_not_of(" \t") == std::string::npos) {
                console_.out += is_colour()
                                    ? "No wire in this hole? Type: empty. A wire, and its colour cannot be told? "
                                      "Type: don't know.\n"
                                    : "Not measured? Type: don't know.\n";
                continue;
            }
            const bool reading = step_ >= head_steps && !is_colour();
            const Result<std::string> words = begin::read_answer(ask, *line);
            const Result<std::string> value = reading && words ? begin::read_reading(*words) : words;
            if (value)
                take(*value);
            else
                console_.out += report::paragraph(console_.screen(), value.error());
        }
        return std::move(plug_);
    }

  private:
    static constexpr std::size_t head_steps = 5;

    std::size_t last_step() const { return head_steps + 2 * (plug_.holes.empty() ? 1 : plug_.holes.size()); }
    bool is_colour() const { return step_ >= head_steps && (step_ - head_steps) % 2 == 0; }
    begin::PlugHole& hole() { return plug_.holes[(step_ - head_steps) / 2]; }

    void set_holes(int n) {
        plug_.holes.resize(static_cast<std::size_t>(n));
        for (int i = 0; i < n; ++i) plug_.holes[static_cast<std::size_t>(i)].number = std::to_string(i + 1);
    }

    void take(const std::string& value) {
        if (step_ == 0)
            plug_.what = value;
        else if (step_ == 2)
            plug_.side = value;
        else if (step_ == 3)
            plug_.latch = value;
        else if (step_ == 4)
            plug_.numbers = value;
        else if (is_colour()) {
            hole().colour = value;
            hole().empty = false;
            for (const auto& holes : begin::twins(plug_))
                if (holes.back() == hole().number)
                    console_.out += report::labelled(console_.screen(), "twins",
                                                     fmt::format("Holes {} are {} {}. Tie a tag on each before "
                                                                 "anything is cut: tag 1 for hole {}, and so on.",
                                                                 list_of(holes), holes.size() == 2 ? "both" : "all",
                                                                 value, holes.front()));
        } else {
            hole().reading = value;
            if (const std::string could = begin::could_be(value); !could.empty())
                console_.out += report::labelled(console_.screen(), "", could + ".", 2);
        }
        ++step_;
    }

    begin::Ask ask_of(std::size_t step) {
        begin::Ask ask;
        using Takes = begin::Ask::Takes;
        switch (step) {
        case 0:
            ask.say = fmt::format("What is plug {}? A few words.", plug_.name),
            ask.help = "For example: fan plug. It will stand on the drawing.";
            return ask;
        case 1: ask.say = "How many holes has it?", ask.help = "Empty ones count too."; return ask;
        case 2:
            ask.say = "From which side do you look at it?";
            ask.options = {
                {"wire side", "the side where the wires go in", {"wires", "wire", "back", "rear", "from behind"}},
                {"mating side", "the side that plugs together", {"mating", "front", "face", "plug side"}}};
            ask.help = "From the other side left and right are exchanged: most wrong pins come of that.";
            break;
        case 3:
            ask.say = "Where is the latch as you hold it?";
            ask.options = {{"up", "up", {"latch up", "top", "on top", "above"}},
                           {"down", "down", {"latch down", "bottom", "below"}},
                           {"left", "left", {"latch left"}},
                           {"right", "right", {"latch right"}}};
            ask.help = "So that the next person holds it the same way.";
            break;
        case 4:
            ask.say = "Are the holes' numbers moulded on it, or your own?";
            ask.options = {{"moulded", "moulded on it", {"molded", "printed", "on it"}},
                           {"mine", "my own, counted as I look at it", {"my own", "own", "none"}}};
            ask.help = "Moulded numbers fit the maker's sheet; your own only fit this file.";
            break;
        default:
            const std::string number = hole().number;
            if (is_colour()) {
                ask.takes = Takes::colour;
                ask.say = fmt::format("Hole {}: what colour? (empty: no wire)", number);
                ask.help = "Main colour first, then the stripe: blue/white.";
            } else {
                ask.say = fmt::format("Hole {}: what did the meter show? (don't know: not measured)", number);
                ask.help = "To bare metal, nothing cut. Volts with the battery on: 12 V with ignition on. Ohms with "
                           "the battery off: 0.3 ohm; open.";
            }
            return ask;
        }
        ask.takes = Takes::option;
        return ask;
    }

    Console& console_;
    Asking& asking_;
    begin::PlugSeen plug_;
    bool holes_given_;
    std::size_t step_ = 0;
};

/// A new file, or the old one with the plug behind what is there. Nothing that is there is changed.
Result<std::string> put_into(const std::string& file, const std::string& text, const std::string& name) {
    std::error_code problem;
    if (!std::filesystem::exists(std::filesystem::symlink_status(file, problem))) {
        const Result<void> written = write_new_file(file, "loom 1\n\n" + text);
        return written ? Result<std::string>("Written: " + file + '\n') : failure(written.error());
    }
    const Result<std::string> old = read_file(file, largest_source);
    if (!old) return failure(old.error());
    Sources sources;
    const Reading reading = read_circuit(sources, file, FileLoader(file));
    if (!reading.readable) return failure(reading.failure);
    for (const Part& p : reading.circuit.parts)
        if (equal_ignoring_case(p.name, name))
            return failure(fmt::format("{} has a {} already; nothing was changed. Take another name.", file, p.name));
    std::string whole = *old;
    if (!whole.empty() && whole.back() != '\n') whole += '\n';
    Sources together;
    const FileLoader files(file);
    const std::string changed = whole + '\n' + text;
    const Reading after = read_circuit(together, file, [&](const std::string& path) {
        return path == file ? Result<std::string>(changed) : files(path);
    });
    if (!after.readable || after.findings.size() > reading.findings.size())
        return failure(fmt::format("At the end of {} the plug would not be read as it stands (is a block left open "
                                   "there?); nothing was changed.",
                                   file));
    const Result<void> written = write_file(file, changed);
    return written ? Result<std::string>("Added at the end of " + file + '\n') : failure(written.error());
}

} // namespace

Exit plug(const Given& given, Console& console) {
    const Result<std::string> name = begin::read_name(given.value("NAME"));
    if (!name) {
        console.say(name.error());
        return Exit::failed;
    }
    std::optional<int> holes;
    if (given.has("--holes") && !(holes = count_of(given.value("--holes")))) {
        console.say(fmt::format("--holes takes how many there are, from 1 to {}.", begin::most_holes));
        return Exit::failed;
    }
    if (given.has("--blank")) {
        console.out = begin::blank_grid(*name, holes.value_or(8), console.screen().width);
        return Exit::clean;
    }
    Asking asking(console);
    if (given.has("--answers") && !asking.answers_from(given.value("--answers"))) return Exit::failed;
    for (const char* caution :
         {"Nothing of airbags or belt tensioners is probed or unplugged: often yellow plugs and sleeves, but ask the "
          "maker's manual.",
          "Volts with the plug together, from behind; ohms with the battery off, the grounded post first.",
          "To each question: ? explains it, \"don't know\" is an answer, \"back\" goes back, \"stop\" ends."})
        console.out += report::paragraph(console.screen(), caution);
    console.out += '\n';
    const auto seen = Recorder(console, asking, *name, holes).run();
    if (!seen) {
        console.out += "Stopped. Nothing was written.\n";
        return Exit::failed;
    }
    const std::string text = begin::plug_text(*seen);
    console.out += '\n' + text;
    if (!given.has("FILE")) return Exit::clean;
    const Result<std::string> put = put_into(given.value("FILE"), text, *name);
    console.out += '\n' + report::paragraph(console.screen(), put ? *put : put.error());
    return put ? Exit::clean : Exit::failed;
}

} // namespace loomproof::app
