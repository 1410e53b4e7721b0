#include "solve/cones.hpp"

#include "solve/joined.hpp"
#include "solve/states.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <set>

namespace loomproof::solve {

namespace {

constexpr double most_modes = 64;  ///< positions of all modes together
constexpr double small_enough = 4; ///< positions of the largest group: nothing to gain

/// Variables and, behind them, relays, as one row of numbers.
using Members = std::set<std::uint32_t>;

class Finder {
  public:
    Finder(const Model& model, const std::vector<Variable>& variables)
        : model_(model), c_(model.circuit()), variables_(variables) {
        for (std::uint32_t v = 0; v < variables.size(); ++v)
            for (ControlId control : variables[v].controls) member_[control.index] = v;
        for (std::size_t r = 0; r < model.coils().size(); ++r)
            member_[model.coils()[r].control.index] = static_cast<std::uint32_t>(variables.size() + r);
        for (PrimitiveId id : model.view().primitives()) {
            const Primitive& p = c_.at(id);
            const bool metal =
                p.element == Element::joint || p.element == Element::protector || p.element == Element::meter;
            if (p.element == Element::source && p.purpose != Purpose::conversion)
                poles_.insert(poles_.end(), {node(p.a), node(p.b)});
            else if (metal)
                fixed_.emplace_back(node(p.a), node(p.b));
            else
                rest_.push_back(
                    {id, p.a,
                     p.purpose == Purpose::conversion && p.element == Element::source ? input_of(p.part) : p.b});
        }
        for (WireId w : model.view().wires()) fixed_.emplace_back(node(c_.at(w).a), node(c_.at(w).b));
        for (std::uint32_t n : poles_) nodes_ = std::max(nodes_, n + 1);
        for (const auto& [a, b] : fixed_) nodes_ = std::max({nodes_, a + 1, b + 1});
        for (const Rest& r : rest_) nodes_ = std::max({nodes_, node(r.a) + 1, node(r.b) + 1});
    }

    Cones find() {
        std::vector<std::uint32_t> modes;
        for (std::uint32_t v = 0; v < variables_.size(); ++v)
            if (type(v) == Control::Type::engine) modes.push_back(v);
        Cones best = with(modes);
        while (best.largest > small_enough) {
            std::optional<Cones> better;
            const Cones::Group& group =
                *std::ranges::max_element(best.groups, {}, [&](const Cones::Group& g) { return size(g.variables); });
            for (std::uint32_t v : group.variables) {
                std::vector<std::uint32_t> more = best.modes;
                more.push_back(v);
                if (size(more) > most_modes) continue;
                Cones next = with(more);
                if (weight(next) < weight(better ? *better : best)) better = std::move(next);
            }
            if (!better) break;
            best = std::move(*better);
        }
        return best;
    }

  private:
    std::uint32_t node(TerminalId t) const { return model_.node_of(t); }
    Control::Type type(std::uint32_t v) const { return c_.at(variables_[v].controls.front()).type; }
    double size(const std::vector<std::uint32_t>& variables) const {
        double product = 1;
        for (std::uint32_t v : variables)
            product *= static_cast<double>(c_.at(variables_[v].controls.front()).positions.size());
        return product;
    }
    /// Positions to be explored.
    double weight(const Cones& cones) const {
        double sum = 0;
        for (const Cones::Group& g : cones.groups) sum += size(g.variables);
        return sum * size(cones.modes);
    }

    Cones with(std::vector<std::uint32_t> modes) const {
        std::ranges::sort(modes);
        Cones out;
        out.modes = modes;
        std::vector<Members> cones;
        Positions positions = at_rest(c_);
        std::vector<std::size_t> at(modes.size(), 0);
        for (bool more = true; more;) {
            for (std::size_t i = 0; i < modes.size(); ++i)
                for (ControlId control : variables_[modes[i]].controls)
                    positions[control.index] = static_cast<std::uint8_t>(at[i]);
            add_cones(modes, positions, cones, out.dead);
            more = false;
            for (std::size_t i = 0; i < modes.size() && !more; ++i) {
                more = ++at[i] < c_.at(variables_[modes[i]].controls.front()).positions.size();
                if (!more) at[i] = 0;
            }
        }
        for (const Members& cone : cones) {
            const bool inside = std::ranges::any_of(cones, [&](const Members& other) {
                return &other != &cone && (other.size() > cone.size() || (other == cone && &other < &cone)) &&
                       std::ranges::includes(other, cone);
            });
            if (inside) continue;
            out.groups.push_back(group_of(cone));
        }
        std::ranges::sort(out.groups, {}, [](const Cones::Group& g) { return std::pair(g.variables, g.relays); });
        for (const Cones::Group& g : out.groups) out.largest = std::max(out.largest, size(g.variables));
        return out;
    }

    Cones::Group group_of(const Members& cone) const {
        Cones::Group g;
        for (std::uint32_t m : cone)
            if (m < variables_.size())
                g.variables.push_back(m);
            else
                g.relays.push_back(static_cast<std::uint16_t>(m - variables_.size()));
        return g;
    }

    void add_cones(const std::vector<std::uint32_t>& modes, const Positions& positions, std::vector<Members>& cones,
                   std::vector<Cones::Dead>& dead) const {
        const auto mode = [&](ControlId control) {
            const auto known = member_.find(control.index);
            return known != member_.end() && std::ranges::binary_search(modes, known->second);
        };
        Joined metal(nodes_);
        for (const auto& [a, b] : fixed_) metal.join(a, b);
        const auto of_mode = [&](const Rest& r) { // a converter conducts no more for being on
            const Primitive& p = c_.at(r.id);
            return p.element == Element::contact && p.control.exists() && mode(p.control);
        };
        for (const Rest& r : rest_)
            if (of_mode(r) && is_closed(c_.at(r.id), positions)) metal.join(node(r.a), node(r.b));
        std::vector<bool> backbone(nodes_, false), live(nodes_, false);
        const std::uint32_t mass = metal.root(0);
        for (std::uint32_t n : poles_) {
            backbone[metal.root(n)] = true;
            live[metal.root(n)] = metal.root(n) != mass;
        }
        backbone[mass] = true;
        // Atoms: what of the rest hangs together. An element between two pieces of the backbone is one of its own.
        Joined atoms(nodes_ + rest_.size());
        std::vector<std::uint32_t> atom_of(rest_.size());
        for (std::size_t i = 0; i < rest_.size(); ++i) {
            if (of_mode(rest_[i])) continue;
            for (TerminalId t : {rest_[i].a, rest_[i].b})
                if (const std::uint32_t n = metal.root(node(t)); !backbone[n])
                    atoms.join(static_cast<std::uint32_t>(nodes_ + i), n);
        }
        std::map<std::uint32_t, Members> controls;
        std::set<std::uint32_t> alive;
        std::map<std::uint32_t, std::set<std::uint32_t>> grounds; // by atom
        std::map<std::uint32_t, std::uint32_t> atom_of_coil;      // by relay's member number
        for (std::size_t i = 0; i < rest_.size(); ++i) {
            const Primitive& p = c_.at(rest_[i].id);
            if (of_mode(rest_[i])) continue;
            const std::uint32_t atom = atoms.root(static_cast<std::uint32_t>(nodes_ + i));
            if (p.control.exists() && !mode(p.control))
                if (const auto known = member_.find(p.control.index); known != member_.end())
                    controls[atom].insert(known->second);
            for (TerminalId t : {rest_[i].a, rest_[i].b}) {
                if (live[metal.root(node(t))]) alive.insert(atom);
                if (metal.root(node(t)) == mass) grounds[atom].insert(node(t));
            }
            for (std::size_t r = 0; r < model_.coils().size(); ++r)
                if (model_.coils()[r].primitive == rest_[i].id)
                    atom_of_coil[static_cast<std::uint32_t>(variables_.size() + r)] = atom;
        }
        const auto cone_of = [&](std::uint32_t atom) {
            Members cone;
            std::vector<std::uint32_t> work{atom};
            std::set<std::uint32_t> seen{atom};
            for (std::size_t i = 0; i < work.size(); ++i) {
                const auto own = controls.find(work[i]);
                if (own == controls.end()) continue;
                for (std::uint32_t m : own->second) {
                    cone.insert(m);
                    if (const auto coil = atom_of_coil.find(m);
                        coil != atom_of_coil.end() && seen.insert(coil->second).second)
                        work.push_back(coil->second);
                }
            }
            return cone;
        };
        for (std::uint32_t atom : alive)
            if (Members cone = cone_of(atom); !cone.empty() && std::ranges::find(cones, cone) == cones.end())
                cones.push_back(std::move(cone));
        for (const auto& [atom, nodes] : grounds) {
            if (alive.contains(atom) || nodes.size() < 2) continue;
            Cones::Dead d{group_of(cone_of(atom)), {nodes.begin(), nodes.end()}};
            if (!d.group.relays.empty() && std::ranges::find(dead, d) == dead.end()) dead.push_back(std::move(d));
        }
    }

    /// What is neither metal nor a source, and between what. What a converter gives comes from its input, so there its output hangs.
    struct Rest {
        PrimitiveId id;
        TerminalId a, b;
    };
    TerminalId input_of(PartId converter) const {
        for (PrimitiveId id : model_.view().primitives())
            if (const Primitive& p = c_.at(id);
                p.part == converter && p.purpose == Purpose::conversion && p.element == Element::constant_power)
                return p.a;
        return {};
    }

    const Model& model_;
    const Circuit& c_;
    const std::vector<Variable>& variables_;
    std::map<std::uint32_t, std::uint32_t> member_; ///< by control
    std::vector<std::uint32_t> poles_;
    std::vector<std::pair<std::uint32_t, std::uint32_t>> fixed_; ///< metal, whatever the switches do
    std::vector<Rest> rest_;
    std::uint32_t nodes_ = 1;
};

} // namespace

Cones find_cones(const Model& model, const std::vector<Variable>& variables) { return Finder(model, variables).find(); }

} // namespace loomproof::solve
