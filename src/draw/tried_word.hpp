#pragma once
/// A word that is tried at many places before it stays at one. Inside matter of labels.cpp.

#include "draw/geometry.hpp"
#include "draw/picture.hpp"

#include <string>

namespace loomproof::draw {

/// A text, measured once for the many places where it is tried, and its room where it begins at 0, 0. The text outlives it.
struct Text {
    const std::string* words = nullptr;
    Box room{};
};
inline Text measured(const std::string& text) {
    return {&text, box_of(Word{text, {}, Anchor::start, WordKind::label, false})};
}

/// A word that is tried: most places are taken, and its text is copied only where it stays.
struct Try {
    const Text* text;
    Point at;
    Anchor anchor;
    bool upright;
};

/// As of any word.
inline Box box_of(const Try& word) {
    const Box& at_origin = word.text->room;
    const double width = at_origin.right, rise = -at_origin.top, fall = at_origin.bottom;
    const double before = word.anchor == Anchor::start ? 0 : word.anchor == Anchor::middle ? width / 2 : width;
    if (word.upright) return {word.at.x - rise, word.at.y + before - width, word.at.x + fall, word.at.y + before};
    return {word.at.x - before, word.at.y - rise, word.at.x - before + width, word.at.y + fall};
}

} // namespace loomproof::draw
