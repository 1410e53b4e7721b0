#include "rules/changed_by_job.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

bool within(const Span& inner, const Span& outer) {
    return inner.source == outer.source && inner.begin >= outer.begin && inner.end <= outer.end;
}

/// What a job says anew of the part: the figures that count now, in the order of the text.
std::vector<const Attribute*> said_by_jobs(const View& view, const Part& part) {
    std::vector<const Attribute*> found;
    for (const Attribute& a : part.attributes)
        if (a.life.born > part.life.born && a.life.at(view.revision()) && a.value.known() && a.span.exists() &&
            !within(a.span, part.span))
            found.push_back(&a);
    return found;
}

} // namespace

void cite_what_counts(const View& view, Finding& f) {
    const Circuit& c = view.circuit();
    std::vector<std::string> planned;
    for (PartId id : view.parts()) {
        const Part& part = c.at(id);
        const auto anew = said_by_jobs(view, part);
        if (anew.empty()) continue;
        bool meant = false;
        for (Citation& cite : f.cites) {
            if (part.span.exists() && cite.span == part.span) {
                cite.span = anew.front()->span;
                meant = true;
            }
            meant = meant || std::ranges::any_of(anew, [&](const Attribute* a) { return cite.span == a->span; });
        }
        if (!meant) continue;
        for (const Attribute* a : anew) {
            const RevisionInfo& job = c.revisions[a->life.born];
            if (job.status != RevisionInfo::Status::planned) continue;
            std::string title = "\"" + job.title + "\"";
            if (std::ranges::find(planned, title) == planned.end()) planned.push_back(std::move(title));
        }
    }
    if (planned.empty()) return;
    f.why = fmt::format("That is so with the planned job{} {}{}{}", planned.size() > 1 ? "s" : "", list_of(planned),
                        f.why.empty() ? "." : ". ", f.why);
}

} // namespace loomproof::rules
