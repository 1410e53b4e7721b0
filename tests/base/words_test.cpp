#include "base/words.hpp"

#include "support/random.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

using namespace loomproof;

namespace {

/// The Unicode Standard, version 15.0, section 3.9, table 3-7: Well-Formed UTF-8 Byte Sequences. One row of the table each:
/// the range of every byte.
struct Row {
    std::size_t length;
    unsigned char low[4];
    unsigned char high[4];
};
constexpr Row table_3_7[] = {
    {1, {0x00}, {0x7f}},
    {2, {0xc2, 0x80}, {0xdf, 0xbf}},
    {3, {0xe0, 0xa0, 0x80}, {0xe0, 0xbf, 0xbf}},
    {3, {0xe1, 0x80, 0x80}, {0xec, 0xbf, 0xbf}},
    {3, {0xed, 0x80, 0x80}, {0xed, 0x9f, 0xbf}},
    {3, {0xee, 0x80, 0x80}, {0xef, 0xbf, 0xbf}},
    {4, {0xf0, 0x90, 0x80, 0x80}, {0xf0, 0xbf, 0xbf, 0xbf}},
    {4, {0xf1, 0x80, 0x80, 0x80}, {0xf3, 0xbf, 0xbf, 0xbf}},
    {4, {0xf4, 0x80, 0x80, 0x80}, {0xf4, 0x8f, 0xbf, 0xbf}},
};

/// Length by the table, 0 where no row fits.
std::size_t by_table(std::string_view s) {
    for (const Row& row : table_3_7) {
        if (s.size() < row.length) continue;
        bool fits = true;
        for (std::size_t i = 0; i < row.length; ++i) {
            const auto byte = static_cast<unsigned char>(s[i]);
            fits = fits && byte >= row.low[i] && byte <= row.high[i];
        }
        if (fits) return row.length;
    }
    return 0;
}

std::string bytes(std::initializer_list<int> values) {
    std::string s;
    for (const int value : values) s += static_cast<char>(value);
    return s;
}

} // namespace

TEST_CASE("UTF-8 by the Unicode Standard's table 3-7: every sequence of up to three bytes") {
    std::size_t differences = 0;
    for (int a = 0; a < 256; ++a) {
        differences += utf8_length(bytes({a})) != by_table(bytes({a}));
        for (int b = 0; b < 256; ++b) {
            const std::string two = bytes({a, b});
            differences += utf8_length(two) != by_table(two);
            if (a < 0xe0) continue; // shorter sequences are decided already
            for (int c = 0; c < 256; ++c) {
                const std::string three = bytes({a, b, c});
                differences += utf8_length(three) != by_table(three);
            }
        }
    }
    CHECK(differences == 0);
}

TEST_CASE("UTF-8 by the table: four bytes, at and around every limit") {
    std::size_t differences = 0;
    const int edges[] = {0x00, 0x7f, 0x80, 0x8f, 0x90, 0x9f, 0xa0, 0xbf, 0xc0, 0xc2, 0xff};
    for (int a = 0xed; a < 256; ++a)
        for (int b = 0; b < 256; ++b)
            for (const int c : edges)
                for (const int d : edges) {
                    const std::string four = bytes({a, b, c, d});
                    differences += utf8_length(four) != by_table(four);
                }
    CHECK(differences == 0);
}

TEST_CASE("whole texts in UTF-8, and their length in characters") {
    // The standard's own examples of ill-formed sequences, section 3.9: C0 AF, E0 9F 80, and F4 80 83 92 as a well-formed one.
    CHECK(!is_valid_utf8(bytes({0xc0, 0xaf})));
    CHECK(!is_valid_utf8(bytes({0xe0, 0x9f, 0x80})));
    CHECK(is_valid_utf8(bytes({0xf4, 0x80, 0x83, 0x92})));
    CHECK(!is_valid_utf8(bytes({0xed, 0xa0, 0x80}))); // a surrogate
    CHECK(!is_valid_utf8("mm\xc2"));                  // cut off
    CHECK(is_valid_utf8(""));
    CHECK(is_valid_utf8("2.5 mm² Größe 熔断器 🔥"));
    CHECK(code_points("") == 0);
    CHECK(code_points("2.5 mm²") == 7);
    CHECK(code_points("熔断器🔥") == 4);
    CHECK(code_points("a\xff\xe2\x80") == 4); // each broken byte counts as one
}

TEST_CASE("case is ignored for ASCII letters only") {
    CHECK(lower("Wire F1 ÄÖ") == "wire f1 ÄÖ");
    CHECK(equal_ignoring_case("GND1", "gnd1"));
    CHECK(!equal_ignoring_case("GND1", "GND"));
    CHECK(!equal_ignoring_case("Ä", "ä"));
    CHECK(!equal_ignoring_case("[", "{")); // 0x5b and 0x7b differ by the bit that case differs by
    CHECK(equal_ignoring_case("", ""));
}

TEST_CASE("the nearest name") {
    const std::vector<std::string> words{"wire", "switch", "battery", "alternator", "fuse",
                                         "GND1", "GND2",   "Größe",   "Öl"};
    const auto near = [&](std::string_view word) { return nearest_name(word, words).value_or("-"); };
    struct Row2 {
        std::string_view typed, meant;
    };
    for (const Row2& row : std::initializer_list<Row2>{
             {"wrie", "wire"},  // neighbours swapped: one edit
             {"wir", "wire"},   // one missing
             {"wiree", "wire"}, // one too many
             {"wore", "wire"},  // one changed
             {"woe", "-"},      // two edits in a short word
             {"batery", "battery"},
             {"bateri", "battery"},
             {"bateir", "-"}, // three edits in six letters
             {"battrey", "battery"},
             {"alternatro", "alternator"},
             {"alterntaor", "alternator"},
             {"allternaater", "alternator"},
             {"allternaatter", "-"}, // four edits
             {"SWITCH", "switch"},   // case alone
             {"gnd3", "GND1"},       // ties go to the first
             {"x", "-"},             // one letter, and that one changed: nothing is left of the name
             {"", "-"},
             {"Grüße", "Größe"},
             {"Ol", "Öl"}, // one letter is one edit, however many bytes it has
             {"fsue", "fuse"},
             {"quite another thing", "-"},
         }) {
        CAPTURE(row.typed);
        CHECK(near(row.typed) == row.meant);
    }
    CHECK(!nearest_name("wire", {}));
}

TEST_CASE("the nearest name is what the whole table of edits says") {
    // Restricted edit distance with swaps, every cell of the table: the plainest way to the same answer.
    const auto plain = [](std::string_view a, std::string_view b) {
        std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
        for (std::size_t i = 0; i <= a.size(); ++i)
            for (std::size_t j = 0; j <= b.size(); ++j) {
                if (i == 0 || j == 0) {
                    d[i][j] = i + j;
                    continue;
                }
                d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] != b[j - 1])});
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                    d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
            }
        return d[a.size()][b.size()];
    };
    test::Random random(3);
    const auto some_word = [&] {
        std::string word;
        for (std::size_t n = 1 + random.below(12); n-- > 0;) word += static_cast<char>('a' + random.below(3));
        return word;
    };
    for (int round = 0; round < 20000; ++round) {
        const std::string a = some_word(), b = some_word();
        const std::size_t allowed = a.size() <= 4 ? 1 : a.size() <= 8 ? 2 : 3;
        const std::size_t n = plain(a, b);
        const bool expected = n <= allowed && n < std::max(a.size(), b.size());
        if (nearest_name(a, std::vector<std::string>{b}).has_value() == expected) continue;
        CAPTURE(a);
        CAPTURE(b);
        CHECK(!expected);
        CHECK(expected);
    }
}

TEST_CASE("the nearest name among endless words is found in a moment") {
    const std::vector<std::string> words{std::string(300'000, 'a'), std::string(300'000, 'b')};
    std::string typed = words[1];
    typed[150'000] = 'c';
    CHECK((nearest_name(typed, words) == words[1]));
    CHECK(!nearest_name(std::string(300'000, 'c'), words));
}
