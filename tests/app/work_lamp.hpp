#pragma once
/// A small circuit of which nothing can be said: for whoever only wants something drawn.

namespace loomproof::tests {

inline constexpr const char* lamp = "loom 1\n"
                                    "battery, 60 Ah\n"
                                    "fuse F1, 10 A\n"
                                    "lamp E1 \"work lamp\", 55 W\n"
                                    "wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
                                    "wire W2 from F1 to E1, 2.5 mm2 red, 2 m\n"
                                    "wire W3 from E1 to ground, 2.5 mm2 black, 1 m\n";

} // namespace loomproof::tests
