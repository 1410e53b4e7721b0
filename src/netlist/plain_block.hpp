#pragma once
/// What 64 bytes of a circuit file are, all of them at once: one bit a byte. Used by the lexer alone, where nothing but plain characters
/// stands, as it does in nearly all of a file.
///
/// A loop that looks at one byte after the other asks at each whether its word ends there, and a processor that guesses ahead guesses
/// wrong at every other token. Here sixteen bytes are compared at once, and a few operations on whole words of 64 bits say where tokens
/// begin and end.

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <string_view>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

namespace loomproof {

namespace detail {

/// Sixteen bytes side by side (a vector type of GCC and Clang). What compares them gives sixteen answers, each 0 or all ones.
using Sixteen [[gnu::vector_size(16)]] = std::uint8_t;

inline Sixteen within(Sixteen bytes, char first, char last) {
    return Sixteen(bytes - static_cast<std::uint8_t>(first) <= static_cast<std::uint8_t>(last - first));
}
inline Sixteen are(Sixteen bytes, char c) { return Sixteen(bytes == static_cast<std::uint8_t>(c)); }

/// The highest bit of each byte, the first byte's lowest: eight bytes at a time, whose bits a multiplication brings side by side.
inline std::uint64_t highest_bits_plainly(Sixteen bytes) {
    std::array<std::uint8_t, 16> each;
    std::memcpy(each.data(), &bytes, sizeof bytes);
    std::uint64_t bits = 0;
    for (unsigned i = 0; i < 16; i += 8) {
        std::uint64_t eight = 0;
        for (unsigned k = 0; k < 8; ++k) eight |= std::uint64_t{each[i + k]} << (8 * k);
        bits |= ((eight >> 7 & 0x0101010101010101U) * 0x0102040810204080U >> 56) << i;
    }
    return bits;
}

/// The same in one instruction, where the processor has SSE2 (all that are called amd64 or x86-64 have).
inline std::uint64_t highest_bits(Sixteen bytes) {
#ifdef __SSE2__
    return static_cast<unsigned>(_mm_movemask_epi8(reinterpret_cast<__m128i>(bytes)));
#else
    return highest_bits_plainly(bytes);
#endif
}

} // namespace detail

/// Where tokens lie in 64 bytes of text, of which the first is where a token, a gap or a line feed begins. Bit i is byte i.
struct PlainBlock {
    std::uint64_t words = 0;  ///< bytes inside words, points and dashes between two word characters too
    std::uint64_t begins = 0; ///< first bytes of tokens: words, marks, and line feeds that end a statement
    std::uint64_t turns = 0;  ///< those of them that may end a statement or begin one: braces, bars and line feeds
    std::uint64_t room = 0;   ///< bytes that are no token: spaces, and line feeds
    unsigned size =
        0; ///< so many bytes are as told; what comes then takes a closer look, or another block (63 at most)
    bool more = false; ///< another block: nothing special was met

    /// `text` has 64 bytes. `may_end`: a line feed at the first byte would end a statement.
    static PlainBlock look(const char* text, bool may_end) {
        std::uint64_t word = 0, digit = 0, space = 0, mark = 0, comma = 0, point = 0, dash = 0, slash = 0, turn = 0,
                      feed = 0, wide = 0;
        for (unsigned i = 0; i < 64; i += 16) {
            detail::Sixteen bytes;
            std::memcpy(&bytes, text + i, sizeof bytes);
            const auto within = [&](char first, char last) { return detail::within(bytes, first, last); };
            const auto are = [&](char c) { return detail::are(bytes, c); };
            const auto note = [&](std::uint64_t& all, detail::Sixteen is) { all |= detail::highest_bits(is) << i; };
            const detail::Sixteen digits = within('0', '9'), letters = detail::within(bytes | 0x20, 'a', 'z'),
                                  braces = within('{', '}'), slashes = are('/'), dashes = are('-'), feeds = are('\n');
            note(word, letters | digits | are('_'));
            note(digit, digits);
            note(space, are(' '));
            note(mark, within('(', ',') | within(':', ';') | are('=') | braces | slashes | dashes);
            note(comma, are(','));
            note(point, are('.'));
            note(dash, dashes);
            note(slash, slashes);
            note(turn, braces | feeds);
            note(feed, feeds);
            note(wide, bytes); // beyond ASCII: a byte of a character that takes several
        }
        const auto behind = [](std::uint64_t bytes) { return bytes << 1; };
        const auto before = [](std::uint64_t bytes) { return bytes >> 1; };
        const std::uint64_t last = std::uint64_t{1} << 63;

        const std::uint64_t joins = (point | dash) & behind(word) & before(word);
        const std::uint64_t words = word | joins, marks = mark & ~joins;
        // Ends a statement: behind something that is no comma (no list goes on), and before a line that is not indented.
        const std::uint64_t ends =
            feed & before(word) & (behind(words | (marks & ~comma)) | static_cast<std::uint64_t>(may_end));

        // A closer look at the whole word that stands before: at wide characters, loose points, dashes behind which a wide character may
        // go on with the word, commas that may be decimal ones. Nothing is known of what comes behind the last byte.
        const std::uint64_t dash_before_wide = dash & behind(word) & before(wide);
        const std::uint64_t decimal_comma = comma & behind(digit) & ~before(space | feed);
        const std::uint64_t from_word = wide | (point & ~joins) | dash_before_wide | decimal_comma | last;
        const std::uint64_t comment = slash & before(slash);
        const std::uint64_t stop = from_word | comment | ~(words | marks | space | ends);

        PlainBlock found;
        found.size = static_cast<unsigned>(std::countr_zero(stop));
        found.more = found.size == 63;
        if (found.size > 0 && (from_word >> found.size & 1) != 0)
            found.size -= static_cast<unsigned>(std::countl_one(words << (64 - found.size)));
        const std::uint64_t told = (std::uint64_t{1} << found.size) - 1;
        found.words = words & told;
        found.begins = ((words & ~behind(words)) | marks | ends) & told;
        found.turns = turn & found.begins;
        found.room = (space | ends) & told;
        return found;
    }

    /// `text` from byte `at` on. Behind its end there seem to be empty lines, which the block does not tell of.
    static PlainBlock look(std::string_view text, std::size_t at, bool may_end) {
        const std::string_view rest = text.substr(at);
        if (rest.size() >= 64) return look(rest.data(), may_end);
        std::array<char, 64> padded;
        padded.fill('\n');
        std::memcpy(padded.data(), rest.data(), rest.size());
        return look(padded.data(), may_end);
    }
};

} // namespace loomproof
