#pragma once
/// What somebody types who wants a wire sized without a circuit file: "120 W at 13.8 V, 3 m, in engine-bay".

#include "base/result.hpp"
#include "sizing/size.hpp"

#include <string>
#include <string_view>

namespace loomproof::sizing {

enum class Way {
    distance,   ///< from the source to the load; the current goes back over a wire of the same length: counted twice
    all_in_all, ///< "round trip": all the wire there is
    body_back,  ///< "body return": the current comes back through the body, so the wire counts once
};

struct Asked {
    std::string load;          ///< "air compressor": words before the first figure; empty where there are none
    bool starts_hard = false;  ///< they name a motor
    int count = 1;             ///< "2 x 55 W": how many alike; amps and watts are those of all together
    bool each_assumed = false; ///< "two lamps, 55 W": nobody said that each takes that
    Amps amps;
    Volts volts;
    std::optional<Watts> watts; ///< where the load was given so
    bool volts_assumed = false;
    Metres length; ///< as typed
    Way way = Way::distance;
    Celsius place = reference::table_ambient;
    std::string place_name; ///< "engine-bay"; empty where not said or given in degrees
    bool place_assumed = true;
    Volts allowed;
    bool allowed_assumed = true;
    Celsius insulation = reference::default_insulation_class;
    /// Metres of copper that the current passes.
    Metres copper() const { return way == Way::distance ? length * 2.0 : length; }
};

/// Reads it. The failure is one sentence or two: what is not clear, and how to type it. Figures are read as in a circuit file: "2,5 m", "3 mm"
/// for a wire, a number without unit are not guessed.
Result<Asked> read_asked(std::string_view words);

/// The steady current needs a fuse, the fuse a wire; `fuse` is empty above 100 A.
struct Answer {
    std::optional<Fuse> fuse;
    Need need;
    std::optional<Wire> metric, awg;
};
Answer answer(const Asked&);

} // namespace loomproof::sizing
