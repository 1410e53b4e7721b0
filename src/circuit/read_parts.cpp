#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/hole_rows.hpp"
#include "circuit/kinds/kinds.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"

#include <algorithm>
#include <utility>

namespace loomproof {

namespace {

/// What people call a thing that is said as another: it gets a part all the same, so that wires to it are no further mistakes.
struct Otherwise {
    const char* word;
    const char* means;     ///< a whole sentence
    const char* keyword;   ///< what the line begins with instead
    const char* behind;    ///< what stands behind its name
    const char* last = ""; ///< and at the end of the line
};
constexpr Otherwise said_otherwise[] = {
    {"timer", "A timer is a relay that works by the clock.", "relay", "", ", timed"},
    {"thermostat", "A thermostat is a switch that heat works.", "switch", " \"thermostat\", thermal"},
    {"contactor", "A contactor is a relay with studs.", "relay", " \"contactor\", studs"},
    {"dimmer", "A dimmer that turns volts into heat is a rheostat; one with electronics is an electronic unit.",
     "rheostat", ""},
    {"potentiometer", "What sets a current by its ohms is a rheostat.", "rheostat", ""},
    {"zener", "A diode that takes up what is too much clamps.", "diode", " \"zener\", clamps"},
    {"suppressor", "A suppressor across a feed is a capacitor.", "capacitor", " \"suppressor\""},
    {"voltmeter", "What shows volts is a gauge.", "gauge", " \"voltmeter\""},
    {"injector", "An injector is a solenoid.", "solenoid", " \"injector\""},
    {"valve", "A valve that current works is a solenoid.", "solenoid", " \"valve\""},
    {"actuator", "An actuator is a motor that turns either way.", "motor", " \"actuator\", reversible"},
    {"thermistor", "What changes its ohms is a sender.", "sender", " \"thermistor\""},
    {"radio", "A radio is an electronic unit.", "electronics", " \"radio\""},
    {"ecu", "A computer is an electronic unit.", "electronics", " \"computer\""},
    {"computer", "A computer is an electronic unit.", "electronics", " \"computer\""},
    {"controller", "A controller is an electronic unit.", "electronics", " \"controller\""},
    {"junction", "A place where wires are joined is a splice.", "splice", ""},
    {"generator", "A generator with its regulator beside it is a dynamo; one with diodes in it is an alternator.",
     "dynamo", ""},
};

/// Words that say more than the kind they are read as: where the part has no text in quotes, they stand for it.
constexpr std::string_view tell_what_it_is[] = {
    "fridge", "refrigerator", "freezer", "coolbox", "water pump", "diesel heater", "usb socket", "usb outlet", "fan",
    "pump",   "winch",        "wiper",   "blower",  "compressor", "water-pump",    "usb-socket", "usb-outlet"};

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
    if (wire_by_another_name(item, c)) return true;
    if (c.is_word(1) && c.is_word(2)) { // "circuit breaker Q1", "glow plug E6": one word of two
        Cursor name = c;
        name.at += 2;
        const KindSpec* two = find_kind(std::string(c.spelled()) + "-" + std::string(c.spelled(1)));
        if (two && !looks_like_figure(name) && !find_kind(name.spelled())) {
            const std::string typed = std::string(c.spelled()) + " " + std::string(c.spelled(1));
            c.at += 2;
            declare_as(item, *two, c, typed);
            return true;
        }
    }
    const KindSpec* kind = find_kind(c.spelled());
    if (kind && !qualifies_a_kind(c)) {
        const std::string typed(c.spelled());
        ++c.at;
        declare_as(item, *kind, c, typed);
        return true;
    }
    // It gets a part all the same, so that wires to it are no further mistakes. Moves onto its name, else onto the word.
    const auto stand_in = [&](bool& named) {
        const std::string keyword(c.spelled());
        named = c.is_word(1) && !c.is("is", 1) && !c.is("from", 1);
        if (named) ++c.at;
        const std::string name = named ? std::string(c.spelled()) : keyword;
        c_.parts[new_part(not_known_kind, name, named, c.span(), item).index].poisoned = true;
        return name;
    };
    const std::uint32_t first = c.at;
    for (const Otherwise& other : said_otherwise) {
        if (!c.is(other.word) || kind_behind_words(c).kind) continue;
        bool named = false;
        const std::string name = stand_in(named);
        const Span front = Span{item.span().source, item.span().begin, c.tree->tokens[c.at].end};
        Cursor label = c;
        ++label.at;
        std::string behind = other.behind, last = other.last;
        if (label.is_text()) { // its own says more
            const std::size_t close = behind.find('"', behind.find('"') + 1);
            if (close != std::string::npos) behind.erase(0, close + 1);
            if (behind.starts_with(", ")) last = std::exchange(behind, "") + last;
        }
        problem("text-word-unknown", first == c.at ? c.span() : c.span_from(first), other.means,
                "Type: " +
                    line_with(item, front,
                              std::string(other.keyword) + " " + (named ? name : free_name(*find_kind(other.keyword))) +
                                  behind) +
                    last);
        return true;
    }
    if (c.is("holder")) {
        bool named = false;
        const std::string name = stand_in(named);
        Span until{item.span().source, item.span().begin, c.tree->tokens[c.at].end};
        const Span front = until;
        if (named && c.is_mark(',', 1)) until.end = c.span(1).end;
        problem("text-word-unknown", front, "A holder is said together with the fuse in it.",
                "Type, with the amps of the fuse that is in it: " +
                    line_with(item, until,
                              "fuse " + (named ? name : free_name(spec_of(Kind::fuse))) + ", unknown A, holder"));
        return true;
    }
    part_of_unknown_kind(item, c);
    return false;
}

/// "ground strap from battery:- to body", "battery cable from ...": a wire, whatever stands first.
bool Reader::wire_by_another_name(const Item& item, const Cursor& c) {
    static constexpr const char* first[] = {"ground", "earth", "battery", "negative", "positive", "main"};
    static constexpr const char* second[] = {"wire", "strap", "cable", "lead", "braid"};
    if (std::ranges::none_of(first, [&](const char* w) { return c.is(w); }) ||
        std::ranges::none_of(second, [&](const char* w) { return c.is(w, 1); }) || !c.is("from", 2))
        return false;
    const Span words = Span{item.span().source, c.span().begin, c.span(1).end};
    problem("text-word-unknown", words, "A line begins with what it is; this one is a wire.",
            "Type: " + line_with(item, words, "wire \"" + std::string(sources_.text(words)) + "\""));
    return true;
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

/// "fuse 15": its name, or its amps? Says so where a protector has a number for its name and nothing is said about it.
bool Reader::name_may_be_figure(const Item& item, const KindSpec& kind, const Clauses& said, const std::string& name,
                                Span at) {
    if ((kind.kind != Kind::fuse && kind.kind != Kind::breaker) || !said.attributes.empty() ||
        name.find_first_not_of("0123456789.") != std::string::npos || parts_.contains(lower(name)))
        return false;
    Finding f = text_problem("text-unclear-figure", at,
                             "\"" + name + "\" can be the name of this " + kind.title + ", or its amps.",
                             "Type, if amps are meant: " + line_with(item, at, free_name(kind) + ", " + name + " A"));
    f.cures.push_back({"Type, if it is its name: " + line_with(item, at, name + ", unknown A")});
    out_.findings.push_back(std::move(f));
    return true;
}

void Reader::declare_as(const Item& item, const KindSpec& kind, Cursor& c, std::string_view typed) {
    const std::size_t before = c_.parts.size();
    declare(item, kind, c);
    if (c_.parts.size() > before && c_.parts[before].label.empty() &&
        std::ranges::any_of(tell_what_it_is, [&](std::string_view w) { return equal_ignoring_case(w, typed); }))
        c_.parts[before].label = typed;
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
        if ((c.is_mark(':') || c.is_mark('-') || c.is_mark('=')) && c.has(1) && !c.token(1).glued)
            ++c.at; // "fuse F1: 20 A", "fuse F1 - 20 A", "fuse F1 = 20 A"
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
    if (named && !kind.one_of_a_kind && !clauses.poisoned)
        clauses.poisoned = name_may_be_figure(item, kind, clauses, name, name_span);

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
            for (Attribute& a : clauses.attributes) part.attributes.push_back(std::move(a));
            part.poisoned = clauses.poisoned;
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
    if (kind.kind == Kind::supply ||
        kind.kind == Kind::existing_wire) // "plus S1 run": said on the drawing as a text would be
        for (std::size_t i = 0; i < part->attributes.size(); ++i) {
            Attribute by = part->attributes[i];
            if (by.key != Attr::driven_when) continue;
            by.key = lower(by.word).starts_with("ground ") ? Attr::ground_side : Attr::when;
            by.word.erase(0, by.word.find(' ') + 1);
            part->attributes.push_back(std::move(by));
            break;
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
    if (const std::string library = kind.parts; // "lamp L3 H4": a type that nobody named
        !library.empty() && c.at == start + 1 && name.find_first_of("0123456789") != std::string::npos &&
        words.find_first_of("0123456789") != std::string::npos) {
        Finding f = text_problem("text-word-unknown", more,
                                 "No type of " + std::string(kind.title) + " is called " + words.substr(1) + " here.",
                                 "The usual types are read by a line at the top of the file: use \"" + library + "\"");
        f.cures.push_back(
            {"If it is only what people call it, type: " + line_with(item, more, "\"" + words.substr(1) + "\"")});
        out_.findings.push_back(std::move(f));
        return true;
    }
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

} // namespace loomproof
