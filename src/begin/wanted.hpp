#pragma once
/// Which form somebody means who says in his own words what he wants to fit.

#include "begin/form.hpp"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace loomproof::begin {

struct Wanted {
    std::vector<std::size_t> forms; ///< none: nothing like it; several: they cannot be told apart by these words
    std::string why;                ///< why the one form is only the nearest; empty: it is meant for that
};

/// By number (from 1), name or title; else the forms in whose name and title all the words stand; else those that are called so, by the
/// most words. Little words, capitals, hyphens and plurals do not matter, and a light is a lamp.
Wanted wanted_form(std::span<const Form> forms, std::span<const char* const> names, const std::string& typed);

} // namespace loomproof::begin
