#include "rules/sides.hpp"

#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "solve/part_models.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

std::vector<TerminalId> reference_terminals(const Study& study) {
    std::vector<TerminalId> found;
    for (std::size_t i = 0; i < study.reference.size(); ++i)
        if (study.reference[i]) found.push_back(TerminalId{i});
    return found;
}

/// Terminals about whose other side nothing may be concluded.
std::vector<TerminalId> untraced_ends(const Study& study) {
    const View& now = study.now;
    const Circuit& c = now.circuit();
    std::vector<TerminalId> found;
    for (PartId id : now.parts()) {
        const Part& part = c.at(id);
        const bool whole = part.poisoned || part.kind == Kind::unknown_end || part.kind == Kind::not_known ||
                           !says_what_it_is(now, id);
        for (TerminalId t : part.terminals) {
            const bool inner_life =
                c.at(t).role == Role::signal && std::ranges::all_of(now.primitives_at(t), [&](PrimitiveId p) {
                    return c.at(p).purpose == Purpose::input; // its ohms, and what it makes of them
                });
            if (whole || inner_life) found.push_back(t);
        }
    }
    for (WireId id : now.wires()) {
        const Wire& wire = c.at(id);
        if (!wire.poisoned) continue;
        if (wire.a.exists()) found.push_back(wire.a);
        if (wire.b.exists()) found.push_back(wire.b);
    }
    return found;
}

std::vector<bool> united(std::vector<bool> one, const std::vector<bool>& other) {
    for (std::size_t i = 0; i < one.size(); ++i) one[i] = one[i] || other[i];
    return one;
}

/// How far live reaches.
enum class Reaching { always, at_times, unprotected };

Spread from_sources(const Study& study, Reaching reaching) {
    return {study.now,
            {.starts = live_poles(study, reaching == Reaching::unprotected),
             .over_contacts = reaching != Reaching::always,
             .over_protectors = reaching != Reaching::unprotected,
             .with_current = study.now.ground_pole() == Role::minus,
             .not_beyond = &study.reference}};
}

/// In every position of every switch.
Spread from_reference(const Study& study) {
    return {study.now,
            {.starts = reference_terminals(study),
             .over_contacts = false,
             .with_current = study.now.ground_pole() == Role::plus}};
}

/// At times. A contact that leads into a feed which is live in every position makes no ground of that feed, nor does a diode that
/// points out of one: both are mistakes of their own, and must not hide what is live.
Spread from_reference_at_times(const Study& study, const Spread& live) {
    const Spread solid(study.now, {.starts = live_poles(study, false),
                                   .over_contacts = false,
                                   .over_diodes = false,
                                   .not_beyond = &study.reference});
    const std::vector<bool> always = solid.reached_set(), at_times = live.reached_set();
    return {study.now,
            {.starts = reference_terminals(study),
             .with_current = study.now.ground_pole() == Role::plus,
             .not_into = &always,
             .no_diode_into = &at_times}};
}

std::vector<bool> from_untraced(const Study& study, const Spread& live_always) {
    const std::vector<bool> known = united(live_always.reached_set(), study.reference);
    const std::vector<TerminalId> starts = untraced_ends(study);
    const Spread down(study.now, {.starts = starts, .not_into = &known});
    const Spread up(study.now, {.starts = starts, .with_current = false, .not_into = &known});
    return united(down.reached_set(), up.reached_set());
}

} // namespace

bool says_what_it_is(const View& view, PartId id) {
    const Kind kind = view.circuit().at(id).kind;
    if (kind != Kind::supply && kind != Kind::existing_wire) return true;
    return view.has(id, Attr::when) || view.has(id, Attr::driven_when) || view.has(id, Attr::plus_side) ||
           view.has(id, Attr::ground_side);
}

bool is_load(const Primitive& p) {
    return solve::takes_current(p) && p.purpose != Purpose::suppressor && p.purpose != Purpose::input;
}

std::vector<BatteryPoles> battery_poles(const Study& study) {
    const Circuit& c = study.circuit;
    std::vector<BatteryPoles> all;
    for (PrimitiveId id : study.now.primitives()) {
        const Primitive& p = c.at(id);
        if (p.element != Element::source || c.at(p.part).kind != Kind::battery || c.at(p.part).poisoned) continue;
        all.push_back(study.from_plus() ? BatteryPoles{id, p.a, p.b} : BatteryPoles{id, p.b, p.a});
    }
    return all;
}

bool carries_ground(const Circuit& c, EdgeRef e) {
    if (e.is_wire()) return !c.at(e.wire).poisoned;
    const Element element = c.at(e.primitive).element;
    return element == Element::joint || element == Element::contact || element == Element::meter;
}

Reach ground_walk(const Study& study, TerminalId from) {
    return study.graph.walk(
        std::vector{from}, [&](EdgeRef e, TerminalId) { return carries_ground(study.circuit, e); }, &Edge::metres);
}

std::vector<TerminalId> live_poles(const Study& study, bool strong_only) {
    const View& now = study.now;
    std::vector<TerminalId> poles = study.strong_sources;
    for (PrimitiveId id : now.primitives()) {
        const Primitive& p = now.circuit().at(id);
        if (p.element != Element::source || (strong_only && !p.strong)) continue;
        const TerminalId pole = now.ground_pole() == Role::minus ? p.a : p.b;
        if (study.reference[pole.index]) continue;
        if (std::ranges::find(poles, pole) == poles.end()) poles.push_back(pole);
    }
    std::erase_if(poles, [&](TerminalId t) { return !says_what_it_is(now, now.circuit().at(t).part); });
    return poles;
}

std::string pole_to_trace_from(const Study& study) {
    if (study.strong.empty() || study.circuit.at(study.strong.front().pole).internal) return "battery:+";
    return name_of(study.circuit, study.strong.front().pole);
}

std::vector<TerminalId> ground_poles(const Study& study) {
    std::vector<TerminalId> poles;
    for (PrimitiveId id : study.now.primitives()) {
        const Primitive& p = study.circuit.at(id);
        if (p.element != Element::source) continue;
        const TerminalId pole = study.now.ground_pole() == Role::minus ? p.b : p.a;
        if (study.reference[pole.index] && std::ranges::find(poles, pole) == poles.end()) poles.push_back(pole);
    }
    return poles;
}

SidesFound::SidesFound(const Study& study)
    : positive_ground(study.now.ground_pole() == Role::plus),
      live_always(from_sources(study, Reaching::always)),
      live(from_sources(study, Reaching::at_times)),
      unprotected(from_sources(study, Reaching::unprotected)),
      ground_always(from_reference(study)),
      ground(from_reference_at_times(study, live)),
      untraced(from_untraced(study, live_always)) {}

Sides::Sides(const Study& study) {
    if (!study.sides) study.sides = std::make_shared<const SidesFound>(study);
    found_ = study.sides;
}

std::vector<TerminalId> region(const View& view, std::vector<TerminalId> found, Through through,
                               const std::function<bool(TerminalId)>& enter, PartId without) {
    const Circuit& c = view.circuit();
    for (std::size_t i = 0; i < found.size(); ++i) {
        const TerminalId at = found[i];
        const auto go = [&](TerminalId to) {
            if (to.exists() && enter(to)) found.push_back(to);
        };
        for (WireId w : view.wires_at(at)) go(c.at(w).other(at));
        for (PrimitiveId id : view.primitives_at(at)) {
            const Primitive& p = c.at(id);
            if (p.part == without || p.element == Element::source || p.purpose == Purpose::suppressor) continue;
            if (!is_load(p) || through == Through::loads_too) go(p.a == at ? p.b : p.a);
        }
    }
    return found;
}

Guard guard_before(const Study& study, const Sides& sides, TerminalId t) {
    if (sides.unprotected().reached(t)) return Guard::none;
    const Circuit& c = study.circuit;
    for (std::uint32_t way : sides.live().ways_to(t)) {
        const std::vector<EdgeRef> edges = sides.live().edges(way);
        const bool known = std::ranges::any_of(edges, [&](EdgeRef e) {
            if (e.is_wire() || c.at(e.primitive).element != Element::protector) return false;
            const Kind kind = c.at(c.at(e.primitive).part).kind;
            return c.at(e.primitive).rating.known() || (kind != Kind::supply && kind != Kind::existing_wire);
        });
        if (!known) return Guard::unknown;
    }
    return Guard::known;
}

std::optional<PartId> load_across(const Study& study, const Primitive& diode) {
    const auto joined_to = [&](TerminalId t) {
        return Spread(study.now,
                      {.starts = {t}, .over_contacts = false, .over_protectors = false, .without_part = diode.part});
    };
    const Spread plain = joined_to(diode.a), band = joined_to(diode.b);
    for (PrimitiveId id : study.now.primitives()) {
        const Primitive& p = study.circuit.at(id);
        if (!is_load(p) || p.part == diode.part) continue;
        if ((plain.reached(p.a) && band.reached(p.b)) || (plain.reached(p.b) && band.reached(p.a))) return p.part;
    }
    return std::nullopt;
}

std::string fuse_on(const Circuit& c, const std::vector<EdgeRef>& way) {
    std::string name = "The fuse";
    for (EdgeRef e : way) {
        if (e.is_wire() || c.at(e.primitive).element != Element::protector) continue;
        const PartId part = c.at(e.primitive).part;
        const Kind kind = c.at(part).kind;
        name = kind == Kind::supply || kind == Kind::existing_wire ? "The fuse of " + name_of(c, part)
                                                                   : sentence_start(called(c, part));
    }
    return name;
}

std::string positions_in_words(const Circuit& c, const Demands& demands) {
    std::vector<std::string> said;
    for (const auto& [id, positions] : demands) {
        const Control& control = c.at(id);
        const std::string part = control.part.exists() ? name_of(c, control.part) : std::string{};
        if (control.type == Control::Type::condition) {
            said.push_back(fmt::format("\"{}\"", control.name));
        } else if (control.type == Control::Type::relay) {
            said.push_back(part + (positions & 1 ? " at rest" : " pulled in"));
        } else {
            std::vector<std::string> names;
            for (std::size_t i = 0; i < control.positions.size(); ++i)
                if (positions >> i & 1) names.push_back(control.positions[i]);
            const std::string section = control.name.empty() ? "" : " " + control.name;
            said.push_back(fmt::format("{}{} {}", part, section, list_of(names, "or")));
        }
    }
    return list_of(said);
}

std::vector<std::string> stops_in_words(const Circuit& c, const std::vector<TerminalId>& stops) {
    std::vector<std::string> words;
    for (TerminalId t : stops) {
        if (c.at(t).internal) continue;
        const Role role = c.at(t).role;
        const bool plain = role == Role::end1 || role == Role::end2 || role == Role::anode || role == Role::cathode;
        std::string word = plain ? name_of(c, c.at(t).part) : name_of(c, t);
        if (words.empty() || words.back() != word) words.push_back(std::move(word));
    }
    return words;
}

} // namespace loomproof::rules
