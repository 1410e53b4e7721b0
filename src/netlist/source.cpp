#include "netlist/source.hpp"

#include "base/words.hpp"
#include "netlist/characters.hpp"

#include <fmt/core.h>

#include <algorithm>

namespace loomproof {

namespace {

constexpr std::string_view byte_order_mark = "\xef\xbb\xbf";

bool begins_with(std::string_view text, std::string_view start) { return text.substr(0, start.size()) == start; }

/// Number of the line that holds byte `at`, from 1.
std::size_t line_of(std::string_view text, std::size_t at) {
    std::size_t line = 1;
    for (std::size_t i = 0; i < at;) {
        const std::size_t ending = line_end_at(text, i);
        if (ending > 0 && i + ending <= at) ++line;
        i += std::max<std::size_t>(ending, 1);
    }
    return line;
}

/// First byte that is not UTF-8, or npos.
std::size_t first_broken(std::string_view text) {
    for (std::size_t i = 0; i < text.size();) {
        const std::size_t length = utf8_length(text.substr(i, 4));
        if (length == 0) return i;
        i += length;
    }
    return std::string_view::npos;
}

/// Number of the first line beyond the limit, or 0.
std::size_t first_long_line(std::string_view text) {
    std::size_t line = 1;
    std::size_t begin = 0;
    for (std::size_t i = 0; i < text.size();) {
        const std::size_t ending = line_end_at(text, i);
        i += std::max<std::size_t>(ending, 1);
        if (ending > 0) {
            ++line;
            begin = i;
        } else if (i - begin > longest_line) {
            return line;
        }
    }
    return 0;
}

} // namespace

std::uint32_t Sources::add(std::string name, std::string text) {
    if (begins_with(text, byte_order_mark)) text.erase(0, byte_order_mark.size());
    Source& source = sources_.emplace_back(Source{std::move(name), std::move(text), {0}});
    const std::string_view all = source.text;
    for (std::size_t i = 0; i < all.size();) {
        const std::size_t ending = line_end_at(all, i);
        i += std::max<std::size_t>(ending, 1);
        if (ending > 0) source.line_begins.push_back(static_cast<std::uint32_t>(i));
    }
    return static_cast<std::uint32_t>(sources_.size() - 1);
}

std::string_view Sources::text(Span span) const {
    if (!span.exists()) return {};
    return std::string_view(at(span.source).text).substr(span.begin, span.end - span.begin);
}

LineColumn Sources::position(std::uint32_t source, std::uint32_t byte) const {
    const Source& s = at(source);
    const std::size_t here = std::min<std::size_t>(byte, s.text.size());
    const auto after = std::upper_bound(s.line_begins.begin(), s.line_begins.end(), here);
    const std::size_t begin = *(after - 1);
    return {static_cast<std::size_t>(after - s.line_begins.begin()),
            code_points(std::string_view(s.text).substr(begin, here - begin)) + 1};
}

std::string_view Sources::line_at(std::uint32_t source, std::uint32_t byte, std::uint32_t* line_begin) const {
    const Source& s = at(source);
    const std::size_t here = std::min<std::size_t>(byte, s.text.size());
    const auto after = std::upper_bound(s.line_begins.begin(), s.line_begins.end(), here);
    const std::size_t begin = *(after - 1);
    if (line_begin != nullptr) *line_begin = static_cast<std::uint32_t>(begin);
    const std::string_view rest = std::string_view(s.text).substr(begin);
    if (after == s.line_begins.end()) return rest;
    const std::size_t whole = *after - begin;
    for (std::size_t ending = 3; ending > 1; --ending)
        if (whole >= ending && line_end_at(rest, whole - ending) == ending) return rest.substr(0, whole - ending);
    return rest.substr(0, whole - 1);
}

Result<void> check_readable(const std::string& name, std::string_view text) {
    for (const std::string_view mark : {"\xff\xfe", "\xfe\xff"})
        if (begins_with(text, mark) || begins_with(text, std::string_view("\0\0\xfe\xff", 4)))
            return failure(name + " is saved as UTF-16 or UTF-32: save it again as plain text in UTF-8.");
    if (const std::size_t at = text.find('\0'); at != std::string_view::npos)
        return failure(
            fmt::format("{} is not a text: a NUL byte stands in line {}. A circuit file is plain text in UTF-8.", name,
                        line_of(text, at)));
    if (const std::size_t at = first_broken(text); at != std::string_view::npos)
        return failure(
            fmt::format("{} is not a text in UTF-8: byte {:02X} in line {} is no character. Save it again as plain "
                        "text in UTF-8.",
                        name, static_cast<unsigned char>(text[at]), line_of(text, at)));
    if (const std::size_t line = first_long_line(text); line != 0)
        return failure(fmt::format("{} is not a circuit file: line {} is longer than {} bytes, the most that is read.",
                                   name, line, longest_line));
    if (text.size() > largest_source)
        return failure(
            fmt::format("{} is larger than {} MB, the most that is read.", name, largest_source / 1'000'000));
    return {};
}

} // namespace loomproof
