#include "app/as_it_is.hpp"

#include "base/number.hpp"

#include <fmt/core.h>

#include <algorithm>

namespace loomproof::app {

namespace {
bool planned(const RevisionInfo& r) { return r.status == RevisionInfo::Status::planned; }

std::vector<std::string> planned_between(const Circuit& c, std::size_t from, std::size_t to) {
    std::vector<std::string> titles;
    for (std::size_t r = from; r < to; ++r)
        if (planned(c.revisions[r])) titles.push_back(c.revisions[r].title);
    return titles;
}
} // namespace

View as_it_is(const Circuit& circuit, const Given& given) {
    Revision last = circuit.last_revision();
    if (!given.has("--planned"))
        while (last > 0 && planned(circuit.revisions[last])) --last;
    return {circuit, last};
}

std::vector<std::string> planned_in(const View& view) {
    return planned_between(view.circuit(), 0, std::size_t{view.revision()} + 1);
}

std::vector<std::string> planned_after(const View& view) {
    return planned_between(view.circuit(), std::size_t{view.revision()} + 1, view.circuit().revisions.size());
}

std::string left_out(const View& view, const std::string& not_done) {
    std::vector<std::string> titles = planned_after(view);
    if (titles.empty()) return {};
    const bool several = titles.size() > 1;
    for (std::string& title : titles) title = '"' + title + '"';
    return fmt::format("Planned and {}: job{} {}. With {}: --planned", not_done, several ? "s" : "", list_of(titles),
                       several ? "them" : "it");
}

std::string nothing_fitted(const View& view, const std::string& file) {
    const Circuit& c = view.circuit();
    const auto written = [&](const auto& thing) {
        return thing.life.at(view.revision()) && thing.origin.provenance != Provenance::assumed && thing.span.exists();
    };
    if (planned_after(view).empty() || std::ranges::any_of(c.wires, written) || std::ranges::any_of(c.parts, written))
        return {};
    return fmt::format("Nothing in {} is fitted yet: all of it is planned. To see the plan: --planned", file);
}

std::string still_planned(const View& view, PartId id) {
    const Circuit& c = view.circuit();
    const Part& part = c.at(id);
    if (part.life.born <= view.revision()) return {};
    return fmt::format("{} belongs to the planned job \"{}\": add --planned.", name_of(c, id),
                       c.revisions[part.life.born].title);
}

} // namespace loomproof::app
