#pragma once
/// What each character means to a circuit file, phones' typing included.

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace loomproof {

enum class CharacterKind : std::uint8_t {
    word,         ///< letters, digits, _ and every character not named below
    blank,        ///< space, tab, all blanks of Unicode, the non-breaking ones too
    line_end,     ///< LF, CR, CR LF, and the separators that note-taking programs on phones put for a new line (U+0085, U+2028, U+2029)
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
};

struct Character {
    std::uint32_t code = 0;  ///< Unicode scalar value; for `broken` the byte
    std::uint8_t length = 1; ///< bytes; 2 for CR LF
    CharacterKind kind = CharacterKind::stray;
    char mark = 0; ///< for mark, dash, times: the ASCII mark; otherwise 0
};

/// The character that begins at byte `at`, which must lie inside `text`.
Character character_at(std::string_view text, std::size_t at);

/// Length of the line end at byte `at` (1 to 3 bytes), 0 where there is none. Lines are counted by this everywhere.
std::size_t line_end_at(std::string_view text, std::size_t at);

inline bool is_digit(char c) { return c >= '0' && c <= '9'; }

} // namespace loomproof
