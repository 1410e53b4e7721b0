#include "app/process.hpp"

#include "support/places.hpp"

#include <doctest/doctest.h>

#include <sys/stat.h>

#include <filesystem>

namespace loomproof::tests {
namespace fs = std::filesystem;

namespace {

const char* const sound = "loom 1\n"
                          "battery, 60 Ah\n"
                          "fuse F1, 10 A\n"
                          "lamp E1, 55 W\n"
                          "wire from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
                          "wire from F1 to E1, 2.5 mm2 red, 2 m\n"
                          "wire from E1 to ground, 2.5 mm2 black, 1 m\n";

struct Refused {
    std::vector<std::string> words;
    const char* expected;
};

void check_refused(const Bench& bench, const Refused& row) {
    CAPTURE(row.expected);
    const Ended ended = run(bench, row.words);
    CHECK(ended.err == std::string("loomproof: ") + row.expected + '\n');
    CHECK(ended.out.empty());
    CHECK(ended.status == 2);
}

} // namespace

TEST_CASE("A file that cannot be read is said so, with exit status 2") {
    const Bench bench("unreadable");
    fs::create_directory(bench.folder() / "folder");
    bench.write("zeros.loom", std::string("loom 1\nbattery\0, 60 Ah\n", 23));
    bench.write("picture.png", "\x89PNG\r\n\x1a\n");
    bench.write("wide.loom", std::string("\xff\xfe") + "l\0o\0");
    bench.write("huge.loom", "loom 1\n");
    fs::resize_file(bench.folder() / "huge.loom", 1'000'000'001); // a hole in the disk, no data
    for (const char* command : {"check", "draw", "tidy"}) {
        check_refused(bench, {{command, "missing.loom"}, "Cannot read missing.loom: No such file or directory."});
        check_refused(bench, {{command, "folder"}, "Cannot read folder: it is a folder."});
        check_refused(bench, {{command, "folder/missing/x.loom"},
                              "Cannot read folder/missing/x.loom: No such file or directory."});
        check_refused(
            bench, {{command, "zeros.loom"},
                    "zeros.loom is not a text: a NUL byte stands in line 2. A circuit file is plain text in UTF-8."});
        check_refused(bench, {{command, "picture.png"},
                              "picture.png is not a text in UTF-8: byte 89 in line 1 is no character. Save it again as "
                              "plain text in UTF-8."});
        check_refused(bench, {{command, "wide.loom"},
                              "wide.loom is saved as UTF-16 or UTF-32: save it again as plain text in UTF-8."});
        check_refused(bench, {{command, "huge.loom"}, "huge.loom is larger than 1000 MB, the most that is read."});
        check_refused(bench, {{command, ""}, "Cannot read : No such file or directory."});
    }
}

TEST_CASE("Standard input is read for -") {
    const Bench bench("input");
    bench.write("bench.loom", sound);
    const Ended file = run(bench, {"check", "bench.loom", "--all"});
    const Ended input = run(bench, Run{{"check", "-", "--all"}, sound});
    CHECK(input.out == file.out);
    CHECK(input.status == file.status);
    CHECK(input.err.empty());
    CHECK(run(bench, Run{{"check", "-"}, ""}).status != 0);
}

TEST_CASE("Used files lie below the folder of the main file, wherever the program was started") {
    const Bench bench("use");
    bench.write("car/main.loom", "loom 1\nuse \"parts/mine/lamp.loom\"\nwire from E1 to ground, 2.5 mm2 black, 1 m\n");
    bench.write("car/parts/mine/lamp.loom", "lamp E1, 55 W\n");
    for (const char* path : {"car/main.loom", "./car/main.loom", "car/../car/main.loom"}) {
        const Ended ended = run(bench, {"check", path});
        CAPTURE(ended.out);
        CHECK(ended.out.find("MISTAKE") == std::string::npos);
    }
    const Ended absolute = run(bench, {"check", (bench.folder() / "car/main.loom").string()});
    CHECK(absolute.out.find("MISTAKE") == std::string::npos);
}

TEST_CASE("A file that leads out of the folder is not read") {
    const Bench bench("escape");
    bench.write("secret.loom", "battery SECRET, 60 Ah\n");
    bench.write("car/beside/x.loom", "battery B2, 60 Ah\n");
    fs::create_symlink("../secret.loom", bench.folder() / "car/link.loom");
    fs::create_directory_symlink("..", bench.folder() / "car/up");
    fs::create_directory(bench.folder() / "car/folder.loom");
    REQUIRE(::mkfifo((bench.folder() / "car/pipe.loom").c_str(), 0600) == 0);
    const struct {
        std::string use, expected;
    } rows[] = {
        {"../secret.loom", "outside the folder"},
        {"beside/../../secret.loom", "outside the folder"},
        {(bench.folder() / "secret.loom").string(), "outside the folder"},
        {"link.loom", "link.loom is a link that leads out of the folder"},
        {"up/secret.loom", "up/secret.loom is a link that leads out of the folder"},
        {"pipe.loom", "pipe.loom is no plain file"},
        {"folder.loom", "folder.loom is no plain file"},
        {"missing.loom", "There is no file missing.loom, neither beside"},
        {"parts/no-such-part.loom", "There is no file parts/no-such-part.loom, neither beside"},
        {"", ""},
    };
    for (const auto& row : rows) {
        CAPTURE(row.use);
        bench.write("car/main.loom", "loom 1\nuse \"" + row.use + "\"\nbattery, 60 Ah\n");
        const Ended ended = run(bench, Run{{"check", "car/main.loom"}, "", {}, Run::Output::terminal, 100});
        CAPTURE(ended.out);
        CHECK(ended.out.find("text-use") != std::string::npos);
        CHECK(ended.out.find(row.expected) != std::string::npos);
        CHECK(ended.out.find("SECRET") == std::string::npos);
        CHECK(ended.status == 1);
    }
    // A link within the folder is as good as a file.
    fs::create_symlink("beside/x.loom", bench.folder() / "car/inner.loom");
    bench.write("car/main.loom", "loom 1\nuse \"inner.loom\"\nbattery, 60 Ah\n");
    CHECK(run(bench, {"check", "car/main.loom"}).out.find("text-use") == std::string::npos);
}

TEST_CASE("Parts that come with the program are found beside it, behind those of the user") {
    const Bench bench("parts");
    const fs::path program = bench.folder() / "usr/bin/loomproof";
    fs::create_directories(program.parent_path());
    fs::copy_file(support::program(), program);
    bench.write("usr/share/loomproof/parts/lamps.loom", "lamp E1, 55 W\n");
    bench.write("usr/share/loomproof/other.loom", "lamp E1, 55 W\n");
    const auto read = [&](const std::string& use) {
        bench.write("car/main.loom", "loom 1\nuse \"" + use + "\"\nwire from E1 to ground, 2.5 mm2 black, 1 m\n");
        Run wanted{{"check", "car/main.loom"}, ""};
        wanted.program = program;
        return run(bench, wanted).out;
    };
    CHECK(read("parts/lamps.loom").find("MISTAKE") == std::string::npos);
    CHECK(read("lamps.loom").find("There is no file lamps.loom") != std::string::npos);
    CHECK(read("parts/../other.loom").find("outside the folder") != std::string::npos);
    bench.write("car/parts/lamps.loom", "frobnicator E1\n");
    CHECK(read("parts/lamps.loom").find("frobnicator") != std::string::npos);
}

TEST_CASE("Files that use one another in a circle are a mistake in the text") {
    const Bench bench("circle");
    bench.write("self.loom", "loom 1\nuse \"self.loom\"\n");
    bench.write("a.loom", "loom 1\nuse \"b.loom\"\n");
    bench.write("b.loom", "use \"a.loom\"\n");
    bench.write("dots.loom", "loom 1\nuse \"./dots.loom\"\n");
    for (const char* file : {"self.loom", "a.loom", "dots.loom"}) {
        CAPTURE(file);
        const Ended ended = run(bench, {"check", file});
        CAPTURE(ended.out);
        CHECK(ended.out.find("uses itself") != std::string::npos);
        CHECK(ended.status == 1);
    }
}

TEST_CASE("What is written is written whole or not at all") {
    const Bench bench("write");
    const std::string untidy = "loom   1\nbattery,60 Ah\n";
    bench.write("bench.loom", untidy);
    fs::create_symlink("bench.loom", bench.folder() / "link.loom");
    ::chmod((bench.folder() / "bench.loom").c_str(), 0640);

    CHECK(run(bench, {"tidy", "link.loom", "--write"}).status == 0);
    CHECK(bench.read("bench.loom") == run(bench, Run{{"tidy", "-"}, untidy}).out);
    CHECK(bench.read("bench.loom") != untidy);
    CHECK(fs::is_symlink(bench.folder() / "link.loom"));
    CHECK((fs::status(bench.folder() / "bench.loom").permissions() & fs::perms::mask) == fs::perms(0640));
    CHECK(bench.files() == std::vector<std::string>{"bench.loom", "link.loom"});

    // Nothing to change: the file is not touched.
    const auto before = fs::last_write_time(bench.folder() / "bench.loom");
    CHECK(run(bench, {"tidy", "bench.loom", "--write"}).status == 0);
    CHECK(fs::last_write_time(bench.folder() / "bench.loom") == before);
}

} // namespace loomproof::tests
