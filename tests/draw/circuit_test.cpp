// From circuit files to pictures.
#include "circuit/read.hpp"
#include "draw/from_circuit.hpp"
#include "draw/measure.hpp"
#include "support/places.hpp"
#include "support/scenario/scenario.hpp"

#include <doctest/doctest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

using namespace loomproof;
using draw::test::Measure;

namespace {

void keep(const std::string& name, const std::string& svg) {
    const char* folder = std::getenv("LOOMPROOF_PICTURES");
    if (folder != nullptr) std::ofstream(std::string(folder) + "/" + name + ".svg") << svg;
}

Measure check_drawn(const std::string& name, const Circuit& circuit) {
    CAPTURE(name);
    const View view = View::now(circuit);
    const draw::Sketch sketch = draw::sketch_of(view);
    const Result<draw::Drawing> drawing = draw::draw(sketch);
    REQUIRE_MESSAGE(drawing, drawing.error());
    keep(name, drawing->svg);
    const Measure m = draw::test::measure(drawing->svg);
    std::size_t wires = 0;
    for (const draw::Wire& w : sketch.wires) wires += w.mounting ? 0 : 1;
    CHECK(wires == view.wires().size());
    CHECK(m.wires == static_cast<int>(sketch.wires.size()));
    CHECK(m.ends_on_terminal == 2 * m.wires);
    for (const std::string& line : m.wrong_ends) CHECK_MESSAGE(false, line);
    for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
    CHECK(m.crossings == drawing->crossings);
    CHECK(m.crossings_without_gap == 0);
    CHECK(m.outside == 0);
    CHECK(drawing->labels_without_place == 0);
    return m;
}

Reading read_file(const std::filesystem::path& path) {
    static Sources sources;
    return read_circuit(sources, path.string(), [](const std::string& p) -> Result<std::string> {
        std::ifstream in(p, std::ios::binary);
        if (!in) return failure("no " + p);
        return std::string(std::istreambuf_iterator<char>(in), {});
    });
}

} // namespace

TEST_CASE("every tracked circuit file can be drawn") {
    int files = 0;
    for (const char* folder : {"netlists", "tests/cases"}) {
        std::vector<std::filesystem::path> paths;
        for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path(folder)))
            if (entry.path().extension() == ".loom") paths.push_back(entry.path());
        std::sort(paths.begin(), paths.end());
        for (const auto& path : paths) {
            const Reading reading = read_file(path);
            if (!reading.readable || reading.circuit.wires.empty()) continue;
            ++files;
            check_drawn(path.parent_path().filename().string() + "-" + path.stem().string(), reading.circuit);
        }
    }
    MESSAGE(files << " files drawn");
    CHECK(files > 0);
}

TEST_CASE("the vehicles we show fit on sheets of A4") {
    for (const char* file : {"netlists/demo-vehicle.loom", "netlists/demo-vehicle-corrected.loom", "netlists/demo-vehicle-factory.loom"}) {
        CAPTURE(file);
        const Reading reading = read_file(support::source_path(file));
        const View view = View::now(reading.circuit);
        const auto sheets = draw::draw_sheets(view, paper::a4);
        REQUIRE_MESSAGE(sheets, sheets.error());
        int wires = 0, breaks = 0, number = 0;
        for (const draw::SheetDrawing& sheet : *sheets) {
            keep(std::filesystem::path(file).stem().string() + "-a4-" + std::to_string(++number), sheet.drawing.svg);
            const Measure m = draw::test::measure(sheet.drawing.svg);
            for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
            CHECK(m.ends_on_terminal == 2 * m.wires);
            // The supply of a whole car is wider than A4: measured, capitals of 1.8 mm there.
            CHECK(sheet.scale > 0.7);
            wires += m.wires;
            breaks += sheet.breaks;
        }
        MESSAGE(std::string(file) << ": " << number << " sheets, " << breaks / 2 << " cut wires");
        CHECK(wires == static_cast<int>(draw::sketch_of(view).wires.size()) + breaks / 2);
    }
}

TEST_CASE("random circuits can be drawn") {
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const auto profile = seed % 3 == 0 ? scenario::Profile::history : seed % 3 == 1 ? scenario::Profile::clean : scenario::Profile::tangled;
        const scenario::Scenario s = scenario::make(seed, 5 + static_cast<int>(seed * 2), profile);
        Sources sources;
        const scenario::Written written = scenario::write(s);
        const Reading reading = read_circuit_text(sources, "random.loom", written.main());
        check_drawn(std::string("random-") + scenario::word(profile) + "-" + std::to_string(seed), reading.circuit);
    }
}
