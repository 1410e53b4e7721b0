#include "app/process.hpp"
#include "app/work_lamp.hpp"

#include "support/places.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <string>
#include <thread>

namespace loomproof::tests {
namespace fs = std::filesystem;

namespace {

/// The demo vehicle in one file: fuses enough for several sheets, and a job.
std::string pickup() {
    std::string factory = support::read_file(support::source_path("netlists/demo-vehicle-factory.loom"));
    const std::string jobs = support::read_file(support::source_path("netlists/demo-vehicle.loom"));
    return factory + jobs.substr(jobs.find("job "));
}

/// With both jobs carried out.
std::string pickup_done() {
    std::string all = pickup();
    return all.replace(all.find("planned {"), 7, "fitted 2026-06-01");
}

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
    CHECK(run(bench, {"draw", "-o", "-", "lamp.loom"}).out == svg); // options before the file
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

TEST_CASE("All symbols, without a circuit") {
    const Bench bench("draw-symbols");
    const Ended ended = run(bench, {"draw", "--symbols", "-o", "symbols.svg"});
    CHECK(ended.status == 0);
    CHECK(bench.read("symbols.svg").find(">fusible link<") != std::string::npos);
    CHECK(run(bench, {"draw"}).err ==
          "loomproof: draw needs a FILE: the circuit file; - reads standard input. See loomproof draw --help.\n");
    CHECK(run(bench, {"draw", "a.loom", "--symbols"}).status == 2);
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

TEST_CASE("Sheets of paper: contents, overview and sheets, the same bytes every time") {
    const Bench bench("draw-sheets");
    bench.write("car.loom", pickup_done());
    const Ended ended = run(bench, {"draw", "car.loom", "--paper", "A4", "-o", "car.svg"});
    CHECK(ended.err.find("Removed") == std::string::npos);
    CHECK(ended.status == 0);
    const std::vector<std::string> files = bench.files();
    CAPTURE(ended.out);
    CHECK(ended.out.find(" sheets, with contents and overview: car-contents.svg to car-") != std::string::npos);
    for (const char* name : {"car-contents.svg", "car-overview.svg", "car-1.svg", "car-2.svg"})
        CHECK_MESSAGE(std::count(files.begin(), files.end(), name) == 1, name);
    CHECK(std::count(files.begin(), files.end(), "car.svg") == 0);
    CHECK(bench.read("car-1.svg").find("Sheet 1 of ") != std::string::npos);
    CHECK(bench.read("car-contents.svg").find(">Supply: from the battery to the fuses<") != std::string::npos);
    // What goes on elsewhere leads there, and back.
    std::string all;
    for (const std::string& name : files)
        if (name.ends_with(".svg")) all += bench.read(name);
    CHECK(all.find(">goes on:<") != std::string::npos);
    CHECK(all.find("comes from:") != std::string::npos);

    std::vector<std::string> before;
    for (const std::string& name : files) before.push_back(bench.read(name));
    CHECK(run(bench, {"draw", "car.loom", "--paper", "A4", "-o", "car.svg"}).status == 0);
    CHECK(bench.files() == files);
    for (std::size_t i = 0; i < files.size(); ++i) CHECK((bench.read(files[i]) == before[i]));

    for (const char* paper : {"A3", "letter"}) {
        const Ended other = run(bench, {"draw", "car.loom", "--paper", paper, "-o", std::string(paper) + ".svg"});
        CHECK(other.status == 0);
        CHECK(bench.read(std::string(paper) + "-1.svg").find(paper == std::string("A3") ? "420mm" : "279.4mm") !=
              std::string::npos);
    }
}

TEST_CASE("Sheets of an earlier drawing do not stay, and nobody's own file is touched") {
    const Bench bench("draw-stale");
    bench.write("car.loom", pickup_done());
    bench.write("lamp.loom", lamp);
    CHECK(run(bench, {"draw", "car.loom", "--paper", "A4", "-o", "car.svg"}).status == 0);
    bench.write("car-77.svg", "<svg>my own sketch</svg>\n");
    bench.write("car-new.svg", "<svg>another one</svg>\n");
    bench.write("car-2.svg", bench.read("car-2.svg") + "<!-- my note -->\n");

    // A file of somebody's would be written over: nothing is written at all.
    const std::string first = bench.read("car-1.svg");
    const Ended refused = run(bench, {"draw", "car.loom", "--paper", "A3", "--factory", "-o", "car.svg"});
    CHECK(refused.err == "loomproof: car-2.svg is there, and is no unchanged sheet of Loomproof: nothing was written. "
                         "Move it away, or give another name behind -o.\n");
    CHECK(refused.status == 2);
    CHECK((bench.read("car-1.svg") == first));

    const Ended ended = run(bench, {"draw", "lamp.loom", "--paper", "A4", "-o", "car.svg"});
    CAPTURE(ended.err);
    CHECK(ended.err.find("Removed car-3.svg, ") != std::string::npos);
    CHECK(ended.err.find("car-2.svg and car-77.svg are not part of this drawing; they were left alone, because they "
                         "are no unchanged sheet of Loomproof.") != std::string::npos);
    // One sheet has no contents: the old ones are gone, too.
    CHECK(bench.files() ==
          std::vector<std::string>{"car-1.svg", "car-2.svg", "car-77.svg", "car-new.svg", "car.loom", "lamp.loom"});
}

TEST_CASE("Sheets are all written or none") {
    const Bench bench("draw-all-or-none");
    bench.write("car.loom", pickup_done());
    fs::create_directory(bench.folder() / "car-2.svg");
    const Ended ended = run(bench, {"draw", "car.loom", "--paper", "A4", "-o", "car.svg"});
    CHECK(ended.status == 2);
    CHECK(bench.files() == std::vector<std::string>{"car-2.svg", "car.loom"});
    CHECK(run(bench, {"draw", "car.loom", "--paper", "A4", "-o", "missing/car.svg"})
              .err.starts_with("loomproof: Cannot write missing/car-contents.svg: "));
}

TEST_CASE("A planned job is drawn only where somebody asks for it, and that it is left out is said") {
    const Bench bench("draw-planned");
    bench.write("car.loom", pickup());
    const Ended now = run(bench, {"draw", "car.loom"}), plan = run(bench, {"draw", "car.loom", "--planned"});
    CHECK(now.status == 0);
    CHECK(plan.status == 0);
    CHECK(now.err == "loomproof: Planned and not drawn: job \"Driving lights\". With it: --planned\n");
    CHECK(plan.err.find("Planned") == std::string::npos);
    // The lighter sits in the car until the job is done; the relay does not.
    CHECK(now.out.find(">E10<") != std::string::npos);
    CHECK(now.out.find(">K2<") == std::string::npos);
    CHECK(now.out.find(">K1<") != std::string::npos);
    CHECK(now.out.find("planned jobs not drawn") != std::string::npos);
    CHECK(now.out.find("planned, not fitted") == std::string::npos);
    CHECK(plan.out.find(">E10<") == std::string::npos);
    CHECK(plan.out.find(">K2<") != std::string::npos);
    CHECK(plan.out.find("with what is planned: Driving") != std::string::npos);
    // What the jobs change shows the planned one, and says nothing is left out.
    const Ended changes = run(bench, {"draw", "car.loom", "--changes"});
    CHECK(changes.out.find(">K2<") != std::string::npos);
    CHECK(changes.err.find("Planned") == std::string::npos);
    CHECK(run(bench, {"draw", "car.loom", "--factory", "--planned"}).status == 2);
    CHECK(run(bench, {"draw", "car.loom", "--factory"}).err.empty());

    // Built upon by a fitted one, it cannot be left out.
    bench.write("later.loom",
                pickup() + "job \"Later\" fitted 2026-07-01 {\n  wire W99 from K2:30 to ground, 1 mm2\n}\n");
    const Ended later = run(bench, {"draw", "later.loom"});
    CHECK(later.out.find(">K2<") != std::string::npos);
    CHECK(later.out.find("with what is planned: Driving") != std::string::npos);
    CHECK(later.err.find("Planned and not drawn") == std::string::npos);

    std::string only = lamp;
    only = "loom 1\njob \"Lamp\" planned {\n" + only.substr(only.find('\n') + 1) + "}\n";
    bench.write("only.loom", only);
    const Ended none = run(bench, {"draw", "only.loom"});
    CHECK(none.status == 2);
    CHECK(none.err ==
          "loomproof: Nothing in only.loom is fitted yet: all of it is planned. To see the plan: --planned\n");
    CHECK(run(bench, {"draw", "only.loom", "--planned"}).status == 0);
}

TEST_CASE("As the maker built it, and in black and white") {
    const Bench bench("draw-factory");
    bench.write("car.loom", pickup_done());
    bench.write("lamp.loom", lamp);
    const std::string now = run(bench, {"draw", "car.loom"}).out,
                      factory = run(bench, {"draw", "car.loom", "--factory"}).out;
    CHECK(now.find(">K1<") != std::string::npos);
    CHECK(factory.find(">K1<") == std::string::npos);
    CHECK(factory.find(">E1<") != std::string::npos);
    CHECK(factory.find("as its maker built it") != std::string::npos);
    const Ended none = run(bench, {"draw", "lamp.loom", "--factory"});
    CHECK(none.err == "loomproof: lamp.loom has no factory block and no job: nothing in it says what was before. draw "
                      "without --factory draws all of it.\n");
    CHECK(none.status == 2);
    bench.write("plain.loom",
                std::string(lamp) + "job \"horn\" fitted 2026-05-02 {\n  horn H9\n  wire from H9:- to ground\n}\n");
    const Ended before = run(bench, {"draw", "plain.loom", "--factory"});
    CHECK_MESSAGE(before.status == 0, before.err);
    CHECK(before.out.find(">E1<") != std::string::npos);
    CHECK(before.out.find(">H9<") == std::string::npos);
    CHECK(before.out.find("Before any job") != std::string::npos);
    CHECK(run(bench, {"draw", "plain.loom", "--changes"}).out.find(">H9<") != std::string::npos);
    bench.write("jobs.loom", "loom 1\njob \"horn\" fitted 2026-05-02 {\n  horn H9\n  wire from H9:- to ground\n}\n");
    const Ended jobs_only = run(bench, {"draw", "jobs.loom", "--factory"});
    CHECK(jobs_only.status == 2);
    CHECK(jobs_only.err.find("stands in jobs") != std::string::npos);
    const Ended no_job = run(bench, {"draw", "lamp.loom", "--changes"});
    CHECK(no_job.status == 2);
    CHECK(no_job.err.find("There is no job in lamp.loom") != std::string::npos);
    CHECK(no_job.err.find("fitted 2026-05-02") != std::string::npos);
    const std::string plain = run(bench, {"draw", "car.loom", "--black-and-white"}).out;
    CHECK(is_drawing(plain));
    CHECK(plain != now);
}

TEST_CASE("What the jobs changed") {
    const Bench bench("draw-changes");
    bench.write("car.loom", pickup_done());
    const std::string svg = run(bench, {"draw", "car.loom", "--changes"}).out;
    CHECK(svg.find(": what the jobs changed<") != std::string::npos);
    CHECK(svg.find(">job A, Fan on a relay, fitted 2026-05-02<") != std::string::npos);
    CHECK(run(bench, {"draw", "car.loom", "--changes", "--factory"}).err ==
          "loomproof: --factory draws the circuit before any job, --changes what the jobs did: one of them.\n");
    CHECK(run(bench, {"draw", "car.loom", "--changes", "--paper", "A4", "--by", "job", "-o", "car.svg"}).status == 0);
    CHECK(bench.read("car-contents.svg").find(">Jobs<") != std::string::npos);
}

TEST_CASE("PDF and PNG: by the name's ending, the same bytes at any time") {
    const Bench bench("draw-formats");
    bench.write("lamp.loom", lamp);
    bench.write("car.loom", pickup_done());
    const auto drawn = [&](const std::string& target) {
        const Ended ended = run(bench, {"draw", "lamp.loom", "-o", target});
        CHECK(ended.err.empty());
        CHECK(ended.status == 0);
        return bench.read(target);
    };
    const std::string pdf = drawn("lamp.pdf"), png = drawn("lamp.PNG");
    CHECK(pdf.starts_with("%PDF-1."));
    CHECK(pdf.find("/Count 1") != std::string::npos);
    CHECK(png.starts_with("\x89PNG\r\n\x1a\n"));
    std::this_thread::sleep_for(std::chrono::milliseconds(1100)); // no date of making is in them
    CHECK((drawn("lamp.pdf") == pdf));
    CHECK((drawn("lamp.PNG") == png));
    const Ended refused = run(bench, {"draw", "lamp.loom", "-o", "lamp.jpg"});
    CHECK(refused.err == "loomproof: A drawing can be .svg, .pdf or .png; lamp.jpg asks for something else.\n");
    CHECK(refused.status == 2);

    // A set as PDF is one file: contents, overview, sheets.
    const Ended set = run(bench, {"draw", "car.loom", "--paper", "A4", "-o", "set.pdf"});
    CHECK(set.status == 0);
    CHECK(set.out.ends_with(" sheets, with contents and overview: set.pdf\n"));
    const int sheets = std::stoi(set.out);
    const std::string pages = bench.read("set.pdf");
    const std::size_t count = pages.find("/Count ");
    REQUIRE(count != std::string::npos);
    CHECK(std::stoi(pages.substr(count + 7)) >= sheets + 2);
    // 210 x 297 mm in points.
    CHECK(pages.find("595.2") != std::string::npos);

    // As PNG they are as many files, and known again.
    CHECK(run(bench, {"draw", "car.loom", "--paper", "A3", "-o", "set.png"}).status == 0);
    CHECK(bench.read("set-1.png").starts_with("\x89PNG"));
    bench.write("set-9.png", bench.read("set-1.png"));
    bench.write("set-8.png", "my own");
    const std::string first = bench.read("set-1.png");
    const Ended again = run(bench, {"draw", "car.loom", "--paper", "A3", "-o", "set.png"});
    CHECK(again.err.find("Removed set-9.png, ") != std::string::npos);
    CHECK(again.err.find("set-8.png is not part of this drawing") != std::string::npos);
    CHECK((bench.read("set-1.png") == first));
}

TEST_CASE("The library for PDF and PNG is loaded only for them, and its absence is said") {
    const Bench bench("draw-render-library");
    bench.write("lamp.loom", lamp);
    CHECK(run(bench, Run{{"draw", "lamp.loom"}, "", {"LD_DEBUG=files"}}).err.find("loomproof-render") ==
          std::string::npos);
    fs::create_directory(bench.folder() / "bin");
    fs::copy_file(support::program(), bench.folder() / "bin/loomproof");
    fs::copy_file(support::build_folder() / "loomproof-layout.so", bench.folder() / "bin/loomproof-layout.so");
    Run alone{{"draw", "lamp.loom", "-o", "lamp.pdf"}, ""};
    alone.program = bench.folder() / "bin/loomproof";
    const Ended ended = run(bench, alone);
    CHECK(ended.err == "loomproof: PDF and PNG cannot be made: the file loomproof-render.so cannot be used (it is not "
                       "beside the program). SVG can: give a name that ends in .svg.\n");
    CHECK(ended.status == 2);
    CHECK_FALSE(fs::exists(bench.folder() / "lamp.pdf"));
}

TEST_CASE("What does not go together is said") {
    const Bench bench("draw-unclear");
    bench.write("lamp.loom", lamp);
    const auto said = [&](std::vector<std::string> words) {
        words.insert(words.begin(), {"draw", "lamp.loom"});
        const Ended ended = run(bench, words);
        CHECK(ended.status == 2);
        CHECK(ended.out.empty());
        return ended.err;
    };
    CHECK(said({"--by", "job"}) ==
          "loomproof: --by says what stands together on a sheet: it needs --paper A4, A3 or letter.\n");
    CHECK(said({"--paper", "A4"}) == "loomproof: Sheets are several files. Say what they are called: loomproof draw "
                                     "lamp.loom --paper A4 -o lamp.svg\n");
    CHECK(said({"--paper", "A5", "-o", "a.svg"}) ==
          "loomproof: --paper can be A4, A3 or letter, not \"A5\"; the nearest is A4. See loomproof draw --help.\n");
    CHECK(bench.files() == std::vector<std::string>{"lamp.loom"});
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
