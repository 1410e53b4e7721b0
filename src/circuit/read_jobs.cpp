/// What a job does to wires and parts that are there already.

#include "circuit/figures.hpp"
#include "circuit/kinds/kinds.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"
#include "circuit/view.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof {

bool Reader::job_statement(const Item& item) {
    Cursor c = item.cursor(sources_);
    if (c.take("cut")) return cut(item, c), true;
    if (c.take("cap")) return cap(c), true;
    if (c.take("splice")) return joint_in_wire(item, c, "crimp"), true;
    if (c.take("tap")) return joint_in_wire(item, c, "tap"), true;
    if (c.take("move")) return move(item, c), true;
    if (c.take("remove")) return remove(item, c), true;
    return false;
}

std::vector<WireId> Reader::wires_named(Cursor& c) {
    if (!c.is_word()) {
        problem("text-statement-unfinished", c.span(), "The wire is missing.", "Name the wire, such as W14.");
        return {};
    }
    const std::string name(c.spelled());
    const auto it = wires_.find(lower(name));
    if (it == wires_.end()) {
        unknown_name(name, c.span(), Wanted::a_wire);
        ++c.at;
        return {};
    }
    ++c.at;
    return it->second;
}

void Reader::end_wire(WireId id, const Item& item) {
    Wire& w = c_.wires[id.index];
    w.life.gone = item.revision;
    w.origin.removed = item.span();
    --wires_on_[w.a.index];
    --wires_on_[w.b.index];
    auto& carriers = wires_[lower(w.name)];
    std::erase(carriers, id);
    if (carriers.empty()) {
        wires_.erase(lower(w.name));
        gone_[lower(w.name)] = item.span();
    }
}

WireId Reader::new_version(WireId id, const Item& item) {
    Wire w = c_.at(id);
    end_wire(id, item);
    w.life = {item.revision, never};
    w.origin.removed = {};
    if (item.provenance != Provenance::factory) w.origin.provenance = item.provenance;
    w.cut_from = id;
    gone_.erase(lower(w.name));
    return add_wire(std::move(w));
}

std::pair<WireId, WireId> Reader::divide(WireId id, TerminalId inner_a, TerminalId inner_b,
                                         const Stated<Metres>& from_a, const Stated<Metres>& from_b, const Item& item) {
    const Wire old = c_.at(id);
    end_wire(id, item);
    Wire first = old, second = old;
    for (Wire* w : {&first, &second}) {
        w->life = {item.revision, never};
        w->origin.made = item.span();
        w->origin.removed = {};
        w->origin.provenance = item.provenance;
        w->cut_from = id;
        w->span = item.span();
    }
    first.b = inner_a;
    first.b_span = item.span();
    first.capped_b = false;
    second.a = inner_b;
    second.a_span = item.span();
    second.capped_a = false;
    first.length = from_a;
    // What is left, with the spread of both figures; a length below zero is a slip of the measure and counts as zero.
    if (old.length.known() && from_a.known()) {
        const auto at_least_zero = [](Metres m) { return m.si < 0 ? Metres{0} : m; };
        second.length = old.length;
        second.length.nominal = at_least_zero(old.length.nominal - from_a.nominal);
        second.length.low = at_least_zero(old.length.low - from_a.high);
        second.length.high = at_least_zero(old.length.high - from_a.low);
        if (from_a.how != Knowledge::given) second.length.how = from_a.how;
    } else {
        second.length = from_b; // measured from there; of the rest nobody said how long it is
    }
    gone_.erase(lower(old.name));
    const WireId a = add_wire(std::move(first));
    const WireId b = add_wire(std::move(second));
    return {a, b};
}

/// After the wire's name: [LENGTH from END]. Picks the piece of the run that has that end.
std::optional<Reader::Where> Reader::where_on_wire(Cursor& c, const std::vector<WireId>& candidates) {
    c.take_mark(',');
    const auto length = read_figure(c, Unit::metres, out_.findings);
    if (!length) {
        if (candidates.size() == 1) return Where{candidates.front(), {}, {}};
        return std::nullopt;
    }
    const Stated<Metres> metres{length->value.how,         Metres{length->value.nominal},
                                Metres{length->value.low}, Metres{length->value.high},
                                length->value.span,        {}};
    if (!c.take("from")) {
        problem("text-statement-unfinished", c.span(), "From which end this is measured is not said.",
                "Type, with the end that it is measured from: " +
                    loomproof::line_with(c, length->value.span,
                                         std::string(sources_.text(length->value.span)) + " from " +
                                             name_of(c_, c_.at(candidates.front()).a)));
        return std::nullopt;
    }
    const Span end_span = c.span();
    const std::string name(c.spelled());
    const auto part = part_named(name);
    if (!part) {
        if (means_ground(name)) {
            ++c.at;
            for (WireId w : candidates)
                for (bool at_a : {true, false})
                    if (c_.part_of(at_a ? c_.at(w).a : c_.at(w).b).kind == Kind::metal) {
                        Where where{w, metres, {}};
                        if (!at_a) std::swap(where.from_a, where.from_b);
                        return where;
                    }
        } else {
            unknown_name(name, end_span);
            ++c.at;
        }
        if (c.is_mark(':') && c.has(1) && c.token(1).glued) c.at += 2;
        return std::nullopt;
    }
    ++c.at;
    std::string stamp;
    if (c.is_mark(':') && c.has(1) && c.token(1).glued) {
        ++c.at;
        stamp = c.take_stamp();
    }
    const auto here = [&](TerminalId t) {
        return c_.at(t).part == *part &&
               (stamp.empty() || equal_ignoring_case(c_.at(t).stamp, stamp) || find_terminal(*part, stamp) == t);
    };
    std::vector<std::pair<WireId, bool>> hits;
    for (WireId w : candidates) {
        if (here(c_.at(w).a)) hits.push_back({w, true});
        if (here(c_.at(w).b)) hits.push_back({w, false});
    }
    if (hits.empty()) {
        problem("text-end-unclear", end_span,
                "No end of " + c_.at(candidates.front()).name + " sits at " + name +
                    (stamp.empty() ? "." : ":" + stamp + "."),
                "Measure from one of its ends, with the metres from there: " +
                    name_of(c_, c_.at(candidates.front()).a) + " or " + name_of(c_, c_.at(candidates.back()).b) + ".");
        return std::nullopt;
    }
    // A run over a plug has a piece on each side of it: a later name ("stays at F3") decides; without one the first piece counts.
    for (const auto& [wire, at_a] : hits) {
        const TerminalId far = at_a ? c_.at(wire).b : c_.at(wire).a;
        Cursor ahead = c;
        while (!ahead.done()) {
            if (ahead.take_words("stays at") && ahead.is_word())
                if (const auto keeper = part_named(ahead.spelled());
                    keeper && *keeper == c_.at(far).part && *keeper != *part) {
                    hits = {{wire, at_a}};
                    break;
                }
            ++ahead.at;
        }
        if (hits.size() == 1) break;
    }
    const auto [wire, at_a] = hits.front();
    Where where{wire, metres, {}};
    if (!at_a) { // measured from the far end
        const Stated<Metres>& whole = c_.at(wire).length;
        where.from_b = metres;
        where.from_a = {};
        if (whole.known()) {
            where.from_a = whole;
            where.from_a.nominal = whole.nominal - metres.nominal;
            where.from_a.low = whole.low - metres.high;
            where.from_a.high = whole.high - metres.low;
            for (Metres* m : {&where.from_a.nominal, &where.from_a.low, &where.from_a.high})
                if (m->si < 0) *m = Metres{0};
        }
    }
    return where;
}

void Reader::cut(const Item& item, Cursor& c) {
    in_cut_ = true;
    const auto done = [&] { in_cut_ = false; };
    const Span name_span = c.span();
    const auto candidates = wires_named(c);
    if (candidates.empty()) return done();
    const std::string whole = c_.at(candidates.front()).name;
    const auto where = where_on_wire(c, candidates);
    // What was typed up to here, and the ends that this wire has.
    Cursor front = c;
    if (front.at > front.first && front.tree->tokens[front.at - 1].mark == ',') --front.at;
    const std::string typed = one_line(sources_.text(front.span_from(front.first)));
    const Wire& ends = c_.at(where ? where->wire : candidates.front());
    const TerminalId far = candidates.size() > 1 && !where ? c_.at(candidates.back()).b : ends.b;
    const auto piece_at = [&](TerminalId t) {
        const Part& part = c_.part_of(t);
        return part.kind == Kind::metal ? std::string("ground") : part.named ? part.name : name_of(c_, t);
    };
    const std::string example =
        fmt::format("Type: {0}{1}: {2}x stays at {3}, {2}f stays at {4}", typed,
                    !where ? fmt::format(" from {}", piece_at(ends.a)) : "", whole, piece_at(ends.a), piece_at(far));
    if (!where) {
        if (candidates.size() > 1)
            problem("text-end-unclear", name_span, whole + " runs over plugs; which piece is cut is not said.",
                    example);
        return done();
    }
    c.take_mark(',');
    if (!c.take_mark(':')) {
        problem("text-statement-unfinished", c.span(), "The two pieces of " + whole + " need names.", example);
        return done();
    }
    const Wire old = c_.at(where->wire);
    struct Named {
        std::string name;
        Span span;
        bool at_a;
    };
    std::vector<Named> named;
    while (!c.done() && named.size() < 2) {
        if (c.take_mark(',') || c.take("and")) continue;
        Named piece{std::string(c.spelled()), c.span(), false};
        ++c.at;
        if (!c.take_words("stays at") || !c.is_word()) {
            problem("text-statement-unfinished", piece.span, "Where the piece " + piece.name + " stays is not said.",
                    example);
            return done();
        }
        const std::string at(c.spelled());
        const Span at_span = c.span();
        ++c.at;
        if (c.is_mark(':') && c.has(1) && c.token(1).glued) c.at += 2;
        const auto part = part_named(at);
        const bool ground = !part && means_ground(at);
        const auto sits = [&](TerminalId t) {
            return part ? c_.at(t).part == *part : ground && c_.part_of(t).kind == Kind::metal;
        };
        if (!sits(old.a) && !sits(old.b)) {
            if (!part && !ground)
                unknown_name(at, at_span);
            else
                problem("text-end-unclear", at_span, "No end of " + whole + " sits at " + at + ".",
                        "It runs from " + name_of(c_, old.a) + " to " + name_of(c_, old.b) + ".");
            return done();
        }
        piece.at_a = sits(old.a) && !(named.size() == 1 && named.front().at_a && sits(old.b));
        named.push_back(std::move(piece));
    }
    if (named.size() < 2 || named[0].at_a == named[1].at_a) {
        problem("text-statement-unfinished", item.span(),
                "The two pieces of " + whole + " need two names and two places.", example);
        return done();
    }
    const Named& first = named[0].at_a ? named[0] : named[1];
    const Named& second = named[0].at_a ? named[1] : named[0];
    for (const Named* piece : {&first, &second})
        if (parts_.contains(lower(piece->name)) ||
            (wires_.contains(lower(piece->name)) && lower(piece->name) != lower(whole))) {
            problem("text-name-twice", piece->span, "Something is already called " + piece->name + ".",
                    "Give the piece another name.");
            return done();
        }
    const PartId id = part_made_here(Kind::cut, "cut of " + whole, name_span, item, old.place);
    const TerminalId inner_a = add_terminal(id, {id, first.name, Role::joint, 0, any_number, false});
    const TerminalId inner_b = add_terminal(id, {id, second.name, Role::joint, 0, any_number, false});
    const auto [a, b] = divide(where->wire, inner_a, inner_b, where->from_a, where->from_b, item);
    const auto rename = [&](WireId w, const Named& piece, TerminalId loose) {
        std::erase(wires_[lower(c_.at(w).name)], w);
        if (wires_[lower(c_.at(w).name)].empty()) wires_.erase(lower(c_.at(w).name));
        c_.wires[w.index].name = piece.name;
        c_.wires[w.index].named = true;
        c_.wires[w.index].piece = 0;
        wires_[lower(piece.name)].push_back(w);
        loose_ends_[lower(piece.name)] = loose;
        gone_.erase(lower(piece.name));
    };
    rename(a, first, inner_a);
    rename(b, second, inner_b);
    if (!wires_.contains(lower(whole))) gone_[lower(whole)] = item.span();
    done();
}

void Reader::cap(Cursor& c) {
    const Span name_span = c.span();
    const std::string name(c.spelled());
    const auto wires = wires_named(c);
    if (wires.empty()) return;
    const auto loose = loose_ends_.find(lower(name));
    bool capped = false;
    for (WireId id : wires) {
        Wire& w = c_.wires[id.index];
        for (bool at_a : {true, false}) {
            const TerminalId t = at_a ? w.a : w.b;
            const Kind kind = c_.part_of(t).kind;
            if ((loose != loose_ends_.end() && loose->second == t) || kind == Kind::loose_end) {
                (at_a ? w.capped_a : w.capped_b) = true;
                capped = true;
            }
        }
    }
    if (!capped)
        problem("text-end-unclear", name_span, name + " has no loose end to cap.",
                "Cut it first, or name the piece that has the loose end.");
}

void Reader::joint_in_wire(const Item& item, Cursor& c, const char* joint_type) {
    std::string name;
    Span name_span = item.span();
    if (!c.is("on") || c.is("on", 1)) {
        name = std::string(c.spelled());
        name_span = c.span();
        ++c.at;
    } else {
        std::size_t n = 1;
        while (parts_.contains("joint " + std::to_string(n))) ++n;
        name = "joint " + std::to_string(n);
    }
    std::string label;
    if (c.is_text()) {
        label = std::string(c.spelled());
        ++c.at;
    }
    if (!c.take("on"))
        return problem("text-statement-unfinished", c.span(), "On which wire this joint is made is not said.",
                       "Type: splice SP1 on W20, 0.3 m from F3, crimp");
    const Span wire_span = c.span();
    const auto candidates = wires_named(c);
    if (candidates.empty()) return;
    if (parts_.contains(lower(name)) || wires_.contains(lower(name)))
        return problem("text-name-twice", name_span, "Something is already called " + name + ".",
                       "Give the joint another name.");
    const auto where = where_on_wire(c, candidates);
    if (!where) {
        if (candidates.size() > 1)
            problem("text-end-unclear", wire_span,
                    c_.at(candidates.front()).name + " has several pieces; on which one the joint sits is not said.",
                    "Say how far from one of its ends: 0.3 m from F3");
        return;
    }
    Clauses clauses = ClauseReader{colours_, &out_.findings, &places_}.read(c, splice_kind);
    const PlaceId at = c_.at(where->wire).place;
    const PartId id = new_part(splice_kind, name, name_span.begin != item.span().begin, name_span, item);
    Part& part = c_.parts[id.index];
    part.label = label.empty() ? clauses.label : label;
    part.place = clauses.place.empty() ? at : place(clauses.place, clauses.place_span);
    part.poisoned = clauses.poisoned;
    bool typed = false;
    for (Attribute& a : clauses.attributes) {
        typed = typed || a.key == Attr::joint_type;
        a.life.born = item.revision;
        part.attributes.push_back(std::move(a));
    }
    if (!typed) {
        Attribute a;
        a.key = Attr::joint_type;
        a.word = joint_type;
        a.span = item.span();
        a.life.born = item.revision;
        part.attributes.push_back(std::move(a));
    }
    const TerminalId t = part.terminals.front();
    const auto [a, b] = divide(where->wire, t, t, where->from_a, where->from_b, item);
    std::uint16_t n = 1;
    for (WireId w : wires_[lower(c_.at(a).name)]) c_.wires[w.index].piece = n++;
    (void)b;
}

void Reader::move(const Item& item, Cursor& c) {
    const Span wire_span = c.span();
    const auto candidates = wires_named(c);
    if (candidates.empty()) return;
    const std::string name = c_.at(candidates.front()).name;
    const std::string example = "Type: move " + name + " off M2:1 onto K1:87";
    if (!c.take("off"))
        return problem("text-statement-unfinished", c.span(), "Off which terminal " + name + " comes is not said.",
                       example);
    const Span off_span = c.span();
    const std::string off(c.spelled());
    const auto part = part_named(off);
    ++c.at;
    std::string stamp;
    if (c.is_mark(':') && c.has(1)) {
        ++c.at;
        stamp = c.take_stamp();
    }
    if (!part && !means_ground(off)) return unknown_name(off, off_span);
    std::optional<WireId> wire;
    bool at_a = false;
    for (WireId w : candidates)
        for (bool a : {true, false}) {
            const TerminalId t = a ? c_.at(w).a : c_.at(w).b;
            const bool here = part ? c_.at(t).part == *part && (stamp.empty() || find_terminal(*part, stamp) == t ||
                                                                equal_ignoring_case(c_.at(t).stamp, stamp))
                                   : c_.part_of(t).kind == Kind::metal;
            if (here && !wire) {
                wire = w;
                at_a = a;
            }
        }
    if (!wire)
        return problem("text-end-unclear", off_span,
                       "No end of " + name + " sits at " + off + (stamp.empty() ? "." : ":" + stamp + "."),
                       "Look where it ends now.");
    if (!c.take("onto"))
        return problem("text-statement-unfinished", c.span(), "Onto which terminal " + name + " goes is not said.",
                       example);
    const WireId fresh = new_version(*wire, item);
    // The wire's own old end must not count as taken while the new one is looked for.
    Wire& w = c_.wires[fresh.index];
    const TerminalId old = at_a ? w.a : w.b;
    --wires_on_[old.index];
    const End end = read_end(c, item, at_a);
    Wire& moved = c_.wires[fresh.index];
    if (end.terminal.exists()) {
        (at_a ? moved.a : moved.b) = end.terminal;
        (at_a ? moved.a_span : moved.b_span) = end.span;
        ++wires_on_[end.terminal.index];
    } else {
        ++wires_on_[old.index];
    }
    if (!end.ok) moved.poisoned = true;
    moved.origin.made = item.span();
    (void)wire_span;
}

void Reader::remove(const Item& item, Cursor& c) {
    if (!c.is_word())
        return problem("text-statement-unfinished", c.span(), "What is removed is missing.",
                       "Type: remove S6, kept in boot");
    const std::string name(c.spelled());
    const Span name_span = c.span();
    if (const auto wires = wires_.find(lower(name)); wires != wires_.end()) {
        const std::vector<WireId> all = wires->second;
        for (WireId w : all) end_wire(w, item);
        return;
    }
    const auto part = part_named(name);
    if (!part) return unknown_name(name, name_span);
    ++c.at;
    Part& gone = c_.parts[part->index];
    gone.life.gone = item.revision;
    gone.origin.removed = item.span();
    for (Primitive& p : c_.primitives)
        if (p.part == *part && p.life.gone == never) p.life.gone = item.revision;
    c.take_mark(',');
    if (c.take("kept") && c.take("in") && (c.is_word() || c.is_text())) {
        Attribute kept;
        kept.key = Attr::kept;
        kept.word = std::string(c.spelled());
        kept.span = c.span();
        gone.attributes.push_back(std::move(kept));
    }
    parts_.erase(lower(name));
    gone_[lower(name)] = item.span();
    // Its wires are still there, with nothing at that end.
    const std::vector<TerminalId> terminals = gone.terminals;
    const auto touches = [&](TerminalId t) {
        return std::find(terminals.begin(), terminals.end(), t) != terminals.end();
    };
    std::vector<WireId> left;
    for (std::size_t i = 0; i < c_.wires.size(); ++i)
        if (c_.wires[i].life.gone == never && (touches(c_.wires[i].a) || touches(c_.wires[i].b)))
            left.push_back(WireId{i});
    for (WireId old : left) {
        const WireId fresh = new_version(old, item);
        for (bool at_a : {true, false}) {
            const TerminalId t = at_a ? c_.at(fresh).a : c_.at(fresh).b;
            if (!touches(t)) continue;
            const TerminalId end =
                end_of_its_own(Kind::loose_end, "end of " + c_.at(fresh).name + " where " + name + " was", name_span,
                               item, c_.at(fresh).place);
            --wires_on_[t.index];
            ++wires_on_[end.index];
            Wire& w = c_.wires[fresh.index];
            (at_a ? w.a : w.b) = end;
            loose_ends_[lower(w.name)] = end;
        }
    }
}

} // namespace loomproof
