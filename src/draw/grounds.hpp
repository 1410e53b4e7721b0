#pragma once
/// What a whole sketch says of its grounds: which signs are one metal, and where the battery's minus comes to it.

#include "draw/sketch.hpp"

#include <map>
#include <string>
#include <vector>

namespace loomproof::draw {

/// The foot at which a battery's minus comes to a stud or to metal, over whatever uses no current; index of the symbol, -1 where there is none.
/// `battery`: that of one symbol only; -1 = of any.
int minus_foot(const Sketch& whole, int battery = -1);

/// What a foot is bolted to ("body"); metal that is everywhere is called by its own name. Empty for what is no foot, and where it is not known.
std::string metal_of(const Symbol& symbol);

/// Worked out once for a sketch and asked for each of its sheets.
struct Grounds {
    struct Metal {
        std::vector<std::string> studs; ///< by name, in the order of the sketch, each once
        int feet = 0;                   ///< with those on metal that is everywhere
    };
    explicit Grounds(const Sketch& whole);

    std::map<std::string, Metal> metals; ///< by name
    int minus = -1;                      ///< minus_foot of any battery
    std::string minus_on;                ///< the metal of that foot; empty = none
    std::string minuses;                 ///< "battery:- is on it", "B1:- and B2:- are on it", of that metal
};

} // namespace loomproof::draw
