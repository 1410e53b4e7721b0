/// The circuit in lines that a person can read and a test can compare.

#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "circuit/read.hpp"
#include "circuit/view.hpp"

#include <fmt/core.h>

namespace loomproof {

namespace {

const char* element_word(Element e) {
    static constexpr const char* words[] = {"joint",    "contact", "protector",      "resistance", "filament",
                                            "junction", "machine", "constant power", "source",     "meter"};
    return words[static_cast<std::size_t>(e)];
}

const char* provenance_word(Provenance p) {
    static constexpr const char* words[] = {"factory", "found", "job", "assumed"};
    return words[static_cast<std::size_t>(p)];
}

std::string life_text(const Life& l) {
    if (l.born == 0 && l.gone == never) return "";
    return l.gone == never ? fmt::format(" [{}..]", l.born) : fmt::format(" [{}..{})", l.born, l.gone);
}

template <class Q> std::string stated_text(const Stated<Q>& s) {
    static constexpr const char* how[] = {"unknown", "", "about ", "measured ", "marked ", "guessed ", "assumed "};
    if (!s.known()) return "unknown";
    return how[static_cast<std::size_t>(s.how)] + text(s.nominal);
}

std::string terminal_text(const Circuit& c, TerminalId t) {
    std::string out = name_of(c, t);
    if (c.at(t).role == Role::hole) out += c.at(t).half == 0 ? "'" : "\"";
    if (c.at(t).internal) out += " (inside)";
    return out;
}

} // namespace

std::string dump(const Circuit& c) {
    std::string out;
    const auto line = [&](const std::string& s) { out += s + "\n"; };
    line(fmt::format("vehicle {}{}{} {} {}", c.vehicle.text, c.vehicle.described ? "" : " (partly described)",
                     c.vehicle.complete ? " complete" : "", text(c.vehicle.system),
                     c.vehicle.positive_ground ? "positive ground" : "negative ground"));
    for (const RevisionInfo& r : c.revisions)
        line(fmt::format("revision {} {} {} {}", r.title, static_cast<int>(r.status), r.date, r.why));
    for (const Place& p : c.places) line(fmt::format("place {} {}", p.name, stated_text(p.temperature)));
    for (const Part& p : c.parts) {
        std::string s =
            fmt::format("part {} {} {}", spec_of(p.kind).title, p.name, provenance_word(p.origin.provenance));
        if (!p.label.empty()) s += " \"" + p.label + "\"";
        if (p.place.exists()) s += " in " + c.at(p.place).name;
        for (const Attribute& a : p.attributes) {
            s += fmt::format(" {}={}", static_cast<int>(a.key), a.word);
            if (a.value.known()) s += "(" + figure(a.value.nominal, 5) + ")";
            s += life_text(a.life);
        }
        if (p.poisoned) s += " poisoned";
        line(s + life_text(p.life));
        for (TerminalId t : p.terminals) line("  terminal " + terminal_text(c, t));
        for (ControlId id : p.controls) {
            const Control& control = c.at(id);
            std::string k = "  control " + control.name + ":";
            for (std::size_t i = 0; i < control.positions.size(); ++i)
                k += " " + control.positions[i] + (i == control.rest ? "*" : "") +
                     (control.springs_back >> i & 1 ? "~" : "");
            line(k);
        }
    }
    for (std::size_t i = 0; i < c.wires.size(); ++i) {
        const Wire& w = c.wires[i];
        std::string s =
            fmt::format("wire {} {} > {} {} {} {}/{} {} class {}", name_of(c, WireId{i}), terminal_text(c, w.a),
                        terminal_text(c, w.b), provenance_word(w.origin.provenance), w.size.empty() ? "size?" : w.size,
                        w.colours.main, w.colours.stripe, stated_text(w.length), text(w.insulation_class.nominal));
        if (w.place.exists()) s += " in " + c.at(w.place).name;
        for (const auto& [flag, word] : {std::pair{w.starter_cable, "starter"},
                                         {w.winch_cable, "winch"},
                                         {w.signal, "signal"},
                                         {w.screen, "screen"},
                                         {w.sleeved, "sleeved"},
                                         {w.bare, "bare"},
                                         {w.capped_a, "capped at from"},
                                         {w.capped_b, "capped at to"},
                                         {w.poisoned, "poisoned"}})
            if (flag) s += std::string(" ") + word;
        line(s + life_text(w.life));
    }
    for (const Primitive& p : c.primitives) {
        std::string s =
            fmt::format("{} {} > {}", element_word(p.element), terminal_text(c, p.a), terminal_text(c, p.b));
        if (p.control.exists()) s += fmt::format(" in {:b} of {}", p.closed_in, name_of(c, c.at(p.control).part));
        if (p.current.known()) s += " takes " + stated_text(p.current);
        if (p.resistance.known()) s += " " + stated_text(p.resistance);
        if (p.rating.known()) s += " rated " + stated_text(p.rating);
        if (p.strong) s += " strong";
        line(s + life_text(p.life));
    }
    for (const PlugRow& r : c.plug_rows)
        line(fmt::format("plug row {} {} {}/{} {}", name_of(c, r.connector), r.hole, r.colours.main, r.colours.stripe,
                         r.label));
    for (const Expectation& e : c.expectations) line(fmt::format("expectation about {}", name_of(c, e.part)));
    for (const Acceptance& a : c.acceptances) line(fmt::format("accepted {} on {}: {}", a.rule, a.thing, a.because));
    for (const StillToWire& s : c.still_to_wire) line("still to wire " + terminal_text(c, s.terminal));
    for (const Assumption& a : c.assumptions) line(fmt::format("assumed {} {}", a.subject, a.value));
    return out;
}

} // namespace loomproof
