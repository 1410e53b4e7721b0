#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof {

namespace {

bool is_button(const Cursor& c, std::uint32_t at) {
    return c.is("button", at) || c.is("push-button", at) || c.is("pushbutton", at);
}

} // namespace

void Reader::unknown_statement(const Item& item) {
    Cursor c = item.cursor(sources_);
    if (c.token().kind == TokenKind::stray) return; // reported where it was read
    if (c.is_mark('#') || c.is_mark(';'))
        return problem("text-word-unknown", item.span(), "No statement begins with a sign.",
                       "A comment begins with //");
    const std::string word(c.spelled());
    if (wire_line(item)) return;
    if (c.is("from") || begins_with_end(c)) {
        const Span front{item.span().source, item.span().begin, item.span().begin};
        return problem("text-word-unknown", c.span(), "A line begins with what it is; this one seems to be a wire.",
                       "Type: " + line_with(item, front, c.is("from") ? "wire " : "wire from "));
    }
    if (c.is("ground", 1) || c.is("earth", 1)) {
        for (const char* pole : {"negative", "positive"})
            if (c.is(pole) && !c.has(2))
                return problem("text-word-unknown", c.span(1), "Which pole is grounded belongs to the system.",
                               std::string("Type: system 12 V, ") + pole + " ground");
    }
    if (Cursor figure = c; looks_like_figure(c)) {
        std::vector<Finding> none;
        if (const auto volts = read_figure(figure, Unit::volts, none);
            volts && volts->value.known() && (figure.done() || figure.is("system")))
            return problem("text-word-unknown", item.span(), "Its volts are those of the system.",
                           "Type: system " + text(Volts{volts->value.nominal}));
    }
    if (c.is("reuse"))
        return problem("text-word-unknown", c.span(), "A wire that is used again is moved: one end of it, or both.",
                       "Type, with your own names: move " + std::string(c.is_word(1) ? c.spelled(1) : "W15") +
                           " off S6 onto K1:86");
    if (c.is("airbag"))
        return problem("text-word-unknown", c.span(), "Wires and parts that belong to airbags are marked.",
                       "Type: " + line_with(item, c.span(), "restraint"));
    if (c.is("from", 1)) { // "W1 from F1 to E1", "strap from battery:- to body"
        const bool name = word.find_first_of("0123456789") != std::string::npos;
        return problem("text-word-unknown", c.span(), "A line begins with what it is; this one seems to be a wire.",
                       "Type: " + line_with(item, c.span(), name ? "wire " + word : "wire \"" + word + "\""));
    }
    if (const KindBehind behind = kind_behind_words(c); behind.kind) {
        Cursor front = c;
        front.at += behind.last + 1;
        const Span words = front.span_from(c.at);
        const bool more = front.has(0) && !front.is_mark(',') && !front.is_text(); // "relay K1 70A"
        return problem("text-word-unknown", words,
                       "A line begins with the kind of thing: " + std::string(behind.kind->keyword) + ".",
                       "Type: " + line_with(item, words, behind.instead + (more ? "," : "")));
    }
    if (Cursor wire = c; read_colour_before_wire(wire)) {
        const std::uint32_t colour_end = wire.at;
        const Span whole = item.span(), rest{whole.source, wire.span().begin, whole.end};
        std::string line = line_with(item, {whole.source, whole.begin, rest.begin}, "");
        return problem(
            "text-word-unknown", wire.span_from(c.at), "What colour a wire has stands behind its two ends.",
            "Type: " + line + ", " +
                std::string(sources_.text(Span{whole.source, whole.begin, c.tree->tokens[colour_end - 1].end})));
    }
    // What is there already and live at times: "ignition feed T1, orange".
    static constexpr std::string_view feeds[] = {"ignition", "ign",     "accessory", "acc",  "keyed",
                                                 "switched", "trigger", "live",      "feed", "permanent"};
    if (std::ranges::any_of(feeds, [&](std::string_view f) { return c.is(f); })) {
        std::uint32_t name = 1;
        std::string label = word;
        for (; c.is_word(name) && c.spelled(name).find_first_of("0123456789") == std::string_view::npos; ++name)
            label += ' ' + std::string(c.spelled(name));
        const bool named = c.is_word(name);
        const bool always = word == "permanent" || word == "Permanent";
        return problem("text-word-unknown", c.span(), "A wire that is there already begins with: existing wire.",
                       fmt::format("Type: existing wire {} \"{}\", {}; and behind 10 A, for the fuse it comes from.",
                                   named ? c.spelled(name) : "T1", label,
                                   always ? "live always" : "live when \"ignition on\""));
    }
    const auto near = nearest_statement(word);
    Cursor behind = c;
    ++behind.at;
    if (!near && c.is_word(1) && c.spelled(1).find_first_of("0123456789") != std::string_view::npos &&
        !looks_like_figure(behind)) { // what stands behind is repeated as typed: its amps are its own
        const std::string name(c.spelled(1));
        const bool labelled = c.is_text(2), figure = c.has(labelled ? 3 : 2);
        const std::string front = "load " + name + (labelled ? "" : " \"" + word + "\"");
        ++behind.at;
        const std::string line = line_with(item, behind.span_from(c.at), front);
        return problem("text-word-unknown", c.span(),
                       fmt::format("No statement begins with \"{}\"; whatever takes current and has no word of its own "
                                   "here is a load.",
                                   word),
                       "Type: " + line + (figure ? "" : ", unknown A"));
    }
    problem("text-word-unknown", c.span(),
            "No statement begins with \"" + word + "\"" + (near ? "; \"" + *near + "\" is near." : "."),
            near ? "Type: " + line_with(item, c.span(), *near)
                 : fmt::format("A line begins with what it is: battery, fuse, relay, lamp, wire, ground ...; whatever "
                               "else takes current is a load: load {} \"{}\", 2 A",
                               c.is_word(1) && c.spelled(1).find_first_of("0123456789") != std::string_view::npos &&
                                       !looks_like_figure(behind)
                                   ? c.spelled(1)
                                   : "E1",
                               word));
}

/// "Red wire battery:+ to F1": moves to the word wire.
bool Reader::read_colour_before_wire(Cursor& c) const {
    std::vector<Finding> none;
    const ClauseReader reader{colours_, &none, &places_};
    return reader.colour(c).has_value() && (c.is("wire") || c.is("cable"));
}

/// "horn relay K1": the first word is a kind too, but says which relay.
bool Reader::qualifies_a_kind(const Cursor& c) {
    Cursor name = c;
    name.at += 2;
    return c.is_word(1) && (find_kind(c.spelled(1)) || is_button(c, 1)) && c.is_word(2) && !looks_like_figure(name) &&
           c.spelled(2).find_first_of("0123456789") != std::string_view::npos;
}

Reader::KindBehind Reader::kind_behind_words(const Cursor& c) const {
    KindBehind found;
    const auto is_kind = [&](std::uint32_t at) { return find_kind(c.spelled(at)) || is_button(c, at); };
    std::uint32_t kind = is_button(c, 0) ? 0 : 1;
    if (const KindSpec* second = c.is_word() && c.is_word(1) ? find_kind(c.spelled(1)) : nullptr;
        second && !find_kind(c.spelled())) { // "K2 relay 4 pin"
        std::vector<Finding> none;
        Cursor behind = c;
        behind.at += 2;
        const ClauseReader reader{colours_, &none, &places_};
        const std::string_view name = c.spelled();
        const bool stamp = name.find_first_of("0123456789") != std::string_view::npos && !looks_like_figure(c);
        if (stamp && (!behind.is_word() || looks_like_figure(behind) || reader.knows(behind, *second))) {
            found.kind = second;
            found.last = 1;
            found.instead = std::string(second->keyword) + " " + std::string(name);
            return found;
        }
    }
    for (; kind <= 4; ++kind) {
        if (!c.is_word(kind) || (kind > 0 && !c.is_word(kind - 1))) return found;
        if (is_kind(kind)) break;
    }
    if (kind > 4) return found;
    std::uint32_t name = kind + 1;
    while (c.is_word(name) && is_kind(name)) kind = name++; // "horn relay switch S1": the last one is what it is
    Cursor at_name = c;
    at_name.at += name;
    if (!c.is_word(name) || looks_like_figure(at_name)) return found;
    const bool button = is_button(c, kind);
    const KindSpec& spec = button ? spec_of(Kind::switching) : *find_kind(c.spelled(kind));
    std::string label, said;
    for (std::uint32_t i = 0; i < kind; ++i) label += (i == 0 ? "" : " ") + std::string(c.spelled(i));
    // Words that are sayable about it are said so: "5 pin", "pressure", "latching".
    std::vector<Finding> none;
    Cursor words = c;
    words.last = c.at + kind;
    const ClauseReader reader{colours_, &none, &places_};
    const bool button_pushed = button && (kind == 0 || lower(label) == "push");
    const bool thermal = spec.kind == Kind::switching && lower(label).starts_with("therm");
    const Clauses clauses =
        reader.knows(words, spec) ? reader.read(words, spec) : Clauses{{}, "", "", {}, {}, "", true};
    if (!clauses.poisoned && none.empty() && !clauses.attributes.empty())
        said = ", " + label;
    else if (lower(label) == "circuit" || lower(label) == "fusible") // circuit breaker, fusible link
        said = "";
    else if (!button_pushed && !c.is_text(name + 1)) // a text of its own says more than the word before
        said = " \"" + label + "\"";
    if (thermal) said += ", thermal";
    if (button && said.find(", push") == std::string::npos) said += ", push";
    found.kind = &spec;
    found.name = found.last = name;
    found.instead = std::string(spec.keyword) + " " + std::string(c.spelled(name)) + said;
    return found;
}

std::optional<std::string> Reader::nearest_statement(std::string_view word) {
    std::vector<std::string> words = {"wire",      "type",    "bundle", "cable",   "factory", "job",    "use",
                                      "place",     "vehicle", "system", "colours", "expect",  "accept", "limit",
                                      "restraint", "cut",     "cap",    "splice",  "tap",     "move",   "remove"};
    for (const KindSpec& k : kind_table())
        if (k.keyword) words.emplace_back(k.keyword);
    return nearest_name(word, words);
}

} // namespace loomproof
