#pragma once
/// Small text helpers that are the same in every locale.

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace loomproof {

/// ASCII letters to lower case; all other bytes stay (UTF-8 text passes through whole).
std::string lower(std::string_view);
/// Without the blanks at both ends. A view into the text that was given.
std::string_view trimmed(std::string_view, std::string_view blanks = " \t");
bool equal_ignoring_case(std::string_view, std::string_view);
/// Length in bytes of the well-formed UTF-8 sequence at the front of a non-empty text, 0 where it is broken (overlong
/// forms, surrogates, beyond U+10FFFF, cut off). After The Unicode Standard, table 3-7, Well-Formed UTF-8 Byte Sequences.
std::size_t utf8_length(std::string_view);
bool is_valid_utf8(std::string_view);
/// Number of code points; a broken byte counts as one.
std::size_t code_points(std::string_view);

/// The candidate nearest to `word` (edits: insert, drop, change, swap of neighbours, each of one character; case of ASCII letters
/// ignored), or nothing where none is near enough to be meant: at most one edit for words up to 4 characters, two up to 8, else
/// three, and never all of a word. Ties go to the first candidate. Linear in the length of the words.
std::optional<std::string> nearest_name(std::string_view word, std::span<const std::string> candidates);

} // namespace loomproof
