#include "circuit/figures.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/text_problems.hpp"
#include "reference/wire_sizes.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <numbers>

namespace loomproof {

namespace {

struct UnitWord {
    const char* word;
    Unit unit;
    double factor;
    bool exact_case = false; ///< capitals change the meaning ("mA", "MA"): only this spelling is read
};

// The last column guards the prefixes whose capital means a thousand million times more.
constexpr UnitWord unit_table[] = {
    {"A", Unit::amps, 1},
    {"amp", Unit::amps, 1},
    {"amps", Unit::amps, 1},
    {"mA", Unit::amps, 1e-3, true},
    {"kA", Unit::amps, 1e3},
    {"V", Unit::volts, 1},
    {"volt", Unit::volts, 1},
    {"volts", Unit::volts, 1},
    {"mV", Unit::volts, 1e-3, true},
    {"W", Unit::watts, 1},
    {"watt", Unit::watts, 1},
    {"watts", Unit::watts, 1},
    {"mW", Unit::watts, 1e-3, true},
    {"kW", Unit::watts, 1e3},
    {"ohm", Unit::ohms, 1},
    {"ohms", Unit::ohms, 1},
    {"Ω", Unit::ohms, 1},
    {"Ω", Unit::ohms, 1},
    {"mohm", Unit::ohms, 1e-3, true},
    {"kohm", Unit::ohms, 1e3},
    {"kΩ", Unit::ohms, 1e3, true},
    {"mΩ", Unit::ohms, 1e-3, true},
    {"m", Unit::metres, 1},
    {"metre", Unit::metres, 1},
    {"metres", Unit::metres, 1},
    {"meter", Unit::metres, 1},
    {"meters", Unit::metres, 1},
    {"cm", Unit::metres, 1e-2},
    {"mm", Unit::metres, 1e-3},
    {"ft", Unit::metres, 0.3048},
    {"foot", Unit::metres, 0.3048},
    {"feet", Unit::metres, 0.3048},
    {"in", Unit::metres, 0.0254},
    {"inch", Unit::metres, 0.0254},
    {"inches", Unit::metres, 0.0254},
    {"Ah", Unit::amp_hours, 3600},
    {"degC", Unit::celsius, 1},
    {"°C", Unit::celsius, 1},
    {"C", Unit::celsius, 1},
    {"degF", Unit::celsius, 0},
    {"°F", Unit::celsius, 0},
    {"F", Unit::farads, 1},
    {"uF", Unit::farads, 1e-6},
    {"µF", Unit::farads, 1e-6},
    {"μF", Unit::farads, 1e-6},
    {"nF", Unit::farads, 1e-9},
    {"s", Unit::seconds, 1},
    {"sec", Unit::seconds, 1},
    {"seconds", Unit::seconds, 1},
    {"min", Unit::seconds, 60},
    {"minutes", Unit::seconds, 60},
    {"h", Unit::seconds, 3600},
    {"hours", Unit::seconds, 3600},
    {"Hz", Unit::hertz, 1},
    {"kHz", Unit::hertz, 1e3},
    {"mm2", Unit::size, 1},
    {"mm²", Unit::size, 1},
    {"sqmm", Unit::size, 1},
    {"qmm", Unit::size, 1},
    {"mmq", Unit::size, 1},
    {"awg", Unit::size, 1},
    {"sae", Unit::size, 1},
    {"bar", Unit::pascals, 1e5},
    {"psi", Unit::pascals, 6894.76},
    {"kPa", Unit::pascals, 1e3},
};

const UnitWord* find_unit(std::string_view word) {
    for (const UnitWord& u : unit_table)
        if (u.exact_case ? word == u.word : equal_ignoring_case(word, u.word)) return &u;
    return nullptr;
}

/// A unit whose capitals make it ambiguous: "MA", "Mohm". Returns the two readings.
const char* both_readings(std::string_view word) {
    for (const UnitWord& u : unit_table)
        if (u.exact_case && equal_ignoring_case(word, u.word) && word != u.word) {
            switch (u.unit) {
            case Unit::amps: return "mA (thousandths of an amp) or A";
            case Unit::volts: return "mV (thousandths of a volt) or V";
            case Unit::watts: return "mW (thousandths of a watt) or kW";
            default: return "mohm (thousandths of an ohm) or kohm (thousands of ohms)";
            }
        }
    return nullptr;
}

struct Number {
    double value = 0;
    std::size_t length = 0; ///< bytes of the word that belong to it
};

/// The number at the front of a word: digits with at most one point, ".5" too. Length 0 where there is none.
Number leading_number(std::string_view word) {
    const std::size_t first = !word.empty() && word[0] == '.' ? 1 : 0;
    if (word.size() <= first || word[first] < '0' || word[first] > '9') return {};
    Number n;
    const char* end = word.data() + word.size();
    auto [stop, error] = std::from_chars(word.data(), end, n.value, std::chars_format::fixed);
    if (error != std::errc{}) return {};
    n.length = static_cast<std::size_t>(stop - word.data());
    return n;
}

struct Hedge {
    Knowledge how = Knowledge::given;
    double spread = 0;
};

bool take_hedge(Cursor& c, Hedge& hedge) {
    if (c.take("about")) return hedge = {Knowledge::about, 0.2}, true;
    for (const char* word :
         {"approx", "approximately", "roughly", "circa", "ca"}) // may be names, where no number follows
        if (c.is(word) && c.is_word(1) && leading_number(c.spelled(1)).length > 0)
            return ++c.at, hedge = {Knowledge::about, 0.2}, true;
    if (c.take("measured")) return hedge = {Knowledge::measured, 0}, true;
    if (c.take("marked")) return hedge = {Knowledge::marked, 0}, true;
    if (c.take("guessed")) return hedge = {Knowledge::guessed, 0.5}, true;
    return false;
}

Stated<double> stated(double value, const Hedge& hedge, Span span) {
    return {hedge.how, value, value * (1 - hedge.spread), value * (1 + hedge.spread), span, {}};
}

/// A number with its unit, in one word or two, at the cursor. Does not move.
struct Raw {
    double value = 0;
    std::string_view digits;  ///< as typed
    std::string_view unit;    ///< as typed; empty where there is none
    std::uint32_t tokens = 0; ///< 0: no number here
    bool fraction = false;    ///< "1/0"
    double below = 0;         ///< the second number of a fraction
    bool strands = false;     ///< "28/0.30": the second number has a point
    std::string_view strand;  ///< the second number as typed
};

Raw raw_figure(const Cursor& c) {
    Raw raw;
    if (!c.is_word()) return raw;
    const std::string_view word = c.spelled();
    const Number n = leading_number(word);
    if (n.length == 0) return raw;
    raw.value = n.value;
    raw.digits = word.substr(0, n.length);
    if (n.length < word.size()) { // "12v"
        raw.unit = word.substr(n.length);
        raw.tokens = 1;
        return raw;
    }
    raw.tokens = 1;
    if (c.is_mark('/', 1) && c.is_word(2)) { // "1/0 awg", "60/55 W", "1/0awg"
        const std::string_view second = c.spelled(2);
        const Number m = leading_number(second);
        if (m.length > 0) {
            raw.fraction = true;
            raw.below = m.value;
            raw.tokens = 3;
            raw.strand = second.substr(0, m.length);
            raw.strands = raw.strand.find('.') != std::string_view::npos &&
                          (m.length == second.size() || second.substr(m.length) == "mm");
            if (m.length < second.size()) {
                raw.unit = second.substr(m.length);
                return raw;
            }
        }
    }
    if (c.is_word(raw.tokens)) {
        raw.unit = c.spelled(raw.tokens);
        ++raw.tokens;
        const bool square_first = equal_ignoring_case(raw.unit, "sq") || equal_ignoring_case(raw.unit, "square");
        const bool square_last = equal_ignoring_case(raw.unit, "mm") &&
                                 (c.is("sq", raw.tokens) || c.is("square", raw.tokens) || c.is("squared", raw.tokens));
        if (square_last || (square_first && c.is("mm", raw.tokens))) { // "1.5 sq mm", "1.5 mm squared"
            raw.unit = "sqmm";
            ++raw.tokens;
        }
    }
    return raw;
}

std::string gauge_name(const Raw& raw) {
    return raw.fraction ? std::string(raw.digits) + "/" + figure(raw.below) : std::string(raw.digits);
}

/// Sizes: mm2 by name, awg, sae. Always consumes what it recognises.
std::optional<FigureRead> read_size(Cursor& c, const Raw& raw, const Hedge& hedge, std::vector<Finding>& problems) {
    const std::uint32_t start = c.at;
    const auto taken = [&] {
        c.at += raw.tokens;
        return c.span_from(start);
    };
    if (equal_ignoring_case(raw.unit, "mm") && raw.value < 130 && !raw.strands) {
        const Span at = taken();
        problems.push_back(text_problem("text-unclear-figure", at,
                                        "\"" + std::string(raw.digits) +
                                            " mm\" can mean two wires: " + std::string(raw.digits) +
                                            " mm2 of copper, or a wire " + std::string(raw.digits) + " mm across.",
                                        "Type " + std::string(raw.digits) +
                                            " mm2 if that is the size on the reel; else measure the bare strands."));
        return FigureRead{{}, ""};
    }
    if (equal_ignoring_case(raw.unit, "gauge") || equal_ignoring_case(raw.unit, "ga") ||
        equal_ignoring_case(raw.unit, "swg")) {
        const Span at = taken();
        problems.push_back(text_problem("text-unclear-figure", at,
                                        "\"" + gauge_name(raw) + " " + std::string(raw.unit) +
                                            "\" can mean two wires: AWG, or SAE with about a tenth less copper.",
                                        "Type " + gauge_name(raw) + " awg, or " + gauge_name(raw) +
                                            " sae (most wire sold for vehicles by gauge)."));
        return FigureRead{{}, ""};
    }
    if (raw.strands) { // "28/0.30": 28 strands, 0.30 mm across
        if (!(raw.value >= 1 && raw.value == std::floor(raw.value) && raw.below > 0.04 && raw.below < 4))
            return std::nullopt;
        c.at += raw.tokens == 4 && equal_ignoring_case(raw.unit, "mm") ? 4 : 3; // "28/0.30 mm"
        const double copper = raw.value * std::numbers::pi / 4 * raw.below * raw.below * 1e-6;
        return FigureRead{stated(copper, {hedge.how, 0}, c.span_from(start)),
                          std::string(raw.digits) + "/" + std::string(raw.strand)};
    }
    const UnitWord* unit = find_unit(raw.unit);
    if (!unit || unit->unit != Unit::size) return std::nullopt;
    std::optional<reference::WireSize> size;
    reference::Neighbours near;
    std::string spelled;
    if (equal_ignoring_case(raw.unit, "awg")) {
        spelled = gauge_name(raw) + " awg";
        size = reference::find_awg(gauge_name(raw));
        near = reference::gauge_neighbours(reference::SizeSystem::awg, gauge_name(raw));
    } else if (equal_ignoring_case(raw.unit, "sae")) {
        spelled = gauge_name(raw) + " sae";
        size = reference::find_sae(gauge_name(raw));
        near = reference::gauge_neighbours(reference::SizeSystem::sae, gauge_name(raw));
    } else if (!raw.fraction) {
        spelled = std::string(raw.digits) + " mm2";
        size = reference::find_metric(raw.value);
        near = reference::metric_neighbours(raw.value);
    } else {
        return std::nullopt;
    }
    const Span at = taken();
    if (!size) {
        std::vector<std::string> names;
        if (near.thinner) names.push_back(reference::spelled(*near.thinner));
        if (near.thicker) names.push_back(reference::spelled(*near.thicker));
        // Cable by gauge is sold by its copper too: 21 mm2 is 4 AWG.
        std::string by_gauge;
        if (!equal_ignoring_case(raw.unit, "awg") && !equal_ignoring_case(raw.unit, "sae"))
            for (const reference::WireSize& awg : reference::wire_sizes(reference::SizeSystem::awg))
                if (std::abs(awg.copper.si * 1e6 - raw.value) < 0.04 * raw.value && reference::is_sold(awg))
                    by_gauge = " If it is " + reference::spelled(awg) + " by gauge, type " + awg.name + " awg.";
        problems.push_back(
            text_problem("text-size-unknown", at,
                         "No wire of " + spelled + " is made" +
                             (names.empty() ? std::string(".") : "; the nearest sizes are " + list_of(names) + "."),
                         "Type the size printed on the wire or its reel." + by_gauge));
        return FigureRead{{}, ""};
    }
    Stated<double> value = stated(size->copper.si, {hedge.how, 0}, at);
    if (hedge.how == Knowledge::guessed ||
        hedge.how == Knowledge::about) { // a size is guessed to the neighbouring sizes
        if (near.thinner) value.low = near.thinner->copper.si;
        if (near.thicker) value.high = near.thicker->copper.si;
    }
    return FigureRead{value, spelled};
}

} // namespace

const char* unit_words(Unit unit) {
    switch (unit) {
    case Unit::amps: return "amps (A)";
    case Unit::volts: return "volts (V)";
    case Unit::watts: return "watts (W)";
    case Unit::ohms: return "ohms (ohm)";
    case Unit::metres: return "a length (m)";
    case Unit::amp_hours: return "amp hours (Ah)";
    case Unit::celsius: return "a temperature (degC)";
    case Unit::size: return "a wire size (mm2, awg, sae)";
    case Unit::farads: return "a capacitance (uF)";
    case Unit::seconds: return "a time (s, min, h)";
    case Unit::hertz: return "how often in a second (Hz)";
    case Unit::pascals: return "a pressure (bar, psi, kPa)";
    case Unit::count: return "a count";
    }
    return "";
}

std::optional<FigureRead> read_figure(Cursor& c, Unit wanted, std::vector<Finding>& problems) {
    const std::uint32_t start = c.at;
    if (c.is("unknown") && c.is_word(1)) {
        const UnitWord* unit = find_unit(c.spelled(1));
        if (!unit || unit->unit != wanted) return std::nullopt;
        c.at += 2;
        FigureRead read;
        read.value.span = c.span_from(start);
        return read;
    }
    Hedge hedge;
    take_hedge(c, hedge);
    const bool minus = wanted == Unit::celsius && c.take_mark('-');
    Raw raw = raw_figure(c);
    if (wanted == Unit::size && (c.is("awg") || c.is("sae")) && c.is_word(1)) { // "AWG 12": the unit in front
        Cursor number = c;
        ++number.at;
        Raw behind = raw_figure(number);
        if (behind.tokens > 0) {
            raw = behind;
            raw.tokens = (behind.fraction ? 3 : 1) + 1;
            raw.unit = c.spelled();
        }
    }
    const auto nothing = [&]() -> std::optional<FigureRead> {
        c.at = start;
        return std::nullopt;
    };
    if (raw.tokens == 0) return nothing();
    if (wanted == Unit::count) {
        if (raw.digits.find('.') != std::string_view::npos || c.spelled().size() != raw.digits.size()) return nothing();
        ++c.at;
        return FigureRead{stated(raw.value, hedge, c.span_from(start)), std::string(raw.digits)};
    }
    if (wanted == Unit::size) {
        auto size = read_size(c, raw, hedge, problems);
        return size ? size : nothing();
    }
    if (raw.fraction) return nothing(); // "60/55 W" is read piece by piece by its own pattern
    if (const char* readings = both_readings(raw.unit)) {
        const UnitWord* meant = find_unit(lower(raw.unit));
        const Unit unit = meant ? meant->unit : Unit::amps;
        const bool same = wanted == unit;
        if (!same) return nothing();
        c.at += raw.tokens;
        problems.push_back(text_problem("text-unclear-figure", c.span_from(start),
                                        "\"" + std::string(raw.digits) + " " + std::string(raw.unit) +
                                            "\" can be read in two ways: " + readings + ".",
                                        "Type it with small letters and capitals as they are meant."));
        return FigureRead{{}, ""};
    }
    const UnitWord* unit = find_unit(raw.unit);
    if (!unit || unit->unit != wanted) return nothing();
    c.at += raw.tokens;
    double value = raw.value * unit->factor;
    if (unit->unit == Unit::celsius) {
        value = minus ? -raw.value : raw.value;
        if (unit->factor == 0) value = (value - 32) / 1.8;
    }
    return FigureRead{stated(value, hedge, c.span_from(start)), {}};
}

std::optional<std::pair<Stated<double>, Stated<double>>> read_pair(Cursor& c, Unit wanted) {
    Cursor behind = c;
    Hedge hedge;
    take_hedge(behind, hedge);
    Raw raw = raw_figure(behind);
    if (!raw.fraction && raw.tokens == 1 && behind.is_mark('/', 1) && behind.is_word(2)) { // "21W/5W"
        const std::string_view word = behind.spelled(2);
        const Number second = leading_number(word);
        if (second.length == 0 || !equal_ignoring_case(word.substr(second.length), raw.unit)) return std::nullopt;
        raw.fraction = true;
        raw.below = second.value;
        raw.tokens = 3;
    }
    if (!raw.fraction || both_readings(raw.unit)) return std::nullopt;
    const UnitWord* unit = find_unit(raw.unit);
    if (!unit || unit->unit != wanted || unit->unit == Unit::celsius) return std::nullopt;
    const std::uint32_t start = c.at;
    c.at = behind.at + raw.tokens;
    const Span span = c.span_from(start);
    return std::pair(stated(raw.value * unit->factor, hedge, span), stated(raw.below * unit->factor, hedge, span));
}

std::optional<std::pair<FigureRead, FigureRead>> read_range(Cursor& c, Unit wanted, std::vector<Finding>& problems) {
    Cursor at = c;
    if (const auto low = read_figure(at, wanted, problems)) { // "10 ohm to 180 ohm"
        if (!at.take("to")) return std::nullopt;
        const auto high = read_figure(at, wanted, problems);
        if (!high) return std::nullopt;
        c.at = at.at;
        return std::pair(*low, *high);
    }
    // "10 to 180 ohm", "10-180 ohm": the unit behind the second figure is that of both.
    if (wanted == Unit::size || wanted == Unit::celsius || !at.is_word()) return std::nullopt;
    const std::uint32_t start = at.at;
    const std::string_view word = at.spelled();
    const Number low = leading_number(word);
    if (low.length == 0) return std::nullopt;
    double second = 0;
    std::string_view unit_word;
    if (low.length < word.size()) {
        if (word[low.length] != '-') return std::nullopt;
        const std::string_view rest = word.substr(low.length + 1);
        const Number high = leading_number(rest);
        if (high.length == 0) return std::nullopt;
        second = high.value;
        unit_word = rest.substr(high.length);
        ++at.at;
    } else {
        ++at.at;
        if (!at.take("to") && !at.take_mark('-')) return std::nullopt;
        if (!at.is_word()) return std::nullopt;
        const Number high = leading_number(at.spelled());
        if (high.length == 0) return std::nullopt;
        second = high.value;
        unit_word = at.spelled().substr(high.length);
        ++at.at;
    }
    if (unit_word.empty()) {
        if (!at.is_word()) return std::nullopt;
        unit_word = at.spelled();
        ++at.at;
    }
    const UnitWord* unit = find_unit(unit_word);
    if (!unit || unit->unit != wanted || both_readings(unit_word)) return std::nullopt;
    const Span span = at.span_from(start);
    c.at = at.at;
    return std::pair(FigureRead{stated(low.value * unit->factor, {}, span), {}},
                     FigureRead{stated(second * unit->factor, {}, span), {}});
}

bool looks_like_figure(const Cursor& c) {
    Cursor behind = c;
    if (Hedge hedge; take_hedge(behind, hedge) || c.is("unknown")) return true;
    return c.is_word() && leading_number(c.spelled()).length > 0;
}

namespace {

/// The statement with a unit behind the number, once for each that the number can have; most likely first, three at most.
std::vector<Remedy> with_a_unit(const Cursor& at, const Raw& raw, Span number, std::span<const Unit> likely) {
    std::vector<Remedy> cures;
    const std::string digits = gauge_name(raw);
    const auto offer = [&](const char* unit, const char* meant) {
        if (cures.size() < 3)
            cures.push_back(
                {"Type, if " + std::string(meant) + " meant: " + line_with(at, number, digits + " " + unit)});
    };
    for (const Unit unit : likely) {
        if (unit == Unit::size) {
            const bool whole = raw.value == std::floor(raw.value);
            if (!raw.fraction && reference::find_metric(raw.value)) offer("mm2", "square millimetres of copper are");
            if (!raw.fraction && !(whole && raw.value >= 4)) continue; // 0 to 3 are cables, and written 1/0, 2
            if (reference::find_awg(digits)) offer("awg", "an AWG number is");
            if (reference::find_sae(digits)) offer("sae", "an SAE number is");
            continue;
        }
        if (raw.fraction) continue;
        switch (unit) {
        case Unit::amps: offer("A", "amps are"); break;
        case Unit::watts: offer("W", "watts are"); break;
        case Unit::ohms: offer("ohm", "ohms are"); break;
        case Unit::amp_hours: offer("Ah", "amp hours are"); break;
        case Unit::farads: offer("uF", "microfarads are"); break;
        case Unit::celsius: offer("degC", "degrees Celsius are"); break;
        case Unit::metres:
            if (raw.value <= 40) offer("m", "metres are");
            break;
        case Unit::volts:
            if (raw.value == 6 || raw.value == 12 || raw.value == 24) offer("V", "volts are");
            break;
        default: break;
        }
    }
    return cures;
}

/// "15 ampers", "15amprs": the unit that is nearly that word; empty where none is.
std::string nearest_unit(std::string_view typed, std::span<const Unit> likely) {
    if (typed.size() < 4) return {};
    std::vector<std::string> words;
    for (const UnitWord& u : unit_table)
        if (std::ranges::find(likely, u.unit) != likely.end() && std::string_view(u.word).size() >= 3)
            words.emplace_back(u.word);
    const auto near = nearest_name(typed, words);
    return near.value_or("");
}

} // namespace

Finding figure_problem(const Cursor& at, const std::string& expected, std::span<const Unit> likely, bool stands_alone) {
    Cursor c = at;
    const std::uint32_t start = c.at;
    Hedge hedge;
    take_hedge(c, hedge);
    const Raw raw = raw_figure(c);
    if (raw.tokens == 0) {
        ++c.at;
        return text_problem("text-unit-missing", c.span_from(start),
                            "A figure is missing behind \"" + std::string(at.spelled()) + "\".", expected);
    }
    if (equal_ignoring_case(raw.unit, "mm") && raw.value < 130) {
        std::vector<Finding> problems;
        read_size(c, raw, hedge, problems);
        return problems.front();
    }
    const UnitWord* unit = find_unit(raw.unit);
    if (unit || both_readings(raw.unit)) {
        c.at += raw.tokens;
        return text_problem("text-word-unknown", c.span_from(start),
                            "\"" + gauge_name(raw) + " " + std::string(raw.unit) + "\" does not belong here.",
                            expected);
    }
    const std::uint32_t number = c.at;
    if (const std::string near = nearest_unit(raw.unit, likely); !near.empty()) {
        c.at += raw.tokens;
        return text_problem("text-unit-missing", c.span_from(start),
                            "\"" + std::string(raw.unit) + "\" is no unit that is known here; \"" + near + "\" is.",
                            "Type: " + line_with(at, c.span_from(number), gauge_name(raw) + " " + near));
    }
    const bool glued = raw.tokens == 1 && !raw.unit.empty(); // "2x55W": no unit in place of that
    c.at += raw.fraction ? 3 : 1;
    Finding f = text_problem("text-unit-missing", c.span_from(start),
                             "\"" + gauge_name(raw) + "\" has no unit that is known here.");
    if (stands_alone && !glued) f.cures = with_a_unit(at, raw, c.span_from(number), likely);
    if (f.cures.empty()) f.cures.push_back({expected});
    return f;
}

std::size_t unit_split(std::string_view word) {
    const Number n = leading_number(word);
    if (n.length == 0 || n.length == word.size()) return 0;
    return find_unit(word.substr(n.length)) ? n.length : 0;
}

} // namespace loomproof
