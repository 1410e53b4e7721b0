#include "solve/unsolved.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace loomproof::solve {

namespace {

class Spreading {
  public:
    Spreading(const Model& model, const Positions& positions, const Point& point)
        : view_(model.view()),
          c_(model.circuit()),
          positions_(positions),
          point_(point),
          running_(model.engine() ? model.engine_does(positions) == EngineDoes::runs ||
                                        model.engine_does(positions) == EngineDoes::idles
                                  : model.conditions().engine_running) {}

    Unsolved run(TerminalId reference) {
        Unsolved out;
        out.at.assign(c_.terminals.size(), false);
        held_.assign(c_.terminals.size(), false);
        std::vector<TerminalId> fixed;
        if (reference.exists()) fixed.push_back(reference);
        for (PrimitiveId id : view_.primitives())
            if (c_.at(id).element == Element::source && is_closed(c_.at(id), positions_))
                fixed.insert(fixed.end(), {c_.at(id).a, c_.at(id).b});
        for (TerminalId t : fixed) spread(t, held_, true);
        for (bool more = true; more;) { // one converter may feed another
            more = false;
            for (PartId part : view_.parts()) {
                if (std::ranges::find(out.parts, part) != out.parts.end()) continue;
                for (TerminalId t : c_.at(part).terminals) {
                    if (held_[t.index] || view_.wires_at(t).empty() || !gives(t, out)) continue;
                    if (std::ranges::find(out.parts, part) == out.parts.end()) out.parts.push_back(part);
                    if (!out.at[t.index]) spread(t, out.at, false);
                    more = true;
                }
            }
        }
        std::ranges::sort(out.parts);
        return out;
    }

    void run_over_existing_wires(TerminalId reference, Unsolved& out) {
        const std::size_t count = c_.terminals.size();
        held_.assign(count, false);
        std::vector<bool> grounded(count, false), live(count, false);
        if (reference.exists()) spread(reference, grounded, true, true);
        for (PrimitiveId id : view_.primitives())
            if (const Primitive& p = c_.at(id); p.element == Element::source && is_closed(p, positions_))
                for (TerminalId t : {p.a, p.b}) {
                    spread(t, held_, true);
                    if (!grounded[t.index]) live[t.index] = true;
                }
        for (PrimitiveId id : view_.primitives()) {
            const Primitive& feed = c_.at(id);
            const bool dead = c_.at(feed.part).kind == Kind::existing_wire && feed.purpose == Purpose::feed_condition &&
                              !is_closed(feed, positions_);
            if (!dead) continue;
            for (TerminalId t : {feed.a, feed.b}) {
                if (c_.at(t).internal || grounded[t.index] || view_.wires_at(t).empty()) continue;
                std::vector<bool> joined(count, false);
                spread(t, joined, true, true);
                bool fed = false;
                for (std::size_t i = 0; i < count; ++i) fed = fed || (joined[i] && live[i]);
                if (!fed) continue;
                if (std::ranges::find(out.wires, feed.part) == out.wires.end()) out.wires.push_back(feed.part);
                out.flow.resize(count, false);
                for (std::size_t i = 0; i < count; ++i) {
                    if (!joined[i]) continue;
                    out.flow[i] = true;
                    if (!held_[i]) out.at[i] = true;
                }
            }
        }
        std::ranges::sort(out.wires);
    }

  private:
    bool gives(TerminalId t, const Unsolved& so_far) const {
        const Terminal& terminal = c_.at(t);
        if (terminal.role != Role::signal) return false;
        const std::string_view stamp = terminal.stamp;
        switch (c_.part_of(t).kind) {
        case Kind::charger:
        case Kind::solar: return stamp == "+";
        case Kind::converter:
            return stamp == "out" && is_fed(terminal.part, so_far) &&
                   std::ranges::none_of(view_.primitives_at(t), [&](PrimitiveId p) { // else it is worked out
                       return c_.at(p).purpose == Purpose::conversion;
                   });
        case Kind::dynamo:
            return running_ || std::ranges::none_of(view_.primitives_at(t),
                                                    [&](PrimitiveId p) { return is_armature(c_, c_.at(p)); });
        case Kind::regulator: return running_ || stamp == "F";
        default: return false;
        }
    }
    /// One without volts at its input gives none.
    bool is_fed(PartId converter, const Unsolved& so_far) const {
        constexpr double dead = 1; // V
        for (TerminalId t : c_.at(converter).terminals)
            if (c_.at(t).stamp == "in") {
                const auto& volts = point_.volts[t.index];
                return so_far(t) || (volts && std::abs(volts->si) >= dead);
            }
        return false;
    }
    /// From `t` over what conducts; `firmly`: over nothing that loses volts by itself. Never into what is held, unless firmly or `loads_too`.
    void spread(TerminalId t, std::vector<bool>& seen, bool firmly, bool loads_too = false) const {
        std::vector<TerminalId> waiting{t};
        while (!waiting.empty()) {
            const TerminalId at = waiting.back();
            waiting.pop_back();
            if (seen[at.index] || (!firmly && held_[at.index])) continue;
            seen[at.index] = true;
            for (WireId w : view_.wires_at(at)) waiting.push_back(c_.at(w).other(at));
            for (PrimitiveId id : view_.primitives_at(at)) {
                const Primitive& p = c_.at(id);
                if (p.element == Element::source || !is_closed(p, positions_)) continue;
                const bool firm = p.element == Element::joint || p.element == Element::contact ||
                                  p.element == Element::protector || p.element == Element::meter;
                if (firm || !firmly || loads_too) waiting.push_back(p.a == at ? p.b : p.a);
            }
        }
    }

    View view_;
    const Circuit& c_;
    const Positions& positions_;
    const Point& point_;
    bool running_;
    std::vector<bool> held_;
};

} // namespace

bool has_unsolved(const View& view) {
    return std::ranges::any_of(view.parts(), [&](PartId id) {
        switch (view.circuit().at(id).kind) {
        case Kind::charger:
        case Kind::solar:
        case Kind::converter:
        case Kind::dynamo:
        case Kind::regulator: return true;
        default: return false;
        }
    });
}

Unsolved hangs_on_unsolved(const Model& model, const Positions& positions, const Point& point) {
    if (!has_unsolved(model.view())) return {std::vector<bool>(model.circuit().terminals.size(), false), {}, {}, {}};
    return Spreading(model, positions, point).run(model.reference());
}

void add_what_the_file_does_not_show(const Model& model, const Positions& positions, Unsolved& unsolved) {
    const auto wires = [&](PartId id) { return model.circuit().at(id).kind == Kind::existing_wire; };
    if (std::ranges::none_of(model.view().parts(), wires)) return;
    const Point none;
    Spreading(model, positions, none).run_over_existing_wires(model.reference(), unsolved);
}

} // namespace loomproof::solve
