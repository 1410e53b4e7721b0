#include "netlist/characters.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <iterator>

namespace loomproof {

namespace {

using K = CharacterKind;

struct Range {
    std::uint32_t first;
    std::uint32_t last;
    K kind;
};

/// Everything beyond ASCII that is not simply part of a word, in order. Where a block of symbols is named as stray, the
/// rows before it that lie inside win, so the single characters come first in each block.
/// Names and code points: The Unicode Standard, code charts (C1 and Latin-1, General Punctuation, Arrows,
/// Mathematical Operators, Box Drawing to Geometric Shapes, CJK Symbols, Halfwidth and Fullwidth Forms).
constexpr Range ranges[] = {
    {0x0085, 0x0085, K::line_end},  {0x0080, 0x009f, K::stray},        {0x00a0, 0x00a0, K::blank},
    {0x00a1, 0x00a9, K::stray},     {0x00ab, 0x00ab, K::quote},        {0x00ac, 0x00ac, K::stray},
    {0x00ad, 0x00ad, K::invisible}, {0x00ae, 0x00af, K::stray},        {0x00b1, 0x00b1, K::stray},
    {0x00b4, 0x00b4, K::stray},     {0x00b6, 0x00b8, K::stray},        {0x00bb, 0x00bb, K::quote},
    {0x00bf, 0x00bf, K::stray},     {0x00d7, 0x00d7, K::times},        {0x00f7, 0x00f7, K::stray},
    {0x034f, 0x034f, K::invisible}, {0x061c, 0x061c, K::invisible},    {0x1680, 0x1680, K::blank},
    {0x180e, 0x180e, K::invisible}, {0x2000, 0x200a, K::blank},        {0x200b, 0x200f, K::invisible},
    {0x2010, 0x2015, K::dash},      {0x2018, 0x201b, K::single_quote}, {0x201c, 0x201f, K::quote},
    {0x2026, 0x2026, K::dots},      {0x2028, 0x2029, K::line_end},     {0x202a, 0x202e, K::direction},
    {0x202f, 0x202f, K::blank},     {0x2039, 0x203a, K::single_quote}, {0x205f, 0x205f, K::blank},
    {0x2060, 0x2064, K::invisible}, {0x2066, 0x2069, K::direction},    {0x206a, 0x206f, K::invisible},
    {0x2016, 0x2065, K::stray},     {0x2190, 0x21ff, K::stray},        {0x2212, 0x2212, K::dash},
    {0x2217, 0x2217, K::times},     {0x2200, 0x22ff, K::stray},        {0x2500, 0x25ff, K::stray},
    {0x3000, 0x3000, K::blank},     {0x301d, 0x301f, K::quote},        {0x3001, 0x3003, K::stray},
    {0xfe58, 0xfe58, K::dash},      {0xfe63, 0xfe63, K::dash},         {0xfeff, 0xfeff, K::invisible},
    {0xff02, 0xff02, K::quote},     {0xff07, 0xff07, K::single_quote}, {0xff0d, 0xff0d, K::dash},
    {0xff01, 0xff0f, K::stray},     {0xff1a, 0xff20, K::stray},        {0xff3b, 0xff40, K::stray},
    {0xff5b, 0xff65, K::stray},     {0xfff9, 0xfffb, K::invisible},    {0xfffd, 0xfffd, K::stray},
};

K kind_of(std::uint32_t code) {
    const auto* row = std::find_if(std::begin(ranges), std::end(ranges),
                                   [&](const Range& r) { return code >= r.first && code <= r.last; });
    return row == std::end(ranges) ? K::word : row->kind;
}

std::uint32_t decode(std::string_view sequence) {
    const auto byte = [&](std::size_t i) {
        return static_cast<std::uint32_t>(static_cast<unsigned char>(sequence[i]));
    };
    std::uint32_t code = byte(0) & (sequence.size() == 2 ? 0x1fU : sequence.size() == 3 ? 0x0fU : 0x07U);
    for (std::size_t i = 1; i < sequence.size(); ++i) code = code << 6 | (byte(i) & 0x3fU);
    return code;
}

} // namespace

Character detail::wide_character_at(std::string_view text, std::size_t at) {
    Character c;
    const std::size_t length = utf8_length(text.substr(at, 4));
    if (length == 0) {
        c.code = static_cast<unsigned char>(text[at]);
        c.kind = K::broken;
        return c;
    }
    c.length = static_cast<std::uint8_t>(length);
    c.code = decode(text.substr(at, length));
    c.kind = kind_of(c.code);
    if (c.kind == K::dash) c.mark = '-';
    if (c.kind == K::times) c.mark = '*';
    return c;
}

} // namespace loomproof
