#include "solve/part_models.hpp"

#include "base/number.hpp"
#include "reference/carrying.hpp"
#include "reference/fuses.hpp"
#include "reference/wire_sizes.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace loomproof::solve {

namespace {

double warm_factor(double degrees) { return 1 + reference::copper_alpha_20 * (degrees - 20); }

void note(std::vector<NotKnown>* list, WireId wire, PartId part, const char* what, std::string taken) {
    if (!list) return;
    const bool known = std::ranges::any_of(
        *list, [&](const NotKnown& n) { return n.wire == wire && n.part == part && n.what == what; });
    if (!known) list->push_back({wire, part, what, std::move(taken)});
}

Device fuse(const View& view, const Primitive& p, const Conditions& conditions, std::vector<NotKnown>* not_known) {
    const std::string type = view.word(p.part, Attr::fuse_type);
    const Stated<double> area = [&] {
        const Attribute* a = view.find(p.part, Attr::area);
        return a ? a->value : Stated<double>{};
    }();
    const Stated<double> length = [&] {
        const Attribute* a = view.find(p.part, Attr::length);
        return a ? a->value : Stated<double>{};
    }();
    if (area.known() && area.nominal > 0 && length.known()) // a fusible link: a piece of wire
        return Device::resistor(std::max(1e-6, reference::copper_resistivity.si * length.nominal / area.nominal));
    if (!p.rating.known() || !(p.rating.nominal.si > 0)) {
        note(not_known, {}, p.part, "rating", text(Ohms{unknown_fuse_ohms}));
        return Device::resistor(unknown_fuse_ohms);
    }
    const double rating = p.rating.nominal.si;
    double hot = protector_drop_volts / rating, cold = hot / fuse_hot_over_cold;
    const auto style = reference::find_protector(type).value_or(reference::Protector::blade);
    if (const auto listed = reference::find_fuse(style, Amps{rating}); listed && listed->cold_resistance) {
        cold = listed->cold_resistance->si;
        hot = listed->drop_at_rating ? listed->drop_at_rating->si / rating : cold * fuse_hot_over_cold;
    }
    if (!conditions.warmed || hot <= cold) return Device::resistor(cold);
    const double growth = hot / cold - 1;
    return Device::conductor(cold, rating / std::sqrt(growth),
                             1 + 1.35 * 1.35 * growth); // beyond 135 % it opens within the half hour
}

/// Where no alternator is drawn: is this the battery that it charges? That is the first one of the file, and those joined to it by wires
/// alone, side by side or in a row. One behind a relay, a fuse or a diode delivers what it holds, however long it was charged.
bool is_the_charged_one(const View& view, const Primitive& asked) {
    const Circuit& c = view.circuit();
    std::vector<PrimitiveId> left;
    for (PrimitiveId id : view.primitives())
        if (c.at(id).element == Element::source && c.at(id).strong && c.at(id).resistance.known()) left.push_back(id);
    std::vector<PrimitiveId> bank;
    if (!left.empty()) bank.push_back(left.front()), left.erase(left.begin());
    for (std::size_t at = 0; at < bank.size(); ++at) {
        if (&c.at(bank[at]) == &asked) return true;
        for (const bool plus : {true, false}) {
            std::vector<TerminalId> reached{plus ? c.at(bank[at]).a : c.at(bank[at]).b};
            const auto reach = [&](TerminalId t) {
                const Kind kind = c.part_of(t).kind;
                if (kind != Kind::ground && kind != Kind::metal && std::ranges::find(reached, t) == reached.end())
                    reached.push_back(t);
            };
            for (std::size_t i = 0; i < reached.size(); ++i) {
                const TerminalId t = reached[i]; // reached grows meanwhile
                for (WireId w : view.wires_at(t)) reach(c.at(w).a == t ? c.at(w).b : c.at(w).a);
                for (PrimitiveId id : view.primitives_at(t))
                    if (const Primitive& j = c.at(id); j.element == Element::joint && j.purpose != Purpose::mounting)
                        reach(j.a == t ? j.b : j.a);
            }
            std::erase_if(left, [&](PrimitiveId id) {
                const auto touches = [&](TerminalId t) { return std::ranges::find(reached, t) != reached.end(); };
                // Side by side they are joined by their live poles (by the others all batteries are, over the body); in a row by the
                // live pole of one and the other pole of the next.
                const bool live = plus != c.vehicle.positive_ground;
                const bool joined = live   ? touches(c.at(id).a) || touches(c.at(id).b)
                                    : plus ? touches(c.at(id).b)
                                           : touches(c.at(id).a);
                if (joined) bank.push_back(id);
                return joined;
            });
        }
    }
    return false;
}

Device source(const View& view, const Primitive& p, const Conditions& conditions) {
    const Circuit& c = view.circuit();
    const double system = c.vehicle.system.si / 12;
    if (p.purpose == Purpose::conversion)
        return Device::generator(rated_volts(c, p), alternator_ohms, p.current.nominal.si);
    if (!p.strong) {
        if (!conditions.engine_running) return Device::open();
        double amps = p.current.known() && p.current.nominal.si > 0 ? p.current.nominal.si : alternator_amps;
        if (const Stated<Amps> at_idle = view.amps(p.part, Attr::idle_current); conditions.idling && at_idle.known())
            amps = at_idle.nominal.si;
        return Device::generator(p.voltage.known() ? p.voltage.nominal.si : charging_volts * system, alternator_ohms,
                                 amps);
    }
    const bool charged = conditions.engine_running &&
                         std::ranges::none_of(view.primitives(),
                                              [&](PrimitiveId id) {
                                                  const Primitive& other = c.at(id);
                                                  return other.element == Element::source && !other.strong &&
                                                         other.purpose != Purpose::conversion;
                                              }) &&
                         is_the_charged_one(view, p);
    const double nominal = rated_volts(c, p);
    const bool feed = !p.resistance.known(); // its beginning is not drawn
    const double volts = charged || (feed && conditions.engine_running)
                             ? charging_volts * nominal / 12
                             : rested_volts(view.word(p.part, Attr::chemistry), nominal, conditions.charge);
    if (feed) return Device::source(volts, feed_ohms / 2);
    const double ohms = std::max(1e-5, p.resistance.nominal.si);
    return Device::battery(volts, ohms, charging_over_inner * ohms);
}

double usual_contact_ohms(Purpose purpose) {
    switch (purpose) {
    case Purpose::make_contact:
    case Purpose::rest_contact: return relay_contact_ohms;
    case Purpose::feed_condition: return feed_ohms / 2;
    default: return switch_contact_ohms;
    }
}

/// Is it made for so much that a usual contact would lose too much at that?
bool is_stronger_than_usual(const Primitive& p) {
    return p.purpose != Purpose::feed_condition && p.rating.known() &&
           p.rating.nominal.si * usual_contact_ohms(p.purpose) > contact_drop_volts;
}

double contact_ohms(const Primitive& p) {
    if (p.resistance.known()) return std::max(1e-6, p.resistance.nominal.si); // two pieces of metal that touch
    return is_stronger_than_usual(p) ? contact_drop_volts / p.rating.nominal.si : usual_contact_ohms(p.purpose);
}

/// Ohms of a load at the volts where its current is stated.
double load_ohms(const Circuit& c, const Primitive& p, std::vector<NotKnown>* not_known) {
    if (p.resistance.known()) return std::max(1e-6, p.resistance.nominal.si);
    const double volts = rated_volts(c, p);
    if (p.current.known() && p.current.nominal.si > 0) return volts / p.current.nominal.si;
    if (!p.current.known()) note(not_known, {}, p.part, "what it takes", text(Amps{unknown_amps}));
    return volts / unknown_amps;
}

Device machine(const View& view, const Primitive& p, const Conditions& conditions, std::vector<NotKnown>* not_known) {
    const Circuit& c = view.circuit();
    const double running = load_ohms(c, p, not_known);
    if (!conditions.starting) return Device::resistor(running);
    if (const Stated<Amps> start = view.amps(p.part, Attr::start_current); start.known() && start.nominal.si > 0)
        return Device::resistor(rated_volts(c, p) / start.nominal.si);
    return Device::resistor(running / (c.at(p.part).kind == Kind::starter ? starter_start_factor : motor_start_factor));
}

Device coil(const View& view, const Primitive& p, double ohms_20, const Conditions& conditions) {
    if (!conditions.hot_coils) return Device::resistor(ohms_20);
    return Device::resistor(
        ohms_20 * warm_factor(temperature_at(view.circuit(), view.circuit().at(p.part).place).nominal.degrees + 60));
}

} // namespace

double rated_volts(const Circuit& c, const Primitive& p) {
    return p.voltage.known() && p.voltage.nominal.si > 0 ? p.voltage.nominal.si : c.vehicle.system.si;
}

double rested_volts(const std::string& chemistry, double nominal, double charge) {
    constexpr std::array<double, 5> flooded{11.6, 12.0, 12.2, 12.4, 12.6};
    const double at = std::clamp(charge, 0.0, 1.0) * 4;
    const auto below = static_cast<std::size_t>(std::min(3.0, std::floor(at)));
    double volts = flooded[below] + (flooded[below + 1] - flooded[below]) * (at - static_cast<double>(below));
    if (chemistry == "AGM" || chemistry == "agm" || chemistry == "gel")
        volts += 0.2; // 12.8 V rested (common practice, from memory)
    if (chemistry == "lithium") volts = 13.3 - 0.4 * (1 - std::clamp(charge, 0.0, 1.0)); // iron phosphate, from memory
    return volts * nominal / 12;
}

Device wire_device(const View& view, WireId id, const Conditions& conditions, std::vector<NotKnown>* not_known) {
    const Circuit& c = view.circuit();
    const Wire& w = c.at(id);
    const bool sized = w.area.known() && w.area.nominal.si > 0;
    if (!sized) note(not_known, id, {}, "size", "1 mm2");
    if (!w.length.known()) note(not_known, id, {}, "length", text(Metres{unknown_length}));
    const double area = sized ? w.area.nominal.si : unknown_area;
    const double length = w.length.known() ? std::max(0.0, w.length.nominal.si) : unknown_length;
    const Celsius place = temperature_at(c, w.place).nominal;
    const double here = std::max(0.1, warm_factor(place.degrees));
    const double ohms = reference::copper_resistivity.si * length / area * here;
    if (!conditions.warmed || !(ohms > 0) || !sized) return Device::resistor(ohms); // how warm hangs on the size
    const Celsius stands =
        w.insulation_class.known() ? w.insulation_class.nominal : reference::default_insulation_class;
    const auto carrying = reference::what_a_wire_can_carry(SquareMetres{area}, stands, place);
    const double rise = (stands - reference::table_ambient).si; // at the current of the table
    if (!carrying || !(rise > 0) || place.degrees >= hottest_copper) return Device::resistor(ohms);
    const double doubled = carrying->at_table_ambient.si * std::sqrt(here / (reference::copper_alpha_20 * rise));
    return Device::conductor(ohms, doubled, warm_factor(hottest_copper) / here);
}

Device driven_motor(const View& view, PrimitiveId id) {
    Conditions standing;
    standing.starting = true;
    const Circuit& c = view.circuit();
    const Primitive& p = c.at(id);
    const double volts = rated_volts(c, p), running = load_ohms(c, p, nullptr);
    const double armature = std::min(machine(view, p, standing, nullptr).ohms, running);
    return Device::source(volts * (1 - armature / running), armature);
}

double coil_ohms(const Circuit& c, PrimitiveId id) {
    const Primitive& p = c.at(id);
    if (p.purpose != Purpose::coil && p.purpose != Purpose::starter_solenoid && p.purpose != Purpose::sensing) return 0;
    if (p.resistance.known() && p.resistance.nominal.si > 0) return p.resistance.nominal.si;
    return load_ohms(c, p, nullptr);
}

bool is_armature(const Circuit& c, const Primitive& p) {
    return p.element == Element::resistance && p.purpose == Purpose::input && c.at(p.part).kind == Kind::dynamo;
}

PrimitiveModel primitive_model(const View& view, PrimitiveId id, const Conditions& conditions,
                               std::vector<NotKnown>* not_known) {
    const Circuit& c = view.circuit();
    const Primitive& p = c.at(id);
    PrimitiveModel m;
    const auto ohms = [&](double r) { m.device = Device::resistor(r); };
    switch (p.element) {
    case Element::joint:
        if (p.purpose == Purpose::hole)
            ohms(plug_hole_ohms);
        else if (p.purpose == Purpose::mounting)
            ohms(p.resistance.known() ? std::max(1e-6, p.resistance.nominal.si) : bolted_ohms);
        else
            m.kind = PrimitiveModel::Kind::contracted;
        break;
    case Element::contact: ohms(contact_ohms(p)); break;
    case Element::protector: m.device = fuse(view, p, conditions, not_known); break;
    case Element::junction: m.device = Device::diode(); break;
    case Element::source: m.device = source(view, p, conditions); break;
    case Element::meter: ohms(p.resistance.known() ? std::max(1e-6, p.resistance.nominal.si) : meter_ohms); break;
    case Element::machine: m.device = machine(view, p, conditions, not_known); break;
    case Element::filament: {
        const double volts = rated_volts(c, p), r = load_ohms(c, p, not_known);
        m.device = Device::filament(volts, volts / r);
        if (conditions.starting) m.device = Device::resistor(r / cold_over_hot);
        break;
    }
    case Element::constant_power: {
        const double volts = rated_volts(c, p), r = load_ohms(c, p, not_known);
        m.kind = PrimitiveModel::Kind::sink;
        m.watts = volts * volts / r;
        m.device = Device::sink(volts, volts / r);
        break;
    }
    case Element::resistance:
        if (p.purpose == Purpose::sensing) { // what it reads its volts with; its coil only while it is in
            m.device = Device::resistor(rated_volts(c, p) / sensing_amps);
            m.pulled_in = coil(view, p, coil_ohms(c, id), conditions);
        } else if (p.purpose == Purpose::coil) {
            m.device = coil(view, p, coil_ohms(c, id), conditions);
        } else if (p.purpose == Purpose::starter_solenoid) {
            m.device = coil(view, p, coil_ohms(c, id), conditions);
            if (!view.has(p.part, Attr::hold_in) && !view.has(p.part, Attr::pull_in)) // both windings as one
                m.pulled_in = coil(view, p, coil_ohms(c, id) / hold_in_share, conditions);
        } else if (p.purpose == Purpose::pull_in_winding) {
            m.device = coil(view, p, load_ohms(c, p, not_known), conditions);
        } else if (p.purpose == Purpose::leak) {
            m.device = Device::diode();
        } else if (p.purpose == Purpose::charge_lamp_terminal && conditions.engine_running) {
            m.device = Device::open(); // its rotor is fed from within: what L gives comes over exciter()
        } else if (is_armature(c, p) && conditions.engine_running) {
            m.device = Device::open(); // it delivers: what, is not worked out
        } else if (const Stated<Amps> cold = view.amps(p.part, Attr::start_current);
                   conditions.starting && cold.known() && cold.nominal.si > 0) {
            ohms(rated_volts(c, p) / cold.nominal.si); // a glow plug, a heated pane
        } else {
            ohms(load_ohms(c, p, not_known));
        }
        break;
    }
    if (m.pulled_in.law == Device::Law::open) m.pulled_in = m.device;
    return m;
}

Device exciter() { return Device::generator(0, exciter_ohms, exciter_amps); }

std::vector<Assumption> contacts_assumed(const View& view) {
    const Circuit& c = view.circuit();
    std::vector<Assumption> out;
    std::vector<PartId> said;
    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = c.at(id);
        if (p.element != Element::contact || p.resistance.known() || !is_stronger_than_usual(p) ||
            std::ranges::find(said, p.part) != said.end())
            continue;
        said.push_back(p.part);
        out.push_back({name_of(c, p.part), "at most " + text(Volts{contact_drop_volts}) + " over a contact",
                       "at its rating: what a workshop allows (common practice, no source)", ""});
    }
    return out;
}

std::vector<std::string> ohms_taken(const View& view, const std::vector<std::optional<Amps>>& amps) {
    constexpr double flows = 5e-3; // A
    const Circuit& c = view.circuit();
    bool hole = false, bolt = false, relay = false, contact = false, strong = false, meter = false, feed = false;
    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = c.at(id);
        if (p.resistance.known() || !amps[id.index] || std::abs(amps[id.index]->si) < flows) continue;
        switch (p.element) {
        case Element::joint:
            hole = hole || p.purpose == Purpose::hole;
            bolt = bolt || p.purpose == Purpose::mounting;
            break;
        case Element::contact:
            if (is_stronger_than_usual(p))
                strong = true;
            else if (p.purpose == Purpose::feed_condition)
                feed = true;
            else
                (p.purpose == Purpose::make_contact || p.purpose == Purpose::rest_contact ? relay : contact) = true;
            break;
        case Element::meter: meter = true; break;
        case Element::source: feed = feed || p.strong; break;
        default: break;
        }
    }
    std::vector<std::string> out;
    const auto list = [&](bool taken, std::string what) {
        if (taken) out.push_back(std::move(what));
    };
    list(hole, text(Ohms{plug_hole_ohms}) + " for a hole of a plug");
    list(bolt, text(Ohms{bolted_ohms}) + " for what is bolted to metal");
    list(relay, text(Ohms{relay_contact_ohms}) + " for a contact of a relay");
    list(contact, text(Ohms{switch_contact_ohms}) + " for a contact of a switch");
    list(strong, text(Volts{contact_drop_volts}) + " over a contact that is made for more, at its rating");
    list(meter, text(Ohms{meter_ohms}) + " for a meter or shunt");
    list(feed, text(Ohms{feed_ohms}) + " before a feed that is not drawn");
    return out;
}

} // namespace loomproof::solve
