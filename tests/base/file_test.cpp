#include "base/file.hpp"

#include <doctest/doctest.h>

#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <string>

using namespace loomproof;
namespace fs = std::filesystem;

namespace {

/// A folder of its own for one test, gone afterwards.
struct Folder {
    Folder() {
        std::string name = (fs::temp_directory_path() / "loomproof-file-XXXXXX").string();
        REQUIRE(::mkdtemp(name.data()) != nullptr);
        path = name;
    }
    ~Folder() {
        fs::permissions(path, fs::perms::owner_all);
        fs::remove_all(path);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;

    std::string operator/(const char* name) const { return (path / name).string(); }
    std::size_t files() const {
        return static_cast<std::size_t>(std::distance(fs::directory_iterator(path), fs::directory_iterator()));
    }

    fs::path path;
};

/// Permissions mean nothing to root: while this lives, root is somebody without rights.
struct WithoutRights {
    WithoutRights() { is_root = ::geteuid() == 0 && ::seteuid(65534) == 0; }
    ~WithoutRights() {
        if (is_root && ::seteuid(0) != 0) std::abort();
    }
    WithoutRights(const WithoutRights&) = delete;
    WithoutRights& operator=(const WithoutRights&) = delete;
    bool is_root;
};

/// While this lives, no file grows beyond `bytes`: a write fails half-way, as on a full disk.
struct SmallDisk {
    explicit SmallDisk(rlim_t bytes) {
        before_signal = std::signal(SIGXFSZ, SIG_IGN);
        ::getrlimit(RLIMIT_FSIZE, &before);
        rlimit small = before;
        small.rlim_cur = bytes;
        REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
    }
    ~SmallDisk() {
        ::setrlimit(RLIMIT_FSIZE, &before);
        std::signal(SIGXFSZ, before_signal);
    }
    SmallDisk(const SmallDisk&) = delete;
    SmallDisk& operator=(const SmallDisk&) = delete;
    rlimit before{};
    void (*before_signal)(int);
};

} // namespace

TEST_CASE("what is written is read back byte by byte") {
    const Folder folder;
    const std::string path = folder / "a.loom";
    std::string content("loom 1\r\n\0\xff", 10);
    content += std::string(300'000, 'x');
    REQUIRE(write_file(path, content));
    CHECK((read_file(path, 1'000'000).value() == content));
    REQUIRE(write_file(path, ""));
    CHECK(read_file(path, 0).value() == "");
    CHECK(folder.files() == 1);
}

TEST_CASE("what cannot be read is said in one sentence that names the file") {
    const Folder folder;
    CHECK(read_file(folder / "no.loom", 10).error() ==
          "Cannot read " + (folder / "no.loom") + ": No such file or directory.");
    CHECK(read_file(folder.path.string(), 10).error() == "Cannot read " + folder.path.string() + ": it is a folder.");
    const std::string path = folder / "a.loom";
    REQUIRE(write_file(path, "12345678901"));
    CHECK(read_file(path, 11).value() == "12345678901");
    CHECK(read_file(path, 10).error() == path + " is larger than 10 bytes, the most that is read.");
    CHECK(read_file("/dev/zero", 3'000'000).error() == "/dev/zero is larger than 3 MB, the most that is read.");
    fs::permissions(path, fs::perms::none);
    fs::permissions(folder.path, fs::perms::all);
    const WithoutRights nobody;
    CHECK(read_file(path, 100).error() == "Cannot read " + path + ": Permission denied.");
}

TEST_CASE("a write that fails half-way leaves the old file and nothing else") {
    const Folder folder;
    const std::string path = folder / "a.loom";
    REQUIRE(write_file(path, "the old circuit\n"));
    {
        const SmallDisk disk(1000);
        const Result<void> result = write_file(path, std::string(5000, 'x'));
        REQUIRE(!result);
        CHECK(result.error() ==
              "Cannot write " + path + ": File too large. The old file, if there was one, is untouched.");
        CHECK(!write_file(folder / "new.loom", std::string(5000, 'x')));
    }
    CHECK(read_file(path, 100).value() == "the old circuit\n");
    CHECK(folder.files() == 1);
}

TEST_CASE("a folder that must not be written leaves the old file") {
    const Folder folder;
    const std::string path = folder / "a.loom";
    REQUIRE(write_file(path, "old"));
    fs::permissions(path, fs::perms::owner_all | fs::perms::others_read | fs::perms::others_write);
    fs::permissions(folder.path,
                    fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_read | fs::perms::others_exec);
    {
        const WithoutRights nobody;
        CHECK(write_file(path, "new").error() == "Cannot write " + path + ": Permission denied.");
        CHECK(!write_file(folder / "b.loom", "new"));
    }
    CHECK(read_file(path, 100).value() == "old");
    CHECK(folder.files() == 1);
}

TEST_CASE("a file that must not be written is not replaced behind its back") {
    const Folder folder;
    const std::string path = folder / "a.loom";
    REQUIRE(write_file(path, "old"));
    fs::permissions(path, fs::perms::owner_read | fs::perms::others_read);
    fs::permissions(folder.path, fs::perms::all);
    {
        const WithoutRights nobody;
        CHECK(!write_file(path, "new"));
    }
    CHECK(read_file(path, 100).value() == "old");
}

TEST_CASE("folders that are not there, and names that are folders") {
    const Folder folder;
    const std::string path = folder / "no/a.loom";
    CHECK(write_file(path, "x").error() == "Cannot write " + path + ": No such file or directory.");
    CHECK(write_file(folder.path.string(), "x").error() ==
          "Cannot write " + folder.path.string() + ": it is a folder.");
    CHECK(!write_file("", "x"));
    CHECK(folder.files() == 0);
}

TEST_CASE("permissions and links stay, new files get the usual permissions") {
    const Folder folder;
    const std::string path = folder / "a.loom";
    const mode_t before = ::umask(027);
    REQUIRE(write_file(path, "old"));
    ::umask(before);
    CHECK(fs::status(path).permissions() == fs::perms(0640));
    fs::permissions(path, fs::perms(0604));
    fs::create_symlink("a.loom", folder / "link.loom");
    REQUIRE(write_file(folder / "link.loom", "new"));
    CHECK(fs::is_symlink(folder / "link.loom"));
    CHECK(read_file(path, 10).value() == "new");
    CHECK(fs::status(path).permissions() == fs::perms(0604));
    CHECK(folder.files() == 2);
}

TEST_CASE("a device is written straight") {
    CHECK(write_file("/dev/null", "x"));
    CHECK(fs::is_character_file("/dev/null"));
    const Result<void> full = write_file("/dev/full", "x");
    REQUIRE(!full);
    CHECK(full.error() == "Cannot write /dev/full: No space left on device.");
}

TEST_CASE("several files are written all or none") {
    const Folder folder;
    const std::string first = folder / "a-1.svg", second = folder / "a-2.svg", third = folder / "a-3.svg";
    REQUIRE(write_files({{first, "one"}, {second, "two"}}));
    CHECK((read_file(first, 100).value() == "one"));
    CHECK((read_file(second, 100).value() == "two"));
    CHECK(folder.files() == 2);

    SUBCASE("one of them cannot be begun") {
        fs::create_directory(third);
        const Result<void> done = write_files({{first, "new one"}, {second, "new two"}, {third, "new three"}});
        REQUIRE_FALSE(done);
        CHECK((done.error() == "Cannot write " + third + ": it is a folder."));
        CHECK(folder.files() == 3);
    }
    SUBCASE("the disk is full on the way") {
        const SmallDisk small(1000);
        CHECK_FALSE(write_files({{first, "new one"}, {second, std::string(5000, 'x')}, {third, "new three"}}));
        CHECK(folder.files() == 2);
    }
    SUBCASE("the last one cannot take its place") {
        // A name that fits by itself and no longer with what is put behind it for a second.
        const std::string long_name = folder / std::string(252, 'n').c_str();
        CHECK_FALSE(write_files({{first, "new one"}, {second, "new two"}, {long_name, "new three"}}));
        CHECK(folder.files() == 2);
    }
    CHECK((read_file(first, 100).value() == "one"));
    CHECK((read_file(second, 100).value() == "two"));
}
