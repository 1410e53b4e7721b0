#pragma once
/// Every kind of part, once, in the order of the language page. The enumeration (circuit.hpp), the declarations (kinds.hpp) and the table
/// (kind.cpp) are made from this list: a new kind is its own file in kinds/, one line here, and its symbol (draw/part_symbols.cpp). Row
/// `x` is `Kind::x`, described by `x_kind`.

// clang-format off
#define LOOMPROOF_KINDS(ROW) \
    ROW(battery) \
    ROW(alternator) \
    ROW(starter) \
    ROW(supply) \
    ROW(beyond) \
    ROW(existing_wire) \
    ROW(fuse) \
    ROW(link) \
    ROW(breaker) \
    ROW(switching) /* `switch` */ \
    ROW(relay) \
    ROW(lamp) \
    ROW(led) \
    ROW(motor) \
    ROW(horn) \
    ROW(solenoid) \
    ROW(heater) \
    ROW(socket) \
    ROW(load) \
    ROW(electronics) \
    ROW(diode) \
    ROW(resistor) \
    ROW(capacitor) \
    ROW(ammeter) \
    ROW(shunt) \
    ROW(flasher) \
    ROW(sensor) \
    ROW(sender) \
    ROW(gauge) \
    ROW(solar) \
    ROW(charger) \
    ROW(converter) \
    ROW(dynamo) \
    ROW(regulator) \
    ROW(connector) \
    ROW(splice) \
    ROW(bus) \
    ROW(metal) \
    ROW(ground) \
    ROW(touch) /* two pieces of metal that lie on one another, or do not */ \
    ROW(box) /* fuse box: its rails are bus bars of their own */ \
    ROW(wish) /* something commanded that is not drawn: it has positions and no terminals */ \
    ROW(cut) /* the place where a wire was cut: two terminals, one for each loose end */ \
    ROW(loose_end) /* an end of a wire tied to nothing (one terminal) */ \
    ROW(unknown_end) /* `to unknown`: goes somewhere nobody traced (one terminal) */ \
    ROW(engine) /* no terminals: it only has a control (Circuit::engine) */ \
    ROW(not_known) /* a part of a kind this version does not know: poisoned, any terminal name */
// clang-format on
