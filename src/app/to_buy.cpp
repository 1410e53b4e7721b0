#include "app/to_buy.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "reference/fuses.hpp"
#include "report/page.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

constexpr double slack = 1.1;

constexpr double not_said = 1; // m2: behind all others

/// Thinnest first, then by name.
struct Size {
    double copper = 0;
    std::string name;
    auto operator<=>(const Size&) const = default;
};

Size size_of(const Circuit& c, const sizing::ForWire& w) {
    const Wire& wire = c.at(w.wire);
    if (!w.stays && w.needs) return {w.needs->size.copper.si, lower(reference::spelled(w.needs->size))};
    if (!wire.size.empty() && wire.area.known()) return {wire.area.nominal.si, wire.size};
    return {not_said, "size not said"};
}

/// Blade terminals take wire up to here (common practice, no source); thicker wire is bolted.
constexpr double most_on_a_blade = 6e-6; // m2

/// Where a terminal is crimped on, by what it goes to; empty where none is: a joint, a loose end.
const char* terminal_for(Kind kind, double copper) {
    switch (kind) {
    case Kind::battery:
    case Kind::ground:
    case Kind::metal:
    case Kind::bus:
    case Kind::starter:
    case Kind::alternator: return "rings";
    case Kind::splice:
    case Kind::cut:
    case Kind::loose_end:
    case Kind::unknown_end:
    case Kind::existing_wire:
    case Kind::not_known: return "";
    case Kind::connector: return "for plugs";
    default: return copper > most_on_a_blade && copper < not_said ? "rings" : "push-on or as the part takes";
    }
}

/// Where the file does not say it.
const char* usual_body(Amps amps) {
    if (reference::usual_style(amps) != reference::Protector::maxi_blade) return "blade";
    return reference::largest_fuse_up_to(reference::Protector::maxi_blade, amps) &&
                   !reference::smallest_fuse_from(reference::Protector::maxi_blade, amps)
               ? "bolted"
               : "maxi blade";
}

std::string counted_by_size(const std::map<Size, int>& by_size) {
    std::vector<std::string> out;
    for (const auto& [size, n] : by_size) out.push_back(fmt::format("{} for {}", n, size.name));
    return list_of(out);
}

} // namespace

std::string to_buy(const View& view, const sizing::Proposal& proposal, const report::Screen& screen) {
    const Circuit& c = view.circuit();
    struct Lot {
        double metres = 0;
        std::vector<std::string> unknown;
    };
    std::map<std::pair<Size, std::string>, Lot> wires;
    std::map<std::string, std::map<Size, int>> terminals;
    for (const sizing::ForWire& w : proposal.wires) {
        const Wire& wire = c.at(w.wire);
        const Size size = size_of(c, w);
        const std::string colour = wire.colours.main.empty() ? "any colour" : colour_words(wire.colours);
        Lot& lot = wires[{size, colour}];
        if (wire.length.known())
            lot.metres += wire.length.high.si;
        else
            lot.unknown.push_back(wire.named ? name_of(c, w.wire) : end_of(c, wire.a) + " to " + end_of(c, wire.b));
        for (const TerminalId end : {wire.a, wire.b})
            if (const std::string kind = terminal_for(c.part_of(end).kind, size.copper); !kind.empty())
                ++terminals[kind][size];
    }
    std::map<std::pair<double, std::string>, int> fuses;
    for (const sizing::ForFuse& f : proposal.fuses) {
        const PartId part = c.at(f.device).part;
        if (!f.becomes && !f.has.known()) continue;
        const Amps amps = f.becomes.value_or(f.has.nominal);
        const std::string type = view.word(part, Attr::fuse_type);
        ++fuses[{amps.si, text(amps) + " " + (type.empty() ? usual_body(amps) : type)}];
    }
    if (wires.empty() && fuses.empty()) return {};
    std::vector<std::pair<std::string, std::string>> rows;
    for (const auto& [what, lot] : wires) {
        std::string line;
        if (lot.metres > 0) line = text(Metres{std::ceil(lot.metres * slack * 10 - 1e-6) / 10});
        if (!lot.unknown.empty())
            line += (line.empty() ? "" : ", and ") + std::string("the length of ") + list_of(lot.unknown) +
                    ", which nobody said";
        rows.emplace_back(what.first.name + " " + what.second, line);
    }
    for (const auto& [what, n] : fuses) rows.emplace_back("fuse " + what.second, std::to_string(n));
    for (const auto& [kind, by_size] : terminals) rows.emplace_back("terminals, " + kind, counted_by_size(by_size));
    std::string out = "\nTo buy, if all of this is new\n";
    out += report::in_columns(screen, rows);
    return out + report::paragraph(screen,
                                   "Lengths are as in the file and a tenth more for slack (common practice). Holders, "
                                   "sleeves, seals and joints come on top: look at the parts.");
}

} // namespace loomproof::app
