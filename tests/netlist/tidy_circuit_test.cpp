/// Tidying never changes the circuit: every circuit file of this tree is read before and after, with the language's own words.

#include "circuit/figures.hpp"
#include "circuit/read.hpp"
#include "netlist/tidy.hpp"
#include "support/places.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <vector>

using namespace loomproof;

namespace {

std::vector<std::filesystem::path> circuit_files() {
    std::vector<std::filesystem::path> found;
    for (const std::string_view folder : {"netlists", "tests/cases"})
        for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path(folder)))
            if (entry.path().extension() == ".loom") found.push_back(entry.path());
    std::sort(found.begin(), found.end());
    return found;
}

struct Outcome {
    std::string circuit;
    std::string rules; ///< of the findings about the text
};

/// Reads `text` in place of the file; what it uses is read from beside the file.
Outcome read_as(const std::filesystem::path& file, const std::string& text) {
    const Loader loader = [&](const std::string& path) -> Result<std::string> {
        if (path == file.string()) return text;
        return support::read_file(file.parent_path() / path);
    };
    Sources sources;
    const Reading reading = read_circuit(sources, file.string(), loader);
    Outcome outcome{dump(reading.circuit), {}};
    for (const Finding& f : reading.findings) outcome.rules += f.rule + "\n";
    return outcome;
}

std::string tidied(const std::string& text) {
    Sources sources;
    const std::uint32_t source = sources.add("text", text);
    return tidy(sources, parse(sources, source).tree, {is_keyword, unit_split, false});
}

} // namespace

TEST_CASE("every circuit file of this tree is the same circuit once tidied") {
    const auto files = circuit_files();
    CHECK(files.size() >= 30);
    for (const std::filesystem::path& file : files) {
        CAPTURE(file.string());
        const std::string text = support::read_file(file);
        const std::string tidy_text = tidied(text);
        CHECK(tidied(tidy_text) == tidy_text);
        const Outcome before = read_as(file, text);
        const Outcome after = read_as(file, tidy_text);
        CHECK(!before.circuit.empty());
        CHECK(before.circuit == after.circuit);
        CHECK(before.rules == after.rules);
    }
}

TEST_CASE("a file as a phone types it is the circuit of the plain file") {
    const std::string plain = "loom 1\n"
                              "battery, 60 Ah\n"
                              "fuse F1 \"left kick panel\", 20 A\n"
                              "switch S1 { off* | on connects 30 with 87a and 15a }\n"
                              "relay K1, 5-pin, 40 A\n"
                              "wire W1 from battery:+ to F1, 2.5 mm2 red, about 0.5 m\n"
                              "wire W2 from F1 to K1:30, 2.5 mm2 blue/white, 2 m\n"
                              "place engine-bay, 70 degC\n";
    const std::string phone = "Loom 1\r\n"
                              "Battery,60ah\r\n"
                              "Fuse F1 “left kick panel”, 20a\r\n"
                              "Switch S1 {off* | on connects 30 with 87a and 15a}\r\n"
                              "Relay K1 , 5–pin, 40A\r\n"
                              "Wire W1 from battery:+ to F1, 2.5mm² red,about .5m\r\n"
                              "Wire W2 From F1 to K1\u200e:30,\u00a02.5mm2 blue/white,\r\n\r\n   2m\r\n"
                              "Place engine‑bay, 70degC";
    const std::filesystem::path file = "x.loom";
    const Outcome expected = read_as(file, plain);
    CHECK(expected.rules == "");
    for (const std::string& text : {phone, tidied(phone)}) {
        CAPTURE(text);
        const Outcome outcome = read_as(file, text);
        CHECK(outcome.rules == "");
        CHECK(outcome.circuit == expected.circuit);
    }
}
