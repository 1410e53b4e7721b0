#pragma once
/// Invented sketches for the tests of the drawing: built by hand, without a circuit.

#include "draw/sketch.hpp"

#include <cstdint>
#include <initializer_list>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::draw::test {

/// Builds a sketch from short lines. Ends are "NAME" or "NAME:STAMP"; a name that is not there yet and begins with "GND" makes
/// a ground foot of its own each time.
class Bench {
  public:
    Sketch sketch;

    int add(SymbolKind kind, std::string name, std::vector<std::string> stamps, std::string rating = {},
            std::string line = {}, std::string place = {});
    int pair(SymbolKind kind, std::string name, std::string rating = {}, std::string line = {},
             std::string place = {}) {
        return add(kind, std::move(name), {"", ""}, std::move(rating), std::move(line), std::move(place));
    }
    int point(SymbolKind kind, std::string name, std::string line = {}) {
        return add(kind, std::move(name), {""}, {}, std::move(line));
    }
    int relay(std::string name, std::string line, bool change_over = false);
    int table(std::string name, std::vector<std::string> stamps, std::vector<Position> positions,
              std::string line = {});
    int foot(const std::string& stud, const std::string& place);

    /// From one end to the next, through holes "X1:1" made on the way; `colour` "RD/GN". All pieces of the run have one name.
    void wire(double mm2, std::string_view colour, std::initializer_list<std::string> stops, char job = 0);
    Symbol& at(int symbol) { return sketch.symbols[static_cast<std::size_t>(symbol)]; }
    int find(const std::string& name) const;

  private:
    End end_of(const std::string& stop, bool arriving);
    std::map<std::string, int> by_name_;
    std::map<std::string, std::string> places_;
    std::map<std::string, std::size_t> used_ends_;
    int wires_ = 0;
    int feet_ = 0;
};

/// Two fans, a charge lamp, headlamps over a dip relay, ignition and light switches: 61 wires, plug pieces counted one by one.
Sketch touring_car();

/// `circuits` current paths of a made-up vehicle hung on buses of fuses: about eight wires each.
Sketch made_up(int circuits, std::uint64_t seed);

/// Symbols of every kind, in each form that their details allow, between short wires.
Sketch every_symbol();

} // namespace loomproof::draw::test
