#include "base/number.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <array>
#include <optional>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule coil_contact_exchanged; // rule_list.hpp lists it

namespace {

/// A flat battery beside a charged one takes that and more (common practice, no source).
constexpr Amps battery_amps{30};

/// What hangs on a terminal, and where its other side goes.
struct Hanging {
    std::vector<PartId> parts; ///< the nearest loads
    Amps amps{};               ///< together, as far as stated
    bool to_ground = false, to_live = false;
};

/// A terminal of a relay as it looks from outside, as if the relay were taken out.
struct Outside {
    TerminalId terminal;
    bool live = false, live_always = false, ground = false, ground_always = false, untraced = false;
    Hanging load;   ///< only where it is neither live nor on ground
    PartId battery; ///< live always: the one that it is joined to, where that is one

    bool source() const { return (live && !ground_always) || (ground && !live_always); }
};

/// Which wires stand where: 86, 85, 30 and one output.
using Places = std::array<Outside, 4>;
enum : std::size_t { at_86, at_85, at_30, at_87 };
using Exchange = std::array<std::size_t, 4>; ///< for each place, the place from which its wires should come

/// Slips of the hand, the simplest first.
constexpr Exchange slips[] = {
    {at_30, at_85, at_86, at_87}, {at_86, at_30, at_85, at_87}, {at_87, at_85, at_30, at_86},
    {at_86, at_87, at_30, at_85}, {at_30, at_87, at_86, at_85}, {at_87, at_30, at_85, at_86},
};

Places moved(const Places& p, const Exchange& e) { return {p[e[0]], p[e[1]], p[e[2]], p[e[3]]}; }

/// A coil does something if current can get through it at times and not always.
bool coil_works(const Outside& one, const Outside& other) {
    if (one.untraced || other.untraced) return true;
    const auto between = [](const Outside& fed, const Outside& grounded) {
        const bool through = fed.live && !fed.ground_always && grounded.ground && !grounded.live_always;
        return through && !(fed.live_always && grounded.ground_always);
    };
    return between(one, other) || between(other, one);
}

/// A contact does something if one side has plus or ground to give and the other has a load that needs it.
bool contact_works(const Outside& one, const Outside& other) {
    const auto from_to = [](const Outside& gives, const Outside& takes) {
        if (takes.live || takes.ground || takes.untraced) return false;
        return (gives.live && !gives.ground_always && takes.load.to_ground) ||
               (gives.ground && !gives.live_always && takes.load.to_live);
    };
    return from_to(one, other) || from_to(other, one);
}

/// A second battery behind the contact is its heavy branch, as a load would be.
bool joins_batteries(const Outside& one, const Outside& other) {
    return one.battery.exists() && other.battery.exists() && one.battery != other.battery;
}

bool relay_works(const Places& p) {
    return coil_works(p[at_86], p[at_85]) && (contact_works(p[at_30], p[at_87]) || joins_batteries(p[at_30], p[at_87]));
}

class Relay {
  public:
    Relay(const Study& study, const Sides& sides, PartId id)
        : study_(study), c_(study.circuit), sides_(sides), id_(id) {}

    Places places(const std::array<TerminalId, 4>& terminals) const {
        Places p;
        for (std::size_t i = 0; i < 4; ++i) p[i] = outside(terminals[i]);
        return p;
    }
    std::optional<Finding> judge(const Places&) const;

  private:
    Outside outside(TerminalId) const;
    Hanging hanging_on(TerminalId) const;
    PartId battery_behind(TerminalId) const;
    /// A way from outside needs no position of this relay.
    bool outer(const Demands& demands) const {
        return std::ranges::none_of(demands, [&](const auto& d) { return c_.at(d.first).part == id_; });
    }
    bool reached_from_outside(const Spread& spread, TerminalId t) const {
        return std::ranges::any_of(spread.ways_to(t), [&](std::uint32_t way) { return outer(spread.demands(way)); });
    }
    bool live(TerminalId t) const { return reached_from_outside(sides_.live(), t); }
    bool ground(TerminalId t) const { return reached_from_outside(sides_.ground(), t); }
    /// The first way to a live terminal. Precondition: live(t).
    std::uint32_t way_to(TerminalId t) const {
        const auto& ways = sides_.live().ways_to(t);
        return *std::ranges::find_if(ways, [&](std::uint32_t way) { return outer(sides_.live().demands(way)); });
    }
    bool from_battery(TerminalId t) const { return c_.part_of(sides_.live().start(way_to(t))).kind == Kind::battery; }
    std::optional<PartId> switch_before(TerminalId) const;
    std::string feed_before(TerminalId) const;
    std::string too_thin_for(TerminalId, Amps, bool* wire_too) const;
    std::optional<Amps> weakest_guard(TerminalId) const;
    bool only_conditions_before(TerminalId) const;
    bool heavier_than(TerminalId heavy, TerminalId light, Amps) const;
    void say_overloaded(const Places&, Finding&) const;
    void say_battery_on_trigger(const Outside& coil, const Outside& trigger, PartId battery, Finding&) const;
    void say_shorted(const Outside& live, const Outside& grounded, Finding&) const;
    Finding finding(const Places&, const Exchange&) const;

    const Study& study_;
    const Circuit& c_;
    const Sides& sides_;
    PartId id_;
};

Outside Relay::outside(TerminalId t) const {
    Outside o;
    o.terminal = t;
    o.live = live(t);
    o.live_always = sides_.live_always(t);
    o.ground = ground(t);
    o.ground_always = sides_.ground_always(t);
    o.untraced = sides_.untraced(t);
    if (!o.live && !o.ground && !o.untraced) o.load = hanging_on(t);
    if (o.live_always && !o.ground && !o.untraced) o.battery = battery_behind(t);
    return o;
}

/// The loads met first, and whether beyond them, perhaps through more loads, there is ground or a feed.
Hanging Relay::hanging_on(TerminalId from) const {
    Hanging h;
    std::vector<bool> seen(c_.terminals.size());
    seen[from.index] = true;
    const auto enter = [&](TerminalId t) {
        if (seen[t.index] || live(t) || ground(t)) return false;
        seen[t.index] = true;
        return true;
    };
    std::vector<TerminalId> beyond;
    for (TerminalId at : region(study_.now, {from}, Through::what_conducts, enter, id_)) {
        for (PrimitiveId pid : study_.now.primitives_at(at)) {
            const Primitive& p = c_.at(pid);
            if (!is_load(p) || p.part == id_) continue;
            const TerminalId far = p.a == at ? p.b : p.a;
            if (seen[far.index]) continue;
            h.to_ground = h.to_ground || ground(far);
            h.to_live = h.to_live || live(far);
            h.parts.push_back(p.part);
            h.amps += p.current.or_else(Amps{0});
            if (enter(far)) beyond.push_back(far);
        }
    }
    for (TerminalId at : region(study_.now, beyond, Through::loads_too, enter, id_)) {
        for (PrimitiveId pid : study_.now.primitives_at(at)) {
            const Primitive& p = c_.at(pid);
            if (p.part == id_ || p.element == Element::source) continue;
            const TerminalId far = p.a == at ? p.b : p.a;
            h.to_ground = h.to_ground || ground(far);
            h.to_live = h.to_live || live(far);
        }
    }
    std::ranges::sort(h.parts);
    h.parts.erase(std::ranges::unique(h.parts).begin(), h.parts.end());
    return h;
}

/// Of the first way that needs no position of anything.
PartId Relay::battery_behind(TerminalId t) const {
    for (std::uint32_t way : sides_.live().ways_to(t))
        if (const TerminalId start = sides_.live().start(way);
            sides_.live().demands(way).empty() && c_.part_of(start).kind == Kind::battery)
            return c_.at(start).part;
    return {};
}

/// The switch, worked by hand or by heat, on the first way to a terminal.
std::optional<PartId> Relay::switch_before(TerminalId t) const {
    for (EdgeRef e : sides_.live().edges(way_to(t))) {
        if (e.is_wire()) continue;
        const Primitive& p = c_.at(e.primitive);
        if (p.element != Element::contact || !p.control.exists()) continue;
        const Control::Type type = c_.at(p.control).type;
        if (type == Control::Type::hand || type == Control::Type::sensed) return p.part;
    }
    return std::nullopt;
}

/// The last fuse on the first way to a terminal, else where that way comes from.
std::string Relay::feed_before(TerminalId t) const {
    std::optional<PartId> fuse;
    for (EdgeRef e : sides_.live().edges(way_to(t)))
        if (!e.is_wire() && c_.at(e.primitive).element == Element::protector) fuse = c_.at(e.primitive).part;
    const TerminalId start = sides_.live().start(way_to(t));
    if (!fuse && !c_.at(start).internal) return name_of(c_, start);
    return called(c_, fuse.value_or(c_.at(start).part));
}

/// "W5 can carry 15 A and S1 is rated at 10 A": what on the first way to a terminal the load asks too much of; empty where nothing.
std::string Relay::too_thin_for(TerminalId t, Amps amps, bool* asked_too_much) const {
    std::vector<std::string> said;
    std::optional<Amps> thinnest;
    std::string thinnest_name;
    for (EdgeRef e : sides_.live().edges(way_to(t))) {
        if (e.is_wire()) {
            const auto limit = what_it_carries(c_, e.wire);
            if (!limit || limit->amps >= amps || (thinnest && *thinnest <= limit->amps)) continue;
            thinnest = limit->amps;
            thinnest_name = called(c_, e.wire);
        } else if (const Primitive& p = c_.at(e.primitive);
                   p.element == Element::contact && p.rating.known() && p.rating.nominal < amps) {
            said.push_back(fmt::format("{} is rated at {}", name_of(c_, p.part), text(p.rating.nominal)));
        }
    }
    if (thinnest) said.push_back(fmt::format("{} can carry {}", thinnest_name, text(*thinnest)));
    *asked_too_much = !said.empty();
    return list_of(said);
}

std::optional<Amps> Relay::weakest_guard(TerminalId t) const {
    std::optional<Amps> least;
    for (EdgeRef e : sides_.live().edges(way_to(t))) {
        if (e.is_wire()) continue;
        const Primitive& p = c_.at(e.primitive);
        if (p.element == Element::protector && p.rating.known() && (!least || p.rating.nominal < *least))
            least = p.rating.nominal;
    }
    return least;
}

/// Is it fed over nothing but conditions of what is not drawn, such as "ignition on"?
bool Relay::only_conditions_before(TerminalId t) const {
    return std::ranges::all_of(sides_.live().ways_to(t), [&](std::uint32_t way) {
        return !outer(sides_.live().demands(way)) ||
               std::ranges::all_of(sides_.live().demands(way),
                                   [&](const auto& d) { return c_.at(d.first).type == Control::Type::condition; });
    });
}

/// Is the feed of `heavy` made for the load and that of `light` for a trigger: wire of at least twice the copper all along, that
/// carries the load, behind a fuse that passes it?
bool Relay::heavier_than(TerminalId heavy, TerminalId light, Amps amps) const {
    const auto thinnest = [&](TerminalId t) {
        std::optional<WireId> least;
        for (EdgeRef e : sides_.live().edges(way_to(t)))
            if (e.is_wire() && (!least || c_.at(e.wire).area.nominal < c_.at(*least).area.nominal)) least = e.wire;
        return least;
    };
    const auto a = thinnest(heavy), b = thinnest(light);
    const auto guard = weakest_guard(heavy);
    if (!a || !b || !guard || *guard < amps || !c_.at(*b).area.known()) return false;
    const auto carries = what_it_carries(c_, *a);
    return carries && carries->amps >= amps && c_.at(*a).area.nominal.si >= 2 * c_.at(*b).area.nominal.si;
}

std::optional<Finding> Relay::judge(const Places& p) const {
    if (!relay_works(p)) {
        if (coil_works(p[at_86], p[at_85])) return std::nullopt;
        for (const Exchange& e : slips)
            if (relay_works(moved(p, e))) return finding(p, e);
        return std::nullopt;
    }
    // It does work, but a coil that is in with the ignition and a load that a thin trigger has to carry are the same slip.
    for (std::size_t coil : {at_86, at_85}) {
        const Outside& other_end = p[coil == at_86 ? at_85 : at_86];
        for (std::size_t contact : {at_30, at_87}) {
            const Hanging& load = p[contact == at_30 ? at_87 : at_30].load;
            if (!p[coil].live || !p[contact].live || !other_end.ground_always || !load.to_ground) continue;
            bool asked_too_much = false;
            too_thin_for(p[contact].terminal, load.amps, &asked_too_much);
            if (!asked_too_much || !only_conditions_before(p[coil].terminal) || !switch_before(p[contact].terminal))
                continue;
            // A feed from the battery is no trigger, thin as it may be, while what works the coil comes from elsewhere.
            if (from_battery(p[contact].terminal) && !from_battery(p[coil].terminal)) continue;
            if (!heavier_than(p[coil].terminal, p[contact].terminal, load.amps)) continue;
            Exchange e = {at_86, at_85, at_30, at_87};
            std::swap(e[coil], e[contact]);
            return finding(p, e);
        }
    }
    return std::nullopt;
}

std::string takes(const Circuit& c, const Hanging& load) {
    const std::string names = list_of(names_of(c, load.parts));
    if (load.amps.si > 0) return fmt::format("the {} of {}", text(load.amps), names);
    return fmt::format("all that {} {}", names, verb(load.parts.size(), "takes", "take"));
}

/// The coil is in all the time, or whenever the ignition is on, and the trigger carries the load.
void Relay::say_overloaded(const Places& p, Finding& f) const {
    const std::size_t coil = p[at_86].live ? at_86 : at_85;
    const std::size_t trigger = p[at_30].source() ? at_30 : at_87;
    const Outside& contact = p[trigger];
    const Outside& behind = p[trigger == at_30 ? at_87 : at_30];
    const Hanging& load = behind.load;
    if (behind.battery.exists() && contact.live) return say_battery_on_trigger(p[coil], contact, behind.battery, f);
    if (!contact.live) {
        f.headline += fmt::format(": its contact, not its coil, is switched, and carries {}.", takes(c_, load));
        return;
    }
    const auto by = switch_before(contact.terminal);
    const std::string carrier = by ? called(c_, *by) : feed_before(contact.terminal);
    f.headline += fmt::format(": {} has to carry {}.", carrier, takes(c_, load));
    f.why = fmt::format(
        "The feed from {} goes through the coil to ground, so {} is pulled in {}, and the load runs over the trigger.",
        feed_before(p[coil].terminal), name_of(c_, id_),
        p[coil].live_always ? "all the time" : "whenever that feed is live");
    bool asked_too_much = false;
    const std::string weak = too_thin_for(contact.terminal, load.amps, &asked_too_much);
    if (!asked_too_much) return;
    f.why += " " + sentence_start(weak) + ".";
    const auto guard = weakest_guard(contact.terminal);
    // A plug-in fuse may hold 135 % of its rating for minutes (ISO 8820 time bands).
    if (!guard || load.amps.si <= 1.35 * guard->si) {
        f.severity = Severity::danger;
        f.why += guard
                     ? fmt::format(" The {} fuse does not open at that, and nothing else stops the heat.", text(*guard))
                     : " Nothing there opens, so nothing stops the heat.";
    } else {
        f.why += fmt::format(" The {} fuse there opens.", text(*guard));
    }
}

/// The same with a second battery in place of a load.
void Relay::say_battery_on_trigger(const Outside& coil, const Outside& trigger, PartId battery, Finding& f) const {
    const std::string name = name_of(c_, battery);
    f.headline += fmt::format(": {} is charged over the trigger, {}.", name, feed_before(trigger.terminal));
    f.why = fmt::format("The feed from {} goes through the coil to ground, so {} is pulled in {}; all that {} takes, "
                        "or gives, comes over the thin trigger wire.",
                        feed_before(coil.terminal), name_of(c_, id_),
                        coil.live_always ? "all the time" : "whenever that feed is live", name);
    for (WireId w : study_.now.wires_at(trigger.terminal)) f.subjects.push_back(subject_of(c_, w));
    bool asked_too_much = false;
    const std::string weak = too_thin_for(trigger.terminal, battery_amps, &asked_too_much);
    const auto guard = weakest_guard(trigger.terminal);
    if (asked_too_much)
        f.why += fmt::format(" {}; a flat battery takes {} and more.", sentence_start(weak), text(battery_amps));
    f.why += guard ? fmt::format(" The {} fuse there opens against that, but {} feeds a short on that wire from the "
                                 "other end, over a fuse made for thick cable.",
                                 text(*guard), name)
                   : " Nothing there opens, so nothing stops the heat.";
    f.severity = Severity::danger;
}

/// The contact joins a feed to ground when it closes.
void Relay::say_shorted(const Outside& live, const Outside& grounded, Finding& f) const {
    f.headline +=
        fmt::format(": when it pulls in, its contact joins {} straight to ground.", feed_before(live.terminal));
    const std::string meet = fmt::format("{} is fed and {} is on ground; inside the relay they meet.",
                                         name_of(c_, live.terminal), name_of(c_, grounded.terminal));
    switch (guard_before(study_, sides_, live.terminal)) {
    case Guard::known:
        f.why = fmt::format("{} {} opens each time.", meet, fuse_on(c_, sides_.live().edges(way_to(live.terminal))));
        break;
    case Guard::none:
        f.severity = Severity::danger;
        f.why = meet + " No fuse stands before it: the wires burn.";
        break;
    case Guard::unknown:
        f.severity = Severity::danger;
        f.certainty = Certainty::undecided;
        f.why = meet + " Nobody said which fuse stands before it.";
        f.measure = fmt::format("Find what feeds {}: if pulling a fuse makes it dead, that fuse opens and nothing "
                                "burns; if no fuse does, the wires burn.",
                                feed_before(live.terminal));
        break;
    }
}

Finding Relay::finding(const Places& p, const Exchange& e) const {
    Finding f;
    f.rule = "coil-contact-exchanged";
    f.severity = Severity::fault;
    f.place = where_it_lies(c_, id_);
    f.subjects.push_back(name_of(c_, id_));
    f.cites.push_back(cite_part(c_, id_));
    std::vector<std::string> pairs, moves;
    for (std::size_t to = 0; to < 4; ++to) {
        const std::size_t from = e[to];
        if (from == to) continue;
        const TerminalId here = p[from].terminal, there = p[to].terminal;
        if (to < from) pairs.push_back(fmt::format("{} with {}", stamp_of(c_, there), stamp_of(c_, here)));
        f.subjects.push_back(name_of(c_, here));
        std::vector<std::string> wires;
        for (WireId w : study_.now.wires_at(here)) {
            wires.push_back(called(c_, w));
            f.cites.push_back(cite_wire_end(c_, w, here, "belongs on " + stamp_of(c_, there)));
            f.edits.push_back({f.cites.back().span, name_of(c_, there), TextEdit::Grade::your_choice});
        }
        moves.push_back(fmt::format("{} {} from {} to {}", list_of(wires), verb(wires.size(), "goes", "go"),
                                    stamp_of(c_, here), stamp_of(c_, there)));
    }
    f.headline = fmt::format("Coil and contact wires of {} are exchanged, {}", called(c_, id_), list_of(pairs));
    const bool shorted = (p[at_30].live && !p[at_30].ground && p[at_87].ground && !p[at_87].live) ||
                         (p[at_87].live && !p[at_87].ground && p[at_30].ground && !p[at_30].live);
    const Hanging& on_coil = p[at_86].load.parts.empty() ? p[at_85].load : p[at_86].load;
    if (shorted) {
        say_shorted(p[at_30].live ? p[at_30] : p[at_87], p[at_30].live ? p[at_87] : p[at_30], f);
    } else if (!on_coil.parts.empty()) {
        const std::string names = list_of(names_of(c_, on_coil.parts));
        f.headline +=
            fmt::format(": {} {} on the coil and cannot work.", names, verb(on_coil.parts.size(), "hangs", "hang"));
        f.why = fmt::format("What {} {} has to come through the coil, which lets through less than a quarter of an "
                            "amp; the contact switches only the trigger.",
                            names, verb(on_coil.parts.size(), "gets", "get"));
    } else if (p[at_86].source() && p[at_85].source() && p[at_86].live != p[at_85].live) {
        say_overloaded(p, f);
    } else {
        f.headline += ": it can never pull in.";
        f.why = fmt::format("Both ends of the coil are {}, so no current gets through it.",
                            p[at_86].live ? "on feeds" : "on ground");
    }
    f.limit = "85 and 86 are the ends of the coil; 30, 87 and 87a are the contact (plug-in relays after ISO 7588)";
    f.cures.push_back({fmt::format("Exchange the wires: {}.", list_of(moves))});
    return f;
}

/// Terminals with wires on them: 86, 85, 30 and an output, the make contact first.
std::optional<std::array<TerminalId, 4>> wired_places(const Study& study, const Part& part) {
    const auto find = [&](Role role) {
        for (TerminalId t : part.terminals)
            if (study.circuit.at(t).role == role && !study.now.wires_at(t).empty()) return t;
        return TerminalId{};
    };
    std::array<TerminalId, 4> t = {find(Role::coil_plus), find(Role::coil_minus), find(Role::common), find(Role::make)};
    if (!t[at_87].exists()) t[at_87] = find(Role::rest);
    if (std::ranges::any_of(t, [](TerminalId x) { return !x.exists(); })) return std::nullopt;
    return t;
}

void run(const Study& study, Report& report) {
    const Sides sides(study);
    for (PartId id : study.now.parts()) {
        const Part& part = study.circuit.at(id);
        if (part.kind != Kind::relay || part.poisoned) continue;
        const auto terminals = wired_places(study, part);
        if (!terminals) continue;
        const Relay relay(study, sides, id);
        if (auto f = relay.judge(relay.places(*terminals))) report.findings.push_back(std::move(*f));
    }
}

} // namespace

const Rule coil_contact_exchanged = {
    "coil-contact-exchanged",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "the heavy feed on a relay's coil and the thin trigger on its contact",
    "danger where the trigger's wire or switch gets more than it stands and its fuse lets that pass, or where the "
    "contact "
    "joins an unfused feed to ground; else a fault",
    {
        "As wired, the relay does nothing useful: it is always in, can never pull in, or shorts a feed. With the wires "
        "of two "
        "or four of its terminals exchanged it would be an ordinary relay.",
        "Either the load does not run, or it runs over the thin trigger wire and the dash switch, which were never "
        "meant for "
        "it.",
        "Exchange the wires that the finding names. A coil that is switched on its ground side, a contact that carries "
        "ground, "
        "and a feed on 87 in place of 30 are all in order and are left alone.",
        "85 and 86 are the ends of the coil, 30, 87 and 87a the contact: plug-in relays after ISO 7588. What a wire "
        "can carry: "
        "33 CFR 183 Table 5, written for boats.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
switch S1 "dash switch", 5 A
fuse F1, 30 A
relay K1 "fan", 4-pin, 40 A, resistor 680 ohm
motor M1 "cooling fan", 20 A at 13 V, starts at 45 A
wire W1 from battery:+ to F1, 4 mm2 red, 0.1 m
wire W2 from F1 to K1:86, 4 mm2 red, 1 m
wire W3 from K1:87 to M1:+, 4 mm2 red, 0.5 m
wire W4 from M1:- to ground, 4 mm2 black, 0.3 m
wire W5 from S15 to S1, 1 mm2 green, 0.5 m
wire W6 from S1 to K1:30, 1 mm2 green, 1.5 m
wire W7 from K1:85 to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
switch S1 "dash switch", 5 A
fuse F1, 30 A
relay K1 "fan", 4-pin, 40 A, resistor 680 ohm
motor M1 "cooling fan", 20 A at 13 V, starts at 45 A
wire W1 from battery:+ to F1, 4 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 4 mm2 red, 1 m
wire W3 from K1:87 to M1:+, 4 mm2 red, 0.5 m
wire W4 from M1:- to ground, 4 mm2 black, 0.3 m
wire W5 from S15 to S1, 1 mm2 green, 0.5 m
wire W6 from S1 to K1:86, 1 mm2 green, 1.5 m
wire W7 from K1:85 to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
