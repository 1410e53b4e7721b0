#include "circuit/clauses.hpp"

#include "base/number.hpp"
#include "circuit/begun.hpp"
#include "circuit/examples.hpp"
#include "circuit/figures.hpp"
#include "circuit/slips.hpp"
#include "circuit/text_problems.hpp"
#include "reference/places.hpp"

#include <algorithm>
#include <utility>

namespace loomproof {

std::optional<Colours> ClauseReader::colour(Cursor& c) const {
    if (!c.is_word()) return std::nullopt;
    const std::uint32_t start = c.at;
    // The longest run that reads as a colour wins: "light green/white", "BU/WH", "red".
    for (std::uint32_t tokens : {7u, 6u, 5u, 4u, 3u, 2u, 1u}) {
        if (c.left() < tokens || !c.is_word(tokens - 1)) continue;
        std::string text;
        bool fits = true;
        for (std::uint32_t i = 0; i < tokens; ++i) {
            if (c.is_mark('/', i))
                text += '/';
            else if (c.is_word(i))
                text += (text.empty() || text.back() == '/' ? "" : " ") + std::string(c.spelled(i));
            else
                fits = false;
        }
        if (!fits) continue;
        const reference::ColourAnswer answer = reference::read_colour(text, colour_set);
        if (!answer.colour && answer.readings.empty()) continue;
        c.at += tokens;
        Colours colours;
        colours.span = c.span_from(start);
        if (answer.colour) {
            colours.main = reference::letters({answer.colour->base, std::nullopt}, reference::ColourSet::iec);
            if (answer.colour->stripe)
                colours.stripe = reference::letters({*answer.colour->stripe, std::nullopt}, reference::ColourSet::iec);
            return colours;
        }
        std::vector<std::string> readings;
        for (const auto& r : answer.readings) {
            std::string words = reference::word(r.colour) + " (" + std::string(r.whose) + ")";
            if (std::find(readings.begin(), readings.end(), words) == readings.end())
                readings.push_back(std::move(words));
        }
        // Letters that mean the same to all who were asked may still mean something else to the maker: they stay a question.
        const std::string first = answer.readings.empty() ? "" : reference::word(answer.readings.front().colour);
        const bool alike =
            std::ranges::all_of(answer.readings, [&](const auto& r) { return reference::word(r.colour) == first; });
        const std::string likely = alike && !first.empty() ? ", such as " + first : "";
        findings->push_back(text_problem("text-colour-unclear", colours.span,
                                         "\"" + text + "\" can mean " + list_of(readings, "or") + ".",
                                         "Type the colour in words" + likely +
                                             ", or say at the top of the file whose letters they are: colours british, "
                                             "german, japanese or american."));
        return colours;
    }
    return std::nullopt;
}

namespace {

struct Match {
    const AttrSpec* spec = nullptr;
    std::uint32_t end = 0;
    Attribute attribute;
    std::vector<Attribute> extra;
    std::vector<Finding> problems;
    std::optional<Colours> colours;
    std::string place, mounting;
    Span place_span;
};

/// One pattern at the cursor.
std::optional<Match> match(const ClauseReader& reader, Cursor c, const AttrSpec& spec) {
    Match m;
    m.spec = &spec;
    m.attribute.key = spec.key;
    const std::uint32_t start = c.at;
    bool has_figure = false;
    const auto elements = elements_of(spec.pattern);
    const auto high_end = [&](const FigureRead& figure) {
        Attribute high;
        high.key = Attr::high_end;
        high.value = figure.value;
        high.word = figure.spelled;
        high.span = c.span_from(start);
        m.extra.push_back(std::move(high));
    };
    for (std::size_t i = 0; i < elements.size(); ++i) {
        const std::string_view element = elements[i];
        if (const auto unit = unit_of_gap(element)) {
            if (i + 2 < elements.size() && elements[i + 1] == "to" && elements[i + 2] == element) { // "42 W to 98 W"
                const auto range = read_range(c, *unit, m.problems);
                if (!range) return std::nullopt;
                m.attribute.value = range->first.value;
                m.attribute.word = range->first.spelled;
                high_end(range->second);
                i += 2;
                continue;
            }
            if (element == "{n}" && i + 1 < elements.size() && c.is_word()) // "2-pin" in one word
                if (const std::string_view word = c.spelled(), behind = elements[i + 1];
                    word.size() > behind.size() + 1 && word[word.size() - behind.size() - 1] == '-' &&
                    equal_ignoring_case(word.substr(word.size() - behind.size()), behind)) {
                    const std::string_view digits = word.substr(0, word.size() - behind.size() - 1);
                    if (digits.size() > 3 || digits.find_first_not_of("0123456789") != std::string_view::npos)
                        return std::nullopt;
                    const double count = std::stod(std::string(digits));
                    m.attribute.value = {Knowledge::given, count, count, count, c.span(), {}};
                    m.attribute.word = std::string(digits);
                    ++c.at;
                    ++i;
                    continue;
                }
            const auto figure = read_figure(c, *unit, m.problems);
            if (!figure) return std::nullopt;
            if (std::exchange(has_figure, true)) { // "30 s in 5 min"
                high_end(*figure);
                continue;
            }
            m.attribute.value = figure->value;
            if (!figure->spelled.empty()) m.attribute.word = figure->spelled;
        } else if (element == "{W/W}") {
            const auto pair = read_pair(c, Unit::watts);
            if (!pair) return std::nullopt;
            m.attribute.value = pair->first;
            Attribute second;
            second.key = Attr::power2;
            second.value = pair->second;
            second.span = pair->second.span;
            m.extra.push_back(std::move(second));
        } else if (element == "{word}") {
            if (!c.is_word() && !c.is_mark('+') && !c.is_mark('-')) return std::nullopt;
            m.attribute.word += (m.attribute.word.empty() ? "" : " ") + std::string(c.spelled());
            const bool may_go_on = c.is_word();
            ++c.at;
            if (may_go_on && (c.is_mark('+') || c.is_mark('-'))) m.attribute.word += c.spelled(), ++c.at; // "D+"
        } else if (element == "{text}") {
            if (!c.is_text()) return std::nullopt;
            m.attribute.word = std::string(c.spelled());
            ++c.at;
        } else if (element == "{colour}") {
            const ClauseReader quiet{reader.colour_set, &m.problems, reader.places};
            m.colours = quiet.colour(c);
            if (!m.colours) return std::nullopt;
        } else if (element == "{place}" || element == "{metal}") {
            if (!c.is_word() && !c.is_text()) return std::nullopt;
            const std::uint32_t from = c.at;
            (element == "{place}" ? m.place : m.mounting) =
                take_place(c, element == "{place}" ? reader.places : nullptr);
            m.place_span = c.span_from(from);
        } else if (element == "/" ? !c.take_mark('/') : !c.take(element)) {
            return std::nullopt;
        }
    }
    m.end = c.at;
    if (spec.word)
        m.attribute.word = spec.word;
    else if (std::string_view(spec.pattern).find('{') == std::string_view::npos)
        m.attribute.word = spec.pattern; // a flag is what was said
    m.attribute.open = spec.open;
    m.attribute.span = c.span_from(start);
    if (spec.key == Attr::case_grounded && m.mounting.empty()) m.mounting = "*";
    return m;
}

/// What may be said here, for a message.
std::string sayable(const KindSpec& kind) {
    std::vector<std::string> items;
    for (const AttrSpec& a : kind.attributes) {
        if (*a.meaning == '\0') continue;
        items.push_back(as_typed(a));
        if (items.size() == 8) break;
    }
    return (std::string_view("aeiou").find(kind.title[0]) == std::string_view::npos ? "A " : "An ") +
           std::string(kind.title) + " may have: " + list_of(items, "or") + ".";
}

/// What begins with this word, where something belongs behind it that is not there: "pulsed" without a figure. Null where nothing does.
const AttrSpec* begun_with(const Cursor& c, const KindSpec& kind) {
    for (const AttrSpec& a : kind.attributes) {
        const auto elements = elements_of(a.pattern);
        if (*a.meaning != '\0' && elements.size() > 1 && equal_ignoring_case(elements.front(), c.spelled()) &&
            std::ranges::any_of(elements, [](std::string_view e) { return e.front() == '{'; }))
            return &a;
    }
    return nullptr;
}

bool says_what_it_takes(Attr key) {
    return key == Attr::current || key == Attr::power || key == Attr::power2 || key == Attr::resistance ||
           key == Attr::voltage_at;
}

/// The units that a number standing alone can have here: those of figures that may be said of this kind and were not yet.
std::vector<Unit> units_not_said(const KindSpec& kind, const std::vector<Attribute>& said) {
    std::vector<Unit> units;
    for (const AttrSpec& a : kind.attributes) {
        const auto unit = unit_of_gap(a.pattern);
        if (!unit || *unit == Unit::count || *a.meaning == '\0') continue;
        const bool there = std::ranges::any_of(said, [&](const Attribute& s) {
            return s.key == a.key || (kind.is_load && says_what_it_takes(a.key) && says_what_it_takes(s.key));
        });
        if (!there) units.push_back(*unit);
    }
    // Where amps or watts may be said, nobody means ohms by a number alone.
    if (!units.empty() && units.front() != Unit::ohms) std::erase(units, Unit::ohms);
    return units;
}

/// A figure whose unit may stand here, with a word before or behind it that is missing: "680 A" of a battery, "6 bar" of a switch. The
/// statement with each of them; none where more than the figure stands there.
std::vector<Remedy> with_its_word(const Cursor& at, const KindSpec& kind) {
    std::vector<Remedy> cures;
    std::vector<Finding> none;
    const char* last = "";
    for (const AttrSpec& a : kind.attributes) {
        const std::string_view pattern = a.pattern;
        if (*a.meaning == '\0' || pattern.find(' ') == std::string_view::npos || cures.size() == 4 ||
            std::string_view(last) == a.meaning) // "85 ohm coil" beside "coil 85 ohm"
            continue;
        std::optional<Unit> unit;
        bool plain = true;
        for (std::string_view element : elements_of(pattern)) {
            if (element.front() != '{') continue;
            plain = plain && !unit;
            unit = unit_of_gap(element);
            plain = plain && unit.has_value();
        }
        Cursor c = at;
        if (!plain || !unit || *unit == Unit::count || !read_figure(c, *unit, none) ||
            !(c.done() || c.is_mark(',') || c.is_text()))
            continue;
        last = a.meaning;
        const Span span = c.span_from(at.at);
        std::string typed(pattern);
        const std::size_t begin = typed.find('{');
        typed.replace(begin, typed.find('}') + 1 - begin, at.sources->text(span));
        cures.push_back({"Type, if it is " + std::string(a.meaning) + ": " + line_with(at, span, typed)});
    }
    return cures;
}

/// Words by which something can be recognised, however misspelled.
std::vector<std::string> known_words(const KindSpec& kind) {
    static constexpr std::string_view joins[] = {"from", "to", "in",  "on",    "at",  "by",
                                                 "its",  "a",  "and", "after", "when"};
    std::vector<std::string> words;
    const auto collect = [&](std::span<const AttrSpec> specs) {
        for (const AttrSpec& a : specs)
            for (std::string_view element : elements_of(a.pattern))
                if (element[0] != '{' && std::ranges::find(joins, element) == std::end(joins))
                    words.emplace_back(element);
    };
    collect(kind.attributes);
    collect(common_attributes(kind));
    return words;
}

} // namespace

std::string take_place(Cursor& c, const KnownPlaces* places) {
    for (std::uint32_t words : {3u, 2u}) {
        std::string name;
        bool all = c.left() >= words;
        for (std::uint32_t i = 0; all && i < words; ++i) {
            all = c.is_word(i);
            name += (i == 0 ? "" : "-") + std::string(c.spelled(i));
        }
        if (!all || !(reference::find_place_temperature(name) || (places && places->contains(lower(name))))) continue;
        c.at += words;
        return name;
    }
    if (!c.is_word() && !c.is_text()) return {};
    ++c.at;
    return std::string(spelling(*c.sources, *c.tree, c.tree->tokens[c.at - 1]));
}

std::optional<Finding> place_of_several_words(const Cursor& c) {
    if (!c.is_word() || c.at < 2) return std::nullopt;
    Cursor before = c;
    before.at -= 2;
    if (!before.is("in") || !before.is_word(1)) return std::nullopt;
    Cursor end = c;
    std::string place(before.spelled(1));
    for (; end.is_word(); ++end.at) place += " " + std::string(end.spelled());
    return text_problem("text-word-unknown", end.span_from(before.at + 1),
                        "A place of several words stands in quotes, or with dashes between.",
                        "Type: in \"" + place + "\"");
}

/// "switch S1, positions off, run, start".
static bool lists_positions(const Cursor& c) {
    for (const char* word : {"position", "positions", "off", "run", "on", "accessory", "ignition"})
        if (c.is(word)) return true;
    return false;
}

static Finding positions_said_apart(const Cursor& c) {
    return text_problem(
        "text-word-unknown", c.span(), "What a switch joins in each of its positions stands behind its line in { }.",
        "Type, with your own terminals and positions: switch S1 { off* | run connects 30 with 15 | start "
        "connects 30 with 15 and 50 }; the star marks the one at rest.");
}

const PartType* ClauseReader::take_type(Cursor& c, const KindSpec& kind) const {
    Cursor name = c;
    const bool as = name.take("as");
    if (!types || !(name.is_word() || (as && name.is_text()))) return nullptr;
    const auto type = types->find(lower(name.spelled()));
    if (type == types->end() || type->second.kind->kind != kind.kind) return nullptr;
    c.at = name.at + 1;
    return &type->second;
}

namespace {

/// What the type says and the statement does not: the writer's own words win.
void take_over(Clauses& out, const PartType& type) {
    const std::size_t own = out.attributes.size();
    const auto said = [&](Attr key) {
        return std::any_of(out.attributes.begin(), out.attributes.begin() + static_cast<std::ptrdiff_t>(own),
                           [&](const Attribute& a) { return a.key == key; });
    };
    const bool takes = said(Attr::current) || said(Attr::power) || said(Attr::resistance);
    for (const Attribute& a : type.clauses.attributes) {
        const bool many = a.key == Attr::told || a.key == Attr::stamped || a.key == Attr::double_terminal;
        if (!many && said(a.key)) continue;
        if (takes && says_what_it_takes(a.key) && type.kind->is_load) continue;
        out.attributes.push_back(a);
    }
    if (out.mounting.empty()) out.mounting = type.clauses.mounting;
    out.poisoned = out.poisoned || type.clauses.poisoned;
}

/// "as H5" where nothing is called so.
Finding unknown_type(const Cursor& at, const KindSpec& kind, const KnownTypes* types) {
    std::vector<std::string> names;
    if (types)
        for (const auto& [key, type] : *types)
            if (type.kind->kind == kind.kind) names.push_back(type.name);
    const std::string typed(at.spelled(1)), file = kind.parts;
    const auto near = nearest_name(typed, names);
    std::string cure = "Say what it is in a line of its own: type \"" + typed + "\" is a " + kind.keyword + ", ...";
    if (near)
        cure = "Type: as \"" + *near + "\"";
    else if (names.empty() && !file.empty())
        cure = "Read the usual ones first, at the top of the file: use \"" + file + "\"";
    return text_problem("text-name-unknown", at.span(1),
                        "No type of " + std::string(kind.title) + " is called " + typed + " here.", cure);
}

} // namespace

bool ClauseReader::knows(const Cursor& c, const KindSpec& kind) const {
    std::vector<Finding> none;
    const ClauseReader quiet{colour_set, &none, places};
    const auto fits = [&](const AttrSpec& spec) { return match(quiet, c, spec).has_value(); };
    const auto common = common_attributes(kind);
    if (Cursor at = c; (c.is("as") && (c.is_word(1) || c.is_text(1))) || take_type(at, kind)) return true;
    return std::any_of(kind.attributes.begin(), kind.attributes.end(), fits) ||
           std::any_of(common.begin(), common.end(), fits);
}

bool ClauseReader::is_near(const Cursor& c, const KindSpec& kind) {
    return nearest_name(c.spelled(), known_words(kind)).has_value();
}

Clauses ClauseReader::read(Cursor& c, const KindSpec& kind) const {
    Clauses out;
    std::vector<const PartType*> used;
    const bool feed = kind.kind == Kind::supply || kind.kind == Kind::existing_wire;
    while (!c.done()) {
        if (c.take_mark(',')) continue;
        if (const PartType* type = take_type(c, kind)) {
            used.push_back(type);
            continue;
        }
        if (c.is("as") && (c.is_word(1) || c.is_text(1))) {
            findings->push_back(unknown_type(c, kind, types));
            out.poisoned = true;
            c.skip_clause();
            continue;
        }
        if (c.is_text() && out.label.empty()) {
            bool text_attribute = false; // a text that an attribute wants is not the label
            for (const AttrSpec& a : kind.attributes)
                text_attribute = text_attribute || std::string_view(a.pattern).substr(0, 6) == "{text}";
            if (!text_attribute) {
                out.label = std::string(c.spelled());
                ++c.at;
                continue;
            }
        }
        if (feed)
            if (auto slip = live_in_other_words(c)) {
                findings->push_back(std::move(*slip));
                out.poisoned = true;
                c.skip_clause();
                continue;
            }
        if (c.is("in")) // "in a 20 holder" of a fuse is no place
            if (auto bare = figure_without_unit(c, kind)) {
                findings->push_back(std::move(*bare));
                out.poisoned = true;
                c.skip_clause();
                continue;
            }
        std::optional<Match> best;
        const auto attempt = [&](std::span<const AttrSpec> specs) {
            for (const AttrSpec& spec : specs)
                if (auto m = match(*this, c, spec); m && (!best || m->end > best->end)) best = std::move(m);
        };
        attempt(kind.attributes);
        attempt(common_attributes(kind));
        if (!best) {
            Cursor behind = c;
            if ((behind.take("with") || behind.take("and")) && knows(behind, kind)) { // "40 A with diode"
                c.at = behind.at;
                continue;
            }
            if (c.is_word() && find_kind(c.spelled()) == &kind) { // "blade fuse", "21 W bulb": says nothing new
                ++c.at;
                continue;
            }
            out.poisoned = true;
            if (c.clause_is_stray()) {
                c.skip_clause(); // reported where it was read
                continue;
            }
            if (auto bare = figure_without_unit(c, kind)) {
                findings->push_back(std::move(*bare));
            } else if (auto place = place_of_several_words(c)) {
                findings->push_back(std::move(*place));
            } else if (kind.kind == Kind::switching && lists_positions(c)) {
                findings->push_back(positions_said_apart(c));
                while (!c.done()) ++c.at; // what follows are their names
                continue;
            } else if (kind.kind == Kind::switching &&
                       (c.is("SPDT") || c.is("DPDT") || c.is("change-over") || c.is("changeover") || c.is("two-way"))) {
                findings->push_back(text_problem(
                    "text-word-unknown", c.span(),
                    "What a switch joins in each of its positions stands behind its line in { }.",
                    "Type, with your own terminals: switch S1 { up* connects 1 with 2 | down connects 1 with 3 }"));
            } else if (auto slip = slip_in_figure(c, kind.kind)) {
                findings->push_back(std::move(*slip));
            } else if (looks_like_figure(c)) {
                Cursor next = c;
                ++next.at;
                Finding f = figure_problem(c, sayable(kind), units_not_said(kind, out.attributes),
                                           stands_alone(c) || knows(next, kind));
                if (auto cures = with_its_word(c, kind); !cures.empty()) {
                    f.headline = "What this figure of the " + std::string(kind.title) + " is, is not said.";
                    f.cures = std::move(cures);
                } else if (auto worded = with_word_and_unit(c, kind); stands_alone(c) && !worded.empty() &&
                                                                      f.cures.size() == 1 &&
                                                                      f.cures.front().text == sayable(kind)) {
                    f.cures = std::move(worded);
                }
                findings->push_back(std::move(f));
            } else if (kind.kind == Kind::switching &&
                       (c.is("with") || c.is("illuminated") || c.is("lit") || c.is("lamp"))) {
                findings->push_back(text_problem(
                    "text-word-unknown", c.span(), "The lamp in a switch is a part of its own, with wires of its own.",
                    "Take this out, and add a line: lamp H1 \"lamp in the switch\", 1.2 W"));
            } else if (const AttrSpec* begun = begun_with(c, kind)) {
                findings->push_back(text_problem("text-unit-missing", c.span(),
                                                 "What belongs behind \"" + std::string(c.spelled()) +
                                                     "\" is missing, or not understood.",
                                                 cure_for_begun(c, *begun)));
            } else {
                const std::string word(c.spelled());
                auto near = nearest_name(word, known_words(kind));
                if (near && equal_ignoring_case(*near, word)) near.reset(); // the word is right, what follows is not
                const bool stamp = word.find_first_of("0123456789") != std::string::npos;
                Finding f = text_problem(
                    "text-word-unknown", c.span(),
                    "\"" + word + "\" is not known about " +
                        (std::string_view("aeiou").find(kind.title[0]) == std::string_view::npos ? "a " : "an ") +
                        kind.title + (near ? "; \"" + *near + "\" is." : "."),
                    sayable(kind));
                // "lamp E1, LED": the word is a kind of its own
                if (const KindSpec* other = find_kind(word); other && other != &kind && other->keyword)
                    f.cures.insert(f.cures.begin(),
                                   {"If that is what it is, begin the line with " + std::string(other->keyword) +
                                    " in place of " + std::string(kind.keyword ? kind.keyword : kind.title) +
                                    ", and leave the word out here."});
                if (stamp && *kind.parts != '\0')
                    f.cures.push_back({"If it is a type, read the usual ones first, at the top of the file: use \"" +
                                       std::string(kind.parts) + "\""});
                findings->push_back(std::move(f));
            }
            c.skip_clause();
            continue;
        }
        c.at = best->end;
        if (!best->problems.empty()) {
            out.poisoned = true;
            findings->insert(findings->end(), best->problems.begin(), best->problems.end());
        }
        if (best->colours) out.colours = *best->colours;
        if (!best->place.empty()) {
            out.place = best->place;
            out.place_span = best->place_span;
            continue; // a place is no attribute
        }
        if (!best->mounting.empty()) out.mounting = best->mounting;
        for (const Attribute& before : out.attributes) {
            if (before.key != best->attribute.key || (!before.value.known() && before.word == best->attribute.word))
                continue;
            if (before.key == Attr::voltage_at && before.value.nominal == best->attribute.value.nominal)
                continue; // "slow 3 A at 13 V, fast 5 A at 13 V"
            if (before.key == Attr::told && before.open != best->attribute.open) continue;    // of two different things
            if (before.key == Attr::double_terminal || before.key == Attr::stamped) continue; // one for each terminal
            Finding f = text_problem("text-said-twice", best->attribute.span,
                                     "This is said twice about the same " + std::string(kind.title) + ", in two ways.",
                                     "Keep the one that is true.");
            f.cites.push_back({before.span, "the first"});
            findings->push_back(std::move(f));
            out.poisoned = true;
        }
        out.attributes.push_back(std::move(best->attribute));
        for (Attribute& more : best->extra) out.attributes.push_back(std::move(more));
    }
    for (const PartType* type : used) take_over(out, *type);
    return out;
}

} // namespace loomproof
