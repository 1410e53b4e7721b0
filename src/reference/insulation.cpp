#include "reference/insulation.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <string>

namespace loomproof::reference {

namespace {

using enum InsulationMaterial;

constexpr Source iso_classes{"temperature classes of ISO 6722 / ISO 19642", Standing::confirmed};
constexpr Source flry{"trade data for FLRY", Standing::confirmed};
constexpr Source dealers{"SAE J1128, wire dealers' data", Standing::confirmed};
constexpr Source j1128_2020{"SAE J1128-2020, a test laboratory's summary", Standing::confirmed};
constexpr Source wire_makers{"wire makers' data", Standing::confirmed};
constexpr Source japanese{"JIS C 3406 / JASO D 611, vinyl and polyethylene wire for vehicles", Standing::from_memory};
constexpr Source iec_pairs{"conductor temperatures in IEC 60364-5-54", Standing::confirmed};

constexpr InsulationKind rows[] = {
    {"GXL", Celsius{125}, cross_linked, dealers, ""},
    {"TXL", Celsius{125}, cross_linked, dealers, ""},
    {"SXL", Celsius{125}, cross_linked, dealers, ""},
    {"GPT", Celsius{80}, thermoplastic, dealers,
     "85 degC in SAE J1128-2020, 80 degC in older texts; the lower is taken"},
    {"TWP", Celsius{105}, thermoplastic, j1128_2020, "85 degC for older wire, from memory"},
    {"FLRY", Celsius{105}, thermoplastic, flry, ""},
    {"FLRY-A", Celsius{105}, thermoplastic, flry, ""},
    {"FLRY-B", Celsius{105}, thermoplastic, flry, ""},
    {"AV", Celsius{80}, thermoplastic, japanese, ""},
    {"AVS", Celsius{80}, thermoplastic, japanese, ""},
    {"AVSS", Celsius{80}, thermoplastic, japanese, ""},
    {"AVX", Celsius{100}, cross_linked, japanese, ""},
    {"AEX", Celsius{110}, cross_linked, japanese, ""},
    {"PVC 80", Celsius{80}, thermoplastic, wire_makers, ""},
    {"PVC 85", Celsius{85}, thermoplastic, wire_makers, ""},
    {"PVC 105", Celsius{105}, thermoplastic, wire_makers, ""},
    {"rubber 60", Celsius{60}, rubber, iec_pairs, ""},
    {"rubber 85", Celsius{85}, rubber, iec_pairs, ""},
    {"XLPE", Celsius{90}, cross_linked, iec_pairs,
     "90 degC as in cable for buildings and boats; GXL, TXL and SXL are cross-linked too, for 125 degC"},
    {"silicone 180", Celsius{180}, silicone, iec_pairs, ""},
    {"class A", Celsius{85}, unstated, iso_classes, ""},
    {"class B", Celsius{100}, unstated, iso_classes, ""},
    {"class C", Celsius{125}, unstated, iso_classes, ""},
    {"class D", Celsius{150}, unstated, iso_classes, ""},
    {"class E", Celsius{175}, unstated, iso_classes, ""},
    {"class F", Celsius{200}, unstated, iso_classes, ""},
    {"class G", Celsius{225}, unstated, iso_classes, ""},
    {"class H", Celsius{250}, unstated, iso_classes, ""},
};

std::string bare(std::string_view name) {
    std::string out = lower(name);
    std::erase_if(out, [](char c) { return c == ' ' || c == '-'; });
    if (out.ends_with("degc")) out.resize(out.size() - 4);
    return out;
}

} // namespace

std::span<const InsulationKind> insulation_kinds() { return rows; }

std::optional<InsulationKind> find_insulation(std::string_view name) {
    const std::string wanted = bare(name);
    const auto* row = std::ranges::find_if(rows, [&](const InsulationKind& r) { return bare(r.name) == wanted; });
    if (row == std::end(rows)) return std::nullopt;
    return *row;
}

std::optional<Celsius> short_time_limit(InsulationMaterial material, Celsius rating) {
    switch (material) {
    case thermoplastic: return Celsius{160};
    case cross_linked: return Celsius{250};
    case rubber: return Celsius{rating < Celsius{85} ? 200.0 : 220.0};
    case silicone: return Celsius{350};
    case unstated: break;
    }
    if (rating > Celsius{125}) return std::nullopt;
    return Celsius{160};
}

} // namespace loomproof::reference
