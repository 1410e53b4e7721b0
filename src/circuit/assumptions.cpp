/// What nobody said and is taken to be so: straps and starter's cables, the figures of wires, places and parts; each is listed as an assumption.

#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "circuit/reader.hpp"
#include "circuit/straps.hpp"
#include "circuit/text_problems.hpp"
#include "circuit/unsaid.hpp"
#include "circuit/view.hpp"
#include "reference/places.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof {

namespace {

/// The least that goes for a starter's cable without being called so (common practice, no source).
constexpr SquareMetres starter_cable_from{16e-6};

/// A thick wire straight from a battery's live pole to the main terminal of a starter is the starter's cable, called so or not; so are two with
/// a plain switch between them, as a main switch is fitted.
void recognise_starter_cables(Circuit& c) {
    const Role ground_pole = c.vehicle.positive_ground ? Role::plus : Role::minus;
    const auto pole = [&](TerminalId t) { return c.part_of(t).kind == Kind::battery && c.at(t).role != ground_pole; };
    const auto main_terminal = [&](TerminalId t) {
        return c.part_of(t).kind == Kind::starter && c.at(t).role == Role::plus;
    };
    const auto thick = [](const Wire& w) {
        return !w.winch_cable && !w.poisoned && w.area.known() && w.area.nominal.si >= starter_cable_from.si * 0.99;
    };
    // From one end of a plain switch: does a thick wire lead on from its other end to what is asked for?
    const auto over_a_switch = [&](TerminalId t, const auto& wanted) {
        const Part& part = c.part_of(t);
        if (part.kind != Kind::switching || part.terminals.size() != 2) return false;
        const TerminalId other = part.terminals.front() == t ? part.terminals.back() : part.terminals.front();
        return std::ranges::any_of(c.wires, [&](const Wire& w) {
            return thick(w) && ((w.a == other && wanted(w.b)) || (w.b == other && wanted(w.a)));
        });
    };
    for (std::size_t i = 0; i < c.wires.size(); ++i) {
        Wire& w = c.wires[i];
        if (w.starter_cable || !thick(w)) continue;
        for (const auto& [from, to] : {std::pair{w.a, w.b}, std::pair{w.b, w.a}}) {
            if (!(pole(from) && (main_terminal(to) || over_a_switch(to, main_terminal))) &&
                !(main_terminal(to) && over_a_switch(from, pole)))
                continue;
            w.starter_cable = true;
            c.assumptions.push_back({name_of(c, WireId{i}), "the starter's cable, which needs no fuse",
                                     fmt::format("it goes from {} to {}", name_of(c, from), name_of(c, to)),
                                     "starter cable, behind it; or a fuse in it"});
        }
    }
}

} // namespace

/// The maker's battery whose ground pole has no wire, or only wires of loads, is taken to be strapped to the body, and an engine to the body.
/// Not so where the file says that all is drawn: a vehicle that is not partly described, and complete or with its `metal body`. A name for
/// the vehicle alone says nothing about straps; where it stands beside the battery's strap, the engine's would be drawn as well.
void Reader::assume_straps() {
    recognise_starter_cables(c_);
    if (c_.vehicle.no_metal) return;
    const TerminalId metal = body();
    const bool body_drawn = c_.part_of(metal).origin.provenance != Provenance::assumed;
    if (c_.vehicle.described && (c_.vehicle.complete || body_drawn)) return;
    const Role pole = c_.vehicle.positive_ground ? Role::plus : Role::minus;
    const auto wired = [&](TerminalId t) {
        return std::any_of(c_.wires.begin(), c_.wires.end(), [&](const Wire& w) {
            if (w.a != t && w.b != t) return false;
            const Kind at_the_other_end = c_.part_of(w.other(t)).kind;
            return !spec_of(at_the_other_end).is_load &&
                   at_the_other_end != Kind::relay; // straight back from a load: no strap
        });
    };
    const auto strap = [&](PartId id, TerminalId t, const std::string& what) {
        Primitive p;
        p.element = Element::joint;
        p.purpose = Purpose::mounting;
        p.part = id;
        p.a = t;
        p.b = metal;
        p.life = c_.at(id).life;
        c_.primitives.push_back(p);
        const std::string open = c_.at(id).kind == Kind::battery ? strap_not_judged(c_, t) : "";
        c_.assumptions.push_back({what, "a good strap to the body",
                                  open.empty() ? "usual in every vehicle" : "usual are 16 to 25 mm2; " + open,
                                  "wire from " + what + " to ground, " + strap_size(c_) + " black, 0.4 m"});
    };
    // Bolted to that metal: the metal itself, and the grounds that lie on it.
    const auto lies_on = [&](TerminalId t, const Part& piece) {
        const Part& part = c_.part_of(t);
        if (&part == &piece) return true;
        return part.kind == Kind::ground &&
               std::any_of(part.attributes.begin(), part.attributes.end(), [&](const Attribute& a) {
                   return a.key == Attr::case_grounded && equal_ignoring_case(a.word, piece.name);
               });
    };
    const auto strapped = [&](const Part& piece) {
        return std::any_of(c_.wires.begin(), c_.wires.end(), [&](const Wire& w) {
            if (lies_on(w.a, piece) == lies_on(w.b, piece)) return false;
            const Kind other = c_.part_of(lies_on(w.a, piece) ? w.b : w.a).kind;
            return other == Kind::metal || other == Kind::ground || other == Kind::battery;
        });
    };
    const auto grounded_pole = [&](const Part& battery) {
        const auto t = std::ranges::find_if(battery.terminals, [&](TerminalId id) { return c_.at(id).role == pole; });
        return t == battery.terminals.end() ? TerminalId{} : *t;
    };
    const auto wired_to = [&](const Part& part, const auto& what) {
        return std::any_of(c_.wires.begin(), c_.wires.end(), [&](const Wire& w) {
            return (&c_.part_of(w.a) == &part && what(w.a, w.b)) || (&c_.part_of(w.b) == &part && what(w.b, w.a));
        });
    };
    // The maker straps one battery: that which starts the engine. A further one's ground is somebody's own work, so it is drawn.
    const auto inside_a_series = [&](const Part& battery) {
        return wired_to(battery, [&](TerminalId here, TerminalId there) {
            return here == grounded_pole(battery) && c_.part_of(there).kind == Kind::battery &&
                   c_.at(there).role != pole;
        });
    };
    const auto starts = [&](const Part& battery) {
        return wired_to(battery, [&](TerminalId here, TerminalId there) {
            return here != grounded_pole(battery) && c_.part_of(there).kind == Kind::starter;
        });
    };
    const Part* first = nullptr;
    for (const Part& part : c_.parts)
        if (part.kind == Kind::battery && !inside_a_series(part) && (!first || (starts(part) && !starts(*first))))
            first = &part;
    const auto makers = [&](const Part& battery) {
        return &battery == first || (battery.origin.provenance == Provenance::factory && !c_.vehicle.complete);
    };
    const auto bare = [&](const Part& battery) {
        return !wired_to(battery, [](TerminalId, TerminalId) { return true; });
    };
    const bool engine_drawn =
        c_.vehicle.described && std::ranges::any_of(c_.parts, [&](const Part& part) {
            return part.kind == Kind::battery && grounded_pole(part).exists() && wired(grounded_pole(part));
        });
    for (std::size_t i = 0; i < c_.parts.size(); ++i) {
        const PartId id{i};
        const Part& part = c_.at(id);
        if (part.kind == Kind::battery && (makers(part) || (bare(part) && !c_.vehicle.complete)))
            if (const TerminalId t = grounded_pole(part); t.exists() && !wired(t)) strap(id, t, name_of(c_, t));
        if (!engine_drawn && part.kind == Kind::metal && part.terminals.front() != metal && !strapped(part) &&
            equal_ignoring_case(part.name, "engine"))
            strap(id, part.terminals.front(), part.name);
    }
}

/// What somebody guessed, in one row: nobody may take a check of guesses for a check of what is there.
void Reader::list_guesses() {
    std::vector<std::string> figures, sizes;
    const auto guessed = [&](const std::string& subject, const auto& value, bool size) {
        if (value.how != Knowledge::guessed || !value.span.exists()) return;
        std::string typed(sources_.text(value.span));
        if (lower(typed).starts_with("guessed"))
            typed.erase(0, std::min(typed.size(), typed.find_first_of(" \t\n") + 1));
        (size ? sizes : figures).push_back(subject + " " + typed);
    };
    for (const Part& part : c_.parts) {
        if (part.life.gone != never) continue;
        for (const Attribute& a : part.attributes)
            if (a.life.gone == never) guessed(part.name, a.value, a.key == Attr::area);
    }
    for (std::size_t i = 0; i < c_.wires.size(); ++i) {
        const Wire& wire = c_.wires[i];
        if (wire.life.gone != never) continue;
        guessed(name_of(c_, WireId{i}), wire.area, true);
        guessed(name_of(c_, WireId{i}), wire.length, false);
        guessed(name_of(c_, WireId{i}), wire.insulation_class, false);
    }
    for (const Place& place : c_.places) guessed(place.name, place.temperature, false);
    const auto list = [&](std::vector<std::string>& all, const char* taken) {
        constexpr std::size_t most = 8;
        if (all.empty()) return;
        const std::size_t more = all.size() > most ? all.size() - most : 0;
        if (more > 0) all.resize(most);
        std::string words;
        for (const std::string& one : all) words += (words.empty() ? "" : ", ") + one;
        words = more > 0 ? words + " and " + std::to_string(more) + " more" : list_of(all);
        c_.assumptions.push_back({"you guessed:", words, taken, "take \"guessed\" away once you know"});
    };
    list(figures, "each taken as half of that to one and a half times");
    list(sizes, "each taken as one size thinner to one thicker");
}

void Reader::list_assumptions() {
    list_guesses();
    std::size_t unstated_insulation = 0, unstated_place = 0;
    for (Wire& w : c_.wires) {
        if (w.insulation_class.known()) continue;
        w.insulation_class = Stated<Celsius>::assume(Celsius{105}, "thin-wall PVC or better, usual for vehicle wire");
        if (w.life.gone == never && w.area.known()) ++unstated_insulation;
    }
    std::size_t unsaid_length = 0, unsaid_size = 0;
    for (const Wire& w : c_.wires) {
        if (w.life.gone != never || w.poisoned) continue;
        if (w.area.known() && !w.place.exists()) ++unstated_place;
        if (!w.length.known()) ++unsaid_length;
        if (!w.area.known()) ++unsaid_size;
    }
    // Within these bounds every figure that hangs on them is weighed (solve/bounds.hpp).
    if (unsaid_length > 0)
        c_.assumptions.push_back({"length of " + counted(unsaid_length, "wire") + ":", "0.1 m to 8 m",
                                  "as in a car; nobody said it", "behind a wire's size: 1.5 m"});
    if (unsaid_size > 0) {
        const UnsaidSize most = most_unsaid_size(c_);
        c_.assumptions.push_back(
            {"size of " + counted(unsaid_size, "wire") + ":", "0.5 mm2 to " + most.words,
             most.for_fuse ? "which carries the largest fuse; nobody said it" : "as in a car; nobody said it",
             "behind its ends: 1.5 mm2"});
    }
    for (Place& p : c_.places)
        if (!p.temperature.known())
            if (const auto known = reference::find_place_temperature(p.name))
                p.temperature = Stated<Celsius>::assume(known->ambient, std::string(known->basis));
    if (unstated_insulation > 0)
        c_.assumptions.push_back({"insulation of " + counted(unstated_insulation, "wire") + ":", "good for 105 degC",
                                  "thin-wall PVC or better, usual for vehicle wire",
                                  "behind a wire's size: PVC 85 degC, GXL ..."});
    if (unstated_place > 0)
        c_.assumptions.push_back({counted(unstated_place, "wire") + " without a place:",
                                  std::string("30 degC around ") + (unstated_place == 1 ? "it" : "them"),
                                  "as the tables assume; under the bonnet it is hotter",
                                  "behind a wire's size: in engine-bay"});
    for (const Part& part : c_.parts) {
        if (part.life.gone != never || part.poisoned) continue;
        const auto said = [&](Attr key) {
            return std::ranges::any_of(part.attributes, [&](const Attribute& a) { return a.key == key; });
        };
        const auto wired = [&](Role role) {
            return std::ranges::any_of(part.terminals, [&](TerminalId t) {
                const auto on = wires_on_.find(t.index);
                return c_.at(t).role == role && on != wires_on_.end() && on->second > 0;
            });
        };
        if (part.kind == Kind::relay && !said(Attr::make_rating) && !said(Attr::rest_rating) &&
            (wired(Role::make) || wired(Role::rest)))
            c_.assumptions.push_back({part.name, "30 A contacts",
                                      "usual for a plug-in relay (common practice, no source)",
                                      "behind its name: 40 A"});
    }
    for (const Place& p : c_.places) {
        if (p.temperature.how != Knowledge::assumed) continue;
        const auto place_index = static_cast<std::size_t>(&p - c_.places.data());
        const bool used = std::any_of(c_.wires.begin(), c_.wires.end(), [&](const Wire& w) {
            return w.life.gone == never && w.place == PlaceId{place_index};
        });
        if (used)
            c_.assumptions.push_back(
                {p.name + ":", text(p.temperature.nominal), p.temperature.basis, "place " + p.name + ", 85 degC"});
    }
}

} // namespace loomproof
