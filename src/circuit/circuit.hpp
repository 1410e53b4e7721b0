#pragma once
/// The circuit: one store of parts, terminals and wires with stable identity, each with a life from one revision to another.
///
/// Revision 0 is what the maker built (the `factory` block), or everything where the file has no blocks; each job is one more
/// revision, in text order; what stands outside blocks in a file that has blocks belongs to the last revision, "as it is now".
/// Factory and as-is are views of the same store (view.hpp). Nothing is ever erased: a cut wire is gone from a revision on.
///
/// Ids index the vectors of Circuit. Everything knows its text (Span); things the reader assumed have a span that does not exist.
/// Figures that nobody stated are not zero: they are unknown (Stated).

#include "base/id.hpp"
#include "base/quantity.hpp"
#include "base/span.hpp"
#include "base/stated.hpp"
#include "circuit/kind_list.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace loomproof {

using PartId = Id<struct PartTag>;
using TerminalId = Id<struct TerminalTag>;
using WireId = Id<struct WireTag>;
using PrimitiveId = Id<struct PrimitiveTag>;
using ControlId = Id<struct ControlTag>;
using PlaceId = Id<struct PlaceTag>;

using Revision = std::uint16_t;
inline constexpr Revision never = 0xffff;

/// Alive in revisions [born, gone).
struct Life {
    Revision born = 0;
    Revision gone = never;
    bool at(Revision r) const { return born <= r && r < gone; }
};

enum class Provenance : std::uint8_t {
    factory, ///< stands in the factory block: the reference, as built by the maker
    found,   ///< stands outside any block: as it is now, nobody says since when
    job,     ///< made or changed by a job
    assumed, ///< put in by the reader (body strap, starter mounting); listed under assumptions
};

struct Origin {
    Provenance provenance = Provenance::found;
    Span made;    ///< the statement that made it
    Span removed; ///< the statement that ended its life, if any
};

/// What kind of thing a part is. One row each in kind.hpp's table.
enum class Kind : std::uint8_t {
#define LOOMPROOF_ROW(name) name,
    LOOMPROOF_KINDS(LOOMPROOF_ROW)
#undef LOOMPROOF_ROW
};

/// What a terminal is for. Roles, never names, tell rules and drawing what a terminal does.
enum class Role : std::uint8_t {
    end1,
    end2, ///< ends of a two-ended part without direction
    plus,
    minus,  ///< battery poles, supply of a load
    output, ///< what a source or supply gives out
    coil_plus,
    coil_minus, ///< relay 86 and 85 (which one is fed is open unless a diode decides)
    common,
    make,
    rest,    ///< relay 30, 87 (and 87b), 87a
    contact, ///< a terminal of a switch
    signal,  ///< alternator L and S, starter 50
    hole,    ///< one half of a plug hole
    anode,
    cathode,  ///< diode: plain end, banded end
    joint,    ///< splice, bus, metal, ground stud, cut or loose end
    filament, ///< a named filament's own end
};

struct Terminal {
    PartId part;
    std::string stamp; ///< as moulded on the part: "30", "+", "1"; empty for one-terminal parts
    Role role = Role::joint;
    std::uint8_t half = 0;           ///< plug holes: which mated half, 0 or 1
    std::uint16_t wires_allowed = 1; ///< how many wires a fitter may put here; 0xffff = any number
    bool must_be_wired = false;
    bool internal = false; ///< inside the part: no wire can end here (behind a supply's fuse, in a starter)
};

/// Keys of part attributes. The dimension of each is fixed (in brackets); flags have no figure.
enum class Attr : std::uint8_t {
    rating, ///< [A] fuse, breaker, switch, diode; `behind` of a supply; alternator's largest current
    make_rating,
    rest_rating, ///< [A] relay contacts
    current,
    power,
    voltage_at,    ///< [A] [W] [V] a load; voltage_at = where current and power hold
    power2,        ///< [W] second filament
    start_current, ///< [A]
    resistance,    ///< [ohm] resistor, load, battery's inner resistance, relay's suppression resistor
    coil,          ///< [ohm]
    voltage,       ///< [V] battery nominal, alternator regulated
    capacity,      ///< [C] battery, stored in coulombs
    idle_current,  ///< [A] alternator
    length,        ///< [m] fusible link
    area,          ///< [m2] fusible link, existing wire: effective copper
    holes,         ///< [1] connector
    hole_rating,   ///< [A] each
    hole_rows,     ///< connector: `word` holds the rows as they are seen, "3 2 1 / 6 5 4" (see hole_rows.hpp)
    footprint,     ///< relay: `word` says into what kind of base it plugs
    capacitance,   ///< [F]
    temperature,   ///< [degC] place, thermal switch
    rate,          ///< [1] flashes in a minute
    pin_current, ///< [A] of one supply pin of an electronic unit, `word` its stamp; plus_side and ground_side hold its outputs so
    pin_input,     ///< an input of an electronic unit, `word` its stamp
    pulsed,        ///< [Hz] an output that is switched on and off so often; `word` its pin, empty for a feed
    clamped,       ///< [V] an output that takes up the kick of a coil itself; `word` its pin
    leaks_to,      ///< an unpowered output lets current into another pin of its unit; `word` both pins, "6 1"
    asleep,        ///< [A] what a supply pin takes once the unit sleeps; `word` the pin
    asleep_after,  ///< [s] how long after switching off it falls asleep; `word` the pin
    watches_least, ///< [W] an output that looks for what it feeds: the least that it is content with; `word` its pin
    watches_most, ///< [W] and the most; where only one figure was said, both are that lamp's and its limits are not known
    generates,    ///< a motor that gives volts when something turns it
    pull_in,      ///< [A] or [ohm] in the two next: a starter's winding from 50 over its motor
    pull_in_ohms,  ///< [ohm]
    hold_in,       ///< [A] a starter's winding from 50 to its case
    hold_in_ohms,  ///< [ohm]
    high_end,      ///< [W], [ohm] or [s] the second figure of "42 W to 98 W", "30 s in 5 min"
    short_current, ///< [A] what a battery gives into a dead short
    told,          ///< in no dimension: something that nothing here works out; Attribute::open says what stays open
    // flags and words: `word` holds the spelling
    chemistry,
    lithium,
    fuse_type,
    self_reset,
    momentary,
    thermal,
    overlaps,
    pins,
    base_pins,
    two_makes,
    suppression,
    band_on,
    duty,
    reversible,
    joint_type,
    when,
    live,
    plus_side,
    ground_side,
    filaments,
    case_grounded,
    double_terminal,
    slot,
    rail,
    between,
    driven_when,
    lamp_stamp,
    sense_stamp,
    stamped,
    wire_side,
    numbering,
    latch,
    sealed,
    kept,
    colour,
    fast_current, ///< [A] motor with two speeds: what its fast winding takes (`current` or `power` hold the slow one, power2 the fast one)
    coil_power,   ///< [W] relay: what its coil takes at the volts it is made for
    seals,        ///< [m] plug: the thinnest wire over its insulation that its seals close on; the thickest in high_end
    own_regulator,  ///< alternator: flag, its field is fed by a regulator of its own kind beside it
    restraint,      ///< flag: belongs to airbags or belt tensioners
    pressure,       ///< [Pa] where a pressure switch closes
    parks,          ///< motor: flag, a contact of its own carries it on to where it rests
    works_from,     ///< [V] least at which a load works
    solenoid,       ///< [A] what a starter's solenoid takes while it pulls in, both windings together
    medium_current, ///< [A] motor with three speeds: what its middle winding takes
    power3,         ///< [W] the same in watts
    senses,         ///< relay: flag, it reads the volts at its own terminal 30
    closes_at,      ///< [V] relay that does: where it pulls in
    opens_at,       ///< [V] and where it lets go
    limited_to, ///< [A] an output of an electronic unit: at this current it limits or cuts off by itself; `word` its pin
    input_ohms, ///< [ohm] between an input of an electronic unit and ground or plus; `word` its pin and which: "49 ground"
};

struct Attribute {
    Attr key{};
    Stated<double> value;       ///< SI, in the key's dimension; unknown() for flags and words
    std::string word;           ///< for flags: "on"; for words and texts: the spelling
    const char* open = nullptr; ///< AttrSpec::open of what was said
    Span span;                  ///< the clause
    Life life;                  ///< changed by a job: the old one is gone, the new one born
};

struct Part {
    Kind kind{};
    std::string name;  ///< as first typed; never empty (the reader names unnamed ones: "battery", "fuse 2")
    bool named = true; ///< false where the reader chose the name
    std::string label; ///< the text in quotes, for people
    PlaceId place;     ///< may not exist
    std::vector<TerminalId>
        terminals; ///< in the kind's order; a plug's holes in number order, half 0 then half 1 of each
    std::vector<Attribute> attributes;
    std::vector<ControlId> controls;
    Life life;
    Origin origin;
    Span name_span;        ///< the name, or the keyword where there is none
    Span span;             ///< its statement, without a block
    bool poisoned = false; ///< its statement had a mistake or its kind is not known: nothing may be concluded from it
};

/// Main colour and stripe as IEC 60757 letters ("BU", "WH"); empty = not said.
struct Colours {
    std::string main;
    std::string stripe;
    Span span;
    bool operator==(const Colours& o) const { return main == o.main && stripe == o.stripe; }
};

enum class Insulation : std::uint8_t { stated, assumed };

/// One piece of wire between two terminals. A run `through` plugs is several wires with one name and piece numbers from 1.
struct Wire {
    std::string name; ///< "W14"; the reader names unnamed ones "wire 3" (counted over the file)
    bool named = true;
    std::uint16_t piece = 0; ///< 1, 2, ... of a run over plugs; 0 where the run is one piece
    std::string label;
    TerminalId a, b; ///< `from` and `to`
    Span a_span, b_span;
    Stated<SquareMetres> area; ///< effective copper (published for its size), unknown where not stated
    std::string size;          ///< as typed: "12 awg", "2.5 mm2"; empty where not stated
    Span size_span;
    Colours colours;
    Stated<Metres> length;
    PlaceId place;
    Stated<Celsius> insulation_class; ///< assumed 105 where not stated
    std::string insulation;           ///< as typed: "GXL"; empty where not stated
    bool starter_cable = false, winch_cable = false, signal = false, screen = false, sleeved = false, bare = false;
    bool copper_clad = false; ///< aluminium under copper: `area` holds the copper that would conduct as well
    bool solid = false;       ///< one strand
    bool restraint = false;   ///< airbags, belt tensioners: nothing may be done to it
    bool capped_a = false, capped_b = false; ///< as it is at the end of its life
    Life life;
    Origin origin;
    WireId cut_from; ///< the wire it was a piece of, if any; sizes and colours were inherited from it
    Span span;       ///< its statement; a piece of a cut wire: the cut's statement
    bool poisoned = false;

    TerminalId other(TerminalId t) const { return t == a ? b : a; }
};

/// Discrete behaviour: a switch section, a relay, a sensed switch, an outside condition. A contact conducts in a set of positions.
struct Control {
    enum class Type : std::uint8_t { hand, sensed, relay, condition, engine };
    PartId part;
    std::string name; ///< section name, empty for the only one
    Type type = Type::hand;
    std::vector<std::string> positions; ///< at most 64
    std::uint8_t rest = 0;
    std::uint64_t springs_back = 0; ///< bit set of positions that do not stay
};

/// What a part is electrically: a closed set of two-terminal elements. Solver and rules see only these, roles and ratings.
enum class Element : std::uint8_t {
    joint,      ///< metal to metal: plug hole, splice, bus, ground bolt, mounting; conducts always
    contact,    ///< conducts in `closed_in` positions of `control`
    protector,  ///< fuse, link, breaker: conducts, opens on excess
    resistance, ///< a load or a resistor
    filament,
    junction,       ///< conducts from a to b only (anode a, cathode b)
    machine,        ///< motor, starter
    constant_power, ///< electronics
    source,         ///< a = plus, b = minus
    meter,
};

/// What an element is inside its part, where that matters to a rule.
enum class Purpose : std::uint8_t {
    plain,
    coil,       ///< relay coil, a = 86, b = 85
    suppressor, ///< diode or resistor across a coil inside the relay
    make_contact,
    rest_contact,
    switch_contact,
    hole,
    mounting,         ///< grounded by its mounting; ground stud to its metal
    feed_condition,   ///< `plus when "..."` of a supply
    starter_solenoid, ///< both windings as one; where they were told apart the hold-in winding, a = 50, b = case
    pull_in_winding,  ///< of a starter: a = 50, b = its motor, so that its closed contact shorts it
    charge_lamp_terminal,
    leak,  ///< of an unpowered electronic output into another pin of its unit
    input, ///< what an electronic unit's input takes: a = the side where its current comes from
    sensing, ///< of a relay that reads the volts between its own terminals, and its coil with them: a = 30, b = its ground
    conversion, ///< of a converter: its input (constant_power) takes what its output (source) gives, and what is lost inside
};

struct Primitive {
    Element element{};
    Purpose purpose = Purpose::plain;
    PartId part;
    TerminalId a, b;
    ControlId control;           ///< contacts
    std::uint64_t closed_in = 0; ///< bit set of the control's positions
    Stated<Amps> current; ///< loads: working current at `voltage`; sources: most they can deliver (unknown = strong)
    Stated<Volts> voltage;
    Stated<Ohms> resistance;
    Stated<Amps> rating; ///< protector, contact, junction, hole: what it may carry
    Stated<Amps>
        limit; ///< contact: an electronic output that limits or cuts off by itself at this current; else unknown
    Stated<Volts> lets_go; ///< sensing: at these volts and below; it pulls in at `voltage` and above
    bool strong = false;   ///< sources: can burn a wire (battery, capacitor); false where current is limited by nature
    Life life;
};

struct Place {
    std::string name;
    Stated<Celsius> temperature;
    Span span; ///< its `place` statement; does not exist where only mentioned
};

/// Revision 0, each job, in order.
struct RevisionInfo {
    enum class Status : std::uint8_t { base, planned, fitted };
    std::string
        title; ///< the job's text; "factory" or "as found" for 0; "not recorded" for statements outside blocks after jobs
    Status status = Status::base;
    std::string date; ///< as typed, of a fitted job
    std::string why, by;
    char letter = 0; ///< 'A' for the first job: the mark on drawings
    Span span;
};

/// Controls in some positions, as people say it: "S1 run or start, S5 hot, engine running". Controls that are not named may be anywhere.
struct Wish {
    struct At {
        ControlId control;
        std::uint64_t positions = 0; ///< bit set: in one of these
        Span span;
    };
    std::vector<At> at;
    std::optional<bool> engine_running;
};

struct Expectation {
    enum class What : std::uint8_t {
        not_understood, ///< reported while reading
        on,
        dim, ///< something, but less than on
        off,
        at_least,   ///< `low` volts across it
        between,    ///< `low` to `high` volts across it
        never_with, ///< never on together with `other`
    };
    PartId part;
    TerminalId filament; ///< its own end, where one filament of several is meant
    What what = What::not_understood;
    Stated<Volts> low, high;
    PartId other;
    TerminalId other_filament;
    Wish when;
    Span span;
    std::string text; ///< the whole statement as typed
};

struct Acceptance {
    std::string rule, thing, because;
    Span span, rule_span, thing_span;
};

/// `limit voltage-drop on E1 0.3 V because "..."`: a limit of this file in place of a rule's own.
struct Limit {
    std::string rule, thing; ///< thing: empty for all
    Stated<Volts> volts;
    std::string because;
    Span span;
};

struct StillToWire {
    TerminalId terminal;
    Span span;
};

/// The engine, where the file speaks of it: what it does, and what keeps it alive.
struct Engine {
    /// Positions are named "stopped", "cranking", "idling", "running"; the first and the last are always there.
    ControlId control;
    /// It runs only while this has volts: a terminal; or a part, whose loads then have them. Neither exists where nobody said.
    TerminalId fed;
    PartId fed_part;
    TerminalId grounded; ///< it stops once this is tied to ground (a magneto's kill wire); may not exist
    Span span;           ///< of its first statement
    Span alive_span;     ///< of what keeps it alive
    bool kept_alive() const { return fed.exists() || fed_part.exists() || grounded.exists(); }
};

/// One row of a plug as seen.
struct PlugRow {
    PartId connector;
    std::string hole;
    Colours colours;
    std::string label;
    Span span;
};

/// "I assumed VALUE for SUBJECT from BASIS; to change: TYPE".
struct Assumption {
    std::string subject, value, basis, to_change;
};

struct Vehicle {
    std::string text;
    bool described = false; ///< a `vehicle` line without `partly described`
    bool complete = false;  ///< `complete`
    Volts system{12};
    bool positive_ground = false;
    bool no_metal = false; ///< glass fibre, a boat, insulated return: nothing can be grounded on the body
    Span span;
};

struct Circuit {
    Vehicle vehicle;
    std::vector<RevisionInfo> revisions; ///< never empty
    bool has_factory = false;
    std::string factory_confirmed_by;
    std::vector<Part> parts;
    std::vector<Terminal> terminals;
    std::vector<Wire> wires;
    std::vector<Primitive> primitives;
    std::vector<Control> controls;
    std::vector<Place> places;
    std::vector<Expectation> expectations;
    std::vector<Acceptance> acceptances;
    std::vector<Limit> limits;
    std::vector<StillToWire> still_to_wire;
    std::vector<PlugRow> plug_rows;
    std::optional<Engine> engine;
    std::vector<Assumption> assumptions;
    std::vector<std::string> not_worked_out; ///< said about no part, and open: how bundled wires warm one another
    bool has_mistakes = false; ///< some line could not be read whole: what seems to be missing may stand there

    const Part& at(PartId id) const { return parts[id.index]; }
    const Terminal& at(TerminalId id) const { return terminals[id.index]; }
    const Wire& at(WireId id) const { return wires[id.index]; }
    const Primitive& at(PrimitiveId id) const { return primitives[id.index]; }
    const Control& at(ControlId id) const { return controls[id.index]; }
    const Place& at(PlaceId id) const { return places[id.index]; }
    const Part& part_of(TerminalId id) const { return at(at(id).part); }
    Revision last_revision() const { return static_cast<Revision>(revisions.size() - 1); }
};

} // namespace loomproof
