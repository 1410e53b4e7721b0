#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/hole_rows.hpp"
#include "circuit/kinds/kinds.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"

#include <algorithm>

namespace loomproof {

namespace {

/// Kinds that stand in a file only when not sayable yet get a part all the same, so that wires to it are no further mistakes.
constexpr const char* poisoned_kinds[] = {"timer", "thermostat", "holder"};

/// "battery 1 100ah", "battery 2 "leisure"": a number that can only be the name.
bool bare_number(const Cursor& c) {
    const std::string_view word = c.spelled();
    if (word.find_first_not_of("0123456789") != std::string_view::npos || !c.has(1)) return false;
    Cursor behind = c;
    ++behind.at;
    return c.is_text(1) || looks_like_figure(behind);
}

} // namespace

TerminalId Reader::body() {
    const auto it = parts_.find("body");
    const bool taken = it != parts_.end();
    if (taken && c_.at(it->second).kind == Kind::metal) return c_.at(it->second).terminals.front();
    if (taken && body_.exists()) return body_; // something else carries the name
    Part part;
    part.kind = Kind::metal;
    part.name = "body";
    part.named = false;
    part.origin.provenance = Provenance::assumed;
    const PartId id{c_.parts.size()};
    c_.parts.push_back(std::move(part));
    if (!taken) parts_["body"] = id;
    return body_ = add_terminal(id, {id, "", Role::joint, 0, any_number, false});
}

PartId Reader::new_part(const KindSpec& kind, std::string name, bool named, Span name_span, const Item& item) {
    Part part;
    part.kind = kind.kind;
    part.name = std::move(name);
    part.named = named;
    part.name_span = name_span;
    part.span = item.span();
    part.life.born = item.revision;
    part.origin = {item.provenance, item.span(), {}};
    const PartId id{c_.parts.size()};
    parts_[lower(part.name)] = id;
    c_.parts.push_back(std::move(part));
    for (const TerminalSpec& t : kind.terminals)
        add_terminal(id, {id, t.stamp, t.role, 0, t.wires_allowed, t.must_be_wired});
    return id;
}

bool Reader::part_statement(const Item& item) {
    Cursor c = item.cursor(sources_);
    if (c.is("existing") && c.is("wire", 1)) {
        c.at += 2;
        declare(item, existing_wire_kind, c);
        return true;
    }
    if (!c.is_word()) return false;
    if (c.is("splice") && (c.is("on", 2) || c.is("on", 1))) return false; // a joint made in a wire
    if (engine_statement(item, c)) return true;
    const KindSpec* kind = find_kind(c.spelled());
    if (kind) {
        ++c.at;
        declare(item, *kind, c);
        return true;
    }
    for (const char* word : poisoned_kinds) {
        if (!c.is(word)) continue;
        const std::string keyword(c.spelled());
        ++c.at;
        const bool named = c.is_word() && !c.is("is");
        const std::string name = named ? std::string(c.spelled()) : keyword;
        const PartId id = new_part(not_known_kind, name, named, c.span(), item);
        c_.parts[id.index].poisoned = true;
        if (equal_ignoring_case(word, "thermostat")) {
            const Span front{item.span().source, item.span().begin, c.tree->tokens[named ? c.at : c.at - 1].end};
            problem("text-word-unknown", front, "A thermostat is a switch that heat works.",
                    "Type: " + line_with(item, front,
                                         "switch " + (named ? name : free_name(spec_of(Kind::switching))) +
                                             " \"thermostat\", thermal"));
            return true;
        }
        problem("text-not-known-yet", item.span(),
                "\"" + keyword + "\" is not known yet: what this line says, and what hangs on it, is not checked.",
                "Describe it by what it takes, if that is enough: load " + name + ", 2 A");
        return true;
    }
    part_of_unknown_kind(item, c);
    return false;
}

/// "fuze F1, 20 A" is reported as a statement (unknown_statement); that F1 is there is known all the same.
void Reader::part_of_unknown_kind(const Item& item, Cursor& c) {
    for (const char* word : {"wire", "from", "cut", "cap", "splice", "tap", "move", "remove", "bundle", "wish", "limit",
                             "cable", "restraint"})
        if (c.is(word)) return;
    if (const KindBehind behind = kind_behind_words(c); behind.kind) { // "ignition switch S1"
        c.at += behind.name;
        if (!parts_.contains(lower(c.spelled())))
            c_.parts[new_part(not_known_kind, std::string(c.spelled()), true, c.span(), item).index].poisoned = true;
        return;
    }
    if (!c.is_word(1) || parts_.contains(lower(c.spelled(1))) || means_ground(c.spelled(1)) ||
        equal_ignoring_case(c.spelled(1), "body"))
        return;
    if (c.has(2) && !c.is_mark(',', 2) && !c.is_text(2)) return;
    const auto near = nearest_statement(item.cursor(sources_).spelled());
    if (near && !find_kind(*near)) return;
    ++c.at;
    c_.parts[new_part(not_known_kind, std::string(c.spelled()), true, c.span(), item).index].poisoned = true;
}

void Reader::declare(const Item& item, const KindSpec& kind, Cursor& c) {
    std::string name;
    Span name_span = item.span();
    bool named = false;
    const ClauseReader untyped{colours_, &out_.findings, &places_},
        reader{colours_, &out_.findings, &places_, &types_}; // "lamp H4" may be its name
    const bool no_name = untyped.knows(c, kind) ||
                         (kind.one_of_a_kind && looks_like_figure(c) && !bare_number(c)); // "fuse 20A", "battery AGM"
    if (c.is_word() && !no_name) {
        name = std::string(c.spelled());
        name_span = c.span();
        named = true;
        ++c.at;
        if ((c.is_mark(':') || c.is_mark('-')) && c.has(1) && !c.token(1).glued)
            ++c.at; // "fuse F1: 20 A", "fuse F1 - 20 A"
    } else if (kind.one_of_a_kind) {
        name = kind.keyword;
        name_span = c.at > 0 ? c.tree->span(c.tree->tokens[c.at - 1]) : item.span();
    } else if (const std::uint32_t ahead = name_behind(c, kind); ahead > 0) { // "fuse 20A F1"
        Cursor at_name = c;
        at_name.at += ahead;
        name = std::string(at_name.spelled());
        name_span = at_name.span();
        named = true;
        const std::uint32_t kind_end = c.tree->tokens[c.at - 1].end;
        std::string front = line_with(item, {item.tree->source, kind_end, name_span.end}, " " + name);
        const std::string between =
            std::string(sources_.text({item.tree->source, c.span().begin, c.tree->tokens[at_name.at - 1].end}));
        front.insert(front.find(name) + name.size(), ", " + between);
        problem("text-name-missing", name_span, "The name stands first, behind the kind of thing.", "Type: " + front);
        c.at = at_name.at + 1;
        c_.has_mistakes = true;
    } else {
        std::size_t n = 1;
        while (parts_.contains(std::string(kind.keyword) + " " + std::to_string(n))) ++n;
        name = std::string(kind.keyword) + " " + std::to_string(n);
        const std::uint32_t behind = c.tree->tokens[c.at - 1].end;
        problem("text-name-missing", item.span(),
                "This " + std::string(kind.title) + " has no name, so no wire can end at it.",
                "Give it one, any word: " +
                    line_with(item, {item.tree->source, behind, behind}, " " + free_name(kind)));
    }
    const bool several_words = named && name_of_several_words(item, kind, c, name);
    Clauses clauses = reader.read(c, kind);
    clauses.poisoned = clauses.poisoned || several_words;

    const std::string key = lower(name);
    if (const auto old = parts_.find(key); old != parts_.end()) {
        const Part& before = c_.at(old->second);
        const bool implicit_body = before.origin.provenance == Provenance::assumed;
        if (before.kind == kind.kind && !implicit_body && before.life.born < item.revision && before.name == name)
            return change(item, old->second, std::move(clauses));
        if (!implicit_body) {
            Finding f = text_problem("text-name-twice", name_span,
                                     before.name == name ? "Two things are called " + name + "."
                                                         : name + " and " + before.name + " differ only by capitals.",
                                     named ? "Give one of them another name."
                                           : "Give each a name of its own: " + std::string(kind.keyword) + " " +
                                                 (kind.kind == Kind::battery ? "B2" : "X2") + ", ...");
            f.cites.push_back({before.name_span, "the first"});
            out_.findings.push_back(std::move(f));
            return;
        }
        if (kind.kind == Kind::metal) { // `metal body` said after something already lay on the body
            Part& part = c_.parts[old->second.index];
            part.origin = {item.provenance, item.span(), {}};
            part.name_span = name_span;
            part.span = item.span();
            part.named = true;
            return;
        }
    }
    if (const auto wire = wires_.find(key); wire != wires_.end()) {
        Finding f = text_problem("text-name-twice", name_span, "A wire is already called " + name + ".",
                                 "Give one of them another name.");
        f.cites.push_back({c_.at(wire->second.front()).span, "the wire"});
        out_.findings.push_back(std::move(f));
        return;
    }
    const PartId id = new_part(kind, name, named, name_span, item);
    if (c_.vehicle.no_metal && clauses.mounting == "*" && !part_named("engine")) {
        problem("text-end-unclear", item.span(), "This vehicle has no metal that " + name + " could be grounded on.",
                "Give it a ground wire; or add the metal it is bolted to: metal engine");
        clauses.poisoned = true;
    }
    Part* part = &c_.parts[id.index];
    part->label = clauses.label;
    part->poisoned = clauses.poisoned;
    if (!clauses.place.empty()) part->place = place(clauses.place, clauses.place_span);
    for (Attribute& a : clauses.attributes) {
        a.life.born = item.revision;
        if (a.key == Attr::case_grounded) a.word = clauses.mounting;
        if (a.key == Attr::colour)
            a.word = clauses.colours.main + (clauses.colours.stripe.empty() ? "" : "/" + clauses.colours.stripe);
        part->attributes.push_back(std::move(a));
    }
    const Statement& statement = item.tree->statements[item.statement];
    if ((kind.kind == Kind::switching || kind.kind == Kind::wish) && statement.open != Statement::none)
        read_switch_block(id, item);
    if (kind.kind == Kind::wish && c_.at(id).controls.empty()) {
        problem("text-statement-unfinished", item.span(), "What " + name + " may be is not said.",
                "Type: wish " + name + " { no* | yes }");
        c_.parts[id.index].poisoned = true;
    }
    if (kind.kind == Kind::electronics && statement.open != Statement::none) read_unit_block(id, item);
    if (kind.kind == Kind::starter && statement.open != Statement::none) read_starter_block(id, item);
    if (kind.kind == Kind::connector && statement.open != Statement::none) read_plug_block(id, item);
    if (kind.kind == Kind::box) read_box_block(id, item);
    for (const Span& bad : poisoned_spans_)
        if (bad.source == item.tree->source && bad.begin >= item.span().begin &&
            bad.end <= item.tree->span(statement).end)
            c_.parts[id.index].poisoned = true;
    shape(id);
    if (kind.kind == Kind::connector) check_hole_rows(id);
    for (const Attribute& a : c_.at(id).attributes) {
        if (a.key != Attr::double_terminal) continue;
        if (const auto twice = find_terminal(id, a.word))
            c_.terminals[twice->index].wires_allowed = std::max<std::uint16_t>(2, c_.at(*twice).wires_allowed);
        else
            problem("text-terminal-unknown", a.span,
                    name + " has no terminal " + a.word + " that could be made for two wires.");
    }
}

/// How far ahead the name stands in "fuse 20A F1": the first word, before any comma, that is a stamp like F1 and that nothing else
/// explains. 0: none.
std::uint32_t Reader::name_behind(const Cursor& c, const KindSpec& kind) const {
    const ClauseReader reader{colours_, nullptr, &places_};
    for (std::uint32_t i = 1; c.is_word(i); ++i) {
        Cursor at = c;
        at.at += i;
        const std::string_view word = at.spelled();
        const bool digits = word.find_first_of("0123456789") != std::string_view::npos;
        if (digits && !looks_like_figure(at) && !reader.knows(at, kind) && !parts_.contains(lower(word))) return i;
    }
    return 0;
}

void Reader::check_hole_rows(PartId id) {
    for (const Attribute& a : c_.at(id).attributes) {
        if (a.key != Attr::hole_rows) continue;
        const Result<HoleRows> rows = hole_rows(a.word, c_.at(id).terminals.size() / 2);
        if (!rows)
            problem("text-word-unknown", a.span, rows.error(),
                    "Type each hole once, top row first: rows \"3 2 1 / 6 5 4\"");
    }
}

/// "relay fog lamps, 40 A", "lamp E1 left, 55 W": words behind the name that nothing may mean. Says so, and takes them: into the
/// name, where that is a word and no stamp like E1.
bool Reader::name_of_several_words(const Item& item, const KindSpec& kind, Cursor& c, std::string& name) {
    const ClauseReader reader{colours_, &out_.findings, &places_, &types_};
    const std::uint32_t start = c.at;
    std::string words;
    while (c.is_word() && !looks_like_figure(c) && !reader.knows(c, kind) && !ClauseReader::is_near(c, kind)) {
        words += " " + std::string(c.spelled());
        ++c.at;
    }
    if (words.empty()) return false;
    const Span more = c.span_from(start);
    if (std::any_of(name.begin(), name.end(), [](char ch) { return ch >= '0' && ch <= '9'; })) {
        problem("text-word-unknown", more, "What " + name + " is, in words, stands in quotes.",
                "Type: " + line_with(item, more, "\"" + words.substr(1) + "\""));
        return true;
    }
    const Span whole{more.source, c.tree->tokens[start - 1].begin, more.end};
    const std::string typed = name + words, last = words.substr(words.rfind(' ') + 1);
    if (last.find_first_of("0123456789") != std::string::npos &&
        last.find_first_not_of("0123456789") != std::string::npos) { // "light bar E1"
        problem(
            "text-word-unknown", whole, "The name comes first, and what it is, in words, stands in quotes behind it.",
            "Type: " + line_with(item, whole, last + " \"" + typed.substr(0, typed.size() - last.size() - 1) + "\""));
        name = last;
        return true;
    }
    name = typed;
    std::replace(name.begin(), name.end(), ' ', '-');
    Finding f =
        text_problem("text-word-unknown", whole, "A name is one word.", "Type: " + line_with(item, whole, name));
    f.cures.push_back({"With a short name and the words in quotes: " +
                       line_with(item, whole, free_name(kind) + " \"" + typed + "\"")});
    out_.findings.push_back(std::move(f));
    return true;
}

void Reader::change(const Item& item, PartId id, Clauses clauses) {
    Part& part = c_.parts[id.index];
    for (Attribute& fresh : clauses.attributes) {
        for (Attribute& old : part.attributes)
            if (old.key == fresh.key && old.life.gone == never) old.life.gone = item.revision;
        fresh.life.born = item.revision;
        part.attributes.push_back(std::move(fresh));
    }
    if (!clauses.label.empty()) part.label = clauses.label;
    part.poisoned = part.poisoned || clauses.poisoned;
    if (item.provenance != Provenance::factory) part.origin.provenance = item.provenance; // the job has touched it
}

TerminalId Reader::switch_terminal(PartId id, const std::string& stamp) {
    for (TerminalId t : c_.at(id).terminals)
        if (equal_ignoring_case(c_.at(t).stamp, stamp)) return t;
    return add_terminal(id, {id, stamp, Role::contact, 0, 1, false});
}

void Reader::read_switch_block(PartId id, const Item& item) {
    const Tree& tree = *item.tree;
    const std::uint32_t first = tree.statements[item.statement].first_child;
    bool sections = false;
    for (std::uint32_t s = first; s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (!c.is("section")) continue;
        sections = true;
        ++c.at;
        read_switch_section(id, tree, tree.statements[s].first_child, std::string(c.spelled()));
    }
    if (!sections) read_switch_section(id, tree, first, "");
}

/// Make before break: between each two positions one more, in which it does not stay and which joins what both join.
void Reader::overlap(Control& control, std::vector<Primitive>& contacts) {
    const std::size_t n = control.positions.size();
    if (n < 2 || 2 * n - 1 > 64) return;
    std::vector<std::string> names;
    std::uint64_t springs_back = 0;
    for (std::size_t i = 0; i < n; ++i) {
        if (control.springs_back >> i & 1u) springs_back |= std::uint64_t{1} << (2 * i);
        names.push_back(control.positions[i]);
        if (i + 1 == n) break;
        springs_back |= std::uint64_t{1} << (2 * i + 1);
        names.push_back("between " + control.positions[i] + " and " + control.positions[i + 1]);
    }
    for (Primitive& p : contacts) {
        std::uint64_t closed = 0;
        for (std::size_t i = 0; i < n; ++i)
            if (p.closed_in >> i & 1u)
                closed |= (std::uint64_t{i == 0 ? 3u : 7u} << (i == 0 ? 0 : 2 * i - 1)) &
                          ((std::uint64_t{1} << (2 * n - 1)) - 1);
        p.closed_in = closed;
    }
    control.positions = std::move(names);
    control.springs_back = springs_back;
    control.rest = static_cast<std::uint8_t>(2 * control.rest);
}

/// "15R and 50", "15R, 15 and 50": moves to the next terminal that a position joins with the same one. Behind a comma only what is
/// stamped like a terminal is one: with a figure in it, up to three letters, or a stamp the switch has already.
bool Reader::takes_another(Cursor& c, PartId id) const {
    if (c.take("and") || c.take_mark('&')) return true;
    if (!c.is_mark(',') || !c.is_word(1)) return false;
    if (c.is("and", 1)) return c.at += 2, true;
    if (c.is("connects", 1) || c.is("with", 2)) return false; // a pair of its own
    const std::string_view word = c.spelled(1);
    const bool last = !c.has(2) || c.is_mark(',', 2) || c.is("and", 2) || c.is_mark('&', 2);
    const char unit = word.back(); // "10A" is what a contact carries; "49a", "15R" are terminals
    if (unit_split(word) > 0 && (unit == 'A' || unit == 'V' || unit == 'W')) return false;
    const bool stamped = (word.size() <= 3 && !c.is("on", 1) && !c.is("off", 1)) ||
                         word.find_first_of("0123456789") != std::string_view::npos ||
                         std::ranges::any_of(c_.at(id).terminals,
                                             [&](TerminalId t) { return equal_ignoring_case(c_.at(t).stamp, word); });
    if (!last || !stamped) return false;
    ++c.at;
    return true;
}

/// The whole position as it would stand, everything else in it kept: a cure that leaves out a terminal, or names another position,
/// rewires the switch when it is typed.
std::string Reader::position_cure(const Cursor& c, const Tree& tree, const Statement& statement) const {
    const Span whole = tree.head(statement);
    const std::string_view text = sources_.text(whole);
    const auto with = [&](std::uint32_t begin, std::uint32_t end, std::string_view instead) {
        return std::string(text.substr(0, begin - whole.begin)) + std::string(instead) +
               std::string(text.substr(end - whole.begin));
    };
    for (const char* word : {"spring", "springs", "sprung", "momentary", "momentarily", "returns", "return", "push"})
        if (c.is(word)) {
            Cursor end = c;
            end.skip_clause();
            return "Type: " + with(c.span().begin, end.span_from(c.at).end, "springs back");
        }
    Cursor end = c;
    end.skip_clause();
    const bool behind_comma = c.at > statement.first && tree.tokens[c.at - 1].mark == ',' && c.is_word() &&
                              (end.at == c.at + 1 || c.is("and", 1));
    if (behind_comma && text.substr(0, c.span().begin - whole.begin).find(" with ") != std::string_view::npos)
        return "If " + std::string(c.spelled()) +
               " is a terminal too, type: " + with(tree.tokens[c.at - 1].begin, c.span().begin, " and ");
    return "Behind the position's name stands what it joins (connects 30 with 15 and 50) and, where it does, springs "
           "back.";
}

void Reader::read_switch_section(PartId id, const Tree& tree, std::uint32_t first, const std::string& section) {
    Control control;
    control.part = id;
    control.name = section;
    const Part& part = c_.at(id);
    for (const Attribute& a : part.attributes)
        if (a.key == Attr::thermal) control.type = Control::Type::sensed;
    if (part.kind == Kind::wish) control.type = Control::Type::sensed;
    std::vector<Primitive> contacts;
    bool has_rest = false;
    Stated<Amps> rating;
    for (const Attribute& a : part.attributes)
        if (a.key == Attr::rating) rating = as<Amps>(a.value);
    for (std::uint32_t s = first; s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.done()) continue;
        const auto poison = [&] { c_.parts[id.index].poisoned = true; };
        if (!c.is_word() && !c.is_text()) {
            problem("text-word-unknown", c.span(), "A position of the switch begins with its name.",
                    "Type: run connects 30 with 15");
            poison();
            continue;
        }
        if (control.positions.size() == 64) {
            problem("text-statement-unfinished", c.span(), "A switch has more than 64 positions.",
                    "Describe the part of it that matters.");
            poison();
            break;
        }
        const std::uint64_t bit = std::uint64_t{1} << control.positions.size();
        control.positions.emplace_back(c.spelled());
        ++c.at;
        if (c.take_mark('*')) {
            control.rest = static_cast<std::uint8_t>(control.positions.size() - 1);
            has_rest = true;
        }
        const auto join = [&](const std::string& from, const std::string& to) {
            const TerminalId a = switch_terminal(id, from), b = switch_terminal(id, to);
            for (Primitive& p : contacts)
                if ((p.a == a && p.b == b) || (p.a == b && p.b == a)) {
                    p.closed_in |= bit;
                    return;
                }
            Primitive p;
            p.element = Element::contact;
            p.purpose = Purpose::switch_contact;
            p.a = a;
            p.b = b;
            p.closed_in = bit;
            p.rating = rating;
            contacts.push_back(p);
        };
        while (!c.done()) {
            if (c.take_mark(',')) continue;
            if (c.take_words("springs back")) {
                control.springs_back |= bit;
            } else if (c.take("connects") || (c.is_word() && c.is("with", 1))) {
                const std::string from(c.spelled());
                ++c.at;
                if (!c.take("with")) {
                    problem("text-statement-unfinished", c.span(), "What " + from + " is connected with is missing.",
                            "Type: connects " + (from.empty() ? "30" : from) + " with 15");
                    poison();
                    c.skip_clause();
                    continue;
                }
                do {
                    if (!c.is_word()) {
                        problem("text-statement-unfinished", c.span(), "A terminal is missing behind \"with\".",
                                "Type: connects " + from + " with 15 and 50");
                        poison();
                        c.skip_clause();
                        break;
                    }
                    join(from, std::string(c.spelled()));
                    ++c.at;
                } while (takes_another(c, id));
            } else {
                if (!c.clause_is_stray())
                    problem("text-word-unknown", c.span(),
                            "\"" + std::string(c.spelled()) + "\" is not known in a switch position.",
                            position_cure(c, tree, tree.statements[s]));
                poison();
                c.skip_clause();
            }
        }
    }
    if (control.positions.empty()) return;
    if (!has_rest) control.rest = 0;
    if (std::ranges::any_of(c_.at(id).attributes, [](const Attribute& a) { return a.key == Attr::overlaps; }))
        overlap(control, contacts);
    const ControlId cid{c_.controls.size()};
    c_.controls.push_back(std::move(control));
    c_.parts[id.index].controls.push_back(cid);
    for (Primitive& p : contacts) {
        p.control = cid;
        p.part = id;
        p.life = c_.at(id).life;
        c_.primitives.push_back(p);
    }
}

void Reader::read_plug_block(PartId id, const Item& item) {
    const Tree& tree = *item.tree;
    for (std::uint32_t s = tree.statements[item.statement].first_child; s != Statement::none;
         s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.done()) continue;
        PlugRow row;
        row.connector = id;
        row.span = tree.head(tree.statements[s]);
        c.take("hole");
        if (!c.is_word()) {
            problem("text-word-unknown", c.span(), "A row of a plug begins with the number of its hole.",
                    "Type: 1 blue/white \"temperature sender\"");
            continue;
        }
        row.hole = std::string(c.spelled());
        ++c.at;
        c.take_mark(':');
        c.take_mark(',');
        const ClauseReader reader{colours_, &out_.findings, &places_};
        while (!c.done()) {
            if (c.take_mark(',')) continue;
            if (c.is_text()) {
                row.label += (row.label.empty() ? "" : "; ") + std::string(c.spelled());
                ++c.at;
            } else if (const auto volts =
                           read_figure(c, Unit::volts, out_.findings)) { // a reading: 12 V when "ignition on"
                row.label += (row.label.empty() ? "" : "; ") + text(Volts{volts->value.nominal});
                if (c.take("when")) {
                    row.label += " when";
                    for (; c.is_word() || c.is_text(); ++c.at) row.label += " " + std::string(c.spelled());
                }
            } else if (const auto colours = reader.colour(c)) {
                row.colours = *colours;
            } else {
                problem("text-word-unknown", c.span(), "\"" + std::string(c.spelled()) + "\" is no colour known here.",
                        "Type the hole, the colour in words, and what it is in quotes.");
                break;
            }
        }
        c_.plug_rows.push_back(std::move(row));
    }
}

} // namespace loomproof
