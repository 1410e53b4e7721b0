#pragma once
/// Source texts: what was read, under which name, and where a byte lies in lines and columns.

#include "base/result.hpp"
#include "base/span.hpp"

#include <deque>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof {

/// The most that is read of one circuit file: a million wires take about 110 MB.
inline constexpr std::size_t largest_source = 1'000'000'000;

/// One text. Its bytes never change and never move while the Sources that owns it lives.
struct Source {
    std::string name;                       ///< as shown to people: the path as given, or the `use` path
    std::string text;                       ///< whole content, UTF-8, without a byte-order mark
    std::vector<std::uint32_t> line_begins; ///< first byte of each line; never empty, the first is 0
};

/// A line and column for people: both from 1; the column counts code points, a tab is one. A line ends with LF, CR LF,
/// CR, or one of the separators that note-taking programs put (U+0085, U+2028, U+2029).
struct LineColumn {
    std::size_t line = 0;
    std::size_t column = 0;
};

/// Owns every text of one run. References stay valid until it is destroyed.
class Sources {
  public:
    /// Takes the text in, drops its byte-order mark. Returns its index, used as Span::source. At most `largest_source` bytes.
    std::uint32_t add(std::string name, std::string text);
    const Source& at(std::uint32_t index) const { return sources_[index]; }
    std::size_t count() const { return sources_.size(); }

    /// The spanned text; empty for a span that does not exist.
    std::string_view text(Span) const;
    /// A byte beyond the end counts as the end. Logarithmic in the number of lines.
    LineColumn position(std::uint32_t source, std::uint32_t byte) const;
    /// The whole line (without its line end) in which `byte` lies, and where it begins.
    std::string_view line_at(std::uint32_t source, std::uint32_t byte, std::uint32_t* line_begin = nullptr) const;

  private:
    std::deque<Source> sources_;
};

/// How texts are fetched; the app hands in the file system, tests hand in a map. `path` is relative to nothing else.
using Loader = std::function<Result<std::string>(const std::string& path)>;

/// The longest line of a circuit file, in bytes: no fitter writes more, and what prints a line need not fear it.
inline constexpr std::size_t longest_line = 1'000'000;

/// Why a text cannot be a circuit file at all, as one sentence that names it, the line and what to do; or success.
/// Looked for in this order: UTF-16 or UTF-32 by their mark, NUL bytes (a binary file), bytes that are not UTF-8, a line
/// beyond `longest_line`, a text beyond `largest_source`. Takes the text as read, with or without a byte-order mark.
Result<void> check_readable(const std::string& name, std::string_view text);

} // namespace loomproof
