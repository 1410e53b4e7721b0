#include "rules/hangs_on.hpp"

#include "rules/phrases.hpp"

#include <algorithm>
#include <set>

namespace loomproof::rules {

namespace {

/// Not all of the reference: a feed that a mistake ties to ground is part of it too.
bool is_pole(const Study& s, TerminalId t) {
    return s.circuit.part_of(t).kind == Kind::metal || std::ranges::any_of(s.now.primitives_at(t), [&](PrimitiveId p) {
               return s.circuit.at(p).element == Element::source;
           });
}

} // namespace

std::vector<std::string> names_around(const Study& s, const std::vector<TerminalId>& terminals) {
    const Circuit& c = s.circuit;
    std::vector<std::string> names;
    std::set<WireId> wires;
    std::set<PartId> parts;
    for (TerminalId t : terminals) {
        if (!c.at(t).internal) names.push_back(name_of(c, t));
        if (parts.insert(c.at(t).part).second) names.push_back(name_of(c, c.at(t).part));
        if (is_pole(s, t)) continue;
        for (WireId w : s.now.wires_at(t))
            if (wires.insert(w).second) names.push_back(subject_of(c, w));
    }
    return names;
}

std::vector<std::string> names_tied_to(const Study& s, TerminalId t) {
    std::vector<bool> seen(s.circuit.terminals.size());
    std::vector<TerminalId> tied{t};
    seen[t.index] = true;
    for (std::size_t i = 0; i < tied.size(); ++i) {
        const auto go = [&](TerminalId to) {
            if (seen[to.index]) return;
            seen[to.index] = true;
            tied.push_back(to);
        };
        const TerminalId at = tied[i];
        if (is_pole(s, at)) continue;
        for (WireId w : s.now.wires_at(at))
            if (!s.circuit.at(w).poisoned) go(s.circuit.at(w).other(at));
        for (PrimitiveId p : s.now.primitives_at(at))
            if (s.circuit.at(p).element == Element::joint)
                go(s.circuit.at(p).a == at ? s.circuit.at(p).b : s.circuit.at(p).a);
    }
    return names_around(s, tied);
}

bool waits_for_the_engine(const Study& s, TerminalId a, TerminalId b) {
    std::vector<bool> seen(s.circuit.terminals.size());
    bool waits = false;
    region(s.now, {a, b}, Through::what_conducts, [&](TerminalId t) {
        if (seen[t.index] || is_pole(s, t)) return false;
        seen[t.index] = true;
        const Kind kind = s.circuit.part_of(t).kind;
        waits = waits || (s.circuit.at(t).role == Role::signal &&
                          (kind == Kind::alternator || kind == Kind::dynamo || kind == Kind::regulator));
        return true;
    });
    return waits;
}

HangsOn what_it_hangs_on(const Study& s, const Sides& sides, const Ends& ends, PartId part) {
    const Circuit& c = s.circuit;
    HangsOn on;
    std::vector<bool> seen(c.terminals.size());
    std::set<PartId> parts;
    std::vector<TerminalId> next = c.at(part).terminals;
    while (!next.empty()) {
        std::vector<TerminalId> met;
        region(s.now, std::move(next), Through::what_conducts, [&](TerminalId t) {
            if (seen[t.index]) return false;
            seen[t.index] = true;
            met.push_back(t);
            return !is_pole(s, t);
        });
        next.clear();
        for (TerminalId t : met) {
            on.terminals.push_back(t);
            const PartId at = c.at(t).part;
            // A contact is moved by a coil, which hangs on something itself.
            const bool contact = std::ranges::any_of(
                s.now.primitives_at(t), [&](PrimitiveId p) { return c.at(p).element == Element::contact; });
            if (parts.insert(at).second && contact)
                for (TerminalId own : c.at(at).terminals)
                    if (!seen[own.index]) next.push_back(own);
        }
    }
    on.names = names_around(s, on.terminals);

    const auto among = [&](TerminalId t) { return std::ranges::find(on.terminals, t) != on.terminals.end(); };
    for (const Ends::Open& o : ends.open())
        if (among(o.terminal)) on.unfinished.push_back(o.terminal);
    for (const MissingGround& m : missing_grounds(s, sides, ends))
        if (std::ranges::any_of(m.users, [&](PartId user) { return user == part || parts.contains(user); }) &&
            std::ranges::find(on.unfinished, m.at) == on.unfinished.end())
            on.unfinished.push_back(m.at);
    return on;
}

} // namespace loomproof::rules
