#include "base/words.hpp"

#include <algorithm>
#include <vector>

namespace loomproof {

namespace {
char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; }

/// The characters of a text; a broken byte is one, told apart from every character.
std::u32string characters(std::string_view s) {
    std::u32string out;
    while (!s.empty()) {
        const std::size_t n = utf8_length(s);
        char32_t c = n == 0 ? 0x110000U : 0;
        for (std::size_t i = 0; i < std::max<std::size_t>(n, 1); ++i) c = c << 8 | static_cast<unsigned char>(s[i]);
        out += c;
        s.remove_prefix(std::max<std::size_t>(n, 1));
    }
    return out;
}

/// Restricted Damerau-Levenshtein distance where it is at most `most`, else something larger. Only cells near the diagonal
/// can stay within it, so time grows with the length and not with its square.
std::size_t edits(std::u32string_view a, std::u32string_view b, std::size_t most) {
    const std::size_t far = most + 1;
    std::vector<std::size_t> before(b.size() + 1, far), previous(b.size() + 1, far), row(b.size() + 1, far);
    for (std::size_t j = 0; j <= std::min(b.size(), most); ++j) previous[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        const std::size_t first = i > most ? i - most : 1;
        const std::size_t last = std::min(b.size(), i + most);
        if (first > last) return far;
        row[first - 1] = first == 1 ? i : far;
        for (std::size_t j = first; j <= last; ++j) {
            const std::size_t change = previous[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            row[j] = std::min({previous[j] + 1, row[j - 1] + 1, change});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                row[j] = std::min(row[j], before[j - 2] + 1);
        }
        if (last < b.size()) row[last + 1] = far;
        std::swap(before, previous);
        std::swap(previous, row);
    }
    return previous[b.size()];
}
} // namespace

std::string lower(std::string_view s) {
    std::string out(s);
    std::transform(out.begin(), out.end(), out.begin(), [](char c) { return lower(c); });
    return out;
}

std::string_view trimmed(std::string_view s, std::string_view blanks) {
    const std::size_t first = std::min(s.find_first_not_of(blanks), s.size());
    const std::size_t last = s.find_last_not_of(blanks);
    return last == std::string_view::npos ? s.substr(first) : s.substr(first, last + 1 - first);
}

bool equal_ignoring_case(std::string_view a, std::string_view b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](char x, char y) { return lower(x) == lower(y); });
}

std::size_t utf8_length(std::string_view s) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(s[i]); };
    const unsigned char c = byte(0);
    if (c < 0x80) return 1;
    const std::size_t n = c >= 0xf0 ? 4 : c >= 0xe0 ? 3 : 2;
    if (c < 0xc2 || c > 0xf4 || s.size() < n) return 0;
    for (std::size_t i = 1; i < n; ++i)
        if ((byte(i) & 0xc0) != 0x80) return 0;
    if (c == 0xe0 && byte(1) < 0xa0) return 0;
    if (c == 0xed && byte(1) > 0x9f) return 0;
    if (c == 0xf0 && byte(1) < 0x90) return 0;
    if (c == 0xf4 && byte(1) > 0x8f) return 0;
    return n;
}

bool is_valid_utf8(std::string_view s) {
    while (!s.empty()) {
        const std::size_t n = utf8_length(s);
        if (n == 0) return false;
        s.remove_prefix(n);
    }
    return true;
}

std::size_t code_points(std::string_view s) {
    std::size_t count = 0;
    while (!s.empty()) {
        s.remove_prefix(std::max<std::size_t>(1, utf8_length(s)));
        ++count;
    }
    return count;
}

std::optional<std::string> nearest_name(std::string_view word, std::span<const std::string> candidates) {
    const std::u32string wanted = characters(lower(word));
    const std::size_t allowed = wanted.size() <= 4 ? 1 : wanted.size() <= 8 ? 2 : 3;
    std::optional<std::string> best;
    std::size_t best_edits = allowed + 1;
    for (const std::string& candidate : candidates) {
        const std::u32string name = characters(lower(candidate));
        const std::size_t longer = std::max(name.size(), wanted.size());
        if (longer - std::min(name.size(), wanted.size()) > allowed) continue;
        const std::size_t n = edits(wanted, name, allowed);
        if (n < best_edits && n < longer) {
            best_edits = n;
            best = candidate;
        }
    }
    return best;
}

} // namespace loomproof
