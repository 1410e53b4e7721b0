#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include "base/number.hpp"
#include "base/words.hpp"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule same_colour_in_connector; // rule_list.hpp lists it

namespace {

/// A wire in a plug hole: one that was traced, or one that was only seen.
struct Seen {
    std::string hole;
    const Colours* colours = nullptr;
    Citation at;
    WireId wire;         ///< not existing where only seen
    TerminalId terminal; ///< likewise
    std::string label;   ///< what was written down beside it
};

/// What its tag says: "1" of "tag 1"; empty where it has none.
std::string tag_on(const Seen& s) {
    const std::size_t at = s.label.find("tag ");
    if (at == std::string::npos || (at > 0 && s.label[at - 1] != ' ')) return {};
    return lower(s.label.substr(at + 4, s.label.find(';', at) - at - 4));
}

/// Does each carry a tag of its own?
bool tagged(const std::vector<Seen>& twins) {
    std::map<std::string, std::string> holes; // by tag
    return std::ranges::all_of(twins, [&](const Seen& s) {
        const std::string tag = tag_on(s);
        return !tag.empty() && holes.emplace(tag, s.hole).first->second == s.hole;
    });
}

bool same_function(const Study& study, const std::vector<std::uint32_t>& nets, const Seen& a, const Seen& b) {
    if (a.wire.exists() && b.wire.exists()) {
        const bool grounds = study.reference[a.terminal.index] && study.reference[b.terminal.index];
        return grounds || nets[a.terminal.index] == nets[b.terminal.index];
    }
    return !a.wire.exists() && !b.wire.exists() && !a.label.empty() && equal_ignoring_case(a.label, b.label);
}

bool touched(const Study& study, PartId plug, const Seen& s) {
    if (!study.circuit.has_factory) return true;
    return s.wire.exists() ? !study.now.is_factory(s.wire) : !study.now.is_factory(plug);
}

/// What a meter shows on a wire that was traced, in words: "12 V at all times", "about 0 ohm to ground".
std::string reading(const Study& study, const Sides& sides, TerminalId t) {
    const Circuit& c = study.circuit;
    if (study.reference[t.index]) return "about 0 ohm to ground";
    if (sides.live_always(t)) return fmt::format("{} at all times", text(c.vehicle.system));
    if (sides.live(t)) {
        const std::string when = positions_in_words(c, sides.live().demands(sides.live().ways_to(t).front()));
        return fmt::format("{} with {}", text(c.vehicle.system), when);
    }
    if (sides.ground(t)) {
        const std::string when = positions_in_words(c, sides.ground().demands(sides.ground().ways_to(t).front()));
        return when.empty() ? "about 0 ohm to ground" : fmt::format("about 0 ohm to ground with {}", when);
    }
    std::set<TerminalId> seen{t};
    for (TerminalId at :
         region(study.now, {t}, Through::what_conducts, [&](TerminalId x) { return seen.insert(x).second; })) {
        for (PrimitiveId id : study.now.primitives_at(at)) {
            const Primitive& p = c.at(id);
            if (!is_load(p) || !sides.ground(p.a == at ? p.b : p.a)) continue;
            const std::string name = name_of(c, p.part);
            if (p.element == Element::filament) return fmt::format("a few ohm to ground (lamp {}, cold)", name);
            if (p.element == Element::machine) return fmt::format("a few ohm to ground (motor {})", name);
            if (p.element == Element::resistance && p.resistance.known())
                return fmt::format("about {} to ground ({})", text(p.resistance.nominal), name);
            return fmt::format("something other than open or 0 ohm ({})", name);
        }
    }
    return "open";
}

std::string test_to_tell_apart(const Study& study, const Sides& sides, const std::vector<Seen>& twins) {
    const std::string begin = "Nothing cut yet: first the volts of each against ground, with the key off and on; then "
                              "battery off, and the ohms of each to ground: ";
    std::vector<std::string> expected;
    std::set<std::string> different;
    for (const Seen& s : twins) {
        if (!s.wire.exists()) return begin + "write down both beside each hole.";
        const std::string r = reading(study, sides, s.terminal);
        different.insert(r);
        expected.push_back(fmt::format("hole {} shows {}", s.hole, r));
    }
    if (different.size() == 1)
        return begin +
               fmt::format("all show {}. Take off what feeds or uses one of them, and see which of them changes.",
                           *different.begin());
    return begin + list_of(expected) + ".";
}

class Plug {
  public:
    Plug(const Study& study, const Sides& sides, const std::vector<std::uint32_t>& nets, PartId id)
        : study_(study), c_(study.circuit), sides_(sides), nets_(nets), id_(id) {}

    void look_at(const std::vector<Seen>& side, Report& report) {
        std::map<std::pair<std::string, std::string>, std::vector<Seen>> by_colour;
        std::vector<std::pair<std::string, std::string>> order;
        for (const Seen& s : side) {
            if (s.colours->main.empty()) continue;
            auto& group = by_colour[{s.colours->main, s.colours->stripe}];
            if (group.empty()) order.emplace_back(s.colours->main, s.colours->stripe);
            group.push_back(s);
        }
        for (const auto& colour : order) {
            const std::vector<Seen>& twins = by_colour[colour];
            const bool differ = std::ranges::any_of(twins, [&](const Seen& s) {
                return !same_function(study_, nets_, twins.front(), s) && s.hole != twins.front().hole;
            });
            const bool worked_on = std::ranges::any_of(twins, [&](const Seen& s) { return touched(study_, id_, s); });
            if (!differ || !worked_on || tagged(twins)) continue;
            // A run through the plug shows the same twins on both sides.
            std::string told = colour.first + "/" + colour.second;
            for (const Seen& s : twins) told += " " + s.hole;
            if (told_.insert(told).second) report.findings.push_back(finding(twins));
        }
    }

  private:
    Finding finding(const std::vector<Seen>& twins) const {
        std::vector<std::string> holes;
        for (const Seen& s : twins)
            if (std::ranges::find(holes, s.hole) == holes.end()) holes.push_back(s.hole);
        Finding f;
        f.rule = "same-colour-in-connector";
        f.severity = Severity::advice;
        f.headline =
            fmt::format("{} wires in plug {} are {} {}: holes {}.",
                        holes.size() == 2 ? "Two" : figure(static_cast<double>(holes.size())), name_of(c_, id_),
                        holes.size() == 2 ? "both" : "all", colour_words(*twins.front().colours), list_of(holes));
        f.place = where_it_lies(c_, id_);
        f.subjects.push_back(name_of(c_, id_));
        for (const Seen& s : twins) {
            f.cites.push_back(s.at);
            f.subjects.push_back(fmt::format("{}:{}", name_of(c_, id_), s.hole));
        }
        f.why = "They do different things. Once the plug is apart or a wire is cut, nothing but a meter tells which is "
                "which.";
        f.cures.push_back({"Tie a tag on each before you cut or unpin anything, and write it down: blue/white tag 1."});
        f.measure = test_to_tell_apart(study_, sides_, twins);
        return f;
    }

    const Study& study_;
    const Circuit& c_;
    const Sides& sides_;
    const std::vector<std::uint32_t>& nets_;
    PartId id_;
    std::set<std::string> told_;
};

void run(const Study& study, Report& report) {
    const Circuit& c = study.circuit;
    std::map<PartId, std::vector<Seen>> rows;
    for (const PlugRow& row : c.plug_rows)
        rows[row.connector].push_back(
            {row.hole, &row.colours, {row.colours.span.exists() ? row.colours.span : row.span, {}}, {}, {}, row.label});
    const Sides sides(study);
    const auto nets = study.graph.components(
        [&](EdgeRef e, TerminalId) { return e.is_wire() || c.at(e.primitive).element == Element::joint; });
    for (PartId id : study.now.parts()) {
        const Part& part = c.at(id);
        if (part.kind != Kind::connector || part.poisoned) continue;
        Plug plug(study, sides, nets, id);
        std::set<std::string> traced;
        for (std::uint8_t half : {std::uint8_t{0}, std::uint8_t{1}}) {
            std::vector<Seen> side;
            for (TerminalId t : part.terminals) {
                if (c.at(t).half != half) continue;
                for (WireId w : study.now.wires_at(t)) {
                    if (c.at(w).poisoned) continue;
                    side.push_back({c.at(t).stamp, &c.at(w).colours, cite_wire_end(c, w, t), w, t, c.at(w).label});
                    traced.insert(c.at(t).stamp);
                }
            }
            plug.look_at(side, report);
        }
        if (const auto seen = rows.find(id); seen != rows.end()) {
            // Where both holes were traced since, the wires speak for themselves.
            std::erase_if(seen->second, [&](const Seen& s) { return traced.contains(s.hole); });
            plug.look_at(seen->second, report);
        }
    }
}

} // namespace

const Rule same_colour_in_connector = {
    "same-colour-in-connector",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "two wires of one colour but different function side by side in a plug that the work touches",
    "always advice",
    {
        "Two holes on one side of a plug hold wires of the same colour, stripe included, that do different things.",
        "With the plug apart, or after a cut, they cannot be told from one another by eye, and the wrong one gets the "
        "new feed.",
        "Tag both before anything is cut or unpinned; the finding says what a meter shows on each. Several grounds of "
        "one kind are left alone, and so is "
        "the maker's plug as long as no job touches it.",
        "Common practice, no source.",
        R"(loom 1
connector X7 "sender plug", 3 holes, wire side, latch up, numbers mine {
  1 blue/white "temperature?"
  2 black
  3 blue/white
}
)",
        R"(loom 1
connector X7 "sender plug", 3 holes, wire side, latch up, numbers mine {
  1 blue/white "temperature?"
  2 black
  3 blue/red
}
)",
    },
    run,
};

} // namespace loomproof::rules
