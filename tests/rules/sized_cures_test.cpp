// Which sizes of fuse and wire cures name; that they mend what they are for is tried in typed_cures_test.cpp.
#include "rules/run_text.hpp"

#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;

TEST_CASE("a larger fuse is not proposed past a contact that is made for less") {
    const auto cures = [](const std::string& contact) {
        const support::Run run("loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nswitch S1, " + contact +
                               "\nheater E1, 19 A\nwire from battery:+ to F1, 10 mm2 red, 0.1 m\n"
                               "wire from F1 to S1, 10 mm2 red, 1 m\nwire from S1 to E1, 10 mm2 red, 1 m\n"
                               "wire from E1 to ground, 10 mm2 black, 0.3 m\n");
        const auto is_larger_fuse = [](const Remedy& cure) { return cure.text.starts_with("Put a 2"); };
        std::ptrdiff_t all = 0;
        for (const Finding& f : run.outcome.findings) all += std::ranges::count_if(f.cures, is_larger_fuse);
        return all;
    };
    CHECK(cures("20 A") == 0);
    CHECK(cures("40 A") == 1);
}

TEST_CASE("two rules that ask for thicker wire in one place ask for the same: the thicker one") {
    // A 30 A fuse asks for 2.5 mm2, which carries 35 A (33 CFR 183.425 Table 5, 14 AWG). 20 A over 4 m of 1.5 mm2 lose more than a volt (12.7 mohm/m
    // in ISO 6722) of the 0.7 V that trade practice allows: that asks for 4 mm2.
    const std::string text = "loom 1\nbattery, 70 Ah\nfuse F1, 30 A\nswitch S1 \"heater\", 30 A\n"
                             "wire W1 from battery:+ to F1, 10 mm2 red, 0.15 m\n"
                             "wire W2 from F1 to S1, 10 mm2 red, 1 m\nwire W3 from S1 to E1, 1.5 mm2 red, 4 m\n"
                             "wire W4 from E1 to ground, 6 mm2 black, 0.3 m\nload E1 \"heater\", 20 A\n";
    const support::Run run(text);
    std::set<std::string> sizes;
    std::size_t asked = 0;
    const auto look = [&](const auto& self, const std::vector<Finding>& findings) -> void {
        for (const Finding& f : findings) {
            for (const Remedy& cure : f.cures)
                if (cure.size && cure.size->wire == "W3") {
                    ++asked;
                    sizes.insert(cure.size->words);
                    CHECK(cure.text.find(cure.size->words) != std::string::npos);
                }
            self(self, f.consequences);
        }
    };
    look(look, run.outcome.findings);
    CAPTURE(run.said());
    CHECK(asked >= 2);
    CHECK(sizes == std::set<std::string>{"4 mm2"});
}
