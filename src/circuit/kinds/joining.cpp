/// Plugs, splices, bus bars, metal, grounds, and the ends that the reader makes.

#include "circuit/kinds/kinds.hpp"

#include <string>

namespace loomproof {

namespace {

constexpr AttrSpec connector_attributes[] = {
    {"{n} holes", Attr::holes, "how many holes"},
    {"{n} hole", Attr::holes, "how many holes"},
    {"{n} pins", Attr::holes, "how many holes"},
    {"{A} each", Attr::hole_rating, "what one hole may carry"},
    {"wire side", Attr::wire_side, "seen from the side where the wires go in", "wire side"},
    {"mating side", Attr::wire_side, "seen from the side that plugs together", "mating side"},
    {"latch {word}", Attr::latch, "where the latch is"},
    {"numbers mine", Attr::numbering, "numbered by you"},
    {"numbers moulded", Attr::numbering, "numbered as moulded"},
    {"sealed", Attr::sealed, "with rubber seals", "on"},
};

void shape_connector(PartBuilder& b) {
    const Stated<double> holes = b.value(Attr::holes);
    const int n = holes.known() ? static_cast<int>(holes.nominal) : 0;
    for (int i = 1; i <= n && i <= 200; ++i) {
        const std::string stamp = std::to_string(i);
        b.add_terminal({stamp.c_str(), Role::hole, 1, false, ""}, 0);
        b.add_terminal({stamp.c_str(), Role::hole, 1, false, ""}, 1);
    }
}

void expand_connector(PartBuilder& b) {
    const auto& t = b.part().terminals;
    for (std::size_t i = 0; i + 1 < t.size(); i += 2) {
        Primitive hole;
        hole.element = Element::joint;
        hole.purpose = Purpose::hole;
        hole.a = t[i];
        hole.b = t[i + 1];
        hole.rating = as<Amps>(b.value(Attr::hole_rating));
        b.add(hole);
    }
}

constexpr TerminalSpec one_joint[] = {{"", Role::joint, any_number, false, ""}};
constexpr AttrSpec splice_attributes[] = {
    {"crimp", Attr::joint_type, "a crimped joint"},   {"solder", Attr::joint_type, "a soldered joint"},
    {"tap", Attr::joint_type, "a tap that pierces"}, {"twisted", Attr::joint_type, "twisted together"},
    {"crimped", Attr::joint_type, "a crimped joint", "crimp"}, {"soldered", Attr::joint_type, "a soldered joint", "solder"},
    {"sealed", Attr::sealed, "sealed sleeve", "on"}, {"sealed sleeve", Attr::sealed, "sealed sleeve", "on"},
};
constexpr AttrSpec bus_attributes[] = {
    {"{n} studs", Attr::holes, "how many studs"},
    {"{A}", Attr::rating, "what it may carry"},
};

/// Studs named in the text are joined to the bar.
void expand_bus(PartBuilder& b) {
    const auto& t = b.part().terminals;
    for (std::size_t i = 1; i < t.size(); ++i) {
        Primitive stud;
        stud.element = Element::joint;
        stud.a = t[0];
        stud.b = t[i];
        b.add(stud);
    }
}

constexpr AttrSpec ground_attributes[] = {
    {"on {metal}", Attr::case_grounded, "the metal it is bolted to"},
};

void expand_ground(PartBuilder& b) {
    Primitive bolt;
    bolt.element = Element::joint;
    bolt.purpose = Purpose::mounting;
    bolt.a = b.part().terminals.front();
    bolt.b = b.mounting_metal();
    b.add(bolt);
}

} // namespace

const KindSpec connector_kind{Kind::connector, "connector", "plug", false, Ends::must_say, {}, connector_attributes, shape_connector, expand_connector};
const KindSpec splice_kind{Kind::splice, "splice", "splice", false, Ends::one, one_joint, splice_attributes, nullptr, nullptr};
const KindSpec bus_kind{Kind::bus, "bus", "bus bar", false, Ends::one, one_joint, bus_attributes, nullptr, expand_bus};
const KindSpec metal_kind{Kind::metal, "metal", "metal", true, Ends::one, one_joint, {}, nullptr, nullptr};
const KindSpec ground_kind{Kind::ground, "ground", "ground", true, Ends::one, one_joint, ground_attributes, nullptr, expand_ground};
const KindSpec cut_kind{Kind::cut, nullptr, "cut", false, Ends::must_say, {}, {}, nullptr, nullptr};
const KindSpec loose_end_kind{Kind::loose_end, nullptr, "loose end", false, Ends::one, one_joint, {}, nullptr, nullptr};
const KindSpec unknown_end_kind{Kind::unknown_end, nullptr, "end that nobody traced", false, Ends::one, one_joint, {}, nullptr, nullptr};
const KindSpec not_known_kind{Kind::not_known, nullptr, "part", false, Ends::must_say, {}, {}, nullptr, nullptr};

} // namespace loomproof
