#include "circuit/view.hpp"

#include <algorithm>
#include <utility>

#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "circuit/stamp.hpp"
#include "reference/colours.hpp"
#include "reference/places.hpp"

namespace loomproof {

View::View(const Circuit& circuit, Revision revision) : circuit_(&circuit), revision_(revision) {
    Alive alive;
    for (std::size_t i = 0; i < circuit.parts.size(); ++i)
        if (circuit.parts[i].life.at(revision)) alive.parts.push_back(PartId{i});
    for (std::size_t i = 0; i < circuit.wires.size(); ++i)
        if (circuit.wires[i].life.at(revision)) alive.wires.push_back(WireId{i});
    for (std::size_t i = 0; i < circuit.primitives.size(); ++i) {
        const Primitive& p = circuit.primitives[i];
        if (p.life.at(revision) && circuit.at(p.part).life.at(revision)) alive.primitives.push_back(PrimitiveId{i});
    }
    alive.wires_at = Rows<WireId>(circuit.terminals.size(), [&](const auto& add) {
        for (WireId w : alive.wires) {
            add(circuit.at(w).a.index, w);
            add(circuit.at(w).b.index, w);
        }
    });
    alive.primitives_at = Rows<PrimitiveId>(circuit.terminals.size(), [&](const auto& add) {
        for (PrimitiveId p : alive.primitives) {
            add(circuit.at(p).a.index, p);
            if (circuit.at(p).b != circuit.at(p).a) add(circuit.at(p).b.index, p);
        }
    });
    alive_ = std::make_shared<const Alive>(std::move(alive));
}

const Attribute* View::find(PartId id, Attr key) const {
    for (const Attribute& a : circuit_->at(id).attributes)
        if (a.key == key && a.life.at(revision_)) return &a;
    return nullptr;
}

namespace {
template <class Q> Stated<Q> stated(const Attribute* a) {
    if (!a) return {};
    return {a->value.how, Q{a->value.nominal}, Q{a->value.low}, Q{a->value.high}, a->value.span, a->value.basis};
}
} // namespace

Stated<Amps> View::amps(PartId p, Attr a) const { return stated<Amps>(find(p, a)); }
Stated<Volts> View::volts(PartId p, Attr a) const { return stated<Volts>(find(p, a)); }
Stated<Watts> View::watts(PartId p, Attr a) const { return stated<Watts>(find(p, a)); }
Stated<Ohms> View::ohms(PartId p, Attr a) const { return stated<Ohms>(find(p, a)); }

std::string View::word(PartId p, Attr a) const {
    const Attribute* found = find(p, a);
    return found ? found->word : std::string{};
}

std::optional<PartId> View::only(Kind kind) const {
    std::optional<PartId> found;
    for (PartId p : alive_->parts) {
        if (circuit_->at(p).kind != kind) continue;
        if (found) return std::nullopt;
        found = p;
    }
    return found;
}

std::string name_of(const Circuit& c, PartId id) { return c.at(id).name; }

std::string name_of(const Circuit& c, TerminalId id) {
    const Terminal& t = c.at(id);
    const Part& part = c.at(t.part);
    switch (part.kind) {
    case Kind::cut: return "loose end of " + t.stamp;
    case Kind::loose_end: return part.name == "nothing" ? "an open end" : part.name;
    case Kind::unknown_end: return "somewhere unknown";
    case Kind::metal: return part.name == "body" ? "ground" : part.name;
    default: return t.stamp.empty() ? part.name : part.name + ":" + shown_stamp(c, id);
    }
}

const std::string& shown_stamp(const Circuit& c, TerminalId id) {
    const Terminal& t = c.at(id);
    const Part& part = c.at(t.part);
    if (part.kind == Kind::alternator)
        for (const Attribute& a : part.attributes)
            if (((a.key == Attr::lamp_stamp && t.stamp == "L") || (a.key == Attr::sense_stamp && t.stamp == "S")) &&
                !a.word.empty())
                return a.word;
    return t.stamp;
}

std::string name_of(const Circuit& c, WireId id) {
    static constexpr const char* ordinal[] = {"", "first", "second", "third", "fourth", "fifth", "sixth"};
    const Wire& w = c.at(id);
    if (!w.named) return described(c, id);
    if (w.piece == 0) return w.name;
    return w.name + " (" + (w.piece < 7 ? ordinal[w.piece] : std::to_string(w.piece) + "th") + " piece)";
}

std::string called(const Circuit& c, PartId id) {
    const Part& part = c.at(id);
    std::string out = spec_of(part.kind).title;
    if (part.kind == Kind::cut || part.kind == Kind::loose_end || part.kind == Kind::unknown_end) return part.name;
    if (part.name != out && part.named) out += " " + part.name;
    if (!part.label.empty()) out += " \"" + part.label + "\"";
    return out;
}

std::string colour_words(const Colours& colours) {
    const auto one = [](const std::string& letters) {
        const auto answer = reference::read_colour(letters, reference::ColourSet::iec);
        return answer.colour ? std::string(reference::word(answer.colour->base)) : letters;
    };
    if (colours.main.empty()) return {};
    return colours.stripe.empty() ? one(colours.main) : one(colours.main) + "/" + one(colours.stripe);
}

std::string called(const Circuit& c, WireId id) {
    const Wire& w = c.at(id);
    if (!w.named) return described(c, id);
    const std::string words = colour_words(w.colours);
    return "the " + (words.empty() ? std::string{} : words + " ") + "wire " + name_of(c, id);
}

std::string end_of(const Circuit& c, TerminalId id) {
    const Role role = c.at(id).role;
    const Part& part = c.part_of(id);
    const bool plain = part.terminals.size() == 2 && (role == Role::end1 || role == Role::end2);
    return plain ? part.name : name_of(c, id);
}

std::string described(const Circuit& c, WireId id) {
    const Wire& w = c.at(id);
    const std::string colour = colour_words(w.colours);
    const std::string plain = "the " + (colour.empty() ? std::string{} : colour + " ") + "wire from " + end_of(c, w.a) +
                              " to " + end_of(c, w.b);
    return w.named ? name_of(c, id) + ", " + plain : plain;
}

std::string place_of(const Circuit& c, PartId id) {
    const Part& part = c.at(id);
    return part.place.exists() ? c.at(part.place).name : part.label;
}

std::string place_of(const Circuit& c, WireId id) {
    const Wire& w = c.at(id);
    return w.place.exists() ? c.at(w.place).name : w.label;
}

std::vector<std::string> not_solved(const View& view) {
    std::vector<std::string> out;
    for (PartId id : view.parts()) {
        const Part& part = view.circuit().at(id);
        if (part.poisoned) continue;
        if (const auto words = spec_of(part.kind).not_solved) {
            Part as_it_is = part; // a job may have said otherwise
            std::erase_if(as_it_is.attributes, [&](const Attribute& a) { return !a.life.at(view.revision()); });
            std::string text = words(as_it_is);
            for (PrimitiveId p : view.primitives())
                if (view.circuit().at(p).part == id && view.circuit().at(p).purpose == Purpose::conversion)
                    text = "from how many volts on " + part.name + " delivers"; // all else of it is worked out
            if (!text.empty()) out.push_back(std::move(text));
        }
        for (const Attribute& a : part.attributes) {
            if (a.open == nullptr || !a.life.at(view.revision())) continue;
            std::string text = a.open;
            for (std::size_t at = text.find("{}"); at != std::string::npos; at = text.find("{}", at + part.name.size()))
                text.replace(at, 2, part.name);
            if (const std::size_t at = text.find("{pin}"); at != std::string::npos) text.replace(at, 5, a.word);
            if (std::ranges::find(out, text) == out.end()) out.push_back(std::move(text));
        }
    }
    out.insert(out.end(), view.circuit().not_worked_out.begin(), view.circuit().not_worked_out.end());
    for (WireId id : view.wires()) {
        const Wire& w = view.circuit().at(id);
        if (w.solid && w.piece < 2)
            out.push_back("how long " + name_of(view.circuit(), id) +
                          " stands shaking: it is one solid strand, and crimps do not hold on it");
    }
    return out;
}

Stated<Celsius> temperature_at(const Circuit& c, PlaceId id) {
    if (id.exists() && c.at(id).temperature.known()) return c.at(id).temperature;
    const auto fallback = reference::default_place_temperature();
    return Stated<Celsius>::assume(fallback.ambient, std::string(fallback.basis));
}

} // namespace loomproof
