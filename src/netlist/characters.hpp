#pragma once
/// What each character means to a circuit file, phones' typing included.

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace loomproof {

enum class CharacterKind : std::uint8_t {
    word,  ///< letters, digits, _ and every character not named below
    blank, ///< space, tab, all blanks of Unicode, the non-breaking ones too
    line_end, ///< LF, CR, CR LF, and the separators that note-taking programs on phones put for a new line (U+0085, U+2028, U+2029)
    mark,         ///< ASCII marks of the language; `mark` says which
    dash,         ///< hyphen, en and em dash, minus: all mean '-'
    times,        ///< multiplication signs: mean '*'
    dots,         ///< the one-character ellipsis: means ".."
    point,        ///< a full stop: part of a number or a word, or half of ".."
    quote,        ///< double quotes, straight, curly, low, angled: each closes each
    single_quote, ///< single quotes and apostrophes, straight and curly: each closes each
    invisible,    ///< takes no room: zero-width blanks and joiners, soft hyphen, byte-order mark, direction marks
    direction,    ///< overrides and embeddings that make text show in another order than it stands
    stray,        ///< control characters; punctuation and symbols that mean nothing here
    broken,       ///< a byte that belongs to no UTF-8 sequence
    wide,         ///< only of plain_kind(): a byte of a character that takes several
};

struct Character {
    std::uint32_t code = 0;  ///< Unicode scalar value; for `broken` the byte
    std::uint8_t length = 1; ///< bytes; 2 for CR LF
    CharacterKind kind = CharacterKind::stray;
    char mark = 0; ///< for mark, dash, times: the ASCII mark; otherwise 0
};

namespace detail {
constexpr std::array<CharacterKind, 256> kinds_of_bytes() {
    std::array<CharacterKind, 256> kinds{};
    kinds.fill(CharacterKind::stray);
    std::fill(kinds.begin() + 128, kinds.end(), CharacterKind::wide);
    const auto set = [&](std::string_view characters, CharacterKind kind) {
        for (const char c : characters) kinds[static_cast<unsigned char>(c)] = kind;
    };
    set("0123456789_abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ", CharacterKind::word);
    set(",:/{}|*+=()#%&;", CharacterKind::mark);
    set(" \t\v\f", CharacterKind::blank);
    set("\r\n", CharacterKind::line_end);
    set("-", CharacterKind::dash);
    set(".", CharacterKind::point);
    set("\"", CharacterKind::quote);
    set("'", CharacterKind::single_quote);
    return kinds;
}
inline constexpr std::array<CharacterKind, 256> of_byte = kinds_of_bytes();
Character wide_character_at(std::string_view text, std::size_t at);
} // namespace detail

/// The kind of an ASCII character; `wide` for any other byte.
constexpr CharacterKind plain_kind(char c) { return detail::of_byte[static_cast<unsigned char>(c)]; }

/// The character that begins at byte `at`, which must lie inside `text`.
inline Character character_at(std::string_view text, std::size_t at) {
    const auto first = static_cast<unsigned char>(text[at]);
    if (first >= 0x80) return detail::wide_character_at(text, at);
    Character c{first, 1, detail::of_byte[first], 0};
    if (c.kind == CharacterKind::mark || c.kind == CharacterKind::dash) c.mark = text[at];
    if (first == '\r' && at + 1 < text.size() && text[at + 1] == '\n') c.length = 2;
    return c;
}

/// Length of the line end at byte `at` (1 to 3 bytes), 0 where there is none. Lines are counted by this everywhere.
inline std::size_t line_end_at(std::string_view text, std::size_t at) {
    const char c = text[at];
    if (c != '\n' && c != '\r' && c != '\xc2' && c != '\xe2') return 0;
    const Character whole = character_at(text, at);
    return whole.kind == CharacterKind::line_end ? whole.length : 0;
}

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }

} // namespace loomproof
