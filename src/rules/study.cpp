#include "rules/study.hpp"

#include "base/words.hpp"
#include "rules/fault_current.hpp"

#include <algorithm>

namespace loomproof::rules {

namespace {

struct Poles {
    TerminalId live, ground;
};

Poles poles_of(const Study& s, PrimitiveId source) {
    const Primitive& p = s.circuit.at(source);
    return s.from_plus() ? Poles{p.a, p.b} : Poles{p.b, p.a};
}

TerminalId body_of(const View& view) {
    for (PartId p : view.parts())
        if (const Part& part = view.circuit().at(p); part.kind == Kind::metal && equal_ignoring_case(part.name, "body"))
            return part.terminals.front();
    return {};
}

std::vector<PrimitiveId> sources(const View& view, bool strong) {
    std::vector<PrimitiveId> found;
    for (PrimitiveId p : view.primitives())
        if (view.circuit().at(p).element == Element::source && view.circuit().at(p).strong == strong)
            found.push_back(p);
    return found;
}

} // namespace

Study::Study(const Circuit& c) : Study(c, c.last_revision()) {}

Study::Study(const Circuit& c, Revision revision)
    : circuit(c), now(c, revision), factory(View::factory(c)), graph(now) {
    const std::vector<std::uint32_t> solid = graph.components(
        [&](EdgeRef e, TerminalId) { return e.is_wire() || c.at(e.primitive).element == Element::joint; });
    // Batteries in a row may have a fuse or a shunt between them.
    const std::vector<std::uint32_t> in_a_row = graph.components([&](EdgeRef e, TerminalId) {
        if (e.is_wire()) return true;
        const Element element = c.at(e.primitive).element;
        return element == Element::joint || element == Element::protector || element == Element::meter;
    });
    const std::vector<PrimitiveId> batteries = sources(now, true);
    const auto joined_to_another = [&](PrimitiveId source, TerminalId ground) {
        return std::ranges::any_of(batteries, [&](PrimitiveId other) {
            return other != source && in_a_row[poles_of(*this, other).live.index] == in_a_row[ground.index];
        });
    };

    // What is tied to the body is the reference even where a battery the wrong way round hangs there too; that one's other pole is live.
    const TerminalId body = body_of(now);
    const auto on_body = [&](TerminalId t) { return body.exists() && solid[t.index] == solid[body.index]; };

    reference.resize(c.terminals.size());
    for (PrimitiveId source : batteries) {
        const auto [live_pole, ground] = poles_of(*this, source);
        if (reference[ground.index] || (!on_body(ground) && (joined_to_another(source, ground) || on_body(live_pole))))
            continue;
        for (std::size_t t = 0; t < reference.size(); ++t)
            if (solid[t] == solid[ground.index]) reference[t] = true;
    }

    const auto is_battery = [&](PrimitiveId source) { return c.at(c.at(source).part).kind == Kind::battery; };
    const bool grounded = std::ranges::any_of(
        batteries, [&](PrimitiveId source) { return is_battery(source) && on_body(poles_of(*this, source).ground); });
    for (PrimitiveId source :
         batteries) // a battery that is grounded rightly makes this one part of a series, or a short
        if (!grounded && is_battery(source) && on_body(poles_of(*this, source).live))
            reversed_batteries.push_back(c.at(source).part);

    for (PrimitiveId source : batteries) {
        const Poles poles = poles_of(*this, source);
        if (!reference[poles.live.index]) strong.push_back({poles.live, source});
        if (!reference[poles.ground.index]) strong.push_back({poles.ground, source});
    }
    for (PrimitiveId source : sources(now, false))
        if (const TerminalId pole = poles_of(*this, source).live; !reference[pole.index])
            limited.push_back({pole, source});
    for (const LivePole& l : strong) strong_sources.push_back(l.pole);

    live = live_walk(*this);
    leads = unprotected_leads(*this);
    protection = protection_of_wires(*this);
}

} // namespace loomproof::rules
