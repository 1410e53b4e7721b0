#include "sizing/proposal.hpp"
#include "sizing/loss_over_wires.hpp"

#include "base/number.hpp"
#include "base/words.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/core.h>

namespace loomproof::sizing {

namespace {

using reference::Protector;

class Proposer {
  public:
    Proposer(const View& view, const Flows& flows, Chosen chosen)
        : view_(view), c_(view.circuit()), flows_(flows), chosen_(chosen) {}

    Proposal run() {
        Proposal out;
        for (PrimitiveId p : view_.primitives())
            if (c_.at(p).element == Element::protector) {
                const ForFuse fuse = for_fuse(p);
                const bool may = may_change(p);
                if (may && fuse.becomes)
                    ratings_[p.index] = *fuse.becomes;
                else if (fuse.has.known())
                    ratings_[p.index] = fuse.has.nominal;
                if (may) out.fuses.push_back(fuse);
            } else if (c_.at(p).limit.known()) {
                ratings_[p.index] = c_.at(p).limit.nominal;
            } else if (c_.at(p).element == Element::source && c_.at(p).current.known()) {
                ratings_[p.index] = c_.at(p).current.nominal;
            }
        for (WireId w : view_.wires())
            if (may_change(w)) out.wires.push_back(for_wire(w));
        out.too_long = LossOverWires(view_, flows_, system_of_file()).mend(out.wires);
        for (ForWire& f : out.wires)
            if (f.why_not.empty()) offer_own_fuse(f);
        return out;
    }

  private:
    bool wanted(const Life& life) const { return life.born >= chosen_.first && life.born <= chosen_.last; }
    /// A fuse that is drawn and came with the job. A breaker, a fuse box that only a wire's line speaks of, the maker's fuse: they stay as they
    /// are, and the wires behind them must suit.
    bool may_change(PrimitiveId protector) const {
        const Part& part = c_.at(c_.at(protector).part);
        return part.kind == Kind::fuse && !part.name.empty() && wanted(part.life);
    }
    /// A piece of a wire that was there before the job is not the job's.
    bool may_change(WireId id) const {
        const loomproof::Wire& w = c_.at(id);
        return wanted(w.life) && !(chosen_.first > 0 && w.cut_from.exists()) &&
               w.origin.provenance != Provenance::assumed;
    }

    ForFuse for_fuse(PrimitiveId p) const {
        ForFuse out;
        out.device = p;
        const Part& part = c_.at(c_.at(p).part);
        out.has = c_.at(p).rating;
        const auto lasting = flows_.part[p.index], passing = flows_.part_passing[p.index];
        // What lasts seconds may come up to the rating; what lasts may not.
        out.steady = std::max(lasting.value_or(Amps{}), passing.value_or(Amps{}) * fuse_habit);
        if (part.poisoned)
            out.why_not = "its line has a mistake";
        else if (!lasting && !passing)
            out.why_not = "what flows through it is not known";
        else if (out.steady.si < 1e-3)
            out.why_not = "nothing flows through it";
        if (!out.why_not.empty()) return out;
        if (const auto outlets = flows_.outlets[p.index]) {
            limit_outlets(out, *outlets);
            return out;
        }
        out.needs = fuse_for(out.steady, part.place.exists() ? temperature_of(c_, part.place) : Celsius{20});
        const std::string type = view_.word(c_.at(p).part, Attr::fuse_type);
        const bool plug_in = type.empty() || equal_ignoring_case(type, "blade") || equal_ignoring_case(type, "mini") ||
                             equal_ignoring_case(type, "maxi");
        if (!plug_in) {
            if (!out.has.known() || out.has.nominal < out.steady / fuse_habit)
                out.why_not = fmt::format("a {} fuse: take one of {} or more from its maker's list", type,
                                          text(out.steady / fuse_habit));
            return out;
        }
        if (!out.needs) {
            out.why_not = fmt::format("no plug-in fuse carries {} for long there", text(out.steady));
            return out;
        }
        const Amps needs = out.needs->rating.rating;
        if (!out.has.known() || out.has.nominal < needs ||
            (out.has.nominal > needs * 2.0 && !flows_.not_smaller[p.index] &&
             some_wire_is_too_thin(p, out.has.nominal)))
            out.becomes = needs;
        else if (const auto smaller = saves_copper(p, needs, out.has.nominal)) {
            out.becomes = smaller;
            out.smaller = true;
        }
        return out;
    }

    /// It is all that keeps what is plugged in to what an outlet is made for: not what would flow decides, but what may.
    static void limit_outlets(ForFuse& out, const Flows::OutletsBehind& outlets) {
        out.for_outlets = true;
        const auto fuse = reference::largest_fuse_up_to(outlets.made_for);
        if (!fuse) return;
        if (!out.has.known() || out.has.nominal.si > outlets.at_most.si * 1.005) out.becomes = fuse->rating;
    }

    /// The largest rating below what is there that asks for less copper behind it; nothing where none does.
    std::optional<Amps> saves_copper(PrimitiveId fuse, Amps needs, Amps has) const {
        if (flows_.not_smaller[fuse.index]) return std::nullopt;
        double least = copper_to_add(fuse, has);
        if (!(least > 0)) return std::nullopt;
        std::optional<Amps> best;
        for (const Protector style : {Protector::maxi_blade, Protector::blade}) {
            const auto ratings = reference::fuse_ratings(style);
            for (auto rating = ratings.rbegin(); rating != ratings.rend(); ++rating) {
                if (rating->rating < needs || rating->rating >= has) continue;
                if (const double copper = copper_to_add(fuse, rating->rating); copper < least * (1 - 1e-9)) {
                    least = copper;
                    best = rating->rating;
                }
            }
        }
        return best;
    }

    /// Behind this fuse alone, m3: what the wires must gain to carry that rating.
    double copper_to_add(PrimitiveId fuse, Amps rating) const {
        double sum = 0;
        for (WireId id : view_.wires()) {
            const loomproof::Wire& w = c_.at(id);
            if (flows_.limited_by[id.index] != std::vector{fuse} || !w.area.known() || !may_change(id)) continue;
            const Need need = need_of(c_, id, Amps{}, rating);
            const auto wire = thinnest(w.size.empty() ? system_of_file() : system_in(w.size), need);
            const auto has = weighed(*size_of(w), need);
            if (wire && !(has && does(*has, need)))
                sum += std::max(0.0, wire->size.copper.si - w.area.nominal.si) * std::max(0.01, need.copper.si);
        }
        return sum;
    }

    /// Of those that this fuse alone limits.
    bool some_wire_is_too_thin(PrimitiveId fuse, Amps rating) const {
        return std::ranges::any_of(view_.wires(), [&](WireId id) {
            const loomproof::Wire& w = c_.at(id);
            if (flows_.limited_by[id.index] != std::vector{fuse} || !w.area.known()) return false;
            const auto carries = reference::what_a_wire_can_carry(
                w.area.nominal, w.insulation_class.or_else(reference::default_insulation_class),
                temperature_of(c_, w.place));
            return carries && carries->amps < rating;
        });
    }

    Amps most_in(WireId w) const { return most_amps(flows_, w); }

    ForWire for_wire(WireId id) const {
        const loomproof::Wire& w = c_.at(id);
        ForWire out;
        out.wire = id;
        if (w.poisoned)
            out.why_not = "its line has a mistake";
        else if (w.starter_cable || w.winch_cable)
            out.why_not = "a starter or winch cable follows its maker's sheet";
        else if (w.screen || w.signal)
            out.why_not = "a signal wire";
        if (!out.why_not.empty()) return out;
        const auto lasting = flows_.wire[id.index], passing = flows_.wire_passing[id.index];
        Amps carries = lasting.value_or(Amps{});
        Amps fused;
        const std::vector<PrimitiveId>& limits = flows_.limited_by[id.index];
        // A source that limits itself is no fuse; beside one it adds to what gets through.
        const bool any =
            std::ranges::any_of(limits, [&](PrimitiveId p) { return c_.at(p).element != Element::source; });
        for (PrimitiveId p : limits) {
            const auto at = ratings_.find(p.index);
            if (!any || at == ratings_.end()) {
                fused = Amps{};
                out.fuse_unknown = any;
                break;
            }
            fused += at->second;
        }
        carries = std::max(carries, fused);
        if (!(carries.si > 0) && !passing) {
            out.why_not = "nothing is known to flow in it, and no fuse limits it";
            return out;
        }
        out.need = need_of(c_, id, most_in(id), carries);
        if (const auto size = size_of(w)) out.has = weighed(*size, out.need);
        out.needs = thinnest(w.size.empty() ? system_of_file() : system_in(w.size), out.need);
        out.stays = out.has && does(*out.has, out.need);
        if (!out.stays && !out.needs) out.why_not = "no wire that is sold does: shorten the way, or split the load";
        return out;
    }

    void offer_own_fuse(ForWire& f) const {
        const std::vector<PrimitiveId>& limits = flows_.limited_by[f.wire.index];
        if (!f.stays && !f.way && f.has && std::ranges::none_of(limits, [&](PrimitiveId p) { return may_change(p); }))
            f.own_fuse = own_fuse(*f.has, f.need);
    }

    /// The largest that lets this size stay, where only a fuse that cannot be changed here asks for more: thick wire to a coil is nobody's wish.
    static std::optional<Amps> own_fuse(const Wire& has, Need need) {
        const auto fuse = reference::largest_fuse_up_to(has.carrying.amps);
        if (!fuse || need.amps > fuse->rating * fuse_habit) return std::nullopt;
        need.carries = fuse->rating;
        return does(has, need) ? std::optional(fuse->rating) : std::nullopt;
    }

    /// In which sizes most wires of the file are given.
    reference::SizeSystem system_of_file() const {
        std::map<reference::SizeSystem, int> count;
        for (WireId w : view_.wires())
            if (!c_.at(w).size.empty()) ++count[system_in(c_.at(w).size)];
        const auto most = std::ranges::max_element(count, {}, [](const auto& entry) { return entry.second; });
        return most == count.end() ? reference::SizeSystem::metric : most->first;
    }

    const View& view_;
    const Circuit& c_;
    const Flows& flows_;
    Chosen chosen_;
    std::map<std::uint32_t, Amps> ratings_;
};

} // namespace

Proposal propose(const View& view, const Flows& flows, Chosen chosen) { return Proposer(view, flows, chosen).run(); }

std::vector<Edit> edits(const View& view, const Proposal& proposal, std::uint32_t source,
                        std::vector<std::string>& elsewhere) {
    const Circuit& c = view.circuit();
    struct Wanted {
        Span span;
        std::string text;
        SquareMetres copper;
    };
    std::map<std::pair<std::uint32_t, std::uint32_t>, Wanted> by_place; // one size for all pieces of a run
    const auto want = [&](Span span, std::string text, SquareMetres copper, const std::string& name) {
        if (!span.exists() || span.source != source) {
            elsewhere.push_back(name);
            return;
        }
        const auto [at, fresh] = by_place.try_emplace({span.begin, span.end}, Wanted{span, text, copper});
        if (!fresh && at->second.copper < copper) at->second = {span, std::move(text), copper};
    };
    for (const ForFuse& f : proposal.fuses) {
        if (!f.becomes) continue;
        const Part& fuse = c.at(c.at(f.device).part);
        const Attribute* rating = view.find(c.at(f.device).part, Attr::rating);
        if (rating == nullptr && fuse.name_span.exists()) { // "fuse F1", "fuse F1 unknown A" has one
            want({fuse.name_span.source, fuse.name_span.end, fuse.name_span.end}, ", " + text(*f.becomes), {},
                 fuse.name);
            continue;
        }
        want(rating != nullptr && rating->value.span.exists() ? rating->value.span : Span{}, text(*f.becomes), {},
             name_of(c, c.at(f.device).part));
    }
    for (const ForWire& f : proposal.wires) {
        if (f.stays || !f.needs) continue;
        const loomproof::Wire& w = c.at(f.wire);
        const std::string size = lower(reference::spelled(f.needs->size));
        if (w.cut_from.exists()) // its size is that of the wire that was cut
            elsewhere.push_back(name_of(c, f.wire));
        else if (w.size_span.exists())
            want(w.size_span, size, f.needs->size.copper, name_of(c, f.wire));
        else
            want({w.b_span.source, w.b_span.end, w.b_span.end}, ", " + size, f.needs->size.copper, name_of(c, f.wire));
    }
    std::vector<Edit> out;
    for (auto& [place, wanted] : by_place) out.push_back({wanted.span, std::move(wanted.text)});
    return out;
}

} // namespace loomproof::sizing
