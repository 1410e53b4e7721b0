#pragma once
/// The permanent names of the mistakes that can be seen in a text before anything is known about its meaning.
///
/// One table for all of this room; the circuit room keeps the table of what it finds in the same form. A name is never
/// reused for something else. Every name begins with "text-".

#include <array>
#include <string_view>

namespace loomproof {

struct TextId {
    std::string_view id;      ///< Finding::rule
    std::string_view meaning; ///< one line for lists and for `explain`
};

namespace text_id {
inline constexpr std::string_view unreadable_number = "text-unreadable-number";
inline constexpr std::string_view unclosed_quote = "text-unclosed-quote";
inline constexpr std::string_view quote_in_text = "text-quote-in-text";
inline constexpr std::string_view stray_character = "text-stray-character";
inline constexpr std::string_view invisible_character = "text-invisible-character";
inline constexpr std::string_view hidden_direction = "text-hidden-direction";
inline constexpr std::string_view broken_encoding = "text-broken-encoding";
inline constexpr std::string_view unclosed_block = "text-unclosed-block";
inline constexpr std::string_view stray_brace = "text-stray-brace";
inline constexpr std::string_view too_deep = "text-too-deep";
inline constexpr std::string_view after_brace = "text-after-brace";
inline constexpr std::string_view empty_clause = "text-empty-clause";
inline constexpr std::string_view many_mistakes = "text-many-mistakes";
} // namespace text_id

inline constexpr std::array<TextId, 13> netlist_text_ids{{
    {text_id::unreadable_number, "a comma between two digits: a decimal comma, or two figures?"},
    {text_id::unclosed_quote, "a text in quotes that does not end on its line"},
    {text_id::quote_in_text, "a quote in the middle of a word: nobody can tell where the text ends"},
    {text_id::stray_character, "a character that has no meaning in a circuit file outside quotes"},
    {text_id::invisible_character, "a character that cannot be seen stands inside a word"},
    {text_id::hidden_direction, "characters that make a line show in another order than it is read"},
    {text_id::broken_encoding, "bytes that are no character in UTF-8"},
    {text_id::unclosed_block, "a { without its }"},
    {text_id::stray_brace, "a } without its {, or a { that belongs to no statement"},
    {text_id::too_deep, "blocks inside blocks, deeper than the language goes"},
    {text_id::after_brace, "something stands behind a } on the same line"},
    {text_id::empty_clause, "nothing stands between two commas, or between two |"},
    {text_id::many_mistakes, "so many mistakes that the rest is only counted"},
}};

} // namespace loomproof
