#pragma once
/// Colour on a terminal: few, and never the only thing that tells something.

#include <string>
#include <string_view>

namespace loomproof::report {

/// Where text goes: a terminal, or something that takes it as if it were one.
struct Screen {
    std::size_t width = 80; ///< columns; what is longer is set into lines. Below 40 counts as 40.
    bool colour = false;    ///< may escape sequences be written?
    bool person =
        false; ///< somebody is looking; else a file or a program takes the text, and single facts keep to one line
};

enum class Ink { plain, danger, fault, advice, note, strong, faint };

/// The text as it is without colour, else between the escape sequences (ECMA-48, SGR) for that ink.
std::string inked(const Screen&, Ink, std::string_view text);

} // namespace loomproof::report
