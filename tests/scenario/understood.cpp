#include "scenario/understood.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof::scenario {

std::string Understood::told(const std::vector<Finding>& findings) const {
    std::string out;
    for (const Finding& f : findings) {
        const bool placed = !f.cites.empty() && f.cites.front().span.exists();
        const Span span = placed ? f.cites.front().span : Span{};
        out += fmt::format("{} {} {}:{}: {}\n", f.rule, loomproof::word(f.severity),
                           placed ? sources.at(span.source).name : "nowhere",
                           placed ? sources.position(span.source, span.begin).line : 0, f.headline);
    }
    return out;
}

bool Understood::cites(const Finding& finding, const Written& text, const Written::Line& line) const {
    return std::any_of(finding.cites.begin(), finding.cites.end(), [&](const Citation& cite) {
        return cite.span.exists() &&
               sources.at(cite.span.source).name == text.files[static_cast<std::size_t>(line.file)].path &&
               sources.position(cite.span.source, cite.span.begin).line == static_cast<std::size_t>(line.line);
    });
}

} // namespace loomproof::scenario
