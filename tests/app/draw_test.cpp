#include "app/process.hpp"

#include "support/places.hpp"

#include <doctest/doctest.h>

#include <filesystem>

namespace loomproof::tests {
namespace fs = std::filesystem;

namespace {

const char* const lamp = "loom 1\n"
                         "battery, 60 Ah\n"
                         "fuse F1, 10 A\n"
                         "lamp E1 \"work lamp\", 55 W\n"
                         "wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
                         "wire W2 from F1 to E1, 2.5 mm2 red, 2 m\n"
                         "wire W3 from E1 to ground, 2.5 mm2 black, 1 m\n";

bool is_drawing(const std::string& text) {
    return text.find("<svg") != std::string::npos && text.ends_with("</svg>\n");
}

} // namespace

TEST_CASE("The drawing goes to a file, or to standard output, the same bytes every time") {
    const Bench bench("draw");
    bench.write("lamp.loom", lamp);
    const Ended to_file = run(bench, {"draw", "lamp.loom", "-o", "lamp.svg"});
    CHECK(to_file.out.empty());
    CHECK(to_file.err.empty());
    CHECK(to_file.status == 0);
    CHECK(bench.files() == std::vector<std::string>{"lamp.loom", "lamp.svg"});
    const std::string svg = bench.read("lamp.svg");
    CHECK(is_drawing(svg));
    for (const char* name : {"F1", "E1", "work lamp", "W2"}) CHECK(svg.find(name) != std::string::npos);

    CHECK(run(bench, {"draw", "lamp.loom"}).out == svg);
    CHECK(run(bench, {"draw", "lamp.loom", "-o", "-"}).out == svg);
    CHECK(run(bench, Run{{"draw", "-"}, lamp}).out == svg);
    CHECK(run(bench, {"draw", "lamp.loom", "-o", "lamp.svg"}).status == 0);
    CHECK(bench.read("lamp.svg") == svg);
}

TEST_CASE("A drawing is not poured over a terminal") {
    const Bench bench("draw-terminal");
    bench.write("car/lamp.loom", lamp);
    const Ended ended = run(bench, Run{{"draw", "car/lamp.loom"}, "", {}, Run::Output::terminal});
    CHECK(ended.out.empty());
    CHECK(ended.err == "loomproof: Say where the drawing goes: loomproof draw car/lamp.loom -o car/lamp.svg\n");
    CHECK(ended.status == 2);
}

TEST_CASE("A drawing that cannot be written leaves nothing behind and the old file untouched") {
    const Bench bench("draw-unwritable");
    bench.write("lamp.loom", lamp);
    fs::create_directory(bench.folder() / "folder");
    const auto refused = [&](const std::string& target) {
        const Ended ended = run(bench, {"draw", "lamp.loom", "-o", target});
        CHECK(ended.out.empty());
        CHECK(ended.status == 2);
        return ended.err;
    };
    CHECK(refused("missing/lamp.svg") == "loomproof: Cannot write missing/lamp.svg: No such file or directory.\n");
    CHECK(refused("folder") == "loomproof: Cannot write folder: it is a folder.\n");
    CHECK(refused("/dev/full") == "loomproof: Cannot write /dev/full: No space left on device.\n");
    CHECK(refused("./lamp.loom") == "loomproof: ./lamp.loom holds the circuit: the drawing needs another file.\n");
    CHECK(bench.read("lamp.loom") == lamp);
    CHECK(bench.files() == std::vector<std::string>{"folder", "lamp.loom"});
}

TEST_CASE("What was not read is not drawn, and that is said") {
    const Bench bench("draw-mistake");
    bench.write("lamp.loom", std::string(lamp) + "wire W4 from E7 to ground, 2.5 mm2 black, 1 m\n");
    const Ended ended = run(bench, {"draw", "lamp.loom"});
    CHECK(is_drawing(ended.out));
    CHECK(ended.err ==
          "loomproof: 1 mistake in the text: what stands there is not drawn. loomproof check lamp.loom shows them.\n");
    CHECK(ended.status == 1);

    bench.write("empty.loom", "loom 1\n");
    const Ended empty = run(bench, {"draw", "empty.loom", "-o", "empty.svg"});
    CHECK(empty.err == "loomproof: There is nothing to draw in empty.loom yet: no wire and no part.\n");
    CHECK(empty.status == 2);
    CHECK(bench.files() == std::vector<std::string>{"empty.loom", "lamp.loom"});
}

TEST_CASE("The layout library is loaded only to draw, and its absence is said") {
    const Bench bench("draw-library");
    bench.write("lamp.loom", lamp);
    const auto loads = [&](std::vector<std::string> words) {
        const Ended ended = run(bench, Run{std::move(words), "", {"LD_DEBUG=files"}});
        return ended.err.find("loomproof-layout") != std::string::npos;
    };
    CHECK_FALSE(loads({"check", "lamp.loom"}));
    CHECK(loads({"draw", "lamp.loom"}));

    fs::create_directory(bench.folder() / "bin");
    fs::copy_file(support::program(), bench.folder() / "bin/loomproof");
    Run alone{{"draw", "lamp.loom"}, ""};
    alone.program = bench.folder() / "bin/loomproof";
    const Ended ended = run(bench, alone);
    CAPTURE(ended.err);
    CHECK(ended.out.empty());
    CHECK(ended.err.starts_with("loomproof: "));
    CHECK(ended.status == 2);
}

} // namespace loomproof::tests
