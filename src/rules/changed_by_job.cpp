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

/// What a job says anew of the part: what counts now, in the order of the text.
std::vector<const Attribute*> said_by_jobs(const View& view, const Part& part) {
    std::vector<const Attribute*> found;
    for (const Attribute& a : part.attributes)
        if (a.life.born > part.life.born && a.life.at(view.revision()) && a.span.exists() &&
            !within(a.span, part.span))
            found.push_back(&a);
    return found;
}

/// A part that a job changed.
struct Changed {
    PartId part;
    std::vector<const Attribute*> anew;
};

void cite_what_counts(const Circuit& c, const std::vector<Changed>& changed, Finding& f) {
    std::vector<std::string> planned;
    for (const auto& [id, anew] : changed) {
        const Part& part = c.at(id);
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

} // namespace

void cite_what_counts(const View& view, std::span<Finding> findings) {
    const Circuit& c = view.circuit();
    std::vector<Changed> changed;
    for (PartId id : view.parts())
        if (auto anew = said_by_jobs(view, c.at(id)); !anew.empty()) changed.push_back({id, std::move(anew)});
    if (changed.empty()) return;
    for (Finding& f : findings) cite_what_counts(c, changed, f);
}

} // namespace loomproof::rules
