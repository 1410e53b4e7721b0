#include "begin/fill.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "begin/answer.hpp"
#include "circuit/read.hpp"
#include "circuit/typed.hpp"
#include "netlist/tidy.hpp"
#include "reference/blades.hpp"
#include "reference/places.hpp"
#include "sizing/size.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <set>

#include <fmt/core.h>

namespace loomproof::begin {

namespace {

constexpr std::string_view not_yet = "not_answered_yet";
constexpr double rested_battery = 12.6 / 12; ///< loads are stated at 12 V; the check reckons with a rested battery
constexpr double usual_start = 3;   ///< what a motor takes to start, over what it takes while it runs (common practice)
constexpr double relay_habit = 0.8; ///< share of a relay's rating that is used for long (common practice)

std::optional<Amps> amps_of(const Answers& answers, const WireSum& sum, Take take = Take::upper) {
    const auto at = answers.find(sum.load);
    const std::string answer = at == answers.end() ? sum.load : at->second;
    const auto alike = several(answer);
    Unit unit{};
    const auto figure = figure_of(alike ? alike->each : answer, {Unit::amps, Unit::watts}, &unit, take);
    if (!figure) return std::nullopt;
    return Amps{(unit == Unit::watts ? *figure / 12 : *figure) * sum.times * (alike ? alike->count : 1) *
                rested_battery};
}

/// Why more amps are reckoned with than stand on the label. `above`: the upper end of what was said over the figure itself.
std::string why_so_many(double above) {
    const std::string full = "from a rested battery of 12.6 V";
    if (above < 1.01) return "5 % above the figure, " + full;
    return fmt::format("{} the figure, as that is not measured, {}", above > 1.3 ? "half above" : "a little above",
                       full);
}

/// Lengths that are guessed are taken as they are, not at their upper end: both that and the upper end of what the load takes would ask for
/// copper that nobody needs. What a longer way would lose the check weighs.
std::optional<Metres> metres_of(const Answers& answers, const WireSum& sum) {
    Metres out;
    for (const std::string& piece : sum.over) {
        const auto at = answers.find(piece);
        if (at != answers.end() && at->second.empty()) continue; // not asked: there is no such piece
        const auto figure = figure_of(at == answers.end() ? piece : at->second, {Unit::metres}, nullptr, Take::middle);
        if (!figure) return std::nullopt;
        out += Metres{*figure};
    }
    return out;
}

/// What is on shelves as bolted fuses and as relays for the battery's voltage, in amps. Common practice, no list is published.
constexpr std::array<double, 10> bolted{60, 70, 80, 100, 125, 150, 175, 200, 250, 300};
constexpr std::array<double, 6> relays{40, 70, 100, 150, 200, 300};

/// To two digits, for a sentence.
template <class Q> std::string rounded(Q value) {
    const double step = std::pow(10.0, std::floor(std::log10(value.si)) - 1);
    return text(Q{std::round(value.si / step) * step});
}

std::string fuse_words(Amps steady, Celsius place, Amps& rating) {
    if (const auto fuse = sizing::fuse_for(steady, place); fuse && fuse->rating.rating.si <= 60) {
        rating = fuse->rating.rating;
        return text(rating) + (fuse->style == reference::Protector::maxi_blade ? ", maxi" : "");
    }
    const auto* at = std::ranges::lower_bound(bolted, steady.si / sizing::fuse_habit);
    rating = Amps{at == bolted.end() ? bolted.back() : *at};
    return text(rating) + ", bolted";
}

/// The fuse that is there already, as somebody read it off.
std::optional<Amps> fuse_said(const Answers& answers, const WireSum& sum) {
    const auto at = answers.find(sum.fuse);
    const auto figure = at == answers.end() ? std::nullopt : figure_of(at->second, {Unit::amps});
    return figure ? std::optional(Amps{*figure}) : std::nullopt;
}
std::string fuse_words(Amps rating) {
    if (reference::usual_style(rating) != reference::Protector::maxi_blade) return text(rating);
    return text(rating) + (reference::find_fuse(reference::Protector::maxi_blade, rating) ? ", maxi" : ", bolted");
}

/// Relays with studs are made for more than 40 A, the usual plug-in cube for up to that (common practice).
bool has_studs(double rating, bool studs) { return studs || rating > relays[1]; }
std::string relay_words(double rating, bool studs) {
    const bool wide = has_studs(rating, studs);
    return text(Amps{wide ? std::max(rating, relays[1]) : rating}) + (wide ? ", studs" : ", mini");
}

/// What the file takes its terminals to be, for whoever has the relay in his hand.
const char* relay_numbers(bool studs) {
    return studs ? "a relay with screw studs, 30 fed and 87 to the load, and 85 and 86 for the coil"
                 : "the usual cube (mini) and its four, 85 and 86 the coil, 30 fed, 87 to the load";
}

Answers together(const Answers& answers, const Answers& worked) {
    Answers out = worked;
    out.insert(answers.begin(), answers.end());
    return out;
}

std::string as_typed_in_a_file(const reference::WireSize& size) { return lower(reference::spelled(size)); }

/// Without the lines whose "[id=value]" or "[id!=value]" does not hold, and without those words.
std::string lines_that_hold(const std::string& text, const Answers& values) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
        std::string line = text.substr(at, end - at);
        at = end;
        bool here = true;
        while (here && line.front() == '[') {
            const std::size_t close = line.find(']');
            const auto when = read_condition(std::string_view(line).substr(1, close - 1));
            here = close != std::string::npos && when && holds(*when, values);
            if (here) line.erase(0, line.find_first_not_of(' ', close + 1));
        }
        if (here) out += line;
    }
    return out;
}

std::string put_in(std::string text, const Answers& values) {
    std::size_t at = 0;
    while ((at = text.find('<', at)) != std::string::npos) {
        const std::size_t end = text.find('>', at);
        if (end == std::string::npos) break;
        const auto value = values.find(text.substr(at + 1, end - at - 1));
        const std::string with = value == values.end() ? std::string(not_yet) : value->second;
        std::size_t begin = at;
        std::size_t length = end + 1 - at;
        if (with.empty() && at >= 2 && text.compare(at - 2, 2, ", ") == 0)
            begin -= 2, length += 2; // the clause is left out
        text.replace(begin, length, with);
        at = begin + with.size();
    }
    return text;
}

std::string tidied(std::string text) {
    Sources sources;
    const std::uint32_t source = sources.add("new.loom", std::move(text));
    const Parsed parsed = parse(sources, source);
    return tidy(sources, parsed.tree, {is_keyword, unit_split, false});
}

/// The lines, each with single blanks: columns are for the whole file.
std::vector<std::string> lines_in(const std::string& text) {
    std::vector<std::string> out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        std::string& line = out.emplace_back();
        for (std::size_t i = at; i < end; ++i)
            if (text[i] != ' ' || (!line.empty() && line.back() != ' ')) line += text[i];
        at = end + 1;
    }
    return out;
}

/// Does the file have a relay that this sum gives its rating?
bool has_relay(const Form& form, const WireSum& sum, const Answers& values) {
    return lines_that_hold(form.text, values).find('<' + sum.name + " relay>") != std::string::npos;
}

} // namespace

bool holds(const Condition& when, const Answers& answers) {
    if (when.id.empty()) return true;
    const auto at = answers.find(when.id);
    return (at != answers.end() && at->second == when.value) != when.other;
}

std::vector<std::string> cautions_of(const Form& form, const Answers& said) {
    const bool open = std::ranges::any_of(form.asks, [&](const Ask& a) { return a.by_job && !said.contains(a.id); });
    const Answers values = all_values(form, said);
    std::vector<std::string> out;
    for (const Said& caution : form.cautions)
        if (open || holds(caution.when, values)) out.push_back(caution.text);
    return out;
}

Answers worked_out(const Form& form, const Answers& answers) {
    Answers out;
    const auto sold = answers.find("sold");
    const bool awg = sold != answers.end() && sold->second == "awg";
    if (sold != answers.end()) out["thin"] = awg ? "16 awg" : "1.5 mm2";
    for (const Ask& ask : form.asks)
        for (const Option& option : ask.options)
            if (const auto at = answers.find(ask.id); at != answers.end() && at->second == option.value)
                for (const auto& [name, value] : option.sets) out[name] = value;
    for (const Ask& ask : form.asks)
        if (const auto at = answers.find(ask.id); ask.or_two && at != answers.end())
            if (const auto alike = several(at->second)) {
                out[ask.id + " count"] = std::to_string(alike->count);
                out[ask.id + " each"] = alike->each;
            }
    for (const WireSum& sum : form.wires) {
        out[sum.name + " relay numbers"] = relay_numbers(false);
        const auto steady = amps_of(answers, sum);
        if (!steady) continue;
        const auto known = reference::find_place_temperature(sum.place);
        const Celsius place = known ? known->ambient : reference::table_ambient;
        Amps rating;
        if (const auto said = fuse_said(answers, sum)) {
            rating = *said;
            out[sum.name + " fuse"] = fuse_words(rating);
        } else
            out[sum.name + " fuse"] = fuse_words(*steady, place, rating);
        const auto* relay = std::ranges::lower_bound(relays, steady->si / relay_habit);
        if (relay == relays.end()) --relay;
        out[sum.name + " relay"] = relay_words(*relay, false);
        out[sum.name + " relay numbers"] = relay_numbers(has_studs(*relay, false));
        // Of the figure itself: that it is guessed is said once, not taken on top again.
        const auto usual = amps_of(answers, sum, Take::middle);
        out[sum.name + " start"] = "guessed " + text(Amps{std::round(usual->si / rested_battery * usual_start)});
        const auto metres = metres_of(answers, sum);
        if (!metres || sold == answers.end()) continue;
        // Ways along a car come out longer than they were measured: a part of what is usual is kept back.
        const Volts usual_to_lose = sizing::usual_loss(Volts{12}), wires_may_lose = usual_to_lose * 0.7;
        const sizing::Need need{*steady,
                                rating,
                                *metres,
                                wires_may_lose,
                                place,
                                reference::default_insulation_class,
                                square_millimetres(0.9)};
        if (const auto wire =
                sizing::thinnest(awg ? reference::SizeSystem::awg : reference::SizeSystem::metric, need)) {
            out[sum.name] = as_typed_in_a_file(wire->size);
            out[sum.name + " why"] =
                fmt::format("{}: carries the {} fuse; {} of it lose {:.2f} V at {} ({}), and the wires may lose {:.2f} "
                            "V ({:.1f} V is "
                            "usual; ways come out longer than measured){}",
                            out[sum.name], text(rating), rounded(*metres), wire->lost.si, rounded(*steady),
                            why_so_many(*steady / *usual), wires_may_lose.si, usual_to_lose.si,
                            wire->for_loss ? ". A thinner one carries it too, but loses too much" : "");
            if (wire->size.copper > reference::blade_terminal_takes && has_relay(form, sum, together(answers, out))) {
                out[sum.name + " relay"] = relay_words(*relay, true);
                out[sum.name + " relay numbers"] = relay_numbers(true);
                out[sum.name + " why"] += fmt::format(". It does not fit the blades of a plug-in relay: terminals for "
                                                      "those are sold for up to {}. So the "
                                                      "file takes a relay with studs{}; do not cut strands away",
                                                      reference::blade_terminal_takes_words,
                                                      wire->for_loss ? ", or bring relay and load nearer" : "");
            }
        } else {
            out[sum.name] = awg ? "4/0 awg" : "120 mm2"; // the thickest there is; the check says what is lost
            out[sum.name + " why"] =
                out[sum.name] +
                ": the thickest there is, and still too thin for that way: bring the load nearer, or split it";
        }
    }
    return out;
}

std::vector<std::string> why_these(const Form& form, const Answers& answers) {
    const Answers now = worked_out(form, answers);
    std::vector<std::string> out;
    for (const WireSum& sum : form.wires)
        if (const auto at = now.find(sum.name + " why");
            at != now.end() && std::ranges::find(out, at->second) == out.end())
            out.push_back(at->second + '.');
    return out;
}

Answers all_values(const Form& form, const Answers& answers) { return together(answers, worked_out(form, answers)); }

std::string with_values(const std::string& text, const Form& form, const Answers& answers) {
    return put_in(text, all_values(form, answers));
}

std::string filled(const Form& form, const Answers& answers) {
    const Answers values = all_values(form, answers);
    return tidied(put_in(lines_that_hold(form.text, values), values));
}

std::string named(const Form& form, const Answers& answers) {
    std::string name = put_in(form.file, all_values(form, answers));
    std::ranges::replace(name, ' ', '-');
    return name;
}

std::vector<std::string> lines_of(const Form& form, const Answers& answers, const std::string& id) {
    Answers before = answers;
    before.erase(id);
    const std::vector<std::string> now = lines_in(filled(form, answers)), then = lines_in(filled(form, before));
    const std::set<std::string> known(then.begin(), then.end());
    std::vector<std::string> out;
    for (std::string line : now) {
        if (known.contains(line)) continue;
        for (std::size_t at = 0; (at = line.find(not_yet, at)) != std::string::npos;)
            line.replace(at, not_yet.size(), "...");
        out.push_back(std::move(line));
    }
    return out;
}

} // namespace loomproof::begin
