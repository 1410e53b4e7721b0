#pragma once
/// A view of a circuit as a network, and its operating point for any positions of its controls.
///
/// Terminals joined without resistance are one node; everything else is a device (part_models.hpp). The network and its order of
/// elimination are built once for a view; a position only says which contacts conduct. Volts count from the ground pole of the
/// battery: where a meter's other lead is held. Where no battery is described, from the body.

#include "circuit/view.hpp"
#include "reference/carrying.hpp"
#include "solve/network.hpp"
#include "solve/part_models.hpp"

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace loomproof {
struct EdgeRef; // circuit/graph.hpp
}

namespace loomproof::solve {

/// A position for each control of the circuit, by ControlId. Controls of parts that are not there stay at rest.
using Positions = std::vector<std::uint8_t>;

/// Does it conduct in these positions? What no control moves always does.
inline bool is_closed(const Primitive& p, const Positions& positions) {
    return !p.control.exists() || (p.closed_in >> positions[p.control.index] & 1) != 0;
}
Positions at_rest(const Circuit&);

/// Volts and amps everywhere, with the controls in some position. Ids of things that are not in the view give nothing.
struct Point {
    /// By terminal, against the reference; nothing where the terminal floats: joined to nothing that could give it volts.
    std::vector<std::optional<Volts>> volts;
    /// By wire and by primitive, from a to b. Nothing where the share of this one is not defined: it lies in a ring without
    /// any resistance.
    std::vector<std::optional<Amps>> wire_amps, primitive_amps;
    /// By wire: of the copper, once it has settled at this current; its place's where it carries none. Not followed where nobody said
    /// what the wire is made of.
    std::vector<std::optional<Celsius>> wire_temperature;
    /// Volts of a minus volts of b. Also known where both float together.
    std::vector<std::optional<Volts>> wire_drop, primitive_volts;
    bool settled =
        true; ///< false: numbers ran out, or a constant-power load hunts around its brown-out; nothing here can be trusted
    double residual = 0; ///< largest current that does not balance at a node, over the largest in the network

    /// Heat or work in it: volts across times amps through; negative where it delivers.
    Watts power(PrimitiveId p) const;
};

/// What the engine does, as far as the volts go.
enum class EngineDoes { nothing, cranks, idles, runs };

/// The coil that works a control.
struct Coil {
    ControlId control;
    PrimitiveId primitive;
    double warmth = 1;   ///< its resistance over that at 20 degC
    PrimitiveId pull_in; ///< a starter's winding that pulls with it, or against it; may not exist
};

class Model {
  public:
    /// `from`: from where volts count; not existing: from the ground pole of the battery that is tied to the body, else of the first one.
    explicit Model(const View&, const Conditions& = {}, TerminalId from = {});

    const View& view() const { return view_; }
    const Circuit& circuit() const { return view_.circuit(); }
    const Conditions& conditions() const { return conditions_; }
    /// Controls of the parts that are there, in file order.
    const std::vector<ControlId>& controls() const { return controls_; }
    /// Relays that have a coil, in the order of their controls.
    const std::vector<Coil>& coils() const { return coils_; }
    const std::vector<NotKnown>& not_known() const { return not_known_; }

    /// Nothing without a word about the engine in the file: then Conditions decide.
    std::optional<ControlId> engine() const { return engine_; }
    EngineDoes engine_does(const Positions&) const;
    /// The position of the engine's control; nothing where the file leaves that state out.
    std::optional<std::uint8_t> engine_position(EngineDoes) const;
    /// In a solution of these positions (Quick::nodes): does a starter turn?
    bool starter_turns(std::span<const double> nodes) const;
    /// And would a running engine go on? True where nobody said what keeps it alive.
    bool engine_lives(const Positions&, std::span<const double> nodes) const;
    /// From where volts count; may not exist.
    TerminalId reference() const { return reference_; }

    /// Everything, for people and rules. `near`: node volts of a similar position (Quick::nodes), or empty.
    Point point(const Positions&, std::span<const double> near = {});

    /// A solution of some positions without what follows from it: a quarter of a Point's room.
    struct Kept {
        std::vector<double> volts, amps; ///< by node, by branch
        std::vector<bool> island;        ///< by node
        bool settled = true;
        double residual = 0;
    };
    Kept keep(const Positions&, std::span<const double> near = {});
    /// The point again, to the last digit; `kept` must come from these positions.
    Point told(const Positions&, const Kept& kept);

    /// The first moment after the loads among `starting` were switched on: filaments cold, motors not yet turning; all else as in point().
    Point point_at_start(const Positions&, std::span<const PrimitiveId> starting, std::span<const double> near = {});

    /// From now on a wire or load has so many times the resistance that it has by itself (1: as it is). Nothing happens to what has none.
    void scale(const EdgeRef&, double factor);

    /// From now on something turns this motor, whatever the switches do (driven_motor).
    void drive(PrimitiveId motor);

    /// What a search needs: volts by node and by coil.
    struct Quick {
        std::vector<double> nodes;
        std::vector<double>
            coil_volts; ///< by coils(): what would be across it at 20 degC with the current that flows, without sign; where
                        ///< two windings pull, what would make them pull as hard
        bool settled = true;
    };
    /// As point(), without the work of telling it. `near`: node volts of a similar position, or empty.
    Quick quick(const Positions&, std::span<const double> near = {});

    /// How circuits feel one another in these positions.
    struct Felt {
        std::vector<double> drawn; ///< by node: amps that leave it into loads, coils and contacts
        std::vector<std::vector<double>>
            gain; ///< by coil and node: what its volts (as in Quick) gain by each ampere that flows in at the node; empty
                  ///< for coils that were not asked for
    };
    /// `asked`: by coil, or empty for none.
    Felt felt(const Positions&, std::span<const double> near, const std::vector<bool>& asked);

    /// Volts at a terminal while a lamp is held between it and the reference: zero where it floats without it. Nothing where the terminal is
    /// not there. `near` as in point().
    std::optional<Volts> with_lamp(const Positions&, TerminalId, Volts rated, Amps amps,
                                   std::span<const double> near = {});

    /// For cross-checks: the network itself in these positions. `solution.amps` belongs to `devices`.
    struct Raw {
        std::vector<Ends> ends;
        std::vector<Device> devices;
        Solution solution;
    };
    Raw raw(const Positions&);
    std::uint32_t node_of(TerminalId t) const { return node_of_[t.index]; }
    static constexpr std::uint32_t no_node = 0xffffffff;

  private:
    static constexpr std::uint32_t none = 0xffffffff;
    struct Contact {
        std::uint32_t branch;
        ControlId control;
        std::uint64_t closed_in;
        Device closed;
    };
    struct Sink {
        std::uint32_t branch;
        double watts;
    };
    struct Solenoid {
        std::uint32_t branch;
        ControlId control;
        Device rest, pulled_in;
    };
    /// A machine that charges, and what a battery that the engine charges delivers.
    struct Charging {
        std::uint32_t branch;
        Device stopped, idling, running;
    };
    /// The diodes of an alternator that feed its rotor and its lamp terminal, from the same windings as its main ones: between L and B+.
    struct Exciter {
        PrimitiveId lamp, source;
        std::uint32_t branch;
    };
    /// A converter: its input and output, and how the batteries that it charges stand while it does, empty as they are taken to be.
    struct Conversion {
        std::uint32_t in, out; ///< branches
        std::size_t sink;      ///< index into sinks_ of its input
        double efficiency;
        double least; ///< volts at its input: below it gives nothing
        ControlId control;
        std::uint64_t delivers_in;
        struct Charged {
            std::uint32_t branch; ///< of a battery
            Device while_charged, else_;
        };
        std::vector<Charged> charged;
    };
    void find_conversions();
    bool delivers(const Conversion&, const Positions&) const;
    void set_conversions(const Positions&);
    bool follow_conversions(const Positions&);
    void find_reference();
    void number_nodes();
    void add_branches();
    void find_coils();
    double pulls(std::size_t coil, const Positions&, const Solution&) const;
    struct Share {
        double main = 0, pull_in = 0; ///< volts of pull that one ampere makes in either winding
    };
    Share share_of(std::size_t coil, const Positions&) const;
    void set_devices(const Positions&);
    bool starter_has(double share, std::span<const double> nodes) const; ///< of the system's volts
    void feed_sinks(const Positions&, std::optional<Network::Probe>);
    const Solution& solved(const Positions&, std::span<const double> near, std::optional<Network::Probe> = {});
    Point told(const Solution&);
    std::vector<std::optional<Amps>> contracted_amps(const Point&) const;
    void find_what_wires_carry();

    View view_;
    Conditions conditions_;
    std::vector<ControlId> controls_;
    std::vector<Coil> coils_;
    std::vector<std::uint32_t> coil_branch_, pull_in_branch_; ///< by coils_; the second none where it has one winding
    std::vector<NotKnown> not_known_;
    TerminalId reference_;
    std::vector<std::uint32_t> node_of_;                        ///< by terminal
    std::vector<std::uint32_t> wire_branch_, primitive_branch_; ///< none: contracted, or not there
    std::vector<bool> wire_contracted_, primitive_contracted_;
    std::vector<PrimitiveModel> models_;                      ///< by primitive
    std::vector<Device> wires_;                               ///< by wire
    std::vector<std::optional<reference::Carrying>> carries_; ///< by wire, once a point has asked for temperatures
    std::uint32_t nodes_ = 1;
    std::vector<Ends> ends_;
    std::vector<Contact> contacts_;
    std::vector<PrimitiveId> starters_;
    bool cooled_ = false; ///< devices_ hold cold wires and fuses, as a starter turned in the last solution
    std::vector<Sink> sinks_;
    std::vector<Conversion> conversions_;
    std::vector<Solenoid> solenoids_;
    std::vector<Charging> charging_;
    std::vector<Exciter> exciters_;
    std::vector<bool> draws_; ///< by branch: a load, coil or contact, neither metal nor source
    std::optional<ControlId> engine_;
    /// Without a word about the engine in the file: the condition "engine running" that a converter delivers under. While it holds, what the engine
    /// turns charges.
    std::optional<ControlId> engine_condition_;
    std::vector<Device> devices_; ///< by branch: now
    std::vector<Device> base_;    ///< by branch: with every contact closed
    std::optional<Network> network_;
    Solution solution_;
};

} // namespace loomproof::solve
