#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "reference/blades.hpp"
#include "reference/outside.hpp"

#include <algorithm>
#include <charconv>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule plug_hole_conflict; // rule_list.hpp lists it

namespace {

std::optional<int> hole_number(const std::string& stamp) {
    int n = 0;
    const auto [end, error] = std::from_chars(stamp.data(), stamp.data() + stamp.size(), n);
    if (error != std::errc{} || end != stamp.data() + stamp.size()) return std::nullopt;
    return n;
}

class Plug {
  public:
    Plug(const Study& study, PartId id, std::vector<const PlugRow*> rows)
        : now_(study.now),
          c_(study.circuit),
          part_(c_.at(id)),
          id_(id),
          name_(name_of(c_, id)),
          rows_(std::move(rows)) {}

    void look_at(Report& report) const {
        beyond_the_last(report);
        crowded(report);
        outside_range(report);
        beside_the_seals(report);
        written_twice(report);
        another_colour(report);
    }

  private:
    Finding start(const std::string& hole) const {
        Finding f;
        f.rule = "plug-hole-conflict";
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, id_);
        f.subjects = {fmt::format("{}:{}", name_, hole), name_};
        return f;
    }

    /// More holes are named than the plug has: by number, or, where holes have letters, by how many.
    void beyond_the_last(Report& report) const {
        const Attribute* holes = now_.find(id_, Attr::holes);
        if (!holes || !holes->value.known()) return;
        const int count = static_cast<int>(holes->value.nominal);
        std::map<std::string, Citation> named; // by stamp, where it is first named
        std::vector<std::string> order;
        const auto name = [&](const std::string& stamp, const Citation& at) {
            if (named.try_emplace(stamp, at).second) order.push_back(stamp);
        };
        for (const PlugRow* row : rows_) name(row->hole, {row->span, {}});
        for (TerminalId t : part_.terminals)
            for (WireId w : now_.wires_at(t)) name(c_.at(t).stamp, cite_wire_end(c_, w, t));
        const auto letters = std::ranges::count_if(order, [](const std::string& s) { return !hole_number(s); });
        for (const std::string& stamp : order) {
            const auto number = hole_number(stamp);
            const bool beyond =
                number ? *number > count || *number < 1 : std::cmp_greater(order.size(), count) && letters > 0;
            if (!beyond) continue;
            Finding f = start(stamp);
            f.headline =
                number ? fmt::format("Plug {} has {}; hole {} is not there.", name_,
                                     counted(static_cast<std::size_t>(count), "hole"), stamp)
                       : fmt::format("Plug {} has {}, but {} are named.", name_,
                                     counted(static_cast<std::size_t>(count), "hole"), counted(order.size(), "hole"));
            f.cites.push_back(named.at(stamp));
            f.cites.push_back({holes->span.exists() ? holes->span : part_.span, "the plug"});
            f.why = "Either the number is a slip, or the plug is another one than you think; in both cases the wire is "
                    "not where the file says.";
            f.cures.push_back({"Count the holes from the wire side, latch up, and correct the hole or the plug."});
            report.findings.push_back(std::move(f));
            if (!number) break;
        }
    }

    /// A sealed hole takes one wire; an open one two at most, crimped together into one terminal.
    void crowded(Report& report) const {
        const bool sealed = now_.has(id_, Attr::sealed);
        for (TerminalId t : part_.terminals) {
            const auto& wires = now_.wires_at(t);
            if (wires.size() < 2) continue;
            // Makers crimp two wires into one terminal where they chose terminal and seal for it.
            if (std::ranges::all_of(wires, [&](WireId w) { return now_.is_factory(w); })) continue;
            const std::string& hole = c_.at(t).stamp;
            if (!sealed && wires.size() == 2 && range_of_terminals()) continue; // judged by their sizes
            std::vector<std::string> names;
            for (WireId w : wires) names.push_back(called(c_, w));
            if (!sealed && wires.size() == 2) {
                report.not_checked.push_back({"plug-hole-conflict",
                                              fmt::format("two wires in hole {} of plug {}", hole, name_),
                                              "nobody said what range of sizes its terminal takes",
                                              "Look the terminal up, or try: both wires must go into one terminal with "
                                              "no strand left out, and the terminal into its hole."});
                continue;
            }
            Finding f = start(hole);
            f.headline = fmt::format("{} wires are to go into hole {} of plug {}{}: {}.",
                                     wires.size() == 2 ? "Two" : figure(static_cast<double>(wires.size())), hole, name_,
                                     sealed ? ", which is sealed" : "", list_of(names));
            for (WireId w : wires) f.cites.push_back(cite_wire_end(c_, w, t));
            f.why = sealed ? "Between two wires the seal stays open: water gets in, and the terminal corrodes."
                           : "A plug's terminal holds one wire, at a pinch two; more leave strands outside, which heat "
                             "up or touch the next hole.";
            f.limit = sealed ? "one wire in each sealed hole (common practice, no source)"
                             : "two wires in one crimped terminal at most (common practice, no source)";
            f.cures.push_back(
                {"Join them in a splice a hand's width before the plug, and lead one wire into the hole."});
            f.cures.push_back({"If one of them sits on the other half of the plug, say so: from " + name_ + ":" + hole +
                               " loom side"});
            for (WireId w : wires) f.subjects.push_back(name_of(c_, w));
            report.findings.push_back(std::move(f));
        }
    }

    struct Range {
        SquareMetres thinnest, thickest;
        std::string words; ///< "0.5 mm2 to 1.5 mm2"
        Span said;
    };
    /// `terminals 0.5 mm2 to 1.5 mm2`.
    std::optional<Range> range_of_terminals() const {
        const Attribute* low = now_.find(id_, Attr::area);
        if (!low || !low->value.known()) return std::nullopt;
        for (const Attribute& high : part_.attributes) // the second figure of the same clause
            if (high.key == Attr::high_end && high.life.at(now_.revision()) && high.span.begin == low->span.begin)
                return Range{SquareMetres{low->value.nominal}, SquareMetres{high.value.nominal},
                             low->word + " to " + high.word, low->span};
        return std::nullopt;
    }

    /// Copper that is less or more than the plug's terminals are made for.
    void outside_range(Report& report) const {
        const auto range = range_of_terminals();
        if (!range) return;
        constexpr double alike = 1.02; // sizes are names: an AWG number beside the mm2 it is sold for
        std::set<std::string> told;    // a run through the plug has a piece on either side
        for (TerminalId t : part_.terminals) {
            const auto& wires = now_.wires_at(t);
            SquareMetres all{0};
            // One wire of the maker's is the maker's choice; one that was crimped in beside it is not.
            bool known = !wires.empty() && wires.size() <= 2 &&
                         !std::ranges::all_of(wires, [&](WireId w) { return now_.is_factory(w); });
            std::vector<std::string> names, sizes;
            for (WireId w : wires) {
                const Wire& wire = c_.at(w);
                known = known && wire.area.known() && !wire.poisoned;
                all = all + wire.area.nominal;
                names.push_back(wire.named ? wire.name : described(c_, w));
                sizes.push_back(wire.size);
            }
            if (!known || (all <= range->thickest * alike && all * alike >= range->thinnest)) continue;
            if (!told.insert(c_.at(t).stamp + " " + list_of(names)).second) continue;
            const bool thick = all > range->thickest;
            Finding f = start(c_.at(t).stamp);
            f.headline = sentence_start(
                fmt::format("{} {} too {} for hole {} of plug {}: {}{}, and the terminals take {}.", list_of(names),
                            verb(wires.size(), "is", "are"), thick ? "thick" : "thin", c_.at(t).stamp, name_,
                            list_of(sizes), wires.size() > 1 ? " together" : "", range->words));
            for (WireId w : wires) f.cites.push_back(cite_size(c_, w));
            f.cites.push_back({range->said, "what its terminals take"});
            f.why = thick ? "Strands are cut off to make it fit, or the crimp tears: the joint gets hot."
                          : "The crimp does not hold it: it works loose, gets hot, or comes out.";
            f.limit = range->words + ", as the file says";
            f.cures.push_back({"Use terminals of the same plug that are made for that size, and write their range."});
            f.cures.push_back({thick ? "Go on with a wire within the range from a splice before the plug."
                                     : "Use a wire within the range."});
            for (const std::string& name : names) f.subjects.push_back(name);
            report.findings.push_back(std::move(f));
        }
    }

    /// Wires thicker or thinner over their insulation than the seals close on: `seals 1.2 mm to 2.1 mm`.
    void beside_the_seals(Report& report) const {
        const Attribute* low = now_.find(id_, Attr::seals);
        if (!low || !low->value.known()) return;
        const auto high = std::ranges::find_if(part_.attributes, [&](const Attribute& a) {
            return a.key == Attr::high_end && a.life.at(now_.revision()) && a.span.begin == low->span.begin;
        });
        if (high == part_.attributes.end() || !high->value.known()) return;
        const Metres least{low->value.nominal}, most{high->value.nominal};
        const std::string range = fmt::format("{} to {}", in_mm(least), in_mm(most));
        std::set<std::string> told;
        std::vector<std::string> open;
        for (TerminalId t : part_.terminals)
            for (WireId w : now_.wires_at(t)) {
                const Wire& wire = c_.at(w);
                if (wire.poisoned || now_.is_factory(w)) continue;
                const std::string name = wire.named ? wire.name : described(c_, w);
                if (told.contains(name + c_.at(t).stamp)) continue; // a run through the plug has a piece on either side
                const auto outside = outside_of(wire);
                const bool thick = outside && outside->least - reference::maker_spread > most;
                const bool thin = outside && outside->most + reference::maker_spread < least;
                if (!thick && !thin) {
                    const bool sure = outside && outside->least >= least && outside->most <= most;
                    if (!sure && std::ranges::find(open, name) == open.end()) open.push_back(name);
                    continue;
                }
                told.insert(name + c_.at(t).stamp);
                Finding f = start(c_.at(t).stamp);
                f.headline = sentence_start(fmt::format("{} is too {} for the seal in hole {} of plug {}: {} {} over "
                                                        "its insulation, and the seals close on {}.",
                                                        name, thick ? "thick" : "thin", c_.at(t).stamp, name_,
                                                        thick ? "at least" : "at most",
                                                        in_mm(thick ? outside->least : outside->most), range));
                f.cites.push_back(cite_size(c_, w));
                f.cites.push_back({low->span, "what its seals take"});
                f.why =
                    thick ? "The seal does not slide over it, or tears: the hole lets water in, and the terminal rots."
                          : "The seal does not close on it: water gets in along the wire, and the terminal rots.";
                f.limit =
                    fmt::format("{} as the file says; the wire: {}", range, reference::cite(reference::outside_source));
                f.cures.push_back(
                    {"Use seals and terminals of the same plug that are made for that wire, and write their range."});
                f.cures.push_back({"Measure the wire over its insulation: another wall may fit; then say its "
                                   "insulation, FLRY is thin."});
                f.subjects.push_back(name);
                report.findings.push_back(std::move(f));
            }
        if (!open.empty())
            report.not_checked.push_back({plug_hole_conflict.id,
                                          fmt::format("whether the seals of plug {} close on {}", name_, list_of(open)),
                                          "how thick over the insulation is not sure",
                                          fmt::format("Measure across the insulation: {} fits", range)});
    }

    static std::string in_mm(Metres m) { return figure(m.si * 1e3) + " mm"; }

    /// Metric sizes only; nothing where no row fits.
    static std::optional<reference::Outside> outside_of(const Wire& wire) {
        double mm2 = 0;
        const auto [end, error] = std::from_chars(wire.size.data(), wire.size.data() + wire.size.size(), mm2);
        if (error != std::errc{} || std::string_view(end) != " mm2") return std::nullopt;
        return reference::outside_of(mm2, wire.insulation);
    }

    void written_twice(Report& report) const {
        std::map<std::string, const PlugRow*> first;
        for (const PlugRow* row : rows_) {
            const auto [other, fresh] = first.try_emplace(row->hole, row);
            if (fresh || other->second->colours == row->colours) continue;
            Finding f = start(row->hole);
            f.headline = fmt::format("Hole {} of plug {} is written down twice, as {} and as {}.", row->hole, name_,
                                     shown(other->second->colours), shown(row->colours));
            f.cites.push_back({row->span, {}});
            f.cites.push_back({other->second->span, "the first"});
            f.why = "Only one wire can be in it on that side.";
            f.cures.push_back({"Look again, and correct the number of one of them."});
            report.findings.push_back(std::move(f));
        }
    }

    /// What was seen in a hole is neither of the wires that are drawn there. Where only one side is drawn, it may be the other one that was seen.
    void another_colour(Report& report) const {
        for (const PlugRow* row : rows_) {
            if (row->colours.main.empty()) continue;
            std::vector<Citation> others;
            std::set<std::uint8_t> sides;
            std::vector<std::string> colours;
            bool matches = false;
            for (TerminalId t : part_.terminals) {
                if (c_.at(t).stamp != row->hole) continue;
                for (WireId w : now_.wires_at(t)) {
                    const Colours& drawn = c_.at(w).colours;
                    matches = matches || drawn.main.empty() || drawn == row->colours;
                    sides.insert(c_.at(t).half);
                    others.push_back(cite_wire_end(c_, w, t));
                    if (std::ranges::find(colours, colour_words(drawn)) == colours.end())
                        colours.push_back(colour_words(drawn));
                }
            }
            if (matches || sides.size() < 2) continue;
            Finding f = start(row->hole);
            f.headline = fmt::format("In hole {} of plug {} a {} wire was seen, but what is drawn there is {}.",
                                     row->hole, name_, shown(row->colours), list_of(colours));
            f.cites.push_back({row->span, "as seen"});
            for (Citation& c : others) f.cites.push_back(std::move(c));
            f.why = "One of the two is wrong, and whoever goes by the other one will cut the wrong wire.";
            f.cures.push_back({"Look at the plug again from the side that the row was written from, and correct the "
                               "row or the wire."});
            report.findings.push_back(std::move(f));
        }
    }

    static std::string shown(const Colours& c) { return c.main.empty() ? "no colour" : colour_words(c); }

    const View& now_;
    const Circuit& c_;
    const Part& part_;
    PartId id_;
    std::string name_;
    std::vector<const PlugRow*> rows_;
};

/// Two wires in one crimped terminal, no more (common practice, no source).
constexpr std::size_t most_in_one_crimp = 2;

/// Several wires on one blade: one crimp holds the copper of all. Where the file says that the blade is made for two, two are no question.
void look_at_one_blade(const Study& study, TerminalId t, Report& report) {
    const Circuit& c = study.circuit;
    const View& now = study.now;
    const auto& wires = now.wires_at(t);
    if (wires.size() < 2 || std::ranges::all_of(wires, [&](WireId w) { return now.is_factory(w); })) return;
    const bool made_for_two = std::ranges::any_of(c.part_of(t).attributes, [&](const Attribute& a) {
        return a.key == Attr::double_terminal && equal_ignoring_case(a.word, c.at(t).stamp) &&
               a.life.at(now.revision());
    });
    if (made_for_two && wires.size() == 2) return;
    SquareMetres copper{};
    std::vector<std::string> sizes;
    for (WireId w : wires) {
        const Wire& wire = c.at(w);
        if (wire.poisoned) return;
        if (!wire.area.known()) continue;
        if (wire.area.low > reference::blade_terminal_takes) return; // asked about on its own
        copper = copper + wire.area.low;
        sizes.push_back(wire.size);
    }
    const bool too_thick = !made_for_two && copper > reference::blade_terminal_takes;
    if (!too_thick && wires.size() <= most_in_one_crimp) return;
    report.not_checked.push_back(
        {plug_hole_conflict.id,
         too_thick ? fmt::format("whether {} go onto {} together", list_of(sizes), name_of(c, t))
                   : fmt::format("whether {} wires go onto {} together", wires.size(), name_of(c, t)),
         fmt::format("one terminal holds the copper of all that are crimped into it, and those for the usual blades, "
                     "6.3 mm wide, are sold for up to {}; two wires in one are usual, more are not",
                     reference::blade_terminal_takes_words),
         fmt::format("Join them in a splice or at a stud close by, and run one wire that carries all of it from there "
                     "to {}",
                     name_of(c, t))});
}

/// A thick wire at the blades of a plug-in relay. Some found a terminal for it (public cases of 6 and 8 AWG on relays for 30 and 40 A), so it is
/// a question and no finding.
void look_at_blades(const Study& study, PartId relay, Report& report) {
    const Circuit& c = study.circuit;
    const View& now = study.now;
    const std::string footprint = now.word(relay, Attr::footprint);
    if (footprint.empty() && !now.has(relay, Attr::pins)) return;
    if (std::ranges::any_of(c.at(relay).attributes, [&](const Attribute& a) {
            return a.key == Attr::told && a.word == "studs" && a.life.at(now.revision());
        }))
        return;
    for (const Attr rating : {Attr::make_rating, Attr::rest_rating})
        if (const Stated<Amps> amps = now.amps(relay, rating);
            amps.known() && amps.nominal > reference::on_usual_blades)
            return;
    for (TerminalId t : c.at(relay).terminals) {
        look_at_one_blade(study, t, report);
        for (WireId w : now.wires_at(t)) {
            const Wire& wire = c.at(w);
            if (!wire.area.known() || wire.poisoned || wire.area.low <= reference::blade_terminal_takes ||
                now.is_factory(w))
                continue;
            report.not_checked.push_back(
                {plug_hole_conflict.id, fmt::format("whether {} goes onto {}", name_of(c, w), name_of(c, t)),
                 fmt::format("terminals for the usual blades, 6.3 mm wide, are sold for up to {}",
                             reference::blade_terminal_takes_words),
                 fmt::format(
                     "Look at the terminal in the base before you cut the wire; or fit a relay with screw studs or "
                     "wider blades, and say so (relay {}, ..., studs); or go on with 6 mm2 from a splice close "
                     "to the relay, if that carries the load",
                     name_of(c, relay))});
        }
    }
}

void run(const Study& study, Report& report) {
    const Circuit& c = study.circuit;
    for (PartId id : study.now.parts())
        if (c.at(id).kind == Kind::relay && !c.at(id).poisoned) look_at_blades(study, id, report);
    std::map<PartId, std::vector<const PlugRow*>> rows;
    for (const PlugRow& row : c.plug_rows) rows[row.connector].push_back(&row);
    for (PartId id : study.now.parts())
        if (c.at(id).kind == Kind::connector && !c.at(id).poisoned) Plug(study, id, rows[id]).look_at(report);
}

} // namespace

const Rule plug_hole_conflict = {
    "plug-hole-conflict",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a hole that the plug does not have, wires that do not fit into a hole, or a hole whose wire is not the one seen",
    "always a fault; two wires in one open hole are listed as not checked where the range of its terminals is not "
    "said, "
    "as is a relay's blade with more copper than its terminals are sold for",
    {
        "What the file puts into a plug cannot be there: the hole is beyond the last one, a sealed hole has two wires, "
        "an open one three, what was seen in it has another colour than what is drawn on either side, or its wire has "
        "more copper or less than the plug's terminals are made for, or is thicker or thinner over its insulation than "
        "its "
        "seals close on.",
        "The next person counts holes and cuts by what the file says.",
        "Count the holes again from the wire side. Join several wires in a splice before the plug.",
        "One wire in a sealed hole, two in one crimped terminal at most, and 6 mm2 of copper together on a relay's "
        "blade: "
        "common practice, no source. What terminals "
        "take "
        "is what the file says of the plug.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
lamp E1, 55 W
connector X7 "lamp plug", 2 holes, 18 A each
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 through X7:3 to E1, 1.5 mm2 red, 1 m + 0.2 m
wire W3 from E1 through X7:2 to ground, 1.5 mm2 black, 0.2 m + 0.5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
lamp E1, 55 W
connector X7 "lamp plug", 2 holes, 18 A each
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 through X7:1 to E1, 1.5 mm2 red, 1 m + 0.2 m
wire W3 from E1 through X7:2 to ground, 1.5 mm2 black, 0.2 m + 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
