#include "paper/type.hpp"

#include <array>
#include <cstddef>
#include <cstdint>

namespace loomproof::paper {
namespace {

using Widths = std::array<short, 95>;

constexpr Widths normal_widths = {
    278,  278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, // space to /
    556,  556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, // 0 to ?
    1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, // @ to O
    667,  778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, // P to _
    333,  556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, // ` to o
    556,  556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584};     // p to ~

constexpr Widths bold_widths = {278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278,
                                556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611,
                                975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722, 611, 833, 722, 778,
                                667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556,
                                333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611,
                                611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584};

struct Letter {
    std::uint32_t code;
    std::size_t bytes;
};

Letter letter_at(std::string_view text, std::size_t at) {
    const auto lead = static_cast<unsigned char>(text[at]);
    std::size_t bytes = 1;
    std::uint32_t code = lead;
    if (lead >= 0xF0 && lead < 0xF8) {
        bytes = 4;
        code = lead & 0x07u;
    } else if (lead >= 0xE0) {
        bytes = 3;
        code = lead & 0x0Fu;
    } else if (lead >= 0xC0) {
        bytes = 2;
        code = lead & 0x1Fu;
    }
    if (bytes == 1 || at + bytes > text.size()) return {lead, 1};
    for (std::size_t i = 1; i < bytes; ++i) {
        const auto next = static_cast<unsigned char>(text[at + i]);
        if ((next & 0xC0u) != 0x80u) return {lead, 1};
        code = (code << 6u) | (next & 0x3Fu);
    }
    return {code, bytes};
}

double thousandths(std::uint32_t code, Weight weight) {
    if (code >= 32 && code < 127) return weight == Weight::bold ? bold_widths[code - 32] : normal_widths[code - 32];
    if (code < 32 || code == 127) return 0;
    if (code == 0xB0 || code == 0xB2 || code == 0xB3 || code == 0xB7) return 400; // degree, squared, cubed, middle dot
    if (code == 0xA0) return 278;   // a space that keeps its neighbours together
    if (code == 0x2212) return 584; // minus: as wide as a plus
    if (code >= 0x300 && code < 0x370) return 0;
    if (code < 0x590) return weight == Weight::bold ? 722 : 670;
    if (code == 0x200B || code == 0x200D || (code >= 0xFE00 && code < 0xFE10)) return 0;
    return 1000;
}

// Of the whole text. Every width is a whole number, so sums are exact and those of two texts are that of both together.
double thousandths_of(std::string_view text, Weight weight) {
    const Widths& plain = weight == Weight::bold ? bold_widths : normal_widths;
    double sum = 0;
    for (std::size_t at = 0; at < text.size();) {
        const auto lead = static_cast<unsigned char>(text[at]);
        if (lead >= 32 && lead < 127) { // nearly all of them
            sum += plain[lead - 32u];
            ++at;
            continue;
        }
        const Letter letter = letter_at(text, at);
        sum += thousandths(letter.code, weight);
        at += letter.bytes;
    }
    return sum;
}

} // namespace

double text_width(std::string_view text, double size, Weight weight) {
    return thousandths_of(text, weight) * size / 1000.0;
}

std::vector<std::string> broken_into_lines(std::string_view text, double limit, double size, Weight weight) {
    std::vector<std::string> lines;
    const double space = thousandths(' ', weight);
    double width = 0; // of the last line, in thousandths of the size
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t begin = text.find_first_not_of(' ', at);
        if (begin == std::string_view::npos) break;
        std::size_t end = text.find(' ', begin);
        if (end == std::string_view::npos) end = text.size();
        const std::string_view word = text.substr(begin, end - begin);
        at = end;
        const double of_word = thousandths_of(word, weight), longer = width + space + of_word;
        if (!lines.empty() && longer * size / 1000.0 <= limit) {
            lines.back() += ' ';
            lines.back() += word;
            width = longer;
        } else {
            lines.emplace_back(word);
            width = of_word;
        }
    }
    return lines;
}

} // namespace loomproof::paper
