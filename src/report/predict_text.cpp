#include "report/predict_text.hpp"

#include "circuit/kind.hpp"
#include "circuit/outputs.hpp"

#include "base/number.hpp"
#include "report/columns.hpp"
#include "report/page.hpp"
#include "report/predict_words.hpp"
#include "solve/model.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace loomproof::report {

namespace {

using solve::Doing;

constexpr std::size_t most_told = 5;
constexpr double worth_telling = 0.3; // volts

std::string head(const Circuit& c, const solve::Arrived& arrived, const solve::Conditions& conditions) {
    if (c.engine && arrived.positions[c.engine->control.index] != c.at(c.engine->control).rest)
        return "with " + solve::said(c, arrived.positions);
    const std::string engine = std::string("engine ") + (conditions.engine_running ? "running" : "stopped");
    std::string switches = solve::said(c, arrived.positions);
    const std::string same = '"' + engine + '"'; // a condition that is that: said once
    if (const std::size_t at = switches.find(same); at != std::string::npos)
        switches.erase(at < 2 ? 0 : at - 2, same.size() + 2);
    return "with " + switches + (switches.empty() ? "" : ", ") + engine;
}

/// Which position every switch was taken to be in that the head does not name.
std::string at_rest(const View& view, const solve::Arrived& arrived, const Screen& screen) {
    const Circuit& c = view.circuit();
    std::vector<std::string> all;
    for (std::size_t i = 0; i < c.controls.size(); ++i) {
        const Control& control = c.controls[i];
        const bool told = control.type == Control::Type::hand || control.type == Control::Type::sensed ||
                          control.type == Control::Type::condition;
        const bool by_clock = control.part.exists() && c.at(control.part).kind == Kind::relay; // a note speaks of it
        if (!told || by_clock || arrived.positions[i] != control.rest || !control.part.exists() ||
            !view.alive(control.part) ||
            (control.type == Control::Type::condition && is_engine_condition(control.name))) // the head says that
            continue;
        const std::string name = solve::said(c, ControlId{i});
        const std::string said =
            control.type == Control::Type::condition ? name + " no" : name + " " + control.positions[control.rest];
        if (std::ranges::find(all, said) == all.end()) all.push_back(said);
    }
    return all.empty() ? std::string{} : paragraph(screen, "At rest: " + list_of(all) + ".");
}

std::vector<std::string> names_of(const Circuit& c, const std::vector<PartId>& parts) {
    std::vector<std::string> names;
    for (PartId part : parts) names.push_back(name_of(c, part));
    return names;
}

/// "what G1 gives", "what else in the vehicle is joined to TL and TR"
std::string on_what_it_hangs(const Circuit& c, const solve::Unsolved& unsolved) {
    std::string out;
    if (!unsolved.parts.empty())
        out = fmt::format("what {} {}", list_of(names_of(c, unsolved.parts)),
                          unsolved.parts.size() == 1 ? "gives" : "give");
    if (!unsolved.wires.empty())
        out += (out.empty() ? "" : " and on ") + std::string("what else in the vehicle is joined to ") +
               list_of(names_of(c, unsolved.wires));
    return out;
}

/// What no figure stands for, and why.
std::string what_is_unsolved(const Circuit& c, const solve::Unsolved& unsolved, const Screen& screen) {
    std::string out;
    if (!unsolved.parts.empty()) {
        std::vector<PartId> converters;
        std::ranges::copy_if(unsolved.parts, std::back_inserter(converters),
                             [&](PartId part) { return c.at(part).kind == Kind::converter; });
        const std::vector<std::string> fed = names_of(c, converters);
        std::string said = fmt::format("\"?\" hangs on {}: that is not worked out here, so measure it.",
                                       on_what_it_hangs(c, {{}, unsolved.parts, {}, {}}));
        if (!fed.empty())
            said += fmt::format(" What {} {} for it is in no amps either.", list_of(fed),
                                fed.size() == 1 ? "takes" : "take");
        out = paragraph(screen, said);
    }
    if (!unsolved.wires.empty())
        out += paragraph(screen, fmt::format("\"?\" hangs on {}: that is not in the file. No line joins these "
                                             "points to ground, so current looks for a way there: lamps glow, and the "
                                             "wrong ones. Measure it.",
                                             on_what_it_hangs(c, {{}, {}, unsolved.wires, {}})));
    return out;
}

constexpr const char* joined_to_nothing = "none";
const char* const what_none_means = "Volts \"none\": the point is joined to nothing that is live or grounded; a meter "
                                    "there shows 0 or wanders.";

std::string notes(const solve::Arrived& arrived, bool settled, const Screen& screen) {
    std::string out;
    for (const std::string& n : arrived.notes) out += paragraph(screen, n);
    if (!arrived.settled) out += paragraph(screen, "Nothing stays as shown: the figures hold for one moment of it.");
    if (!settled) out += paragraph(screen, "The figures could not be worked out exactly: do not rely on them.");
    return out;
}

std::string hangs_on(const Circuit& c, const std::vector<solve::NotKnown>& not_known, const Screen& screen) {
    std::vector<std::string> all, contacts;
    for (const solve::NotKnown& n : not_known) {
        if (n.what == "rating of the contact") {
            contacts.push_back(fmt::format("{} ({})", name_of(c, n.part), n.taken));
            continue;
        }
        const std::string name = n.wire.exists() ? name_of(c, n.wire) : name_of(c, n.part);
        const bool rating = n.what == "rating"; // what is taken for it is what such a fuse has inside, not amps
        const bool drawn = rating && c.at(n.part).kind != Kind::existing_wire && c.at(n.part).kind != Kind::supply;
        all.push_back((n.what == "what it takes" ? "what " + name + " takes"
                       : rating && !drawn        ? "which fuse " + name + " comes from"
                       : rating                  ? "what " + name + " is rated at"
                                                 : "the " + n.what + " of " + name) +
                      " (" + n.taken + (rating ? " inside it" : "") + " taken)");
    }
    std::string out;
    if (!all.empty()) out = paragraph(screen, "Nobody said: " + list_of(all) + ". The figures hang on it.");
    // Made for so much, a contact has fewer ohms than a small one.
    if (!contacts.empty())
        out += paragraph(screen, fmt::format("Taken for {}: {}. Nobody said what {} made for; write its amps behind "
                                             "the name, and less is lost.",
                                             contacts.size() == 1 ? "a closed contact" : "closed contacts",
                                             list_of(contacts), contacts.size() == 1 ? "it is" : "they are"));
    return out;
}

/// What stands for figures that nobody said, each sort once: ohms of joints and contacts, and what a converter takes and when.
std::string taken_for(const View& view, const std::vector<std::optional<Amps>>& amps, const Screen& screen) {
    const Circuit& c = view.circuit();
    std::string out;
    if (const std::vector<std::string> ohms = solve::ohms_taken(view, amps); !ohms.empty())
        out = paragraph(screen, "Taken where nobody said the ohms: " + list_of(ohms) + " (usual figures).");
    std::vector<std::string> converters;
    for (PrimitiveId id : view.primitives())
        if (const Primitive& p = c.at(id); p.purpose == Purpose::conversion && p.element == Element::constant_power &&
                                           amps[id.index] && std::abs(amps[id.index]->si) > 0.01)
            for (const Assumption& a : c.assumptions)
                if (a.subject == name_of(c, p.part))
                    converters.push_back(a.subject + ": " + a.value + ", as " + a.basis);
    for (const std::string& said : converters) out += paragraph(screen, "Taken for " + said + ".");
    return out;
}

constexpr std::size_t phone = 60; // columns that a small screen shows without breaking lines

Screen narrowed(const Screen& screen) {
    Screen narrow = screen;
    narrow.width = std::min(screen.width, phone);
    return narrow;
}

bool is_load(const Circuit& c, const Primitive& p) {
    const bool takes = p.element == Element::resistance || p.element == Element::filament ||
                       p.element == Element::machine || p.element == Element::constant_power;
    return takes && c.at(p.part).kind != Kind::resistor &&
           (p.purpose == Purpose::plain || p.purpose == Purpose::coil || p.purpose == Purpose::starter_solenoid ||
            p.purpose == Purpose::conversion);
}

/// "lit", "turns slowly"
const char* does(Kind kind, Purpose purpose, bool fully) {
    if (purpose == Purpose::coil || purpose == Purpose::starter_solenoid)
        return fully ? "pulled in" : "hums, not pulled in";
    return fully ? spec_of(kind).does : spec_of(kind).does_weakly;
}

/// Where the contacts that a coil moves ended up. Its watts say nothing of it: a starter's solenoid holds with a fraction of what it
/// pulls in with. Nothing for a relay that latches or is timed: its coil alone does not say.
std::optional<bool> pulled_in(const Circuit& c, const Primitive& coil, const solve::Positions& positions) {
    if (coil.purpose != Purpose::coil && coil.purpose != Purpose::starter_solenoid) return std::nullopt;
    for (const ControlId id : c.at(coil.part).controls)
        if (c.at(id).type == Control::Type::relay) return positions[id.index] + 1U == c.at(id).positions.size();
    return std::nullopt;
}

/// What a part takes at these ends: a coil with the resistor or diode across it.
Amps taken(const View& view, const solve::Point& point, PrimitiveId load) {
    const Primitive& p = view.circuit().at(load);
    Amps sum = *point.primitive_amps[load.index];
    for (const PrimitiveId id : view.primitives()) {
        const Primitive& other = view.circuit().at(id);
        const auto& amps = point.primitive_amps[id.index];
        if (other.part != p.part || other.purpose != Purpose::suppressor || !amps) continue;
        if (other.a == p.a && other.b == p.b) sum = sum + *amps;
        if (other.a == p.b && other.b == p.a) sum = sum - *amps;
    }
    return Amps{std::abs(sum.si)};
}

/// A coil whose relay latches or runs by the clock: what it does to its contacts is not worked out.
bool stands_alone(const Circuit& c, const Primitive& coil) {
    return coil.purpose == Purpose::coil && std::ranges::none_of(c.at(coil.part).controls, [&](ControlId id) {
               return c.at(id).type == Control::Type::relay;
           });
}

/// "E1 headlamp, left: lit, 9.2 A" for every load that does something; in one line those that do nothing.
std::string what_works(const View& view, const solve::Prediction& p, const std::vector<PartId>& only,
                       const Screen& screen) {
    const Circuit& c = view.circuit();
    std::string working;
    std::vector<std::string> off, unknown;
    const bool all = only.empty();
    for (const PrimitiveId id : view.primitives()) {
        const Primitive& load = c.at(id);
        const auto& volts = p.point.primitive_volts[id.index];
        const auto& amps = p.point.primitive_amps[id.index];
        if (!is_load(c, load) || (!only.empty() && std::ranges::find(only, load.part) == only.end())) continue;
        const std::string name = name_of(c, load.part) +
                                 (c.at(load.a).role == Role::filament ? ":" + c.at(load.a).stamp : "") +
                                 (load.purpose == Purpose::starter_solenoid ? " solenoid" : "") +
                                 (!all && load.purpose == Purpose::coil ? " coil" : "");
        if (p.unsolved(load.a) || p.unsolved(load.b)) {
            if (std::ranges::find(unknown, name) == unknown.end()) unknown.push_back(name);
            continue;
        }
        const Doing doing = volts && amps ? solve::doing(c, id, *volts, *amps) : Doing::off;
        const std::optional<bool> pulled = pulled_in(c, load, p.arrived.positions);
        if (doing == Doing::off && !pulled.value_or(false)) {
            if (std::ranges::find(off, name) == off.end()) off.push_back(name);
            continue;
        }
        const std::string& label = c.at(load.part).label;
        const std::string said =
            name + (label.empty() ? "" : " " + label) + ": " +
            (stands_alone(c, load) ? doing == Doing::on ? "coil fed" : "coil fed weakly"
                                   : does(c.at(load.part).kind, load.purpose, pulled.value_or(doing == Doing::on))) +
            ", " + amount(taken(view, p.point, id).si) + " A";
        const std::vector<std::string> lines = wrap(said, screen.width - 2, screen.width - 4);
        for (std::size_t i = 0; i < lines.size(); ++i) working += (i == 0 ? "  " : "    ") + lines[i] + "\n";
    }
    std::string out;
    if (!working.empty()) out += "\nWhat works\n" + working;
    if (!off.empty())
        out += paragraph(screen, (working.empty() && unknown.empty() && all ? "Nothing works. Off: " : "Off: ") +
                                     list_of(off) + ".");
    if (!unknown.empty())
        out += paragraph(screen,
                         fmt::format("Not known: {}, as {} on {}.", list_of(unknown),
                                     unknown.size() == 1 ? "it hangs" : "they hang", on_what_it_hangs(c, p.unsolved)));
    return out;
}

/// "R1 is taken at 0 ohm, where most flows. Turned to 20 ohm: E1 gets 3.4 V and 0.2 A: dim."
std::string turned_down(const View& view, const solve::Prediction& p, const std::vector<PartId>& only,
                        const Screen& screen) {
    const Circuit& c = view.circuit();
    const auto wanted = [&](PartId part) { return only.empty() || std::ranges::find(only, part) != only.end(); };
    std::string out;
    for (const solve::Turned& t : p.turned) {
        std::vector<std::string> loads;
        for (const solve::Turned::Does& d : t.loads) {
            if (!wanted(t.rheostat) && !wanted(c.at(d.load).part)) continue;
            const Primitive& load = c.at(d.load);
            const std::string filament = c.at(load.a).role == Role::filament ? ":" + c.at(load.a).stamp : "";
            loads.push_back(name_of(c, load.part) + filament + " gets " + meter(d.volts.si) + " V and " +
                            amount(d.amps.si) + " A (" +
                            (d.doing == Doing::off ? std::string(c.at(load.part).kind == Kind::lamp ? "out" : "off")
                             : load.purpose == Purpose::coil
                                 ? std::string(d.doing == Doing::on ? "fed" : "fed weakly")
                                 : std::string(does(c.at(load.part).kind, load.purpose, d.doing == Doing::on))) +
                            ")");
        }
        if (!loads.empty())
            out += paragraph(screen, name_of(c, t.rheostat) + " is taken at " + text(t.least) +
                                         ", where most flows. Turned to " + text(t.most) + ": " + list_of(loads) + ".");
    }
    return out;
}

/// "F1 opens: 100 A flow, and it is made for 10 A. All that stands here is the moment before. Then nothing reaches E1."
std::string what_opens(const View& view, const solve::Prediction& p, const Screen& screen) {
    if (p.openings.empty()) return {};
    const Circuit& c = view.circuit();
    std::string out;
    for (const solve::Opening& o : p.openings) {
        const bool first = &o == &p.openings.front();
        const Part& part = c.at(c.at(o.protector).part);
        const bool drawn = part.kind == Kind::fuse || part.kind == Kind::breaker || part.kind == Kind::link;
        out += (first ? "" : " Then ") +
               std::string(drawn   ? ""
                           : first ? "The fuse before "
                                   : "the fuse before ") +
               name_of(c, c.at(o.protector).part) +
               (o.surely_within_seconds() ? " opens in seconds: "
                : o.within_seconds()      ? " opens after seconds or minutes: "
                                          : " opens after minutes: ") +
               amount(o.amps.si) + " A flow, and it is made for " + amount(o.rating.si) + " A.";
    }
    std::vector<std::string> dark;
    for (PrimitiveId id : p.dark)
        if (const std::string name = name_of(c, c.at(id).part); std::ranges::find(dark, name) == dark.end())
            dark.push_back(name);
    out += dark.empty() ? " No load goes dark with it." : " After that nothing reaches " + list_of(dark) + ".";
    return paragraph(
        screen,
        out + " The figures below are those of the moment before" +
            (p.soon_over == solve::SoonOver::a_fuse_opens ? ", with wires and fuses as warm as their place." : "."));
}

/// Why the wires are cold.
std::string cold_wires(solve::SoonOver soon_over, const Screen& screen) {
    if (soon_over != solve::SoonOver::a_starter_turns) return {};
    return paragraph(screen,
                     "Cranking lasts seconds, so wires and fuses are taken to be as warm as their place: what a "
                     "meter shows at first.");
}

/// Where the meter's other lead is held: with several batteries the one whose post it is stands by its name.
std::string ground_post(const View& view, TerminalId against) {
    const Circuit& c = view.circuit();
    if (against.exists() && c.part_of(against).kind == Kind::metal) return "the body";
    const auto batteries = std::ranges::count_if(
        view.parts(), [&](PartId part) { return c.at(part).kind == Kind::battery && !c.at(part).poisoned; });
    return batteries < 2 || !against.exists() ? "the battery's ground post" : name_of(c, against);
}

/// "What hangs on B2 has no way there: it counts from B2:-."
std::string own_posts(const View& view, const solve::Prediction& p, const Screen& screen) {
    const Circuit& c = view.circuit();
    std::string out;
    for (TerminalId post : p.own_posts)
        out +=
            paragraph(screen, fmt::format("What hangs on {} has no way there: its volts, and the lamp, are against {}.",
                                          name_of(c, c.at(post).part), name_of(c, post)));
    return out;
}

/// What asked-for parts let through: "K3 from 87a to 30: closed, 7.7 A", "F1: 4.6 A"; a load's own ends are told by what works.
std::string what_passes(const View& view, const solve::Prediction& p, const std::vector<PartId>& only,
                        const Screen& screen) {
    const Circuit& c = view.circuit();
    std::string out;
    for (const PrimitiveId id : view.primitives()) {
        const Primitive& way = c.at(id);
        if (std::ranges::find(only, way.part) == only.end()) continue;
        const bool contact = way.element == Element::contact;
        if (!contact && way.element != Element::protector && way.element != Element::junction &&
            way.element != Element::meter)
            continue;
        if (c.at(way.a).internal && c.at(way.b).internal) continue;
        const auto& amps = p.point.primitive_amps[id.index];
        const bool back = amps && amps->si < 0;
        const TerminalId from = back ? way.b : way.a, to = back ? way.a : way.b;
        std::string said = name_of(c, way.part);
        if (contact && !c.at(from).stamp.empty() && !c.at(to).stamp.empty())
            said += " " + c.at(from).stamp + " to " + c.at(to).stamp;
        const bool closed = solve::is_closed(way, p.arrived.positions);
        // A feed that is not drawn has no contact that anybody could look at: it gives plus or ground, or it does not.
        const bool feed = way.purpose == Purpose::feed_condition;
        const bool grounds = feed && !c.at(way.a).internal;
        if (feed)
            said += !closed ? ": dead" : grounds ? ": grounded, " : ": live, ";
        else
            said += contact ? closed ? ": closed, " : ": open" : ": ";
        if (closed || !contact) said += amps ? amount(std::abs(amps->si)) + " A" : std::string("current not known");
        if (feed && closed && amps) said += grounds ? " flow into it" : " come from it";
        for (const std::string& line : wrap(said, screen.width - 2, screen.width - 4)) out += "  " + line + "\n";
    }
    return out.empty() ? out : "\nWhat passes\n" + out;
}

/// Point, volts, test lamp, amps, and where the wire leads, in as few columns as a phone has: what is too long goes on below itself.
class Readings {
  public:
    Readings(const View& view, const solve::Prediction& p, std::size_t width)
        : view_(view), c_(view.circuit()), p_(p), width_(width) {}

    void add(const solve::Reading& r) {
        const bool open = p_.unsolved(r.terminal);
        const bool open_wire = r.wire.exists() && flow_is_open(c_.at(r.wire));
        const std::string volts = open ? "?" : r.volts ? meter(r.volts->si) : joined_to_nothing;
        rows_.push_back({r.again ? "" : printable(point_text(view_, r.terminal)), r.again ? "" : volts,
                         r.again ? ""
                         : open  ? "?"
                                 : lamp_word(r.lamp),
                         open_wire         ? "?"
                         : r.wire.exists() ? flows(r.amps, r.noise)
                         : open            ? std::string{}
                                           : flows_without_wire(view_, p_, r),
                         printable(leads(view_, p_, r))});
        has_none_ = has_none_ || (!r.volts && !open);
        has_noise_ = has_noise_ || r.noise;
        const std::size_t name = columns(rows_.back().name);
        if (name <= widest_name) name_width_ = std::max(name_width_, name);
    }
    bool has_none() const { return has_none_; }
    bool has_noise() const { return has_noise_; }
    void place(const std::string& name) { rows_.push_back({name, "", "", "", "", true}); }

    std::string text() const {
        const std::string blank(indent + name_width_, ' ');
        std::string out = blank + "   volts  test     amps  yours\n" + blank + "          lamp\n";
        for (const Row& row : rows_) out += row.is_place ? row.name + "\n" : line(row);
        return out;
    }

  private:
    bool flow_is_open(const Wire& w) const {
        return p_.unsolved(w.a) || p_.unsolved(w.b) || (p_.unsolved.flows(w.a) && p_.unsolved.flows(w.b));
    }

    static constexpr std::size_t widest_name = 14, indent = 2, figures = 2 + 6 + 2 + 6 + 7 + 2 + 5 + 2;
    struct Row {
        std::string name, volts, lamp, amps, leads;
        bool is_place = false;
    };

    std::string line(const Row& row) const {
        std::string out = std::string(indent, ' ') + padded(row.name, name_width_);
        // A name too long for its column has a line of its own.
        if (columns(row.name) > name_width_) out += "\n" + std::string(indent + name_width_, ' ');
        out += "  " + padded(row.volts, 6, true) + "  " + padded(row.lamp, 6) + padded(row.amps, 7, true) + "  _____";
        const std::size_t before = indent + name_width_ + figures, room = width_ > before + 12 ? width_ - before : 0;
        if (row.leads.empty()) return out + "\n";
        if (room == 0) return out + "\n    " + row.leads + "\n";
        const std::vector<std::string> lines = wrap(row.leads, room, room);
        for (std::size_t i = 0; i < lines.size(); ++i)
            out += (i == 0 ? "  " : "\n" + std::string(before, ' ')) + lines[i];
        return out + "\n";
    }

    const View& view_;
    const Circuit& c_;
    const solve::Prediction& p_;
    std::size_t width_, name_width_ = 6;
    bool has_none_ = false, has_noise_ = false;
    std::vector<Row> rows_;
};

} // namespace

std::string predict_text(const View& view, const solve::Prediction& p, const Screen& wide,
                         const PredictOptions& options) {
    const Circuit& c = view.circuit();
    const Screen screen = narrowed(wide);
    const auto wanted = [&](PartId part) {
        return options.only.empty() || std::ranges::find(options.only, part) != options.only.end();
    };
    // By place in the order in which places come up; what lies nowhere in particular comes first.
    std::vector<std::string> places{""};
    for (const solve::Reading& r : p.readings)
        if (const std::string place = place_of_terminal(c, r.terminal);
            std::ranges::find(places, place) == places.end())
            places.push_back(place);
    Readings table(view, p, screen.width);
    for (const std::string& place : places) {
        bool first = true;
        for (const solve::Reading& r : p.readings) {
            if (place_of_terminal(c, r.terminal) != place || !wanted(c.at(r.terminal).part)) continue;
            if (first && !place.empty()) table.place(printable(place));
            table.add(r);
            first = false;
        }
    }
    std::string out = paragraph(screen, head(c, p.arrived, p.conditions)) + at_rest(view, p.arrived, screen) +
                      notes(p.arrived, p.point.settled, screen) + cold_wires(p.soon_over, screen) +
                      what_opens(view, p, screen);
    out += what_works(view, p, options.only, screen) + what_passes(view, p, options.only, screen) +
           turned_down(view, p, options.only, screen) + "\n";
    const bool body = p.against.exists() && c.part_of(p.against).kind == Kind::metal;
    out += paragraph(screen, "Volts against " + ground_post(view, p.against) +
                                 (body ? ", to which the batteries are tied" : "") +
                                 ". The test lamp (3 W), held between the point and " + (body ? "there" : "that post") +
                                 ", is bright, dim or out.") +
           own_posts(view, p, screen);
    out += table.text();
    if (table.has_none()) out += paragraph(screen, what_none_means);
    out += what_is_unsolved(c, p.unsolved, screen);
    if (table.has_noise())
        out += paragraph(screen, fmt::format("Amps \"off\": less than {} A leaks through loads that are off.",
                                             figure(solve::noise_amps.si)));
    out += "\n";
    const auto loss = [](const solve::Lost* l) { return l->at_source.si - l->at_load.si; };
    std::vector<const solve::Lost*> lost;
    for (const solve::Lost& l : p.lost)
        if (wanted(c.at(l.load).part)) lost.push_back(&l);
    std::ranges::stable_sort(lost, [&](const auto* a, const auto* b) { return loss(a) > loss(b); });
    std::size_t told = 0;
    for (const solve::Lost* l : lost) {
        if (options.only.empty() && (told == most_told || loss(l) < worth_telling)) break;
        out += lost_text(view, *l, screen);
        ++told;
    }
    if (told == 0 && !lost.empty())
        out += paragraph(screen, fmt::format("No load loses {} V or more on its way.", worth_telling));
    else if (told < lost.size())
        out += paragraph(screen, fmt::format("{} more {} less.", lost.size() - told,
                                             lost.size() - told == 1 ? "load loses" : "loads lose"));
    out += hangs_on(c, p.not_known, screen) + taken_for(view, p.point.primitive_amps, screen);
    out += paragraph(screen, "Calculated for sound wires and joints: where a meter shows something else, look there. "
                             "Measure with fused leads, and keep clear of fans and belts.");
    return out;
}

std::string trace_text(const View& view, const solve::Trace& t, TerminalId from, TerminalId to, const Screen& wide) {
    const Circuit& c = view.circuit();
    const Screen screen = narrowed(wide);
    std::string out =
        paragraph(screen,
                  point_text(view, from) + " to " + point_text(view, to) + ", " + head(c, t.arrived, t.conditions)) +
        at_rest(view, t.arrived, screen) + notes(t.arrived, true, screen) + cold_wires(t.soon_over, screen);
    if (t.steps.empty()) return out + paragraph(screen, "Nothing leads from one to the other.");
    Table table({false, true, true, true});
    table.row({"", "volts", "lost", "amps"});
    std::optional<Volts> lost = Volts{0};
    bool unsolved = false;
    for (std::size_t i = 0; i < t.steps.size(); ++i) {
        const solve::TraceStep& s = t.steps[i];
        const bool open_here = t.unsolved(s.at), open_way = open_here || (i > 0 && t.unsolved(t.steps[i - 1].at));
        unsolved = unsolved || open_way;
        if (s.over.exists()) {
            std::string what = "  " + called_briefly(view, s.over);
            if (s.over.is_wire()) {
                const Wire& w = c.at(s.over.wire);
                for (const std::string& more :
                     {colour_words(w.colours), w.size, w.length.known() ? text(w.length.nominal) : std::string{}})
                    if (!more.empty()) what += ", " + more;
            }
            lost = lost && s.drop && !open_way ? std::optional(*lost + *s.drop) : std::nullopt;
            table.row({what, "",
                       s.open     ? "open"
                       : open_way ? "?"
                       : s.drop   ? meter(s.drop->si)
                                  : "",
                       s.open                ? ""
                       : open_way || !s.amps ? "?"
                                             : amount(s.amps->si)});
        }
        const bool halves = std::ranges::any_of(t.steps, [&](const solve::TraceStep& o) {
            return o.at != s.at && point_text(view, o.at) == point_text(view, s.at);
        });
        table.row({halves ? half_text(view, s.at) : point_text(view, s.at),
                   open_here ? "?"
                   : s.volts ? meter(s.volts->si)
                             : joined_to_nothing,
                   "", ""});
    }
    out += table.text("  ");
    if (unsolved) out += what_is_unsolved(c, t.unsolved, screen);
    if (std::ranges::any_of(t.steps, [&](const solve::TraceStep& s) { return !s.volts && !t.unsolved(s.at); }))
        out += paragraph(screen, what_none_means);
    if (t.broken)
        out += paragraph(screen, "The way is open with the switches so: nothing flows over it.");
    else if (lost)
        out +=
            paragraph(screen, (t.over_load ? "Between the two lie " : "Lost on the way: ") + meter(lost->si) + " V.");
    return out + hangs_on(c, t.not_known, screen);
}

} // namespace loomproof::report
