#include "circuit/outputs.hpp"

namespace loomproof {

namespace {

/// Adds to an output what is said about its pin (empty: about the whole part).
void look_up(const View& view, Output& o, const std::string& pin) {
    for (const Attribute& a : view.circuit().at(o.part).attributes) {
        if (!a.life.at(view.revision()) || (!pin.empty() && a.word != pin)) continue;
        if (a.key == Attr::pulsed) o.pulsed = &a;
        if (a.key == Attr::clamped) o.clamped = &a;
        if (a.key == Attr::watches_least) o.least = &a;
        if (a.key == Attr::watches_most) o.most = &a;
    }
}

} // namespace

std::vector<Output> outputs_of(const View& view) {
    const Circuit& c = view.circuit();
    std::vector<Output> out;
    for (PartId id : view.parts()) {
        const Part& part = c.at(id);
        if (part.poisoned) continue;
        if ((part.kind == Kind::supply || part.kind == Kind::existing_wire) && view.has(id, Attr::pulsed)) {
            Output feed{id, part.terminals.front(), {}, !view.has(id, Attr::ground_side)};
            look_up(view, feed, {});
            out.push_back(feed);
        }
        if (part.kind != Kind::electronics) continue;
        for (const Attribute& side : part.attributes) {
            if ((side.key != Attr::plus_side && side.key != Attr::ground_side) || !side.life.at(view.revision()))
                continue;
            for (TerminalId t : part.terminals) {
                if (c.at(t).stamp != side.word) continue;
                Output o{id, t, {}, side.key == Attr::plus_side};
                for (PrimitiveId p : view.primitives_at(t))
                    if (c.at(p).part == id && c.at(p).element == Element::contact) o.contact = p;
                look_up(view, o, side.word);
                out.push_back(o);
            }
        }
    }
    return out;
}

TerminalId output_pin(const Circuit& c, const Primitive& p) {
    if (p.element != Element::contact || c.at(p.part).kind != Kind::electronics) return {};
    for (const Attribute& side : c.at(p.part).attributes)
        for (TerminalId t : {p.a, p.b})
            if ((side.key == Attr::plus_side || side.key == Attr::ground_side) && c.at(t).stamp == side.word) return t;
    return {};
}

std::string called(const Circuit& c, const Output& o) {
    if (c.at(o.part).kind != Kind::electronics) return called(c, o.part);
    return "output " + c.at(o.at).stamp + " of " + name_of(c, o.part);
}

} // namespace loomproof
