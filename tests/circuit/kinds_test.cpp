/// What each kind of part becomes: its terminals, what it is electrically, and what is said to be not worked out.

#include "circuit/read.hpp"
#include "circuit/view.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace loomproof;

namespace {

struct Read {
    Sources sources;
    Reading reading;
    explicit Read(const std::string& text) { reading = read_circuit_text(sources, "test.loom", "loom 1\n" + text + "\n"); }
    const Circuit& circuit() const { return reading.circuit; }
    std::string findings() const {
        std::string out;
        for (const Finding& f : reading.findings) out += f.headline + "\n";
        return out;
    }
    /// Its terminals and its elements, a line each, as dump() writes them.
    std::string part(const std::string& name) const {
        const std::string all = dump(circuit());
        std::string out;
        for (std::size_t at = 0; at < all.size();) {
            const std::size_t end = all.find('\n', at);
            const std::string line = all.substr(at, end - at);
            const std::string indented = "  terminal " + name + ":";
            const bool element = line.find(' ' + name + ":") != std::string::npos && line.find(" > ") != std::string::npos && !line.starts_with("wire ");
            if (line.starts_with(indented)) out += line.substr(indented.size()) + " ";
            if (element) out += "| " + line + " ";
            at = end + 1;
        }
        return out;
    }
    std::string open() const {
        std::string out;
        for (const std::string& text : not_solved(View::now(circuit()))) out += text + "\n";
        return out;
    }
};

std::string part(const std::string& statement, const std::string& name) {
    const Read r(statement);
    CHECK(r.findings() == "");
    return r.part(name);
}

} // namespace

TEST_CASE("solenoids, heaters and outlets are loads") {
    CHECK(part("solenoid Y1 \"fuel cut-off\", 2 A", "Y1") == "1 2 | resistance Y1:1 > Y1:2 takes 2 A 6 ohm ");
    CHECK(part("heater E5 \"rear window\", 120 W, starts at 15 A", "E5") == "1 2 | resistance E5:1 > E5:2 takes 10 A 1.2 ohm ");
    CHECK(part("heater E5 \"glow plugs\", 40 A, grounded by its mounting on engine\nmetal engine", "E5") ==
          "1 2 | resistance E5:1 > E5:2 takes 40 A 0.3 ohm | joint E5:2 > engine ");
    CHECK(part("socket X9 \"12 V outlet\", 10 A", "X9") == "+ - | resistance X9:+ > X9:- takes 10 A 1.2 ohm ");
    CHECK(part("outlet X9, 10 A", "X9") == part("socket X9, 10 A", "X9"));
}

TEST_CASE("what measures amps conducts; a shunt's ohms come from what is marked on it") {
    CHECK(part("ammeter P1, 60 A", "P1") == "1 2 | meter P1:1 > P1:2 rated 60 A ");
    CHECK(part("shunt R3, 100 A, 75 mV", "R3") == "1 2 | meter R3:1 > R3:2 0.75 mohm rated 100 A ");
    const Read senses("shunt R3, 100 A, 75 mV\nwire from R3:1 to nothing\nwire from R3:1 to nothing\nwire from R3:2 to nothing\nwire from R3:2 to nothing");
    CHECK(senses.findings() == "");
}

TEST_CASE("a capacitor joins nothing, and that its charge is not worked out is said") {
    const Read r("capacitor C1, 2.2 uF\ncondenser C2, 1 F, 16 V");
    CHECK(r.findings() == "");
    CHECK(r.part("C1") == "1 2 ");
    CHECK(r.open() == "what C1 stores and gives back\nwhat C2 stores and gives back\n");
    CHECK(r.circuit().parts[0].attributes[0].value.nominal == doctest::Approx(2.2e-6));
}
