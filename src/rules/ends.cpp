#include "rules/ends.hpp"

#include <algorithm>
#include <set>

namespace loomproof::rules {

namespace {

/// Kinds that are nothing without wires. Feeds, plugs, grounds and metal that nobody uses are just that.
bool needs_wires(const Part& part) {
    switch (part.kind) {
    case Kind::supply:
    case Kind::existing_wire:
    case Kind::connector:
    case Kind::bus:
    case Kind::metal:
    case Kind::ground:
    case Kind::cut:
    case Kind::loose_end:
    case Kind::unknown_end:
    case Kind::engine:
    case Kind::touch:
    case Kind::box:
    case Kind::wish:
    case Kind::not_known: return false;
    default: return !part.poisoned && part.origin.provenance != Provenance::assumed;
    }
}

bool is_output(Role r) { return r == Role::make || r == Role::rest; }

bool bolted(const View& view, TerminalId t) {
    return std::ranges::any_of(view.primitives_at(t),
                               [&](PrimitiveId p) { return view.circuit().at(p).purpose == Purpose::mounting; });
}

/// What feeds the contact that carries a wiper to its rest, and where it gives that on (DIN 72552; 53a from memory).
bool is_parking_end(const Terminal& t) { return t.stamp == "53a" || t.stamp == "31b"; }

/// Ends of metal that touches other metal and may let go of it: paint, grease and rust decide whether current gets through. A touch that
/// conducts at its worst too ("0.1 ohm to 5 ohm") is a joint.
struct Loose {
    explicit Loose(const Study& study) : ends(study.circuit.terminals.size(), false) {
        for (PartId p : study.now.parts()) {
            if (study.circuit.at(p).kind != Kind::touch || study.now.has(p, Attr::high_end)) continue;
            parts.push_back(p);
            for (TerminalId t : study.circuit.at(p).terminals) ends[t.index] = true;
        }
    }
    std::vector<bool> ends; ///< by terminal
    std::vector<PartId> parts;
};

/// What is on ground though nothing that is loose touches: `Sides` counts each contact as closed.
std::vector<bool> on_ground(const Study& study, const Sides& sides, const Loose& loose) {
    if (loose.parts.empty()) return sides.ground().reached_set();
    std::vector<TerminalId> starts;
    for (std::size_t i = 0; i < study.reference.size(); ++i)
        if (study.reference[i]) starts.push_back(TerminalId{i});
    std::vector<bool> not_into = loose.ends;
    for (std::size_t i = 0; i < not_into.size(); ++i) not_into[i] = not_into[i] || sides.live_always(TerminalId{i});
    const std::vector<bool> live = sides.live().reached_set();
    const Spread firm(study.now, {.starts = std::move(starts),
                                  .with_current = !study.from_plus(),
                                  .not_into = &not_into,
                                  .no_diode_into = &live});
    std::vector<bool> ground = firm.reached_set();
    for (std::size_t i = 0; i < ground.size(); ++i) ground[i] = ground[i] && sides.ground(TerminalId{i});
    return ground;
}

/// What current gets back from, to a ground or to something that nobody traced, be it through other loads. A terminal that is live
/// at times and on ground at others is a feed: what hangs on it does not get back through itself.
std::vector<bool> returned(const Study& study, const Sides& sides, const Loose& loose) {
    const std::vector<bool> ground = on_ground(study, sides, loose);
    std::vector<bool> seen(study.circuit.terminals.size());
    std::vector<TerminalId> starts;
    for (std::size_t i = 0; i < seen.size(); ++i) {
        const TerminalId t{i};
        if (!ground[i] && !sides.untraced(t)) continue;
        seen[i] = true;
        if (!sides.live(t)) starts.push_back(t);
    }
    region(study.now, starts, Through::loads_too, [&](TerminalId t) {
        if (seen[t.index] || sides.live(t) || loose.ends[t.index]) return false;
        seen[t.index] = true;
        return true;
    });
    return seen;
}

/// A battery's ground pole is a reference whatever hangs on it; here it counts only if metal, another source or a load is joined to it.
/// The walk ends there, so it stays short.
bool leads_nowhere(const Study& study, const Sides& sides, TerminalId pole) {
    const Circuit& c = study.circuit;
    if (sides.live(pole)) return false;
    bool somewhere = false;
    std::set<TerminalId> seen{pole};
    region(study.now, {pole}, Through::what_conducts, [&](TerminalId t) {
        if (somewhere || !seen.insert(t).second) return false;
        somewhere = c.part_of(t).kind == Kind::metal || sides.untraced(t);
        return !somewhere;
    });
    for (TerminalId t : seen)
        for (PrimitiveId id : study.now.primitives_at(t))
            somewhere = somewhere || is_load(c.at(id)) || (c.at(id).element == Element::source && t != pole);
    return !somewhere;
}

/// Where a vehicle is partly described, a feed that begins beyond the file comes from its battery, whose live pole then has its wires there.
bool feeds_what_is_not_drawn(const Study& study, TerminalId t) {
    const Circuit& c = study.circuit;
    const PartId part = c.at(t).part;
    if (c.vehicle.described || c.vehicle.text.empty() || c.at(part).kind != Kind::battery ||
        c.at(t).role == study.now.ground_pole())
        return false;
    const auto first = std::ranges::find_if(study.now.parts(), [&](PartId p) { return c.at(p).kind == Kind::battery; });
    return *first == part && std::ranges::any_of(study.now.primitives(), [&](PrimitiveId id) {
        const Primitive& p = c.at(id);
        const Kind kind = c.at(p.part).kind;
        return p.element == Element::source && (kind == Kind::supply || kind == Kind::existing_wire);
    });
}

} // namespace

Ends::Ends(const Study& study)
    : circuit_(&study.circuit),
      last_gone_(study.circuit.terminals.size(), never),
      listed_(study.circuit.terminals.size()) {
    for (const Wire& w : circuit_->wires) {
        if (w.life.gone > study.now.revision()) continue;
        for (TerminalId t : {w.a, w.b}) {
            if (!t.exists()) continue;
            Revision& last = last_gone_[t.index];
            last = last == never ? w.life.gone : std::max(last, w.life.gone);
        }
    }
    for (const StillToWire& s : circuit_->still_to_wire)
        if (s.terminal.exists()) listed_[s.terminal.index] = true;
    for (PartId p : study.now.parts()) look_at(study, p);
}

void Ends::look_at(const Study& study, PartId id) {
    const Part& part = circuit_->at(id);
    if (!needs_wires(part)) return;
    const auto wired = [&](TerminalId t) { return !study.now.wires_at(t).empty(); };
    const auto role = [&](TerminalId t) { return circuit_->at(t).role; };
    if (std::ranges::none_of(part.terminals, wired)) {
        // Where a vehicle is partly described, or its file is not done, its battery and machines may be named for what they are, without
        // their cables.
        const bool of_the_vehicle =
            part.kind == Kind::battery || part.kind == Kind::alternator || part.kind == Kind::starter;
        const bool all_is_said = circuit_->vehicle.complete && circuit_->vehicle.text.empty();
        if (!of_the_vehicle || circuit_->vehicle.described || all_is_said) idle_.push_back({id, due(id)});
        return;
    }
    const auto output = [&](TerminalId t) { return is_output(role(t)); };
    const bool output_wired = std::ranges::any_of(part.terminals, [&](TerminalId t) { return output(t) && wired(t); });
    const auto filament = [&](TerminalId t) { return role(t) == Role::filament; };
    const bool filament_wired =
        std::ranges::any_of(part.terminals, [&](TerminalId t) { return filament(t) && wired(t); });
    bool filament_named = filament_wired;
    // A regulator beside the alternator is drawn: then the field that it feeds has to be tied to something.
    const bool needs_field =
        part.kind == Kind::alternator && study.now.has(id, Attr::own_regulator) &&
        std::ranges::any_of(study.now.parts(), [&](PartId p) { return circuit_->at(p).kind == Kind::regulator; });
    for (TerminalId t : part.terminals) {
        if (wired(t) || bolted(study.now, t) || circuit_->at(t).internal || feeds_what_is_not_drawn(study, t)) continue;
        // A starter that is fed over a switch or relay outside has no solenoid that its 50 would work.
        if (part.kind == Kind::starter && circuit_->at(t).role == Role::signal && study.now.primitives_at(t).empty())
            continue;
        if (needs_field && circuit_->at(t).stamp == "DF") {
            open_.push_back({t, due(t)});
            continue;
        }
        // A wiper that parks by itself needs both ends of the contact for it, or neither (never-powered where it is due).
        if (study.now.has(id, Attr::parks) && !due(t) && is_parking_end(circuit_->at(t)) &&
            std::ranges::any_of(part.terminals,
                                [&](TerminalId o) { return is_parking_end(circuit_->at(o)) && wired(o); }))
            open_.push_back({t, false});
        // Where it is said to have a lamp terminal, it does not wake by itself; excitation-lost speaks of it where it is due.
        const bool lamp_terminal = part.kind == Kind::alternator && study.now.has(id, Attr::lamp_stamp) &&
                                   circuit_->at(t).stamp == circuit_->at(part.terminals[2]).stamp;
        if (lamp_terminal && !due(t)) open_.push_back({t, false});
        const bool needed = output(t) ? circuit_->at(t).must_be_wired && !output_wired : circuit_->at(t).must_be_wired;
        if (!needed && !(filament(t) && !filament_named)) continue;
        filament_named = filament_named || filament(t);
        open_.push_back({t, due(t)});
    }
}

bool Ends::due_since(Revision r) const {
    const RevisionInfo& info = circuit_->revisions[r];
    return r == 0 ? circuit_->has_factory : info.status == RevisionInfo::Status::fitted;
}

bool Ends::due(PartId p) const {
    if (circuit_->vehicle.complete) return true;
    const Part& part = circuit_->at(p);
    if (std::ranges::any_of(part.terminals, [&](TerminalId t) { return listed_[t.index]; })) return false;
    return part.origin.provenance == Provenance::factory ||
           (part.origin.provenance == Provenance::job && due_since(part.life.born));
}

bool Ends::due(TerminalId t) const {
    if (circuit_->vehicle.complete) return true;
    if (listed_[t.index]) return false;
    const Revision gone = last_gone_[t.index];
    return gone != never ? due_since(gone) : due(circuit_->at(t).part);
}

std::vector<MissingGround> missing_grounds(const Study& study, const Sides& sides, const Ends& ends) {
    const View& now = study.now;
    const Circuit& c = study.circuit;
    const Loose loose(study);
    const std::vector<bool> gets_back = returned(study, sides, loose);
    const bool described = c.vehicle.described || c.vehicle.complete;
    std::vector<MissingGround> found;
    std::vector<std::size_t> island(c.terminals.size(), 0); // number in `found`, from 1

    const auto that_touch = [&](const std::vector<TerminalId>& floating) {
        std::vector<PartId> touches;
        const auto among = [&](TerminalId t) { return std::ranges::find(floating, t) != floating.end(); };
        for (PartId touch : loose.parts) {
            TerminalId here, there; // the metal that floats, and the other piece
            for (TerminalId end : c.at(touch).terminals)
                for (PrimitiveId id : now.primitives_at(end))
                    if (c.at(id).purpose == Purpose::mounting) (among(c.at(id).b) ? here : there) = c.at(id).b;
            if (here.exists() && there.exists() && gets_back[there.index]) touches.push_back(touch);
        }
        return touches;
    };
    const auto metal_behind = [&](const MissingGround& m) {
        std::vector<bool> seen(c.terminals.size(), false);
        for (TerminalId t : m.floating) seen[t.index] = true;
        region(now, m.floating, Through::loads_too, [&](TerminalId t) {
            if (seen[t.index] || sides.live(t) || loose.ends[t.index]) return false;
            seen[t.index] = true;
            return true;
        });
        return std::ranges::find_if(found, [&](const MissingGround& other) {
            return other.metal.exists() && other.due && seen[other.at.index];
        });
    };
    const auto nowhere = [&](TerminalId t) { return !gets_back[t.index] && !sides.live(t); };
    const auto note = [&](PartId user, TerminalId end, bool source) {
        if (c.at(user).poisoned) return;
        if (island[end.index] == 0) {
            island[end.index] = found.size() + 1;
            MissingGround m;
            m.at = end;
            m.floating = region(now, {end}, Through::what_conducts, [&](TerminalId t) {
                if (island[t.index] != 0 || sides.live(t) || loose.ends[t.index]) return false;
                island[t.index] = found.size() + 1;
                return true;
            });
            m.bare = now.wires_at(end).empty() && m.floating.size() == 1;
            m.source = source;
            for (TerminalId t : m.floating)
                if (c.part_of(t).kind == Kind::metal && !m.metal.exists()) m.metal = c.at(t).part;
            if (m.metal.exists()) m.touches = that_touch(m.floating);
            found.push_back(std::move(m));
        }
        MissingGround& m = found[island[end.index] - 1];
        if (std::ranges::find(m.users, user) == m.users.end()) m.users.push_back(user);
        const bool of_a_job = c.at(user).origin.provenance == Provenance::job;
        m.due = m.due || (m.metal.exists() || source ? described || (source && of_a_job && ends.due(user))
                                                     : ends.due(user) && (described || of_a_job));
    };

    for (PrimitiveId id : now.primitives()) {
        const Primitive& p = c.at(id);
        const Kind kind = c.at(p.part).kind;
        if (p.element == Element::source && kind != Kind::supply && kind != Kind::existing_wire) {
            const TerminalId pole = now.ground_pole() == Role::minus ? p.b : p.a;
            if (nowhere(pole) || (p.strong && leads_nowhere(study, sides, pole))) note(p.part, pole, true);
        } else if (is_load(p) && kind != Kind::resistor && kind != Kind::beyond && p.purpose != Purpose::leak &&
                   p.purpose != Purpose::pull_in_winding) {
            const auto look = [&](TerminalId fed, TerminalId other) {
                const bool open_coil = p.purpose == Purpose::coil && now.wires_at(other).empty();
                // An end that is on ground for good and yet live in some position is a short's, not a feed without a return.
                const bool is_fed = sides.live(fed) && !sides.ground_always(fed);
                if (is_fed && nowhere(other) && !open_coil) note(p.part, other, false);
            };
            look(p.a, p.b);
            look(p.b, p.a);
        }
    }
    // What would get back through another load to metal that floats has its ground as soon as the metal has: a charge lamp, over the rotor of
    // an alternator whose engine strap is off. A ground of its own would be wrong.
    for (std::size_t i = 0; i < found.size();) {
        MissingGround& m = found[i];
        const auto metal = m.metal.exists() || m.source || m.bare ? found.end() : metal_behind(m);
        if (metal == found.end()) {
            ++i;
            continue;
        }
        for (PartId user : m.users)
            if (std::ranges::find(metal->users, user) == metal->users.end()) metal->users.push_back(user);
        found.erase(found.begin() + static_cast<std::ptrdiff_t>(i));
    }
    // A battery whose ground pole leads nowhere, and metal that is tied to no battery, are one thing.
    const auto floats = [](const MissingGround& m) { return m.metal.exists() && m.due; };
    if (const auto metal = std::ranges::find_if(found, floats); metal != found.end()) {
        const auto battery = std::ranges::find_if(found, [&](const MissingGround& m) {
            return m.source && m.due && !m.metal.exists() && c.at(m.users.front()).kind == Kind::battery;
        });
        if (battery != found.end()) {
            metal->pole = battery->at;
            found.erase(battery);
        }
    }
    return found;
}

NotChecked open_until_mended(const char* rule, std::string what) {
    return {rule, std::move(what), "the file has lines that cannot be read, and what is missing may stand there",
            "Mend those lines first"};
}

} // namespace loomproof::rules
