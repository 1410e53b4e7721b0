#pragma once
/// Circuits made by hand, without text: for tests of what lies above the reader. What a part is electrically is the same as in
/// the kinds of the language. Every statement gets a span of its own in text order, so rankings and ties behave as in a file.

#include "circuit/circuit.hpp"

#include <initializer_list>
#include <limits>
#include <optional>
#include <string>
#include <string_view>

namespace loomproof::support {

inline constexpr double not_said = std::numeric_limits<double>::quiet_NaN();

/// What is said about a wire. A figure that is `not_said` is unknown.
struct WireSpec {
    double mm2 = not_said; ///< effective copper
    double metres = not_said;
    double spread = 0; ///< of the length: 0.2 = about
    bool sleeved = false, starter_cable = false, winch_cable = false;
    double insulation = 105;
    std::string name = {}; ///< empty: "wire N"
    std::string size = {}; ///< as typed
    std::string place = {};
};

class Handmade {
  public:
    Circuit circuit;

    /// Starts with the metal "body" and revision 0.
    Handmade();

    PartId battery(std::string name, double ohms = 0.007, double volts = 12);
    PartId alternator(std::string name, double amps);
    PartId starter(std::string name);
    /// A feed whose beginning is not drawn: body, source, fuse, condition, terminal. Without a condition it is always live.
    PartId supply(std::string name, double behind = not_said, std::string when = {}, Kind kind = Kind::supply);
    PartId fuse(std::string name, double amps, std::string type = {});
    PartId link(std::string name, double mm2, std::string size = {});
    PartId breaker(std::string name, double amps);
    PartId load(std::string name, double amps, Element element = Element::resistance);
    PartId relay(std::string name, bool change_over = false);
    PartId toggle(std::string name);
    /// Terminals "common", "1", "2", ...: position n joins common with terminal n.
    PartId selector(std::string name, int positions);
    PartId diode(std::string name); ///< 1 = plain end, 2 = band
    PartId splice(std::string name, Kind kind = Kind::splice);
    PartId ground(std::string name); ///< bolted to the body
    PartId connector(std::string name, int holes);
    PartId loose_end(std::string name);

    /// Ends as "F1:1", "battery:+", "SP1", "X7:1" (first half), "X7:1b" (second half), "body".
    WireId wire(std::string_view from, std::string_view to, WireSpec spec = {});
    TerminalId at(std::string_view end) const;
    PartId part(std::string_view name) const;
    Wire& wire(std::string_view name);

    /// What follows is made by a job.
    void job(std::string title);
    /// What follows stands in the factory block.
    void factory();
    void put(PartId, std::string place);
    void rate(PartId, double amps); ///< a job changes the rating
    void accept(std::string rule, std::string thing, std::string because);

  private:
    PartId add_part(Kind, std::string name);
    TerminalId terminal(PartId, std::string stamp, Role, std::uint8_t half = 0);
    ControlId control(PartId, Control::Type, std::vector<std::string> positions, std::string name = {});
    Primitive& primitive(PartId, Element, TerminalId a, TerminalId b);
    void attribute(PartId, Attr, double value, std::string word = {});
    PlaceId place(const std::string& name);
    Span next_span();
    Life life() const { return {revision_, never}; }

    Revision revision_ = 0;
    Provenance provenance_ = Provenance::found;
    std::uint32_t statements_ = 0;
};

} // namespace loomproof::support
