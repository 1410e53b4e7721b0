#include "rules/unlike_batteries.hpp"

#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule wrong_voltage; // rule_list.hpp lists it

namespace {

/// Lead-acid and lithium batteries of one nominal voltage differ by less (12 V: 12.6 V against 13.3 V); the next nominal voltages in use are
/// a third above (6 and 8 V, 12 and 16 V) or twice as much (common practice, no source).
constexpr double unlike = 1.25;

/// A battery, and what its live pole has against the reference.
struct Pole : BatteryPoles {
    double volts = 0;
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        const std::vector<Pole> poles = poles_on_the_reference();
        for (const Pole& low : poles)
            for (const Pole& high : poles)
                if (high.volts > unlike * low.volts && look_at(high, low)) break;
    }

  private:
    bool solid(EdgeRef e) const {
        return e.is_wire()
                   ? !c_.at(e.wire).poisoned
                   : c_.at(e.primitive).element == Element::joint || c_.at(e.primitive).element == Element::meter;
    }

    /// Batteries whose ground pole is the reference, and those that stand in a row on one of them.
    std::vector<Pole> poles_on_the_reference() const {
        std::vector<Pole> open, known;
        for (const BatteryPoles& p : battery_poles(s_))
            if (const Stated<Volts>& volts = c_.at(p.source).voltage; volts.known() && volts.nominal.si > 0)
                (s_.reference[p.ground.index] ? known : open).push_back({p, volts.nominal.si});
        for (std::size_t i = 0; i < known.size() && !open.empty(); ++i) {
            const Reach joined = s_.graph.walk(
                std::vector{known[i].live}, [&](EdgeRef e, TerminalId) { return solid(e); }, &Edge::metres);
            for (std::size_t k = 0; k < open.size();) {
                if (!joined.reached(open[k].ground)) {
                    ++k;
                    continue;
                }
                open[k].volts += known[i].volts;
                known.push_back(open[k]);
                open.erase(open.begin() + static_cast<std::ptrdiff_t>(k));
            }
        }
        return known;
    }

    bool look_at(const Pole& high, const Pole& low) {
        const Spread spread(s_.now,
                            {.starts = {high.live}, .with_current = s_.from_plus(), .not_beyond = &s_.reference});
        if (!spread.reached(low.live) || s_.reference[low.live.index]) return false;
        say(high, low, spread, spread.ways_to(low.live).front());
        return true;
    }

    void say(const Pole& high, const Pole& low, const Spread& spread, std::uint32_t way) {
        const Primitive &more = c_.at(high.source), &less = c_.at(low.source);
        const std::vector<EdgeRef> edges = spread.edges(way);
        const std::string positions = positions_in_words(c_, spread.demands(way));
        std::vector<PartId> between;
        std::vector<PrimitiveId> fuses;
        for (EdgeRef e : edges) {
            if (e.is_wire()) continue;
            const Primitive& p = c_.at(e.primitive);
            if (p.element == Element::protector) fuses.push_back(e.primitive);
            if (p.element == Element::contact && std::ranges::find(between, p.part) == between.end())
                between.push_back(p.part);
        }
        Finding f;
        f.rule = wrong_voltage.id;
        f.severity = Severity::danger;
        f.headline = sentence_start(fmt::format(
            "{} has {} and {} {}, and {} their live poles are joined: the one empties itself into the other.",
            called(c_, more.part), text(Volts{high.volts}), called(c_, less.part), text(Volts{low.volts}),
            positions.empty() ? "at all times" : "with " + positions));
        f.place = where_it_lies(c_, less.part);
        f.cites.push_back(
            {more.voltage.span.exists() ? more.voltage.span : c_.at(more.part).span, text(Volts{high.volts})});
        f.cites.push_back(
            {less.voltage.span.exists() ? less.voltage.span : c_.at(less.part).span, text(Volts{low.volts})});
        for (PartId p : between) f.cites.push_back(cite_part(c_, p, "joins them"));
        f.path = stops_in_words(c_, spread.stops(way));
        f.why = why(high, low, edges, fuses);
        f.limit = "batteries that are joined have the same volts (common practice, no source); spoken of is what "
                  "differs by more than a quarter";
        f.cures.push_back(
            {fmt::format("Charge {} over a converter made for both voltages, in place of what joins them: "
                         "loomproof help converter.",
                         name_of(c_, less.voltage.how == Knowledge::assumed ? more.part : less.part))});
        f.cures.push_back({fmt::format("Fit batteries of {} only, if what hangs on them is made for that.",
                                       text(c_.vehicle.system))});
        f.subjects = {name_of(c_, more.part), name_of(c_, less.part)};
        for (PartId p : between) f.subjects.push_back(name_of(c_, p));
        report_.findings.push_back(std::move(f));
    }

    /// What flows at first, by the batteries' insides and the wires alone.
    std::string why(const Pole& high, const Pole& low, const std::vector<EdgeRef>& edges,
                    const std::vector<PrimitiveId>& fuses) const {
        const Primitive &more = c_.at(high.source), &less = c_.at(low.source);
        const double ohms = more.resistance.or_else(Ohms{0}).si + less.resistance.or_else(Ohms{0}).si +
                            resistance_along(c_, edges, Celsius{20}).si;
        std::string flows;
        if (ohms > 0) flows = fmt::format("Up to {} flow. ", text(rounded(Amps{(high.volts - low.volts) / ohms}, 2)));
        const std::string gases = fmt::format("{} gets far more than its charging volts, boils, and can burst; its gas "
                                              "explodes on a spark.",
                                              name_of(c_, less.part));
        if (fuses.empty()) return flows + "No fuse lies between: the wires burn. " + gases;
        return flows + fmt::format("{} {}; where a contact or the wires keep the current below that, {}",
                                   protector_words(c_, fuses), fuses.size() == 1 ? "opens" : "open", gases);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

} // namespace

void judge_unlike_batteries(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace loomproof::rules
