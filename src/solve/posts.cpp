#include "solve/joined.hpp"
#include "solve/predict_inside.hpp"

#include <algorithm>

namespace loomproof::solve {

namespace {

/// Ground poles of batteries that are drawn, in text order.
std::vector<TerminalId> ground_posts(const View& view) {
    const Circuit& c = view.circuit();
    std::vector<TerminalId> posts;
    for (PrimitiveId id : view.primitives())
        if (const Primitive& p = c.at(id); p.element == Element::source && c.at(p.part).kind == Kind::battery)
            posts.push_back(c.vehicle.positive_ground ? p.a : p.b);
    return posts;
}

/// The body, where the ground poles of two batteries or more are tied to it over metal.
TerminalId body_of_several(const View& view, const std::vector<TerminalId>& posts) {
    const Circuit& c = view.circuit();
    Joined solid(c.terminals.size());
    for (WireId w : view.wires()) solid.join(c.at(w).a.index, c.at(w).b.index);
    for (PrimitiveId p : view.primitives())
        if (c.at(p).element == Element::joint) solid.join(c.at(p).a.index, c.at(p).b.index);
    for (PartId p : view.parts()) {
        if (c.at(p).kind != Kind::metal || name_of(c, p) != "body") continue;
        const TerminalId body = c.at(p).terminals.front();
        const auto tied =
            std::ranges::count_if(posts, [&](TerminalId t) { return solid.together(t.index, body.index); });
        return tied > 1 ? body : TerminalId{};
    }
    return {};
}

} // namespace

Posts::Posts(Model& main, const Positions& positions, Point& point)
    : main_(main), positions_(positions), against_(main.reference()), post_(point.volts.size(), 0) {
    near_.push_back(main.quick(positions).nodes);
    const std::vector<TerminalId> posts = ground_posts(main.view());
    if (const TerminalId body = body_of_several(main.view(), posts); body.exists() && point.volts[body.index]) {
        against_ = body;
        shift_ = *point.volts[body.index];
        for (auto& volts : point.volts)
            if (volts) volts = *volts - shift_;
    }
    for (TerminalId post : posts) {
        if (point.volts[post.index]) continue;
        own_.push_back(post);
        Model& model = *models_.emplace_back(std::make_unique<Model>(main.view(), main.conditions(), post));
        const Point there = model.point(positions);
        near_.push_back(model.quick(positions).nodes);
        for (std::size_t t = 0; t < point.volts.size(); ++t)
            if (!point.volts[t] && there.volts[t]) {
                point.volts[t] = there.volts[t];
                post_[t] = static_cast<std::uint32_t>(own_.size());
            }
    }
}

std::optional<Volts> Posts::with_lamp(TerminalId t, Volts rated, Amps amps) {
    const std::uint32_t post = post_[t.index];
    Model& model = post == 0 ? main_ : *models_[post - 1];
    const auto volts = model.with_lamp(positions_, t, rated, amps, near_[post]);
    return volts && post == 0 ? std::optional(*volts - shift_) : volts;
}

} // namespace loomproof::solve
