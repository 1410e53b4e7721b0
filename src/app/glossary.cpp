#include "app/glossary.hpp"

#include "base/words.hpp"

#include <string>

namespace loomproof::app {

namespace {

// clang-format off
constexpr GlossaryWord words[] = {
    {"15", "The stamp for what is live with the ignition on (DIN 72552). Loomproof takes such stamps as names of terminals, never as a promise of what is there."},
    {"30", "The stamp for what comes straight from the battery's plus (DIN 72552); on a relay the side of the contact that is fed. It is live with the key off."},
    {"31", "The stamp for ground (DIN 72552)."},
    {"85, 86", "The two ends of a relay's coil (DIN 72552). A small current between them pulls the relay in. Either may be fed, unless a diode inside decides."},
    {"87, 87a, 87b", "The outgoing sides of a relay's contact: 87 is joined to 30 while the relay is pulled in, 87a while it is at rest. 87b is a second 87."},
    {"accept", "A line in the file that silences one finding and says why: accept unfused-feed on W11 because \"...\"."},
    {"awg, gauge", "American Wire Gauge: the larger the number, the thinner the wire. 12 AWG holds 3.3 mm2 of copper, 18 AWG 0.82. Wire sold by SAE number holds about a tenth less."},
    {"back-feed", "Current that comes into a circuit by its far end, from another circuit: a lamp glows that nobody switched on, an engine goes on running with the key off."},
    {"body", "The sheet metal of the vehicle, which brings current back to the battery. Every wire that ends at ground ends on it. The engine is a metal of its own: metal engine."},
    {"bus, rail", "A bar or stud that many wires are bolted or plugged to."},
    {"cap", "To close off a loose end so that nothing can touch it: a sealed sleeve, not tape alone."},
    {"coil", "The winding of a relay that pulls its contact over; it takes some 0.15 A. Between 85 and 86."},
    {"complete", "A line in the file: every end that should have a wire has one. From then on an open end is a fault."},
    {"conductor", "The copper of a wire. Loomproof says wire."},
    {"contact", "The part of a switch or relay through which the load's current goes."},
    {"crimp", "A joint pressed with the tool made for it; the joint that makers use."},
    {"current if shorted", "What flows if a live wire touches the body: battery volts over the resistance of everything on the way, often several hundred A."},
    {"expect", "A line in the file that says what should happen: expect M2 on when S5 hot. A check says where the circuit does not do it."},
    {"feed", "The wires that bring current to a load, against the ground wires that bring it back."},
    {"finding", "One thing that a check has to say: a danger (fire, injury), a fault (will not work), advice, or a note."},
    {"fuse", "Opens when too much flows, so that the wire behind it does not burn. It protects the wire, not the load. It belongs within 0.18 m of the battery's post."},
    {"fusible link, link", "A short piece of thinner wire in a feed that burns through on a dead short. It is slow and protects against nothing else."},
    {"ground, earth, chassis, masse", "The way back to the battery, over the body's metal. Most strange behaviour of lamps and motors comes from a bad ground."},
    {"guessed, about, measured, marked", "Say how well a figure is known: guessed 2.5 mm2, about 2 m, measured 0.3 ohm, marked 20 A. A guess may be off by half, either way."},
    {"hole, cavity", "One place in a plug, counted as on the plug. The same hole number is on both halves."},
    {"job", "One piece of work on the vehicle, with what was added, cut, moved or taken out; in the file job \"...\" { }."},
    {"leisure, camper", "A second battery feeds what runs while the engine stands, as in a camper: battery B2 \"leisure\". A relay charges it on the way (loomproof begin second-battery), or a DC-DC charger, also called booster (loomproof help converter)."},
    {"live", "Has volts against ground. What is live with everything switched off can burn or drain while nobody is there."},
    {"load", "What does something with the current: lamp, motor, horn, heater, electronics."},
    {"loom, harness", "The wires of a vehicle, bound together. British fitters say loom, Americans harness."},
    {"main beam, high beam, dipped beam, low beam", "Main beam lights far and goes out when somebody comes towards you; dipped beam lights near. In a file they are conditions, such as: existing wire T1, live when \"main beam on\"."},
    {"meter, multimeter", "Reads volts between two points, and ohms where no current flows. It takes so little that a bad joint still shows full volts: with the load on it shows what is lost. loomproof predict says what it should read."},
    {"mm2", "Square millimetres of copper, the size of a wire in most of the world. Not the diameter: a 2.5 mm2 wire measures some 1.8 mm over its strands."},
    {"place", "Where something is on the car, and how warm it gets there: in engine-bay. A warm wire can carry less."},
    {"plug, connector", "Both halves that are pushed together, with numbered holes."},
    {"relay", "A switch that another current works: the old, thin wire pulls it in, and a new, thick one from the battery carries the load."},
    {"restraint", "Airbags, belt tensioners and their wires. Never tapped, never probed: they can go off."},
    {"short, short circuit", "Plus joined to ground without a load between: everything that the battery can give flows there."},
    {"sleeve, sleeved", "A tube over a wire that keeps it from rubbing through: sleeved behind the wire's size. It keeps no current from burning it."},
    {"splice", "A joint of several wires in the run of the loom: crimped, soldered or twisted."},
    {"starting current", "What a motor or a cold lamp takes for the first moment: three to ten times what it takes while running."},
    {"still to wire", "Ends that have no wire yet. Listed while you work; a fault once the file says complete."},
    {"strap", "The thick ground cable between battery, body and engine."},
    {"suppression", "A diode or resistor beside a relay's coil that takes the spark when the coil lets go."},
    {"switch position", "One way in which all switches, relays and conditions can stand together. A check tries all of them."},
    {"tap", "A joint that pierces a wire's insulation. It works loose and lets water in; a crimped splice does not."},
    {"terminal", "A place at a part where a wire ends: K1:30 is terminal 30 of K1."},
    {"test lamp", "A small lamp with a clip and a point: bright, dim or out tells more than a meter, as it takes some current. Never on restraint or engine computer wires."},
    {"thermostat, thermal", "A switch that heat works: switch S5 \"fan\", thermal. Once heat has closed it, current flows with nobody near."},
    {"trigger", "The wire that tells a relay to pull in: often the wire that used to feed the load."},
    {"voltage drop, loss", "Volts lost on the way to a load and back, in wires, plugs and contacts. Half a volt in the feed and 0.2 V in the ground are the usual limits."},
    {"voltage, volts", "The push behind a current: some 12.6 V at a rested battery, 14.2 V while the alternator charges. Measured between two points, mostly against ground."},
    {"what a wire can carry, ampacity", "The steady current at which the wire's insulation just stands the heat, where it lies."},
};
// clang-format on

} // namespace

std::span<const GlossaryWord> glossary() { return words; }

const GlossaryWord* find_word(std::string_view wanted) {
    std::string plural = lower(wanted);
    if (plural.size() > 3 && plural.back() == 's') plural.pop_back();
    for (const GlossaryWord& entry : words) {
        std::string_view rest = entry.word;
        while (!rest.empty()) {
            const std::size_t end = std::min(rest.find(", "), rest.size());
            const std::string_view one = rest.substr(0, end);
            if (equal_ignoring_case(one, wanted) || one == plural) return &entry;
            rest.remove_prefix(std::min(end + 2, rest.size()));
        }
    }
    return nullptr;
}

} // namespace loomproof::app
