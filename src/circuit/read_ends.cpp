/// Where a wire ends: a part and its terminal, a ground, the end of a cut piece; and the ways in which people type that.

#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/kinds/kinds.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"
#include "circuit/view.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof {

namespace {

/// Two ends that may stand for one another: a wire end without a terminal name is then allowed.
bool ends_are_alike(const Circuit& c, const Part& part) {
    if (part.terminals.size() != 2) return false;
    const Role a = c.at(part.terminals[0]).role, b = c.at(part.terminals[1]).role;
    return (a == Role::end1 && b == Role::end2) || (a == Role::contact && b == Role::contact);
}

std::vector<std::string> stamps(const Circuit& c, const Part& part) {
    std::vector<std::string> out;
    for (const Attribute& a : part.attributes) // the studs of a box
        if (a.key == Attr::rail && (out.empty() || out.back() != a.word.substr(0, a.word.find(' '))))
            out.push_back(a.word.substr(0, a.word.find(' ')));
    for (TerminalId t : part.terminals)
        if (!c.at(t).internal && !c.at(t).stamp.empty() && (out.empty() || out.back() != c.at(t).stamp))
            out.push_back(c.at(t).stamp);
    return out;
}

/// The terminals that one who typed `stamp` may mean: first what the trade's other names say, then what is nearly that; all, where the
/// part has no more than two. Three at most.
std::vector<std::string> likely_stamps(const Part& part, const std::string& stamp, std::vector<std::string> there) {
    struct Other {
        const char *typed, *meant;
    };
    // Words on relays of other makes, and stamps of DIN 72552 that are no relay's own: 31 is ground, 15 and 56 what a switch gives out.
    static constexpr Other of_relays[] = {{"NO", "87"}, {"NC", "87a"}, {"COM", "30"}, {"C", "30"},  {"A1", "86"},
                                          {"A2", "85"}, {"31", "85"},  {"15", "86"},  {"56", "86"}, {"B+", "30"}};
    std::vector<std::string> out;
    const auto take = [&](const std::string& name) {
        const auto at = std::ranges::find(there, name);
        if (at == there.end() || out.size() == 3) return;
        out.push_back(*at);
        there.erase(at);
    };
    if (part.kind == Kind::relay)
        for (const Other& o : of_relays)
            if (equal_ignoring_case(stamp, o.typed)) take(o.meant);
    while (const auto near = nearest_name(stamp, there)) {
        if (out.size() == 3) break;
        take(*near);
    }
    if (out.empty() && there.size() <= 2) out = there;
    return out;
}

/// How the input is marked that tells a charger between two batteries that the engine runs.
bool is_trigger_stamp(std::string_view stamp) {
    constexpr std::string_view marks[] = {"D+", "15", "61", "trigger", "ign", "ignition", "remote", "enable"};
    return std::ranges::any_of(marks, [&](std::string_view m) { return equal_ignoring_case(m, stamp); });
}

} // namespace

std::optional<TerminalId> Reader::find_terminal(PartId id, std::string_view stamp) {
    const Part& part = c_.at(id);
    for (TerminalId t : part.terminals)
        if (!c_.at(t).internal && equal_ignoring_case(c_.at(t).stamp, stamp)) return t;
    if (part.kind == Kind::box) { // its studs and rails
        for (const Attribute& a : part.attributes) {
            const std::size_t blank = a.word.find(' ');
            if (a.key == Attr::rail && (equal_ignoring_case(a.word.substr(0, blank), stamp) ||
                                        equal_ignoring_case(a.word.substr(blank + 1), stamp)))
                return c_.at(*part_named(a.word.substr(blank + 1))).terminals.front();
        }
        return std::nullopt;
    }
    for (const Attribute& a : part.attributes) { // what the writer says is moulded on it
        const std::size_t blank = a.word.find(' ');
        if (a.key == Attr::stamped && blank != std::string::npos && equal_ignoring_case(a.word.substr(0, blank), stamp))
            return find_terminal(id, a.word.substr(blank + 1));
        if (a.key == Attr::lamp_stamp && equal_ignoring_case(a.word, stamp)) return find_terminal(id, "L");
        if (a.key == Attr::sense_stamp && equal_ignoring_case(a.word, stamp)) return find_terminal(id, "S");
    }
    const auto by_alias = [&](std::span<const TerminalSpec> specs) -> std::optional<TerminalId> {
        for (const TerminalSpec& spec : specs) {
            std::string_view aliases = spec.aliases;
            while (!aliases.empty()) {
                const std::size_t blank = aliases.find(' ');
                if (equal_ignoring_case(aliases.substr(0, blank), stamp)) return find_terminal(id, spec.stamp);
                aliases.remove_prefix(blank == std::string_view::npos ? aliases.size() : blank + 1);
            }
        }
        return std::nullopt;
    };
    if (const auto t = by_alias(spec_of(part.kind).terminals)) return t;
    // Terminals that a shape function made: the usual words for ends and poles.
    for (TerminalId t : part.terminals) {
        const Role role = c_.at(t).role;
        if ((stamp == "+" || equal_ignoring_case(stamp, "plain") || equal_ignoring_case(stamp, "anode")) &&
            role == Role::anode)
            return t;
        if ((stamp == "-" || equal_ignoring_case(stamp, "band") || equal_ignoring_case(stamp, "cathode")) &&
            role == Role::cathode)
            return t;
        if ((stamp == "-" || stamp == "31" || equal_ignoring_case(stamp, "case") ||
             equal_ignoring_case(stamp, "ground") || equal_ignoring_case(stamp, "common")) &&
            role == Role::minus)
            return t;
        if (part.kind == Kind::motor && role == Role::filament &&
            equal_ignoring_case(stamp, c_.at(t).stamp == "53"    ? "slow"
                                       : c_.at(t).stamp == "53m" ? "medium"
                                                                 : "fast"))
            return t;
        if (part.kind == Kind::motor && equal_ignoring_case(stamp, "53i") && c_.at(t).stamp == "53b") return t;
        const bool plus = equal_ignoring_case(stamp, "plus") || equal_ignoring_case(stamp, "pos") ||
                          equal_ignoring_case(stamp, "positive");
        if (plus && role == Role::plus && c_.at(t).stamp == "+") return t;
        if ((part.kind == Kind::lamp || part.kind == Kind::switching) && stamp == "+" && role == Role::end1) return t;
        if ((part.kind == Kind::lamp || part.kind == Kind::switching) && stamp == "-" && role == Role::end2) return t;
    }
    if (part.kind == Kind::bus) return add_terminal(id, {id, std::string(stamp), Role::joint, 0, 4, false});
    if (part.kind == Kind::not_known)
        return add_terminal(id, {id, std::string(stamp), Role::joint, 0, any_number, false});
    if (part.kind == Kind::connector) { // any hole may be named; whether the plug has so many is a rule's question
        const TerminalId first = add_terminal(id, {id, std::string(stamp), Role::hole, 0, 1, false});
        add_terminal(id, {id, std::string(stamp), Role::hole, 1, 1, false});
        return first;
    }
    return std::nullopt;
}

/// A wire at a plug hole ends on a half: the named one, else the one that has no wire yet.
TerminalId Reader::free_side_of_hole(PartId id, TerminalId first_half, const std::string& half) {
    const TerminalId second{first_half.index + std::size_t{1}};
    Part& part = c_.parts[id.index];
    if (!half.empty()) {
        // The first word used for a half of this plug means half 0, any other half 1.
        for (Attribute& a : part.attributes)
            if (a.key == Attr::plus_side) return equal_ignoring_case(a.word, half) ? first_half : second;
        Attribute name;
        name.key = Attr::plus_side;
        name.word = half;
        part.attributes.push_back(std::move(name));
        return first_half;
    }
    if (wires_now(first_half, now_) == 0) return first_half;
    return wires_now(second, now_) == 0 ? second : first_half;
}

/// "wire W1 from ground to ...", "wire ground to ...".
static bool begins_at_ground(Cursor c) {
    while (c.has(0) && !c.is("to")) {
        if (means_ground(c.spelled())) return true;
        ++c.at;
    }
    return false;
}

/// Of a switch about which only its name was said: what to type where its terminals are marked, as an ignition switch's are.
static std::optional<std::string> marked_switch(const Part& part, const std::string& stamp) {
    if (part.kind != Kind::switching || part.terminals.size() != 2 || stamp == "1" || stamp == "2") return std::nullopt;
    const std::string to = stamp == "30" ? "15" : stamp;
    return "If its terminals are marked, say at " + part.name + " what each position joins: switch " + part.name +
           " { off* | on connects 30 with " + to + " }";
}

/// Of a part whose block is what its terminals come from, and which says nothing of them.
static std::string why_without_terminals(const Part& part) {
    return part.kind == Kind::switching ? "none of its positions connects anything"
           : part.kind == Kind::box     ? "it says of no rail"
                                        : "nothing was said of its terminals";
}
static std::string how_to_say_terminals(const Part& part, const std::string& stamp) {
    if (part.kind == Kind::switching)
        return "Say behind a position what it joins: on connects " + stamp + " with " + (stamp == "2" ? "1" : "2");
    if (part.kind == Kind::box) return "Say in its block what is fed there: rail R1 fed from " + stamp + ": F1..F4";
    return {};
}

/// "wire from E1 to E2" of glow plugs, lamps: what is grounded by its mounting has one pole, and from there the next one is fed. Its second
/// end is its case.
static bool goes_on_from_its_pole(const Part& part, const Part* next) {
    return spec_of(part.kind).ends == Ends::either && spec_of(part.kind).is_load && next &&
           spec_of(next->kind).is_load &&
           std::ranges::any_of(part.attributes, [](const Attribute& a) { return a.key == Attr::case_grounded; });
}

/// "wire from F1 to S2" where a wire lies at each end of F1 already, each as it was typed: the one that comes at the first end, the one that goes
/// on at the second. Then this one goes on from there too, if it leads to something that takes current or passes it on: to a source or a
/// protector it may as well be the feed, typed from its other end.
static bool goes_on_as_another_does(const Circuit& c, const Part& part, TerminalId first, TerminalId second,
                                    Revision now, const Part* next) {
    if (part.kind != Kind::fuse && part.kind != Kind::link && part.kind != Kind::breaker &&
        part.kind != Kind::switching)
        return false;
    if (!next || next->poisoned) return false;
    if (!spec_of(next->kind).is_load && next->kind != Kind::switching && next->kind != Kind::relay) return false;
    return std::ranges::none_of(c.wires,
                                [&](const Wire& w) { return w.life.at(now) && (w.a == first || w.b == second); });
}

End Reader::end_at_part(Cursor& c, const Item& item, PartId id, Span name_span, bool from) {
    End end{{}, name_span, false};
    const bool colon = c.is_mark(':') && c.has(1) && (!in_cut_ || c.token(1).glued);
    if (colon) {
        const std::uint32_t start = c.at;
        ++c.at;
        const std::string stamp = c.take_stamp();
        end.span = joined(name_span, c.span_from(start));
        auto found = find_terminal(id, stamp);
        const Part& part = c_.at(id);
        // A charger from one battery to another has an input; taken for a charger of the mains, its cures would join both batteries.
        if (part.kind == Kind::charger && (equal_ignoring_case(stamp, "in") || equal_ignoring_case(stamp, "input") ||
                                           equal_ignoring_case(stamp, "out") || equal_ignoring_case(stamp, "output"))) {
            out_.findings.push_back(text_problem("text-terminal-unknown", end.span,
                                                 "A charger has + and - alone, for the battery that it charges; one "
                                                 "with an input of its own, from another "
                                                 "battery or from a panel, is a converter: in, out, -.",
                                                 "Leave this line as it is, and type in place of that of " + part.name +
                                                     ": " + as_converter(part)));
            return end;
        }
        if (!found) {
            std::string hint;
            if (part.kind == Kind::relay && equal_ignoring_case(stamp, "87a"))
                hint = "If it is a change-over relay, say so: " + as_change_over(part);
            if (part.kind == Kind::converter && is_trigger_stamp(stamp)) {
                const std::string name = free_name(*find_kind("beyond"));
                hint = "What wakes it takes next to nothing, and is a thing of its own here. Type: beyond " + name +
                       " \"trigger of " + part.name + "\", takes 0.02 A; and here: " + line_with(item, end.span, name) +
                       "; and when it works, in the line of " + part.name + ": delivers when \"engine running\"";
            }
            const auto marked = marked_switch(part, stamp);
            const std::vector<std::string> there = stamps(c_, part);
            Finding f = text_problem(
                "text-terminal-unknown", end.span,
                "The " + std::string(spec_of(part.kind).title) + " " + part.name + " has no terminal " + stamp +
                    (there.empty() ? ": " + why_without_terminals(part) : "; it has " + list_of(there)) + ".",
                there.empty() ? how_to_say_terminals(part, stamp) : marked.value_or(hint));
            if (!hint.empty() && !marked && find_terminal(id, "87")) // the small a is often read into a worn stamp
                f.cures.insert(f.cures.begin(),
                               {"If you mean 87, type: " + line_with(item, end.span, part.name + ":87")});
            if (hint.empty() && !marked)
                for (const std::string& near : likely_stamps(part, stamp, there))
                    f.cures.push_back(
                        {"Type, if " + near + " is meant: " + line_with(item, end.span, part.name + ":" + near)});
            out_.findings.push_back(std::move(f));
            return end;
        }
        if (part.kind == Kind::connector) {
            std::string half;
            if (c.is_word() && c.is("side", 1)) {
                half = std::string(c.spelled());
                c.at += 2;
            }
            found = free_side_of_hole(id, *found, half);
        }
        end.terminal = *found;
        end.ok = true;
        return end;
    }
    const std::uint32_t behind_name = c.at;
    if (const auto terminal = stamp_behind_blank(c, id)) {
        end.span = joined(name_span, c.span_from(behind_name));
        end.terminal = c_.at(id).kind == Kind::connector ? free_side_of_hole(id, *terminal, "") : *terminal;
        end.ok = true;
        return end;
    }
    const Part& part = c_.at(id);
    if (part.kind == Kind::box && stamps(c_, part).size() == 1) { // the only feed it has
        end.terminal = *find_terminal(id, stamps(c_, part).front());
        end.ok = true;
        return end;
    }
    std::vector<TerminalId> outer;
    for (TerminalId t : part.terminals)
        if (!c_.at(t).internal) outer.push_back(t);
    if (spec_of(part.kind).ends == Ends::one && !outer.empty()) {
        end.terminal = outer.front();
        end.ok = true;
        return end;
    }
    const auto part_it_leads_to = [&](Cursor behind) -> const Part* {
        while (!behind.done() && !behind.is("to")) ++behind.at;
        const auto there = behind.is("to") && behind.is_word(1) ? part_named(behind.spelled(1)) : std::nullopt;
        return there ? &c_.at(*there) : nullptr;
    };
    const auto beyond = from && c.is("to") && c.is_word(1) ? part_named(c.spelled(1)) : std::nullopt;
    if (goes_on_from_its_pole(part, beyond ? &c_.at(*beyond) : nullptr)) {
        end.terminal = outer.front();
        end.ok = true;
        return end;
    }
    if (spec_of(part.kind).ends == Ends::either || ends_are_alike(c_, part)) {
        const TerminalId preferred = from ? outer[1] : outer[0], other = from ? outer[0] : outer[1];
        if (wires_now(preferred, now_) == 0)
            end.terminal = preferred;
        else if (wires_now(other, now_) == 0)
            end.terminal = other;
        else if (from && goes_on_as_another_does(c_, part, other, preferred, now_, part_it_leads_to(c))) {
            end.terminal = preferred;
            const std::string first_end = part.name + ":" + c_.at(other).stamp;
            c_.assumptions.push_back({part.name, "the second end for a further wire that goes on from it",
                                      "the first has its wire", line_with(item, name_span, first_end)});
        } else {
            const auto joined_there = [&](TerminalId t) {
                std::string there = part.name + ":" + c_.at(t).stamp;
                for (const Wire& w : c_.wires)
                    if ((w.a == t || w.b == t) && w.life.at(now_) && w.other(t).exists())
                        return there + (c_.part_of(w.other(t)).kind == Kind::unknown_end
                                            ? " to join it to the wire that nobody has traced yet"
                                            : " to join it to the wire at " + name_of(c_, w.other(t)));
                return there;
            };
            // "from E1 to E2" was meant to go on from what feeds E1, but lay at its free end: the two in a row.
            const auto beside = [&](TerminalId t, TerminalId feed) -> std::string {
                for (std::size_t i = 0; i < c_.wires.size(); ++i) {
                    const Wire& w = c_.wires[i];
                    if ((w.a != t && w.b != t) || !w.life.at(now_) || !w.other(t).exists()) continue;
                    const Part& next = c_.part_of(w.other(t));
                    if (spec_of(part.kind).is_load && spec_of(next.kind).is_load && next.name != part.name)
                        return fmt::format("If {} shall feed {} beside {}, not through it, type {} in that wire. Else "
                                           "type ",
                                           name_of(c_, WireId{i}), next.name, part.name, name_of(c_, feed));
                }
                return {};
            };
            std::string first = beside(preferred, other);
            if (first.empty()) first = beside(other, preferred);
            if (first.empty()) first = "Type ";
            problem("text-end-unclear", name_span,
                    part.name + " has two ends and both have a wire: the file must say at which end this one sits.",
                    first + joined_there(preferred) + ", or " + joined_there(other) + ".");
            end.terminal = preferred;
            return end;
        }
        end.ok = true;
        return end;
    }
    if (part.kind == Kind::not_known) {
        end.terminal = *find_terminal(id, "?");
        end.ok = true;
        return end;
    }
    TerminalId likely = outer.empty() ? TerminalId{} : outer.front();
    const bool to_ground =
        from ? c.is("to") && c.has(1) && means_ground(c.spelled(1)) : begins_at_ground(item.cursor(sources_));
    for (TerminalId t : outer)
        if (to_ground && c_.at(t).role == Role::minus) likely = t;
    Span typed = name_span;
    std::string more;
    if (Cursor figure = c; c.is_mark('-') && std::ranges::any_of(outer, [&](TerminalId t) {
                               return c_.at(t).role == Role::minus;
                           })) { // "M1 - 4mm2"
        ++figure.at;
        if (looks_like_figure(figure)) {
            typed = joined(name_span, c.span());
            more = "-,";
        }
    }
    if (!more.empty()) {
        problem("text-terminal-unknown", typed,
                "The terminal " + part.name + ":- and a dash between words look alike here.",
                "Type, if its terminal - is meant: " + line_with(item, typed, part.name + ":" + more));
        skip_end(c);
        return end;
    }
    if (part.kind == Kind::relay && find_terminal(id, "30") && find_terminal(id, "86")) {
        // No guess: a load's feed on the coil is the classic mistake.
        problem("text-terminal-unknown", name_span,
                "Which terminal of the " + called(c_, id) + " this is, is not said; it has " +
                    list_of(stamps(c_, part)) + ".",
                "If it carries what the load takes, type: " +
                    line_with(item, name_span, part.name + (from ? ":87" : ":30")) +
                    "; if it only makes the relay pull in, type: " +
                    line_with(item, name_span, part.name + (to_ground ? ":85" : ":86")));
        skip_end(c);
        return end;
    }
    problem("text-terminal-unknown", name_span,
            part.kind == Kind::connector ? "Which hole of the plug " + part.name + " this is, is not said."
                                         : "Which terminal of the " + called(c_, id) +
                                               " this is, is not said; it has " + list_of(stamps(c_, part)) + ".",
            "Type, with the right terminal: " +
                line_with(item, name_span, part.name + ":" + (likely.exists() ? c_.at(likely).stamp : "1")));
    skip_end(c);
    return end;
}

TerminalId Reader::end_of_its_own(Kind kind, std::string name, Span at, const Item& item, PlaceId place) {
    const PartId id = part_made_here(kind, std::move(name), at, item, place);
    return add_terminal(id, {id, "", Role::joint, 0, any_number, false});
}

End Reader::read_end(Cursor& c, const Item& item, bool from) {
    End end{{}, c.span(), false};
    const auto loose = [&](Kind kind, const char* title) {
        end.terminal = end_of_its_own(kind, title, end.span, item);
        end.ok = true;
    };
    if (!c.is_word()) {
        if (Cursor volts = c; from && volts.take_mark('+')) { // "from +12V"
            std::vector<Finding> none;
            (void)read_figure(volts, Unit::volts, none);
            end.span = volts.span_from(c.at);
            c.at = volts.at;
            Finding f = text_problem(
                "text-end-unclear", end.span,
                "Where this plus comes from is not said: over which fuse it is live decides what can burn.",
                "Type, if from the battery itself: " + line_with(item, end.span, "battery:+"));
            const std::string free = free_name(spec_of(Kind::existing_wire));
            f.cures.push_back(
                {"If from a wire that is there already, say in a line above what it is and behind which fuse "
                 "(existing wire " +
                 free + " \"...\", live always, behind ... A), and type here: " + line_with(item, end.span, free)});
            out_.findings.push_back(std::move(f));
            return end;
        }
        if (c.done() || c.token().kind != TokenKind::stray)
            problem("text-statement-unfinished", c.span(),
                    from ? "Where this wire comes from is missing." : "Where this wire goes to is missing.",
                    "Name a part and its terminal, such as K1:30; or type: to nothing, to unknown");
        return end;
    }
    if ((c.is("the") || c.is("a")) && c.is_word(1) && !c.is("to", 1) && !part_at_end(c)) ++c.at;
    skip_kind_words(c);
    end.span = c.span();
    const std::string name(c.spelled());
    const auto part = part_at_end(c);
    if (!part && c.take("unknown")) return loose(Kind::unknown_end, "unknown"), end;
    if (!part && c.take("nothing")) return loose(Kind::loose_end, "nothing"), end;
    if (!part && (means_ground(name) || equal_ignoring_case(name, "body"))) {
        ++c.at;
        if (c_.vehicle.no_metal) {
            problem("text-end-unclear", end.span, "This vehicle has no metal that could carry current.",
                    "Name where the wire goes: battery:-, or a bus bar such as bus BB1 \"ground bar\"");
            return skip_end(c), end;
        }
        // "body ground", "earth point", "ground strap": says nothing more.
        for (bool more = true; more;) {
            more = false;
            for (const char* word : {"ground", "earth", "point", "bolt", "stud", "strap"})
                more = more || (c.is(word) && !part_at_end(c));
            if (more) ++c.at;
        }
        if (c.is("on") && c.is_word(1)) { // "ground on engine"
            const auto metal = part_named(c.spelled(1));
            const bool known = metal && c_.at(*metal).kind == Kind::metal;
            if (!known && (c.is("engine", 1) || c.is("trailer", 1))) {
                const std::string word = lower(c.spelled(1));
                problem("text-name-unknown", c.span(1), "Nobody said that there is a metal called " + word + ".",
                        "Add a line: metal " + word);
                return skip_end(c), end;
            }
            if (known || c.is("body", 1)) {
                c.at += 2;
                end.terminal = known ? c_.at(*metal).terminals.front() : body();
                end.ok = true;
                return end;
            }
        }
        end.terminal = body();
        end.ok = true;
        return end;
    }
    if (part) {
        ++c.at;
        return end_at_part(c, item, *part, end.span, from);
    }
    if (const auto cut_end = loose_ends_.find(lower(name)); cut_end != loose_ends_.end()) {
        ++c.at;
        end.terminal = cut_end->second;
        end.ok = true;
        return end;
    }
    if (wires_.contains(lower(name))) {
        problem("text-end-unclear", end.span,
                name + " is a wire with no loose end, so nothing can be joined to its end.",
                "Join into its run with: splice SP1 on " + name + ", or name the terminal at its end.");
        ++c.at;
        skip_end(c);
        return end;
    }
    return unknown_end(c, item, from);
}

std::optional<PartId> Reader::part_at_end(const Cursor& c) const {
    if (const auto part = part_named(c.spelled())) return part;
    // "battery", "batt", "starter" for the only one there is, whatever its name.
    const bool battery = c.is("bat") || c.is("batt");
    const KindSpec* kind = battery ? &spec_of(Kind::battery) : find_kind(c.spelled());
    if (!kind || !kind->one_of_a_kind || means_ground(c.spelled())) return std::nullopt;
    std::optional<PartId> only;
    for (const auto& [name, id] : parts_) {
        if (c_.at(id).kind != kind->kind) continue;
        if (only) return std::nullopt;
        only = id;
    }
    return only;
}

void Reader::skip_kind_words(Cursor& c) const {
    const std::uint32_t words = c.is("existing") && c.is("wire", 1) ? 2 : 1;
    if (!c.is_word(words) || part_named(c.spelled())) return;
    const KindSpec* kind = words == 2 ? &spec_of(Kind::existing_wire) : find_kind(c.spelled());
    const auto part = part_named(c.spelled(words));
    if (kind && part && c_.at(*part).kind == kind->kind) c.at += words;
}

std::optional<TerminalId> Reader::stamp_behind_blank(Cursor& at, PartId id) {
    const Part& part = c_.at(id);
    if (part.kind == Kind::bus || spec_of(part.kind).ends == Ends::one) return std::nullopt; // any name would do
    const bool sign = at.is_mark('+') || at.is_mark('-');
    if (part.kind == Kind::not_known && !sign) return std::nullopt;
    Cursor c = at;
    const bool bracket = c.take_mark('(');
    const bool said = c.take("pin") || c.take("terminal") || c.take("hole");
    std::vector<Finding> none;
    for (Unit unit : {Unit::size, Unit::metres, Unit::celsius}) {
        Cursor figure = c;
        if (read_figure(figure, unit, none)) return std::nullopt; // "to F1 2 m"
    }
    if (c.is("to") || c.is("through") || c.is("from")) return std::nullopt;
    if (part.kind == Kind::connector && (!c.is_word() || c.spelled()[0] < '0' || c.spelled()[0] > '9'))
        return std::nullopt;
    const bool dash = c.is_mark('-');
    const std::string stamp = c.take_stamp();
    if (stamp.empty()) return std::nullopt;
    if (bracket && !c.take_mark(')')) return std::nullopt;
    for (const char* word : {"terminal", "post", "pole"}) // "battery positive terminal"
        if (c.is(word)) ++c.at;
    if (dash && !c.done() && !c.is_mark(',') && !c.is("to") && !c.is("through"))
        return std::nullopt; // "battery - F1": perhaps for "to"
    const bool ends_here = c.done() || c.is_mark(',') || c.is("to") || c.is("through");
    if (!said && !ends_here && spec_of(part.kind).ends != Ends::must_say) return std::nullopt;
    const auto found = find_terminal(id, stamp);
    if (found) at.at = c.at;
    return found;
}

void Reader::skip_end(Cursor& c) {
    while (!c.done() && !c.is_mark(',') && !c.is("to") && !c.is("through")) ++c.at;
}

} // namespace loomproof
