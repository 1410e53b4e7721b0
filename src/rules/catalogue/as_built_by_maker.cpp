#include "rules/rule.hpp"

namespace loomproof::rules {

extern const Rule as_built_by_maker; // rule_list.hpp lists it

const Rule as_built_by_maker = {
    "as-built-by-maker",
    Severity::note,
    Quantifier::exists,
    Harm::other,
    "the maker's own wiring that new work would not be allowed",
    "always a note; the same thing in a job's work, or in wiring that a job touched, is judged in full",
    {
        "Something in the factory block is below what these rules ask of new work, and no job has touched it.",
        "Makers weigh routing, sleeving and tests that no file shows; their wiring is the reference. Many cars left "
        "the works with unfused feeds "
        "to the alternator, the ignition switch and the headlamps.",
        "Nothing needs doing. Anything that a job lengthens, thins, taps or reroutes there, or puts a larger fuse or "
        "more load on, is judged in full.",
        "The rules that it names give their own limits.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
factory confirmed by "workshop manual" {
  battery, 60 Ah
  alternator, 65 A
  wire W13 from alternator:B+ to battery:+, 16 mm2, 1.2 m
}
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
factory confirmed by "workshop manual" {
  battery, 60 Ah
  alternator, 65 A
  fuse F1, 80 A, bolted
  wire W12 from battery:+ to F1, 16 mm2, 0.1 m
  wire W13 from F1 to alternator:B+, 16 mm2, 1.2 m
}
)",
    },
    nullptr,
};

} // namespace loomproof::rules
