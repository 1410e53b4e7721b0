#include "circuit/examples.hpp"
#include "circuit/kind.hpp"
#include "circuit/read.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace loomproof;

namespace {

bool has_mistake(const std::string& text) {
    Sources sources;
    return !read_circuit_text(sources, "test.loom", text).findings.empty();
}

} // namespace

// A block that nobody reads may hold the wire that burns.
TEST_CASE("a block behind a line that takes none is a mistake, and so is a block within one that means nothing") {
    const std::string block = " {\n  wire W99 from battery:+ to ground, 1 mm2 red, 1 m\n}\n";
    const std::string before = "loom 1\nbattery, 60 Ah\nfuse F9, 10 A\nlamp E9, 5 W\n";
    int kinds = 0;
    for (const KindSpec& kind : kind_table()) {
        const std::string_view example = kind.example;
        if (!kind.keyword || example.empty()) continue;
        const std::string line(example.substr(0, example.find('\n')));
        if (line.find('{') != std::string::npos) continue;
        CAPTURE(line);
        CHECK(has_mistake(before + line + block));
        ++kinds;
    }
    CHECK(kinds > 30);
    for (const char* line :
         {"vehicle \"Van\"", "system 24 V", "place shed, 40 degC", "wire from F9 to E9, 1 mm2, 1 m", "complete",
          "still to wire: F9:1", "expect E9 on", "limit voltage-drop 0.3 V because \"bright\"", "colours british",
          "type \"small\" is a lamp, 5 W", "accept unfused-feed on E9 because \"so\""}) {
        CAPTURE(line);
        CHECK(has_mistake(before + line + block));
    }
    CHECK(has_mistake(before + "switch S1 { off* { wire from battery:+ to ground } | on connects 1 with 2 }"));
    CHECK(has_mistake(before + "factory {\n  lamp E1, 5 W" + block + "}\n"));
    CHECK(has_mistake(before + "job \"x\" planned {\n  fuse F1, 5 A" + block + "}\n"));
}
