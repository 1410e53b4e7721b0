#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <optional>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule diode_wrong_way; // rule_list.hpp lists it

namespace {

/// Ways of plus to the plain end and from the band to ground, for which the switches can stand so at once.
struct Conducting {
    const Spread *from, *to;
    std::uint32_t plus, minus;
    Demands when;
    TerminalId charges{}; ///< the lamp terminal of the alternator that makes it live, where nothing else does
};

std::optional<Conducting> conducts(const Spread& plus, const Spread& minus, TerminalId plain, TerminalId band) {
    for (std::uint32_t from : plus.ways_to(plain)) {
        for (std::uint32_t to : minus.ways_to(band)) {
            Demands both = plus.demands(from);
            if (!fit_together(both, minus.demands(to))) continue;
            for (const auto& d : minus.demands(to))
                if (std::ranges::find(both, d.first, &Demands::value_type::first) == both.end()) both.push_back(d);
            return Conducting{&plus, &minus, from, to, both};
        }
    }
    return std::nullopt;
}

/// The lamp terminals of alternators (L, D+, 61): while the engine runs they put out what the battery's live pole has (common practice,
/// no source; DIN 72552 calls D+ the dynamo's plus).
std::vector<TerminalId> charging_terminals(const Study& study) {
    std::vector<TerminalId> all;
    for (PrimitiveId id : study.now.primitives())
        if (const Primitive& p = study.circuit.at(id);
            p.purpose == Purpose::charge_lamp_terminal && !study.circuit.at(p.part).poisoned)
            all.push_back(p.a);
    return all;
}

class Diode {
  public:
    Diode(const Study& study, const Sides& sides, const Primitive& p, Conducting how)
        : study_(study), c_(study.circuit), sides_(sides), p_(p), how_(std::move(how)) {}

    Finding finding() const {
        Finding f;
        f.rule = "diode-wrong-way";
        f.place = where_it_lies(c_, p_.part);
        p_.purpose == Purpose::suppressor ? say_inside_relay(f) : say_by_itself(f);
        f.limit = "The band marks the end that must be positive; current gets through towards the band.";
        weigh(f);
        return f;
    }

  private:
    void say_inside_relay(Finding& f) const {
        const std::string name = name_of(c_, p_.part), plain = stamp_of(c_, p_.a), band = stamp_of(c_, p_.b);
        f.headline = fmt::format("The diode inside {} is the wrong way round for its wires: its band is on {}, so plus "
                                 "belongs on {}, but plus is on {}.",
                                 called(c_, p_.part), band, band, plain);
        f.subjects = {name, name_of(c_, p_.a), name_of(c_, p_.b)};
        const Attribute* band_on = study_.now.find(p_.part, Attr::band_on);
        f.cites.push_back(band_on && band_on->span.exists() ? Citation{band_on->span, {}} : cite_part(c_, p_.part));
        f.cites.push_back(cite_terminal(study_.now, p_.a, "plus comes here"));
        f.cites.push_back(cite_terminal(study_.now, p_.b, "the band looks this way"));
        std::vector<std::string> there, back;
        for (WireId w : study_.now.wires_at(p_.a)) {
            there.push_back(called(c_, w));
            f.edits.push_back({cite_wire_end(c_, w, p_.a).span, name_of(c_, p_.b), TextEdit::Grade::your_choice});
        }
        for (WireId w : study_.now.wires_at(p_.b)) {
            back.push_back(called(c_, w));
            f.edits.push_back({cite_wire_end(c_, w, p_.b).span, name_of(c_, p_.a), TextEdit::Grade::your_choice});
        }
        f.cures.push_back({fmt::format("Exchange the wires: {} {} to {}, {} to {}.", list_of(there),
                                       verb(there.size(), "goes", "go"), band, list_of(back), plain)});
        f.cures.push_back({"Fit a relay with a resistor in place of the diode: it may be fed either way round."});
        f.cures.push_back({"Fit a bare relay: it may be fed either way round, but what switches it then takes the kick "
                           "of the coil each time."});
    }

    void say_by_itself(Finding& f) const {
        const std::string name = name_of(c_, p_.part);
        const auto load = load_across(study_, p_);
        f.subjects = {name};
        if (load) {
            f.headline = fmt::format("{} across {} is the wrong way round: it conducts whenever {} is fed.",
                                     sentence_start(called(c_, p_.part)), called(c_, *load), name_of(c_, *load));
            f.subjects.push_back(name_of(c_, *load));
        } else {
            f.headline =
                fmt::format("{} joins plus to ground: its band looks to ground, and it conducts whenever {} is fed.",
                            sentence_start(called(c_, p_.part)), name_of(c_, p_.a));
        }
        f.cites.push_back(cite_part(c_, p_.part, "the band"));
        f.cites.push_back(cite_terminal(study_.now, p_.a, "plus comes here"));
        f.cures.push_back(
            {fmt::format("Turn {} round: the band belongs where plus comes, and its plain end on the side of {}.", name,
                         other_side())});
        if (const Attribute* band = study_.now.find(p_.part, Attr::band_on); band && band->span.exists())
            f.edits.push_back({band->span, "band on " + stamp_of(c_, p_.a), TextEdit::Grade::your_choice});
    }

    std::string other_side() const { return c_.vehicle.positive_ground ? "minus" : "ground"; }

    /// What stops the current decides whether it burns.
    void weigh(Finding& f) const {
        if (how_.charges.exists()) return weigh_charging(f);
        const TerminalId live_end = c_.vehicle.positive_ground ? p_.b : p_.a;
        const std::string when = positions_in_words(c_, how_.when);
        const std::string always = when.empty() ? "All the time" : "With " + when;
        f.why = fmt::format("{} it joins plus straight to {}, past what it should protect. ", always, other_side());
        say_path(f);
        switch (guard_before(study_, sides_, live_end)) {
        case Guard::known:
            f.severity = Severity::fault;
            f.why += fuse_on(c_, sides_.live().edges(sides_.live().ways_to(live_end).front())) +
                     " opens, and nothing works there.";
            break;
        case Guard::none:
            f.severity = Severity::danger;
            f.why += "No fuse stands before it: the diode bursts or the wires burn.";
            break;
        case Guard::unknown:
            f.severity = Severity::danger;
            f.certainty = Certainty::undecided;
            f.why += "Nobody said which fuse stands before it.";
            f.measure = fmt::format("Find what feeds {}: if pulling a fuse makes it dead, that fuse opens and nothing "
                                    "burns; if no fuse does, the wires burn.",
                                    name_of(c_, live_end));
            break;
        }
    }

    /// An alternator gives a few amps at its lamp terminal: no wire burns of that, but what makes them inside it may.
    void weigh_charging(Finding& f) const {
        const std::string lamp = name_of(c_, how_.charges), machine = name_of(c_, c_.at(how_.charges).part);
        f.severity = Severity::fault;
        f.why = fmt::format("It joins {} straight to {}. Key on, engine standing: what the charge lamp lets through is "
                            "lost over it, the lamp lights and {} does not wake. Engine running: {} puts out plus, and "
                            "the diode, or the small diodes or the regulator that feed {} inside {}, burn out.",
                            lamp, other_side(), machine, lamp, lamp, machine);
        f.subjects.push_back(lamp);
        f.subjects.push_back(machine);
        say_path(f);
    }

    void say_path(Finding& f) const {
        std::vector<TerminalId> stops = how_.from->stops(how_.plus), back = how_.to->stops(how_.minus);
        stops.insert(stops.end(), back.rbegin(), back.rend());
        f.path = stops_in_words(c_, stops);
        // The way ends where ground begins, which may be the terminal itself.
        if (study_.reference[stops.back().index] && c_.part_of(stops.back()).kind != Kind::metal)
            f.path.push_back("ground");
        if (study_.reference[stops.front().index] && c_.part_of(stops.front()).kind != Kind::metal)
            f.path.insert(f.path.begin(), "ground");
    }

    const Study& study_;
    const Circuit& c_;
    const Sides& sides_;
    const Primitive& p_;
    Conducting how_;
};

/// A relay that has a diode but does not say where its band is.
void ask_for_band(const Study& study, const Sides& sides, const Spread& charging, PartId id, Report& report) {
    const View& now = study.now;
    const Circuit& c = study.circuit;
    if (now.word(id, Attr::suppression) != "diode" || now.has(id, Attr::band_on)) return;
    const TerminalId first = c.at(id).terminals.front();
    for (PrimitiveId pid : now.primitives_at(first)) {
        const Primitive& coil = c.at(pid);
        if (coil.purpose != Purpose::coil) continue;
        for (const auto& [fed, other] : {std::pair{coil.a, coil.b}, std::pair{coil.b, coil.a}}) {
            const bool charged = !c.vehicle.positive_ground && charging.reached(fed);
            if ((!sides.plus().reached(fed) && !charged) || sides.minus().reached(fed) ||
                !sides.minus().reached(other) || sides.plus().reached(other))
                continue;
            report.not_checked.push_back(
                {"diode-wrong-way", fmt::format("the diode inside {}", name_of(c, id)),
                 "nobody said at which end its band is",
                 fmt::format(
                     "Look at the picture on the relay: the band, a short bar, must be on {}, where plus comes. "
                     "If it is, type: diode, band on {}",
                     stamp_of(c, fed), stamp_of(c, fed))});
        }
    }
}

void run(const Study& study, Report& report) {
    const Circuit& c = study.circuit;
    const Sides sides(study);
    const std::vector<bool>& reference = study.reference;
    const bool positive_ground = c.vehicle.positive_ground;
    const std::vector<TerminalId> lamps = charging_terminals(study);
    const Spread charging(study.now, {.starts = lamps, .with_current = !positive_ground, .not_into = &study.reference});
    for (PartId id : study.now.parts())
        if (c.at(id).kind == Kind::relay && !c.at(id).poisoned) ask_for_band(study, sides, charging, id, report);
    for (PrimitiveId id : study.now.primitives()) {
        const Primitive& p = c.at(id);
        if (p.element != Element::junction || c.at(p.part).poisoned || (reference[p.a.index] && reference[p.b.index]))
            continue;
        auto how = conducts(sides.plus(), sides.minus(), p.a, p.b);
        if (!how) {
            how = positive_ground ? conducts(sides.plus(), charging, p.a, p.b)
                                  : conducts(charging, sides.minus(), p.a, p.b);
            if (how) how->charges = positive_ground ? charging.start(how->minus) : charging.start(how->plus);
        }
        if (how) report.findings.push_back(Diode(study, sides, p, std::move(*how)).finding());
    }
}

} // namespace

const Rule diode_wrong_way = {
    "diode-wrong-way",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a diode that joins a feed to ground when it should only take up the kick of a coil",
    "danger where no fuse stands before it (undecided where nobody said), else a fault",
    {
        "Plus comes to the plain end of the diode while its band is on ground, so it conducts: inside a relay, across "
        "a load, "
        "or anywhere between the two.",
        "The feed is shorted each time it comes on. The fuse blows, or, without one, the diode bursts and the wires "
        "burn. So the fuse alone decides between fault and danger: whether the switch lies in the feed or between the "
        "coil and ground, the current and the way are the same.",
        "Put plus on the end with the band; the lamp terminal of an alternator (L, D+, 61) counts as plus, as it is "
        "while the engine runs. Relays without a suppressor or with a resistor may be fed either way "
        "round, and are "
        "left alone.",
        "The band marks the cathode; current gets through from the plain end to the band. Both kinds of relay are "
        "sold: with "
        "the band on 86 and on 85.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
fuse F1, 15 A
relay K1 "horns", 4-pin, 40 A, diode, band on 86
horn H1, 7 A
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 1.5 mm2 red, 1 m
wire W3 from K1:87 to H1, 1.5 mm2 red, 0.5 m
wire W4 from H1 to ground, 1.5 mm2 black, 0.3 m
wire W5 from S15 to K1:85, 1 mm2 green, 0.5 m
wire W6 from K1:86 to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
fuse F1, 15 A
relay K1 "horns", 4-pin, 40 A, diode, band on 86
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
