#pragma once
/// A circuit as it is at one revision, and the words for its things.

#include "base/rows.hpp"
#include "circuit/circuit.hpp"

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace loomproof {

/// A circuit at a revision. Cheap to copy: copies share what was found. Valid as long as the circuit lives and does not change.
class View {
  public:
    View(const Circuit& circuit, Revision revision);
    static View now(const Circuit& c) { return {c, c.last_revision()}; }
    static View factory(const Circuit& c) { return {c, 0}; }

    const Circuit& circuit() const { return *circuit_; }
    Revision revision() const { return revision_; }

    /// Ids of what is alive, in text order.
    const std::vector<PartId>& parts() const { return alive_->parts; }
    const std::vector<WireId>& wires() const { return alive_->wires; }
    const std::vector<PrimitiveId>& primitives() const { return alive_->primitives; }

    bool alive(PartId p) const { return circuit_->at(p).life.at(revision_); }
    bool alive(WireId w) const { return circuit_->at(w).life.at(revision_); }

    /// Alive wires that end at a terminal, in text order. A wire with both ends there is listed twice.
    std::span<const WireId> wires_at(TerminalId t) const { return alive_->wires_at[t.index]; }
    /// Alive primitives that touch a terminal.
    std::span<const PrimitiveId> primitives_at(TerminalId t) const { return alive_->primitives_at[t.index]; }

    /// The attribute at this revision, or null.
    const Attribute* find(PartId, Attr) const;
    bool has(PartId p, Attr a) const { return find(p, a) != nullptr; }
    Stated<Amps> amps(PartId, Attr) const; ///< unknown where not stated
    Stated<Volts> volts(PartId, Attr) const;
    Stated<Watts> watts(PartId, Attr) const;
    Stated<Ohms> ohms(PartId, Attr) const;
    std::string word(PartId, Attr) const; ///< empty where not stated

    /// The part of that kind, where there is exactly one.
    std::optional<PartId> only(Kind) const;

    /// The pole tied to the body: minus, or plus for positive ground.
    Role ground_pole() const { return circuit_->vehicle.positive_ground ? Role::plus : Role::minus; }

    /// Is this thing the maker's work that no job touched?
    bool is_factory(PartId p) const { return circuit_->at(p).origin.provenance == Provenance::factory; }
    bool is_factory(WireId w) const { return circuit_->at(w).origin.provenance == Provenance::factory; }

  private:
    const Circuit* circuit_;
    Revision revision_;
    struct Alive {
        std::vector<PartId> parts;
        std::vector<WireId> wires;
        std::vector<PrimitiveId> primitives;
        Rows<WireId> wires_at;
        Rows<PrimitiveId> primitives_at;
    };
    std::shared_ptr<const Alive> alive_;
};

/// Names for people, spelled as in the file.
std::string name_of(const Circuit&, PartId);     ///< "K1", "battery"
std::string name_of(const Circuit&, TerminalId); ///< "K1:30", "battery:+", "SP1", "loose end of W14f"
std::string name_of(const Circuit&, WireId);     ///< "W14", "W14 (second piece)"; one without a name: as described()
/// With what it is: "fuse F1", "relay K1 \"fans\"", "the red wire W31", "the 1.5 mm2 blue/white wire W14".
std::string called(const Circuit&, PartId);
std::string called(const Circuit&, WireId);
/// Where a wire ends, in words: "K1:30", "ground"; "F1" for a part whose two ends are alike.
std::string end_of(const Circuit&, TerminalId);
/// "the red wire from battery:+ to F1": for wires without a name, and for headlines; a named wire says "W10, the red wire from ... to ...".
std::string described(const Circuit&, WireId);
/// Where it is: the place's name, else the label in quotes, else empty.
std::string place_of(const Circuit&, PartId);
std::string place_of(const Circuit&, WireId);
/// "blue/white" from BU, WH; empty where not said.
std::string colour_words(const Colours&);
/// What of the behaviour of the parts alive is not worked out (KindSpec::not_solved), each once, in text order.
std::vector<std::string> not_solved(const View&);
/// How warm it is there: the wire's or part's place, or the assumed default (basis says which).
Stated<Celsius> temperature_at(const Circuit&, PlaceId);

} // namespace loomproof
