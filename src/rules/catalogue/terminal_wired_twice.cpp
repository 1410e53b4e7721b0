#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <optional>
#include <set>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule terminal_wired_twice; // rule_list.hpp lists it

namespace {

/// A wire's way from a source that other things hang on too.
struct Feed {
    WireId wire;
    Demands when;
    std::string whose;     ///< "T1"
    std::string condition; ///< text of the condition, empty for switches
    bool shared = false;   ///< something else hangs on it
};

class Crowded {
  public:
    Crowded(const Study& study, const Sides& sides, const Ends& ends, const std::vector<TerminalId>& ground_poles,
            TerminalId t)
        : study_(study), c_(study.circuit), sides_(sides), ends_(ends), ground_poles_(ground_poles), t_(t) {}

    std::optional<Finding> judge() const {
        if (auto f = joins_plus_and_ground()) return f;
        if (auto f = twin_stays_empty()) return f;
        return joins_two_feeds();
    }

  private:
    Finding start(const std::vector<WireId>& wires) const {
        Finding f;
        f.rule = "terminal-wired-twice";
        f.place = where_it_lies(c_, c_.at(t_).part);
        f.subjects = {name_of(c_, t_), name_of(c_, c_.at(t_).part)};
        for (WireId w : wires) f.cites.push_back(cite_wire_end(c_, w, t_));
        return f;
    }

    /// Ends of the same part that belong to this one as the other end of one thing: the coil, the contact, a two-ended part.
    std::vector<TerminalId> twins() const {
        const Role mine = c_.at(t_).role;
        const auto pairs = [&](Role other) {
            switch (mine) {
            case Role::coil_plus: return other == Role::coil_minus;
            case Role::coil_minus: return other == Role::coil_plus;
            case Role::common: return other == Role::make || other == Role::rest;
            case Role::make:
            case Role::rest: return other == Role::common;
            case Role::end1: return other == Role::end2;
            case Role::end2: return other == Role::end1;
            case Role::plus: return other == Role::minus;
            case Role::minus: return other == Role::plus;
            case Role::anode: return other == Role::cathode;
            case Role::cathode: return other == Role::anode;
            default: return false;
            }
        };
        std::vector<TerminalId> found;
        for (TerminalId t : c_.part_of(t_).terminals)
            if (pairs(c_.at(t).role)) found.push_back(t);
        return found;
    }

    /// The terminals of `twins`, where none of them has a wire.
    std::vector<TerminalId> empty_twins() const {
        std::vector<TerminalId> t = twins();
        if (!std::ranges::all_of(t, [&](TerminalId x) { return study_.now.wires_at(x).empty(); })) t.clear();
        return t;
    }

    std::optional<Finding> joins_plus_and_ground() const;
    std::optional<Finding> twin_stays_empty() const;
    std::optional<Finding> joins_two_feeds() const;
    std::optional<Feed> feed(const Spread&, WireId) const;
    struct Near {
        bool live = false, ground = false;
    };
    Near near(WireId) const;
    bool avoidably_live(TerminalId) const;
    bool over_a_clamp(const std::vector<EdgeRef>&) const;
    struct Short {
        WireId fed, grounded;
        Demands when;
        std::vector<EdgeRef> way;
        std::vector<TerminalId> from, to; ///< stops from the source to the fed wire, and from ground to the other
    };
    std::optional<Short> find_short() const;

    const Study& study_;
    const Circuit& c_;
    const Sides& sides_;
    const Ends& ends_;
    const std::vector<TerminalId>& ground_poles_; ///< sorted
    TerminalId t_;
};

/// What a wire's own side of the circuit holds, with this terminal taken away: a walk that costs little, over wires, joints and
/// protectors. It stops at the first ground, so it never runs through the whole body.
Crowded::Near Crowded::near(WireId w) const {
    Near n;
    std::vector<TerminalId> found{c_.at(w).other(t_)};
    std::set<TerminalId> seen{t_, found.front()};
    for (std::size_t i = 0; i < found.size(); ++i) {
        const TerminalId at = found[i];
        const Kind kind = c_.part_of(at).kind;
        if (kind == Kind::metal || kind == Kind::ground || std::ranges::binary_search(ground_poles_, at)) {
            n.ground = true;
            return n;
        }
        const auto go = [&](TerminalId to) {
            if (seen.insert(to).second) found.push_back(to);
        };
        for (WireId other : study_.now.wires_at(at)) go(c_.at(other).other(at));
        for (PrimitiveId id : study_.now.primitives_at(at)) {
            const Primitive& p = c_.at(id);
            const TerminalId far = p.a == at ? p.b : p.a;
            if (p.element == Element::contact && p.part != c_.at(t_).part) {
                n.ground = n.ground || sides_.ground(far);
                n.live = n.live || avoidably_live(far);
            }
            if (p.element == Element::joint || p.element == Element::protector) go(far);
        }
        n.live = n.live || avoidably_live(at);
    }
    return n;
}

/// Is there a way to `t` that does not come over this terminal?
bool Crowded::avoidably_live(TerminalId t) const {
    return std::ranges::any_of(sides_.live().ways_to(t), [&](std::uint32_t way) {
        const std::vector<TerminalId> stops = sides_.live().stops(way);
        return std::ranges::find(stops, t_) == stops.end();
    });
}

/// Over a diode that lies across a load: where plus gets through one the diode is the wrong way round, and diode-wrong-way says so.
bool Crowded::over_a_clamp(const std::vector<EdgeRef>& way) const {
    return std::ranges::any_of(way, [&](EdgeRef e) {
        return !e.is_wire() && c_.at(e.primitive).element == Element::junction &&
               load_across(study_, c_.at(e.primitive));
    });
}

/// A wire that brings plus and one that brings ground, in one position of all switches.
std::optional<Crowded::Short> Crowded::find_short() const {
    const auto& wires = study_.now.wires_at(t_);
    std::size_t fed = 0, grounded = 0;
    for (WireId w : wires) {
        if (c_.at(w).other(t_) == t_) continue;
        const Near n = near(w);
        fed += n.live ? 1 : 0;
        grounded += n.ground ? 1 : 0;
    }
    if (fed == 0 || grounded == 0) return std::nullopt;

    const bool minus = study_.now.ground_pole() == Role::minus;
    const Spread solid(
        study_.now,
        {.starts = ground_poles_, .over_contacts = false, .over_protectors = false, .without_terminal = t_});
    const std::vector<bool> reference = solid.reached_set();
    Spread live(
        study_.now,
        {.starts = live_poles(study_, false), .with_current = minus, .without_terminal = t_, .not_beyond = &reference});
    const Spread always(study_.now, {.starts = live_poles(study_, false),
                                     .over_contacts = false,
                                     .over_diodes = false,
                                     .without_terminal = t_,
                                     .not_beyond = &reference});
    const std::vector<bool> fed_always = always.reached_set();
    Spread ground(study_.now,
                  {.starts = ground_poles_, .with_current = !minus, .without_terminal = t_, .not_into = &fed_always});
    for (WireId plus : wires) {
        for (WireId to_ground : wires) {
            const TerminalId from = c_.at(plus).other(t_), back = c_.at(to_ground).other(t_);
            if (plus == to_ground || from == t_ || back == t_ || reference[from.index] || live.reached(back)) continue;
            for (std::uint32_t up : live.ways_to(from)) {
                for (std::uint32_t down : ground.ways_to(back)) {
                    const Demands &a = live.demands(up), &b = ground.demands(down);
                    const bool own =
                        std::ranges::any_of(a, [&](const auto& d) { return c_.at(d.first).part == c_.at(t_).part; }) ||
                        std::ranges::any_of(b, [&](const auto& d) { return c_.at(d.first).part == c_.at(t_).part; });
                    if (own || !fit_together(a, b) || over_a_clamp(live.edges(up)) || over_a_clamp(ground.edges(down)))
                        continue;
                    Demands both = a;
                    for (const auto& d : b)
                        if (std::ranges::find(both, d.first, &Demands::value_type::first) == both.end())
                            both.push_back(d);
                    return Short{plus, to_ground, both, live.edges(up), live.stops(up), ground.stops(down)};
                }
            }
        }
    }
    return std::nullopt;
}

std::optional<Finding> Crowded::joins_plus_and_ground() const {
    const auto found = find_short();
    if (!found) return std::nullopt;
    Finding f = start({found->fed, found->grounded});
    f.severity = Severity::danger;
    f.cites[0].label = "fed";
    f.cites[1].label = "to ground";
    const std::string with = positions_in_words(c_, found->when);
    const auto empty = empty_twins();
    const std::string left =
        empty.empty() ? "" : fmt::format(", and {} has no wire", list_of(names_of(c_, empty), "or"));
    f.headline = fmt::format("On {} a fed wire and a wire to ground are joined{}: plus goes straight to ground{}.",
                             name_of(c_, t_), left, with.empty() ? "" : " with " + with);
    f.why = sides_.unprotected().reached(c_.at(found->fed).other(t_))
                ? "No fuse stands before it: the wires burn."
                : fmt::format("{} opens each time; with a larger one in its place the wires burn.",
                              fuse_on(c_, found->way));
    std::vector<TerminalId> stops = found->from;
    stops.push_back(t_);
    stops.insert(stops.end(), found->to.rbegin(), found->to.rend());
    f.path = stops_in_words(c_, stops);
    if (!empty.empty()) {
        // Coils, loads and diodes have a side for plus; the wire that does not belong on this side moves.
        const Role role = c_.at(t_).role;
        const bool plus_side = role == Role::coil_plus || role == Role::plus || role == Role::anode;
        const WireId goes = plus_side ? found->grounded : found->fed;
        f.cures.push_back(
            {fmt::format("Move {} off {}, onto {}.", called(c_, goes), stamp_of(c_, t_), stamp_of(c_, empty.front()))});
        f.edits.push_back({cite_wire_end(c_, goes, t_).span, name_of(c_, empty.front()), TextEdit::Grade::your_choice});
        f.subjects.push_back(name_of(c_, empty.front()));
    } else {
        f.cures.push_back(
            {fmt::format("Take one of the two off {}: find out which of them belongs elsewhere.", name_of(c_, t_))});
    }
    return f;
}

std::optional<Finding> Crowded::twin_stays_empty() const {
    const auto empty = empty_twins();
    if (empty.empty() || !ends_.due(empty.front()) || ends_.doubtful()) return std::nullopt;
    const bool bolted = std::ranges::any_of(study_.now.primitives_at(empty.front()),
                                            [&](PrimitiveId p) { return c_.at(p).purpose == Purpose::mounting; });
    if (bolted) return std::nullopt;
    const auto& wires = study_.now.wires_at(t_);
    Finding f = start({wires.begin(), wires.end()});
    f.severity = Severity::fault;
    const std::string other = list_of(names_of(c_, empty), "or");
    f.headline = fmt::format("{} wires are on {} and none on {}: {} is left out of the circuit.",
                             wires.size() == 2 ? "Two" : figure(static_cast<double>(wires.size())), name_of(c_, t_),
                             other, called(c_, c_.at(t_).part));
    f.why = fmt::format("What comes on one wire goes on over the other, past {}.", name_of(c_, c_.at(t_).part));
    std::vector<std::string> names;
    for (WireId w : wires) names.push_back(called(c_, w));
    f.cures.push_back({fmt::format("Move one of them to {}: {}.", other, list_of(names, "or"))});
    f.edits.push_back(
        {cite_wire_end(c_, wires.back(), t_).span, name_of(c_, empty.front()), TextEdit::Grade::your_choice});
    for (TerminalId t : empty) f.subjects.push_back(name_of(c_, t));
    return f;
}

/// What feeds a wire, with this terminal taken away; nothing where a diode stands between or it comes from this part's own contact.
std::optional<Feed> Crowded::feed(const Spread& live, WireId w) const {
    const TerminalId from = c_.at(w).other(t_);
    if (from == t_ || !live.reached(from) || study_.reference[from.index]) return std::nullopt;
    const std::uint32_t way = live.ways_to(from).front();
    Feed f;
    f.wire = w;
    f.when = live.demands(way);
    for (EdgeRef e : live.edges(way)) {
        if (e.is_wire()) continue;
        const Primitive& p = c_.at(e.primitive);
        if (p.element == Element::junction || p.part == c_.at(t_).part) return std::nullopt;
        if (p.element == Element::contact) f.whose = name_of(c_, p.part);
    }
    if (f.when.empty()) f.whose = name_of(c_, live.start(way));
    for (const auto& d : f.when)
        if (c_.at(d.first).type == Control::Type::condition) f.condition += c_.at(d.first).name + "\n";
    // What else hangs between here and the last contact: a wire that was found has its own load beyond.
    const Spread near(study_.now, {.starts = {from}, .over_contacts = false, .without_terminal = t_});
    for (std::size_t i = 0; i < c_.terminals.size() && !f.shared; ++i) {
        const TerminalId t{i};
        if (!near.reached(t)) continue;
        const Kind kind = c_.part_of(t).kind;
        if ((kind == Kind::existing_wire || kind == Kind::supply) && !f.condition.empty()) f.shared = true;
        for (PrimitiveId p : study_.now.primitives_at(t)) f.shared = f.shared || is_load(c_.at(p));
    }
    return f;
}

std::optional<Finding> Crowded::joins_two_feeds() const {
    const auto& wires = study_.now.wires_at(t_);
    if (!sides_.live(t_) || study_.reference[t_.index]) return std::nullopt;
    if (std::ranges::all_of(wires, [&](WireId w) { return study_.now.is_factory(w); })) return std::nullopt;
    if (std::ranges::count_if(wires, [&](WireId w) { return c_.at(w).other(t_) != t_ && near(w).live; }) < 2)
        return std::nullopt;
    const Spread live(study_.now, {.starts = live_poles(study_, false),
                                   .with_current = study_.now.ground_pole() == Role::minus,
                                   .without_terminal = t_,
                                   .not_beyond = &study_.reference});
    std::vector<Feed> feeds;
    for (WireId w : wires)
        if (auto f = feed(live, w)) feeds.push_back(std::move(*f));
    for (std::size_t i = 0; i < feeds.size(); ++i) {
        for (std::size_t j = i + 1; j < feeds.size(); ++j) {
            const Feed &a = feeds[i], &b = feeds[j];
            const bool same = a.when == b.when || (!a.condition.empty() && a.condition == b.condition);
            if (same || !(a.shared || b.shared)) continue;
            Finding f = start({a.wire, b.wire});
            f.severity = Severity::fault;
            const auto live_with = [&](const Feed& x) {
                const std::string with = positions_in_words(c_, x.when);
                return with.empty() ? std::string("always") : "with " + with;
            };
            f.headline = fmt::format("Two feeds meet on {}: one live {}, the other {}.", name_of(c_, t_), live_with(a),
                                     live_with(b));
            f.why = fmt::format(
                "Whichever of them is live also feeds what hangs on the other: {} and {} are no longer apart.", a.whose,
                b.whose);
            f.cures.push_back({"Take one of them off, if they came together by mistake."});
            f.cures.push_back(
                {fmt::format("If either is meant to work it, put a diode into each of the two wires, band towards {}.",
                             name_of(c_, t_))});
            f.subjects.push_back(a.whose);
            f.subjects.push_back(b.whose);
            return f;
        }
    }
    return std::nullopt;
}

void run(const Study& study, Report& report) {
    const Circuit& c = study.circuit;
    const Sides sides(study);
    const Ends ends(study);
    std::vector<TerminalId> poles = ground_poles(study);
    std::ranges::sort(poles);
    for (PartId id : study.now.parts()) {
        const Part& part = c.at(id);
        if (part.poisoned) continue;
        for (TerminalId t : part.terminals) {
            const Terminal& terminal = c.at(t);
            // Screws, studs, splices and grounds take several; plug holes are another rule's.
            if (terminal.internal || terminal.wires_allowed > 1 || terminal.role == Role::hole ||
                terminal.role == Role::joint)
                continue;
            if (study.now.wires_at(t).size() < 2) continue;
            if (auto f = Crowded(study, sides, ends, poles, t).judge()) report.findings.push_back(std::move(*f));
        }
    }
}

} // namespace

const Rule terminal_wired_twice = {
    "terminal-wired-twice",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "two wires on one terminal that do not belong together",
    "danger where they join plus and ground; else a fault: the other end of the same thing stays empty, or two feeds "
    "meet",
    {
        "A terminal made for one wire has two, and they join plus to ground, leave the other end of the coil, contact "
        "or fuse "
        "empty, or tie two feeds together that other things hang on.",
        "Plus on ground blows the fuse or burns the wire. A fuse with both wires on one end protects nothing. Two "
        "feeds tied "
        "together each work what hangs on the other.",
        "Move one of the wires to the terminal it was meant for. Two wires under a screw, on a stud, in a splice, or "
        "crimped "
        "together to go on to the next relay are in order and are left alone.",
        "None: what counts is where the wires come from.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
fuse F1, 15 A
relay K1 "horns", 4-pin, 40 A, resistor 680 ohm
horn H1, 7 A
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 1.5 mm2 red, 1 m
wire W3 from K1:87 to H1, 1.5 mm2 red, 0.5 m
wire W4 from H1 to ground, 1.5 mm2 black, 0.3 m
wire W5 from S15 to K1:85, 1 mm2 green, 0.5 m
wire W6 from K1:85 to ground, 1 mm2 black, 0.3 m
still to wire: K1:86
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
fuse F1, 15 A
relay K1 "horns", 4-pin, 40 A, resistor 680 ohm
horn H1, 7 A
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 1.5 mm2 red, 1 m
wire W3 from K1:87 to H1, 1.5 mm2 red, 0.5 m
wire W4 from H1 to ground, 1.5 mm2 black, 0.3 m
wire W5 from S15 to K1:86, 1 mm2 green, 0.5 m
wire W6 from K1:85 to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
