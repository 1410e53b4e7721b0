/// Converters in a solution: what their input takes for what their output gives.

#include "solve/joined.hpp"
#include "solve/model.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::solve {

namespace {

constexpr double gives_from =
    0.5; ///< of the volts at its input that it is made for: below, none works (common practice, no source)
/// How a battery stands that takes all a charger gives: half full, and its volts below the charger's by so much at that current that the charger
/// is at its limit (a battery takes a quarter of its Ah in amps up to some four fifths of its charge: common practice, from memory).
constexpr double charge_of_an_empty_one = 0.5, below_the_limit = 0.6;

/// Batteries that an output charges: over wires, fuses, meters, diodes in its direction and contacts however they stand; further ones in a row.
std::vector<PrimitiveId> charged_by(const View& view, const Primitive& output, const Primitive& input) {
    const Circuit& c = view.circuit();
    const auto reached = [&](TerminalId start, bool contacts) {
        std::vector<bool> seen(c.terminals.size(), false);
        std::vector<TerminalId> waiting{start};
        while (!waiting.empty()) {
            const TerminalId at = waiting.back();
            waiting.pop_back();
            const Kind kind = c.part_of(at).kind;
            if (seen[at.index] || kind == Kind::metal || kind == Kind::ground) continue;
            seen[at.index] = true;
            for (WireId w : view.wires_at(at)) waiting.push_back(c.at(w).other(at));
            for (PrimitiveId id : view.primitives_at(at)) {
                const Primitive& p = c.at(id);
                const bool passes = p.element == Element::protector || p.element == Element::meter ||
                                    (p.element == Element::joint && p.purpose != Purpose::mounting) ||
                                    (p.element == Element::contact && contacts) ||
                                    (p.element == Element::junction && p.a == at);
                if (passes && p.part != output.part) waiting.push_back(p.a == at ? p.b : p.a);
            }
        }
        return seen;
    };
    const std::vector<bool> feeds = reached(input.a, false);
    std::vector<PrimitiveId> found;
    for (const bool contacts : {false, true}) {
        std::vector<TerminalId> from{output.a};
        for (std::size_t i = 0; i < from.size() && from.size() < 16; ++i) {
            const std::vector<bool> seen = reached(from[i], contacts);
            for (PrimitiveId id : view.primitives()) {
                const Primitive& p = c.at(id);
                if (p.element != Element::source || c.at(p.part).kind != Kind::battery || !seen[p.a.index] ||
                    feeds[p.a.index] || std::ranges::find(found, id) != found.end())
                    continue;
                found.push_back(id);
                from.push_back(p.b);
            }
        }
        if (!found.empty()) break;
    }
    return found;
}

} // namespace

void Model::find_conversions() {
    const Circuit& c = circuit();
    for (PrimitiveId in : view_.primitives()) {
        const Primitive& input = c.at(in);
        if (input.purpose != Purpose::conversion || input.element != Element::constant_power) continue;
        for (PrimitiveId out : view_.primitives()) {
            const Primitive& output = c.at(out);
            if (output.part != input.part || output.element != Element::source || output.purpose != Purpose::conversion)
                continue;
            const Device &sink = models_[in.index].device, &source = models_[out.index].device;
            const std::uint32_t branch = primitive_branch_[in.index];
            Conversion k{branch,
                         primitive_branch_[out.index],
                         static_cast<std::size_t>(std::ranges::find(sinks_, branch, &Sink::branch) - sinks_.begin()),
                         source.volts * source.amps / (sink.volts * sink.amps),
                         gives_from * sink.volts,
                         output.control,
                         output.closed_in,
                         {}};
            if (output.control.exists())
                for (PrimitiveId id : charged_by(view_, output, input)) {
                    const Primitive& battery = c.at(id);
                    const double nominal = rated_volts(c, battery);
                    const double rested =
                        rested_volts(view_.word(battery.part, Attr::chemistry), nominal, charge_of_an_empty_one);
                    const double room = charging_volts * nominal / 12 - rested;
                    const Device empty = Device::battery(rested, models_[id.index].device.ohms,
                                                         std::max(1e-5, below_the_limit * room / source.amps));
                    k.charged.push_back({primitive_branch_[id.index], empty, empty});
                }
            conversions_.push_back(std::move(k));
        }
    }
}

bool Model::delivers(const Conversion& k, const Positions& positions) const {
    return !k.control.exists() || (k.delivers_in >> positions[k.control.index] & 1) != 0;
}

/// Each at its most, before anything is solved.
void Model::set_conversions(const Positions& positions) {
    for (Conversion& k : conversions_) {
        sinks_[k.sink].watts = base_[k.in].volts * base_[k.in].amps;
        if (!delivers(k, positions)) continue;
        devices_[k.in].amps = base_[k.in].amps;
        for (Conversion::Charged& battery : k.charged) {
            battery.else_ = devices_[battery.branch];
            devices_[battery.branch] = battery.while_charged;
        }
    }
}

/// Sets what each input takes by what its output gives in the last solution, and ends what an input without volts would give. Was there any
/// of the latter?
bool Model::follow_conversions(const Positions& positions) {
    bool ended = false;
    for (const Conversion& k : conversions_) {
        if (!delivers(k, positions) || devices_[k.out].law == Device::Law::open) continue;
        const auto across = [&](std::uint32_t branch) {
            return solution_.volts[ends_[branch].a] - solution_.volts[ends_[branch].b];
        };
        if (across(k.in) < k.least) { // for good, so that this comes to an end
            devices_[k.out] = Device::open();
            for (const Conversion::Charged& battery : k.charged) devices_[battery.branch] = battery.else_;
            sinks_[k.sink].watts = 0;
            ended = true;
        } else {
            sinks_[k.sink].watts = std::max(0.0, -across(k.out) * solution_.amps[k.out]) / k.efficiency;
        }
    }
    return ended;
}

} // namespace loomproof::solve
