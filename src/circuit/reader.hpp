#pragma once
/// Text to circuit, from the inside. Outside this room only read.hpp is used.
///
/// The statements of all files are first laid in one row in text order, each with its revision (reader.cpp). Then, revision by
/// revision: parts are declared (read_parts.cpp), so that a wire may name a part that stands further down; wires and what jobs do
/// to them follow in text order (read_wires.cpp, read_jobs.cpp). At the end the things around them are read (expectations, what is
/// accepted), what nobody said is assumed (assumptions.cpp), and every part is expanded into primitives (finish.cpp).

#include "circuit/clauses.hpp"
#include "circuit/cursor.hpp"
#include "circuit/kind.hpp"
#include "circuit/read.hpp"

#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace loomproof {

/// A statement with its place in time.
struct Item {
    const Tree* tree = nullptr;
    std::uint32_t statement = 0;
    Revision revision = 0;
    Provenance provenance = Provenance::found;
    Cursor cursor(const Sources& s) const { return {s, *tree, tree->statements[statement]}; }
    Span span() const { return tree->head(tree->statements[statement]); }
};

/// A wire end as read.
struct End {
    TerminalId terminal;
    Span span;
    bool ok = false; ///< false: reported; the wire is poisoned
};

/// Said once for many wires: a type, a bundle, a cable of several cores.
struct WireType {
    std::string name;
    Wire wire;                       ///< what all of them have
    bool holds = false;              ///< a bundle or a cable: wires lie in it
    std::size_t cores = 0;           ///< of a cable
    std::map<std::string, Wire> own; ///< what one core has, by its lower-case name
    std::set<std::string> taken;     ///< cores that are wires
    std::size_t wires = 0;           ///< how many wires are such
    Span span;
};

class Reader {
  public:
    Reader(Sources& sources, const Loader& loader, Reading& out)
        : sources_(sources), loader_(loader), out_(out), c_(out.circuit) {}
    void read(const std::string& path, std::string text);

  private:
    // reader.cpp
    void add_source(const std::string& path, std::string text);
    void lay_out(std::size_t tree);
    void lay_out_block(const Tree&, std::uint32_t first, Revision, Provenance);
    void use(const Tree&, const Statement&, Revision, Provenance);
    void head_of_job(const Tree&, const Statement&, RevisionInfo&);
    bool head_statement(const Item&);
    bool system_clause(Cursor&);
    void read_revision(Revision);
    void unknown_statement(const Item&);
    /// A line that does not begin with the kind of thing: "split charge relay K1 70A", "5 pin relay K1", "thermo switch S1".
    struct KindBehind {
        const KindSpec* kind = nullptr; ///< null: no such line
        std::uint32_t name = 0;         ///< how far ahead the name stands
        std::uint32_t last = 0;         ///< how far ahead the last word stands that `instead` replaces
        std::string instead;            ///< kind, name and the words before, as they should be typed
    };
    KindBehind kind_behind_words(const Cursor&) const;
    // read_wire_lines.cpp
    std::string loose_end_typed(Cursor&, bool must_be_known);
    bool may_be_terminal(PartId, const std::string& stamp);
    std::string with_minus(const std::string& end, const std::string& other) const;
    bool wire_line(const Item&);
    bool live_line(const Item&);
    bool wire_in_other_signs(const Item&) const;
    bool goes_somewhere(const Item&) const;
    bool read_colour_before_wire(Cursor&) const;
    static bool qualifies_a_kind(const Cursor&);
    static std::optional<std::string> nearest_statement(std::string_view word);
    /// The first statement in its block; none where it has none. Whoever asks reads it: a block that nobody asks for is a mistake.
    std::uint32_t block_of(const Tree&, std::uint32_t statement);
    void unread_blocks();
    std::set<const Statement*> blocks_read_;
    std::set<std::string> unknown_names_; ///< reported already, in small letters
    PlaceId place(const std::string& name, Span mentioned);

    // read_parts.cpp
    bool part_statement(const Item&);
    void declare(const Item&, const KindSpec&, Cursor&);
    /// The same; where no text in quotes says what it is, the words typed do, if they tell more than the kind.
    void declare_as(const Item&, const KindSpec&, Cursor&, std::string_view typed);
    std::uint32_t name_behind(const Cursor&, const KindSpec&) const;
    bool name_may_be_figure(const Item&, const KindSpec&, const Clauses&, const std::string& name, Span);
    bool name_of_several_words(const Item&, const KindSpec&, Cursor&, std::string& name);
    bool wire_by_another_name(const Item&, const Cursor&);
    void part_of_unknown_kind(const Item&, Cursor&);
    void change(const Item&, PartId, Clauses);
    PartId new_part(const KindSpec&, std::string name, bool named, Span name_span, const Item&);
    void read_switch_block(PartId, const Item&);
    void read_switch_section(PartId, const Tree&, std::uint32_t first, const std::string& section);
    static void overlap(Control&, std::vector<Primitive>& contacts);
    void read_plug_block(PartId, const Item&);
    void check_hole_rows(PartId);
    void read_unit_block(PartId, const Item&); // read_units.cpp
    bool output_makes_sense(const std::vector<Attribute>&);
    void check_leaks(PartId);
    void read_starter_block(PartId, const Item&); // read_starter.cpp
    TerminalId switch_terminal(PartId, const std::string& stamp);
    void shape(PartId);
    TerminalId body();

    // read_engine.cpp
    bool engine_statement(const Item&, Cursor&);
    void engine_life(const Item&, Cursor&);

    // read_wires.cpp
    /// A part that no statement declares: a cut, a loose end. It carries no name that the text could use.
    PartId part_made_here(Kind, std::string name, Span name_span, const Item&, PlaceId);
    void wire_statement(const Item&, Cursor&);
    bool begins_with_end(Cursor) const;
    std::optional<std::pair<Span, std::string>> two_colours_at(const Cursor&) const;
    /// `whole`: a wire; else what a type, bundle or cable says of its wires.
    void read_wire_clauses(Cursor&, std::vector<Wire>& pieces, bool whole = true);
    std::size_t wires_now(TerminalId, Revision) const;

    // read_types.cpp
    void type_statement(const Item&, Cursor&);
    void bundle_statement(const Item&, Cursor&, bool cable);
    bool is_cable_definition(const Cursor&) const;
    bool take_wire_type(Cursor&, std::vector<const Wire*>& used);
    static void take_over(std::vector<Wire>& pieces, const Wire& type);
    void warm_one_another();
    void mark_restraint(const Item&, Cursor&);

    // read_boxes.cpp
    void read_box_block(PartId, const Item&);
    void fill_boxes(Revision);
    void join_boxes();
    void check_names();

    // read_ends.cpp
    End read_end(Cursor&, const Item&, bool from);
    /// A loose end, or an end that nobody traced: a part with one terminal.
    TerminalId end_of_its_own(Kind, std::string name, Span at, const Item&, PlaceId place = {});
    End end_at_part(Cursor&, const Item&, PartId, Span name_span, bool from);
    TerminalId free_side_of_hole(PartId, TerminalId first_half, const std::string& half);
    std::optional<TerminalId> find_terminal(PartId, std::string_view stamp);
    /// The part that a word at an end means: its name, or one word for the only battery ("batt"). Does not move.
    std::optional<PartId> part_at_end(const Cursor&) const;
    /// Moves over words that only say what the part is: "relay" of "relay K1:30".
    void skip_kind_words(Cursor&) const;
    /// "battery +", "K1 pin 30": takes the terminal behind a blank, where it can be nothing else; else nothing, and does not move.
    std::optional<TerminalId> stamp_behind_blank(Cursor&, PartId);
    /// An end that no part carries as its name: what is near, as one problem. Moves behind it.
    bool ground_by_its_place(Cursor& c, const Item& item, bool from);
    End unknown_end(Cursor&, const Item&, bool from);
    /// Moves to what can follow an end: a comma, to, through, the end of the statement.
    static void skip_end(Cursor&);

    // read_jobs.cpp
    bool job_statement(const Item&);
    void cut(const Item&, Cursor&);
    void cap(Cursor&);
    void joint_in_wire(const Item&, Cursor&, const char* joint_type);
    void move(const Item&, Cursor&);
    void remove(const Item&, Cursor&);
    std::vector<WireId> wires_named(Cursor&);
    /// The wire lives on from here as a new object; the old one is gone.
    WireId new_version(WireId, const Item&);
    WireId add_wire(Wire);
    void end_wire(WireId, const Item&);
    /// Ends `old` and puts two pieces in its place, each with its own inner end. `from_a`: length of the first piece, measured from old.a;
    /// `from_b`: of the second, counted where that of the whole is not known.
    std::pair<WireId, WireId> divide(WireId old, TerminalId inner_a, TerminalId inner_b, const Stated<Metres>& from_a,
                                     const Stated<Metres>& from_b, const Item&);
    /// "0.15 m from X7:1": the length from that end of the wire, and which wire of those named; nothing where it was not said or not understood.
    struct Where {
        WireId wire;
        Stated<Metres> from_a, from_b; ///< as far as they are known
    };
    std::optional<Where> where_on_wire(Cursor&, const std::vector<WireId>& candidates);

    // read_expectations.cpp
    void expect(const Item&, Cursor&);
    bool expected_thing(Cursor&, PartId&, TerminalId& filament);

    // finish.cpp
    void around_statements();
    void expectations();
    void still_to_wire(const Item&, Cursor&);
    void accept(const Item&, Cursor&);
    void limit(const Item&, Cursor&);
    void look_at_sensing_relays();
    void expand_all();
    // assumptions.cpp
    void assume_straps();
    void list_guesses();
    void list_assumptions();

    bool ends_out_of_order(const Item&, const Cursor&);
    bool takes_another(Cursor&, PartId a_switch) const;
    std::string position_cure(const Cursor&, const Tree&, const Statement&) const;
    void problem(const char* id, Span at, std::string headline, std::string cure = {}, std::string label = {});
    enum class Wanted { a_part, a_wire };
    void unknown_name(std::string_view name, Span at, Wanted = Wanted::a_part);
    bool in_a_line_with_a_mistake(std::string_view name, Span at) const;
    /// A statement with [at] typed in another way, in one line: for cures.
    std::string line_with(const Item&, Span at, std::string_view instead) const;
    /// The line of a relay, all that was said about it kept, as one with a change-over contact.
    std::string as_change_over(const Part& relay) const;
    /// Its line, as a converter: with an input of its own.
    std::string as_converter(const Part& charger) const;
    /// The first name of the usual sort that nothing carries yet: "F1", "F2" ...
    std::string free_name(const KindSpec&) const;
    std::optional<PartId> part_named(std::string_view name) const;
    TerminalId add_terminal(PartId, Terminal);

    Sources& sources_;
    const Loader& loader_;
    Reading& out_;
    Circuit& c_;
    reference::ColourSet colours_ = reference::ColourSet::undeclared;
    std::vector<Item> items_;
    std::vector<std::string> open_files_; ///< `use` chain, to find circles
    std::set<std::string> used_files_;
    std::map<std::string, PartId> parts_;              ///< by lower-case name: the part that carries it now
    std::map<std::string, std::vector<WireId>> wires_; ///< by lower-case name: the pieces that carry it now
    std::map<std::string, TerminalId> loose_ends_;     ///< by lower-case name of a cut piece: its loose end
    std::map<std::string, Span> gone_;                 ///< by lower-case name: the statement that took it away
    std::map<std::string, PlaceId> places_;
    KnownTypes types_;
    std::map<std::string, WireType> wire_types_; ///< by lower-case name
    /// What a rail of a box holds, as typed: names of fuses or numbers of slots.
    struct RailItem {
        PartId box;
        TerminalId rail;
        std::string item;
        Span span;
        Revision revision = 0;
        bool of_range = false; ///< one of F1..F6: the slot may be empty
    };
    std::vector<RailItem> rails_;
    struct Seated {
        PartId fuse, box;
        TerminalId rail;
    };
    std::vector<Seated> seated_; ///< fuses on rails
    std::vector<Span> poisoned_spans_;
    std::map<std::uint32_t, std::uint32_t> wires_on_; ///< alive wires at a terminal now
    std::size_t wire_count_ = 0;
    Revision now_ = 0;
    TerminalId body_;     ///< of the body that the reader made
    bool in_cut_ = false; ///< a colon may follow an end: a terminal name must touch its colon

    friend class Builder;
};

} // namespace loomproof
