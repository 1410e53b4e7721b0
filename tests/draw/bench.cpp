#include "draw/bench.hpp"

#include "support/random.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace loomproof::draw::test {

int Bench::add(SymbolKind kind, std::string name, std::vector<std::string> stamps, std::string rating, std::string line,
               std::string place) {
    Symbol symbol;
    symbol.kind = kind;
    symbol.key = name;
    symbol.name = std::move(name);
    symbol.rating = std::move(rating);
    if (!line.empty()) symbol.lines.push_back(std::move(line));
    symbol.place = std::move(place);
    for (std::string& stamp : stamps) symbol.terminals.push_back({std::move(stamp)});
    const int id = static_cast<int>(sketch.symbols.size());
    by_name_[symbol.key] = id;
    sketch.symbols.push_back(std::move(symbol));
    return id;
}

int Bench::relay(std::string name, std::string line, bool change_over) {
    std::vector<std::string> stamps{"86", "85", "30", "87"};
    if (change_over) stamps.push_back("87a");
    const int id =
        add(SymbolKind::relay, std::move(name), std::move(stamps), "40 A", std::move(line), "relay box, left");
    at(id).contacts = {{2, 3, change_over ? 4 : -1}};
    return id;
}

int Bench::table(std::string name, std::vector<std::string> stamps, std::vector<Position> positions, std::string line) {
    const int id = add(SymbolKind::table_switch, std::move(name), std::move(stamps), {}, std::move(line));
    at(id).positions = std::move(positions);
    return id;
}

int Bench::foot(const std::string& stud, const std::string& place) {
    places_[stud] = place;
    const int id = add(SymbolKind::foot, stud, {""}, {}, place);
    at(id).key = stud + "/" + std::to_string(++feet_);
    at(id).group = stud;
    return id;
}

int Bench::find(const std::string& name) const {
    const auto found = by_name_.find(name);
    return found == by_name_.end() ? -1 : found->second;
}

End Bench::end_of(const std::string& stop, bool arriving) {
    if (stop.starts_with("GND")) return {foot(stop, places_[stop]), 0};
    const std::size_t colon = find(stop) >= 0 ? std::string::npos : stop.find(':');
    const std::string name = stop.substr(0, colon);
    const int symbol = find(name);
    if (symbol < 0) throw std::logic_error("no symbol " + stop);
    if (colon == std::string::npos) return {symbol, at(symbol).terminals.size() == 2 && !arriving ? 1 : 0};
    const std::string stamp = stop.substr(colon + 1);
    for (std::size_t t = 0; t < at(symbol).terminals.size(); ++t)
        if (at(symbol).terminals[t].stamp == stamp) return {symbol, static_cast<int>(t)};
    throw std::logic_error("no terminal " + stop);
}

void Bench::wire(double mm2, std::string_view colour, std::initializer_list<std::string> stops, char job) {
    ++wires_;
    const std::size_t slash = colour.find('/');
    Wire base;
    base.mm2 = mm2;
    base.job = job;
    base.colour.main = colour.substr(0, slash);
    if (slash != std::string_view::npos) base.colour.stripe = colour.substr(slash + 1);
    std::string size = std::to_string(mm2);
    size.erase(size.find_last_not_of('0') + 1);
    if (size.back() == '.') size.pop_back();
    base.label = "W" + std::to_string(wires_) + " " + size + " " + std::string(colour);
    End from{};
    int piece = 0;
    std::size_t i = 0;
    for (const std::string& stop : stops) {
        const bool first = i == 0, last = i + 1 == stops.size();
        ++i;
        if (first) {
            from = end_of(stop, false);
            continue;
        }
        End to{};
        if (!last) {
            const int hole = pair(SymbolKind::hole, stop);
            at(hole).group = stop.substr(0, stop.find(':'));
            to = {hole, 0};
        } else {
            to = end_of(stop, true);
        }
        Wire piece_wire = base;
        piece_wire.key = "W" + std::to_string(wires_) + (piece > 0 || !last ? "/" + std::to_string(piece + 1) : "");
        piece_wire.a = from;
        piece_wire.b = to;
        sketch.wires.push_back(std::move(piece_wire));
        ++piece;
        from = {to.symbol, 1};
    }
}

Sketch touring_car() {
    Bench b;
    b.sketch.title = "Fans, charge lamp and headlamps";
    b.add(SymbolKind::battery, "battery", {"+", "-"}, {}, "12 V, 60 Ah", "engine bay, left");
    b.pair(SymbolKind::fusible_link, "FL1", {}, "main link", "at the battery");
    b.point(SymbolKind::splice, "SP1");
    b.add(SymbolKind::alternator, "G2", {"B+", "B-", "D+"}, "70 A", "alternator");
    b.table("S1", {"30", "15R", "15", "50"},
            {{"off", true, false, {}},
             {"acc", false, false, {{0, 1}}},
             {"run", false, false, {{0, 1, 2}}},
             {"start", false, true, {{0, 2, 3}}}},
            "ignition switch");
    b.point(SymbolKind::beyond, "Z1", "radio feed, not drawn here");
    b.point(SymbolKind::beyond, "Z2", "starter, not drawn here");
    b.pair(SymbolKind::fuse, "F3", "10 A red", "coils", "fuse box, slot 3");
    b.point(SymbolKind::splice, "SP2");
    b.point(SymbolKind::bus, "rail R1", "fuse box");
    b.pair(SymbolKind::fuse, "F1", "40 A", "fans", "fuse box, slot 1");
    b.pair(SymbolKind::fuse, "F2", "30 A", "head", "fuse box, slot 2");
    b.pair(SymbolKind::fuse, "F4", "15 A blue", "switch", "fuse box, slot 4");
    b.pair(SymbolKind::lamp, "H1", "1.2 W", "charge", "dash");
    b.relay("K1", "fan relay");
    b.relay("K2", "head feed relay");
    b.relay("K3", "dip relay", true);
    b.at(b.find("K1")).suppression = Suppression::diode;
    b.at(b.find("K1")).band = 0;
    b.at(b.find("K2")).suppression = Suppression::resistor;
    b.table("S2", {"30", "58", "56"},
            {{"off", true, false, {}}, {"side", false, false, {{0, 1}}}, {"head", false, false, {{0, 1, 2}}}},
            "light switch");
    b.add(SymbolKind::lever_switch, "S3", {"56", "56a", "56b"}, {}, "dip switch", "column");
    b.point(SymbolKind::beyond, "Z3", "park lamps, not drawn here");
    b.add(SymbolKind::diode, "V1", {"", ""}, {}, "fan override");
    b.pair(SymbolKind::lever_switch, "S4", {}, "fan override", "dash");
    b.pair(SymbolKind::lever_switch, "B1", {}, "closes at 92 degC", "radiator");
    b.at(b.find("B1")).operated = Operated::by_temperature;
    for (const auto* name : {"SP3", "SP4", "SP5", "SP6"}) b.point(SymbolKind::splice, name);
    b.add(SymbolKind::motor, "M1", {"+", "-"}, {}, "fan, left");
    b.add(SymbolKind::motor, "M2", {"+", "-"}, {}, "fan, right");
    b.add(SymbolKind::lamp, "E1", {"56a", "56b", "31"}, "60/55 W", "head, left");
    b.add(SymbolKind::lamp, "E2", {"56a", "56b", "31"}, "60/55 W", "head, right");
    b.pair(SymbolKind::lamp, "H2", "1.2 W", "main beam", "dash");
    const auto stud = [&](const char* name, const char* place) {
        b.foot(name, place);
        b.sketch.symbols.pop_back();
    };
    stud("GND1", "left inner wing, body");
    stud("GND2", "radiator support, body");
    stud("GND3", "right inner wing, body");
    stud("GND4", "dash, body");

    b.wire(25, "BK", {"battery:-", "GND1"});
    b.wire(10, "BK", {"battery:-", "GND2"});
    b.wire(25, "RD", {"battery:+", "FL1"});
    b.wire(16, "RD", {"FL1", "SP1"});
    b.wire(16, "RD", {"SP1", "G2:B+"});
    b.wire(10, "BK", {"G2:B-", "GND1"});
    b.wire(4, "RD/YE", {"SP1", "X1:1", "S1:30"});
    b.wire(10, "RD", {"SP1", "rail R1"});
    b.wire(2.5, "VT", {"S1:15R", "Z1"});
    b.wire(2.5, "BK/RD", {"S1:15", "X1:2", "F3"});
    b.wire(4, "BK/YE", {"S1:50", "Z2"});
    b.wire(1, "GN", {"F3", "SP2"});
    b.wire(0.75, "GN/WH", {"SP2", "H1"});
    b.wire(0.75, "BU", {"H1", "G2:D+"});
    b.wire(1, "GN", {"SP2", "K1:86"});
    b.wire(6, "RD", {"rail R1", "F1"});
    b.wire(6, "RD", {"rail R1", "F2"});
    b.wire(4, "RD", {"rail R1", "F4"});
    b.wire(6, "RD/BK", {"F1", "K1:30"});
    b.wire(6, "RD/WH", {"F2", "K2:30"});
    b.wire(2.5, "RD/GY", {"F4", "X1:3", "S2:30"});
    b.wire(1, "GY/BK", {"S2:58", "Z3"});
    b.wire(1, "WH/GN", {"S2:56", "X1:4", "K2:86"});
    b.wire(1.5, "WH/BK", {"S2:56", "S3:56"});
    b.wire(1, "BU/WH", {"S3:56a", "X1:5", "K3:86"});
    b.wire(1, "GN/BK", {"K1:85", "V1"});
    b.wire(1, "GY", {"V1", "X1:6", "S4"});
    b.wire(1, "BN", {"S4", "GND4"});
    b.wire(1, "GN/BK", {"K1:85", "X3:1", "B1"});
    b.wire(1, "BN/WH", {"B1", "X3:2", "GND1"});
    b.wire(6, "RD/GN", {"K1:87", "SP3"});
    b.wire(4, "RD/GN", {"SP3", "X2:1", "M1:+"});
    b.wire(4, "RD/GN", {"SP3", "X2:2", "M2:+"});
    b.wire(4, "BN", {"M1:-", "X2:3", "SP4"});
    b.wire(4, "BN", {"M2:-", "X2:4", "SP4"});
    b.wire(6, "BN", {"SP4", "GND2"});
    b.wire(6, "RD/WH", {"K2:87", "K3:30"});
    b.wire(1, "BN", {"K2:85", "GND3"});
    b.wire(4, "WH", {"K3:87", "SP6"});
    b.wire(4, "YE", {"K3:87a", "SP5"});
    b.wire(1, "BN", {"K3:85", "GND3"});
    b.wire(2.5, "WH", {"SP6", "E1:56a"});
    b.wire(2.5, "WH", {"SP6", "E2:56a"});
    b.wire(0.75, "WH/BU", {"SP6", "H2"});
    b.wire(2.5, "YE", {"SP5", "E1:56b"});
    b.wire(2.5, "YE", {"SP5", "E2:56b"});
    b.wire(2.5, "BN", {"E1:31", "GND2"});
    b.wire(2.5, "BN", {"E2:31", "GND3"});
    b.wire(0.75, "BN", {"H2", "GND4"});
    b.sketch.headings = {{"Charging", {b.find("G2"), b.find("H1")}},
                         {"Fans", {b.find("M1"), b.find("M2")}},
                         {"Headlamps", {b.find("E1"), b.find("E2")}}};
    return b.sketch;
}

Sketch made_up(int circuits, std::uint64_t seed) {
    loomproof::test::Random random(seed);
    Bench b;
    const char* colours[] = {"RD", "GN/WH", "BU",    "YE/BK", "VT", "GY/RD",
                             "OG", "WH/GN", "BK/YE", "BU/RD", "PK", "BN/RD"};
    const auto colour = [&] { return colours[random.below(std::size(colours))]; };
    const auto number = [](const char* letter, int i) { return letter + std::to_string(i); };
    b.add(SymbolKind::battery, "battery", {"+", "-"}, {}, "12 V, 70 Ah");
    b.wire(25, "BK", {"battery:-", "GND0"});
    b.point(SymbolKind::bus, "rail R0");
    b.wire(25, "RD", {"battery:+", "rail R0"});
    b.pair(SymbolKind::lever_switch, "S0", "", "ignition");
    b.wire(6, "RD", {"rail R0", "S0"});
    b.point(SymbolKind::bus, "rail 15");
    b.wire(6, "BK/RD", {"S0", "rail 15"});
    for (int i = 1; i <= circuits; ++i) {
        const std::string ground = number("GND", 1 + static_cast<int>(random.below(4)));
        const std::string fuse = number("F", i), load = number("E", i),
                          hole = "X" + std::to_string(1 + random.below(6)) + ":" + std::to_string(i);
        b.pair(SymbolKind::fuse, fuse, "15 A blue");
        b.wire(4, "RD", {random.below(3) == 0 ? "rail 15" : "rail R0", fuse});
        switch (random.below(4)) {
        case 0: { // a load behind a switch
            b.pair(SymbolKind::lever_switch, number("S", i), "", "panel");
            b.pair(SymbolKind::lamp, load, "21 W", "lamp");
            const char* c = colour();
            b.wire(1.5, c, {fuse, hole, number("S", i)});
            b.wire(1, c, {number("S", i), load});
            b.wire(1, "BN", {load, ground});
            break;
        }
        case 1: { // a relay with two motors
            b.relay(number("K", i), "relay", random.below(2) == 0);
            b.pair(SymbolKind::lever_switch, number("S", i), "", "button");
            b.point(SymbolKind::splice, number("SP", i));
            b.add(SymbolKind::motor, number("M", 2 * i), {"+", "-"}, "", "left");
            b.add(SymbolKind::motor, number("M", 2 * i + 1), {"+", "-"}, "", "right");
            b.wire(4, colour(), {fuse, number("K", i) + ":30"});
            b.wire(1, colour(), {"rail 15", number("S", i)});
            b.wire(1, colour(), {number("S", i), hole, number("K", i) + ":86"});
            b.wire(1, "BN", {number("K", i) + ":85", ground});
            b.wire(4, colour(), {number("K", i) + ":87", number("SP", i)});
            b.wire(2.5, colour(), {number("SP", i), number("M", 2 * i) + ":+"});
            b.wire(2.5, colour(), {number("SP", i), number("M", 2 * i + 1) + ":+"});
            b.wire(2.5, "BN", {number("M", 2 * i) + ":-", ground});
            b.wire(2.5, "BK", {number("M", 2 * i + 1) + ":-", ground});
            break;
        }
        case 2: { // three lamps on a splice
            b.point(SymbolKind::splice, number("SP", i));
            b.wire(1.5, colour(), {fuse, hole, number("SP", i)});
            for (const char* side : {"a", "b", "c"}) {
                b.pair(SymbolKind::lamp, load + side, "5 W", "marker");
                b.wire(0.75, colour(), {number("SP", i), load + side});
                b.wire(0.75, "BN", {load + side, ground});
            }
            break;
        }
        default: { // switched on the ground side
            b.pair(SymbolKind::led, load, "2 W", "warning");
            b.pair(SymbolKind::lever_switch, number("B", i), "", "sender");
            b.at(b.find(number("B", i))).operated =
                random.below(2) == 0 ? Operated::by_temperature : Operated::by_pressure;
            b.wire(0.75, colour(), {fuse, load});
            b.wire(0.75, colour(), {load, hole, number("B", i)});
            b.wire(0.75, "BN", {number("B", i), ground});
            break;
        }
        }
    }
    return b.sketch;
}

Sketch every_symbol() {
    Bench b;
    b.sketch.title = "Every symbol";
    b.foot("GND1", "left wing, body");
    b.sketch.symbols.pop_back();
    b.add(SymbolKind::battery, "battery", {"+", "-"}, "12 V, 60 Ah");
    b.point(SymbolKind::bus, "BB1", "fuse box");
    b.wire(25, "RD", {"battery:+", "BB1"});
    b.wire(25, "BK", {"battery:-", "GND1"});
    int n = 0;
    const auto hang = [&](const std::string& top, const std::string& bottom, char job = 0) {
        ++n;
        const char* colours[] = {"RD/WH", "GN", "BU/YE", "GY/RD", "BN/RD", "VT",   "OG/GY",
                                 "PK",    "WH", "YE/BK", "TQ",    "BK/WH", "GNYE", ""};
        b.wire(n % 3 == 0 ? 6 : 1.5, colours[n % 14], {"BB1", top}, job);
        if (!bottom.empty()) b.wire(1.5, "BN", {bottom, "GND1"});
    };
    const auto two = [&](SymbolKind kind, const std::string& name, const std::string& rating = {},
                         const std::string& line = {}) {
        const int id = b.pair(kind, name, rating, line, "dash");
        hang(name, name);
        return id;
    };
    two(SymbolKind::fuse, "F1", "15 A blue", "blade fuse");
    b.at(two(SymbolKind::fuse, "F2", "150 A", "bolted fuse")).fuse = FuseStyle::bolted;
    two(SymbolKind::breaker, "Q1", "20 A", "breaker");
    two(SymbolKind::fusible_link, "F9", {}, "fusible link");
    for (const auto& [operated, what] : {std::pair{Operated::by_hand, "lever"},
                                         {Operated::by_push, "push"},
                                         {Operated::by_temperature, "temperature"},
                                         {Operated::by_pressure, "pressure"},
                                         {Operated::by_level, "level"},
                                         {Operated::by_itself, "timer"}})
        b.at(two(SymbolKind::lever_switch, std::string("S-") + what, {}, what)).operated = operated;
    for (const auto operated : {Operated::by_hand, Operated::by_temperature}) {
        const std::string name = operated == Operated::by_hand ? "S7" : "B7";
        const int id = b.add(SymbolKind::lever_switch, name, {"56", "56a", "56b"}, {}, "change-over");
        b.at(id).operated = operated;
        hang(name + ":56", name + ":56a");
        b.wire(1, "YE", {name + ":56b", "GND1"});
    }
    b.table("S8", {"30", "15R", "15", "50"},
            {{"off", true, false, {}},
             {"accessory", false, false, {{0, 1}}},
             {"run", false, false, {{0, 1, 2}}},
             {"start", false, true, {{0, 2, 3}}}},
            "table");
    hang("S8:30", "S8:15");
    b.wire(1, "VT", {"S8:50", "GND1"});
    for (int form = 0; form < 6; ++form) {
        const std::string name = "K" + std::to_string(form);
        b.relay(name, "relay", form == 1 || form == 3);
        Symbol& relay = b.at(b.find(name));
        relay.suppression = form == 2                ? Suppression::resistor
                            : form == 3 || form == 4 ? Suppression::diode
                                                     : Suppression::none;
        relay.band = form == 4 ? 1 : 0;
        if (form == 4) {
            relay.terminals.push_back({"87b"});
            relay.contacts.push_back({2, 4, -1});
        }
        hang(name + ":86", name + ":85", form == 5 ? 'B' : '\0');
        // One is fed at 87: its contact is drawn the other way up.
        hang(name + (form == 5 ? ":87" : ":30"), name + (form == 5 ? ":30" : ":87"));
    }
    b.add(SymbolKind::coil, "K7", {"86", "85"}, {}, "relay, apart");
    b.at(b.find("K7")).other_halves = {{"contact", "K7/contact"}};
    b.at(b.find("K7")).suppression = Suppression::resistor;
    hang("K7:86", "K7:85");
    b.add(SymbolKind::contact, "K7/contact", {"30", "87", "87a"}, "40 A", "relay, apart");
    b.at(b.find("K7/contact")).contacts = {{0, 1, 2}};
    b.at(b.find("K7/contact")).other_halves = {{"coil", "K7"}};
    hang("K7/contact:30", "K7/contact:87");
    two(SymbolKind::lamp, "E1", "21 W", "lamp");
    b.add(SymbolKind::lamp, "E2", {"stop", "tail", "31"}, "21/5 W", "two filaments");
    hang("E2:stop", "E2:31");
    hang("E2:tail", "");
    two(SymbolKind::led, "E3", "2 W", "LED");
    b.add(SymbolKind::motor, "M2", {"+", "-"}, "9 A", "motor");
    hang("M2:+", "M2:-");
    two(SymbolKind::horn, "H4", "5 A", "horn");
    two(SymbolKind::load, "R9", "90 W", "plain load");
    two(SymbolKind::resistor, "R1", "680 ohm", "resistor");
    b.add(SymbolKind::diode, "V1", {"", "band"}, "3 A", "diode");
    hang("V1", "V1:band");
    two(SymbolKind::capacitor, "C1", {}, "capacitor");
    b.add(SymbolKind::unit, "A1", {"15", "31", "L", "49a"}, "10 A", "flasher");
    b.at(b.find("A1")).letter = "A";
    hang("A1:15", "A1:31");
    b.wire(1, "GN", {"A1:49a", "GND1"});
    two(SymbolKind::hole, "X7:1");
    for (const auto& [style, what] : {std::pair{JointStyle::crimp, "crimp"},
                                      {JointStyle::solder, "solder"},
                                      {JointStyle::tap, "tap"},
                                      {JointStyle::twisted, "twisted"},
                                      {JointStyle::block, "block"},
                                      {JointStyle::cut, "cut, joined"},
                                      {JointStyle::capped, "capped"},
                                      {JointStyle::left_open, "open end"}})
        b.at(two(SymbolKind::joint, std::string("J-") + what, {}, what)).joint = style;
    b.point(SymbolKind::splice, "SP1", "crimp");
    hang("SP1", "SP1");
    b.wire(1, "GN", {"SP1", "GND1"});
    b.point(SymbolKind::metal, "engine");
    hang("engine", "engine");
    for (const auto& [kind, name] : {std::pair{SymbolKind::beyond, "Z1"},
                                     {SymbolKind::cap, "capped"},
                                     {SymbolKind::cut, "cut"},
                                     {SymbolKind::open_end, "open"},
                                     {SymbolKind::gone, "taken out; led to E9"},
                                     {SymbolKind::off_sheet, "sheet 2, path 4"}}) {
        b.point(kind, name, kind == SymbolKind::beyond ? "radio, not drawn here" : "");
        hang(name, "", kind == SymbolKind::cap ? 'A' : '\0');
    }
    for (const auto& [kind, name] : {std::pair{SymbolKind::supply, "Z2"},
                                     {SymbolKind::existing, "T1"},
                                     {SymbolKind::off_sheet, "sheet 1, path 2"}}) {
        b.point(kind, name,
                kind == SymbolKind::supply     ? "behind 40 A"
                : kind == SymbolKind::existing ? "main beam"
                                               : "");
        b.wire(1, "BU/WH", {name, "GND1"});
    }
    b.add(SymbolKind::alternator, "G2", {"B+", "B-", "L", "S"}, "65 A", "alternator");
    hang("G2:B+", "G2:B-");
    hang("G2:L", "");
    hang("G2:S", "");
    b.add(SymbolKind::starter, "M1", {"30", "50", "31"}, "1.1 kW", "starter");
    hang("M1:30", "M1:31");
    hang("M1:50", "");
    b.add(SymbolKind::starter, "M20", {"30", "50", "31"}, "1.1 kW", "starter, its windings told apart");
    b.at(b.find("M20")).two_windings = true;
    hang("M20:30", "M20:31");
    hang("M20:50", "");
    return b.sketch;
}

} // namespace loomproof::draw::test
