// `cmake --install` into a folder: all that the program needs comes along, and it finds it there, wherever the folder is moved.
#include "app/process.hpp"

#include "support/places.hpp"

#include <doctest/doctest.h>

#include <filesystem>

namespace loomproof::tests {
namespace fs = std::filesystem;

namespace {

const char* const headlamps = "loom 1\n"
                              "use \"parts/lamps.loom\"\n"
                              "battery, 60 Ah\n"
                              "fuse F1, 10 A\n"
                              "lamp E1, as \"P21W\"\n"
                              "wire from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
                              "wire from F1 to E1, 2.5 mm2 red, 2 m\n"
                              "wire from E1 to ground, 2.5 mm2 black, 1 m\n";

Ended run_there(const Bench& bench, const fs::path& program, std::vector<std::string> words, std::string input = {}) {
    Run r{std::move(words), std::move(input)};
    r.program = program;
    return run(bench, r);
}

} // namespace

TEST_CASE("installed into a folder that is moved afterwards, the program finds its modules, parts and forms there") {
    const Bench bench("install");
    const std::string first = (bench.folder() / "first").string();
    const Ended installed =
        run(bench, Run{{"-c", "exec cmake --install \"$0\" --prefix \"$1\"", support::build_folder().string(), first},
                       {},
                       {"PATH=/usr/local/bin:/usr/bin:/bin"},
                       Run::Output::file,
                       80,
                       "/bin/sh"});
    REQUIRE_MESSAGE(installed.status == 0, installed.err);
    fs::rename(bench.folder() / "first", bench.folder() / "moved");
    const fs::path there = bench.folder() / "moved", program = there / "bin" / "loomproof";

    bench.write("car.loom", headlamps);
    const Ended checked = run_there(bench, program, {"check", "car.loom"});
    CHECK_MESSAGE(checked.status == 0, checked.out);
    const Ended drawn = run_there(bench, program, {"draw", "car.loom", "-o", "car.svg"});
    CHECK_MESSAGE(drawn.status == 0, drawn.err);
    CHECK(bench.read("car.svg").ends_with("</svg>\n"));
    const Ended begun = run_there(bench, program, {"begin", "horn", "--paper"});
    CHECK_MESSAGE(begun.status == 0, begun.err);

    CHECK(bench.read("moved/share/man/man1/loomproof.1") == run(bench, {"help", "--man"}).out);
    for (const auto& [shell, file] :
         {std::pair{"bash", "bash-completion/completions/loomproof"}, std::pair{"zsh", "zsh/site-functions/_loomproof"},
          std::pair{"fish", "fish/vendor_completions.d/loomproof.fish"}})
        CHECK(bench.read(std::string("moved/share/") + file) == run(bench, {"help", "--completion", shell}).out);
}

TEST_CASE("unpacked into one folder, the program finds the parts beside itself") {
    const Bench bench("unpacked");
    fs::create_directories(bench.folder() / "tool");
    const fs::path program = bench.folder() / "tool" / "loomproof";
    fs::copy_file(support::program(), program);
    bench.write("tool/parts/own.loom", "type \"stop lamp\" is a lamp, 21 W\n");
    bench.write("car/car.loom",
                "loom 1\nuse \"parts/own.loom\"\nlamp E1, as \"stop lamp\"\nstill to wire: E1:1, E1:2\n");
    const Ended checked = run_there(bench, program, {"check", "car/car.loom"});
    CHECK_MESSAGE(checked.out.find("MISTAKE") == std::string::npos, checked.out);
    bench.write("car/other.loom", "loom 1\nuse \"parts/nobodys.loom\"\n");
    CHECK(run_there(bench, program, {"check", "car/other.loom"}).out.find("There is no file parts/nobodys.loom") !=
          std::string::npos);
}

} // namespace loomproof::tests
