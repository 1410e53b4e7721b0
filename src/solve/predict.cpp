#include "solve/predict.hpp"

#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "solve/part_models.hpp"
#include "solve/predict_inside.hpp"
#include "solve/settle.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace loomproof::solve {

namespace {

bool is_source(const Primitive& p) { return p.element == Element::source; }

/// Follows the largest current from a load back to the source, or on to it.
class Stream {
  public:
    Stream(const View& view, const Point& point) : view_(view), c_(view.circuit()), point_(point) {}

    /// From `start` against the current (`up`) or with it, until a source's pole. Empty where it leads to none.
    std::vector<Share> follow(TerminalId start, bool up, TerminalId& pole) const {
        std::vector<Share> way;
        std::vector<bool> seen(c_.terminals.size(), false);
        TerminalId at = start;
        while (!seen[at.index]) {
            seen[at.index] = true;
            for (PrimitiveId id : view_.primitives_at(at))
                if (is_source(c_.at(id)) && (up ? c_.at(id).a : c_.at(id).b) == at && delivers(id)) {
                    pole = at;
                    return way;
                }
            Share best{{}, Volts{0}};
            TerminalId next;
            double most = 0;
            const auto offer = [&](EdgeRef e, TerminalId a, TerminalId b, const std::optional<Amps>& amps,
                                   const std::optional<Volts>& drop) {
                const TerminalId other = a == at ? b : a;
                if (!amps || !drop || seen[other.index]) return;
                const double leaving = a == at ? amps->si : -amps->si;
                const double wanted = up ? -leaving : leaving;
                if (!(wanted > most)) return;
                most = wanted;
                next = other;
                best = {e, Volts{std::abs(drop->si)}};
            };
            for (WireId w : view_.wires_at(at))
                offer({w, {}}, c_.at(w).a, c_.at(w).b, point_.wire_amps[w.index], point_.wire_drop[w.index]);
            for (PrimitiveId p : view_.primitives_at(at))
                if (!takes_current(c_.at(p)) && !is_source(c_.at(p)))
                    offer({{}, p}, c_.at(p).a, c_.at(p).b, point_.primitive_amps[p.index],
                          point_.primitive_volts[p.index]);
            if (!next.exists()) return {};
            way.push_back(best);
            at = next;
        }
        return {};
    }

    bool delivers(PrimitiveId id) const { return point_.power(id).si < 0; }

  private:
    const View& view_;
    const Circuit& c_;
    const Point& point_;
};

/// Is there anything at this terminal that a lead can be held to?
bool shown(const View& view, TerminalId t) {
    const Circuit& c = view.circuit();
    const Terminal& terminal = c.at(t);
    if (terminal.internal || view.wires_at(t).empty()) return false;
    if (terminal.role != Role::hole || terminal.half == 0) return true;
    for (TerminalId other : c.at(terminal.part).terminals) // the other half of the hole stands for both
        if (c.at(other).half == 0 && c.at(other).stamp == terminal.stamp && !view.wires_at(other).empty()) return false;
    return true;
}

/// A terminal that no wire meets, but that is live all the same: a change-over relay's free 87a.
bool free_and_live(const View& view, TerminalId t, const std::optional<Volts>& volts) {
    constexpr double live = 1; // V
    const Terminal& terminal = view.circuit().at(t);
    return !terminal.internal && terminal.role != Role::hole && view.wires_at(t).empty() && volts &&
           std::abs(volts->si) >= live;
}

bool is_mass(const Circuit& c, TerminalId t) {
    const Kind kind = c.part_of(t).kind;
    return kind == Kind::ground || kind == Kind::metal;
}

/// Terminals as the current goes: one branch to its end before the next begins, over loads as well, but not over the grounds where all
/// meet. Those of a part together, but for the ends of a cut wire.
std::vector<TerminalId> as_current_goes(const View& view) {
    const Circuit& c = view.circuit();
    std::vector<TerminalId> all;
    std::vector<bool> seen(c.terminals.size(), false), listed(c.terminals.size(), false);
    const auto list = [&](TerminalId t) {
        if (!listed[t.index]) all.push_back(t), listed[t.index] = true;
    };
    const auto list_part = [&](PartId part) {
        for (TerminalId t : c.at(part).terminals) list(t);
    };
    for (PrimitiveId source : view.primitives()) {
        if (!is_source(c.at(source))) continue;
        std::vector<TerminalId> waiting{c.at(source).a};
        while (!waiting.empty()) {
            const TerminalId at = waiting.back();
            waiting.pop_back();
            if (seen[at.index] || is_mass(c, at)) continue;
            seen[at.index] = true;
            if (c.part_of(at).kind == Kind::cut)
                list(at);
            else
                list_part(c.at(at).part);
            std::vector<TerminalId> next; // what is inside the part first, then its wires
            for (PrimitiveId p : view.primitives_at(at))
                if (!is_source(c.at(p))) next.push_back(c.at(p).a == at ? c.at(p).b : c.at(p).a);
            for (WireId w : view.wires_at(at)) next.push_back(c.at(w).other(at));
            waiting.insert(waiting.end(), next.rbegin(), next.rend());
        }
    }
    for (const bool mass : {false, true})
        for (PartId part : view.parts())
            if (!c.at(part).terminals.empty() && is_mass(c, c.at(part).terminals.front()) == mass) list_part(part);
    return all;
}

/// Where many wires meet each shows what it takes at its other end.
bool meet_by_the_dozen(Kind kind) {
    switch (kind) {
    case Kind::ground:
    case Kind::metal:
    case Kind::splice:
    case Kind::bus:
    case Kind::cut:
    case Kind::loose_end: return true;
    default: return false;
    }
}

/// Does what flows in a wire only leak through loads that are off? Followed both ways, with the current and against it, to the loads.
class Noise {
  public:
    Noise(const View& view, const Point& point) : view_(view), c_(view.circuit()), point_(point) {}

    bool in(WireId w) const {
        const auto& amps = point_.wire_amps[w.index];
        if (!amps || std::abs(amps->si) >= noise_amps.si || std::abs(amps->si) < followed) return false;
        const bool forward = amps->si > 0;
        return only_idle(forward ? c_.at(w).b : c_.at(w).a, 1) || only_idle(forward ? c_.at(w).a : c_.at(w).b, -1);
    }

  private:
    static constexpr double followed = 5e-4; // A: less is shown as nothing

    /// Do all branches of the current end at loads that are off, some of them at any?
    bool only_idle(TerminalId start, double sign) const {
        bool idle = false;
        std::set<std::uint32_t> seen;
        std::vector<TerminalId> waiting{start};
        while (!waiting.empty()) {
            const TerminalId at = waiting.back();
            waiting.pop_back();
            if (!seen.insert(at.index).second) continue;
            for (WireId w : view_.wires_at(at))
                if (away(point_.wire_amps[w.index], c_.at(w).a == at) * sign > followed)
                    waiting.push_back(c_.at(w).other(at));
            for (PrimitiveId id : view_.primitives_at(at)) {
                const Primitive& p = c_.at(id);
                const auto& amps = point_.primitive_amps[id.index];
                if (!(away(amps, p.a == at) * sign > followed)) continue;
                if (is_source(p)) return false;
                if (!takes_current(p) || c_.at(p.part).kind == Kind::resistor) {
                    waiting.push_back(p.a == at ? p.b : p.a);
                    continue;
                }
                const auto& volts = point_.primitive_volts[id.index];
                if (p.element == Element::constant_power || !volts || doing(c_, id, *volts, *amps) != Doing::off)
                    return false;
                idle = true;
            }
        }
        return idle;
    }
    static double away(const std::optional<Amps>& amps, bool from_a) {
        return amps ? (from_a ? amps->si : -amps->si) : 0;
    }

    const View& view_;
    const Circuit& c_;
    const Point& point_;
};

std::vector<Turned> turned(const View& view, Model& model, const Positions& positions, const Point& point) {
    constexpr double worth_a_line = 0.05; // V
    const Circuit& c = view.circuit();
    std::vector<Turned> all;
    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = c.at(id);
        const Attribute *most = view.find(p.part, Attr::high_end), *first = view.find(p.part, Attr::resistance);
        if (c.at(p.part).kind != Kind::resistor || c.at(p.part).poisoned || !p.resistance.known() || !most || !first ||
            !most->value.known())
            continue;
        const double near = std::max(1e-6, p.resistance.nominal.si),
                     far = std::max(first->value.nominal, most->value.nominal);
        if (!(far > near)) continue;
        model.scale({{}, id}, far / near);
        const Point there = model.point(positions);
        model.scale({{}, id}, 1);
        Turned t{p.part, p.resistance.nominal, Ohms{far}, {}};
        for (PrimitiveId load : view.primitives()) {
            const Primitive& l = c.at(load);
            const bool works = takes_current(l) && c.at(l.part).kind != Kind::resistor &&
                               (l.purpose == Purpose::plain || l.purpose == Purpose::coil);
            const auto &before = point.primitive_volts[load.index], &volts = there.primitive_volts[load.index];
            const auto& amps = there.primitive_amps[load.index];
            if (!works || !there.settled || !before || !volts || !amps ||
                std::abs(std::abs(before->si) - std::abs(volts->si)) < worth_a_line)
                continue;
            t.loads.push_back(
                {load, Volts{std::abs(volts->si)}, Amps{std::abs(amps->si)}, doing(c, load, *volts, *amps)});
        }
        if (!t.loads.empty()) all.push_back(std::move(t));
    }
    return all;
}

/// Loads that are on or dim.
std::vector<PrimitiveId> at_work(const View& view, const Point& point) {
    const Circuit& c = view.circuit();
    std::vector<PrimitiveId> out;
    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = c.at(id);
        const auto& volts = point.primitive_volts[id.index];
        const auto& amps = point.primitive_amps[id.index];
        const bool works = p.purpose == Purpose::plain || p.purpose == Purpose::conversion;
        if (takes_current(p) && works && c.at(p.part).kind != Kind::resistor && volts && amps &&
            doing(c, id, *volts, *amps) != Doing::off)
            out.push_back(id);
    }
    return out;
}

std::optional<reference::TimeBand> opens_after(const View& view, const Opening& o) {
    const PartId id = view.circuit().at(o.protector).part;
    const Kind kind = view.circuit().at(id).kind;
    if (kind == Kind::breaker || kind == Kind::link) return std::nullopt; // no published curve
    const auto style = reference::find_protector(view.word(id, Attr::fuse_type)).value_or(reference::Protector::blade);
    return reference::opening_time(style, o.rating, o.amps);
}

/// Opens what does not stand its current, one after the other, the relays settling in between.
void open_fuses(const View& view, Prediction& out) {
    out.openings.clear();
    out.dark.clear();
    constexpr std::size_t most = 8, situations = 256;
    constexpr double open = 1e9; // times its own milliohms
    const Circuit& c = view.circuit();
    Model model(view, out.conditions);
    Positions positions = out.arrived.positions;
    Point point = out.point;
    while (out.openings.size() < most) {
        Opening worst;
        for (PrimitiveId id : view.primitives()) {
            const Primitive& p = c.at(id);
            const auto& amps = point.primitive_amps[id.index];
            if (p.element != Element::protector || c.at(p.part).poisoned || !amps) continue;
            const Stated<Amps> now = view.amps(p.part, Attr::rating), rating = now.known() ? now : p.rating;
            if (!rating.known() || !(rating.nominal.si > 0) || std::abs(amps->si) < opens_from * rating.nominal.si ||
                std::ranges::find(out.openings, id, &Opening::protector) != out.openings.end())
                continue;
            const double share = std::abs(amps->si) / rating.nominal.si;
            if (!worst.protector.exists() || share > worst.amps.si / worst.rating.si)
                worst = {id, Amps{std::abs(amps->si)}, rating.nominal, {}, {}};
        }
        if (!worst.protector.exists()) break;
        if (const auto band = opens_after(view, worst)) {
            worst.likely = reference::middle(*band);
            worst.latest = band->longest;
        }
        out.openings.push_back(worst);
        model.scale({{}, worst.protector}, open);
        Situations all(model, {}, situations);
        if (const auto start = all.find(positions))
            if (const Settled settled = all.settle(*start); !settled.ends.empty())
                positions = all.at(settled.ends.front()).positions;
        point = model.point(positions);
    }
    if (out.openings.empty()) return;
    const std::vector<PrimitiveId> left = at_work(view, point);
    for (PrimitiveId id : at_work(view, out.point))
        if (std::ranges::find(left, id) == left.end()) out.dark.push_back(id);
}

} // namespace

bool Opening::within_seconds() const {
    return likely ? *likely <= seconds_to_open : amps.si >= opens_in_seconds_from * rating.si;
}

bool Opening::surely_within_seconds() const {
    return latest ? *latest <= seconds_to_open : amps.si >= opens_in_seconds_from * rating.si;
}

Prediction predict(const View& view, const Wish& wish, Conditions conditions) {
    const Circuit& c = view.circuit();
    Prediction out;
    out.arrived = as_wished(view, wish, conditions);
    const Positions& positions = out.arrived.positions;
    std::optional<Model> solved;
    out.soon_over = make_model(solved, view, conditions, positions);
    const auto work_out = [&] {
        out.conditions = conditions;
        out.point = solved->point(positions);
        open_fuses(view, out);
    };
    work_out();
    if (conditions.warmed && std::ranges::any_of(out.openings, &Opening::within_seconds)) {
        out.soon_over = SoonOver::a_fuse_opens;
        conditions.warmed = false;
        solved.emplace(view, conditions);
        work_out();
    }
    Model& model = *solved;
    out.not_known = model.not_known();
    out.unsolved = hangs_on_unsolved(model, positions, out.point);
    add_what_the_file_does_not_show(model, positions, out.unsolved);

    Posts posts(model, positions, out.point);
    out.against = posts.against();
    out.own_posts = posts.own();

    const double system = c.vehicle.system.si;
    std::map<std::uint32_t, Doing> lamp; // by node
    const Noise noise(view, out.point);
    for (TerminalId t : as_current_goes(view)) {
        if (!shown(view, t) && !free_and_live(view, t, out.point.volts[t.index])) continue;
        Reading r;
        r.terminal = t;
        r.volts = out.point.volts[t.index];
        for (WireId w : view.wires_at(t)) {
            const auto& amps = out.point.wire_amps[w.index];
            if (!r.wire.exists() || (amps && (!r.amps || std::abs(amps->si) > r.amps->si))) {
                r.wire = w;
                if (amps) r.amps = Amps{std::abs(amps->si)};
            }
        }
        r.noise = r.wire.exists() && noise.in(r.wire);
        const auto [at, fresh] = lamp.try_emplace(posts.node_of(t), Doing::off);
        if (fresh && r.volts)
            if (const auto loaded = posts.with_lamp(t, Volts{system}, Amps{test_lamp_watts / system})) {
                const double share = std::pow(std::abs(loaded->si) / system, 1.55); // power of a filament
                at->second = share >= 0.5 ? Doing::on : share < 0.1 ? Doing::off : Doing::dim;
            }
        r.lamp = at->second;
        out.readings.push_back(r);
        if (meet_by_the_dozen(c.part_of(t).kind)) continue;
        const WireId told = r.wire;
        for (WireId w : view.wires_at(t)) {
            if (w == told) continue;
            r.wire = w;
            r.amps = out.point.wire_amps[w.index];
            if (r.amps) r.amps = Amps{std::abs(r.amps->si)};
            r.noise = noise.in(w);
            r.again = true;
            out.readings.push_back(r);
        }
    }

    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = c.at(id);
        const bool load =
            takes_current(p) && (p.purpose == Purpose::plain || p.purpose == Purpose::coil ||
                                 p.purpose == Purpose::starter_solenoid || p.purpose == Purpose::conversion);
        const auto& volts = out.point.primitive_volts[id.index];
        const auto& amps = out.point.primitive_amps[id.index];
        if (out.unsolved(p.a) || out.unsolved(p.b)) continue;
        if (!load || !volts || !amps || doing(c, id, *volts, *amps) == Doing::off) continue;
        if (auto lost = lost_on_the_way(view, out.point, id)) out.lost.push_back(std::move(*lost));
    }
    for (NotKnown& contact : contacts_not_known(view, out.point.primitive_amps))
        out.not_known.push_back(std::move(contact));
    out.turned = turned(view, model, positions, out.point);
    return out;
}

std::optional<Lost> lost_on_the_way(const View& view, const Point& point, PrimitiveId id) {
    const Primitive& p = view.circuit().at(id);
    const auto& volts = point.primitive_volts[id.index];
    const auto& amps = point.primitive_amps[id.index];
    if (!volts || !amps) return std::nullopt;
    const Stream stream(view, point);
    const bool forward = amps->si >= 0;
    TerminalId plus, minus;
    Lost lost{id, Volts{0}, Volts{std::abs(volts->si)}, stream.follow(forward ? p.a : p.b, true, plus),
              stream.follow(forward ? p.b : p.a, false, minus)};
    if (!plus.exists() || !minus.exists() || !point.volts[plus.index] || !point.volts[minus.index]) return std::nullopt;
    lost.at_source = *point.volts[plus.index] - *point.volts[minus.index];
    std::ranges::reverse(lost.feed);
    return lost;
}

} // namespace loomproof::solve
