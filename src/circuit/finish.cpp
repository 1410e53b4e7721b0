/// After everything was read: what is said around the circuit, and what each part is electrically.

#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/kinds/kinds.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"
#include "reference/fuses.hpp"

#include <algorithm>
#include <charconv>
#include <iterator>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof {

/// Gives a kind's functions their part as it is at one revision.
class Builder final : public PartBuilder {
  public:
    /// `wired`: by terminal, whether a wire ever ended there; those added later are none. Without it all wires are asked each time.
    Builder(Reader& reader, PartId id, Life life, const std::vector<bool>* wired = nullptr)
        : reader_(reader), c_(reader.c_), id_(id), life_(life), wired_(wired) {}

    const Part& part() const override { return c_.at(id_); }
    const Circuit& circuit() const override { return c_; }
    const Attribute* find(Attr key) const override {
        for (const Attribute& a : part().attributes)
            if (a.key == key && a.life.at(life_.born)) return &a;
        return nullptr;
    }
    TerminalId add_terminal(const TerminalSpec& t, std::uint8_t half) override {
        return reader_.add_terminal(id_, {id_, t.stamp, t.role, half, t.wires_allowed, t.must_be_wired});
    }
    TerminalId add_internal_terminal(const char* stamp) override {
        for (TerminalId t : part().terminals) // a later version of the part uses the same inside
            if (c_.at(t).internal && c_.at(t).stamp == stamp) return t;
        return reader_.add_terminal(id_, {id_, stamp, Role::joint, 0, 0, false, true});
    }
    TerminalId terminal(std::string_view stamp) const override {
        for (TerminalId t : part().terminals)
            if (c_.at(t).stamp == stamp) return t;
        return {};
    }
    ControlId add_control(Control control) override {
        for (ControlId known : part().controls)
            if (c_.at(known).name == control.name) return known;
        control.part = id_;
        const ControlId cid{c_.controls.size()};
        c_.controls.push_back(std::move(control));
        c_.parts[id_.index].controls.push_back(cid);
        return cid;
    }
    void add(Primitive p) override {
        p.part = id_;
        p.life = life_;
        if (p.element == Element::joint && p.purpose == Purpose::mounting && !p.resistance.known())
            p.resistance = ohms_of_metal(p.b);
        if (p.a.exists() && p.b.exists()) c_.primitives.push_back(std::move(p));
    }
    Stated<double> assume(Attr, double si, const char* value_text, const char* basis, const char* to_change) override {
        if (life_.gone == never) c_.assumptions.push_back({part().name, value_text, basis, to_change});
        return Stated<double>::assume(si, basis);
    }
    bool ever_wired(TerminalId t) const override {
        if (wired_ != nullptr) return t.index < wired_->size() && (*wired_)[t.index];
        return std::any_of(c_.wires.begin(), c_.wires.end(), [&](const Wire& w) { return w.a == t || w.b == t; });
    }
    TerminalId body() override {
        if (c_.vehicle.no_metal) // what is not drawn goes back to the battery by a wire of its own
            for (const Part& part : c_.parts)
                if (part.kind == Kind::battery) return part.terminals.back();
        return reader_.body();
    }
    TerminalId metal(std::string_view name) override {
        if (equal_ignoring_case(name, "body")) return reader_.body();
        const auto p = reader_.part_named(name);
        return p && c_.at(*p).kind == Kind::metal ? c_.at(*p).terminals.front() : TerminalId{};
    }
    TerminalId mounting_metal() override {
        const Attribute* said = find(Attr::case_grounded);
        std::string metal = said ? said->word : "*";
        if (metal.empty() || metal == "*" || metal == "on")
            metal = part().kind == Kind::alternator || part().kind == Kind::starter ? "engine" : "body";
        if (const auto p = reader_.part_named(metal); p && c_.at(*p).kind == Kind::metal)
            return c_.at(*p).terminals.front();
        if (c_.vehicle.no_metal) return {};
        return reader_.body();
    }

  private:
    /// What the file says of the metal that something is bolted to: `metal body, 3 mohm`.
    Stated<Ohms> ohms_of_metal(TerminalId t) const {
        if (!t.exists() || c_.part_of(t).kind != Kind::metal) return {};
        for (const Attribute& a : c_.part_of(t).attributes)
            if (a.key == Attr::resistance && a.life.at(life_.born)) return as<Ohms>(a.value);
        return {};
    }

    Reader& reader_;
    Circuit& c_;
    PartId id_;
    Life life_;
    const std::vector<bool>* wired_;
};

void Reader::shape(PartId id) {
    Builder builder(*this, id, c_.at(id).life);
    if (const auto shape = spec_of(c_.at(id).kind).shape) shape(builder);
}

void Reader::around_statements() {
    for (const Item& item : items_) {
        Cursor c = item.cursor(sources_);
        if (c.take_words("still to wire"))
            still_to_wire(item, c);
        else if (c.take("accept"))
            accept(item, c);
        else if (c.take("engine"))
            engine_life(item, c);
        else if (c.take("limit"))
            limit(item, c);
    }
}

void Reader::expectations() {
    for (const Item& item : items_) {
        Cursor c = item.cursor(sources_);
        if (c.take("expect") || c.is("never")) expect(item, c);
    }
}

void Reader::still_to_wire(const Item& item, Cursor& c) {
    c.take_mark(':');
    while (!c.done()) {
        if (c.take_mark(',') || c.take("and")) continue;
        if (!c.is_word()) {
            problem("text-word-unknown", c.span(), "A wire end is expected here.", "Type: still to wire: K1:85, E1:-");
            return;
        }
        if (!part_named(c.spelled()) && !loose_ends_.contains(lower(c.spelled()))) {
            unknown_name(c.spelled(), c.span());
            ++c.at;
            if (c.is_mark(':') && c.has(1)) c.at += 2;
            continue;
        }
        const End end = read_end(c, item, true);
        if (end.ok) c_.still_to_wire.push_back({end.terminal, end.span});
    }
}

void Reader::accept(const Item& item, Cursor& c) {
    Acceptance a;
    a.span = item.span();
    const std::string example = "Type: accept unfused-feed on W11 because \"the reason\"";
    if (!c.is_word()) return problem("text-statement-unfinished", c.span(), "What is accepted is missing.", example);
    a.rule = lower(c.spelled());
    a.rule_span = c.span();
    ++c.at;
    if (!c.take("on") || !c.is_word())
        return problem("text-statement-unfinished", c.span(), "On what it is accepted is missing.", example);
    const std::uint32_t start = c.at;
    a.thing = std::string(c.spelled());
    ++c.at;
    if (c.is_mark(':') && c.has(1)) {
        ++c.at;
        a.thing += ":" + c.take_stamp();
    }
    a.thing_span = c.span_from(start);
    if (!c.take("because") || !c.is_text())
        return problem("text-statement-unfinished", c.span(), "A reason is missing; without one nothing is silenced.",
                       example);
    a.because = std::string(c.spelled());
    c_.acceptances.push_back(std::move(a));
}

void Reader::limit(const Item& item, Cursor& c) {
    constexpr const char* example = "Type: limit voltage-drop 0.3 V because \"the reason\", or: limit voltage-drop on "
                                    "E1 0.3 V because \"the reason\"";
    Limit l;
    l.span = item.span();
    l.rule = lower(c.spelled());
    if (l.rule == "voltage" && c.is("drop", 1)) {
        l.rule = "voltage-drop";
        ++c.at;
    }
    if (l.rule != "voltage-drop")
        return problem("text-word-unknown", c.span(),
                       c.is_word() ? "No limit of \"" + l.rule + "\" can be set in a file."
                                   : "What is limited is missing.",
                       example);
    ++c.at;
    if (c.take("on")) {
        const auto part = part_named(c.spelled());
        if (!part) return unknown_name(c.spelled(), c.span());
        l.thing = c_.at(*part).name;
        ++c.at;
    }
    if (c.is_word() && c.is_mark('%', 1)) { // of the system's volts: "3 %"
        const std::string_view share = c.spelled();
        double percent = 0;
        const auto read = std::from_chars(share.data(), share.data() + share.size(), percent);
        const Span span{c.span().source, c.span().begin, c.span(1).end};
        if (read.ec != std::errc{} || read.ptr != share.data() + share.size() || !(percent > 0 && percent < 100))
            return problem("text-statement-unfinished", span, "That share of the volts cannot be read.", example);
        c.at += 2;
        const Volts of_system{percent / 100 * c_.vehicle.system.si};
        l.volts = {Knowledge::given, of_system, of_system, of_system, span, {}};
    } else {
        const auto volts = read_figure(c, Unit::volts, out_.findings);
        if (!volts && l.thing.empty() && c.is_word() && !c.is("because")) { // "limit voltage-drop headlamps 0.5 V"
            std::string word = lower(c.spelled());
            if (word.size() > 3 && word.back() == 's') word.pop_back();
            Finding f = text_problem("text-word-unknown", c.span(),
                                     "A limit holds for everything, or on one part by its name.");
            for (const Part& part : c_.parts)
                if (lower(part.label).find(word) != std::string::npos && spec_of(part.kind).is_load &&
                    f.cures.size() < 4)
                    f.cures.push_back({"Type: " + line_with(item, c.span(), "on " + part.name)});
            if (f.cures.empty()) f.cures.push_back({example});
            out_.findings.push_back(std::move(f));
            return;
        }
        if (!volts)
            return problem("text-statement-unfinished", c.span(), "The volts that may be lost are missing.", example);
        l.volts = {volts->value.how,         Volts{volts->value.nominal}, Volts{volts->value.low},
                   Volts{volts->value.high}, volts->value.span,           {}};
    }
    if (!c.take("because") || !c.is_text())
        return problem("text-statement-unfinished", c.span(),
                       "A reason is missing; without one the limit stays as it is.", example);
    l.because = std::string(c.spelled());
    if (l.volts.known()) c_.limits.push_back(std::move(l));
}

/// Relays that read their own volts: do their figures make sense? And one can only be worked out where the file says what the engine does; else
/// it may stand either way, as one that runs by the clock.
void Reader::look_at_sensing_relays() {
    for (Part& part : c_.parts) {
        if (part.kind != Kind::relay || part.controls.empty()) continue;
        bool senses = false;
        for (const Attribute& a : part.attributes) {
            senses = senses || std::ranges::find(says_it_senses, a.key) != std::end(says_it_senses);
            if (a.key != Attr::closes_at || !a.value.known()) continue;
            for (const Attribute& b : part.attributes)
                if (b.key == Attr::opens_at && b.value.known() && b.value.nominal >= a.value.nominal &&
                    a.life.born <= b.life.born && b.life.born < a.life.gone) {
                    problem("text-unclear-figure", b.span,
                            "It would open at more volts than those at which it closes, and hum between the two.",
                            "Type the larger figure behind closes at, the smaller one behind opens at.");
                    part.poisoned = true;
                }
        }
        if (!senses || c_.engine) continue;
        c_.controls[part.controls.front().index].type = Control::Type::sensed;
        Attribute open;
        open.key = Attr::told;
        open.open = "when {} joins its two sides, as no line says what the engine does (engine, runs while Y1 is fed)";
        open.life = part.life;
        part.attributes.push_back(std::move(open));
    }
}

/// As protection.cpp says it.
constexpr std::string_view fuse_body = "body ";

/// Each rating of a plug-in fuse has its colour: where the two said do not belong together, one of them was misread.
static void look_at_fuse_colours(Circuit& c, std::vector<Finding>& findings) {
    for (Part& part : c.parts) {
        if (part.kind != Kind::fuse) continue;
        const auto said = [&](Attr key) {
            const auto at = std::ranges::find(part.attributes, key, &Attribute::key);
            return at == part.attributes.end() ? nullptr : &*at;
        };
        const auto body = std::ranges::find_if(
            part.attributes, [](const Attribute& a) { return a.key == Attr::told && a.word.starts_with(fuse_body); });
        const Attribute *colour = body == part.attributes.end() ? nullptr : &*body, *rating = said(Attr::rating),
                        *type = said(Attr::fuse_type);
        const auto style = reference::find_protector(type ? type->word : "").value_or(reference::Protector::blade);
        if (!colour || !rating || !rating->value.known() || rating->life.born != colour->life.born) continue;
        const auto fuse = reference::find_fuse(style, Amps{rating->value.nominal});
        if (!fuse || fuse->colour.empty()) continue;
        const std::string word = colour->word.substr(fuse_body.size());
        if (word == fuse->colour) continue;
        findings.push_back(text_problem("text-unclear-figure", colour->span,
                                        "A fuse of this kind for " + text(fuse->rating) + " is " +
                                            std::string(fuse->colour) +
                                            " (body colours of SAE J1284 and ISO 8820-3), not " + word + ".",
                                        "Read the figure on its top and type that; the colour may be left out."));
        part.poisoned = true;
    }
}

void Reader::expand_all() {
    look_at_sensing_relays();
    look_at_fuse_colours(c_, out_.findings);
    std::vector<bool> wired(c_.terminals.size()); // nothing from here on adds a wire
    for (const Wire& w : c_.wires)
        for (TerminalId end : {w.a, w.b})
            if (end.exists()) wired[end.index] = true;
    std::vector<PartId> order;
    for (const bool last : {false, true})
        for (std::size_t i = 0; i < c_.parts.size(); ++i)
            if (spec_of(c_.parts[i].kind).expands_last == last) order.emplace_back(i);
    for (const PartId id : order) {
        const auto expand = spec_of(c_.at(id).kind).expand;
        if (!expand) continue;
        // One set of primitives for each stretch of revisions over which nothing about the part changed.
        const Life life = c_.at(id).life;
        std::vector<Revision> starts = {life.born};
        for (const Attribute& a : c_.at(id).attributes)
            if (a.life.born > life.born && a.life.born < life.gone) starts.push_back(a.life.born);
        std::sort(starts.begin(), starts.end());
        starts.erase(std::unique(starts.begin(), starts.end()), starts.end());
        for (std::size_t k = 0; k < starts.size(); ++k) {
            Builder builder(*this, id, {starts[k], k + 1 < starts.size() ? starts[k + 1] : life.gone}, &wired);
            expand(builder);
        }
    }
    std::stable_sort(c_.primitives.begin(), c_.primitives.end(),
                     [](const Primitive& a, const Primitive& b) { return a.part < b.part; });
}

namespace {

Reading read_from(Sources& sources, const std::string& path, Result<std::string> text, const Loader& loader) {
    Reading out;
    if (text)
        if (Result<void> readable = check_readable(path, *text); !readable) text = failure(readable.error());
    if (!text) {
        out.readable = false;
        out.failure = text.error();
        out.circuit.revisions.emplace_back();
        return out;
    }
    Reader(sources, loader, out).read(path, std::move(*text));
    return out;
}

} // namespace

Reading read_circuit(Sources& sources, const std::string& path, const Loader& loader) {
    return read_from(sources, path, loader(path), loader);
}

Reading read_circuit_text(Sources& sources, const std::string& name, std::string text) {
    return read_from(sources, name, std::move(text), Loader{});
}

bool is_keyword(std::string_view word) {
    static constexpr std::string_view words[] = {
        "loom",      "vehicle", "complete", "system",  "colours", "place",    "use",     "wire",      "from",
        "through",   "to",      "factory",  "job",     "why",     "by",       "cut",     "cap",       "tap",
        "move",      "off",     "onto",     "remove",  "expect",  "accept",   "because", "still",     "existing",
        "connects",  "with",    "and",      "section", "planned", "fitted",   "partly",  "described", "negative",
        "positive",  "about",   "measured", "marked",  "guessed", "stays",    "springs", "back",      "live",
        "when",      "always",  "behind",   "takes",   "kept",    "grounded", "its",     "mounting",  "sleeved",
        "signal",    "screen",  "engine",   "runs",    "while",   "stops",    "type",    "bundle",    "limit",
        "restraint", "between", "fed",      "cores",
    };
    if (std::find(std::begin(words), std::end(words), word) != std::end(words)) return true;
    return std::any_of(kind_table().begin(), kind_table().end(),
                       [&](const KindSpec& k) { return k.keyword && k.keyword == word && word != "ground"; });
}

} // namespace loomproof
