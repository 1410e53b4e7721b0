#include "rules/unsolved_before.hpp"

#include "base/number.hpp"
#include "rules/phrases.hpp"
#include "solve/unsolved.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof::rules {

std::optional<std::string> hangs_on_unsolved(const Survey& survey, PartId part, solve::StateId at) {
    const solve::Behaviour& b = survey.behaviour;
    const Circuit& c = b.model().circuit();
    const solve::Point point = b.point(at);
    const solve::Unsolved unsolved = solve::hangs_on_unsolved(b.model(), b.states[at].positions, point);
    if (std::ranges::none_of(c.at(part).terminals, unsolved)) return std::nullopt;
    return fmt::format("it hangs on what {} {}, and that is not worked out", list_of(names_of(c, unsolved.parts)),
                       verb(unsolved.parts.size(), "gives", "give"));
}

std::optional<std::string> hangs_on_unsolved(const Survey& survey, PartId part) {
    if (!solve::has_unsolved(survey.behaviour.model().view())) return std::nullopt;
    for (solve::StateId at = 0; at < survey.behaviour.states.size(); ++at)
        if (survey.behaviour.states[at].stable)
            if (auto found = hangs_on_unsolved(survey, part, at)) return found;
    return std::nullopt;
}

} // namespace loomproof::rules
