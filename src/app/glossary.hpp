#pragma once
/// The words of the trade that Loomproof uses, in plain words.

#include <span>
#include <string_view>

namespace loomproof::app {

struct GlossaryWord {
    std::string_view word;  ///< lower case; further words for it behind commas: "ground, earth, chassis"
    std::string_view means; ///< whole sentences
};

/// By alphabet.
std::span<const GlossaryWord> glossary();
/// By any of its words; capitals do not matter, nor does a plural s. Null where it is not listed.
const GlossaryWord* find_word(std::string_view);

} // namespace loomproof::app
