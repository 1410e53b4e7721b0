#include "support/scenario/trade.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

constexpr std::array metric_sizes = {
    Size{Family::metric, "0.5 mm2", 0.465, 12},    Size{Family::metric, "0.75 mm2", 0.698, 15},
    Size{Family::metric, "1 mm2", 0.932, 20},      Size{Family::metric, "1.5 mm2", 1.358, 25},
    Size{Family::metric, "2.5 mm2", 2.269, 35},    Size{Family::metric, "4 mm2", 3.661, 45},
    Size{Family::metric, "6 mm2", 5.491, 60},      Size{Family::metric, "10 mm2", 9.473, 80},
    Size{Family::metric, "16 mm2", 14.863, 120},   Size{Family::metric, "25 mm2", 23.205, 160},
    Size{Family::metric, "35 mm2", 32.716, 180},   Size{Family::metric, "50 mm2", 46.852, 245},
    Size{Family::metric, "70 mm2", 66.569, 285},   Size{Family::metric, "95 mm2", 87.966, 385},
    Size{Family::metric, "120 mm2", 112.689, 445},
};

constexpr std::array awg_sizes = {
    Size{Family::awg, "18 awg", 0.823, 20},   Size{Family::awg, "16 awg", 1.309, 25},
    Size{Family::awg, "14 awg", 2.081, 35},   Size{Family::awg, "12 awg", 3.309, 45},
    Size{Family::awg, "10 awg", 5.261, 60},   Size{Family::awg, "8 awg", 8.366, 80},
    Size{Family::awg, "6 awg", 13.30, 120},   Size{Family::awg, "4 awg", 21.15, 160},
    Size{Family::awg, "3 awg", 26.67, 180},   Size{Family::awg, "2 awg", 33.63, 210},
    Size{Family::awg, "1 awg", 42.41, 245},   Size{Family::awg, "1/0 awg", 53.48, 285},
    Size{Family::awg, "2/0 awg", 67.43, 330}, Size{Family::awg, "3/0 awg", 85.03, 385},
    Size{Family::awg, "4/0 awg", 107.2, 445},
};

constexpr std::array sae_sizes = {
    Size{Family::sae, "18 sae", 0.779, 17},   Size{Family::sae, "16 sae", 1.184, 20},
    Size{Family::sae, "14 sae", 1.876, 25},   Size{Family::sae, "12 sae", 2.956, 35},
    Size{Family::sae, "10 sae", 4.734, 45},   Size{Family::sae, "8 sae", 7.504, 60},
    Size{Family::sae, "6 sae", 12.43, 80},    Size{Family::sae, "4 sae", 18.93, 120},
    Size{Family::sae, "2 sae", 31.64, 180},   Size{Family::sae, "1 sae", 39.42, 210},
    Size{Family::sae, "1/0 sae", 50.15, 245}, Size{Family::sae, "2/0 sae", 63.39, 285},
    Size{Family::sae, "3/0 sae", 80.36, 330}, Size{Family::sae, "4/0 sae", 104.1, 385},
};

constexpr std::array ratings = {1.0,  2.0,  3.0,  5.0,  7.5,   10.0,  15.0,  20.0,  25.0,  30.0,
                                40.0, 50.0, 60.0, 80.0, 100.0, 125.0, 150.0, 200.0, 250.0, 300.0};

// Colours whose letters differ between the sets come late: the plain ones are chosen first.
constexpr std::array colour_table = {
    Colour{"black", "BK", "B", "sw"},  Colour{"red", "RD", "R", "rt"},    Colour{"blue", "BU", "U", "bl"},
    Colour{"yellow", "YE", "Y", "ge"}, Colour{"green", "GN", "G", "gn"},  Colour{"white", "WH", "W", "ws"},
    Colour{"brown", "BN", "N", "br"},  Colour{"orange", "OG", "O", "or"}, Colour{"violet", "VT", "P", "vi"},
    Colour{"grey", "GY", "S", "gr"},   Colour{"pink", "PK", "K", "rs"},
};

constexpr std::array<std::string_view, 12> hostile = {
    "lamp <b>left</b> & right",
    "</script><svg onload=alert(1)>",
    "=1+2;3",
    "a,b;c,d",
    "it's 5 o'clock, & so on",
    "]]> <!-- -- --> <?x?>",
    "&amp; &#60; %41 {0} {} %s %n",
    "$(echo hurt) `echo` | cat > x",
    "R\xc3\xbc"
    "ckfahrleuchte h\xc3\xb6"
    "chst au\xc3\x9f"
    "en",
    "\xe7\x81\xaf\xe7\x81\xab \xd9\x85\xd8\xb5\xd8\xa8\xd8\xa7\xd8\xad \xf0\x9f\x9a\x99",
    "back\\slash \\n // no comment, end\\",
    "a text that goes on and on, longer than any column of any sheet would like it to be, until the very last word of "
    "it",
};

constexpr std::array<std::string_view, 10> odd = {
    "Hupe", "fan-relay", "h\xc3\xbcpe", "true", "null", "NaN", "e5", "x_", "\xe7\x81\xaf", "L-1.b",
};

} // namespace

std::span<const Size> sizes(Family family) {
    switch (family) {
    case Family::awg: return awg_sizes;
    case Family::sae: return sae_sizes;
    case Family::metric: break;
    }
    return metric_sizes;
}

const Size& size_for(Family family, double amps, double share, double area) {
    const auto list = sizes(family);
    const auto found = std::find_if(list.begin(), list.end(),
                                    [&](const Size& s) { return s.carries * share >= amps && s.area >= area; });
    return found == list.end() ? list.back() : *found;
}

double fuse_for(double amps) {
    const auto found = std::lower_bound(ratings.begin(), ratings.end(), amps);
    return found == ratings.end() ? ratings.back() : *found;
}

const char* fuse_type(double rating) { return rating <= 40 ? "blade" : rating <= 100 ? "maxi" : "bolted"; }

std::span<const Colour> colours() { return colour_table; }

std::span<const std::string_view> hostile_texts() { return hostile; }

std::span<const std::string_view> odd_names() { return odd; }

std::string typed(double value) {
    std::string text = fmt::format("{:.4f}", value);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') { text.pop_back(); }
    return text;
}

std::string metres(double value) { return typed(value) + " m"; }

std::string length_text(double length, Rule rule) {
    if (rule == Rule::inches) {
        const auto inches = std::lround(length / 0.0254);
        if (std::abs(static_cast<double>(inches) * 0.0254 - length) < 1e-9) {
            return inches % 12 == 0 ? fmt::format("{} ft", inches / 12) : fmt::format("{} in", inches);
        }
    }
    if (rule == Rule::centimetres && length < 1) { return typed(length * 100) + " cm"; }
    return metres(length);
}

double typeable(double length, Rule rule) {
    return rule == Rule::inches ? std::max(1.0, std::floor(length / 0.0254 + 1e-9)) * 0.0254 : length;
}

std::string amps(double value) { return typed(value) + " A"; }

} // namespace loomproof::scenario
