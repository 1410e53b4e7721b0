#include "solve/model.hpp"

#include "base/rows.hpp"
#include "circuit/graph.hpp"
#include "circuit/kind.hpp"
#include "reference/carrying.hpp"
#include "solve/joined.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::solve {

namespace {

constexpr int most_rounds = 80;     // of constant-power loads
constexpr double same_amps = 1e-9;  // relative: a sink has found its current
constexpr double least_amps = 1e-3; // what a sink takes is not told closer than to same_amps of this
constexpr double fed_at_all = 0.02; // of the system's volts: at a starter with fewer nobody cranks
constexpr double works_from = 0.7;  // of its rated volts: there a sink takes its full power (device.hpp)

/// How many times the resistance of the one the other has.
double scale_between(const Device& plain, const Device& now) {
    if (plain.law == Device::Law::filament || plain.law == Device::Law::sink)
        return now.amps > 0 ? plain.amps / now.amps : 1;
    return plain.ohms > 0 ? now.ohms / plain.ohms : 1;
}

/// With so many times the resistance.
Device scaled(Device d, double factor) {
    d.ohms *= factor;
    if (d.law == Device::Law::filament || d.law == Device::Law::sink)
        d.amps /= factor; // a wire's law keeps its amps: they hold for any length
    return d;
}

} // namespace

Positions at_rest(const Circuit& c) {
    Positions p;
    for (const Control& control : c.controls) p.push_back(control.rest);
    return p;
}

Watts Point::power(PrimitiveId p) const {
    const auto& amps = primitive_amps[p.index];
    const auto& across = primitive_volts[p.index];
    return amps && across ? *across * *amps : Watts{0};
}

Model::Model(const View& view, const Conditions& conditions, TerminalId from)
    : view_(view), conditions_(conditions), reference_(from) {
    const Circuit& c = circuit();
    for (std::size_t i = 0; i < c.controls.size(); ++i)
        if (view_.alive(c.controls[i].part)) controls_.push_back(ControlId{i});
    if (c.engine && view_.alive(c.at(c.engine->control).part)) engine_ = c.engine->control;
    models_.resize(c.primitives.size());
    wires_.resize(c.wires.size());
    for (WireId w : view_.wires()) wires_[w.index] = wire_device(view_, w, conditions_, &not_known_);
    for (PrimitiveId p : view_.primitives()) models_[p.index] = primitive_model(view_, p, conditions_, &not_known_);
    if (!reference_.exists()) find_reference();
    number_nodes();
    add_branches();
    find_conversions();
    for (PrimitiveId id : view_.primitives())
        if (c.at(id).element == Element::machine && c.at(c.at(id).part).kind == Kind::starter) starters_.push_back(id);
    find_coils();
    network_.emplace(nodes_, ends_);
}

void Model::find_reference() {
    const Circuit& c = circuit();
    Joined solid(c.terminals.size());
    for (WireId w : view_.wires()) solid.join(c.at(w).a.index, c.at(w).b.index);
    for (PrimitiveId p : view_.primitives())
        if (c.at(p).element == Element::joint) solid.join(c.at(p).a.index, c.at(p).b.index);
    TerminalId body;
    for (PartId p : view_.parts())
        if (c.at(p).kind == Kind::metal && (!body.exists() || name_of(c, p) == "body"))
            body = c.at(p).terminals.front();
    TerminalId first;
    for (PrimitiveId id : view_.primitives()) {
        const Primitive& p = c.at(id);
        if (p.element != Element::source || !p.strong || !p.resistance.known())
            continue; // a feed has no post to hold a lead on
        const TerminalId pole = c.vehicle.positive_ground ? p.a : p.b;
        if (!first.exists()) first = pole;
        if (body.exists() && solid.together(pole.index, body.index)) {
            reference_ = pole;
            return;
        }
    }
    reference_ = first.exists() ? first : body;
    if (reference_.exists()) return;
    for (PrimitiveId id : view_.primitives())
        if (c.at(id).element == Element::source && c.at(id).purpose != Purpose::conversion) {
            reference_ = c.vehicle.positive_ground ? c.at(id).a : c.at(id).b;
            return;
        }
}

void Model::number_nodes() {
    const Circuit& c = circuit();
    Joined joined(c.terminals.size());
    wire_contracted_.assign(c.wires.size(), false);
    primitive_contracted_.assign(c.primitives.size(), false);
    for (WireId w : view_.wires())
        if (!(wires_[w.index].ohms >= least_ohms)) {
            wire_contracted_[w.index] = true;
            joined.join(c.at(w).a.index, c.at(w).b.index);
        }
    for (PrimitiveId p : view_.primitives())
        if (models_[p.index].kind == PrimitiveModel::Kind::contracted) {
            primitive_contracted_[p.index] = true;
            joined.join(c.at(p).a.index, c.at(p).b.index);
        }
    std::vector<std::uint32_t> number(c.terminals.size(), no_node);
    if (reference_.exists()) number[joined.root(reference_.index)] = 0;
    node_of_.assign(c.terminals.size(), no_node);
    for (std::uint32_t t = 0; t < c.terminals.size(); ++t) {
        if (!view_.alive(c.terminals[t].part)) continue;
        std::uint32_t& n = number[joined.root(t)];
        if (n == no_node) n = nodes_++;
        node_of_[t] = n;
    }
    // A wire or primitive may end at a terminal whose part is gone (a loose end that nobody dealt with).
    const auto also = [&](TerminalId t) {
        std::uint32_t& n = number[joined.root(t.index)];
        if (n == no_node) n = nodes_++;
        node_of_[t.index] = n;
    };
    for (WireId w : view_.wires()) also(c.at(w).a), also(c.at(w).b);
    for (PrimitiveId p : view_.primitives()) also(c.at(p).a), also(c.at(p).b);
}

void Model::add_branches() {
    const Circuit& c = circuit();
    wire_branch_.assign(c.wires.size(), none);
    primitive_branch_.assign(c.primitives.size(), none);
    const auto add = [&](TerminalId a, TerminalId b, const Device& d) {
        ends_.push_back({node_of_[a.index], node_of_[b.index]});
        base_.push_back(d);
        return static_cast<std::uint32_t>(ends_.size() - 1);
    };
    for (WireId w : view_.wires())
        if (!wire_contracted_[w.index]) wire_branch_[w.index] = add(c.at(w).a, c.at(w).b, wires_[w.index]);
    for (PrimitiveId id : view_.primitives()) {
        if (primitive_contracted_[id.index]) continue;
        const Primitive& p = c.at(id);
        const PrimitiveModel& m = models_[id.index];
        const std::uint32_t branch = primitive_branch_[id.index] = add(p.a, p.b, m.device);
        if (p.control.exists()) contacts_.push_back({branch, p.control, p.closed_in, m.device});
        if (m.kind == PrimitiveModel::Kind::sink) sinks_.push_back({branch, m.watts});
        if (p.purpose == Purpose::charge_lamp_terminal)
            for (PrimitiveId source : view_.primitives())
                if (c.at(source).part == p.part && c.at(source).element == Element::source)
                    exciters_.push_back(
                        {id, source,
                         add(p.a, c.at(source).a, conditions_.engine_running ? exciter() : Device::open())});
        if (p.purpose == Purpose::starter_solenoid || p.purpose == Purpose::sensing)
            for (ControlId control : c.at(p.part).controls)
                if (c.at(control).type == Control::Type::relay || p.purpose == Purpose::sensing)
                    solenoids_.push_back({branch, control, m.device, m.pulled_in});
    }
    devices_ = base_;
    draws_.assign(ends_.size(), false);
    for (PrimitiveId id : view_.primitives()) {
        const Element e = c.at(id).element;
        const bool metal = e == Element::joint || e == Element::protector || e == Element::meter ||
                           (e == Element::source && c.at(id).purpose != Purpose::conversion);
        if (primitive_branch_[id.index] != none) draws_[primitive_branch_[id.index]] = !metal;
    }
    for (PrimitiveId id : view_.primitives())
        if (const Primitive& p = c.at(id); !engine_ && p.purpose == Purpose::conversion && p.control.exists() &&
                                           is_engine_condition(c.at(p.control).name))
            engine_condition_ = p.control;
    if (!engine_ && !engine_condition_) return;
    const auto while_ = [&](PrimitiveId id, bool runs, bool idles) {
        Conditions now = conditions_;
        now.engine_running = runs;
        now.idling = idles;
        return primitive_model(view_, id, now).device;
    };
    for (const Exciter& e : exciters_) charging_.push_back({e.branch, Device::open(), exciter(), exciter()});
    for (PrimitiveId id : view_.primitives())
        if (const Primitive& p = c.at(id); (p.element == Element::source && p.purpose != Purpose::conversion) ||
                                           p.purpose == Purpose::charge_lamp_terminal || is_armature(c, p))
            charging_.push_back({primitive_branch_[id.index], while_(id, false, false), while_(id, true, true),
                                 while_(id, true, !engine_ && conditions_.idling)});
}

void Model::find_coils() {
    const Circuit& c = circuit();
    const Rows<PrimitiveId> of_part(c.parts.size(), [&](const auto& add) {
        for (PrimitiveId id : view_.primitives()) add(c.at(id).part.index, id);
    });
    for (ControlId control : controls_) {
        if (c.at(control).type != Control::Type::relay) continue;
        for (PrimitiveId id : of_part[c.at(control).part.index]) {
            if (coil_ohms(c, id) == 0) continue;
            // One that reads its volts goes by these, however warm its coil is.
            const double warmth =
                c.at(id).purpose == Purpose::sensing ? 1 : models_[id.index].device.ohms / coil_ohms(c, id);
            coils_.push_back({control, id, warmth, {}});
            coil_branch_.push_back(primitive_branch_[id.index]);
            pull_in_branch_.push_back(none);
            for (PrimitiveId other : of_part[c.at(control).part.index])
                if (c.at(other).purpose == Purpose::pull_in_winding) {
                    coils_.back().pull_in = other;
                    pull_in_branch_.back() = primitive_branch_[other.index];
                }
            break;
        }
    }
}

/// Two windings of as many turns lie on one core, so their currents add up, and where the one runs backwards they cancel: that is how a
/// starter lets go although its closed contact feeds both of them in a row (workshop practice, from memory). The armature at rest needs
/// both; once it is in and the gap is closed, what the hold-in winding alone gives holds it.
Model::Share Model::share_of(std::size_t coil, const Positions& positions) const {
    const Circuit& c = circuit();
    const Coil& k = coils_[coil];
    const double ohms = coil_ohms(c, k.primitive);
    if (pull_in_branch_[coil] == none) return {ohms, 0};
    const bool in = positions[k.control.index] + 1U == c.at(k.control).positions.size();
    if (in) return {ohms, ohms};
    const double other = models_[k.pull_in.index].device.ohms / k.warmth, both = ohms * other / (ohms + other);
    return {both, both};
}

double Model::pulls(std::size_t coil, const Positions& positions, const Solution& s) const {
    const Ends e = ends_[coil_branch_[coil]];
    if (pull_in_branch_[coil] == none) return std::abs(s.volts[e.a] - s.volts[e.b]) / coils_[coil].warmth;
    const Share share = share_of(coil, positions);
    return std::abs(s.amps[coil_branch_[coil]] * share.main + s.amps[pull_in_branch_[coil]] * share.pull_in);
}

void Model::set_devices(const Positions& positions) {
    if (cooled_)
        for (std::size_t k = 0; k < devices_.size(); ++k)
            if (base_[k].law == Device::Law::conductor) devices_[k] = base_[k];
    cooled_ = false;
    for (const Contact& k : contacts_)
        devices_[k.branch] = k.closed_in >> positions[k.control.index] & 1 ? k.closed : Device::open();
    for (const Solenoid& s : solenoids_) {
        const bool in = positions[s.control.index] + 1U == circuit().at(s.control).positions.size();
        devices_[s.branch] = in ? s.pulled_in : s.rest;
    }
    const bool by_condition = engine_condition_ && positions[engine_condition_->index] == 1;
    const EngineDoes engine = by_condition ? EngineDoes::runs : engine_does(positions);
    for (const Charging& k : charging_)
        devices_[k.branch] = engine == EngineDoes::runs    ? k.running
                             : engine == EngineDoes::idles ? k.idling
                                                           : k.stopped;
    for (const Sink& s : sinks_) devices_[s.branch].amps = s.watts / base_[s.branch].volts;
    set_conversions(positions);
}

/// Sets the devices for the positions and solves. While a starter turns, copper and fuses are cold, whatever the conditions: that lasts
/// seconds. Whether one turns that has any volts is judged with cold wires.
const Solution& Model::solved(const Positions& positions, std::span<const double> near,
                              std::optional<Network::Probe> probe) {
    const auto solve_from = [&](std::span<const double> start) {
        solution_ = network_->solve(devices_, start, probe);
        feed_sinks(positions, probe);
    };
    set_devices(positions);
    solve_from(near);
    const bool cranks = engine_does(positions) == EngineDoes::cranks;
    if (!conditions_.warmed || starters_.empty() || !(cranks || starter_has(fed_at_all, solution_.volts)))
        return solution_;
    const std::vector<double> warm = solution_.volts;
    for (Device& d : devices_)
        if (d.law == Device::Law::conductor) d = Device::resistor(d.ohms);
    cooled_ = true;
    solve_from(warm);
    if (cranks || starter_turns(solution_.volts)) return solution_;
    set_devices(positions);
    solve_from(warm);
    return solution_;
}

/// Constant-power loads find their current around the solution.
void Model::feed_sinks(const Positions& positions, std::optional<Network::Probe> probe) {
    std::vector<double> change(sinks_.size(), 0);
    for (int round = 0; round < most_rounds; ++round) {
        double largest = follow_conversions(positions) ? 1 : 0;
        for (std::size_t i = 0; i < sinks_.size(); ++i) {
            Device& d = devices_[sinks_[i].branch];
            if (d.law == Device::Law::open) continue; // a converter that does not deliver
            const Ends e = ends_[sinks_[i].branch];
            const double volts = solution_.volts[e.a] - solution_.volts[e.b];
            const double wanted = sinks_[i].watts / std::max(volts, works_from * d.volts);
            double step = wanted - d.amps;
            if (step * change[i] < 0 && std::abs(step) > 0.5 * std::abs(change[i])) step /= 2; // it swings: go half way
            change[i] = step;
            d.amps += step;
            largest = std::max(largest, std::abs(step) / std::max(d.amps, least_amps));
        }
        if (largest <= same_amps) return;
        const std::vector<double> before = solution_.volts;
        solution_ = network_->solve(devices_, before, probe);
    }
    solution_.converged = solution_.converged && sinks_.empty();
}

Model::Quick Model::quick(const Positions& positions, std::span<const double> near) {
    const Solution& s = solved(positions, near);
    Quick q;
    q.nodes = s.volts;
    q.settled = s.converged;
    for (std::size_t i = 0; i < coils_.size(); ++i) q.coil_volts.push_back(pulls(i, positions, s));
    return q;
}

Model::Felt Model::felt(const Positions& positions, std::span<const double> near, const std::vector<bool>& asked) {
    const Solution& s = solved(positions, near);
    Felt out;
    out.drawn.assign(nodes_, 0);
    for (std::size_t k = 0; k < ends_.size(); ++k) {
        if (!draws_[k]) continue;
        out.drawn[ends_[k].a] += s.amps[k];
        out.drawn[ends_[k].b] -= s.amps[k];
    }
    out.gain.resize(coils_.size());
    for (std::size_t i = 0; i < asked.size(); ++i) {
        if (!asked[i]) continue;
        const Ends e = ends_[coil_branch_[i]];
        std::vector<double> gain = network_->small_change(e.a, e.b);
        double scale = (s.volts[e.a] >= s.volts[e.b] ? 1 : -1) / coils_[i].warmth;
        if (const std::uint32_t other = pull_in_branch_[i]; other != none) {
            const Share share = share_of(i, positions);
            const double pull = s.amps[coil_branch_[i]] * share.main + s.amps[other] * share.pull_in;
            const std::vector<double> more = network_->small_change(ends_[other].a, ends_[other].b);
            const double main = share.main / devices_[coil_branch_[i]].ohms,
                         second = share.pull_in / devices_[other].ohms;
            for (std::size_t n = 0; n < gain.size(); ++n) gain[n] = main * gain[n] + second * more[n];
            scale = pull >= 0 ? 1 : -1;
        }
        for (double& g : gain) g *= scale;
        out.gain[i] = std::move(gain);
    }
    return out;
}

std::optional<Volts> Model::with_lamp(const Positions& positions, TerminalId t, Volts rated, Amps amps,
                                      std::span<const double> near) {
    const std::uint32_t node = node_of_[t.index];
    if (node == no_node) return std::nullopt;
    if (node == 0) return Volts{0};
    return Volts{solved(positions, near, Network::Probe{node, Device::filament(rated.si, amps.si)}).volts[node]};
}

void Model::scale(const EdgeRef& edge, double factor) {
    const std::uint32_t branch =
        edge.is_wire() ? wire_branch_[edge.wire.index] : primitive_branch_[edge.primitive.index];
    if (branch == none) return;
    const Device d = scaled(edge.is_wire() ? wires_[edge.wire.index] : models_[edge.primitive.index].device, factor);
    devices_[branch] = base_[branch] = d;
    for (Sink& s : sinks_)
        if (s.branch == branch) s.watts = models_[edge.primitive.index].watts / factor;
}

void Model::drive(PrimitiveId motor) {
    const std::uint32_t branch = primitive_branch_[motor.index];
    if (branch != none) devices_[branch] = base_[branch] = driven_motor(view_, motor);
}

Model::Raw Model::raw(const Positions& positions) {
    const Solution& s = solved(positions, {});
    return {ends_, devices_, s};
}

Point Model::point_at_start(const Positions& positions, std::span<const PrimitiveId> starting,
                            std::span<const double> near) {
    Conditions at_start = conditions_;
    at_start.starting = true;
    for (PrimitiveId p : starting)
        if (const std::uint32_t branch = primitive_branch_[p.index];
            branch != none && models_[p.index].kind == PrimitiveModel::Kind::device)
            devices_[branch] = scaled(primitive_model(view_, p, at_start).device,
                                      scale_between(models_[p.index].device, base_[branch]));
    Point out = point(positions, near);
    for (PrimitiveId p : starting)
        if (const std::uint32_t branch = primitive_branch_[p.index]; branch != none) devices_[branch] = base_[branch];
    return out;
}

void Model::find_what_wires_carry() {
    const Circuit& c = circuit();
    carries_.resize(c.wires.size());
    for (WireId id : view_.wires()) {
        const Wire& w = c.at(id);
        if (!w.area.known()) continue;
        const Celsius stands =
            w.insulation_class.known() ? w.insulation_class.nominal : reference::default_insulation_class;
        carries_[id.index] =
            reference::what_a_wire_can_carry(w.area.nominal, stands, temperature_at(c, w.place).nominal);
    }
}

Point Model::point(const Positions& positions, std::span<const double> near) { return told(solved(positions, near)); }

Model::Kept Model::keep(const Positions& positions, std::span<const double> near) {
    const Solution& s = solved(positions, near);
    return {s.volts, s.amps, s.island, s.converged, s.residual};
}

Point Model::told(const Positions& positions, const Kept& kept) {
    set_devices(positions);
    Solution s;
    s.volts = kept.volts;
    s.amps = kept.amps;
    s.island = kept.island;
    s.converged = kept.settled;
    s.residual = kept.residual;
    return told(s);
}

namespace {

/// A current to nine digits (31 bits: T. J. Dekker's splitting, 1971). Wires in a row carry the same one; what the solver leaves between them
/// is rounding, and which of them carries most must not hang on that.
Amps in_nine_digits(double amps) {
    const double spread = amps * ((1 << 22) + 1);
    return Amps{spread - (spread - amps)};
}

} // namespace

/// With the devices as they are set.
Point Model::told(const Solution& s) {
    const Circuit& c = circuit();
    Point out;
    out.settled = s.converged;
    out.residual = s.residual;
    out.volts.resize(c.terminals.size());
    for (std::size_t t = 0; t < c.terminals.size(); ++t)
        if (const std::uint32_t n = node_of_[t]; n != no_node && !s.island[n]) out.volts[t] = Volts{s.volts[n]};
    const auto drop = [&](TerminalId a, TerminalId b) {
        return Volts{s.volts[node_of_[a.index]] - s.volts[node_of_[b.index]]};
    };
    out.wire_amps.resize(c.wires.size());
    out.wire_drop.resize(c.wires.size());
    out.wire_temperature.resize(c.wires.size());
    out.primitive_amps.resize(c.primitives.size());
    out.primitive_volts.resize(c.primitives.size());
    for (WireId w : view_.wires()) {
        out.wire_drop[w.index] = drop(c.at(w).a, c.at(w).b);
        if (wire_branch_[w.index] != none) out.wire_amps[w.index] = in_nine_digits(s.amps[wire_branch_[w.index]]);
    }
    for (PrimitiveId p : view_.primitives()) {
        // An open contact has volts across it only where both sides know theirs.
        const std::uint32_t a = node_of_[c.at(p).a.index], b = node_of_[c.at(p).b.index];
        const std::uint32_t branch = primitive_branch_[p.index];
        const bool open = branch != none && devices_[branch].law == Device::Law::open;
        if (!open || (!s.island[a] && !s.island[b])) out.primitive_volts[p.index] = drop(c.at(p).a, c.at(p).b);
        if (branch != none) out.primitive_amps[p.index] = in_nine_digits(s.amps[branch]);
    }
    // What comes out at L never went over B+.
    for (const Exciter& e : exciters_) {
        const Amps given{s.amps[e.branch]};
        if (auto& lamp = out.primitive_amps[e.lamp.index]) lamp = *lamp + given;
        if (auto& main = out.primitive_amps[e.source.index]) main = *main - given;
    }
    const std::vector<std::optional<Amps>> inside = contracted_amps(out);
    for (std::size_t i = 0; i < inside.size(); ++i)
        (i < c.wires.size() ? out.wire_amps[i] : out.primitive_amps[i - c.wires.size()]) = inside[i];
    if (carries_.empty()) find_what_wires_carry();
    for (WireId id : view_.wires())
        if (out.wire_amps[id.index] && carries_[id.index])
            out.wire_temperature[id.index] =
                reference::copper_temperature(*carries_[id.index], *out.wire_amps[id.index]);
    return out;
}

/// Currents of what has no resistance, by balance: as far as no ring without resistance leaves them open. Index: wires, then primitives;
/// those with a resistance keep what they have.
std::vector<std::optional<Amps>> Model::contracted_amps(const Point& point) const {
    const Circuit& c = circuit();
    std::vector<std::optional<Amps>> amps(c.wires.size() + c.primitives.size());
    struct Link {
        std::uint32_t a, b;
        std::size_t what;
    };
    std::vector<Link> links;
    std::vector<double> leaves(c.terminals.size(), 0); // over everything with a resistance
    const auto see = [&](TerminalId a, TerminalId b, bool contracted, const std::optional<Amps>& known,
                         std::size_t what) {
        amps[what] = known;
        if (contracted) return links.push_back({a.index, b.index, what});
        if (!known) return;
        leaves[a.index] += known->si;
        leaves[b.index] -= known->si;
    };
    for (WireId w : view_.wires())
        see(c.at(w).a, c.at(w).b, wire_contracted_[w.index], point.wire_amps[w.index], w.index);
    for (PrimitiveId p : view_.primitives())
        see(c.at(p).a, c.at(p).b, primitive_contracted_[p.index], point.primitive_amps[p.index],
            c.wires.size() + p.index);
    if (links.empty()) return amps;

    // Again and again: an end where only one link is open tells that link's current. What is left lies in or between rings.
    std::vector<std::vector<std::uint32_t>> at(c.terminals.size());
    for (std::uint32_t i = 0; i < links.size(); ++i) {
        if (links[i].a == links[i].b) continue;
        at[links[i].a].push_back(i);
        at[links[i].b].push_back(i);
    }
    std::vector<std::uint32_t> open(c.terminals.size()), ready;
    for (std::uint32_t t = 0; t < at.size(); ++t)
        if ((open[t] = static_cast<std::uint32_t>(at[t].size())) == 1) ready.push_back(t);
    std::vector<bool> done(links.size(), false);
    for (std::size_t next = 0; next < ready.size(); ++next) {
        const std::uint32_t t = ready[next];
        for (std::uint32_t i : at[t]) {
            if (done[i]) continue;
            done[i] = true;
            const Link& l = links[i];
            const std::uint32_t other = l.a == t ? l.b : l.a;
            amps[l.what] = Amps{l.a == t ? -leaves[t] : leaves[t]};
            leaves[other] += leaves[t];
            if (--open[other] == 1) ready.push_back(other);
        }
    }
    return amps;
}

} // namespace loomproof::solve
