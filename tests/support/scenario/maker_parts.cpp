#include "support/scenario/maker.hpp"

#include <algorithm>
#include <cmath>
#include <span>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

constexpr std::string_view plain_labels[] = {
    "light bar", "left hand side", "behind the dash", "fan",        "spare wheel carrier",
    "rear step", "cargo lamp",     "radio",           "heated pad",
};
constexpr std::string_view conditions[] = {"ignition on",   "main beam on", "reverse gear",
                                           "side lamps on", "door open",    "brake pedal down"};

double volts_of(double system, bool running) { return running ? system * 13.5 / 12 : system; }

} // namespace

std::string Maker::new_name(const char* prefix) {
    for (;;) {
        const int number = ++counters_[prefix];
        std::string name = fmt::format("{}{}", prefix, number);
        if (c.chance(3)) {
            name = fmt::format("{}{}", c.one_of(odd_names()), number);
            plan.features.insert("odd name");
        }
        std::string key = name; // two names may not differ by capitals alone
        std::transform(key.begin(), key.end(), key.begin(),
                       [](char x) { return x >= 'A' && x <= 'Z' ? static_cast<char>(x - 'A' + 'a') : x; });
        if (names_.insert(key).second) { return name; }
    }
}

std::string Maker::label() {
    if (c.chance(70)) { return {}; }
    if (c.chance(30)) {
        plan.features.insert("hostile text");
        return fmt::format(" \"{}\"", c.one_of(hostile_texts()));
    }
    return fmt::format(" \"{}\"", c.one_of(plain_labels));
}

int Maker::part(const char* keyword, const char* prefix, std::vector<std::string> clauses,
                std::vector<std::string> rows) {
    Part p;
    p.keyword = keyword;
    Statement s;
    s.block = block_;
    if (prefix == nullptr) {
        p.name = keyword; // one of a kind
        s.head = keyword;
    } else {
        p.name = new_name(prefix);
        s.head = fmt::format("{} {}{}", keyword, p.name, label());
    }
    s.clauses = std::move(clauses);
    if (s.head.starts_with("link ")) {
        s.clauses.emplace_back("in engine-bay"); // never in the cabin: it glows
    } else if (c.chance(5)) {
        s.clauses.emplace_back(c.chance(50) ? "in cabin" : "in \"left kick panel\"");
        plan.features.insert("part in a place");
    }
    s.rows = std::move(rows);
    plan.features.insert(std::string("kind ") + keyword);
    p.statement = plan.statement(std::move(s));
    plan.parts.push_back(std::move(p));
    return static_cast<int>(plan.parts.size()) - 1;
}

int Maker::add_clause(int part, std::string clause) {
    auto& clauses =
        plan.statements[static_cast<std::size_t>(plan.parts[static_cast<std::size_t>(part)].statement)].clauses;
    clauses.push_back(std::move(clause));
    return static_cast<int>(clauses.size()) - 1;
}

int Maker::two_ended(int part, Element element, double rating, int control, std::set<std::string> closed_in) {
    const int a = plan.terminal(part, "1");
    const int b = plan.terminal(part, "2");
    Edge e{element, a, b, plan.parts[static_cast<std::size_t>(part)].name};
    e.rating = rating;
    e.control = control;
    e.closed_in = std::move(closed_in);
    plan.edge(std::move(e));
    plan.parts[static_cast<std::size_t>(part)].rating = rating;
    return part;
}

int Maker::battery(double volts, double amp_hours) {
    static constexpr const char* chemistries[] = {"", "lead-acid", "AGM"};
    std::vector<std::string> clauses{typed(amp_hours) + " Ah"};
    if (const std::string chemistry = c.one_of(chemistries); !chemistry.empty()) { clauses.push_back(chemistry); }
    if (volts != plan.volts) { clauses.push_back(typed(volts) + " V"); }
    const bool measured = c.chance(10);
    if (measured) { clauses.emplace_back("5 mohm"); }
    const unsigned more = turn(5, 40 + static_cast<unsigned>(amp_hours));
    if (more == 0) { clauses.emplace_back("540 A cranking"); }
    if (more == 1) { clauses.emplace_back("limited to 400 A"); }
    if (more == 2 && !measured) { clauses.push_back("short-circuit " + amps(volts / 0.005)); }
    const bool first_one = counters_["battery"]++ == 0;
    const int id = part("battery", first_one && c.chance(70) ? nullptr : "B", std::move(clauses));
    const int plus = plan.terminal(id, "+");
    const int minus = plan.terminal(id, "-");
    Edge e{Element::source, plus, minus, plan.parts[static_cast<std::size_t>(id)].name};
    e.strong = true;
    plan.edge(std::move(e));
    return id;
}

int Maker::protector(double rating, bool ordinary) {
    std::vector<std::string> clauses{amps(rating)};
    const unsigned way = c.below(10);
    if (!ordinary && way == 9) {
        clauses.emplace_back(c.chance(50) ? "resets itself" : "reset by hand");
        if (turn(2, 41) == 0) { clauses.emplace_back(turn(4, 42) < 2 ? "trip-free" : "breaks 5000 A"); }
        if (turn(3, 43) == 0) { clauses.push_back(typed(plan.volts) + " V"); }
        return two_ended(part("breaker", "Q", std::move(clauses)), Element::protector, rating);
    }
    if (way == 8 && rating <= 30 && rating >= 5) {
        clauses.emplace_back("glass");
    } else if (way >= 4 || rating > 40) {
        clauses.emplace_back(fuse_type(rating));
    }
    if (clauses.size() > 1) { plan.features.insert("fuse " + clauses.back()); }
    if (c.chance(8)) {
        clauses.emplace_back("inline");
        // Thick enough in the warmest place too.
        if (turn(2, 44) == 0) {
            clauses.emplace_back(rating <= 30 ? "tails 6 mm2 0.15 m" : rating <= 60 ? "tails 16 mm2" : "tails 95 mm2");
        }
        if (turn(2, 56) == 0) { clauses.push_back("holder " + amps(rating)); }
    } else if (turn(9, 45) == 0) {
        clauses.emplace_back("breaks 1000 A");
    }
    return two_ended(part("fuse", "F", std::move(clauses)), Element::protector, rating);
}

int Maker::fusible_link(const Size& size) {
    // Melts at about 80 d^1.5 A, d in mm (Preece 1888): the only figure there is for a link in general. Its maker may state one.
    const double diameter = std::sqrt(size.area * 4 / 3.14159265358979323846);
    const double melts = c.chance(30) ? 60 : 80 * std::pow(diameter, 1.5);
    std::vector<std::string> clauses{size.text, "0.2 m"};
    if (melts == 60) { clauses.push_back(amps(60)); }
    return two_ended(part("link", "F", std::move(clauses)), Element::protector, melts);
}

Gate Maker::gate(double amps_through, bool sensed) {
    sensed = sensed && amps_through <= 15;
    std::vector<std::string> clauses, rows;
    std::vector<std::string> positions{"off", "on"};
    unsigned way = c.below(5);
    if (sensed) { way = 5; }
    if (amps_through > 15) { way = 2; } // of a switch that carries so much people say what it is made for
    switch (way) {
    case 1: clauses.emplace_back("push"); break;
    case 2:
        clauses.push_back(amps(fuse_for(std::max(5.0, amps_through * 5))));
        clauses.push_back(typed(plan.volts) + " V");
        break;
    case 3: rows = {"off*", "on connects 1 with 2"}; break;
    case 4:
        rows = {"rest*", "pressed connects 1 with 2, springs back"};
        positions = {"rest", "pressed"};
        break;
    case 5:
        clauses.emplace_back("thermal");
        if (c.chance(30)) { clauses.emplace_back("closes at 92 degC"); }
        if (turn(5, 85) == 0) { clauses = {"pressure", "closes at 1.2 bar"}; }
        rows = {"cold*", "hot connects 1 with 2"};
        positions = {"cold", "hot"};
        break;
    default: break;
    }
    if (rows.empty() && turn(7, 46) == 0) {
        clauses.emplace_back("make-before-break");
    } // nothing to it with one contact
    if (way == 5 && turn(2, 47) == 0) { clauses.emplace_back("opens at 80 degC"); }
    plan.features.insert(fmt::format("switch way {}", way));
    const int id = part("switch", "S", std::move(clauses), std::move(rows));
    const int control = plan.control(plan.parts[static_cast<std::size_t>(id)].name, positions);
    two_ended(id, Element::contact, 0, control, {positions[1]});
    Condition closed;
    closed.any.front()[control] = {positions[1]};
    return {first(id), second(id), std::move(closed)};
}

int Maker::relay(const std::string& pins, double amps_through, bool bare) {
    std::vector<std::string> clauses{pins == "4-pin" ? "4-pin" : "5-pin"};
    if (pins == "two makes") { clauses.emplace_back("two makes"); }
    const double rating = amps_through < 13 ? 20 : amps_through < 20 ? 30 : amps_through < 27 ? 40 : 70;
    if (pins == "5-pin" && c.chance(50)) {
        clauses.push_back(amps(rating + 10) + " make");
        clauses.push_back(amps(rating) + " rest");
    } else {
        clauses.push_back(amps(rating));
    }
    if (c.chance(40)) {
        clauses.push_back(turn(4, 84) == 0 ? "coil 1.6 W"
                                           : fmt::format("coil {} ohm", plan.volts == 24  ? 320
                                                                        : plan.volts == 6 ? 22
                                                                                          : 85));
    }
    if (turn(5, 11) == 0) { clauses.push_back(typed(plan.volts) + " V"); }
    if (pins != "two makes" && turn(6, 48) == 0) { clauses.push_back(pins + " base"); }
    if (turn(7, 49) == 0) {
        clauses.emplace_back(rating <= 20 ? "tails 2.5 mm2" : rating <= 40 ? "tails 6 mm2" : "tails 16 mm2");
    }
    if (rating == 40) { clauses.emplace_back("mini"); }
    if ((rating == 30 || rating == 70) && turn(3, 58) == 0) { clauses.emplace_back("studs"); }
    if (rating == 20 && pins == "5-pin") { clauses.emplace_back("micro"); }
    const int id = part("relay", "K", std::move(clauses));
    if (bare) {
        if (c.chance(50)) { add_clause(id, "bare"); }
    } else if (c.chance(50)) {
        add_clause(id, "diode");
        add_clause(id, positive_ ? "band on 85" : "band on 86");
    } else {
        add_clause(id, fmt::format("resistor {} ohm", plan.volts == 24 ? 1200 : 680));
    }
    const std::string& name = plan.parts[static_cast<std::size_t>(id)].name;
    const int control = plan.control(name, {"rest", "pulled"});
    const int n85 = plan.terminal(id, "85");
    const int n86 = plan.terminal(id, "86");
    const int n30 = plan.terminal(id, "30");
    plan.edge({Element::coil, n86, n85, name});
    const auto contact = [&](const char* stamp, const char* when) {
        Edge e{Element::contact, n30, plan.terminal(id, stamp), name};
        e.control = control;
        e.closed_in = {when};
        plan.edge(std::move(e));
    };
    contact("87", "pulled");
    if (pins == "5-pin") {
        contact("87a", "rest");
    } else if (pins == "two makes") {
        contact("87b", "pulled");
    }
    plan.features.insert("relay " + pins);
    return id;
}

LoadSpec Maker::some_load(double most) {
    static constexpr double watts[] = {1.2, 2, 5, 10, 21, 35, 55, 60, 100, 120};
    static constexpr double currents[] = {0.1, 0.3, 0.5, 1, 2, 3, 4.6, 6, 8, 10};
    static constexpr const char* keywords[] = {"lamp", "load", "motor", "led", "horn", "electronics", "load"};
    // The largest figures that do not take more than `most`.
    const auto pick = [&](std::span<const double> list, double amps_each) {
        const auto fits = std::count_if(list.begin(), list.end(), [&](double x) { return x * amps_each <= most; });
        return list[c.below(static_cast<std::uint32_t>(std::max<std::ptrdiff_t>(fits, 1)))];
    };
    LoadSpec l;
    l.keyword = c.one_of(keywords);
    if (l.keyword == "load") { // some of what has no name of its own has one
        static constexpr const char* instead[] = {"load", "heater", "solenoid", "socket"};
        l.keyword = instead[static_cast<std::size_t>(turn(4, 12))];
    }
    l.polar = l.keyword == "motor" || l.keyword == "electronics" || l.keyword == "led" || l.keyword == "socket";
    const bool running = c.chance(50);
    const double at = volts_of(plan.volts, running);
    const std::string at_text = running || c.chance(30) ? fmt::format(" at {} V", typed(at)) : "";
    const unsigned said = c.below(l.keyword == "motor" ? 8 : 10); // amps, watts, sometimes ohms
    if (said < 4) {
        l.amps = pick(currents, 1);
        const bool small = l.amps < 1 && c.chance(30);
        l.clauses.push_back((small ? typed(l.amps * 1000) + " mA" : amps(l.amps)) + at_text);
    } else if (said < 8) {
        const double w = pick(watts, 1 / at);
        l.amps = w / at;
        l.clauses.push_back((w >= 100 && c.chance(20) ? typed(w / 1000) + " kW" : typed(w) + " W") + at_text);
    } else if (l.keyword == "socket") {
        l.amps = pick(currents, 1);
        l.clauses.push_back(amps(l.amps) + at_text);
    } else {
        const double ohms = std::ceil(plan.volts / pick(currents, 1) * 10) / 10;
        l.amps = plan.volts / ohms;
        l.clauses.push_back(typed(ohms) + " ohm");
    }
    if (l.keyword == "motor") {
        if (c.chance(70)) {
            l.start = std::round(l.amps * 20) / 10;
            l.clauses.push_back("starts at " + amps(l.start));
        }
        if (c.chance(10)) { l.clauses.emplace_back("reversible"); }
    }
    if ((l.keyword == "heater" || l.keyword == "load") && turn(3, 13) == 0) {
        l.start = std::round(l.amps * 15) / 10;
        l.clauses.push_back("starts at " + amps(l.start));
    }
    // Said about a load, and changing nothing of what is calculated.
    const std::string more[] = {"duty continuous", "duty 30 s in 5 min",
                                fmt::format("works from {} V", typed(plan.volts / 3))};
    if (const unsigned which = turn(12, 31); which < std::size(more)) {
        l.clauses.push_back(more[which]);
        plan.features.insert("load said more");
    }
    l.may_be_mounted = !l.polar || (l.keyword == "motor" && !positive_);
    return l;
}

LoadSpec Maker::behind(LoadSpec l, double fuse) const {
    if (l.keyword == "socket" && fuse > std::max(10.0, l.amps * 1.5)) {
        l.keyword = "load";
        l.polar = false;
    }
    return l;
}

int Maker::load(const LoadSpec& l, const Condition& on) {
    const char* prefix = l.keyword == "motor"         ? "M"
                         : l.keyword == "horn"        ? "H"
                         : l.keyword == "electronics" ? "A"
                         : l.keyword == "solenoid"    ? "Y"
                         : l.keyword == "socket"      ? "X"
                                                      : "E";
    const int id = part(l.keyword.c_str(), prefix, l.clauses);
    const int a = plan.terminal(id, l.polar ? "+" : "1");
    const int b = plan.terminal(id, l.polar ? "-" : "2");
    Edge e{Element::load, a, b, plan.parts[static_cast<std::size_t>(id)].name};
    e.rating = l.amps;
    plan.edge(std::move(e));
    plan.parts[static_cast<std::size_t>(id)].rating = l.amps;
    plan.loads.push_back({id, {}, l.amps, on});
    return id;
}

End Maker::fed(int load) const {
    const bool polar = plan.parts[static_cast<std::size_t>(load)].nodes.contains("+");
    return plan.end(load, polar ? (positive_ ? "-" : "+") : "1");
}

End Maker::grounded(int load) const {
    const bool polar = plan.parts[static_cast<std::size_t>(load)].nodes.contains("+");
    return plan.end(load, polar ? (positive_ ? "+" : "-") : "2");
}

int Maker::splice() {
    static constexpr const char* joints[] = {"", "crimp", "solder"};
    std::vector<std::string> clauses;
    if (const std::string joint = c.one_of(joints); !joint.empty()) { clauses.push_back(joint); }
    if (c.chance(10)) { clauses.emplace_back("sealed sleeve"); }
    const int id = part("splice", "SP", std::move(clauses));
    plan.terminal(id, "");
    return id;
}

int Maker::bus() {
    std::vector<std::string> clauses;
    if (c.chance(10)) { clauses = {"12 studs", "250 A"}; }
    const int id = part("bus", "BB", std::move(clauses));
    plan.terminal(id, "");
    return id;
}

// A supply or an existing wire: a strong source that nobody drew, behind a protector, live under a condition or always;
// or a way to ground.
End Maker::not_drawn(const char* keyword, Outside kind, double behind, Condition* live) {
    const std::string_view when = c.one_of(conditions);
    const bool existing = std::string_view(keyword) == "existing wire";
    std::vector<std::string> clauses;
    if (existing) { clauses.push_back(colour({})); }
    if (kind == Outside::always) {
        clauses.emplace_back(existing ? "live always" : "plus always");
    } else {
        const char* side = kind == Outside::ground ? "ground" : existing ? "live" : "plus";
        clauses.push_back(fmt::format("{} when \"{}\"", side, when));
    }
    if (kind != Outside::ground) {
        clauses.push_back("behind " + amps(behind));
        if (c.chance(40)) { clauses.emplace_back(size_for(Family::metric, behind, 0.9).text); }
        if (!existing && c.chance(30)) { clauses.push_back(colour({})); }
        if (kind == Outside::when && turn(4, 61) == 0) {
            clauses.emplace_back("pulsed 1.5 Hz");
        } // a relay follows that
    }
    const int id = part(keyword, existing ? "T" : "Z", std::move(clauses));
    const int terminal = plan.terminal(id, "");
    Part& p = plan.parts[static_cast<std::size_t>(id)];
    p.rating = behind;
    int control = -1;
    if (kind != Outside::always) {
        control = plan.control(fmt::format("when {}", when), {"no", "yes"});
        live->any.front()[control] = {"yes"};
    }
    if (kind == Outside::ground) {
        Edge e{Element::contact, plan.body, terminal, p.name};
        e.control = control;
        e.closed_in = {"yes"};
        plan.edge(std::move(e));
    } else {
        const int hidden = plan.node(p.name + " inside", id);
        Edge source{Element::source, hidden, plan.body, p.name};
        source.strong = true;
        plan.edge(std::move(source));
        Edge guard{Element::protector, hidden, terminal, p.name};
        guard.rating = behind;
        plan.edge(std::move(guard));
        plan.sources.push_back(hidden);
    }
    static constexpr const char* words[] = {"when", "always", "ground"};
    plan.features.insert(fmt::format("{} {}", keyword, words[static_cast<std::size_t>(kind)]));
    return plan.end(id);
}

int Maker::connector(int holes, double rating) {
    std::vector<std::string> clauses{fmt::format("{} holes", holes), amps(rating) + " each"};
    if (c.chance(10)) { clauses.emplace_back("sealed"); }
    if (turn(6, 88) == 0) { clauses.emplace_back("seals 1 mm to 20 mm"); }
    if (turn(6, 57) == 0) { clauses.emplace_back("terminals 0.22 mm2 to 120 mm2"); }
    if (c.chance(20)) {
        clauses.insert(clauses.end(), {"wire side", "latch up", c.chance(50) ? "numbers mine" : "numbers moulded"});
        std::string rows; // from the right, and the last one below
        for (int hole = holes - 1; hole >= 1; --hole) { rows += fmt::format("{} ", hole); }
        clauses.push_back(fmt::format("rows \"{}/ {}\"", rows, holes));
        plan.features.insert("plug as seen");
    }
    const int id = part("connector", "X", std::move(clauses));
    for (int hole = 1; hole <= holes; ++hole) {
        const int a = plan.terminal(id, fmt::format("{}/0", hole));
        const int b = plan.terminal(id, fmt::format("{}/1", hole));
        plan.edge({Element::joint, a, b, plan.parts[static_cast<std::size_t>(id)].name});
    }
    return id;
}

} // namespace loomproof::scenario
