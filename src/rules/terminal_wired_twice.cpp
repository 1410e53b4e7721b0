#include "rules/all.hpp"
#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <optional>
#include <set>

#include <fmt/core.h>

namespace loomproof::rules {

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
    Crowded(const Study& study, const Sides& sides, const Ends& ends, TerminalId t)
        : study_(study), c_(study.circuit), sides_(sides), ends_(ends), t_(t) {}

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
    bool may_join_plus_and_ground() const;
    bool avoidably_live(TerminalId) const;
    bool may_be_fed_apart(WireId) const;

    const Study& study_;
    const Circuit& c_;
    const Sides& sides_;
    const Ends& ends_;
    TerminalId t_;
};

/// A first look that costs little: is there a wire here beyond which nothing but this terminal makes the ground, and something is live?
bool Crowded::may_join_plus_and_ground() const {
    return std::ranges::any_of(study_.now.wires_at(t_), [&](WireId w) {
        std::vector<TerminalId> near{c_.at(w).other(t_)};
        std::set<TerminalId> seen{t_, near.front()};
        bool live = false;
        for (std::size_t i = 0; i < near.size(); ++i) {
            const Kind kind = c_.part_of(near[i]).kind;
            if (kind == Kind::metal || kind == Kind::battery || kind == Kind::ground) return false;
            live = live || sides_.live(near[i]);
            const auto go = [&](TerminalId to) {
                if (seen.insert(to).second) near.push_back(to);
            };
            for (WireId other : study_.now.wires_at(near[i])) go(c_.at(other).other(near[i]));
            for (PrimitiveId id : study_.now.primitives_at(near[i]))
                if (c_.at(id).element == Element::joint) go(c_.at(id).a == near[i] ? c_.at(id).b : c_.at(id).a);
        }
        return live;
    });
}

std::optional<Finding> Crowded::joins_plus_and_ground() const {
    if (!study_.reference[t_.index] || !may_join_plus_and_ground()) return std::nullopt;
    const Spread ground(
        study_.now,
        {.starts = ground_poles(study_), .over_contacts = false, .over_protectors = false, .without_terminal = t_});
    const std::vector<bool> grounded = ground.reached_set();
    const Spread live(study_.now, {.starts = live_poles(study_, false),
                                   .with_current = study_.now.ground_pole() == Role::minus,
                                   .without_terminal = t_,
                                   .not_beyond = &grounded});
    std::optional<WireId> fed, ground_wire;
    for (WireId w : study_.now.wires_at(t_)) {
        const TerminalId from = c_.at(w).other(t_);
        if (from == t_) continue;
        if (ground.reached(from))
            ground_wire = ground_wire.value_or(w);
        else if (live.reached(from))
            fed = fed.value_or(w);
    }
    if (!fed || !ground_wire) return std::nullopt;
    Finding f = start({*fed, *ground_wire});
    f.severity = Severity::danger;
    f.cites[0].label = "fed";
    f.cites[1].label = "ground";
    const TerminalId from = c_.at(*fed).other(t_);
    const std::string when = positions_in_words(c_, live.demands(live.ways_to(from).front()));
    const auto empty = empty_twins();
    const std::string left =
        empty.empty() ? "" : fmt::format(", and {} has no wire", list_of(names_of(c_, empty), "or"));
    f.headline = fmt::format("On {} a fed wire and a ground wire are joined{}: plus goes straight to ground{}.",
                             name_of(c_, t_), left, when.empty() ? "" : " with " + when);
    f.why = sides_.unprotected().reached(from)
                ? "No fuse stands before it: the wires burn."
                : fmt::format("{} opens each time; with a larger one in its place the wires burn.",
                              fuse_on(c_, live.edges(live.ways_to(from).front())));
    std::vector<TerminalId> stops = live.stops(live.ways_to(from).front());
    stops.push_back(t_);
    const auto back = ground.stops(ground.ways_to(c_.at(*ground_wire).other(t_)).front());
    stops.insert(stops.end(), back.rbegin(), back.rend());
    f.path = stops_in_words(c_, stops);
    if (!empty.empty()) {
        const bool plus_end =
            c_.at(t_).role == Role::coil_plus || c_.at(t_).role == Role::plus || c_.at(t_).role == Role::anode;
        const WireId goes = plus_end ? *ground_wire : *fed;
        f.cures.push_back(
            {fmt::format("Move {} from {} to {}.", called(c_, goes), stamp_of(c_, t_), stamp_of(c_, empty.front()))});
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
    if (empty.empty() || !ends_.due(empty.front())) return std::nullopt;
    const bool bolted = std::ranges::any_of(study_.now.primitives_at(empty.front()),
                                            [&](PrimitiveId p) { return c_.at(p).purpose == Purpose::mounting; });
    if (bolted) return std::nullopt;
    const auto& wires = study_.now.wires_at(t_);
    Finding f = start(wires);
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

/// Is there a way to `t` that does not come over this terminal?
bool Crowded::avoidably_live(TerminalId t) const {
    return std::ranges::any_of(sides_.live().ways_to(t), [&](std::uint32_t way) {
        const std::vector<TerminalId> stops = sides_.live().stops(way);
        return std::ranges::find(stops, t_) == stops.end();
    });
}

/// A first look that costs little: could this wire bring a feed of its own? Where this terminal is always live, ways that depend on
/// a switch are not kept beyond it, so the contacts on the wire's side are asked too.
bool Crowded::may_be_fed_apart(WireId w) const {
    const TerminalId from = c_.at(w).other(t_);
    if (from == t_) return false;
    if (avoidably_live(from)) return true;
    if (!sides_.live_always(t_)) return false;
    std::vector<TerminalId> near{from};
    std::set<TerminalId> seen{t_, from};
    for (std::size_t i = 0; i < near.size(); ++i) {
        const TerminalId at = near[i];
        const auto go = [&](TerminalId to) {
            if (seen.insert(to).second) near.push_back(to);
        };
        for (WireId other : study_.now.wires_at(at)) go(c_.at(other).other(at));
        for (PrimitiveId id : study_.now.primitives_at(at)) {
            const Primitive& p = c_.at(id);
            const TerminalId far = p.a == at ? p.b : p.a;
            if (p.element == Element::contact && p.part != c_.at(t_).part && avoidably_live(far)) return true;
            if (p.element == Element::joint || p.element == Element::protector) go(far);
        }
    }
    return false;
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
    if (std::ranges::count_if(wires, [&](WireId w) { return may_be_fed_apart(w); }) < 2) return std::nullopt;
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
            if (auto f = Crowded(study, sides, ends, t).judge()) report.findings.push_back(std::move(*f));
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
