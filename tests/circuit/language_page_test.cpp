/// Every example of the language page reads without a question.

#include "circuit/read.hpp"
#include "support/places.hpp"

#include <doctest/doctest.h>

using namespace loomproof;

TEST_CASE("every example of the language page is understood") {
    const std::string page = support::read_file(support::source_path("netlists/README.md"));
    std::size_t examples = 0;
    for (std::size_t at = page.find("```loom\n"); at != std::string::npos; at = page.find("```loom\n", at)) {
        at += 8;
        const std::string text = page.substr(at, page.find("```", at) - at);
        Sources sources;
        const Reading reading = read_circuit(sources, "example", [&](const std::string& path) {
            return Result<std::string>(
                path == "example" ? text : support::read_file(support::source_path("netlists/" + path)));
        });
        CAPTURE(text);
        for (const Finding& f : reading.findings) MESSAGE(f.headline);
        CHECK(reading.findings.empty());
        ++examples;
    }
    CHECK(examples >= 4);
}
