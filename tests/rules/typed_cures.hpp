#pragma once
/// Does in the text of a circuit file what a cure says in words, where that is a matter of typing: as a reader would who follows it to the letter.

#include "rules/run_text.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof::cases {

/// What a cure asks of the file.
struct Typed {
    std::string text;    ///< of the file, with that done
    std::string sort;    ///< which sort of cure it is, for counting: "exchange", "type behind"
    bool ends_it = true; ///< the finding must be gone then; a fuse alone may leave its wire too thin
};

/// The text with a cure of a finding carried out. `run` is the check of that text. Nothing where the cure is no matter of typing: it names no
/// thing, holds only under a condition that nobody knows, or asks for several things together. Throws std::runtime_error with words where a cure
/// is of a sort that can be typed and names something that is not there.
std::optional<Typed> typed(const support::Run& run, const std::string& text, const Finding&, const std::string& cure);

/// All sorts that `typed` knows.
std::vector<std::string> sorts_of_cures();

} // namespace loomproof::cases
