#include "report/predict_words.hpp"

#include "base/number.hpp"
#include "circuit/outputs.hpp"
#include "report/columns.hpp"
#include "report/page.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace loomproof::report {

using solve::Doing;

std::string meter(double volts) {
    if (std::abs(volts) < 0.005) return "0.00";
    return std::abs(volts) < 0.995 ? fmt::format("{:.2f}", volts) : fmt::format("{:.1f}", volts);
}

std::string amount(double amps) {
    if (std::abs(amps) < 0.0005) return "0";
    return std::abs(amps) < 0.0095 ? "<0.01" : figure(amps);
}

const char* lamp_word(Doing d) { return d == Doing::on ? "bright" : d == Doing::dim ? "dim" : "out"; }

std::string padded(std::string text, std::size_t width, bool right) {
    const std::size_t has = columns(text);
    const std::string blanks(has < width ? width - has : 0, ' ');
    return right ? blanks + text : text + blanks;
}

std::string place_of_terminal(const Circuit& c, TerminalId t) {
    const Part& part = c.part_of(t);
    if (part.place.exists()) return c.at(part.place).name;
    return part.kind == Kind::ground ? part.label : std::string{};
}

namespace {

TerminalId other_of(const Primitive& p, TerminalId t) { return p.a == t ? p.b : p.a; }

/// What joins a fuse in a box's slot to its rail; not existing where the terminal is none of such a fuse.
PrimitiveId seat_on_rail(const View& view, TerminalId t) {
    const Circuit& c = view.circuit();
    for (PrimitiveId id : view.primitives_at(t))
        if (const Primitive& p = c.at(id); p.element == Element::joint && c.at(p.part).kind == Kind::box &&
                                           c.part_of(other_of(p, t)).kind == Kind::bus)
            return id;
    return {};
}

} // namespace

std::string point_text(const View& view, TerminalId t) {
    const Circuit& c = view.circuit();
    if (c.part_of(t).kind != Kind::cut || view.wires_at(t).size() < 2) return name_of(c, t);
    std::string out;
    for (WireId w : view.wires_at(t))
        if (c.at(w).named) out += (out.empty() ? "joint " : "/") + c.at(w).name;
    return out.empty() ? "the joint in the cut wire" : out;
}
std::string end_text(const View& view, TerminalId t) {
    return view.circuit().part_of(t).kind == Kind::cut ? point_text(view, t) : end_of(view.circuit(), t);
}

std::string half_text(const View& view, TerminalId t) {
    const Circuit& c = view.circuit();
    const std::span<const WireId> wires = view.wires_at(t);
    if (c.at(t).role != Role::hole || wires.empty()) return point_text(view, t);
    return point_text(view, t) + ", side of " + end_text(view, c.at(wires.front()).other(t));
}

std::string flows(const std::optional<Amps>& amps, bool noise) {
    return !amps ? "?" : noise ? "off" : amount(amps->si);
}

std::string flows_without_wire(const View& view, const solve::Prediction& p, const solve::Reading& r) {
    const PrimitiveId seat = seat_on_rail(view, r.terminal);
    if (!seat.exists()) return {};
    const auto& amps = p.point.primitive_amps[seat.index];
    return flows(amps ? std::optional(Amps{std::abs(amps->si)}) : amps, false);
}

/// A frame, a ground, or a part's case that sits on one: nothing there is live, whatever volts it has against the battery's post.
bool is_of_metal(const View& view, TerminalId t) {
    const Circuit& c = view.circuit();
    const Kind kind = c.part_of(t).kind;
    return kind == Kind::metal || kind == Kind::ground ||
           std::ranges::any_of(view.primitives_at(t),
                               [&](PrimitiveId id) { return c.at(id).purpose == Purpose::mounting; });
}

std::string leads(const View& view, const solve::Prediction& p, const solve::Reading& r) {
    const Circuit& c = view.circuit();
    if (!r.wire.exists()) {
        const PrimitiveId seat = seat_on_rail(view, r.terminal);
        if (seat.exists()) return "on rail " + point_text(view, other_of(c.at(seat), r.terminal));
        return is_of_metal(view, r.terminal) ? "metal, no wire" : "free, and live";
    }
    const Wire& w = c.at(r.wire);
    const std::string colour = colour_words(w.colours);
    const auto& amps = p.point.wire_amps[r.wire.index];
    const double leaving = !amps ? 0 : w.a == r.terminal ? amps->si : -amps->si;
    const char* way = std::abs(leaving) < 0.0005 || r.noise ? "" : leaving > 0 ? "to " : "from ";
    return colour + (colour.empty() ? "" : ", ") + way + point_text(view, w.other(r.terminal));
}

std::string called_briefly(const View& view, EdgeRef e) {
    const Circuit& c = view.circuit();
    if (e.is_wire()) {
        const Wire& w = c.at(e.wire);
        return w.named ? name_of(c, e.wire) : "the wire from " + end_text(view, w.a) + " to " + end_text(view, w.b);
    }
    const Primitive& p = c.at(e.primitive);
    const std::string name = name_of(c, p.part);
    switch (p.element) {
    case Element::contact:
        if (const TerminalId pin = output_pin(c, p); pin.exists()) return name + " output " + c.at(pin).stamp;
        return name + " contact";
    case Element::joint:
        if (c.at(p.part).kind == Kind::box) return end_text(view, p.b) + " to " + end_text(view, p.a);
        return p.purpose == Purpose::mounting && c.at(p.part).kind != Kind::ground ? name + " to its metal" : name;
    default: return name;
    }
}

std::string shares(const View& view, const std::vector<solve::Share>& way) {
    std::vector<std::pair<std::string, double>> all;
    for (const solve::Share& s : way) {
        const std::string name = called_briefly(view, s.what);
        const auto known = std::ranges::find(all, name, &std::pair<std::string, double>::first);
        if (known == all.end())
            all.emplace_back(name, s.volts.si);
        else
            known->second += s.volts.si;
    }
    std::string out;
    for (const auto& [name, volts] : all)
        if (volts >= 0.005) out += (out.empty() ? "" : ", ") + name + " " + fmt::format("{:.2f}", volts);
    return out;
}

double sum(const std::vector<solve::Share>& way) {
    double volts = 0;
    for (const solve::Share& s : way) volts += s.volts.si;
    return volts;
}

std::string lost_text(const View& view, const solve::Lost& l, const Screen& screen) {
    const Circuit& c = view.circuit();
    const Primitive& load = c.at(l.load);
    const double feed = sum(l.feed), ground = l.at_source.si - l.at_load.si - feed;
    const std::string filament = c.at(load.a).role == Role::filament ? ":" + c.at(load.a).stamp : "";
    std::string line = name_of(c, load.part) + filament + (load.purpose == Purpose::coil ? " coil" : "") + " gets " +
                       meter(l.at_load.si) + " of " + meter(l.at_source.si) + " V. " +
                       fmt::format("Lost on the way to it {:.2f}", feed);
    if (const std::string where = shares(view, l.feed); !where.empty()) line += " (" + where + ")";
    line += fmt::format(", on the ground side {:.2f}", ground);
    if (const std::string where = shares(view, l.ground); !where.empty()) line += " (" + where + ")";
    return paragraph(screen, line + ".");
}

} // namespace loomproof::report
