#include "base/number.hpp"
#include "circuit/begun.hpp"
#include "circuit/figures.hpp"
#include "circuit/kinds/kinds.hpp"
#include "circuit/reader.hpp"
#include "circuit/slips.hpp"
#include "circuit/text_problems.hpp"
#include "circuit/view.hpp"
#include "reference/insulation.hpp"

#include <algorithm>
#include <tuple>

namespace loomproof {

namespace {

constexpr double clad_over_copper =
    1.6; ///< resistance of copper-clad aluminium sold as cable over that of copper (from memory)

struct InsulationRead {
    std::string spelled;
    Celsius rating;
    Span span;
};

/// "GXL", "PVC 85 degC", "class B": the longest run of words that names an insulation.
std::optional<InsulationRead> insulation_at(Cursor& c) {
    const std::uint32_t start = c.at;
    for (std::uint32_t tokens : {3u, 2u, 1u}) {
        std::string text;
        bool words = c.left() >= tokens;
        for (std::uint32_t i = 0; words && i < tokens; ++i) {
            words = c.is_word(i);
            text += (i == 0 ? "" : " ") + std::string(c.spelled(i));
        }
        if (!words) continue;
        const auto kind = reference::find_insulation(text);
        if (!kind) continue;
        c.at += tokens;
        return InsulationRead{text, kind->rating, c.span_from(start)};
    }
    return std::nullopt;
}

} // namespace

std::size_t Reader::wires_now(TerminalId t, Revision) const {
    const auto it = wires_on_.find(t.index);
    return it == wires_on_.end() ? 0 : it->second;
}

PartId Reader::part_made_here(Kind kind, std::string name, Span name_span, const Item& item, PlaceId place) {
    Part part;
    part.kind = kind;
    part.name = std::move(name);
    part.named = false;
    part.name_span = name_span;
    part.span = item.span();
    part.place = place;
    part.life.born = item.revision;
    part.origin = {item.provenance, item.span(), {}};
    c_.parts.push_back(std::move(part));
    return PartId{c_.parts.size() - 1};
}

WireId Reader::add_wire(Wire wire) {
    const WireId id{c_.wires.size()};
    ++wires_on_[wire.a.index];
    ++wires_on_[wire.b.index];
    wires_[lower(wire.name)].push_back(id);
    c_.wires.push_back(std::move(wire));
    return id;
}

/// "wire L1 to L2": a part stands where the wire's name or "from" would, and no "from" follows.
bool Reader::begins_with_end(Cursor c) const {
    if (!c.is_word() || c.is("from")) return false;
    skip_kind_words(c);
    const KindSpec* kind = find_kind(c.spelled()); // "wire switch to F1": which one it is, is asked later
    const bool some = kind && std::any_of(parts_.begin(), parts_.end(),
                                          [&](const auto& p) { return c_.at(p.second).kind == kind->kind; });
    if (!some && !part_at_end(c) && !means_ground(c.spelled()) && !loose_ends_.contains(lower(c.spelled())))
        return false;
    for (; !c.done(); ++c.at) {
        if (c.is("to") || c.is_mark('>')) return true;
        if (c.is("from") || c.is_mark(',')) return false;
    }
    return false;
}

/// "wire battery:+ F1, 2.5 mm2", "wire red 2.5 mm2 from battery:+ to F1": both ends are there, in another order or without the words
/// between. Says so, with the line as it should stand.
bool Reader::ends_out_of_order(const Item& item, const Cursor& c) {
    const Tree& tree = *c.tree;
    const std::uint32_t end = c.last;
    const auto at = [&](std::uint32_t i) {
        Cursor other = c;
        other.at = i;
        return other;
    };
    const auto text = [&](std::uint32_t from, std::uint32_t to) {
        return std::string(sources_.text({tree.source, tree.tokens[from].begin, tree.tokens[to - 1].end}));
    };
    const auto is_end = [&](std::uint32_t i) { // a terminal behind its colon is none
        const bool stamp = i > c.at && tree.tokens[i - 1].mark == ':';
        return !stamp && at(i).is_word() && (part_at_end(at(i)) || means_ground(at(i).spelled()));
    };
    if (is_end(c.at)) {
        for (std::uint32_t i = c.at + 1; i < end && !at(i).is_mark(',') && !at(i).is("from") && !at(i).is("to"); ++i) {
            if (!is_end(i)) continue;
            const std::uint32_t first_end = at(i - 1).is_mark('-') && !tree.tokens[i - 1].glued ? i - 1 : i;
            const Span both{tree.source, tree.tokens[c.at].begin, tree.tokens[i].end};
            problem("text-statement-unfinished", both, "Between the two ends of a wire stands \"to\".",
                    "Type: " + line_with(item, both, "from " + text(c.at, first_end) + " to " + text(i, i + 1)));
            return true;
        }
        return false;
    }
    // What the wire is like stands in front of its ends; behind its name, if it has one. A part may be called as a colour is (SG).
    if (at(c.at).is("from")) return false;
    std::vector<Finding> none;
    const ClauseReader reader{colours_, &none, &places_};
    const auto is_like = [&](std::uint32_t i) {
        Cursor a = at(i), b = a;
        return looks_like_figure(a) || reader.colour(a) || read_figure(b, Unit::size, none);
    };
    std::uint32_t first = c.at;
    if (first < end && !is_like(first)) ++first;
    while (first < end && at(first).is_mark(',')) ++first;
    if (first >= end || at(first).is("from") || !is_like(first)) return false;
    for (std::uint32_t i = first + 1; i < end; ++i) {
        const bool from = at(i).is("from") && i + 1 < end;
        if (!from && !begins_with_end(at(i))) continue;
        if (first == c.at && i == first + 1 && from) return false; // "wire red from F1 to L1": its name
        std::uint32_t like_end = i;
        while (like_end > first + 1 && at(like_end - 1).is_mark(',')) --like_end;
        const Span like{tree.source, tree.tokens[first].begin, tree.tokens[i].begin};
        problem("text-statement-unfinished", {tree.source, like.begin, tree.tokens[like_end - 1].end},
                "What a wire is like stands behind its two ends.",
                "Type: " + line_with(item, like, from ? "" : "from ") + ", " + text(first, like_end));
        return true;
    }
    return false;
}

/// "black & white", "black and white" at the sign between: both, and how they are written.
std::optional<std::pair<Span, std::string>> Reader::two_colours_at(const Cursor& c) const {
    if (!(c.is_mark('&') || c.is("and")) || c.at == c.first) return std::nullopt;
    std::vector<Finding> none;
    const ClauseReader reader{colours_, &none, &places_};
    Cursor before = c, behind = c;
    --before.at;
    ++behind.at;
    const std::uint32_t start = before.at;
    const auto first = reader.colour(before), second = reader.colour(behind);
    if (!first || !second || before.at != c.at) return std::nullopt;
    const auto spelled = [&](const Colours& colours) { return std::string(sources_.text(colours.span)); };
    return std::pair{behind.span_from(start), spelled(*first) + "/" + spelled(*second)};
}

void Reader::wire_statement(const Item& item, Cursor& c) {
    const std::uint32_t start = c.at;
    ++c.at;
    ++wire_count_;
    Wire common;
    common.span = item.span();
    common.life.born = item.revision;
    common.origin = {item.provenance, item.span(), {}};
    common.name = "wire " + std::to_string(wire_count_);
    common.named = false;
    bool from_left_out = begins_with_end(c);
    if (!from_left_out && ends_out_of_order(item, c)) return;
    if (!from_left_out && c.is_word() && !(c.is("from") && !c.is("from", 1))) {
        common.name = std::string(c.spelled());
        common.named = true;
        const std::string key = lower(common.name);
        if (parts_.contains(key) || wires_.contains(key)) {
            Finding f = text_problem("text-name-twice", c.span(),
                                     "Two things are called " + common.name + ", or differ only by capitals.",
                                     "Give one of them another name.");
            f.cites.push_back(
                {parts_.contains(key) ? c_.at(parts_[key]).name_span : c_.at(wires_[key].front()).span, "the first"});
            out_.findings.push_back(std::move(f));
            common.name += " (second)";
            common.poisoned = true;
        }
        ++c.at;
        if (c.is_mark(':') && c.has(1)) ++c.at; // "wire W1: from F1 to K1:30"
        from_left_out = begins_with_end(c);
    }
    if (c.is_text()) {
        common.label = std::string(c.spelled());
        ++c.at;
    }
    c.take_mark(',');
    if (!from_left_out && !c.take("from")) {
        if (!c.rest_is_stray())
            problem("text-statement-unfinished", c.span(), "Where this wire comes from is missing.",
                    "Type: wire from F1 to K1:30, 2.5 mm2 red, 1 m");
        return;
    }
    std::vector<End> ends;
    ends.push_back(read_end(c, item, true));
    if (c.take("through") || c.take("via")) {
        do {
            if (!c.is_word()) break;
            const std::string name(c.spelled());
            const Span name_span = c.span();
            const auto plug = part_named(name);
            ++c.at;
            if (!plug) {
                unknown_name(name, name_span);
                if (c.is_mark(':') && c.has(1)) c.at += 2;
                common.poisoned = true;
                continue;
            }
            if (c_.at(*plug).kind != Kind::connector) {
                problem("text-end-unclear", name_span, name + " is no plug: a wire can only run through plugs.",
                        "Describe it as two wires, to " + name + " and from " + name + ".");
                if (c.is_mark(':') && c.has(1)) c.at += 2;
                common.poisoned = true;
                continue;
            }
            End end = end_at_part(c, item, *plug, name_span, false);
            if (!end.ok) {
                common.poisoned = true;
                continue;
            }
            End beyond = end;
            beyond.terminal = c_.at(end.terminal).half == 0 ? TerminalId{end.terminal.index + std::size_t{1}}
                                                            : TerminalId{end.terminal.index - std::size_t{1}};
            ends.push_back(end);
            ends.push_back(beyond);
            // Marks the hole as taken so that the next run through it is seen as a second wire.
        } while (c.take_mark(',') && !c.is("to"));
        if (c.at > start && c.is_mark(',')) ++c.at;
    }
    if (!c.take("to")) {
        if (c.is_mark('-') && c.is_word(1) && ends.front().ok)
            problem("text-statement-unfinished", c.span(), "Between the two ends of a wire stands \"to\".",
                    "Type: " + line_with(item, c.span(), "to"));
        else if (!c.rest_is_stray() && ends.front().ok)
            problem("text-statement-unfinished", c.span(), "Where this wire goes to is missing.",
                    "Type: wire from F1 to K1:30, 2.5 mm2 red, 1 m");
        ends.push_back({{}, c.span(), false});
        while (!c.done()) ++c.at; // what follows would only be misread
    } else {
        ends.push_back(read_end(c, item, false));
    }

    std::vector<Wire> pieces;
    for (std::size_t i = 0; i + 1 < ends.size(); i += 2) {
        Wire w = common;
        w.a = ends[i].terminal;
        w.b = ends[i + 1].terminal;
        w.a_span = ends[i].span;
        w.b_span = ends[i + 1].span;
        if (!ends[i].ok || !ends[i + 1].ok) w.poisoned = true;
        if (ends.size() > 2) w.piece = static_cast<std::uint16_t>(i / 2 + 1);
        pieces.push_back(std::move(w));
    }
    read_wire_clauses(c, pieces);
    for (Wire& w : pieces) {
        // A wire with one end that could not be read is there all the same: the other end is not without a wire.
        if (!w.a.exists() && !w.b.exists()) continue;
        if (!w.a.exists()) w.a = end_of_its_own(Kind::unknown_end, "unknown", w.a_span, item);
        if (!w.b.exists()) w.b = end_of_its_own(Kind::unknown_end, "unknown", w.b_span, item);
        add_wire(std::move(w));
    }
}

void Reader::read_wire_clauses(Cursor& c, std::vector<Wire>& pieces, bool whole) {
    const ClauseReader reader{colours_, &out_.findings, &places_};
    const auto all = [&](auto&& f) {
        for (Wire& w : pieces) f(w);
    };
    std::size_t sizes = 0, colours = 0, lengths = 0;
    std::vector<const Wire*> types;
    const auto poison = [&] { all([](Wire& w) { w.poisoned = true; }); };
    bool more = false; // a '+' stood before: the next figure is the next piece's
    // How a thing said once or piece by piece lands on the pieces: the first time on all, behind a + on one.
    const auto land = [&](std::size_t& count, Span at, auto&& set) {
        if (!more && count > 0) {
            problem(
                "text-said-twice", at, "This wire has two sizes, colours or lengths.",
                "Keep the one that is true; between the pieces of a run over plugs stands a +, as in 2.1 m + 0.2 m.");
            poison();
            return;
        }
        if (count == 0) {
            all(set);
            count = 1;
            return;
        }
        if (count < pieces.size()) set(pieces[count]);
        ++count;
    };
    while (!c.done()) {
        if (c.take_mark(',')) {
            more = false;
            continue;
        }
        if (c.take_mark('+')) {
            more = true;
            continue;
        }
        if (c.take_words("unknown length") || c.take_words("length unknown")) {
            land(lengths, c.span_from(c.at - 1), [](Wire&) {});
            continue;
        }
        if (skip_word_before_figure(c)) continue;
        const bool something = sizes + lengths + colours > 0;
        if (something && (c.take("long") || c.take("cable") || c.take("wire"))) continue; // say nothing new
        if (colours > 0 && (c.take("stripe") || c.take("striped") || c.take("tracer"))) continue;
        const std::size_t problems = out_.findings.size();
        const auto said_behind = [&](Unit unit) {
            std::vector<Finding> none;
            for (Cursor behind = c; ++behind.at < c.last;)
                if (Cursor figure = behind; read_figure(figure, unit, none)) return true;
            return false;
        };
        const auto is_colour = [&](std::uint32_t ahead) {
            std::vector<Finding> none;
            Cursor next = c;
            next.at += ahead;
            return ClauseReader{colours_, &none, &places_}.colour(next).has_value();
        };
        if (c.is_mark('#') && c.is_word(1)) { // "#12": a gauge, but whose?
            const std::uint32_t start = c.at;
            const std::string number(c.spelled(1));
            c.at += 2;
            problem("text-unclear-figure", c.span_from(start),
                    "\"#" + number + "\" can mean two wires: AWG, or SAE with about a tenth less copper.",
                    "Type " + number + " awg, or " + number + " sae (most wire sold for vehicles by gauge).");
            poison();
        } else if (const auto size = read_figure(c, Unit::size, out_.findings)) {
            if (out_.findings.size() != problems) { // asked back already: no size, and no second one either
                poison();
                continue;
            }
            land(sizes, size->value.span, [&](Wire& w) {
                w.area = {size->value.how,
                          SquareMetres{size->value.nominal},
                          SquareMetres{size->value.low},
                          SquareMetres{size->value.high},
                          size->value.span,
                          {}};
                w.size = size->spelled;
                w.size_span = size->value.span;
            });
        } else if (const auto length = read_figure(c, Unit::metres, out_.findings)) {
            if (out_.findings.size() != problems) {
                poison();
                continue;
            }
            const Stated<Metres> metres{length->value.how,         Metres{length->value.nominal},
                                        Metres{length->value.low}, Metres{length->value.high},
                                        length->value.span,        {}};
            land(lengths, metres.span, [&](Wire& w) { w.length = metres; });
        } else if (c.take_words("starter cable")) {
            all([](Wire& w) { w.starter_cable = true; });
        } else if (c.take_words("winch cable")) {
            all([](Wire& w) { w.winch_cable = true; });
        } else if (c.take("signal")) {
            all([](Wire& w) { w.signal = true; });
        } else if (c.take("screen")) {
            all([](Wire& w) { w.screen = true; });
        } else if (c.take("sleeved")) {
            all([](Wire& w) { w.sleeved = true; });
        } else if (c.take_words("copper-coated aluminium") || c.take_words("copper-clad aluminium") ||
                   c.take_words("copper coated aluminium") || c.take_words("copper clad aluminium") || c.take("CCA") ||
                   c.take_words("copper clad aluminum") || c.take_words("copper coated aluminum") ||
                   c.take_words("copper-coated aluminum") || c.take_words("copper-clad aluminum")) {
            all([](Wire& w) { w.copper_clad = true; });
        } else if (c.take("solid")) {
            all([](Wire& w) { w.solid = true; });
        } else if (c.take("restraint")) {
            all([](Wire& w) { w.restraint = true; });
        } else if (c.is("resistance") && c.is("wire", 1)) {
            poison();
            problem("text-word-unknown", c.span(), "A wire that is there for its ohms is a part of its own.",
                    "Type: resistor R1 \"resistance wire\", 1.6 ohm, and wires to and from it");
            while (!c.done()) ++c.at; // its ohms
        } else if (c.is("aluminium") || c.is("aluminum")) {
            poison();
            problem("text-word-unknown", c.span(),
                    "Which aluminium this wire is of is not said: cable sold for vehicles has copper around it.",
                    "Type, if it has: copper-clad aluminium");
            ++c.at;
        } else if (c.take("tinned") || c.take("stranded") || c.take("thinwall") || c.take_words("thin wall") ||
                   c.take("thin-wall")) {
            continue; // as all wire for vehicles, or as is assumed: says nothing new
        } else if (c.is("screened") || c.is("shielded")) {
            poison();
            problem("text-word-unknown", c.span(),
                    "The screen around a wire is a wire of its own, tied to ground at one end.",
                    "Take this out, and add a line for it: wire from unknown to ground, screen");
            ++c.at;
        } else if (c.take_words("in conduit") || c.take_words("in split conduit") ||
                   c.take_words("in corrugated tube") || c.take_words("in convoluted tube") ||
                   c.take_words("in convoluted tubing")) {
            all([](Wire& w) { w.sleeved = true; });
        } else if (c.take("bare")) {
            all([](Wire& w) { w.bare = true; });
        } else if (whole && take_wire_type(c, types)) {
            if (out_.findings.size() != problems) poison();
        } else if (c.is("in") && (c.is_word(1) || c.is_text(1))) {
            ++c.at;
            if (c.is_word(1)) c.take("the"); // "in the engine bay"
            const std::uint32_t from = c.at;
            const std::string name = take_place(c, &places_);
            const PlaceId p = place(name, c.span_from(from));
            all([&](Wire& w) { w.place = p; });
        } else if (const auto degrees = read_figure(c, Unit::celsius, out_.findings)) {
            all([&](Wire& w) {
                w.insulation_class = {degrees->value.how,          Celsius{degrees->value.nominal},
                                      Celsius{degrees->value.low}, Celsius{degrees->value.high},
                                      degrees->value.span,         {}};
            });
        } else if (const auto insulation = insulation_at(c)) {
            const std::string spelled(insulation->spelled);
            const Span at = insulation->span;
            all([&](Wire& w) {
                w.insulation = spelled;
                if (!w.insulation_class.known()) w.insulation_class = Stated<Celsius>::exactly(insulation->rating, at);
            });
        } else if (c.is("tag") && (c.is_word(1) || c.is_text(1))) {
            const std::string tag = "tag " + std::string(c.spelled(1));
            c.at += 2;
            all([&](Wire& w) { w.label += (w.label.empty() ? "" : "; ") + tag; });
        } else if (c.is_text() && pieces.front().label.empty()) {
            const std::string label(c.spelled());
            ++c.at;
            all([&](Wire& w) { w.label = label; });
        } else if (auto colour = reader.colour(c)) {
            if (Cursor with = c; colour->stripe.empty() && !colour->main.empty() && with.take("with")) {
                with.take("a"); // "black with a white stripe"
                const auto stripe = reader.colour(with);
                if (stripe && stripe->stripe.empty()) {
                    colour->stripe = stripe->main;
                    c.at = with.at;
                }
            }
            land(colours, colour->span, [&](Wire& w) { w.colours = *colour; });
            if (colour->main.empty()) poison();
        } else {
            poison();
            if (c.clause_is_stray()) {
                c.skip_clause();
                continue;
            }
            if (c.is_mark('|') && pieces.size() > 1) {
                problem("text-word-unknown", c.span(), "Between the pieces of a run over plugs stands a +.",
                        "Type: " + loomproof::line_with(c, c.span(), "+"));
            } else if (auto several = place_of_several_words(c)) {
                out_.findings.push_back(std::move(*several));
            } else if (auto plug = plug_behind_ends(c)) {
                out_.findings.push_back(std::move(*plug));
            } else if (const auto both = two_colours_at(c)) {
                problem("text-word-unknown", both->first, "Between the two colours of one wire stands a stroke.",
                        "Type: " + loomproof::line_with(c, both->first, both->second));
            } else if (c.is_mark('&') || c.is("and")) {
                problem("text-word-unknown", c.span(), "A wire has two ends.", "Give each wire a line of its own.");
            } else if (auto slip = slip_in_figure(c, Kind::not_known)) {
                out_.findings.push_back(std::move(*slip));
            } else if (c.is("unknown") && (!c.has(1) || c.is_mark(',', 1) || is_colour(1))) {
                // Its size or its length, whichever is not said elsewhere in the line.
                Finding f = text_problem("text-unit-missing", c.span(), "What of this wire is unknown is not said.");
                for (const auto& [unit, said, typed, what] :
                     {std::tuple{Unit::metres, lengths, "unknown m", "its length is"},
                      std::tuple{Unit::size, sizes, "unknown mm2", "its size is"}})
                    if (said == 0 && !said_behind(unit))
                        f.cures.push_back(
                            {"Type, if " + std::string(what) + ": " + loomproof::line_with(c, c.span(), typed)});
                if (f.cures.size() == 1) f.cures.front().text.replace(0, f.cures.front().text.find(':'), "Type");
                if (f.cures.empty()) f.cures.push_back({"Take it out: its size and its length are both said."});
                out_.findings.push_back(std::move(f));
            } else if (looks_like_figure(c)) {
                // A number without unit: a size or a length, whichever of the two is not said before or behind it.
                std::vector<Unit> missing;
                Cursor next = c;
                ++next.at;
                std::vector<Finding> quiet;
                const bool alone = stands_alone(c) || ClauseReader{colours_, &quiet, &places_}.colour(next).has_value();
                for (const auto& [unit, before] : {std::pair{Unit::size, sizes}, std::pair{Unit::metres, lengths}}) {
                    if (before == 0 && !said_behind(unit)) missing.push_back(unit);
                }
                Finding f = figure_problem(c, "A wire has a size (2.5 mm2, 12 awg), colours and a length (1.2 m).",
                                           missing, alone);
                if (Cursor before = c; alone && colours > 0 && c.at > c.first && f.rule == "text-unit-missing") {
                    --before.at; // "green 1"
                    if (ClauseReader{colours_, &quiet, &places_}.colour(before))
                        f.cures.insert(f.cures.begin(),
                                       Remedy{"Type, if it is the tag on one of two alike: " +
                                              loomproof::line_with(c, c.span(), "tag " + std::string(c.spelled()))});
                }
                out_.findings.push_back(std::move(f));
            } else if (const auto [span, english] = german_colour(c); !english.empty()) {
                problem("text-word-unknown", span, "Colours are words of English here, or the letters of IEC 60757.",
                        "Type: " + loomproof::line_with(c, span, english));
            } else if (auto stripe = c.is_mark('/') ? no_such_colour(c, colours_) : std::nullopt) {
                out_.findings.push_back(std::move(*stripe));
            } else {
                std::vector<std::string> words = {"sleeved", "signal", "screen",    "starter",    "winch",
                                                  "bare",    "in",     "restraint", "copper-clad"};
                for (const std::string& w : reference::colour_words()) words.push_back(w);
                const std::string word(c.spelled());
                const auto near = nearest_name(word, words);
                problem(
                    "text-word-unknown", c.span(),
                    "\"" + word + "\" is not known about a wire" + (near ? "; \"" + *near + "\" is." : "."),
                    near ? "Type: " + loomproof::line_with(c, c.span(), *near)
                         : "A wire has a size (2.5 mm2, 12 awg), colours (blue/white), a length (1.2 m), and perhaps: "
                           "sleeved, signal, screen, starter cable, in engine-bay.");
            }
            c.skip_clause();
        }
    }
    for (const Wire* type : types) take_over(pieces, *type);
    for (Wire& w : pieces) {
        if (!whole || !w.copper_clad || !w.area.known()) continue;
        w.area = {w.area.how,
                  w.area.nominal / clad_over_copper,
                  w.area.low / clad_over_copper,
                  w.area.high / clad_over_copper,
                  w.area.span,
                  w.area.basis};
        if (w.piece < 2)
            c_.assumptions.push_back({w.name + ":", "1.6 times the resistance of copper of its size",
                                      "copper-clad aluminium (from memory)", "its true size in copper"});
    }
    if (pieces.size() > 1 && lengths == 1) // one length for the whole run: how it is shared out is not known
        all([&](Wire& w) {
            if (!w.length.known()) return;
            const double n = static_cast<double>(pieces.size());
            w.length = {Knowledge::about, w.length.nominal / n, Metres{0},
                        w.length.high,    w.length.span,        "one length for the whole run"};
        });
    if (lengths > pieces.size() || sizes > pieces.size() || colours > pieces.size()) {
        problem("text-statement-unfinished", pieces.front().span,
                "This wire has more lengths, sizes or colours than pieces (" + std::to_string(pieces.size()) + ").",
                "Name the plugs it runs through: through X7:1");
        poison();
    }
}

} // namespace loomproof
