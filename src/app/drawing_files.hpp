#pragma once
/// Where drawings go: the names of sheets, the mark by which a sheet of ours is known again, and what an earlier drawing left behind.

#include "base/file.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::app {

enum class Format { svg, pdf, png };

/// By the name's end, capitals or not; a name without one is SVG. Nothing where it asks for something else ("circuit.jpg").
std::optional<Format> format_of(const std::string& target);

/// "car.svg" and "2" give "car-2.svg".
std::string sheet_name(const std::string& target, std::string_view which);

/// Puts a mark into a finished SVG or PNG: the word Loomproof and a check sum (FNV-1a, 64 bits) over everything else. A viewer shows
/// nothing of it. SVG: a comment behind the last line. PNG: a text chunk "Loomproof" before the end (PNG specification, 11.3.4.3).
std::string marked(std::string content, Format format);

/// Does it bear our mark, and has nobody changed it since?
bool is_ours(std::string_view content, Format format);

/// Sheets of an earlier drawing with that name: the files beside `target` that are called as sheet_name would call them and are not
/// among `written`.
struct Leftovers {
    std::vector<std::string> ours;   ///< unchanged sheets of ours, by name
    std::vector<std::string> others; ///< somebody's own or changed since
};
Leftovers leftovers(const std::string& target, Format format, const std::vector<std::string>& written);

/// Of these files, those that are there and are not ours: they must not be written over.
std::vector<std::string> not_ours(const std::vector<std::string>& files, Format format);

} // namespace loomproof::app
