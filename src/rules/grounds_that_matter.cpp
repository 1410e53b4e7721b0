#include "rules/grounds_that_matter.hpp"

#include "rules/sides.hpp"

#include <algorithm>
#include <optional>
#include <set>

namespace loomproof::rules {

namespace {

bool is_source_of_readings(Kind kind) { return kind == Kind::sensor || kind == Kind::sender; }

class Finder {
  public:
    explicit Finder(const Study& s)
        : s_(s),
          c_(s.circuit),
          lines_(s.graph.components([&](EdgeRef e, TerminalId from) { return leads_on(e, from); })) {
        for (WireId w : s.now.wires())
            if ((c_.at(w).signal || c_.at(w).screen) && !s.reference[c_.at(w).a.index] &&
                !s.reference[c_.at(w).b.index])
                signal_lines_.insert(lines_[c_.at(w).a.index]);
    }

    std::vector<GroundPair> all() {
        std::vector<PartId> readers, read;
        for (PartId p : s_.now.parts()) {
            const Kind kind = c_.at(p).kind;
            if (c_.at(p).poisoned || !ground_of(p)) continue;
            if (kind == Kind::gauge || kind == Kind::electronics) readers.push_back(p);
            if (is_source_of_readings(kind)) read.push_back(p);
        }
        std::vector<PartId> paired;
        for (PartId p : read) {
            for (PartId reader : readers)
                if (on_one_line(p, reader)) {
                    add(p, reader,
                        c_.at(reader).kind == Kind::gauge ? GroundPair::Reads::gauge : GroundPair::Reads::unit);
                    paired.push_back(p);
                    paired.push_back(reader);
                }
        }
        for (std::size_t i = 0; i < readers.size(); ++i)
            for (std::size_t k = i + 1; k < readers.size(); ++k)
                if (c_.at(readers[i]).kind == Kind::electronics && c_.at(readers[k]).kind == Kind::electronics &&
                    on_one_line(readers[i], readers[k], true))
                    add(readers[i], readers[k], GroundPair::Reads::signal);
        for (PartId p : s_.now.parts())
            if ((c_.at(p).kind == Kind::gauge || is_source_of_readings(c_.at(p).kind)) && !c_.at(p).poisoned &&
                ground_of(p) && std::ranges::find(paired, p) == paired.end())
                add_alone(p);
        return std::move(found_);
    }

  private:
    /// What carries a reading: never the ground itself.
    bool leads_on(EdgeRef e, TerminalId from) const {
        if (s_.reference[from.index]) return false;
        if (e.is_wire()) return !c_.at(e.wire).poisoned;
        const Element element = c_.at(e.primitive).element;
        return element == Element::joint || element == Element::contact;
    }

    /// Its end that is on the battery's ground.
    std::optional<TerminalId> ground_of(PartId p) const {
        for (TerminalId t : c_.at(p).terminals) {
            const Role role = c_.at(t).role;
            if (s_.reference[t.index] &&
                (role == Role::minus || (role == Role::signal && c_.at(p).kind == Kind::sensor)))
                return t;
        }
        return std::nullopt;
    }

    static bool carries_readings(const Terminal& t) { return t.role == Role::signal; }

    bool on_one_line(PartId a, PartId b, bool marked = false) const {
        for (TerminalId x : c_.at(a).terminals) {
            if (s_.reference[x.index] || !carries_readings(c_.at(x)) || s_.now.wires_at(x).empty()) continue;
            if (marked && !signal_lines_.contains(lines_[x.index])) continue;
            for (TerminalId y : c_.at(b).terminals)
                if (carries_readings(c_.at(y)) && lines_[x.index] == lines_[y.index]) return true;
        }
        return false;
    }

    void add(PartId a, PartId b, GroundPair::Reads reads) {
        const TerminalId here = *ground_of(a), there = *ground_of(b);
        if (here != there) found_.push_back({here, there, reads});
    }

    /// The metal nearest to it, over its own wires.
    void add_alone(PartId p) {
        const TerminalId here = *ground_of(p);
        const Reach reach = s_.graph.walk(
            std::vector{here},
            [&](EdgeRef e, TerminalId) { return e.is_wire() || c_.at(e.primitive).element == Element::joint; },
            [](EdgeRef) { return 0.0; });
        const std::vector<TerminalId> poles = ground_poles(s_);
        for (TerminalId t : reach.in_order())
            if (t != here && (c_.at(c_.at(t).part).kind == Kind::metal || std::ranges::find(poles, t) != poles.end()))
                return found_.push_back({here, t, GroundPair::Reads::alone});
    }

    const Study& s_;
    const Circuit& c_;
    std::vector<std::uint32_t> lines_;
    std::set<std::uint32_t> signal_lines_;
    std::vector<GroundPair> found_;
};

} // namespace

std::vector<GroundPair> grounds_that_matter(const Study& s) { return Finder(s).all(); }

} // namespace loomproof::rules
