#pragma once
/// The table of part kinds: what each is called, which terminals it has, what may be said about it, what it is electrically.
///
/// Reader, formatter, language page, drawing and completion read this table. Solver and rules see primitives, roles and ratings; of a row
/// the rules read the named habits of a kind (`wrong_way`, `for_seconds` ...). DEVELOPERS.md says what a new kind takes.

#include "circuit/circuit.hpp"

#include <cstdint>
#include <functional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof {

struct TerminalSpec {
    const char* stamp;
    Role role;
    std::uint16_t wires_allowed; ///< 0xffff = any number
    bool must_be_wired;
    const char* aliases; ///< other spellings, blank-separated: "B- 31 case"
};

/// One thing that may be said about a part, as a pattern of words and figures:
///   {A} {W} {V} {ohm} {m} {Ah} {degC} {size} {F} {s} {Hz} {n}   a figure of that dimension ({n}: a bare count)
///   {W/W}                                          two watts in one: 60/55 W
///   {word} {text}                                  a word or a text in quotes, kept as spelled
///   {colour} {place} {metal}                       colours; a place; a piece of metal
/// Other words stand for themselves. A clause may hold several patterns one after the other ("9 A at 13 V"); the longest match wins.
struct AttrSpec {
    const char* pattern;
    Attr key;
    const char* meaning;        ///< for the language page and for messages; empty: another spelling, not offered
    const char* word = nullptr; ///< for flags: what `word` becomes; null = the spelling
    /// What stays open where this is said, with {} for the part's name and {pin} for the pin's ("how long {} may run"): listed under "Not checked". Null:
    /// all that it says is worked out.
    const char* open = nullptr;
};

/// How a wire end without a terminal name is read.
enum class Ends : std::uint8_t {
    one,      ///< the part has one terminal
    either,   ///< two ends without direction: `to X` prefers the first, `from X` the second, a third wire asks
    must_say, ///< several terminals: the name must be given
};

/// What expand functions and shapes work on. Implemented by the reader.
class PartBuilder {
  public:
    virtual ~PartBuilder() = default;
    virtual const Part& part() const = 0;
    virtual const Circuit& circuit() const = 0;
    /// The attribute as it is at the revision being built; null where not stated.
    virtual const Attribute* find(Attr) const = 0;
    Stated<double> value(Attr a) const {
        const Attribute* x = find(a);
        return x ? x->value : Stated<double>{};
    }
    std::string word(Attr a) const {
        const Attribute* x = find(a);
        return x ? x->word : std::string{};
    }
    bool has(Attr a) const { return find(a) != nullptr; }

    /// Adds a terminal (shape functions only).
    virtual TerminalId add_terminal(const TerminalSpec&, std::uint8_t half = 0) = 0;
    virtual TerminalId terminal(std::string_view stamp) const = 0; ///< not existing where there is none
    virtual ControlId add_control(Control) = 0;
    virtual void add(Primitive) = 0; ///< part and life are filled in
    /// States a default of the trade, listed under assumptions when it mattered.
    virtual Stated<double> assume(Attr, double si, const char* value_text, const char* basis,
                                  const char* to_change) = 0;
    virtual TerminalId add_internal_terminal(const char* stamp) = 0;
    /// Does a wire end here in any revision?
    virtual bool ever_wired(TerminalId) const = 0;
    /// The body: what `ground` means.
    virtual TerminalId body() = 0;
    /// The metal of that name; not existing where there is none.
    virtual TerminalId metal(std::string_view name) = 0;
    /// The terminal of the metal that this part is bolted to (`grounded by its mounting [on METAL]`, else engine or body).
    virtual TerminalId mounting_metal() = 0;
};

struct KindSpec {
    Kind kind{};
    const char* keyword = nullptr; ///< as typed: "fuse"; null for kinds that only the reader makes
    const char* title = "";        ///< for people: "fusible link"
    const char* letter =
        "X"; ///< first letters of the names in hints and cures: "F" (letter codes of IEC 81346-2 where it has one)
    const char* also = ""; ///< other words for it that strangers type, blank-separated: "bulb light"
    /// Lines that describe one and can be read as they stand, the plainest first; empty for kinds that only the reader makes.
    const char* example = "";
    const char* parts = "";     ///< the file of usual ones that comes with Loomproof: "parts/lamps.loom"; empty: none
    bool one_of_a_kind = false; ///< needs no name
    bool is_load = false;       ///< what a fuse's path on the drawing is for
    /// What becomes of one whose + and - are exchanged, a sentence for people; null: it does not mind.
    const char* wrong_way = nullptr;
    bool spoilt_wrong_way = false;                             ///< it may be spoilt then, not only work backwards
    const char *does = "works", *does_weakly = "works weakly"; ///< with its volts, and with too few: "lit", "dim"
    bool for_seconds = false; ///< it takes its current for seconds only: the position in which it does passes
    bool wants_full_volts =
        false; ///< it suffers from fewer; lamps are dimmed on purpose, and a `load` behind a resistor is mostly made for it
    bool may_lie_in_a_row = false; ///< two of them one behind the other are a mistake that leaves both too few volts
    /// What of its behaviour nothing here works out, for this part: "how fast H3 flashes". Null, or an empty text: nothing. It is listed
    /// under "Not checked" wherever such a part is. The part holds what is said of it at the time looked at, and nothing of before.
    std::string (*not_solved)(const Part&) = nullptr;
    Ends ends = Ends::must_say;
    std::span<const TerminalSpec> terminals{}; ///< fixed ones
    std::span<const AttrSpec> attributes{};
    /// Adds terminals and controls that depend on what was said; null where all are fixed.
    void (*shape)(PartBuilder&) = nullptr;
    /// Adds the primitives. Null: none (cut, loose end).
    void (*expand)(PartBuilder&) = nullptr;
    /// What it is hangs on what lies around it: it is expanded once all other parts are.
    bool expands_last = false;
};

/// Is this what the engine does, said as a condition of a feed: "engine running"? Where the file has an `engine` line the feed follows that
/// engine, else it is a condition from outside like any other.
bool is_engine_condition(std::string_view text);

/// All rows, in the order of the language page.
std::span<const KindSpec> kind_table();
const KindSpec& spec_of(Kind);
/// By its keyword or another word for it; case does not matter. Null where none is called so.
const KindSpec* find_kind(std::string_view keyword);
/// What may be said about every part, and about every load.
std::span<const AttrSpec> common_attributes(const KindSpec&);

} // namespace loomproof
