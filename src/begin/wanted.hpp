#pragma once
/// Which form somebody means who says in his own words what he wants to fit.

#include "begin/fill.hpp"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace loomproof::begin {

struct Wanted {
    std::vector<std::size_t> forms; ///< none: nothing like it; several: they cannot be told apart by these words
    std::string why;                ///< why the one form is only the nearest; empty: it is meant for that
    Answers said;                   ///< what these words answer already: "inverter" says what the big load is
    /// What other words of them ask for besides: "inverter with a leisure battery" are two jobs, and each has a form of its own.
    struct Besides {
        std::size_t form;
        std::string words; ///< as they are called: "inverter"
    };
    std::vector<Besides> besides;
    std::string
        figure; ///< watts or amps among them: "inverter 2000W" says "2000 W"; empty where there is not one such figure
    std::string read_as = {}; ///< the words that were taken instead, where one was misspelt; empty where none was
};

/// By number (from 1), name or title; else the forms in whose name and title all the words stand; else those that are called so, by the
/// most words. Of two jobs the one with a battery comes first, else what was typed first. Little words, capitals, hyphens and plurals
/// do not matter, nor do accents, and a light is a lamp. Where nothing is called so, the nearest words that are known are tried:
/// "drivng lights".
Wanted wanted_form(std::span<const Form> forms, std::span<const char* const> names, const std::string& typed);

} // namespace loomproof::begin
