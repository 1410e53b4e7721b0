// The batch that tests/peers/reference_peer.py computes again by other means. It asks for the file through LOOMPROOF_BATCH.
#include "reference/carrying.hpp"
#include "reference/short_time.hpp"
#include "reference/wire_sizes.hpp"

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <string>

#include <doctest/doctest.h>
#include <fmt/core.h>

namespace loomproof::reference {
namespace {

std::string batch() {
    std::string out;
    for (const WireSize& size : wire_sizes(SizeSystem::awg))
        out += fmt::format("awg {} {:.17g} {:.17g}\n", size.name, in_square_millimetres(size.copper),
                           size.resistance_20c.si);
    for (double start = -20; start <= 180; start += 25)
        for (double end = start + 10; end <= 1083; end *= end < 0 ? -1 : 1.6)
            for (const double current : {60.0, 900.0}) {
                const Seconds t = time_to_reach(square_millimetres(1.358), Amps{current}, Celsius{start}, Celsius{end});
                out += fmt::format("short 1.358 {} {:.17g} {:.17g} {:.17g}\n", current, start, end, t.si);
            }
    for (double mm2 = 0.21; mm2 < 150; mm2 *= 1.11)
        for (double insulation = 60; insulation <= 210; insulation += 7.5)
            for (const double place : {-10.0, 30.0, 47.5, 70.0, 120.0}) {
                const auto carrying =
                    what_a_wire_can_carry(square_millimetres(mm2), Celsius{insulation}, Celsius{place});
                out += fmt::format("carry {:.17g} {} {} {:.17g}\n", mm2, insulation, place, carrying.value().amps.si);
            }
    return out;
}

TEST_CASE("the batch for the peer") {
    const std::string text = batch();
    CHECK(std::ranges::count(text, '\n') > 5000);
    if (const char* path = std::getenv("LOOMPROOF_BATCH")) {
        std::ofstream file(path, std::ios::binary);
        file << text;
        CHECK(file.good());
    }
}

} // namespace
} // namespace loomproof::reference
