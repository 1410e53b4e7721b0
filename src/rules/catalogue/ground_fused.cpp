#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include "base/number.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule ground_fused; // rule_list.hpp lists it

namespace {

/// A protector through which current gets back to ground, and never to anything from a live pole.
struct InGround {
    PartId fuse{};
    TerminalId load_end{}, ground_end{};
    std::vector<PartId> loads{};   ///< that are fed and hang on the load end, in text order
    std::vector<TerminalId> fed{}; ///< their other ends
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), sides_(s), report_(report) {}

    void run() {
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            const Kind kind = c_.at(p.part).kind;
            if (p.element != Element::protector || c_.at(p.part).poisoned) continue;
            if (kind != Kind::fuse && kind != Kind::link && kind != Kind::breaker) continue;
            if (sides_.live(p.a) || sides_.live(p.b) || !(sides_.ground(p.a) && sides_.ground(p.b))) continue;
            if (s_.now.wires_at(p.a).empty() || s_.now.wires_at(p.b).empty()) continue;
            look_at(p);
        }
    }

  private:
    void look_at(const Primitive& p) {
        const Spread back(s_.now, {.starts = solid_ground(), .with_current = !s_.from_plus(), .without_part = p.part});
        const bool turned =
            back.reached(p.a) && (!back.reached(p.b) || (s_.reference[p.a.index] && !s_.reference[p.b.index]));
        InGround found{.fuse = p.part, .load_end = turned ? p.b : p.a, .ground_end = turned ? p.a : p.b};
        // What goes solidly to ground over a fuse is a ground line, whatever the pin of an electronic unit behind it may be.
        if (sides_.untraced(found.load_end) && !s_.reference[found.ground_end.index]) {
            report_.not_checked.push_back(
                {ground_fused.id, fmt::format("whether {} lies in a ground line", called(c_, p.part)),
                 fmt::format("nobody traced what is wired to {}", name_of(c_, found.load_end)),
                 "Trace it to its other end."});
            return;
        }
        find_loads(found);
        report_.findings.push_back(finding(found));
    }

    std::vector<TerminalId> solid_ground() const {
        std::vector<TerminalId> found;
        for (std::size_t i = 0; i < s_.reference.size(); ++i)
            if (s_.reference[i]) found.push_back(TerminalId{i});
        return found;
    }

    void find_loads(InGround& found) const {
        std::vector<bool> seen(c_.terminals.size());
        seen[found.load_end.index] = true;
        const auto enter = [&](TerminalId t) {
            if (seen[t.index] || s_.reference[t.index]) return false;
            seen[t.index] = true;
            return true;
        };
        for (TerminalId t : region(s_.now, {found.load_end}, Through::what_conducts, enter, found.fuse))
            for (PrimitiveId id : s_.now.primitives_at(t)) {
                const Primitive& load = c_.at(id);
                const TerminalId other = load.a == t ? load.b : load.a;
                if (!is_load(load) || !sides_.live(other)) continue;
                found.fed.push_back(other);
                if (std::ranges::find(found.loads, load.part) == found.loads.end()) found.loads.push_back(load.part);
            }
        std::ranges::sort(found.loads);
    }

    /// The worst of what stands before the loads.
    Guard guard(const InGround& found) const {
        Guard worst = Guard::known;
        for (TerminalId t : found.fed) {
            const Guard g = guard_before(s_, sides_, t);
            if (g == Guard::none) return g;
            if (g == Guard::unknown) worst = g;
        }
        return worst;
    }

    std::string live_pole() const {
        for (TerminalId t : live_poles(s_, true))
            if (c_.part_of(t).kind == Kind::battery) return name_of(c_, t);
        return s_.from_plus() ? "the battery's plus" : "the battery's minus";
    }

    std::string of_loads(const InGround& found) const {
        std::vector<std::string> names = names_of(c_, found.loads);
        if (names.empty()) return "a ground line";
        if (names.size() == 1) return fmt::format("the ground line of {}", called(c_, found.loads.front()));
        if (names.size() > 5) {
            const std::size_t rest = names.size() - 4;
            names.resize(4);
            names.push_back(fmt::format("{} more", rest));
        }
        return fmt::format("the ground line of {}", list_of(names));
    }

    Finding finding(const InGround& found) const {
        const Guard before = guard(found);
        const std::string fuse = called(c_, found.fuse), name = name_of(c_, found.fuse);
        const std::string them = found.loads.size() == 1 ? name_of(c_, found.loads.front())
                                 : found.loads.empty()   ? "what hangs on it"
                                                         : "them";
        Finding f;
        f.rule = ground_fused.id;
        f.severity = before == Guard::known ? Severity::advice : Severity::fault;
        if (before == Guard::unknown) f.certainty = Certainty::undecided;
        f.headline = sentence_start(fmt::format("{} lies in {}", fuse, of_loads(found)));
        f.headline +=
            before == Guard::none
                ? fmt::format(
                      ", and no fuse protects the feed: a wire shorted to the body on the way to {} bypasses it.", them)
            : before == Guard::unknown ? ", and nobody said whether the feed has a fuse too."
            : found.fed.empty()        ? ", where it protects no wire."
                                       : ", where it protects no wire: the feed has a fuse already.";
        f.place = where_it_lies(c_, found.fuse);
        f.cites = {cite_part(c_, found.fuse), cite_terminal(s_.now, found.load_end, "from the load"),
                   cite_terminal(s_.now, found.ground_end, "to ground")};
        f.why =
            before == Guard::known
                ? fmt::format("A short to the body never flows through it. When it opens, {} without ground and all "
                              "wiring up to it stays live.",
                              found.loads.size() == 1 ? them + " is"
                              : found.loads.empty()   ? "what hangs on it is"
                                                      : "they are")
                : "What a damaged feed drives into the body goes round this fuse, so it never opens; and when it does "
                  "open, all wiring up to it stays live.";
        f.limit = "a fuse stands where the wire leaves the source (common practice)";
        const std::string place = fmt::format("into the feed, next to {}", live_pole());
        if (before == Guard::known)
            f.cures.push_back({fmt::format("Take {} out and join its two wires{}", name,
                                           found.fed.empty() ? "; the fuse belongs into the feed."
                                                             : "; the fuse in the feed is enough.")});
        else
            f.cures.push_back(
                {fmt::format("Move {} {}, and join the two wires that it leaves in the ground line.{}", name, place,
                             s_.from_plus() ? "" : " Plus is ground in this vehicle: the live side is minus.")});
        if (before == Guard::unknown)
            f.measure = fmt::format("Find out what the feed comes from: if it has a fuse there, {} does no more than "
                                    "leave its loads without ground; if not, move it there.",
                                    name);
        f.subjects = {name};
        for (PartId p : found.loads) f.subjects.push_back(name_of(c_, p));
        return f;
    }

    const Study& s_;
    const Circuit& c_;
    const Sides sides_;
    Report& report_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule ground_fused = {
    "ground-fused",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a fuse in a ground line",
    "a fault where no fuse stands in the feed; advice where the feed has one too",
    {
        "Current passes the fuse only after it has been through the load, on its way to ground. Contacts there are "
        "everyday practice; a fuse is not.",
        "A short from the feed to the body goes round such a fuse: it never opens, and the feed burns. When it opens "
        "all the same, the load is dead "
        "but all its wiring stays live.",
        "Move the fuse into the feed, next to the battery: into the plus lead, or into the live minus lead where plus "
        "is ground. Where the feed has a "
        "fuse, take this one out.",
        "A fuse stands where the wire leaves the source: common practice, no source.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
fuse F1, 15 A
fuse F2, 15 A
switch S1 "dash switch", 16 A
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 2.5 mm2 red, 1 m
wire W3 from S1 to E1, 2.5 mm2 red, 1 m
wire W4 from E1 to F2, 2.5 mm2 black, 0.5 m
wire W5 from F2 to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
fuse F1, 15 A
switch S1 "dash switch", 16 A
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 2.5 mm2 red, 1 m
wire W3 from S1 to E1, 2.5 mm2 red, 1 m
wire W4 from E1 to ground, 2.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
