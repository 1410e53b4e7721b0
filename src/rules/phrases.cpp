#include "rules/phrases.hpp"

#include "circuit/stamp.hpp"
#include "rules/wire_limits.hpp"

#include "base/number.hpp"
#include "solve/settle.hpp"

#include <utility>

#include <fmt/core.h>

namespace loomproof::rules {

Citation cite_part(const Circuit& c, PartId p, std::string label) {
    const Part& part = c.at(p);
    return {part.span.exists() ? part.span : part.name_span, std::move(label)};
}

Citation cite_terminal(const View& view, TerminalId t, std::string label) {
    const auto& wires = view.wires_at(t);
    if (!wires.empty()) return cite_wire_end(view.circuit(), wires.front(), t, std::move(label));
    return cite_part(view.circuit(), view.circuit().at(t).part, std::move(label));
}

std::string grounded_by_its_body(const Circuit& c, PartId p) {
    return fmt::format(
        "If its body is its other end, as of a thermo, oil pressure or door switch with one wire, say so: "
        "switch {}, ..., grounded by its mounting",
        name_of(c, p));
}

std::string home_by_itself(const Circuit& c, WireId w, TerminalId end) {
    const Wire& wire = c.at(w);
    // With a ground at both ends it would carry what flows between the two (ground-loop).
    const bool let_go = wire.screen && (wire.a == end || wire.b == end);
    return fmt::format("Run a wire from {} to ground, as thick as its feed{}: its current goes home over {}, which is "
                       "there for the signal.",
                       name_of(c, end), let_go ? ", and let go of the screen at that end" : "",
                       wire.screen ? "the screen" : "this wire");
}

std::string where_it_lies(const Circuit& c, PartId p) {
    return c.at(p).place.exists() ? place_of(c, p) : std::string{};
}

std::vector<std::string> names_of(const Circuit& c, const std::vector<TerminalId>& terminals) {
    std::vector<std::string> names;
    for (TerminalId t : terminals) names.push_back(name_of(c, t));
    return names;
}

std::vector<std::string> names_of(const Circuit& c, const std::vector<PartId>& parts) {
    std::vector<std::string> names;
    for (PartId p : parts) names.push_back(name_of(c, p));
    return names;
}

std::string subject_of(const Circuit& c, WireId w) { return c.at(w).named ? c.at(w).name : described(c, w); }

std::string stamp_of(const Circuit& c, TerminalId t) {
    return c.at(t).stamp.empty() ? name_of(c, t) : shown_stamp(c, t);
}

std::string measure_of_release(const Circuit& c, const Primitive& coil) {
    const solve::Limits limits = solve::limits_of(c, coil);
    return fmt::format("Switch it off and measure between {} and {} while {} is in: {} and less, it lets go (makers' "
                       "sheets: 4 to 10 %); above {} it stays in; between the two it is as that one relay was made, "
                       "so try it, and try again after you fit another.",
                       name_of(c, coil.a), name_of(c, coil.b), name_of(c, coil.part), text(Volts{limits.must_release}),
                       text(Volts{limits.may_release}));
}

std::string sentence_start(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

std::string goes_on(std::string_view sentence) {
    std::string said(sentence);
    if (!said.empty() && said[0] >= 'A' && said[0] <= 'Z') said[0] = static_cast<char>(said[0] - 'A' + 'a');
    if (said.ends_with('.')) said.pop_back();
    return said;
}

std::string with_article(std::string figure) {
    const bool an = figure.starts_with('8') || ((figure.starts_with("11") || figure.starts_with("18")) &&
                                                (figure.size() == 2 || figure[2] == ' ' || figure[2] == '.'));
    return (an ? "an " : "a ") + std::move(figure);
}

const char* verb(std::size_t count, const char* one, const char* several) { return count == 1 ? one : several; }

std::string hole_words(const Circuit& c, const Primitive& p) {
    return "hole " + c.at(p.a).stamp + " of " + name_of(c, p.part);
}

} // namespace loomproof::rules
