/// Converters: a charger from one battery to another, a charge regulator, a box that makes 12 V out of 24 V.
///
/// Where its figures are said and something feeds it, its input is a load of constant power and its output a source that limits itself; what
/// the one takes the other gives, less what is lost inside. Else nothing is concluded about its pins.

#include "base/number.hpp"
#include "circuit/kinds/kinds.hpp"

#include <algorithm>
#include <optional>
#include <vector>

namespace loomproof {

namespace {

/// What of its input a converter gives out: 85 to 90 % (common practice, no source); never more than all.
constexpr double usual_efficiency = 0.87;
/// Charging volts of a 12 V battery (common practice, from memory).
constexpr double charging_volts = 14.2;

constexpr TerminalSpec converter_terminals[] = {
    {"in", Role::signal, 2, true, "input 24"},
    {"out", Role::signal, 2, false, "output 12 +"},
    {"-", Role::signal, 2, true, "minus negative 31 ground"},
};
constexpr AttrSpec converter_attributes[] = {
    {"{A}", Attr::rating, "most it delivers"},
    {"{W}", Attr::power, "most it delivers"},
    {"{V}", Attr::voltage, "what it delivers"},
    {"takes {A}", Attr::current, "what its input takes while it delivers its most"},
    {"delivers when {text}", Attr::when, "when it delivers"},
    {"when {text}", Attr::when, ""},
    {"limited to {A}", Attr::rating, ""},
    {"{A} short-circuit", Attr::rating, ""},
    {"{V} to {V}", Attr::told, "", "volts"},
};

/// What current to or from an end of it can go over: wires, fuses, contacts however they stand, meters, diodes in its direction; not over loads, nor
/// into metal. By terminal.
class Ways {
  public:
    Ways(const Circuit& c, PartId but) : c_(c), but_(but) {}

    std::vector<bool> from(TerminalId start, bool outwards, bool over_contacts) const {
        std::vector<bool> seen(c_.terminals.size(), false);
        std::vector<TerminalId> waiting{start};
        while (!waiting.empty()) {
            const TerminalId at = waiting.back();
            waiting.pop_back();
            const Kind kind = c_.part_of(at).kind;
            if (seen[at.index] || kind == Kind::metal || kind == Kind::ground) continue;
            seen[at.index] = true;
            for (const Wire& w : c_.wires)
                if (w.life.gone == never && (w.a == at || w.b == at)) waiting.push_back(w.other(at));
            for (const Primitive& p : c_.primitives) {
                if (p.life.gone != never || p.part == but_ || (p.a != at && p.b != at)) continue;
                const bool passes =
                    p.element == Element::protector || p.element == Element::meter ||
                    (p.element == Element::joint && p.purpose != Purpose::mounting) ||
                    (p.element == Element::contact && (over_contacts || p.purpose == Purpose::feed_condition)) ||
                    (p.element == Element::junction && (outwards ? p.a : p.b) == at);
                if (passes) waiting.push_back(p.a == at ? p.b : p.a);
            }
        }
        return seen;
    }

    /// Strong sources whose plus such a way reaches; over contacts only where none is reached without.
    std::vector<const Primitive*> sources(TerminalId start, bool outwards) const {
        std::vector<const Primitive*> found;
        for (const bool over_contacts : {false, true}) {
            if (!found.empty()) break;
            const std::vector<bool> seen = from(start, outwards, over_contacts);
            for (const Primitive& p : c_.primitives)
                if (p.element == Element::source && p.strong && p.life.gone == never && seen[p.a.index])
                    found.push_back(&p);
        }
        return found;
    }

  private:
    const Circuit& c_;
    PartId but_;
};

double volts_of(const Circuit& c, const Primitive& source) {
    return source.voltage.known() && source.voltage.nominal.si > 0 ? source.voltage.nominal.si : c.vehicle.system.si;
}

/// One that charges a battery does so while the engine runs, unless the file says when. The engine's own control where the file speaks of it; else
/// a condition, which is the same for all converters of a vehicle and for whatever else holds while the engine runs.
void put_condition(PartBuilder& b, Primitive& p) {
    const Circuit& c = b.circuit();
    const std::string said = b.word(Attr::when);
    if (c.engine && (said.empty() || is_engine_condition(said))) {
        p.control = c.engine->control;
        const auto& positions = c.at(p.control).positions;
        for (std::size_t i = 0; i < positions.size(); ++i)
            if (positions[i] == "idling" || positions[i] == "running") p.closed_in |= std::uint64_t{1} << i;
        return;
    }
    Control control;
    control.name = said.empty() ? "engine running" : said;
    control.type = Control::Type::condition;
    control.positions = {"no", "yes"};
    p.control = b.add_control(control);
    p.closed_in = 0b10;
}

void expand_converter(PartBuilder& b) {
    const Circuit& c = b.circuit();
    const TerminalId in = b.terminal("in"), out = b.terminal("out"), minus = b.terminal("-");
    const Stated<double> amps = b.value(Attr::rating), watts = b.value(Attr::power);
    // Where plus is on the body, what is called in and - may follow the body's pole: either way nothing is concluded.
    if (c.vehicle.positive_ground || b.part().poisoned || !b.ever_wired(in) || !b.ever_wired(out) ||
        !b.ever_wired(minus) || (!amps.known() && !watts.known()))
        return;
    PartId self;
    for (std::size_t i = 0; i < c.parts.size(); ++i)
        if (&c.parts[i] == &b.part()) self = PartId{i};
    const Ways ways(c, self);
    const std::vector<const Primitive*> feeds = ways.sources(in, false);
    std::vector<const Primitive*> fills = ways.sources(out, true);
    std::erase_if(fills, [&](const Primitive* p) { return c.at(p->part).kind != Kind::battery; });
    if (feeds.empty()) return; // a panel, or nothing
    const bool charges = !fills.empty();
    std::erase_if(fills, [&](const Primitive* p) { return std::ranges::find(feeds, p) != feeds.end(); });
    const Stated<double> said = b.value(Attr::voltage);
    if (charges ? fills.empty() : !said.known()) return; // it goes in a circle; nobody said what volts it makes

    const double at_in = volts_of(c, *feeds.front()) * (charges ? charging_volts / 12 : 1),
                 at_out = charges ? std::max(said.or_else(0), volts_of(c, *fills.front()) * charging_volts / 12)
                                  : said.nominal;
    const auto times = [](Stated<double> s, double factor) {
        s.nominal *= factor, s.low *= factor, s.high *= factor;
        return s;
    };
    const Stated<double> gives = amps.known() ? amps : times(watts, 1 / at_out); // A

    Primitive output;
    output.element = Element::source;
    output.purpose = Purpose::conversion;
    output.a = out;
    output.b = minus;
    output.current = as<Amps>(gives);
    output.voltage = Stated<Volts>::assume(Volts{at_out}, charges ? "usual charging volts" : "as said");

    Primitive input;
    input.element = Element::constant_power;
    input.purpose = Purpose::conversion;
    input.a = in;
    input.b = minus;
    input.voltage = Stated<Volts>::assume(Volts{at_in}, "what it is fed from");
    const std::string name = b.part().name, rating = text(Amps{gives.nominal});
    if (const Stated<double> takes = b.value(Attr::current); takes.known()) {
        input.current = as<Amps>(takes);
    } else {
        const double least = gives.low * at_out / at_in, usual = gives.nominal * at_out / at_in / usual_efficiency,
                     most = std::max(usual, gives.high * at_out / at_in / usual_efficiency);
        const std::string figure_taken = figure(usual, 2) + " A";
        b.assume(Attr::current, usual,
                 (figure_taken + " at its input while it delivers " + figure(gives.nominal) + " A").c_str(),
                 "it gives out 85 to 90 % of what it takes (common practice, no source)",
                 ("converter " + name + ", " + figure(gives.nominal) + " A, takes " + figure_taken).c_str());
        input.current = {Knowledge::assumed, Amps{usual}, Amps{least}, Amps{most}, {}, "what it delivers and loses"};
    }
    if (charges) {
        put_condition(b, input);
        output.control = input.control;
        output.closed_in = input.closed_in;
        if (!b.has(Attr::when))
            b.assume(Attr::when, 1, "delivers all it can while the engine runs",
                     "a battery that is empty takes that (common practice, no source)",
                     ("converter " + name + ", " + figure(gives.nominal) + " A, delivers when \"...\"").c_str());
    }
    b.add(input);
    b.add(output);
}

std::string delivery_of(const Part& part) { return "when " + part.name + " delivers, and the volts then"; }

} // namespace

const KindSpec converter_kind{.kind = Kind::converter,
                              .keyword = "converter",
                              .title = "converter",
                              .letter = "T",
                              .also = "dc-dc dc-dc-charger booster",
                              .example = "converter G7 \"24 V to 12 V\", 20 A, 12 V",
                              .does = "delivers",
                              .does_weakly = "delivers with too few volts",
                              .wants_full_volts = true,
                              .not_solved = delivery_of,
                              .terminals = converter_terminals,
                              .attributes = converter_attributes,
                              .expand = expand_converter,
                              .expands_last = true};

} // namespace loomproof
