#include "rules/clearing.hpp"

#include "reference/carrying.hpp"
#include "reference/fuses.hpp"
#include "reference/short_time.hpp"
#include "rules/fault_current.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <iterator>
#include <vector>

namespace loomproof::rules {

namespace {

using Verdict = Clearing::Verdict;

struct Band {
    Seconds earliest;
    std::optional<Seconds> latest;
};

/// The last of several devices to open, each with its share of the current; nothing where one has no curve (then `c` says which).
std::optional<Band> opening(const Study& s, const Protection& p, Amps current, Clearing& c) {
    Band band{Seconds{0}, Seconds{0}};
    for (PrimitiveId device : p.devices) {
        if (s.circuit.at(device).element != Element::protector)
            continue; // what limits itself, a source or an output, never opens, and never has to
        const Amps rating = rating_of(s, device).nominal;
        const reference::Protector style = style_of(s, device, rating);
        const auto time = reference::opening_time(style, rating, current * (rating / p.lets_through));
        if (!time) {
            c.verdict = Verdict::no_curve;
            c.device = device;
            c.why = reference::why_no_curve(style, rating);
            return std::nullopt;
        }
        band.earliest = std::max(band.earliest, time->shortest);
        if (!time->longest)
            band.latest.reset();
        else if (band.latest)
            band.latest = std::max(*band.latest, *time->longest);
    }
    return band;
}

/// From a source over one of the protectors to the end of the wire that counts.
struct Way {
    PrimitiveId source;
    std::vector<EdgeRef> edges;
};

std::optional<Way> way_over(const Study& s, PrimitiveId device, WireId wire, TerminalId end) {
    const Circuit& c = s.circuit;
    const EdgeRef through{{}, device};
    const Reach back = s.graph.walk(
        std::vector{end},
        [&](EdgeRef e, TerminalId from) {
            return e.wire != wire && e != through && carries_fault(s, e, other_end(c, e, from), Protectors::pass);
        },
        &Edge::metres);
    for (TerminalId before : {c.at(device).a, c.at(device).b}) {
        const TerminalId behind = other_end(c, through, before);
        if (!s.live.reached(before) || !back.reached(behind)) continue;
        Way way;
        way.edges = s.live.path_to(before);
        const auto source = std::ranges::find(s.strong, s.live.stops_to(before).front(), &LivePole::pole);
        if (source == s.strong.end() || std::ranges::find(way.edges, through) != way.edges.end()) continue;
        way.source = source->source;
        std::ranges::copy(back.path_to(behind), std::back_inserter(way.edges));
        return way;
    }
    return std::nullopt;
}

} // namespace

reference::Protector style_of(const Study& s, PrimitiveId device, Amps rating) {
    const PartId part = s.circuit.at(device).part;
    switch (s.circuit.at(part).kind) {
    case Kind::link: return reference::Protector::link;
    case Kind::breaker: return reference::Protector::breaker;
    default: break;
    }
    const std::string said = s.now.word(part, Attr::fuse_type);
    if (said == "mini") return reference::Protector::mini_blade;
    if (said == "maxi") return reference::Protector::maxi_blade;
    if (said == "bolted") return reference::Protector::bolted;
    if (said == "glass") return reference::Protector::glass;
    if (rating > Amps{100}) return reference::Protector::bolted;
    return reference::usual_style(rating);
}

Clearing clearing_of_short(const Study& s, WireId wire) {
    const Circuit& c = s.circuit;
    const Protection& p = s.protection[wire.index];
    const Wire& w = c.at(wire);
    const auto limit = stands_once(c, wire);
    Clearing worst;
    if (!w.area.known() || !limit) return worst;
    const Celsius insulation_class = w.insulation_class.or_else(reference::default_insulation_class);

    std::optional<Amps> at_near, at_far;
    for (PrimitiveId device : p.devices) {
        auto way = way_over(s, device, wire, p.end);
        if (!way) continue;
        at_near = dead_short(c, way->source, resistance_along(c, way->edges, Celsius{20}));
        way->edges.push_back({wire, {}});
        at_far = dead_short(c, way->source, resistance_along(c, way->edges, insulation_class));
        break;
    }
    worst.assumed_current = !at_near || !at_far;
    if (worst.assumed_current) at_near = at_far = p.lets_through * 10;

    bool first = true;
    for (Amps current : {*at_far, *at_near}) {
        const auto band = opening(s, p, current, worst);
        if (!band) return worst;
        const Seconds stands = reference::time_to_reach(w.area.nominal, current, insulation_class, *limit);
        const Verdict verdict = band->latest && *band->latest <= stands ? Verdict::in_time
                                : band->earliest <= stands              ? Verdict::may_be_late
                                                                        : Verdict::too_late;
        if (!first && verdict <= worst.verdict) continue;
        first = false;
        worst.verdict = verdict;
        worst.current = current;
        worst.opens_by = band->latest;
        worst.stands = stands;
    }
    return worst;
}

} // namespace loomproof::rules
