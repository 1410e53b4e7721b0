#include "base/words.hpp"

#include <algorithm>
#include <vector>

namespace loomproof {

namespace {
char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; }

/// Restricted Damerau-Levenshtein distance; rows are reused, so memory is three rows.
std::size_t edits(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before(b.size() + 1), previous(b.size() + 1), row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) previous[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t change = previous[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            row[j] = std::min({previous[j] + 1, row[j - 1] + 1, change});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) row[j] = std::min(row[j], before[j - 2] + 1);
        }
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
    const std::string wanted = lower(word);
    const std::size_t allowed = wanted.size() <= 4 ? 1 : wanted.size() <= 8 ? 2 : 3;
    std::optional<std::string> best;
    std::size_t best_edits = allowed + 1;
    for (const std::string& candidate : candidates) {
        const std::size_t longer = std::max(candidate.size(), wanted.size());
        if (longer - std::min(candidate.size(), wanted.size()) > allowed) continue;
        const std::size_t n = edits(wanted, lower(candidate));
        if (n < best_edits && n < longer) {
            best_edits = n;
            best = candidate;
        }
    }
    return best;
}

} // namespace loomproof
