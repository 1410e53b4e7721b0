#include "base/number.hpp"
#include "base/words.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule outputs_crossed; // rule_list.hpp lists it

namespace {

/// Terminals that are told apart by these stamps alone, and what each is for (DIN 72552; 53a, 53b, 58L and 58R from memory).
struct Member {
    std::string_view stamp;
    const char* is_for;
    std::array<std::string_view, 2> also{}; ///< what people write for it
    bool takes_plus = false;                ///< a feed that branches off on the way belongs to it, and not to the other
};
struct Family {
    std::vector<Member> members;
    bool misleads; ///< others on the road, or nothing works: a fault; else the wrong speed
};

const std::vector<Family>& families() {
    static const std::vector<Family> all = {
        {{{"56a", "main beam", {"main", "high"}}, {"56b", "dipped beam", {"dip", "low"}}}, true},
        {{{"L", "the left side", {"left", ""}}, {"R", "the right side", {"right", ""}}}, true},
        {{{"57L", "the left parking lamp"}, {"57R", "the right parking lamp"}}, true},
        {{{"58L", "the left side lamps"}, {"58R", "the right side lamps"}}, true},
        {{{"54", "the stop lamps", {"stop", "brake"}}, {"58", "the tail lamps", {"tail", "side"}}}, true},
        {{{"49", "the flasher's input", {}, true}, {"49a", "the flasher's output"}}, true},
        {{{"53", "the slow speed", {"slow", ""}}, {"53b", "the fast speed", {"fast", "53i"}}}, false},
        {{{"53a", "the plus of the contact that parks it", {}, true}, {"31b", "the way back over that contact"}}, true},
        {{{"53", "the slow speed"}, {"53a", "the plus of the contact that parks it", {}, true}}, true},
        {{{"53", "the slow speed"}, {"31b", "the way back over the contact that parks it"}}, true},
        {{{"53b", "the fast speed"}, {"31b", "the way back over the contact that parks it"}}, true},
    };
    return all;
}

/// Two terminals of one part of one family.
struct Pair {
    const Member *one, *other;
    TerminalId at_one, at_other;
};

struct Crossed {
    PartId from;
    Pair there, here; ///< here: of the part that gets it the wrong way round
    PartId at;
};

class Judge {
  public:
    Judge(const Study& s, Report& report)
        : s_(s), c_(s.circuit), report_(report), net_(s.graph.components([&](EdgeRef e, TerminalId) {
              if (e.is_wire()) return true;
              const Element element = c_.at(e.primitive).element;
              return element == Element::joint || element == Element::protector || element == Element::meter;
          })) {}

    void run() {
        for (const Family& family : families()) {
            std::vector<std::pair<PartId, Pair>> stamped;
            for (PartId id : s_.now.parts())
                if (!c_.at(id).poisoned)
                    if (const auto pair = pair_of(id, family)) stamped.emplace_back(id, *pair);
            std::map<PartId, std::vector<Crossed>> by_giver;
            for (std::size_t i = 0; i < stamped.size(); ++i)
                for (std::size_t j = i + 1; j < stamped.size(); ++j)
                    if (crossed(stamped[i].second, stamped[j].second)) {
                        // What gives it is drawn as it is; what takes it is said to be the wrong way round.
                        const std::size_t giver = gives(stamped[j].first) && !gives(stamped[i].first) ? j : i,
                                          taker = giver == i ? j : i;
                        by_giver[stamped[giver].first].push_back(
                            {stamped[giver].first, stamped[giver].second, stamped[taker].second, stamped[taker].first});
                    }
            for (const auto& [giver, all] : by_giver) say(family, all);
        }
        look_at_feeds();
        look_at_motors();
        look_at_parking();
    }

  private:
    bool gives(PartId id) const {
        const Kind kind = c_.at(id).kind;
        return kind == Kind::switching || kind == Kind::flasher || kind == Kind::relay || kind == Kind::supply;
    }

    TerminalId stamped(PartId id, std::string_view stamp) const {
        for (TerminalId t : c_.at(id).terminals)
            if (equal_ignoring_case(c_.at(t).stamp, stamp) && !c_.at(t).internal && !s_.now.wires_at(t).empty())
                return t;
        return {};
    }

    /// Is it joined to a feed over wires and fuses alone?
    bool is_fed(TerminalId t) const {
        const auto joined = [&](TerminalId pole) { return net_[pole.index] == net_[t.index]; };
        if (std::ranges::any_of(live_poles(s_, false), joined)) return true;
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
            const Primitive& p = c_.at(id);
            return p.purpose == Purpose::feed_condition && (joined(p.a) || joined(p.b));
        });
    }

    /// A wiper's switch takes its feed at 53a and gives the fast speed at 53b. With the two exchanged the feed has no stamp to be told by.
    void look_at_feeds() {
        for (PartId id : s_.now.parts()) {
            if (c_.at(id).kind != Kind::switching || c_.at(id).poisoned) continue;
            const TerminalId feed = stamped(id, "53a"), fast = stamped(id, "53b");
            if (!feed.exists() || !fast.exists() || is_fed(feed) || !is_fed(fast) || s_.reference[fast.index]) continue;
            for (PartId motor : s_.now.parts()) {
                if (c_.at(motor).kind != Kind::motor || c_.at(motor).poisoned) continue;
                const TerminalId end = stamped(motor, "53b");
                if (!end.exists() || net_[end.index] != net_[feed.index]) continue;
                say_feed(id, motor, feed, fast, "the feed comes in at 53b, and {} gets its fast speed from 53a",
                         "By their stamps 53a takes the feed and 53b is the fast speed: what the switch joins with 53a "
                         "gets no plus, so the slow speed, and whatever else it feeds from there, stays dead.");
                break;
            }
        }
    }

    /// The same at the motor: the feed of its parking contact comes in at 53b, and what the switch gives at 53b goes to 53a.
    void look_at_motors() {
        for (PartId motor : s_.now.parts()) {
            if (c_.at(motor).kind != Kind::motor || c_.at(motor).poisoned) continue;
            const TerminalId park = stamped(motor, "53a"), fast = stamped(motor, "53b");
            if (!park.exists() || !fast.exists() || is_fed(park) || !is_fed(fast)) continue;
            for (PartId stalk : s_.now.parts()) {
                const TerminalId gives = stamped(stalk, "53b");
                if (c_.at(stalk).kind != Kind::switching || c_.at(stalk).poisoned || !gives.exists() ||
                    net_[gives.index] != net_[park.index])
                    continue;
                say_feed(motor, stalk, fast, park,
                         "the feed of the contact that parks it comes in at 53b, and the fast speed of {} at 53a",
                         "By their stamps 53a takes the feed and 53b is the fast speed: so its fast winding is fed at "
                         "all times, pulls against the slow one, and it does not park.");
                break;
            }
        }
    }

    /// Does this switch join the two ends in that position of one of its controls?
    bool joins(PartId stalk, ControlId control, std::size_t position, TerminalId one, TerminalId two) const {
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
            const Primitive& p = c_.at(id);
            return p.part == stalk && p.element == Element::contact && p.control == control &&
                   (p.closed_in >> position & 1) != 0 && ((p.a == one && p.b == two) || (p.a == two && p.b == one));
        });
    }

    /// Where the stalk bears no stamps of the standard, what it does tells the same: at rest it joins the slow winding with the way back
    /// over the contact that parks the motor, and in a speed with the feed. The other way round two wires are exchanged.
    void look_at_parking() {
        for (PartId motor : s_.now.parts()) {
            if (c_.at(motor).kind != Kind::motor || c_.at(motor).poisoned) continue;
            const TerminalId back = stamped(motor, "31b"), slow = stamped(motor, "53"), plus = stamped(motor, "53a");
            if (!back.exists() || !slow.exists() || !plus.exists()) continue;
            for (PartId stalk : s_.now.parts()) {
                if (c_.at(stalk).kind != Kind::switching || c_.at(stalk).poisoned || stamped(stalk, "53a").exists() ||
                    stamped(stalk, "31b").exists())
                    continue;
                look_at_parking(motor, stalk, back, slow, plus);
            }
        }
    }
    void look_at_parking(PartId motor, PartId stalk, TerminalId back, TerminalId slow, TerminalId plus) {
        const auto on = [&](TerminalId end) {
            std::vector<TerminalId> there;
            for (TerminalId t : c_.at(stalk).terminals)
                if (!c_.at(t).internal && net_[t.index] == net_[end.index]) there.push_back(t);
            return there;
        };
        if (net_[back.index] == net_[plus.index] || net_[back.index] == net_[slow.index]) return;
        const std::vector<TerminalId> windings = on(slow), ways_back = on(back), feeds = on(plus);
        for (ControlId control : c_.at(stalk).controls) {
            const std::size_t rest = c_.at(control).rest;
            const auto in = [&](std::size_t position, const std::vector<TerminalId>& others) {
                return std::ranges::any_of(windings, [&](TerminalId winding) {
                    return std::ranges::any_of(
                        others, [&](TerminalId t) { return joins(stalk, control, position, winding, t); });
                });
            };
            if (in(rest, ways_back)) continue;
            for (std::size_t at = 0; at < c_.at(control).positions.size(); ++at) {
                if (at == rest || !in(at, ways_back)) continue;
                if (in(rest, feeds))
                    say_parking(motor, stalk, control, at, {back, plus}, {ways_back.front(), feeds.front()});
                else
                    say_parking_open(motor, stalk);
                return;
            }
        }
    }
    void say_parking_open(PartId motor, PartId stalk) {
        report_.not_checked.push_back(
            {outputs_crossed.id, fmt::format("whether 53a and 31b of {} are exchanged", name_of(c_, motor)),
             fmt::format("{} joins 53 with 31b where it does not rest, and its ends bear no stamps that tell them",
                         name_of(c_, stalk)),
             fmt::format("Ignition on, wiper parked, meter on volts from {}:31b to ground: 0 V is right; the battery's "
                         "volts: the feed is on 31b, exchange it with 53a.",
                         name_of(c_, motor))});
    }
    void say_parking(PartId motor, PartId stalk, ControlId control, std::size_t runs,
                     const std::array<TerminalId, 2>& at_motor, const std::array<TerminalId, 2>& at_stalk) {
        // The feed branches off to the motor's 53a and to the stalk: the end that it does not reach first is the wrong one.
        const std::vector<std::uint32_t> reach = joined_after({}, {stalk, motor}, true);
        const bool live_at_back = std::ranges::any_of(
            live_poles(s_, false), [&](TerminalId pole) { return reach[pole.index] == reach[at_motor[0].index]; });
        const PartId at_part = live_at_back ? motor : stalk;
        const auto& ends = live_at_back ? at_motor : at_stalk;
        const Control& switched = c_.at(control);
        const std::string rest = fmt::format("{} at {}", name_of(c_, stalk), switched.positions[switched.rest]);
        Finding f;
        f.rule = outputs_crossed.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(
            live_at_back
                ? fmt::format("Two wires of {} are crossed: the feed of the contact that parks it comes in at 31b, and "
                              "what {} joins with 53 goes to 53a.",
                              called(c_, motor), rest)
                : fmt::format("Two wires of {} are crossed, the feed and the way back of the contact that parks {}: {} "
                              "runs with {} and stands at {}.",
                              called(c_, stalk), name_of(c_, motor), name_of(c_, motor), rest,
                              switched.positions[runs]));
        f.place = where_it_lies(c_, at_part);
        f.why = live_at_back
                    ? fmt::format("{} joins 53 at rest with what goes to 53a, and in {} with what goes to 31b. Parked, "
                                  "the contact in the motor joins 31b to ground: the feed there is a short.",
                                  name_of(c_, stalk), switched.positions[runs])
                    : fmt::format("{} joins the slow winding at rest with the feed, and in {} with the motor's 31b.",
                                  name_of(c_, stalk), switched.positions[runs]);
        f.limit = "at rest a wiper switch joins 53 with 31b, in a speed with the feed (DIN 72552; 53a from memory)";
        f.cures.push_back({fmt::format("Exchange {} at {}.", list_of(cite_exchange(f, ends[0], ends[1], true)),
                                       name_of(c_, at_part))});
        f.cures.push_back({fmt::format("If the wires are right as they are, the line of {} is not: write at {} which "
                                       "ends it joins, as a meter shows them.",
                                       name_of(c_, stalk), switched.positions[switched.rest])});
        f.subjects.insert(f.subjects.begin(), {name_of(c_, at_part), name_of(c_, at_part == motor ? stalk : motor),
                                               name_of(c_, ends[0]), name_of(c_, ends[1])});
        if (live_at_back) // the short goes on over the contact in the motor
            if (const TerminalId ground = stamped(motor, "31"); ground.exists())
                f.subjects.push_back(name_of(c_, ground));
        report_.findings.push_back(std::move(f));
    }

    /// `at_part`: where the two wires are exchanged; `other`: the switch or motor at the other end of one of them.
    void say_feed(PartId at_part, PartId other, TerminalId one, TerminalId two, const char* what, const char* why) {
        Finding f;
        f.rule = outputs_crossed.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format("Two wires of {} are crossed: {}.", called(c_, at_part),
                                                fmt::format(fmt::runtime(what), name_of(c_, other))));
        f.place = where_it_lies(c_, at_part);
        f.why = why;
        f.limit = "53a is plus for the switch and for the contact that parks it, 53b the fast speed (DIN 72552; both "
                  "from memory)";
        f.cures.push_back(
            {fmt::format("Exchange {} at {}.", list_of(cite_exchange(f, one, two, true)), name_of(c_, at_part))});
        f.subjects.insert(f.subjects.begin(),
                          {name_of(c_, at_part), name_of(c_, other), name_of(c_, one), name_of(c_, two)});
        report_.findings.push_back(std::move(f));
    }

    static bool is(const Member& m, const std::string& stamp) {
        return equal_ignoring_case(stamp, m.stamp) || std::ranges::any_of(m.also, [&](std::string_view word) {
                   return !word.empty() && equal_ignoring_case(stamp, word);
               });
    }

    std::optional<Pair> pair_of(PartId id, const Family& family) const {
        Pair pair{&family.members[0], &family.members[1], {}, {}};
        for (TerminalId t : c_.at(id).terminals) {
            if (c_.at(t).internal || s_.now.wires_at(t).empty()) continue;
            if (is(*pair.one, c_.at(t).stamp)) pair.at_one = t;
            if (is(*pair.other, c_.at(t).stamp)) pair.at_other = t;
        }
        if (!pair.at_one.exists() || !pair.at_other.exists()) return std::nullopt;
        return pair;
    }

    bool crossed(const Pair& a, const Pair& b) const {
        const std::uint32_t one = net_[a.at_one.index], other = net_[a.at_other.index];
        return one != other && one == net_[b.at_other.index] && other == net_[b.at_one.index] && !is_expected(a) &&
               !is_expected(b);
    }
    /// What the file says about such an end by name is judged by what it says.
    bool is_expected(const Pair& p) const {
        return std::ranges::any_of(c_.expectations, [&](const Expectation& e) {
            return e.filament.exists() && (e.filament == p.at_one || e.filament == p.at_other);
        });
    }

    /// Where to exchange the wires: a part, and its two terminals.
    struct Exchange {
        PartId at;
        Pair ends;
    };

    /// The circuit with these wires exchanged: what wires and joints (and contacts, but those of `without`) join. Index: terminal.
    std::vector<std::uint32_t> joined_after(const std::vector<Exchange>& exchanges, const std::vector<PartId>& without,
                                            bool over_contacts) const {
        std::vector<std::uint32_t> root(c_.terminals.size());
        for (std::uint32_t i = 0; i < root.size(); ++i) root[i] = i;
        const auto find = [&](TerminalId t) {
            auto i = static_cast<std::uint32_t>(t.index);
            while (root[i] != i) i = root[i] = root[root[i]];
            return i;
        };
        const auto moved = [&](TerminalId t) {
            for (const Exchange& e : exchanges) {
                if (t == e.ends.at_one) return e.ends.at_other;
                if (t == e.ends.at_other) return e.ends.at_one;
            }
            return t;
        };
        for (WireId w : s_.now.wires())
            if (c_.at(w).a.exists() && c_.at(w).b.exists()) root[find(moved(c_.at(w).a))] = find(moved(c_.at(w).b));
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            const bool contact =
                p.element == Element::contact && over_contacts && std::ranges::find(without, p.part) == without.end();
            if (contact || p.element == Element::joint || p.element == Element::protector ||
                p.element == Element::meter)
                root[find(p.a)] = find(p.b);
        }
        std::vector<std::uint32_t> joined(root.size());
        for (std::size_t t = 0; t < joined.size(); ++t) joined[t] = find(TerminalId{t});
        return joined;
    }

    /// Done so, does each stamp lie with its like alone, does the feed come to the stamp that takes it, and is nothing live joined to
    /// ground?
    bool is_clean(const std::vector<Exchange>& exchanges, const Family& family, const std::vector<Crossed>& all) const {
        std::vector<PartId> parts = {all.front().from};
        for (const Crossed& k : all) parts.push_back(k.at);
        const std::vector<std::uint32_t> net = joined_after(exchanges, parts, false),
                                         reach = joined_after(exchanges, parts, true);
        const std::vector<TerminalId> poles = live_poles(s_, false);
        const auto is_live = [&](TerminalId t) {
            return std::ranges::any_of(poles, [&](TerminalId pole) { return reach[pole.index] == reach[t.index]; });
        };
        for (const auto& [at_one, at_other] : ends_of(all)) {
            for (PartId id : s_.now.parts())
                for (TerminalId t : c_.at(id).terminals) {
                    if (c_.at(t).internal) continue;
                    if (net[t.index] == net[at_one.index] && is(family.members[1], c_.at(t).stamp)) return false;
                    if (net[t.index] == net[at_other.index] && is(family.members[0], c_.at(t).stamp)) return false;
                }
            if (family.members[0].takes_plus && is_live(at_other) && !is_live(at_one)) return false;
            if (family.members[1].takes_plus && is_live(at_one) && !is_live(at_other)) return false;
            for (TerminalId end : {at_one, at_other}) {
                const bool fed =
                    std::ranges::any_of(poles, [&](TerminalId pole) { return net[pole.index] == net[end.index]; });
                if (!fed) continue;
                for (std::size_t t = 0; t < net.size(); ++t)
                    if (s_.reference[t] && net[t] == net[end.index]) return false;
            }
        }
        return true;
    }
    static std::vector<std::pair<TerminalId, TerminalId>> ends_of(const std::vector<Crossed>& all) {
        std::vector<std::pair<TerminalId, TerminalId>> ends = {{all.front().there.at_one, all.front().there.at_other}};
        for (const Crossed& k : all) ends.emplace_back(k.here.at_one, k.here.at_other);
        return ends;
    }

    /// It is not the same at which end one exchanges them where a splice lies in between: the first end that leaves each stamp with its
    /// like; none where it is neither.
    std::vector<Exchange> where_to_exchange(const Family& family, const std::vector<Crossed>& all) const {
        std::vector<Exchange> here;
        for (const Crossed& k : all) here.push_back({k.at, k.here});
        if (is_clean(here, family, all)) return here;
        std::vector<Exchange> there = {{all.front().from, all.front().there}};
        if (is_clean(there, family, all)) return there;
        return {};
    }

    /// The wires on both terminals, cited there, with the terminal that each belongs on.
    std::vector<std::string> cite_exchange(Finding& f, TerminalId one, TerminalId other, bool edit) const {
        std::vector<std::string> wires;
        for (const auto& [at, to] : {std::pair{one, other}, std::pair{other, one}})
            for (WireId w : s_.now.wires_at(at)) {
                const Citation end = cite_wire_end(c_, w, at, "crossed");
                f.cites.push_back(end);
                if (edit) f.edits.push_back({end.span, name_of(c_, to), TextEdit::Grade::your_choice});
                f.subjects.push_back(subject_of(c_, w));
                wires.push_back(called(c_, w));
            }
        return wires;
    }

    void say(const Family& family, const std::vector<Crossed>& all) {
        const Crossed& first = all.front();
        std::vector<PartId> takers;
        for (const Crossed& k : all) takers.push_back(k.at);
        const std::string giver = name_of(c_, first.from);
        const auto joined = [&](const Crossed& k) {
            return fmt::format("{} goes to {} and {} to {}", name_of(c_, k.there.at_one), name_of(c_, k.here.at_other),
                               name_of(c_, k.there.at_other), name_of(c_, k.here.at_one));
        };
        Finding f;
        f.rule = outputs_crossed.id;
        f.severity = family.misleads ? Severity::fault : Severity::advice;
        f.headline = sentence_start(fmt::format("Two wires between {} and {} are crossed: {}.", giver,
                                                list_of(names_of(c_, takers)), joined(first)));
        f.place = where_it_lies(c_, first.at);
        f.why = fmt::format("By their stamps {} is {} and {} {}: what is switched as one comes on as the other.",
                            first.there.one->stamp, first.there.one->is_for, first.there.other->stamp,
                            first.there.other->is_for);
        f.limit = fmt::format("{} and {} are terminals of their own (DIN 72552)", first.there.one->stamp,
                              first.there.other->stamp);
        const std::vector<Exchange> exchanges = where_to_exchange(family, all);
        const bool at_giver = !exchanges.empty() && exchanges.front().at == first.from;
        const std::string not_there =
            at_giver ? fmt::format(", not at {}: what branches off on the way would then be on the wrong one",
                                   list_of(names_of(c_, takers)))
                     : "";
        for (const Exchange& e : exchanges)
            f.cures.push_back(
                {fmt::format("Exchange {} at {}{}.", list_of(cite_exchange(f, e.ends.at_one, e.ends.at_other, true)),
                             name_of(c_, e.at), not_there)});
        if (exchanges.empty()) {
            for (const Crossed& k : all) cite_exchange(f, k.here.at_one, k.here.at_other, false);
            cite_exchange(f, first.there.at_one, first.there.at_other, false);
            f.cures.push_back({fmt::format(
                "Follow both wires from {} to {} and exchange them where they change places. At either end alone it "
                "does not come right: what branches off on the way would be on the wrong one.",
                giver, list_of(names_of(c_, takers)))});
        }
        f.cures.push_back({fmt::format("If it is meant so: write accept outputs-crossed on {} because \"...\".",
                                       name_of(c_, first.at))});
        std::vector<std::string> names = names_of(c_, takers);
        names.push_back(giver);
        for (TerminalId t : {first.here.at_one, first.here.at_other, first.there.at_one, first.there.at_other})
            names.push_back(name_of(c_, t));
        f.subjects.insert(f.subjects.begin(), names.begin(), names.end());
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    std::vector<std::uint32_t> net_; ///< by terminal: what wires, joints and fuses join
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule outputs_crossed = {
    "outputs-crossed",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "two wires between parts stamped alike that are exchanged: 56a on 56b, L on R, 53 on 53b",
    "a fault; advice where only the two speeds of a wiper change places",
    {
        "Both parts bear the stamps of one family, and each of the two wires joins one stamp to the other: the first "
        "here to the second there, the second here to the first there.",
        "Main comes on as dip, left as right, slow as fast; the wiper does not park. Everything lights, so it is found "
        "on the road.",
        "Exchange the two wires at the end that the finding names. Where something branches off between the two, it "
        "is not the same at which end: a feed would come to the wrong one.",
        "The stamps of DIN 72552: 56a main and 56b dip, L and R, 54 stop and 58 tail, 49 and 49a of a flasher, 53 and "
        "53b of a wiper (53a, 53b, 58L and 58R from memory). Silent where only one end is stamped so, where one of the "
        "wires alone goes elsewhere, and where the file expects something of one of these ends by name.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
switch S1 "wiper", 10 A {
  off*
  slow connects 53a with 53
  fast connects 53a with 53b
}
motor M1 "wiper", slow 3 A, fast 5 A
wire W1 from S15 to S1:53a, 1.5 mm2 green, 1 m
wire W2 from S1:53 to M1:53b, 1.5 mm2 blue, 1 m
wire W3 from S1:53b to M1:53, 1.5 mm2 yellow, 1 m
wire W4 from M1:31 to ground, 1.5 mm2 black, 0.3 m
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
switch S1 "wiper", 10 A {
  off*
  slow connects 53a with 53
  fast connects 53a with 53b
}
motor M1 "wiper", slow 3 A, fast 5 A
wire W1 from S15 to S1:53a, 1.5 mm2 green, 1 m
wire W2 from S1:53 to M1:53, 1.5 mm2 blue, 1 m
wire W3 from S1:53b to M1:53b, 1.5 mm2 yellow, 1 m
wire W4 from M1:31 to ground, 1.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
