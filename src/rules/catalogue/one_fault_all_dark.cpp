#include "base/number.hpp"
#include "base/words.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "solve/expectations.hpp"
#include "solve/settle.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule one_fault_all_dark; // rule_list.hpp lists it

namespace {

/// Situations that relays may pass until they rest, once something failed.
constexpr std::size_t most_situations = 64;
/// Positions in which a part is opened, at most.
constexpr std::size_t most_positions = 6;
/// What carries less than this has no part in it.
constexpr double worth_opening = 0.02; // A

std::vector<std::string> words_of(std::string_view text) {
    std::vector<std::string> words(1);
    for (const char ch : text) {
        const auto u = static_cast<unsigned char>(ch);
        if (std::isalpha(u) != 0)
            words.back() += static_cast<char>(std::tolower(u));
        else if (!words.back().empty())
            words.emplace_back();
    }
    return words;
}

bool has_one(const std::vector<std::string>& words, std::initializer_list<std::string_view> wanted) {
    return std::ranges::any_of(wanted, [&](std::string_view w) { return std::ranges::find(words, w) != words.end(); });
}

/// What lies on a trailer, or leads there.
bool is_of_a_trailer(const Part& part) {
    std::vector<std::string> words = words_of(part.label);
    for (std::string& w : words_of(part.name)) words.push_back(std::move(w));
    return has_one(words, {"trailer", "caravan", "towing"});
}

/// What one fault should not take away altogether. Which lamps these are can only be told by words; where they say nothing, nothing is said.
enum class Duty { dip, main, stop, wiper };

/// By the number of DIN 72552 that a filament's end bears.
std::optional<Duty> duty_stamped(std::string_view stamp) {
    if (stamp == "56b") return Duty::dip;
    if (stamp == "56a") return Duty::main;
    return stamp == "54" ? std::optional(Duty::stop) : std::nullopt;
}

bool is_a_word_in(std::string_view text, std::string_view word) {
    for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
        const auto letter = [&](std::size_t i) {
            return i < text.size() && std::isalnum(static_cast<unsigned char>(text[i])) != 0;
        };
        if ((at == 0 || !letter(at - 1)) && !letter(at + word.size())) return true;
    }
    return false;
}

std::optional<Duty> duty_of(const Circuit& c, const Primitive& p) {
    const Part& part = c.at(p.part);
    std::vector<std::string> words = words_of(part.label);
    for (std::string& w : words_of(part.name)) words.push_back(std::move(w));
    if (is_of_a_trailer(part) || has_one(words, {"tell", "telltale", "warning"}))
        return std::nullopt; // one plug for a trailer is how it must be; tell-tales light no road
    if (part.kind == Kind::motor)
        return has_one(words, {"wiper", "wipers"}) && !has_one(words, {"pump", "washer", "rear"})
                   ? std::optional(Duty::wiper)
                   : std::nullopt;
    if (part.kind != Kind::lamp && part.kind != Kind::led) return std::nullopt;
    std::string filament;
    for (TerminalId t : {p.a, p.b})
        if (c.at(t).role == Role::filament) filament = c.at(t).stamp;
    // Of several filaments the name of this one decides; some bear the numbers of DIN 72552.
    if (const auto stamped = duty_stamped(filament)) return stamped;
    if (filament.empty()) // "56b left": the number of what feeds it, as its name or in its label
        for (const std::string& text : {part.name, part.label})
            for (const std::string_view stamp : {"56b", "56a"})
                if (is_a_word_in(text, stamp)) return duty_stamped(stamp);
    if (!filament.empty())
        words = words_of(filament);
    else if (has_one(words, {"indicator", "indicators"}))
        return std::nullopt;
    if (has_one(words, {"stop", "stops", "brake", "brakes", "stoplamp", "stoplamps", "stoplight", "stoplights",
                        "brakelamp", "brakelamps", "brakelight", "brakelights"}) &&
        !has_one(words, {"fluid", "hand", "parking", "pad", "engine", "handbrake"}))
        return Duty::stop; // before "high": a high-level stop lamp
    if (has_one(words, {"dip", "dipped", "low", "dipbeam", "lowbeam"}) ||
        (!filament.empty() && has_one(words, {"lo", "dim", "passing", "meeting"})))
        return Duty::dip;
    if (has_one(words, {"main", "high", "mainbeam", "highbeam"}) ||
        (!filament.empty() && has_one(words, {"hi", "full", "bright", "driving"})))
        return Duty::main;
    // One filament, and nothing said of main beam: it has to light the road by itself.
    if (filament.empty() && has_one(words, {"headlamp", "headlamps", "headlight", "headlights"}) &&
        !has_one(words, {"driving", "spot", "fog", "work", "auxiliary"}))
        return Duty::dip;
    return std::nullopt;
}

struct Told {
    const char *all, *so, *source;
};
Told told(Duty duty) {
    switch (duty) {
    case Duty::dip:
        return {"All dipped beams", "From one moment to the next there is no light on the road.",
                "headlamps must not all hang on one device (a truck maintenance council's practice RP 111C)"};
    case Duty::stop:
        return {"All stop lamps", "Nobody who follows sees that you brake, and nothing in the cabin tells you.",
                "lighting must not all hang on one device (a truck maintenance council's practice RP 111C)"};
    case Duty::main:
    case Duty::wiper: break;
    }
    return {"All wipers", "In heavy rain there is nothing to be seen from one moment to the next.",
            "common practice, no source"};
}

/// What may fail: a part, or a splice with the one wire by which it goes to ground.
struct Device {
    PartId part;
    WireId wire;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report) {}

    void run() {
        for (Duty duty : {Duty::dip, Duty::stop, Duty::wiper}) {
            std::vector<std::size_t> group; // indices into Survey::loads
            std::vector<PartId> parts;
            for (std::size_t i = 0; i < survey_.loads.size(); ++i) {
                const Primitive& p = c_.at(survey_.loads[i].load);
                if (c_.at(p.part).poisoned || duty_of(c_, p) != duty) continue;
                group.push_back(i);
                if (std::ranges::find(parts, p.part) == parts.end()) parts.push_back(p.part);
            }
            if (parts.size() < 2) continue;
            if (lit(group).empty()) keep_most_lit(group, parts);
            if (parts.size() >= 2) look_at(duty, group, parts);
        }
    }

  private:
    /// Positions with all of the group on, those with most else on first: what else goes out tells a main fuse from one of this function alone.
    std::vector<solve::StateId> lit(const std::vector<std::size_t>& group) const {
        std::vector<solve::StateId> states;
        for (solve::StateId at = 0; at < survey_.behaviour.states.size(); ++at) {
            const std::vector<bool>& on = survey_.on[at];
            if (survey_.behaviour.states[at].stable && !survey_.shorted[at] && !on.empty() &&
                std::ranges::all_of(group, [&](std::size_t i) { return on[i]; }))
                states.push_back(at);
        }
        std::ranges::stable_sort(states, std::greater{},
                                 [&](solve::StateId at) { return std::ranges::count(survey_.on[at], true); });
        if (states.size() > most_positions) states.resize(most_positions);
        return states;
    }

    /// Where they are never all on at once, as one has no wire yet or another switch has other ones: those of the position with most of them.
    void keep_most_lit(std::vector<std::size_t>& group, std::vector<PartId>& parts) const {
        std::vector<std::size_t> most;
        for (solve::StateId at = 0; at < survey_.behaviour.states.size(); ++at) {
            if (!survey_.behaviour.states[at].stable || survey_.shorted[at] || survey_.on[at].empty()) continue;
            std::vector<std::size_t> here;
            for (std::size_t i : group)
                if (survey_.on[at][i]) here.push_back(i);
            if (here.size() > most.size()) most = std::move(here);
        }
        group = std::move(most);
        parts.clear();
        for (std::size_t i : group)
            if (const PartId part = c_.at(survey_.loads[i].load).part; std::ranges::find(parts, part) == parts.end())
                parts.push_back(part);
    }

    bool can_fail(PartId id) const {
        switch (c_.at(id).kind) {
        case Kind::fuse:
        case Kind::link:
        case Kind::relay:
        case Kind::ground: return !c_.at(id).poisoned;
        case Kind::connector: return !c_.at(id).poisoned && !is_of_a_trailer(c_.at(id)); // a trailer has one plug
        case Kind::breaker:
            // One that closes again by itself is no fault for good; one that somebody has to reset is.
            return !c_.at(id).poisoned && s_.now.word(id, Attr::self_reset) != "on";
        default: return false;
        }
    }

    void look_at(Duty duty, const std::vector<std::size_t>& group, const std::vector<PartId>& lamps) {
        const std::vector<solve::StateId> states = lit(group);
        if (states.empty()) return;
        const solve::Point& point = survey_.behaviour.point(states.front());
        std::vector<Device> alone;
        for (const Device& device : devices(point)) {
            const PartId part = device.part;
            if (c_.has_factory && c_.at(part).origin.provenance != Provenance::job &&
                std::ranges::all_of(lamps, [&](PartId lamp) { return s_.now.is_factory(lamp); }))
                continue; // the maker's own
            Opened opened(survey_, c_, device);
            if (std::ranges::all_of(states, [&](solve::StateId at) { return takes_all(opened, at, group); }) &&
                !(duty == Duty::dip && main_beam_is_left(opened)))
                alone.push_back(device);
        }
        if (!alone.empty()) say(duty, lamps, alone, states.back());
    }

    std::vector<Device> devices(const solve::Point& point) const {
        std::vector<Device> all;
        for (PartId part : s_.now.parts()) {
            if (can_fail(part) && carries(part, point)) all.push_back({part, {}});
            if (c_.at(part).kind != Kind::splice || c_.at(part).poisoned) continue;
            if (const WireId wire = only_way_to_ground(part); wire.exists())
                if (const auto& amps = point.wire_amps[wire.index]; amps && std::abs(amps->si) > worth_opening)
                    all.push_back({part, wire});
        }
        return all;
    }

    /// The wire that alone goes on from a ground splice, where it gets to metal or to the battery's pole.
    WireId only_way_to_ground(PartId splice) const {
        WireId found;
        for (TerminalId t : c_.at(splice).terminals)
            for (WireId w : s_.now.wires_at(t)) {
                const Kind there = c_.part_of(c_.at(w).other(t)).kind;
                if (there != Kind::metal && there != Kind::ground && there != Kind::battery) continue;
                if (found.exists() || !s_.reference[t.index]) return {};
                found = w;
            }
        return found;
    }

    bool carries(PartId part, const solve::Point& point) const {
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
            const auto& amps = point.primitive_amps[id.index];
            return c_.at(id).part == part && amps && std::abs(amps->si) > worth_opening;
        });
    }

    /// The circuit with one part open. What it refers to must stay, and it must not move.
    class Opened {
      public:
        Opened(const Survey& survey, const Circuit& c, const Device& device)
            : survey_(survey),
              part_(device.part),
              without_(taken_out(c, device)),
              view_(View::now(without_)),
              model_(view_, survey.behaviour.conditions) {}
        Opened(const Opened&) = delete;
        Opened& operator=(const Opened&) = delete;

        /// Which loads are on then: in every way in which relays may come to rest. Nothing where that cannot be told.
        std::optional<std::vector<bool>> on(solve::StateId at) {
            solve::Positions positions = survey_.behaviour.states[at].positions;
            for (ControlId control : without_.at(part_).controls) positions[control.index] = without_.at(control).rest;
            solve::Situations situations(model_, {}, most_situations);
            const auto start = situations.find(positions);
            if (!start) return std::nullopt;
            const solve::Settled settled = situations.settle(*start);
            if (settled.ends.empty() || settled.cut_short) return std::nullopt;
            std::vector<bool> on(survey_.loads.size(), false);
            for (solve::SituationId end : settled.ends) {
                const solve::Point point = model_.point(situations.at(end).positions, situations.at(end).nodes);
                if (!point.settled) return std::nullopt;
                for (std::size_t i = 0; i < on.size(); ++i) {
                    const PrimitiveId id = survey_.loads[i].load;
                    const auto& volts = point.primitive_volts[id.index];
                    const auto& amps = point.primitive_amps[id.index];
                    on[i] = on[i] || (volts && amps && solve::doing(without_, id, *volts, *amps) != solve::Doing::off);
                }
            }
            return on;
        }

      private:
        static Circuit taken_out(const Circuit& c, const Device& device) {
            Circuit without = c;
            if (device.wire.exists()) {
                Life& life = without.wires[device.wire.index].life;
                life.gone = std::min(life.gone, c.last_revision());
                return without;
            }
            for (Primitive& p : without.primitives)
                if (p.part == device.part) p.life.gone = std::min(p.life.gone, c.last_revision());
            return without;
        }

        const Survey& survey_;
        PartId part_;
        Circuit without_;
        View view_;
        solve::Model model_;
    };

    /// With the part open: is all of the group out, and nothing but lamps besides?
    bool takes_all(Opened& opened, solve::StateId at, const std::vector<std::size_t>& group) const {
        const auto on = opened.on(at);
        if (!on || std::ranges::any_of(group, [&](std::size_t i) { return (*on)[i]; })) return false;
        for (std::size_t i = 0; i < survey_.loads.size(); ++i) {
            const Kind kind = c_.at(c_.at(survey_.loads[i].load).part).kind;
            if (survey_.on[at][i] && !(*on)[i] && kind != Kind::lamp && kind != Kind::led &&
                std::ranges::find(group, i) == group.end())
                return false; // a main fuse, a battery's ground: every vehicle has one
        }
        return true;
    }

    /// Main beam that is left lights the way home: then it is not dark.
    bool main_beam_is_left(Opened& opened) const {
        for (std::size_t i = 0; i < survey_.loads.size(); ++i) {
            if (duty_of(c_, c_.at(survey_.loads[i].load)) != Duty::main) continue;
            for (solve::StateId at : lit({i}))
                if (const auto on = opened.on(at); !on || (*on)[i]) return true;
        }
        return false;
    }

    void say(Duty duty, const std::vector<PartId>& lamps, const std::vector<Device>& alone, solve::StateId at) {
        const Told words = told(duty);
        std::vector<std::string> names;
        std::vector<PartId> parts;
        for (const Device& d : alone) {
            parts.push_back(d.part);
            names.push_back(d.wire.exists() ? fmt::format("{} with its one wire to ground", name_of(c_, d.part))
                                            : name_of(c_, d.part));
        }
        Finding f;
        f.rule = one_fault_all_dark.id;
        f.severity = Severity::advice;
        const bool one = alone.size() == 1;
        f.headline =
            fmt::format("{}, {}, hang on {}: if {} fails, they are all out.", words.all, list_of(names_of(c_, lamps)),
                        !one                          ? "each of " + list_of(names)
                        : alone.front().wire.exists() ? called(c_, parts.front()) + " and its one wire to ground"
                                                      : called(c_, parts.front()) + " alone",
                        !one                          ? "any one of these"
                        : alone.front().wire.exists() ? "either"
                                                      : "it");
        f.place = where_it_lies(c_, parts.front());
        for (const Device& d : alone) {
            f.cites.push_back(cite_part(c_, d.part, "all of them hang on it"));
            if (d.wire.exists()) f.cites.push_back({c_.at(d.wire).span, "its one wire to ground"});
        }
        f.why =
            fmt::format("{} Found {}, with one part after the other open.", words.so, when(s_, survey_.behaviour, at));
        f.limit = words.source;
        f.cures.push_back(
            {"Left and right apart: two fuses, two relays, two grounds; what is left then lights the way home."});
        f.cures.push_back(
            {fmt::format("If that is how it has to be, carry a spare: accept one-fault-all-dark on {} because "
                         "\"...\"",
                         name_of(c_, parts.front()))});
        f.subjects = names_of(c_, parts);
        for (PartId p : lamps) f.subjects.push_back(name_of(c_, p));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
};

void run(const Study& s, Report& report) {
    std::size_t some = 0;
    for (PrimitiveId id : s.now.primitives()) some += duty_of(s.circuit, s.circuit.at(id)) ? 1 : 0;
    if (some < 2) return;
    if (const Survey* survey = survey_or_say(s, report, one_fault_all_dark.id,
                                             "whether one fault takes all dipped beams, stop lamps or wipers"))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule one_fault_all_dark = {
    "one-fault-all-dark",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "all headlamps, all stop lamps or all wipers on one fuse, relay, ground or plug",
    "always advice",
    {
        "With this one fuse, relay, ground point or plug open, or a ground splice with one wire behind it, all lamps "
        "of one kind "
        "are out at once.",
        "A fuse fails, a relay sticks, a bolt rusts: with left and right on one of them there is no light at all where "
        "there "
        "could be half.",
        "Fuse left and right apart, and where relays switch them, one for each side; two ground points.",
        "A truck maintenance council's practice RP 111C: lighting must not hang on one device. Which lamps are meant "
        "is told "
        "by words alone: a filament called dip, low, lo, dim, stop or brake; else \"dip\", \"low\", \"stop\", "
        "\"brake\" in the "
        "lamp's "
        "text. Main beam that still goes counts as light. Trailers, tell-tales and what the maker built and no job "
        "touched are left alone, and so is what takes "
        "more "
        "than lamps with it: a main fuse, the battery's ground.",
        R"(loom 1
battery, 60 Ah
fuse F1, 20 A
switch S1 "dip", 16 A
lamp E1 "left", 60/55 W, filaments main and dip
lamp E2 "right", 60/55 W, filaments main and dip
ground GND1 "left wing" on body
ground GND2 "right wing" on body
splice SP1, crimp
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to SP1, 2.5 mm2 red, 1 m
wire from SP1 to E1:dip, 2.5 mm2 red, 0.5 m
wire from SP1 to E2:dip, 2.5 mm2 red, 1.5 m
wire from E1:common to GND1, 2.5 mm2 black, 0.3 m
wire from E2:common to GND2, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 10 A
switch S1 "dip" {
  off*
  on connects 1 with 2, 3 with 4
}
lamp E1 "left", 60/55 W, filaments main and dip
lamp E2 "right", 60/55 W, filaments main and dip
ground GND1 "left wing" on body
ground GND2 "right wing" on body
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire from F1 to S1:1, 2.5 mm2 red, 1 m
wire from F2 to S1:3, 2.5 mm2 red, 1 m
wire from S1:2 to E1:dip, 2.5 mm2 red, 1.5 m
wire from S1:4 to E2:dip, 2.5 mm2 red, 2.5 m
wire from E1:common to GND1, 2.5 mm2 black, 0.3 m
wire from E2:common to GND2, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
