#include "netlist/source.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace loomproof;

TEST_CASE("a source drops its byte-order mark and keeps everything else") {
    Sources sources;
    CHECK(sources.add("a.loom", "\xef\xbb\xbfloom 1\r\n") == 0);
    CHECK(sources.add("b.loom", "") == 1);
    CHECK(sources.count() == 2);
    CHECK(sources.at(0).text == "loom 1\r\n");
    CHECK(sources.at(1).name == "b.loom");
    CHECK(sources.text({0, 0, 4}) == "loom");
    CHECK(sources.text({}) == "");
}

TEST_CASE("lines and columns count every kind of line end, columns in characters") {
    Sources sources;
    sources.add("a", "ab\ncd\r\ne\rgr\xc3\xb6\xc3\x9f"
                     "e\n\nx\xe2\x80\xa8y\xc2\x85z");
    struct Row {
        std::uint32_t byte;
        std::size_t line, column;
        std::string_view text;
    };
    const Row rows[] = {
        {0, 1, 1, "ab"},
        {2, 1, 3, "ab"},
        {3, 2, 1, "cd"},
        {5, 2, 3, "cd"},
        {6, 2, 4, "cd"},
        {7, 3, 1, "e"},
        {9, 4, 1,
         "gr\xc3\xb6\xc3\x9f"
         "e"},
        {13, 4, 4,
         "gr\xc3\xb6\xc3\x9f"
         "e"},
        {15, 4, 5,
         "gr\xc3\xb6\xc3\x9f"
         "e"},
        {17, 5, 1, ""},
        {18, 6, 1, "x"},
        {22, 7, 1, "y"},
        {25, 8, 1, "z"},
        {26, 8, 2, "z"},
        {4000, 8, 2, "z"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.byte);
        CHECK(sources.position(0, row.byte).line == row.line);
        CHECK(sources.position(0, row.byte).column == row.column);
        CHECK(sources.line_at(0, row.byte) == row.text);
    }
    std::uint32_t begin = 99;
    sources.line_at(0, 13, &begin);
    CHECK(begin == 9);
}

TEST_CASE("what cannot be a circuit file is refused with one sentence") {
    const std::string long_line = "fuse\n" + std::string(longest_line + 1, 'x');
    struct Row {
        std::string text;
        std::string_view says;
    };
    const Row rows[] = {
        {std::string("\xff\xfe"
                     "l\0",
                     4),
         "a.loom is saved as UTF-16 or UTF-32: save it again as plain text in UTF-8."},
        {std::string("\xfe\xff\0l", 4), "a.loom is saved as UTF-16 or UTF-32: save it again as plain text in UTF-8."},
        {std::string("loom 1\r\nx\0y", 11),
         "a.loom is not a text: a NUL byte stands in line 2. A circuit file is plain text in UTF-8."},
        {"loom 1\nfuse \xe9\n",
         "a.loom is not a text in UTF-8: byte E9 in line 2 is no character. Save it again as plain text in UTF-8."},
        {"\r\r\r\xc0\x80",
         "a.loom is not a text in UTF-8: byte C0 in line 4 is no character. Save it again as plain text in UTF-8."},
        {long_line, "a.loom is not a circuit file: line 2 is longer than 1000000 bytes, the most that is read."},
    };
    for (const Row& row : rows) {
        const Result<void> result = check_readable("a.loom", row.text);
        REQUIRE(!result);
        CHECK(result.error() == row.says);
    }
    CHECK(check_readable("a.loom", ""));
    CHECK(check_readable("a.loom", "\xef\xbb\xbfloom 1\n\xe2\x80\x9cx\xe2\x80\x9d"));
    CHECK(check_readable("a.loom", std::string(longest_line, 'x') + "\n" + std::string(longest_line, 'y')));
}
