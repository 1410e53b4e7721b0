#include "base/number.hpp"
#include "rules/behaviour.hpp"
#include "rules/dead_short.hpp"
#include "rules/fault_current.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule short_circuit; // rule_list.hpp lists it

namespace {

class Judge {
  public:
    Judge(const Study& s, const solve::Behaviour& behaviour, Report& report)
        : s_(s), c_(s.circuit), behaviour_(behaviour), report_(report) {}

    void run() {
        for (solve::StateId id = 0; id < behaviour_.states.size(); ++id)
            for (const LivePole& live : s_.strong) look_at(id, live);
        if (!behaviour_.complete)
            report_.not_checked.push_back(
                open_for_positions(s_, short_circuit.id, "short circuits in every switch position"));
    }

  private:
    void look_at(solve::StateId id, const LivePole& live) {
        const auto way = dead_short_in(s_, live.pole, behaviour_.states[id].positions);
        if (way) report_once(id, live, way->reach, way->ground); // one is enough; mended, the next one shows
    }

    void report_once(solve::StateId id, const LivePole& live, const Reach& reach, TerminalId ground) {
        std::vector<EdgeRef> way = reach.path_to(ground);
        const std::vector<TerminalId> rest = down_to_ground(ground, way);
        std::vector<PartId> parts;
        bool fused = false;
        PrimitiveId fuse;
        for (EdgeRef e : way) {
            if (e.is_wire()) continue;
            const Primitive& p = c_.at(e.primitive);
            const auto rating = [&](PrimitiveId device) {
                return c_.at(device).rating.known() ? c_.at(device).rating.nominal.si : 1e9;
            };
            if (p.element == Element::protector &&
                (!fused || rating(e.primitive) < rating(fuse))) { // the smallest opens first
                fused = true;
                fuse = e.primitive;
            }
            if (std::ranges::find(parts, p.part) == parts.end()) parts.push_back(p.part);
        }
        // The same contacts and diodes joined in another position of something that does not matter are the same short.
        std::set<PartId> key(parts.begin(), parts.end());
        if (!said_.insert({live.pole, key}).second) return;

        const std::vector<solve::Operation> operations = behaviour_.way_to(id);
        const std::string when = solve::said(c_, behaviour_.states[id].positions);
        const PartId source = c_.at(live.source).part;
        Finding f;
        f.rule = short_circuit.id;
        f.severity = Severity::danger;
        f.headline = fmt::format("{}, {} goes straight to {}{}.",
                                 operations.empty() ? "With everything at rest" : "With " + when,
                                 c_.at(live.pole).internal ? name_of(c_, source) : name_of(c_, live.pole),
                                 s_.reference[ground.index] ? "ground" : name_of(c_, ground), over(parts, source));
        if (!parts.empty()) f.place = where_it_lies(c_, parts.back());
        for (EdgeRef e : way) {
            const bool contact =
                !e.is_wire() && c_.at(e.primitive).element == Element::contact && !c_.at(c_.at(e.primitive).a).internal;
            if (contact) f.cites.push_back(cite_part(c_, c_.at(e.primitive).part, "closes the way"));
        }
        for (auto e = way.rbegin(); e != way.rend() && f.cites.size() < 3; ++e)
            if (e->is_wire()) {
                f.cites.push_back({c_.at(e->wire).span, "no load on this way"});
                break;
            }
        f.why = fused ? fmt::format("No load lies on the way, so {} opens each time; until then wires and contacts "
                                    "take all that the battery gives.",
                                    c_.at(c_.at(fuse).a).internal ? "the fuse before " + name_of(c_, c_.at(fuse).part)
                                                                  : name_of(c_, c_.at(fuse).part))
                      : "No load and no fuse lie on the way: the wires glow, and contacts weld.";
        if (operations.size() > 1)
            f.why += fmt::format(" It comes about so: {}.", solve::said(c_, behaviour_, operations));
        f.cures.push_back({"Follow the way stop by stop and take the wire off that does not belong there."});
        std::vector<TerminalId> stops = reach.stops_to(ground);
        stops.insert(stops.end(), rest.begin(), rest.end());
        for (TerminalId t : stops) {
            const std::string name = c_.at(t).internal ? "" : name_of(c_, t);
            if (!name.empty() && (f.path.empty() || f.path.back() != name)) f.path.push_back(name);
        }
        for (PartId p : parts) f.subjects.push_back(name_of(c_, p));
        for (const std::string& stop : f.path) f.subjects.push_back(stop);
        for (EdgeRef e : way)
            if (e.is_wire()) f.subjects.push_back(subject_of(c_, e.wire));
        f.hangs_on = names_tied_to(s_, ground); // where plus and ground meet may be some wires further on
        report_.findings.push_back(std::move(f));
    }

    /// Where the way meets what is tied to ground it may still be some wires from the body or the battery: those too, and their stops.
    std::vector<TerminalId> down_to_ground(TerminalId from, std::vector<EdgeRef>& way) const {
        const std::vector<TerminalId> start = {from};
        const Reach reach = s_.graph.walk(
            start, [&](EdgeRef e, TerminalId) { return e.is_wire() || c_.at(e.primitive).element == Element::joint; },
            &Edge::metres);
        std::vector<TerminalId> best;
        for (std::size_t t = 0; t < s_.reference.size(); ++t) {
            const Kind kind = c_.part_of(TerminalId{t}).kind;
            if (!reach.reached(TerminalId{t}) || (kind != Kind::metal && kind != Kind::ground && kind != Kind::battery))
                continue;
            std::vector<TerminalId> stops = reach.stops_to(TerminalId{t});
            if (!best.empty() && best.size() <= stops.size()) continue;
            best = std::move(stops);
        }
        if (best.size() < 2) return {};
        const std::vector<EdgeRef> more = reach.path_to(best.back());
        way.insert(way.end(), more.begin(), more.end());
        best.erase(best.begin());
        return best;
    }

    /// " over K1 and S2": what closes the way; plugs, fuses and the source itself are not what people look for.
    std::string over(const std::vector<PartId>& parts, PartId source) const {
        std::vector<std::string> names;
        for (PartId p : parts) {
            const Kind kind = c_.at(p).kind;
            if (p != source && kind != Kind::fuse && kind != Kind::link && kind != Kind::breaker &&
                kind != Kind::connector && kind != Kind::bus && kind != Kind::ground && kind != Kind::metal)
                names.push_back(called(c_, p));
        }
        return names.empty() ? "" : " over " + list_of(names);
    }

    const Study& s_;
    const Circuit& c_;
    const solve::Behaviour& behaviour_;
    Report& report_;
    std::set<std::pair<TerminalId, std::set<PartId>>> said_;
};

void run(const Study& s, Report& report) {
    if (!perhaps_shorted(s)) return;
    if (const solve::Behaviour* behaviour = behaviour_of(s))
        Judge(s, *behaviour, report).run();
    else
        report.not_checked.push_back({short_circuit.id, "short circuits in every switch position",
                                      "the circuit is too large to try them all", ""});
}

} // namespace

const Rule short_circuit = {
    "short-circuit",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a source joined to its return without a load, in some switch position",
    "always a danger",
    {
        "In the named switch position there is a way from a battery to ground on which nothing takes the current: "
        "wires, contacts and fuses only.",
        "A fuse on the way opens each time. Without one the wires glow within seconds. Contacts weld either way.",
        "Follow the printed way. Most often a wire sits on the wrong terminal: ground on 30 or 87, plus on the "
        "terminal that goes to ground.",
        "None: there is a way or there is not. Every switch position that can be reached is tried, with the relays as "
        "they then stand.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1 "door switch"
relay K1, 4-pin
lamp E1 "dome", 10 W
splice SP1, crimp
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.12 m
wire W2 from F1 to SP1, 1.5 mm2 red, 0.5 m
wire W3 from SP1 to E1, 1 mm2 red, 1 m
wire W4 from SP1 to K1:30, 1 mm2 red, 0.3 m
wire W5 from E1 to ground, 1 mm2 black, 0.3 m
wire W6 from K1:87 to ground, 1 mm2 black, 0.3 m
wire W7 from SP1 to K1:86, 1 mm2 red, 0.3 m
wire W8 from K1:85 to S1, 1 mm2 grey, 0.5 m
wire W9 from S1 to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1 "door switch"
relay K1, 4-pin
lamp E1 "dome", 10 W
splice SP1, crimp
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.12 m
wire W2 from F1 to SP1, 1.5 mm2 red, 0.5 m
wire W3 from SP1 to E1, 1 mm2 red, 1 m
wire W4 from E1 to K1:30, 1 mm2 red, 0.3 m
wire W6 from K1:87 to ground, 1 mm2 black, 0.3 m
wire W7 from SP1 to K1:86, 1 mm2 red, 0.3 m
wire W8 from K1:85 to S1, 1 mm2 grey, 0.5 m
wire W9 from S1 to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
