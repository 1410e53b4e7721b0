#include "report/columns.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <iterator>
#include <span>

namespace loomproof::report {

namespace {

constexpr std::string_view replacement = "\xef\xbf\xbd";

struct Range {
    std::uint32_t first, last;
};

constexpr std::array double_width{
    Range{0x1100, 0x115f},   Range{0x231a, 0x231b},   Range{0x23e9, 0x23ec},   Range{0x2614, 0x2615},
    Range{0x26a1, 0x26a1},   Range{0x2705, 0x2705},   Range{0x274c, 0x274c},   Range{0x2753, 0x2755},
    Range{0x2795, 0x2797},   Range{0x2b50, 0x2b50},   Range{0x2e80, 0x303e},   Range{0x3041, 0x3247},
    Range{0x3250, 0x4dbf},   Range{0x4e00, 0xa4cf},   Range{0xa960, 0xa97f},   Range{0xac00, 0xd7a3},
    Range{0xf900, 0xfaff},   Range{0xfe10, 0xfe19},   Range{0xfe30, 0xfe6f},   Range{0xff01, 0xff60},
    Range{0xffe0, 0xffe6},   Range{0x16fe0, 0x18aff}, Range{0x1b000, 0x1b2ff}, Range{0x1f18e, 0x1f18e},
    Range{0x1f191, 0x1f19a}, Range{0x1f200, 0x1f320}, Range{0x1f32d, 0x1f335}, Range{0x1f337, 0x1f37c},
    Range{0x1f37e, 0x1f393}, Range{0x1f3a0, 0x1f3ca}, Range{0x1f3e0, 0x1f3f0}, Range{0x1f400, 0x1f43e},
    Range{0x1f442, 0x1f4fc}, Range{0x1f4ff, 0x1f53d}, Range{0x1f5fb, 0x1f64f}, Range{0x1f680, 0x1f6c5},
    Range{0x1f6eb, 0x1f6ec}, Range{0x1f6f4, 0x1f6fc}, Range{0x1f90c, 0x1f9ff}, Range{0x1fa70, 0x1faff},
    Range{0x20000, 0x3fffd},
};

constexpr std::array no_width{
    Range{0x300, 0x36f},   Range{0x483, 0x489},   Range{0x591, 0x5bd},   Range{0x610, 0x61a},     Range{0x64b, 0x65f},
    Range{0x670, 0x670},   Range{0xe31, 0xe31},   Range{0xe34, 0xe3a},   Range{0xe47, 0xe4e},     Range{0x1ab0, 0x1aff},
    Range{0x1dc0, 0x1dff}, Range{0x200b, 0x200d}, Range{0x2060, 0x2064}, Range{0x20d0, 0x20ff},   Range{0x3099, 0x309a},
    Range{0xfe00, 0xfe0f}, Range{0xfe20, 0xfe2f}, Range{0xfeff, 0xfeff}, Range{0xe0100, 0xe01ef},
};

/// Marks that change the reading direction of what follows.
constexpr std::array turning{
    Range{0x61c, 0x61c},
    Range{0x200e, 0x200f},
    Range{0x2028, 0x202e},
    Range{0x2066, 0x2069},
};

bool in(std::span<const Range> ranges, std::uint32_t c) {
    const auto at =
        std::upper_bound(ranges.begin(), ranges.end(), c, [](std::uint32_t x, const Range& r) { return x < r.first; });
    return at != ranges.begin() && c <= std::prev(at)->last;
}

struct Decoded {
    std::uint32_t point = 0xfffd;
    std::size_t length = 1;
    bool sound = false;
};

Decoded decode(std::string_view s) {
    const auto byte = [&](std::size_t i) { return static_cast<std::uint32_t>(static_cast<unsigned char>(s[i])); };
    const std::uint32_t lead = byte(0);
    if (lead < 0x80) return {lead, 1, true};
    const std::size_t length = lead >= 0xf0 ? 4 : lead >= 0xe0 ? 3 : 2;
    if (lead < 0xc2 || lead > 0xf4 || s.size() < length) return {};
    std::uint32_t point = lead & (0x7fu >> length);
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(i) & 0xc0) != 0x80) return {};
        point = point << 6 | (byte(i) & 0x3f);
    }
    constexpr std::array<std::uint32_t, 5> least{0, 0, 0x80, 0x800, 0x10000};
    if (point < least[length] || point > 0x10ffff || (point >= 0xd800 && point <= 0xdfff)) return {};
    return {point, length, true};
}

Glyph glyph_at(std::string_view text, std::size_t at) {
    const Decoded d = decode(text.substr(at));
    Glyph g{at, at + d.length, 1, text.substr(at, d.length)};
    if (d.point == '\t') return g;
    if (!d.sound || d.point < 0x20 || (d.point >= 0x7f && d.point < 0xa0) || in(turning, d.point)) {
        g.shown = replacement;
    } else if (d.point >= 0x300) {
        g.columns = in(no_width, d.point) ? 0 : in(double_width, d.point) ? 2 : 1;
    }
    return g;
}

constexpr std::array<std::string_view, 38> units{
    "A",   "mA",  "V",   "mV", "W",  "kW",  "ohm", "mohm", "kohm", "Mohm",  "m",     "mm",   "cm",
    "mm2", "Ah",  "J",   "s",  "ms", "min", "h",   "degC", "K",    "Hz",    "kHz",   "%",    "awg",
    "AWG", "sae", "SAE", "ft", "in", "mF",  "uF",  "amp",  "volt", "metre", "hours", "days",
};

bool is_figure(std::string_view word) {
    while (!word.empty() && (word.front() == '(' || word.front() == '+' || word.front() == '-')) word.remove_prefix(1);
    return !word.empty() && word.find_first_not_of("0123456789.,/") == std::string_view::npos && word.back() >= '0' &&
           word.back() <= '9';
}

bool is_unit(std::string_view word) {
    while (!word.empty() && std::string_view(".,;:)?").find(word.back()) != std::string_view::npos)
        word.remove_suffix(1);
    if (word.size() > 2 && word.ends_with("'s")) word.remove_suffix(2);
    return std::find(units.begin(), units.end(), word) != units.end();
}

/// The pieces between which a line may be broken.
std::vector<std::string> pieces(const std::string& text) {
    std::vector<std::string> out;
    std::string last; // the last word taken
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        if (end > at) {
            const std::string word = text.substr(at, end - at);
            if (!out.empty() && is_figure(last) && is_unit(word))
                out.back() += ' ' + word;
            else
                out.push_back(word);
            last = word;
        }
        at = end + 1;
    }
    return out;
}

/// Takes as much off the front of `word` as fits into `room` columns, at least one code point.
std::string cut(std::string& word, std::size_t room) {
    std::size_t used = 0, bytes = 0;
    while (bytes < word.size()) {
        const Glyph g = glyph_at(word, bytes);
        if (bytes > 0 && used + g.columns > room) break;
        used += g.columns;
        bytes = g.end;
    }
    std::string front = word.substr(0, bytes);
    word.erase(0, bytes);
    return front;
}

} // namespace

std::vector<Glyph> glyphs(std::string_view text) {
    std::vector<Glyph> out;
    out.reserve(text.size());
    for (std::size_t at = 0; at < text.size(); at = out.back().end) out.push_back(glyph_at(text, at));
    return out;
}

std::string printable(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (std::size_t at = 0; at < text.size();) {
        const Glyph g = glyph_at(text, at);
        const char c = text[at];
        if (c == '\t' || c == '\n' || c == '\r')
            out += ' ';
        else
            out += g.shown;
        at = g.end;
    }
    return out;
}

std::size_t columns(std::string_view text) {
    std::size_t n = 0;
    for (std::size_t at = 0; at < text.size();) {
        const Glyph g = glyph_at(text, at);
        n += g.columns;
        at = g.end;
    }
    return n;
}

std::vector<std::string> wrap(std::string_view text, std::size_t first_room, std::size_t room) {
    std::vector<std::string> lines(1);
    std::size_t used = 0;
    const auto space = [&] { return std::max<std::size_t>(1, lines.size() == 1 ? first_room : room); };
    const auto next_line = [&] {
        lines.emplace_back();
        used = 0;
    };
    for (std::string& piece : pieces(printable(text))) {
        std::size_t wide = columns(piece);
        if (used > 0 && used + 1 + wide > space()) next_line();
        while (wide > space()) {
            lines.back() += cut(piece, space());
            next_line();
            wide = columns(piece);
        }
        if (piece.empty()) continue;
        if (used > 0) {
            lines.back() += ' ';
            ++used;
        }
        lines.back() += piece;
        used += wide;
    }
    if (lines.size() > 1 && lines.back().empty()) lines.pop_back();
    return lines;
}

} // namespace loomproof::report
