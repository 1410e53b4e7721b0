// The room that words were given is the room they take: our table of widths held against the text that cairo sets with the faces of this
// machine (Liberation Sans, cut to the measures of Arial; the same faces and the same advances as librsvg shows).
#include "circuit/read.hpp"
#include "draw/from_circuit.hpp"
#include "draw/measure.hpp"
#include "draw/render.hpp"
#include "paper/type.hpp"
#include "support/places.hpp"

#include <doctest/doctest.h>
#include <pugixml.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <set>
#include <string>
#include <utility>
#include <vector>

using namespace loomproof;

namespace {

// Every text of a drawing, and whether it is bold.
void collect(const pugi::xml_node& node, std::set<std::pair<std::string, bool>>& texts) {
    static const std::set<std::string> plain{"line", "label"};
    if (std::string(node.name()) == "text")
        texts.insert({node.child_value(), !plain.contains(node.attribute("class").value())});
    for (const pugi::xml_node child : node.children()) collect(child, texts);
}

} // namespace

TEST_CASE("every word of every example is as wide as was reckoned") {
    std::vector<std::filesystem::path> files;
    for (const char* folder : {"netlists", "tests/cases/real"})
        for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path(folder)))
            if (entry.path().extension() == ".loom") files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    std::set<std::pair<std::string, bool>> texts;
    for (const auto& file : files) {
        Sources sources;
        const Reading reading = read_circuit(
            sources, file.string(), [](const std::string& p) -> Result<std::string> { return support::read_file(p); });
        if (!reading.readable || reading.circuit.wires.empty()) continue;
        const Result<draw::Drawing> drawing = draw::draw(View::now(reading.circuit), {.starts = 6});
        REQUIRE(drawing);
        pugi::xml_document document;
        REQUIRE(document.load_string(drawing->svg.c_str()));
        collect(document, texts);
    }
    CHECK(texts.size() > 300);
    constexpr double size = paper::plain_size;
    double widest = 0;
    for (const auto& [text, bold] : texts) {
        const Result<double> shown = draw::shown_width(text, size, bold);
        REQUIRE_MESSAGE(shown, shown.error());
        const double ours = paper::text_width(text, size, bold ? paper::Weight::bold : paper::Weight::normal);
        CHECK_MESSAGE(std::abs(*shown - ours) <= 1 + 0.03 * ours,
                      text << ": shown " << *shown << ", reckoned " << ours);
        if (ours > 20) widest = std::max(widest, *shown / ours);
    }
    MESSAGE(texts.size() << " texts; the widest is shown at " << 100 * widest << " % of the width reckoned");
}
