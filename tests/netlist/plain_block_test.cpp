// Nearly all of a file is read 64 bytes at once. Neither where those 64 begin nor whether a word has to be looked at by itself may make a
// difference to what is read.

#include "netlist/plain_block.hpp"

#include "netlist/characters.hpp"
#include "netlist/dump.hpp"
#include "netlist/samples.hpp"
#include "support/random.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <iterator>
#include <string>
#include <string_view>
#include <vector>

using namespace loomproof;
using namespace loomproof::test;

namespace {

/// A sample with up to three things put in that tell ways of reading apart.
std::string damaged(std::string_view sample, Random& random) {
    constexpr std::string_view pieces[] = {" ",   "  ", ",",  ",,", ", ,",  "/",  "//",   "{",  "}",     "|",      "\"",
                                           "'",   "-",  "--", ".",  "..",   ".5", "x.",   "-x", "x-é",   "–",      "×",
                                           ",\n", "\n", "\t", ":",  "\r\n", "é",  "{\n}", ",5", "\n   ", "\u200b", "%"};
    std::string text(sample);
    for (std::size_t n = random.below(4); n > 0; --n)
        text.insert(random.below(text.size()), pieces[random.below(std::size(pieces))]);
    return text;
}

/// The same tokens, statements and findings, those of `b` beginning with its token `skipped`, all of it `moved` bytes further on.
bool same(const Read& a, const Read& b, std::uint32_t skipped = 0, std::uint32_t moved = 0) {
    const auto same_token = [&](const Token& x, const Token& y) {
        return x.kind == y.kind && x.mark == y.mark && x.glued == y.glued && x.respelled == y.respelled &&
               x.begin + moved == y.begin && x.end + moved == y.end;
    };
    const std::vector<Token>&one = a.tree().tokens, &other = b.tree().tokens;
    return std::equal(one.begin(), one.end(), other.begin() + skipped, other.end(), same_token) &&
           a.tree().statements.size() + (skipped > 0 ? 1 : 0) == b.tree().statements.size() && rules(a) == rules(b);
}

} // namespace

TEST_CASE("the highest bits of sixteen bytes, in one instruction or one by one") {
    Random random(3);
    for (int round = 0; round < 1000; ++round) {
        unsigned char bytes[16];
        std::uint64_t expected = 0;
        for (unsigned i = 0; i < 16; ++i) {
            bytes[i] = static_cast<unsigned char>(random.below(256));
            expected |= static_cast<std::uint64_t>(bytes[i] >> 7) << i;
        }
        detail::Sixteen sixteen;
        std::memcpy(&sixteen, bytes, sizeof bytes);
        CHECK(detail::highest_bits(sixteen) == expected);
        CHECK(detail::highest_bits_plainly(sixteen) == expected);
    }
}

TEST_CASE("a line of any length before it changes nothing") {
    Random random(5);
    for (const std::string_view sample : samples)
        for (int round = 0; round < 10; ++round) {
            const std::string text = damaged(sample, random);
            const Read alone = read(text);
            // Behind an unindented line: what the sample begins with must not be a part of it.
            if (alone.tree().tokens.empty() || alone.tree().tokens[0].begin != 0 || alone.tree().tokens[0].mark != 0)
                continue;
            for (std::uint32_t length = 1; length <= 130; ++length) {
                const Read behind = read(std::string(length, 'x') + "\n" + text);
                CAPTURE(text);
                CAPTURE(length);
                CHECK(same(alone, behind, 2, length + 1));
            }
        }
}

TEST_CASE("words with a character of two bytes at their end are words with two letters there") {
    const auto with = [](std::string_view text, std::string_view ending) {
        std::string out;
        for (std::size_t i = 0; i < text.size(); ++i) {
            out += text[i];
            const bool last = i + 1 == text.size() || plain_kind(text[i + 1]) != CharacterKind::word;
            if (plain_kind(text[i]) == CharacterKind::word && last) out += ending;
        }
        return out;
    };
    Random random(13);
    for (const std::string_view sample : samples)
        for (int round = 0; round < 1000; ++round) {
            const std::string text = damaged(sample, random);
            CAPTURE(text);
            CHECK(same(read(with(text, "xx")), read(with(text, "é"))));
        }
}
