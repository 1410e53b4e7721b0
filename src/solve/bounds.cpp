#include "solve/bounds.hpp"

#include "circuit/unsaid.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::solve {

namespace {

constexpr std::size_t most_corners = 4; // unknowns of which every corner is tried
constexpr double moves = 1e-6;          // of the figure: many small ones add up

/// The model with other resistances for some time.
class Changed {
  public:
    Changed(Model& model, const std::vector<Unknown>& all) : model_(model), all_(all) {}
    ~Changed() {
        for (const Unknown& u : all_) model_.scale(u.edge, 1);
    }
    Changed(const Changed&) = delete;
    Changed& operator=(const Changed&) = delete;
    void set(std::size_t i, double factor) { model_.scale(all_[i].edge, factor); }

  private:
    Model& model_;
    const std::vector<Unknown>& all_;
};

} // namespace

std::vector<Unknown> unknowns_of(const View& view, bool spread) {
    const Circuit& c = view.circuit();
    std::vector<Unknown> all;
    const auto within = [&](const auto& figure) {
        return spread && figure.known() && figure.low < figure.high && figure.low.si > 0;
    };
    const double least_area = least_unsaid_size.si, most_area = most_unsaid_size(c).copper.si;
    for (WireId id : view.wires()) {
        const Wire& w = c.at(id);
        const EdgeRef edge{id, {}};
        // Of a wire of which neither is known the two count as one: only their quotient has a resistance.
        const bool length = !w.length.known(), area = !w.area.known() || !(w.area.nominal.si > 0);
        if (length)
            all.push_back({edge, "length",
                           least_unsaid_length.si / unknown_length * (area ? unknown_area / most_area : 1),
                           most_unsaid_length.si / unknown_length * (area ? unknown_area / least_area : 1),
                           unknown_length, false});
        else if (area)
            all.push_back({edge, "size", unknown_area / most_area, unknown_area / least_area, unknown_area, true});
        else if (within(w.length) && w.length.nominal.si > 0) {
            const bool rough = within(w.area); // both only roughly: one factor again
            all.push_back({edge, "length", w.length.low / w.length.nominal * (rough ? w.area.nominal / w.area.high : 1),
                           w.length.high / w.length.nominal * (rough ? w.area.nominal / w.area.low : 1),
                           w.length.nominal.si, false});
        } else if (within(w.area))
            all.push_back(
                {edge, "size", w.area.nominal / w.area.high, w.area.nominal / w.area.low, w.area.nominal.si, true});
    }
    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = c.at(id);
        const bool load = p.element == Element::resistance || p.element == Element::filament ||
                          p.element == Element::machine || p.element == Element::constant_power;
        if (!load || p.purpose != Purpose::plain) continue;
        const EdgeRef edge{{}, id};
        if (!p.current.known() && !p.resistance.known())
            all.push_back({edge, "what it takes", unknown_amps / most_amps_of_load, unknown_amps / least_amps_of_load,
                           unknown_amps, true});
        else if (within(p.current) &&
                 p.current.nominal.si > 0) // where amps or watts were said the ohms follow from them
            all.push_back({edge, "what it takes", p.current.nominal / p.current.high, p.current.nominal / p.current.low,
                           p.current.nominal.si, true});
    }
    return all;
}

Bounds bounds(Model& model, const std::vector<Unknown>& all, const Figure& figure) {
    Bounds b;
    Changed changed(model, all);
    b.taken = b.low = b.high = figure(model);
    const auto see = [&](double value) {
        b.low = std::min(b.low, value);
        b.high = std::max(b.high, value);
    };
    struct Moves {
        std::size_t index;
        double at_least, at_most; ///< the figure with this one at its ends, the others as taken
        double by() const { return std::abs(at_most - at_least); }
    };
    std::vector<Moves> relevant;
    for (std::size_t i = 0; i < all.size(); ++i) {
        Moves m{i, 0, 0};
        changed.set(i, all[i].least);
        see(m.at_least = figure(model));
        changed.set(i, all[i].most);
        see(m.at_most = figure(model));
        changed.set(i, 1);
        if (std::max({m.by(), std::abs(m.at_least - b.taken), std::abs(m.at_most - b.taken)}) >
            moves * std::max(std::abs(b.taken), 1e-3))
            relevant.push_back(m);
    }
    std::ranges::stable_sort(relevant, std::greater{}, &Moves::by);
    for (const Moves& m : relevant) b.relevant.push_back(m.index);
    if (relevant.size() <= most_corners) {
        for (unsigned corner = 0; corner < 1U << relevant.size(); ++corner) {
            for (std::size_t k = 0; k < relevant.size(); ++k) {
                const Unknown& u = all[relevant[k].index];
                changed.set(relevant[k].index, corner >> k & 1 ? u.most : u.least);
            }
            see(figure(model));
        }
        return b;
    }
    for (const bool upward : {true, false}) {
        const auto best = [&](const Moves& m) {
            return (m.at_most > m.at_least) == upward ? all[m.index].most : all[m.index].least;
        };
        const auto other = [&](const Moves& m) {
            return (m.at_most > m.at_least) == upward ? all[m.index].least : all[m.index].most;
        };
        for (const Moves& m : relevant) changed.set(m.index, best(m));
        const double corner = figure(model);
        see(corner);
        for (const Moves& m : relevant) { // does each still move it to that side there?
            changed.set(m.index, other(m));
            const double back = figure(model);
            if (upward ? back > corner : back < corner) b.sure = false;
            see(back);
            changed.set(m.index, best(m));
        }
        for (const Moves& m : relevant) changed.set(m.index, 1);
    }
    return b;
}

std::optional<double> crossing(Model& model, const Unknown& u, const Figure& figure, double limit) {
    const std::vector<Unknown> one{u};
    Changed changed(model, one);
    const auto above = [&](double factor) {
        changed.set(0, factor);
        return figure(model) >= limit;
    };
    const bool first = above(u.least);
    if (above(u.most) == first) return std::nullopt;
    double low = u.least, high = u.most;
    for (int i = 0; i < 40 && high - low > 1e-3 * high; ++i) {
        const double middle = std::sqrt(low * high);
        (above(middle) == first ? low : high) = middle;
    }
    return low;
}

} // namespace loomproof::solve
