#pragma once
/// The plain words for every mistake that can be seen in a text. Used by lexer and parser; nobody else writes findings here.

#include "findings/finding.hpp"
#include "netlist/source.hpp"

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace loomproof {

/// Collects the findings of one text. Offsets are bytes of it. Past `most_mistakes` it only counts.
class Mistakes {
  public:
    Mistakes(const Sources& sources, std::uint32_t source) : sources_(&sources), source_(source) {}

    /// [begin, end) is a run of digits with commas between, perhaps with a unit: "2,5", "2,5mm2", "1,2,3".
    void unreadable_number(std::size_t begin, std::size_t end);
    /// An opening quote at `begin`; the text up to `end` is given up.
    void unclosed_quote(std::size_t begin, std::size_t end);
    /// The text [begin, end) is followed or preceded by a word without a blank.
    void quote_in_text(std::size_t begin, std::size_t end);
    /// [begin, end) are characters of kind stray, or a point, or quotes that stand for inches or feet.
    void stray_character(std::size_t begin, std::size_t end);
    /// [begin, end) is invisible and stands inside the word [word_begin, word_end).
    void invisible_character(std::size_t begin, std::size_t end, std::size_t word_begin, std::size_t word_end);
    /// `harmless`: inside a comment or a text in quotes, where only the reader's eye is led astray.
    void hidden_direction(std::size_t begin, std::size_t end, bool harmless);
    void broken_encoding(std::size_t begin, std::size_t end);
    void empty_clause(std::size_t begin, std::size_t end);
    void empty_position(std::size_t begin, std::size_t end);

    /// Braces: `head` is the first words of the statement whose block it is; empty where there is none.
    void unclosed_block(Span open, Span head, Span seems_to_end_before);
    void stray_closing_brace(std::size_t at, Span suspect_open, Span suspect_close);
    void stray_opening_brace(std::size_t at, Span head);
    void too_deep(std::size_t open, std::size_t end);
    void after_brace(std::size_t begin, std::size_t end);

    /// Takes over what another collector of the same text has.
    void absorb(Mistakes&& other);
    /// All findings in text order, the last one saying how many were only counted.
    std::vector<Finding> take();

  private:
    /// Whether no more is listed; counts the mistake then.
    bool full();
    Finding& add(std::string_view rule, std::size_t begin, std::size_t end, std::string headline);
    std::string quoted(std::size_t begin, std::size_t end) const;
    std::size_t line(std::size_t at) const;
    Span span(std::size_t begin, std::size_t end) const;

    const Sources* sources_;
    std::uint32_t source_;
    std::vector<Finding> findings_;
    std::size_t unlisted_ = 0;
};

} // namespace loomproof
