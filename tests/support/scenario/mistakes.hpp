#pragma once
/// Mistakes: single changes of a clean circuit that do harm, each with the rule that has to find it.

#include "support/scenario/scenario.hpp"

#include <span>
#include <string>
#include <vector>

namespace loomproof::scenario {

enum class MistakeKind {
    fuse_bypassed,   ///< a wire from the source straight to behind the fuse
    fuse_at_far_end, ///< a long lead between source and fuse
    fuse_too_large,
    wire_too_thin,
    link_too_large,
    coil_contact_exchanged,
    relay_diode_turned,
    clamp_diode_turned,
    terminal_doubled,
    terminal_open,
    ground_removed,
    battery_ground_removed,
    screen_loop,
    cut_end_live,
    part_not_wired,
    twin_colours,
    hole_beyond_plug,
    stale_accept,
    polarity_reversed,
    fuse_in_ground,
    cool_insulation,  ///< 80 C insulation in the engine bay
    trigger_pulsed,   ///< the feed of a coil comes in pulses
    contact_too_weak, ///< a relay made for far less than the fuse before it
    holder_too_weak,  ///< a fuse in a holder made for less
    colour_changed,   ///< a wire of a job goes on in another colour inside a splice
    all_on_one_fuse,  ///< both dipped beams hang on one fuse
    two_thin_wires,   ///< side by side before one load, one alone too thin for it
    ground_shared,    ///< the ground wire of a sensor carries a blower as well
    fan_on_the_coil,  ///< a motor that generates holds the coil beside it
    led_on_a_watched_output,
    diode_on_the_lamp, ///< from the alternator's lamp terminal to ground
};
const char* word(MistakeKind);
std::span<const MistakeKind> all_mistakes();

struct Edit {
    enum class What { replace, remove, insert } what = What::replace;
    int statement = -1; ///< replaced or removed; inserted behind it
    Statement text{};
};

struct Mistake {
    MistakeKind kind{};
    std::string rule{};                 ///< id of the rule that finds it
    std::string or_rule{};              ///< or this one, where it is a matter of view; else empty
    std::vector<Edit> edits{};          ///< one change in the owner's mind; mostly one statement
    std::vector<int> cites{};           ///< the finding cites one of these statements or one of the inserted ones
    std::vector<std::string> follows{}; ///< rules that may also speak: consequences
};

/// Every place where a mistake of some kind does harm, in text order; at most `limit` of each kind.
std::vector<Mistake> mistakes(const Plan&, std::size_t limit = 3);

/// The plan with the mistake made. Only its statements change; everything else in the plan still tells of the clean circuit.
/// `cites`, where given, receives the statements of which the finding has to cite one.
Plan with_mistake(const Plan&, const Mistake&, std::vector<int>* cites = nullptr);

} // namespace loomproof::scenario
