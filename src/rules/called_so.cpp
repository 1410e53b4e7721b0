#include "rules/called_so.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <initializer_list>
#include <iterator>
#include <string>
#include <string_view>

namespace loomproof::rules {

namespace {

bool has_one(std::string_view text, std::initializer_list<std::string_view> words) {
    return std::ranges::any_of(words, [&](std::string_view w) { return text.find(w) != std::string_view::npos; });
}

/// Pulls or lifts for as long as a hand holds its button.
bool hauls(std::string_view text) {
    return has_one(text,
                   {"winch", "hoist", "crane", "tipper", "capstan", "windlass", "tail lift", "tail-lift", "taillift"});
}

} // namespace

bool is_said_to_be_kept_alive(const Part& part) {
    return std::ranges::any_of(part.attributes,
                               [](const Attribute& a) { return a.key == Attr::told && a.word == "keep alive"; }) ||
           has_one(lower(part.label), {"keep alive"});
}

bool is_kept_alive(const Part& part) {
    return is_said_to_be_kept_alive(part) ||
           has_one(lower(part.label), {"clock", "memory", "alarm", "tracker", "radio", "charger", "immobiliser"});
}

bool has_its_own_switch(const Part& part) {
    return works_by_itself(part) ||
           has_one(lower(part.name + " " + part.label), {"float", "own switch", "with switch", "built-in", "built in",
                                                         "remote", "reading lamp", "reading light"});
}

bool may_be_held_for_minutes(const Part& part) {
    const std::string text = lower(part.label + " " + part.name);
    if (has_one(text, {"wash", "window", "horn", "primer", "priming", "glow", "preheat", "lighter", "flash", "lock"}))
        return false;
    switch (part.kind) {
    case Kind::lamp:
    case Kind::led:
    case Kind::heater: return true;
    case Kind::motor:
    case Kind::load: return hauls(text) || has_one(text, {"pump", "fan", "blower", "compressor", "heater", "heating"});
    default: return false;
    }
}

bool works_by_itself(const Part& part) {
    return has_one(" " + lower(part.name + " " + part.label) + " ",
                   {"automatic", "auto ", "thermostat", "timer", "controller", "controlled", "control box"});
}

bool is_fridge(const Part& part) {
    return has_one(lower(part.name + " " + part.label),
                   {"fridge", "refrigerator", "freezer", "cool box", "coolbox", "cooler box", "cooling box", "esky"});
}

bool is_amplifier(const Part& part) {
    return (part.kind == Kind::electronics || part.kind == Kind::load) &&
           has_one(" " + lower(part.name + " " + part.label) + " ", {"amplifier", " amp ", "subwoofer"});
}

bool burns_fuel(const Part& part) {
    return part.kind == Kind::heater &&
           has_one(lower(part.name + " " + part.label), {"fuel", "diesel", "petrol", "gas", "parking"});
}

bool is_fuel_pump(const Part& part) {
    const std::string text = lower(part.label + " " + part.name);
    return part.kind == Kind::motor && has_one(text, {"pump"}) && has_one(text, {"fuel", "petrol", "gasoline"});
}

bool is_bilge_pump(const Part& part) {
    return part.kind == Kind::motor && has_one(lower(part.label + " " + part.name), {"bilge"});
}

bool is_fan(const Part& part) {
    return part.kind == Kind::motor && has_one(lower(part.label + " " + part.name), {"fan", "blower"});
}

bool is_crash_switch(const Part& part) {
    return part.kind == Kind::switching &&
           has_one(lower(part.label + " " + part.name),
                   {"inertia", "impact", "crash", "rollover", "roll-over", "roll over"});
}

bool is_points(const Part& part) {
    return part.kind == Kind::switching &&
           has_one(" " + lower(part.name + " " + part.label) + " ",
                   {" points ", " points,", "contact breaker", "contact-breaker", "contactbreaker"});
}

bool is_cut_off(const Part& part) {
    return is_main_cut_off(part) || (part.kind == Kind::switching &&
                                     has_one(lower(part.label + " " + part.name), {"isolator", "isolating switch"}));
}

bool is_main_cut_off(const Part& part) {
    return part.kind == Kind::switching &&
           has_one(lower(part.label + " " + part.name),
                   {"main switch", "master switch", "battery switch", "battery master", "battery main",
                    "battery isolator", "battery disconnect", "battery cut"});
}

bool is_called_feeding(std::string_view text) {
    return has_one(" " + lower(text) + " ", {"isolat", "disconnect", "master", " main ", "battery", "cut-off",
                                             "cut off", "cutoff", "power switch", "safety switch", "supply", "arming"});
}

bool is_for_what_stands(const Part& part) {
    return part.kind == Kind::battery &&
           has_one(lower(part.name + " " + part.label), {"leisure", "house", "auxiliary", "aux ", "second", "domestic",
                                                         "service", "caravan", "camper", "cabin", "living", "winch"});
}

bool is_called_helping(const Part& part) {
    return has_one(lower(part.name + " " + part.label),
                   {"aid", "boost", "emergency", "jump", "help", "both start", "start both"});
}

bool is_called_as(const Part& part, const Part& battery) {
    switch (part.kind) {
    case Kind::bus: // a rail of a box bears the box's text
    case Kind::lamp:
    case Kind::led:
    case Kind::motor:
    case Kind::heater:
    case Kind::socket:
    case Kind::load:
    case Kind::electronics:
    case Kind::beyond: break;
    default: return false;
    }
    const std::string text = " " + lower(part.name + " " + part.label) + " ",
                      other = " " + lower(battery.name + " " + battery.label) + " ";
    if (has_one(text, {"batter", "charg", "volt", "gauge", "sens", "tell", "warning", "monitor", "isolat", "relay"}))
        return false;
    // A winch's battery may work its lamps; lamps called auxiliary are the car's driving lamps.
    const auto lives_in = {std::string_view("leisure"), std::string_view(" house"),     std::string_view("domestic"),
                           std::string_view("living"),  std::string_view("habitation"), std::string_view("camper"),
                           std::string_view("caravan")};
    if (has_one(text, lives_in) && has_one(other, lives_in)) return true;
    return (has_one(text, {"winch"}) && has_one(other, {"winch"})) ||
           (part.kind == Kind::bus && has_one(text, {" aux", "second"}) && has_one(other, {" aux", "second"}));
}

bool is_the_first(const Part& part) {
    return part.kind == Kind::battery && !is_for_what_stands(part) &&
           has_one(lower(part.name + " " + part.label),
                   {"start", "crank", "engine", "main", "vehicle", "car ", "van ", "first", "primary"});
}

bool is_charged_elsewhere(const Part& part) {
    return part.kind == Kind::battery &&
           has_one(lower(part.name + " " + part.label),
                   {"spare", "trailer", "caravan", "portable", "jump", "power pack", "powerpack", "elsewhere",
                    "charged at", "charged on", "charged in", "charged from", "charged by", "taken out"});
}

bool is_called_charging(const Part& part) {
    if (part.kind != Kind::load && part.kind != Kind::electronics && part.kind != Kind::socket &&
        part.kind != Kind::beyond)
        return false;
    const std::string text = lower(part.name + " " + part.label);
    return has_one(text, {"charg", "dc-dc", "dc/dc", "dc dc", "b2b", "mppt", "alternator", "generator", "solar",
                          "mains", "shore", "hook-up", "hook up", "hookup", "equaliser", "equalizer", "balancer"}) &&
           !has_one(text, {"usb", "phone", "tablet", "lamp", "light", "gauge", "meter"});
}

bool is_called_a_restraint(const Part& part) {
    if (part.kind == Kind::fuse || part.kind == Kind::breaker || part.kind == Kind::link || part.kind == Kind::box ||
        part.kind == Kind::bus)
        return false;
    return has_one(" " + lower(part.name + " " + part.label) + " ",
                   {"airbag", "air bag", "air-bag", "tensioner", " srs "});
}

bool is_called_ignition(std::string_view text) {
    const std::string words = " " + lower(text) + " ";
    return has_one(words, {"ignition", " key ", " ign "}) && !has_one(words, {" off ", " out "});
}

bool is_called_starting(std::string_view text) { return has_one(lower(text), {"start", "crank"}); }

bool is_called_brake_or_steering_electronics(const Part& part) {
    if (part.kind != Kind::electronics && part.kind != Kind::sensor && part.kind != Kind::motor &&
        part.kind != Kind::existing_wire)
        return false;
    return has_one(" " + lower(part.label) + " ",
                   {" abs ", "anti-lock", "antilock", "wheel speed", "stability control", "brake-by-wire",
                    "brake by wire", "electric steering", "power steering", "steering motor", "steering unit",
                    "can high", "can low", "can-high", "can-low", "data bus", "data pair", "data line"});
}

bool is_called_resting(std::string_view position) {
    constexpr std::string_view words[] = {"off",      "rest",   "resting", "at rest", "neutral", "stop", "stopped",
                                          "released", "centre", "center",  "middle",  "idle",    "none", "0"};
    return std::ranges::find(words, lower(position)) != std::end(words);
}

bool is_called_stopping(std::string_view text) {
    return has_one(" " + lower(text) + " ",
                   {" stop",  " off ",   "kill",    "emergency", " lock",   "cut-out",   "cut out",
                    "cutout", "cut-off", "cut off", "inhibit",   "disable", "interlock", "limit",
                    "isolat", "trip",    " end ",   "immobil",   "alarm",   "theft",     " armed "});
}

bool is_called_pulling(const Part& part) {
    return part.kind == Kind::motor &&
           has_one(lower(part.label + " " + part.name), {"winch", "hoist", "lift", "window", "roof", "hood", "ramp",
                                                         "tailgate", "crane", "tipper", "seat", "aerial", "antenna"});
}

bool is_called_hauling(const Part& part) {
    return part.kind == Kind::motor && hauls(lower(part.label + " " + part.name));
}

unsigned moments_of(std::string_view text) {
    const std::string words = " " + lower(text) + " ";
    constexpr unsigned stop = 1, reverse = 2, left = 4, right = 8;
    unsigned out = 0;
    if (has_one(words, {"brake", "stop lamp", "stop light", "stop-lamp", "stop-light", "stoplamp", "stoplight"}) &&
        !has_one(words, {"handbrake", "hand brake", "parking brake"}))
        out |= stop;
    if (has_one(words, {"reverse ", "reversing", "revers ", "backing", "back-up l", "backup l"})) out |= reverse;
    if (has_one(words, {"hazard", "warning flasher", "4-way flash", "four-way flash"})) return out | left | right;
    if (has_one(words, {"indicator", "turn", "blink", "flash", "winker", "trafficator", "direction"})) {
        if (has_one(words, {" left ", " lh ", " l "})) out |= left;
        if (has_one(words, {" right ", " rh ", " r "})) out |= right;
    }
    return out;
}

bool moves_or_stops_the_car(const Part& part) {
    return has_one(lower(part.label) + " ", {"fuel pump", "fuel cut", "ignition coil", "injector", "brake", "steering",
                                             "abs ", "engine computer"});
}

} // namespace loomproof::rules
