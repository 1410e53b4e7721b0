/// Plugs, splices, bus bars, metal, grounds, and the ends that the reader makes.

#include "base/words.hpp"
#include "circuit/kinds/kinds.hpp"

#include <string>

namespace loomproof {

namespace {

constexpr AttrSpec connector_attributes[] = {
    {"{n} holes", Attr::holes, "how many holes"},
    {"{n} way", Attr::holes, ""},
    {"{n} ways", Attr::holes, ""},
    {"{n} pin", Attr::holes, ""},
    {"{n} pole", Attr::holes, ""},
    {"{n} poles", Attr::holes, ""},
    {"{n} hole", Attr::holes, "how many holes"},
    {"{n} pins", Attr::holes, "how many holes"},
    {"{A} each", Attr::hole_rating, "what one hole may carry"},
    {"terminals {size} to {size}", Attr::area, "what sizes its terminals take"},
    {"wire side", Attr::wire_side, "seen from the side where the wires go in", "wire side"},
    {"mating side", Attr::wire_side, "seen from the side that plugs together", "mating side"},
    {"seals {m} to {m}", Attr::seals, "how thick over its insulation a wire may be for its seals"},
    {"latch {word}", Attr::latch, "where the latch is"},
    {"rows {text}", Attr::hole_rows, "its holes as they are seen, row by row"},
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
    {"crimp", Attr::joint_type, "a crimped joint"},
    {"solder", Attr::joint_type, "a soldered joint"},
    {"tap", Attr::joint_type, "a tap that pierces"},
    {"twisted", Attr::joint_type, "twisted together"},
    {"terminal block", Attr::joint_type, "screwed into a terminal block"},
    {"wire nut", Attr::joint_type, "twisted under a cap", "twisted"},
    {"screw block", Attr::joint_type, "", "terminal block"},
    {"terminal strip", Attr::joint_type, "", "terminal block"},
    {"butt connector", Attr::joint_type, "", "crimp"},
    {"butt splice", Attr::joint_type, "", "crimp"},
    {"twisted and taped", Attr::joint_type, "", "twisted"},
    {"quick splice", Attr::joint_type, "", "tap"},
    {"heat shrink", Attr::sealed, "", "on"},
    {"piercing tap", Attr::joint_type, "", "tap"},
    {"screw terminal", Attr::joint_type, "", "terminal block"},
    {"crimped", Attr::joint_type, "a crimped joint", "crimp"},
    {"soldered", Attr::joint_type, "a soldered joint", "solder"},
    {"sealed", Attr::sealed, "sealed sleeve", "on"},
    {"sealed sleeve", Attr::sealed, "sealed sleeve", "on"},
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

constexpr AttrSpec metal_attributes[] = {
    {"{ohm}", Attr::resistance, "from each bolt on it to where the rest of it is tied together"},
};
constexpr AttrSpec ground_attributes[] = {
    {"on {metal}", Attr::case_grounded, "the metal it is bolted to"},
    {"on the {metal}", Attr::case_grounded, ""},
    {"{ohm}", Attr::resistance, "from its bolt to where the rest of the metal is tied together"},
};

/// Where there is no metal it is a point of its own, like a bus bar.
void expand_ground(PartBuilder& b) {
    Primitive bolt;
    bolt.element = Element::joint;
    bolt.purpose = Purpose::mounting;
    bolt.a = b.part().terminals.front();
    bolt.b = b.mounting_metal();
    bolt.resistance = as<Ohms>(b.value(Attr::resistance));
    b.add(bolt);
}

constexpr TerminalSpec touching_ends[] = {
    {"1", Role::end1, 0, false, ""},
    {"2", Role::end2, 0, false, ""},
};
constexpr AttrSpec touch_attributes[] = {
    {"between {word} and {word}", Attr::between, "the two pieces of metal"},
    {"{ohm} to open", Attr::resistance, "how well it conducts where it touches"},
    {"{ohm} to {ohm}", Attr::resistance, "how well it conducts at best and at worst"},
    {"{ohm}", Attr::resistance, ""},
};

/// It touches or it does not, well or badly: a condition that may hold at any time. What lies between is between what comes out at the two
/// ends, as every current and every volt grows or falls with one resistance (Cohn 1950: networks of resistances are monotone).
void expand_touch(PartBuilder& b) {
    const std::string metals = b.word(Attr::between);
    const std::size_t blank = metals.find(' ');
    if (blank == std::string::npos) return;
    const auto lie_on = [&](const char* end, const std::string& name) {
        Primitive p;
        p.element = Element::joint;
        p.purpose = Purpose::mounting;
        p.a = b.terminal(end);
        p.b = b.metal(name);
        b.add(p);
    };
    const std::string one = metals.substr(0, blank), other = metals.substr(blank + 1);
    const bool body_first = equal_ignoring_case(one, "body"); // the body lies below, as on every drawing
    lie_on("1", body_first ? other : one);
    lie_on("2", body_first ? one : other);
    const std::string touches = b.part().name + " touches";
    const auto join = [&](std::uint64_t closed_in, const Stated<double>& ohms) {
        add_free_contact(b, touches, b.terminal("1"), b.terminal("2"), Purpose::switch_contact, {}, closed_in,
                         ohms.known() && ohms.nominal > 0 ? as<Ohms>(ohms) : Stated<Ohms>{});
    };
    join(0b10, b.value(Attr::resistance));
    if (const Stated<double> worst = b.value(Attr::high_end); worst.known()) join(0b01, worst);
}

constexpr AttrSpec box_attributes[] = {
    {"{A} each", Attr::rating, "what one slot may carry"},
};

} // namespace

const KindSpec touch_kind{.kind = Kind::touch,
                          .keyword = "touch",
                          .title = "touch",
                          .letter = "J",
                          .example = "touch J1 \"hitch ball\" between body and trailer, 0 ohm to open\nmetal trailer",
                          .terminals = touching_ends,
                          .attributes = touch_attributes,
                          .expand = expand_touch};
const KindSpec box_kind{.kind = Kind::box,
                        .keyword = "box",
                        .title = "box",
                        .letter = "FB",
                        .also = "fusebox fuse-box fuse-block",
                        .example = "box FB1 \"under dash\", 20 A each {\n  rail R1 fed from 1: F1..F6\n}",
                        .attributes = box_attributes};
const KindSpec wish_kind{
    .kind = Kind::wish, .keyword = "wish", .title = "wish", .letter = "wish", .example = "wish fan { no* | yes }"};
const KindSpec connector_kind{.kind = Kind::connector,
                              .keyword = "connector",
                              .title = "plug",
                              .letter = "X",
                              .also = "plug",
                              .example = "connector X7 \"fan plug\", 2 holes, 18 A each",
                              .parts = "parts/plugs.loom",
                              .attributes = connector_attributes,
                              .shape = shape_connector,
                              .expand = expand_connector};
const KindSpec splice_kind{.kind = Kind::splice,
                           .keyword = "splice",
                           .title = "splice",
                           .letter = "SP",
                           .example = "splice SP1 \"works the relays\", crimp",
                           .ends = Ends::one,
                           .terminals = one_joint,
                           .attributes = splice_attributes};
const KindSpec bus_kind{.kind = Kind::bus,
                        .keyword = "bus",
                        .title = "bus bar",
                        .letter = "BB",
                        .also = "busbar bus-bar",
                        .example = "bus BB1 \"fuse block rail\"",
                        .ends = Ends::one,
                        .terminals = one_joint,
                        .attributes = bus_attributes,
                        .expand = expand_bus};
const KindSpec metal_kind{.kind = Kind::metal,
                          .keyword = "metal",
                          .title = "metal",
                          .example = "metal engine",
                          .one_of_a_kind = true,
                          .ends = Ends::one,
                          .terminals = one_joint,
                          .attributes = metal_attributes};
const KindSpec ground_kind{.kind = Kind::ground,
                           .keyword = "ground",
                           .title = "ground",
                           .letter = "GND",
                           .also = "earth",
                           .example = "ground GND2 \"radiator support\" on body",
                           .one_of_a_kind = true,
                           .ends = Ends::one,
                           .terminals = one_joint,
                           .attributes = ground_attributes,
                           .expand = expand_ground};
const KindSpec cut_kind{.kind = Kind::cut, .title = "cut"};
const KindSpec loose_end_kind{.kind = Kind::loose_end, .title = "loose end", .ends = Ends::one, .terminals = one_joint};
const KindSpec unknown_end_kind{
    .kind = Kind::unknown_end, .title = "end that nobody traced", .ends = Ends::one, .terminals = one_joint};
const KindSpec engine_kind{.kind = Kind::engine, .title = "engine"};
const KindSpec not_known_kind{.kind = Kind::not_known, .title = "part"};

} // namespace loomproof
