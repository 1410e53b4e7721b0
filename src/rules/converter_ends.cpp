#include "rules/called_so.hpp"
#include "rules/converter_ways.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule reversed_polarity; // rule_list.hpp lists it

namespace {

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report), sides_(s) {}

    void run() {
        for (PartId id : s_.now.parts()) {
            if (c_.at(id).poisoned) continue;
            const Kind kind = c_.at(id).kind;
            const TerminalId minus = end_called(c_, id, "-");
            if (kind == Kind::charger || kind == Kind::solar) look_at_poles(id, end_called(c_, id, "+"), minus);
            // Where plus is on the body, what is called in and - may follow the body's pole: either way is left alone.
            if (kind != Kind::converter || !s_.from_plus()) continue;
            const TerminalId in = end_called(c_, id, "in"), out = end_called(c_, id, "out");
            if (!look_at_poles(id, in, minus) && !look_at_poles(id, out, minus)) look_at_direction(id, in, out);
        }
    }

  private:
    bool fit(TerminalId plus, TerminalId minus) const {
        for (std::uint32_t p : sides_.plus().ways_to(plus))
            for (std::uint32_t m : sides_.minus().ways_to(minus))
                if (fit_together(sides_.plus().demands(p), sides_.minus().demands(m))) return true;
        return false;
    }

    bool look_at_poles(PartId id, TerminalId plus, TerminalId minus) {
        if (fit(plus, minus) || !fit(minus, plus)) return false;
        Finding f = start(id);
        f.headline =
            sentence_start(fmt::format("{} is the wrong way round: plus comes to its end {}, ground is on its end {}.",
                                       called(c_, id), stamp_of(c_, minus), stamp_of(c_, plus)));
        const bool from_plus = s_.from_plus();
        cite(f, minus, from_plus ? "fed" : "on ground");
        cite(f, plus, from_plus ? "on ground" : "fed");
        f.why = "It is spoilt at once, or its fuse opens: semiconductors inside lie across the battery the wrong way.";
        f.cures.push_back({fmt::format("Exchange its two wires: what is on {} goes to {}, and the other way round.",
                                       stamp_of(c_, minus), stamp_of(c_, plus))});
        f.limit = "the part's own marks, as the file names its ends";
        report_.findings.push_back(std::move(f));
        return true;
    }

    /// The output on the battery that starts the engine, the input on one that nothing else charges.
    void look_at_direction(PartId id, TerminalId in, TerminalId out) {
        const Reach from_in = reach_of_charge(s_, in, false), from_out = reach_of_charge(s_, out, true);
        const auto feeding = batteries_in(s_, from_in), charged = batteries_in(s_, from_out);
        if (feeding.size() != 1 || charged.size() != 1 || feeding.front().source == charged.front().source) return;
        const BatteryPoles &empties = feeding.front(), &fills = charged.front();
        if (!is_the_engines(s_, fills) || is_the_engines(s_, empties) || gets_what_nobody_knows(id, from_in)) return;
        const PartId other = other_charger(id, from_in);
        if (other.exists() && may_keep_full(id)) return;
        const PartId giver = c_.at(empties.source).part, taker = c_.at(fills.source).part;
        Finding f = start(id);
        f.headline = sentence_start(fmt::format("{} has its in and out exchanged: it empties {} to charge {}.",
                                                called(c_, id), called(c_, giver), called(c_, taker)));
        cite(f, in, fmt::format("from {}", name_of(c_, giver)));
        cite(f, out, fmt::format("to {}", name_of(c_, taker)));
        if (other.exists()) f.certainty = Certainty::possible;
        f.why = fmt::format(
            "What the engine turns charges {} already, and nothing charges {}{}. On the way it makes volts up to "
            "its charging end whatever the alternator's regulator does.",
            name_of(c_, taker), name_of(c_, giver),
            other.exists() ? fmt::format(" while it runs ({} does at a stand)", called(c_, other)) : "");
        f.limit = "none: its input belongs on the battery that the engine charges";
        f.cures.push_back({fmt::format("Exchange its two wires: what is on {} goes to {}, and the other way round.",
                                       stamp_of(c_, in), stamp_of(c_, out))});
        if (other.exists())
            f.cures.push_back(
                {fmt::format("If it is to keep {} full with what {} gives: say when, \"delivers when ...\" "
                             "behind {}.",
                             name_of(c_, taker), name_of(c_, other), name_of(c_, id))});
        else
            f.cures.push_back(
                {fmt::format("If something charges {} (a panel, the mains), and this one only keeps {} full: draw that "
                             "charger.",
                             name_of(c_, giver), name_of(c_, taker))});
        f.subjects.push_back(name_of(c_, giver));
        report_.findings.push_back(std::move(f));
    }

    /// A charger from the mains, or a panel, that gives something there.
    PartId other_charger(PartId converter, const Reach& reach) const {
        for (PartId id : s_.now.parts())
            if (const Kind kind = c_.at(id).kind; id != converter && (kind == Kind::charger || kind == Kind::solar))
                for (TerminalId t : c_.at(id).terminals)
                    if (reach.reached(t) && !s_.now.wires_at(t).empty()) return id;
        return {};
    }
    /// One that keeps a starting battery full out of the other gives a few amps (common practice, no source); or somebody said when it does.
    bool may_keep_full(PartId converter) const {
        constexpr Amps few{10};
        const Stated<Amps> gives = s_.now.amps(converter, Attr::rating);
        return s_.now.has(converter, Attr::when) || !gives.known() || gives.nominal < few;
    }
    /// Does a box that nobody looks into give anything there, or what is not drawn?
    bool gets_what_nobody_knows(PartId converter, const Reach& reach) const {
        for (PartId id : s_.now.parts()) {
            const Kind kind = c_.at(id).kind;
            if (id == converter || kind == Kind::charger || kind == Kind::solar) continue;
            for (TerminalId t : c_.at(id).terminals)
                if (reach.reached(t) && !s_.now.wires_at(t).empty() &&
                    (c_.at(t).role == Role::signal || kind == Kind::supply || kind == Kind::existing_wire ||
                     kind == Kind::beyond || kind == Kind::loose_end))
                    return true;
        }
        return false;
    }

    Finding start(PartId id) const {
        Finding f;
        f.rule = reversed_polarity.id;
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, id);
        f.subjects.push_back(name_of(c_, id));
        return f;
    }
    void cite(Finding& f, TerminalId t, std::string label) const {
        f.cites.push_back(cite_terminal(s_.now, t, std::move(label)));
        if (!s_.now.wires_at(t).empty()) f.subjects.push_back(c_.at(s_.now.wires_at(t).front()).name);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    Sides sides_;
};

} // namespace

void judge_converter_ends(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace loomproof::rules
