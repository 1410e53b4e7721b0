#pragma once
/// What switches the ignition on, told by stamps and words: for circuits that do not say what keeps the engine alive.

#include "circuit/view.hpp"
#include "circuit/wishes.hpp"

#include <initializer_list>
#include <string_view>
#include <vector>

namespace loomproof::solve {

/// Has it one of these words in it, whole? "ignition on" has "ignition".
bool speaks_of(std::string_view text, std::initializer_list<std::string_view> words);
/// Something that a hand, or the world, turns on and leaves on.
bool can_be_left(const Control&, std::size_t position);

/// Where the controls stand that switch the ignition on, where nobody said what keeps the engine alive. Empty where none is told by its
/// terminal or its words.
std::vector<Wish::At> ignition_on(const View&);

} // namespace loomproof::solve
