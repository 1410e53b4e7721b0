#include "rules/unknown.hpp"

#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

/// Figures of the file are rounded: nearer to a limit than this nobody measures.
constexpr double slack = 1e-3;

std::string figure_text(const solve::Unknown& u, double figure) {
    if (!u.edge.is_wire()) return text(rounded(Amps{figure}, 2));
    return u.what == "size" ? text(rounded(SquareMetres{figure}, 2)) : text(rounded(Metres{figure}, 2));
}

} // namespace

Certainty Weighed::certainty() const {
    return verdict == Verdict::undecided ? Certainty::undecided : Certainty::certain;
}

Weighing::Weighing(const Study& s, const Survey& survey)
    : s_(s), survey_(survey), all_(solve::unknowns_of(s.now, true)) {
    loads_open_ = std::ranges::any_of(all_, [](const solve::Unknown& u) { return !u.edge.is_wire(); });
}

std::vector<solve::Unknown> Weighing::of_wires() const {
    std::vector<solve::Unknown> found;
    for (const solve::Unknown& u : all_)
        if (u.edge.is_wire()) found.push_back(u);
    return found;
}

std::vector<solve::Unknown> Weighing::of_loads(const std::optional<std::vector<PartId>>& behind) const {
    std::vector<solve::Unknown> found;
    for (const solve::Unknown& u : all_)
        if (!u.edge.is_wire() &&
            (!behind || std::ranges::find(*behind, s_.circuit.at(u.edge.primitive).part) != behind->end()))
            found.push_back(u);
    return found;
}

std::optional<solve::Unknown> Weighing::of_wire(WireId w) const {
    const auto at = std::ranges::find_if(all_, [&](const solve::Unknown& u) { return u.edge.wire == w; });
    return at == all_.end() ? std::nullopt : std::optional(*at);
}

bool Weighing::nothing_said(const solve::Unknown& u) const {
    const Circuit& c = s_.circuit;
    if (u.edge.is_wire()) return u.what == "size" ? !c.at(u.edge.wire).area.known() : !c.at(u.edge.wire).length.known();
    return !c.at(u.edge.primitive).current.known();
}

std::optional<solve::Unknown> Weighing::unsaid_wire(WireId w) const {
    const auto u = of_wire(w);
    return u && nothing_said(*u) ? u : std::nullopt;
}

bool Weighing::some_wire_unsaid() const {
    return std::ranges::any_of(of_wires(), [&](const solve::Unknown& u) { return nothing_said(u); });
}

std::string Weighing::name(const solve::Unknown& u) const {
    const Circuit& c = s_.circuit;
    if (u.edge.is_wire()) return fmt::format("the {} of {}", u.what, subject_of(c, u.edge.wire));
    return fmt::format("what {} takes", name_of(c, c.at(u.edge.primitive).part));
}

std::string Weighing::measure(const solve::Unknown& u, const solve::Figure& figure, double limit,
                              const InWords& words) const {
    const std::string how =
        u.what == "length" ? fmt::format("Measure {} along its route", name(u))
        : u.edge.is_wire()
            ? fmt::format("Read {} on the reel or on the insulation, or measure the bare strands", name(u))
            : fmt::format("Look for A or W on the label, or measure {}", name(u));
    solve::Model& model = survey_.behaviour.model();
    // Just above the limit is over it: at the limit itself the file is kept.
    const auto at = solve::crossing(model, u, figure, std::nextafter(limit, std::numeric_limits<double>::max()));
    if (!at)
        return how +
               ", write it into the file and check again. It counts most here, but other figures that are only guessed "
               "count as well.";
    model.scale(u.edge, u.least);
    const bool bad_at_least = figure(model) > limit;
    model.scale(u.edge, 1);
    const bool bad_is_more = u.inverse ? bad_at_least : !bad_at_least;
    const std::string border = figure_text(u, u.figure(*at));
    return fmt::format("{}. {} or {}: {}. {}: {}.", how, border, bad_is_more ? "less" : "more", words.holds,
                       bad_is_more ? "More" : "Less", words.fails);
}

Weighed Weighing::weigh(std::vector<solve::Unknown> unknown, const solve::Figure& figure, double limit,
                        const InWords& words) const {
    Weighed w;
    w.bounds = solve::bounds(survey_.behaviour.model(), unknown, figure);
    w.decides = w.bounds.relevant;
    w.unknown = std::move(unknown);
    const bool may_fail = w.bounds.high > limit * (1 + slack), may_hold = w.bounds.low <= limit * (1 + slack);
    if (w.decides.empty() || (w.bounds.sure && may_fail != may_hold)) {
        w.verdict = w.bounds.taken > limit ? Weighed::Verdict::fails : Weighed::Verdict::holds;
        return w;
    }
    w.verdict = Weighed::Verdict::undecided;
    const solve::Unknown& first = w.unknown[w.decides.front()];
    const std::string between =
        fmt::format("{} is {} to {}", words.figure, words.text(w.bounds.low), words.text(w.bounds.high));
    w.why = nothing_said(first) ? fmt::format("nobody said {}, and with what it may be {}", name(first), between)
                                : fmt::format("{} is given as about {} only: within that {}", name(first),
                                              figure_text(first, first.taken), between);
    w.measure = measure(first, figure, limit, words);
    return w;
}

std::optional<Weighed> Weighing::weigh_current(EdgeRef edge, const Peak& peak, double limit,
                                               const std::function<std::string()>& subject, const char* holds,
                                               const char* fails) const {
    if (!loads_open_) return std::nullopt;
    std::vector<solve::Unknown> open = of_loads(hang_behind(s_, edge));
    if (open.empty()) return std::nullopt;
    const std::string what = subject();
    return weigh(std::move(open), amps_of(survey_, edge, peak.at), limit,
                 {"its current", [](double amps) { return text(rounded(Amps{amps}, 2)); }, what + ' ' + holds,
                  what + ' ' + fails});
}

solve::Figure amps_of(const Survey& survey, EdgeRef edge, solve::StateId at) {
    const solve::Positions positions = survey.behaviour.states[at].positions;
    return [edge, positions](solve::Model& m) {
        const solve::Point p = m.point(positions);
        const auto& amps = edge.is_wire() ? p.wire_amps[edge.wire.index] : p.primitive_amps[edge.primitive.index];
        return amps ? std::abs(amps->si) : 0.0;
    };
}

} // namespace loomproof::rules
