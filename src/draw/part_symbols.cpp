#include "draw/part_symbols.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/kind.hpp"
#include "circuit/stamp.hpp"
#include "draw/said.hpp"
#include "reference/fuses.hpp"

#include <algorithm>
#include <numeric>

namespace loomproof::draw {
namespace {

class Maker {
  public:
    Maker(const View& view, PartId id, const std::function<bool(TerminalId)>& used)
        : view_(view), circuit_(view.circuit()), id_(id), part_(circuit_.at(id)), used_(used) {}

    PartSymbol run() {
        symbol().kind = symbol_kind_of(part_.kind);
        symbol().is_load = spec_of(part_.kind).is_load;
        symbol().key = part_.name;
        if (part_.named || part_.kind == Kind::battery || part_.kind == Kind::alternator || part_.kind == Kind::starter)
            symbol().name = part_.name;
        if (part_.origin.provenance == Provenance::job && part_.life.born < circuit_.revisions.size())
            set_job(circuit_.revisions[part_.life.born]);
        // What is called something is that first, and then what its figures say.
        const bool a_feed = part_.kind == Kind::supply || part_.kind == Kind::existing_wire;
        if (a_feed) note(part_.label);
        write_rating();
        if (!a_feed) note(part_.label);
        write_place();
        shape();
        if (symbol().planned && symbol().kind != SymbolKind::splice) note("planned");
        return std::move(made_);
    }

  private:
    void set_job(const RevisionInfo& job) {
        symbol().job = job.letter;
        symbol().planned = job.status == RevisionInfo::Status::planned;
    }

    Symbol& symbol() { return made_.symbol; }

    void take(TerminalId t) {
        made_.seats.push_back(t);
        made_.terminal.push_back(symbol().terminals.size());
        symbol().terminals.push_back({shown_stamp(circuit_, t)});
    }
    void take_all() {
        for (const TerminalId t : part_.terminals)
            if (!circuit_.at(t).internal) take(t);
    }
    // All terminals in one: the wires of a bus bar's studs, of a splice.
    void take_as_one() {
        symbol().terminals = {Terminal{}};
        for (const TerminalId t : part_.terminals) {
            if (circuit_.at(t).internal) continue;
            made_.seats.push_back(t);
            made_.terminal.push_back(0);
        }
    }
    TerminalId with_role(Role role) const {
        for (const TerminalId t : part_.terminals)
            if (circuit_.at(t).role == role && !circuit_.at(t).internal) return t;
        return {};
    }
    // Stamps that only number the two ends say nothing on parts without direction.
    void forget_stamps() {
        for (Terminal& t : symbol().terminals) t.stamp.clear();
    }

    std::string figure_of(const Attribute& attribute, double factor, const std::string& unit) {
        const Stated<double>& value = attribute.value;
        return marked(figure(value.nominal * factor) + " " + unit, value.how, value.span, unit, symbol().doubts);
    }

    void note(const std::string& line) {
        if (!line.empty()) symbol().lines.push_back(line);
    }

    // "live with the ignition on" says when already.
    void note_unless_called_so(const std::string& line, const std::string& what) {
        const std::string called = lower(part_.label);
        if (called.find("live") == std::string::npos || called.find(lower(what)) == std::string::npos) note(line);
    }

    void write_place() {
        if (part_.place.exists()) symbol().place = circuit_.at(part_.place).name;
    }

    void write_rating() {
        const auto amps = [&](Attr a) { return said(view_.amps(id_, a), symbol().doubts); };
        const auto watts = [&](Attr a) { return said(view_.watts(id_, a), symbol().doubts); };
        // The first that somebody said something about: what is not printed casts no doubt on the part.
        const auto power_or_current = [&] {
            const std::string power = watts(Attr::power);
            return power.empty() ? amps(Attr::current) : power;
        };
        switch (part_.kind) {
        case Kind::fuse: {
            symbol().rating = amps(Attr::rating);
            const std::string type = view_.word(id_, Attr::fuse_type);
            const auto style = type.empty() ? reference::find_protector("blade") : reference::find_protector(type);
            const Stated<Amps> rating = view_.amps(id_, Attr::rating);
            if (style && rating.known())
                if (const auto fuse = reference::find_fuse(*style, rating.nominal);
                    fuse && rating.how != Knowledge::guessed && rating.how != Knowledge::about)
                    symbol().rating += " " + std::string(fuse->colour);
            if (type == "bolted") symbol().fuse = FuseStyle::bolted;
            return;
        }
        case Kind::link: {
            symbol().rating = amps(Attr::rating);
            // Where its maker states no current, the size printed on it is what one buys it by.
            const Attribute* size = view_.find(id_, Attr::area);
            if (symbol().rating.empty() && size != nullptr)
                symbol().rating = marked(in_letters_of_its_standard(size->word), size->value.how, size->value.span,
                                         "mm2", symbol().doubts);
            return;
        }
        case Kind::breaker:
        case Kind::alternator: symbol().rating = amps(Attr::rating); return;
        case Kind::relay:
            symbol().rating = amps(Attr::make_rating);
            for (const auto& [key, does] :
                 {std::pair{Attr::closes_at, "closes at "}, std::pair{Attr::opens_at, "opens at "}})
                if (const Stated<Volts> volts = view_.volts(id_, key); volts.known())
                    symbol().rating += (symbol().rating.empty() ? "" : ", ") + (does + said(volts, symbol().doubts));
            return;
        case Kind::battery: {
            const Stated<Volts> volts = view_.volts(id_, Attr::voltage);
            symbol().rating = volts.known() ? said(volts, symbol().doubts) : text(circuit_.vehicle.system);
            if (const Attribute* capacity = view_.find(id_, Attr::capacity); capacity != nullptr) {
                const std::string hours = figure_of(*capacity, 1.0 / 3600, "Ah");
                if (!hours.empty()) symbol().rating += ", " + hours;
            }
            return;
        }
        case Kind::supply:
        case Kind::existing_wire: {
            const std::string behind = amps(Attr::rating), when = view_.word(id_, Attr::when),
                              ground = view_.word(id_, Attr::ground_side);
            if (!behind.empty())
                symbol().rating = "behind " + behind;
            else if (part_.kind == Kind::existing_wire && ground.empty())
                symbol().rating = "fuse not known";
            if (!when.empty())
                note_unless_called_so("live when " + when, when);
            else if (!ground.empty())
                note(ground == "always" ? "a ground" : "ground when " + ground);
            else if (view_.has(id_, Attr::plus_side))
                note_unless_called_so("always live", "live");
            if (const std::string colour = view_.word(id_, Attr::colour); !colour.empty()) // by it the fitter finds it
                symbol().rating = colour + (symbol().rating.empty() ? "" : ", ") + symbol().rating;
            return;
        }
        case Kind::lamp: {
            std::string power = power_or_current();
            const std::string second = watts(Attr::power2);
            if (const std::size_t unit = power.find(" W"); !second.empty() && unit != std::string::npos)
                power = power.erase(unit, 2) + "/" + second;
            symbol().rating = power;
            return;
        }
        case Kind::motor: {
            symbol().rating = power_or_current();
            std::string fast = watts(Attr::power2);
            if (fast.empty()) fast = amps(Attr::fast_current);
            std::string medium = watts(Attr::power3);
            if (medium.empty()) medium = amps(Attr::medium_current);
            if (!medium.empty()) fast = "medium " + medium + (fast.empty() ? "" : ", fast " + fast);
            if (fast.empty()) return;
            const bool slow_known = !symbol().rating.empty();
            if (slow_known) symbol().rating = "slow " + symbol().rating;
            symbol().rating += (slow_known ? ", " : "") + std::string(medium.empty() ? "fast " : "") + fast;
            return;
        }
        case Kind::ammeter: symbol().letter = "A"; [[fallthrough]];
        case Kind::shunt:
        case Kind::diode: symbol().rating = amps(Attr::rating); return;
        case Kind::capacitor: {
            const Attribute* farads = view_.find(id_, Attr::capacitance);
            if (farads != nullptr)
                symbol().rating =
                    farads->value.nominal < 0.01 ? figure_of(*farads, 1e6, "uF") : figure_of(*farads, 1, "F");
            return;
        }
        case Kind::resistor: {
            symbol().rating = said(view_.ohms(id_, Attr::resistance), symbol().doubts);
            return;
        }
        case Kind::touch: note("may touch"); return;
        default: {
            symbol().rating = power_or_current();
            if (symbol().rating.empty()) symbol().rating = amps(Attr::rating);
            // A flasher's least and most: one of them alone would be read as what it takes.
            if (view_.has(id_, Attr::power) && view_.watts(id_, Attr::high_end).known())
                symbol().rating += " to " + watts(Attr::high_end);
            return;
        }
        }
    }

    void shape() {
        switch (part_.kind) {
        case Kind::alternator:
            take(with_role(Role::output));
            take(with_role(Role::minus));
            for (const TerminalId t : part_.terminals)
                if (circuit_.at(t).role == Role::signal && used_(t)) take(t);
            return;
        case Kind::starter:
            take(with_role(Role::plus));
            take(with_role(Role::signal));
            if (used_(with_role(Role::minus))) take(with_role(Role::minus));
            symbol().two_windings = view_.has(id_, Attr::hold_in) || view_.has(id_, Attr::pull_in);
            return;
        case Kind::motor:
            take_all();
            add_park_contact();
            return;
        case Kind::switching: return shape_switch();
        case Kind::relay: return shape_relay();
        case Kind::splice:
        case Kind::bus:
        case Kind::metal:
            if (const std::string joint = view_.word(id_, Attr::joint_type); !joint.empty()) note(joint);
            return take_as_one();
        case Kind::beyond: note("not drawn here"); return take_as_one();
        case Kind::unknown_end: note("not traced"); return take_as_one();
        case Kind::supply:
        case Kind::existing_wire: return take_as_one();
        case Kind::diode: {
            // The symbol wants the plain end first.
            take(with_role(Role::anode));
            take(with_role(Role::cathode));
            symbol().terminals[0].stamp.clear();
            symbol().terminals[1].stamp = "band";
            return;
        }
        case Kind::touch:
            take_all();
            forget_stamps();
            symbol().operated = Operated::by_itself;
            return;
        case Kind::flasher:
        case Kind::sensor:
        case Kind::sender:
        case Kind::gauge:
        case Kind::dynamo:
        case Kind::regulator: // pins that nobody uses are not drawn
            for (const TerminalId t : part_.terminals)
                if (used_(t) || circuit_.at(t).must_be_wired) take(t);
            return;
        default:
            take_all();
            if (made_.seats.size() == 2 && circuit_.at(made_.seats[0]).role == Role::end1 &&
                circuit_.at(made_.seats[1]).role == Role::end2)
                forget_stamps();
            return;
        }
    }

    // A wiper's own contact: over it the motor runs on to where it rests. At rest is what the control says.
    // A change-over contact where that common has one without it yet.
    void add_to_contact(int common, int Contact::*fixed, int at) {
        for (Contact& contact : symbol().contacts)
            if (contact.common == common && contact.*fixed < 0 && (fixed == &Contact::rest || contact.make < 0)) {
                contact.*fixed = at;
                return;
            }
        Contact contact{common, -1, -1};
        contact.*fixed = at;
        symbol().contacts.push_back(contact);
    }

    void add_park_contact() {
        if (part_.controls.empty()) return;
        const auto seat_of = [&](TerminalId t) {
            return static_cast<int>(std::find(made_.seats.begin(), made_.seats.end(), t) - made_.seats.begin());
        };
        const std::size_t at_rest = circuit_.at(part_.controls.front()).rest;
        Contact contact;
        for (const Primitive* p : contacts()) {
            contact.common = seat_of(p->b);
            ((p->closed_in >> at_rest & 1U) != 0 ? contact.rest : contact.make) = seat_of(p->a);
        }
        if (contact.common >= 0) symbol().contacts.push_back(contact);
    }

    // ---- switches

    std::vector<const Primitive*> contacts() const {
        std::vector<const Primitive*> found;
        for (const PrimitiveId p : view_.primitives()) {
            const Primitive& primitive = circuit_.at(p);
            if (primitive.part == id_ && primitive.element == Element::contact) found.push_back(&primitive);
        }
        return found;
    }

    void shape_switch() {
        take_all();
        if (part_.controls.empty()) {
            symbol().kind = SymbolKind::unit;
            return;
        }
        const Control& first = circuit_.at(part_.controls.front());
        if (part_.controls.size() == 1 && first.positions.size() == 2 && symbol().terminals.size() == 2) {
            symbol().kind = SymbolKind::lever_switch;
            if (first.type == Control::Type::sensed)
                set_sensed();
            else if (first.springs_back != 0)
                symbol().operated = Operated::by_push;
            const auto all = contacts();
            // Closed at rest: drawn open like every contact at rest would be a lie, so the table says it.
            const bool closed_at_rest = std::any_of(
                all.begin(), all.end(), [&](const Primitive* p) { return (p->closed_in >> first.rest & 1u) != 0; });
            if (!closed_at_rest) {
                forget_plain_stamps();
                return;
            }
        }
        symbol().kind = SymbolKind::table_switch;
        for (const ControlId c : part_.controls) add_positions(c);
    }

    void forget_plain_stamps() {
        const bool plain = symbol().terminals[0].stamp == "1" && symbol().terminals[1].stamp == "2";
        if (plain) forget_stamps();
    }

    void set_sensed() {
        const Attribute* thermal = view_.find(id_, Attr::thermal);
        const Stated<double> closes = value(Attr::temperature), closes_at_bar = value(Attr::pressure);
        const std::string label = lower(part_.label);
        const auto says = [&](const char* word) {
            return label.find(word) != std::string::npos || (thermal != nullptr && thermal->word == word);
        };
        const Attribute* opens = said_where_it_opens();
        const bool by_bar = closes_at_bar.known() ||
                            (opens != nullptr && opens->value.known() && opens->value.nominal >= least_pascals);
        symbol().operated = says("pressure") || by_bar ? Operated::by_pressure
                            : says("level")            ? Operated::by_level
                                                       : Operated::by_temperature;
        if (thermal == nullptr && !closes.known() && opens == nullptr && !says("temp") &&
            symbol().operated == Operated::by_temperature)
            symbol().operated = Operated::by_itself;
        if (closes.known()) note("closes at " + figure_here(closes, 1, "\u00B0C"));
        if (closes_at_bar.known()) note("closes at " + figure_here(closes_at_bar, 1e-5, "bar"));
        if (opens != nullptr && opens->value.known())
            note("opens at " + (opens->value.nominal >= least_pascals ? figure_here(opens->value, 1e-5, "bar")
                                                                      : figure_here(opens->value, 1, "\u00B0C")));
    }

    /// No temperature comes near this figure, and no pressure that a switch is set to stays under it.
    static constexpr double least_pascals = 1000;

    /// "opens at 87 degC", "opens at 8 bar"; null where nobody said.
    const Attribute* said_where_it_opens() const {
        for (const Attribute& a : part_.attributes)
            if (a.key == Attr::told && a.word == "opens" && a.life.at(view_.revision())) return &a;
        return nullptr;
    }

    std::string figure_here(const Stated<double>& value, double factor, const char* unit) {
        return marked(figure(value.nominal * factor) + " " + unit, value.how, value.span, unit, symbol().doubts);
    }

    Stated<double> value(Attr a) const {
        const Attribute* attribute = view_.find(id_, a);
        return attribute != nullptr ? attribute->value : Stated<double>{};
    }

    void add_positions(ControlId id) {
        const Control& control = circuit_.at(id);
        for (std::size_t p = 0; p < control.positions.size(); ++p) {
            Position position;
            position.name = control.name.empty() || part_.controls.size() == 1
                                ? control.positions[p]
                                : control.name + " " + control.positions[p];
            position.at_rest = p == control.rest;
            position.springs_back = (control.springs_back >> p & 1u) != 0;
            position.joined = joined(id, p);
            symbol().positions.push_back(std::move(position));
        }
    }

    std::vector<std::vector<int>> joined(ControlId control, std::size_t position) const {
        const std::size_t n = made_.symbol.terminals.size();
        std::vector<std::size_t> group(n);
        std::iota(group.begin(), group.end(), std::size_t{0});
        const auto of = [&](TerminalId t) -> std::size_t {
            const auto found = std::find(made_.seats.begin(), made_.seats.end(), t);
            return found == made_.seats.end() ? n
                                              : made_.terminal[static_cast<std::size_t>(found - made_.seats.begin())];
        };
        for (const Primitive* contact : contacts()) {
            if (contact->control != control || (contact->closed_in >> position & 1u) == 0) continue;
            const std::size_t a = of(contact->a), b = of(contact->b);
            if (a == n || b == n) continue;
            const std::size_t from = std::max(group[a], group[b]), to = std::min(group[a], group[b]);
            for (std::size_t& g : group)
                if (g == from) g = to;
        }
        std::vector<std::vector<int>> sets;
        for (std::size_t g = 0; g < n; ++g) {
            std::vector<int> members;
            for (std::size_t t = 0; t < n; ++t)
                if (group[t] == g) members.push_back(static_cast<int>(t));
            if (members.size() > 1) sets.push_back(std::move(members));
        }
        return sets;
    }

    // ---- relay

    void shape_relay() {
        if (!with_role(Role::coil_plus).exists()) { // one that reads its own volts: no coil of its own to draw
            symbol().kind = SymbolKind::table_switch;
            take_all();
            for (const ControlId c : part_.controls) add_positions(c);
            return;
        }
        take(with_role(Role::coil_plus));
        take(with_role(Role::coil_minus));
        // Each common with the contacts that are named behind it: 30 with 87 and 87a, 88 with 88a.
        int common = -1;
        for (const TerminalId t : part_.terminals) {
            const Role role = circuit_.at(t).role;
            if (role != Role::common && role != Role::make && role != Role::rest) continue;
            take(t);
            const int at = static_cast<int>(symbol().terminals.size()) - 1;
            if (role == Role::common)
                common = at;
            else
                add_to_contact(common, role == Role::make ? &Contact::make : &Contact::rest, at);
        }
        for (const PrimitiveId p : view_.primitives()) {
            const Primitive& primitive = circuit_.at(p);
            if (primitive.part != id_ || primitive.purpose != Purpose::suppressor) continue;
            symbol().suppression = primitive.element == Element::junction ? Suppression::diode : Suppression::resistor;
            if (primitive.element == Element::junction) symbol().band = primitive.b == made_.seats[0] ? 0 : 1;
        }
    }

    const View& view_;
    const Circuit& circuit_;
    PartId id_;
    const Part& part_;
    const std::function<bool(TerminalId)>& used_;
    PartSymbol made_;
};

} // namespace

SymbolKind symbol_kind_of(Kind kind) {
    switch (kind) {
    case Kind::battery: return SymbolKind::battery;
    case Kind::alternator: return SymbolKind::alternator;
    case Kind::starter: return SymbolKind::starter;
    case Kind::supply: return SymbolKind::supply;
    case Kind::beyond: return SymbolKind::beyond;
    case Kind::existing_wire: return SymbolKind::existing;
    case Kind::fuse: return SymbolKind::fuse;
    case Kind::link: return SymbolKind::fusible_link;
    case Kind::breaker: return SymbolKind::breaker;
    case Kind::switching: return SymbolKind::lever_switch;
    case Kind::relay: return SymbolKind::relay;
    case Kind::lamp: return SymbolKind::lamp;
    case Kind::led: return SymbolKind::led;
    case Kind::motor: return SymbolKind::motor;
    case Kind::horn: return SymbolKind::horn;
    case Kind::solenoid:
    case Kind::heater:
    case Kind::socket:
    case Kind::load: return SymbolKind::load;
    case Kind::flasher:
    case Kind::sensor:
    case Kind::sender:
    case Kind::gauge:
    case Kind::solar:
    case Kind::charger:
    case Kind::converter:
    case Kind::dynamo:
    case Kind::regulator:
    case Kind::electronics: return SymbolKind::unit;
    case Kind::diode: return SymbolKind::diode;
    case Kind::shunt:
    case Kind::resistor: return SymbolKind::resistor;
    case Kind::capacitor: return SymbolKind::capacitor;
    case Kind::ammeter:
        return SymbolKind::motor; // a circle with the letter of what it measures (IEC 60617, from memory)
    case Kind::touch: return SymbolKind::lever_switch;
    case Kind::connector: return SymbolKind::hole;
    case Kind::splice: return SymbolKind::splice;
    case Kind::bus: return SymbolKind::bus;
    case Kind::metal: return SymbolKind::metal;
    case Kind::ground: return SymbolKind::foot;
    case Kind::cut: return SymbolKind::cut;
    case Kind::loose_end:
    case Kind::unknown_end: return SymbolKind::open_end;
    case Kind::engine: // not drawn
    case Kind::box:    // its rails and fuses are drawn
    case Kind::wish:   // nothing to draw
    case Kind::not_known: return SymbolKind::unit;
    }
    return SymbolKind::unit;
}

PartSymbol symbol_of(const View& view, PartId part, const std::function<bool(TerminalId)>& used) {
    return Maker(view, part, used).run();
}

} // namespace loomproof::draw
