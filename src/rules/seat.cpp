#include "rules/seat.hpp"

#include "base/words.hpp"
#include "circuit/kinds/kinds.hpp"

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

struct Slot {
    PartId box;
    std::string name; ///< "3"; the fuse's own name where it sits on a rail that names it
};

/// The box that a protector sits in: said in its own line, else the rail that names it.
std::optional<Slot> slot_of(const View& view, PartId protector) {
    const Circuit& c = view.circuit();
    if (const Attribute* said = view.find(protector, Attr::slot)) {
        const std::size_t blank = said->word.find(' ');
        for (PartId box : view.parts())
            if (c.at(box).kind == Kind::box && equal_ignoring_case(c.at(box).name, said->word.substr(0, blank)))
                return Slot{box, said->word.substr(blank + 1)};
        return std::nullopt;
    }
    for (TerminalId t : c.at(protector).terminals)
        for (PrimitiveId id : view.primitives_at(t))
            if (const Primitive& p = c.at(id); c.at(p.part).kind == Kind::box && p.a == t)
                return Slot{p.part, c.at(protector).name};
    return std::nullopt;
}

} // namespace

std::optional<Seat> seat_of(const View& view, PartId protector) {
    const Circuit& c = view.circuit();
    if (const Attribute* holder = view.find(protector, Attr::hole_rating); holder && holder->value.known())
        return Seat{fmt::format("the holder of {}", name_of(c, protector)), as<Amps>(holder->value), holder->span};
    const auto slot = slot_of(view, protector);
    if (!slot) return std::nullopt;
    const Attribute* found = nullptr; // what is said of this slot goes before what is said of each
    for (const Attribute& a : c.at(slot->box).attributes) {
        if (!a.life.at(view.revision()) || !a.value.known()) continue;
        if (a.key == Attr::hole_rating &&
            (equal_ignoring_case(a.word, slot->name) || equal_ignoring_case(a.word, c.at(protector).name)))
            found = &a;
        if (a.key == Attr::rating && !found) found = &a;
    }
    if (!found) return std::nullopt;
    const bool own_name = equal_ignoring_case(slot->name, c.at(protector).name);
    return Seat{own_name ? fmt::format("its slot in {}", name_of(c, slot->box))
                         : fmt::format("slot {} of {}", slot->name, name_of(c, slot->box)),
                as<Amps>(found->value), found->span};
}

std::optional<Tails> tails_of(const View& view, PartId id) {
    const Circuit& c = view.circuit();
    const Attribute* said = view.find(id, Attr::area);
    if (!said || !said->value.known() || c.at(id).kind == Kind::link) return std::nullopt;
    const auto carries =
        reference::what_a_wire_can_carry(SquareMetres{said->value.nominal}, reference::default_insulation_class,
                                         temperature_at(c, c.at(id).place).nominal);
    if (!carries) return std::nullopt;
    return Tails{said->word, *carries, said->span};
}

} // namespace loomproof::rules
