#include "base/number.hpp"

#include <charconv>
#include <cmath>

namespace loomproof {

std::string figure(double value, int digits) {
    if (!std::isfinite(value)) return "?";
    if (value == 0) return "0";
    const int magnitude = static_cast<int>(std::floor(std::log10(std::abs(value)) + 1e-12));
    int decimals = digits - 1 - magnitude;
    if (decimals < 0) decimals = 0; // integers are kept whole: 1240, not 1200
    if (decimals > 9) decimals = 9;
    char buffer[400];
    auto [end, error] = std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed, decimals);
    if (error != std::errc{}) return "?";
    std::string out(buffer, end);
    if (out.find('.') != std::string::npos) {
        while (out.back() == '0') out.pop_back();
        if (out.back() == '.') out.pop_back();
    }
    return out == "-0" ? "0" : out;
}

namespace {
std::string scaled(double v, const char* unit) { return figure(v) + " " + unit; }
} // namespace

std::string text(Amps a) { return std::abs(a.si) < 0.9995 && a.si != 0 ? scaled(a.si * 1e3, "mA") : scaled(a.si, "A"); }
std::string text(Volts v) {
    return std::abs(v.si) < 0.09995 && v.si != 0 ? scaled(v.si * 1e3, "mV") : scaled(v.si, "V");
}
std::string text(Ohms r) {
    if (r.si != 0 && std::abs(r.si) < 0.09995) return scaled(r.si * 1e3, "mohm");
    if (std::abs(r.si) >= 9999.5) return scaled(r.si * 1e-3, "kohm");
    return scaled(r.si, "ohm");
}
std::string text(Metres m) { return scaled(m.si, "m"); }
std::string text(Watts w) { return scaled(w.si, "W"); }
std::string text(SquareMetres a) { return scaled(in_square_millimetres(a), "mm2"); }
std::string text(Celsius c) { return scaled(c.degrees, "degC"); }
std::string text(Seconds s) {
    if (s.si != 0 && std::abs(s.si) < 0.09995) return scaled(s.si * 1e3, "ms");
    if (std::abs(s.si) >= 119.5) return scaled(std::round(s.si) / 60, "min"); // what would print as 120 s
    return scaled(s.si, "s");
}

std::string counted(std::size_t n, const std::string& singular) {
    return std::to_string(n) + " " + singular + (n == 1 ? "" : "s");
}

std::string list_of(const std::vector<std::string>& items, const std::string& last) {
    std::string out;
    for (std::size_t i = 0; i < items.size(); ++i) {
        if (i > 0) out += i + 1 == items.size() ? " " + last + " " : ", ";
        out += items[i];
    }
    return out;
}

} // namespace loomproof
