/// Operations and positions in the words of the person at the switches.

#include "base/number.hpp"
#include "solve/states.hpp"

#include <algorithm>

namespace loomproof::solve {

namespace {

bool on_off(const Control& control) {
    return control.positions.size() == 2 && control.positions[0] == "off" && control.positions[1] == "on";
}

bool springs(const Control& control, std::uint8_t at) { return (control.springs_back >> at & 1) != 0; }

/// "S1", "S6 lights"
std::string subject(const Circuit& c, const Control& control) {
    const std::string part = name_of(c, control.part);
    return control.name.empty() ? part : part + " " + control.name;
}

std::string in_quotes(const std::string& text) { return "\"" + text + "\""; }

} // namespace

std::string said(const Circuit& c, const Variable& v, const Operation& o) {
    const Control& control = c.at(v.controls.front());
    const std::string who = subject(c, control), where = control.positions[o.to];
    switch (control.type) {
    case Control::Type::engine:
        if (where == "stopped") return o.forced ? "the engine stops" : "let the engine die";
        if (where == "cranking") return "the engine cranks";
        return control.positions[o.from] == "stopped" || control.positions[o.from] == "cranking" ? "start the engine"
               : where == "running"                                                              ? "rev it up"
                                                                                                 : "let it idle";
    case Control::Type::condition: return in_quotes(control.name) + (o.to == control.rest ? " ends" : " begins");
    case Control::Type::sensed:
        if (on_off(control)) return who + (o.to == 1 ? " closes" : " opens");
        return who + " goes to " + where;
    default: break;
    }
    if (springs(control, o.to))
        return on_off(control) ? "press " + who : "turn " + who + " to " + where + " and hold it";
    if (springs(control, o.from)) return on_off(control) ? "let " + who + " go" : "let " + who + " go back to " + where;
    return on_off(control) ? "switch " + who + " " + where : "turn " + who + " to " + where;
}

std::string said(const Circuit& c, const Behaviour& b, std::span<const Operation> way) {
    std::vector<std::string> steps;
    for (std::size_t i = 0; i < way.size(); ++i) {
        Operation o = way[i];
        // One turn of the hand passes the positions in between; what springs back is a step of its own.
        while (i + 1 < way.size() && way[i + 1].variable == o.variable &&
               !springs(c.at(b.variables[o.variable].controls.front()), o.to)) {
            if ((way[i + 1].to > o.to) != (o.to > o.from)) break;
            o.to = way[++i].to;
        }
        // To turn the key, to let the engine catch and to let go is one thing: start it.
        const auto engine = [&](std::size_t at, const char* to) {
            if (at >= way.size()) return false;
            const Control& control = c.at(b.variables[way[at].variable].controls.front());
            return control.type == Control::Type::engine && control.positions[way[at].to] == to;
        };
        const Control& turned = c.at(b.variables[o.variable].controls.front());
        if (springs(turned, o.to) && engine(i + 1, "cranking") &&
            (engine(i + 2, "idling") || engine(i + 2, "running"))) {
            steps.emplace_back("start the engine");
            i += 2;
            if (i + 1 < way.size() && way[i + 1].variable == o.variable && way[i + 1].from == o.to) ++i;
            continue;
        }
        steps.push_back(said(c, b.variables[o.variable], o));
    }
    std::string out;
    for (const std::string& s : steps) out += (out.empty() ? "" : ", ") + s;
    return out;
}

std::string said(const Circuit& c, ControlId id) {
    const Control& control = c.at(id);
    if (control.type == Control::Type::engine) return "the engine";
    return control.type == Control::Type::condition ? in_quotes(control.name) : subject(c, control);
}

std::string said(const Circuit& c, const Positions& positions) {
    std::string out;
    std::vector<std::string> conditions; // of one wording: one condition
    for (std::size_t i = 0; i < c.controls.size(); ++i) {
        const Control& control = c.controls[i];
        if (control.type == Control::Type::relay || positions[i] == control.rest) continue;
        std::string text = control.type == Control::Type::engine ? "engine " + control.positions[positions[i]]
                           : control.type == Control::Type::condition
                               ? in_quotes(control.name)
                               : subject(c, control) + " " + control.positions[positions[i]];
        if (std::ranges::find(conditions, text) != conditions.end()) continue;
        conditions.push_back(text);
        out += (out.empty() ? "" : ", ") + text;
    }
    return out.empty() ? "everything at rest" : out;
}

} // namespace loomproof::solve
