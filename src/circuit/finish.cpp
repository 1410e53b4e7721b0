/// After everything was read: what is said around the circuit, what is assumed, and what each part is electrically.

#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/kinds/kinds.hpp"
#include "circuit/reader.hpp"
#include "circuit/straps.hpp"
#include "circuit/text_problems.hpp"
#include "circuit/view.hpp"
#include "reference/places.hpp"

#include <algorithm>
#include <charconv>
#include <string_view>
#include <system_error>
#include <utility>

#include <fmt/core.h>

namespace loomproof {

/// Gives a kind's functions their part as it is at one revision.
class Builder final : public PartBuilder {
  public:
    Builder(Reader& reader, PartId id, Life life) : reader_(reader), c_(reader.c_), id_(id), life_(life) {}

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

namespace {

/// The least that goes for a starter's cable without being called so (common practice, no source).
constexpr SquareMetres starter_cable_from{16e-6};

/// A thick wire straight from a battery's live pole to the main terminal of a starter is the starter's cable, called so or not; so are two with
/// a plain switch between them, as a main switch is fitted.
void recognise_starter_cables(Circuit& c) {
    const Role ground_pole = c.vehicle.positive_ground ? Role::plus : Role::minus;
    const auto pole = [&](TerminalId t) { return c.part_of(t).kind == Kind::battery && c.at(t).role != ground_pole; };
    const auto main_terminal = [&](TerminalId t) {
        return c.part_of(t).kind == Kind::starter && c.at(t).role == Role::plus;
    };
    const auto thick = [](const Wire& w) {
        return !w.winch_cable && !w.poisoned && w.area.known() && w.area.nominal.si >= starter_cable_from.si * 0.99;
    };
    // From one end of a plain switch: does a thick wire lead on from its other end to what is asked for?
    const auto over_a_switch = [&](TerminalId t, const auto& wanted) {
        const Part& part = c.part_of(t);
        if (part.kind != Kind::switching || part.terminals.size() != 2) return false;
        const TerminalId other = part.terminals.front() == t ? part.terminals.back() : part.terminals.front();
        return std::ranges::any_of(c.wires, [&](const Wire& w) {
            return thick(w) && ((w.a == other && wanted(w.b)) || (w.b == other && wanted(w.a)));
        });
    };
    for (std::size_t i = 0; i < c.wires.size(); ++i) {
        Wire& w = c.wires[i];
        if (w.starter_cable || !thick(w)) continue;
        for (const auto& [from, to] : {std::pair{w.a, w.b}, std::pair{w.b, w.a}}) {
            if (!(pole(from) && (main_terminal(to) || over_a_switch(to, main_terminal))) &&
                !(main_terminal(to) && over_a_switch(from, pole)))
                continue;
            w.starter_cable = true;
            c.assumptions.push_back({name_of(c, WireId{i}), "the starter's cable, which needs no fuse",
                                     fmt::format("it goes from {} to {}", name_of(c, from), name_of(c, to)),
                                     "starter cable, behind it; or a fuse in it"});
        }
    }
}

} // namespace

/// In a partly described vehicle the maker's battery whose ground pole has no wire, or only wires of loads, is taken to be strapped to the body, and an engine to the body.
void Reader::assume_straps() {
    recognise_starter_cables(c_);
    if (c_.vehicle.no_metal) return;
    const TerminalId metal = body();
    if (c_.vehicle.described) return;
    const Role pole = c_.vehicle.positive_ground ? Role::plus : Role::minus;
    const auto wired = [&](TerminalId t) {
        return std::any_of(c_.wires.begin(), c_.wires.end(), [&](const Wire& w) {
            if (w.a != t && w.b != t) return false;
            const Kind at_the_other_end = c_.part_of(w.other(t)).kind;
            return !spec_of(at_the_other_end).is_load &&
                   at_the_other_end != Kind::relay; // straight back from a load: no strap
        });
    };
    const auto strap = [&](PartId id, TerminalId t, const std::string& what) {
        Primitive p;
        p.element = Element::joint;
        p.purpose = Purpose::mounting;
        p.part = id;
        p.a = t;
        p.b = metal;
        p.life = c_.at(id).life;
        c_.primitives.push_back(p);
        const std::string open = c_.at(id).kind == Kind::battery ? strap_not_judged(c_, t) : "";
        c_.assumptions.push_back({what, "a good strap to the body",
                                  open.empty() ? "usual in every vehicle" : "usual are 16 to 25 mm2; " + open,
                                  "wire from " + what + " to ground, " + strap_size(c_) + " black, 0.4 m"});
    };
    // Bolted to that metal: the metal itself, and the grounds that lie on it.
    const auto lies_on = [&](TerminalId t, const Part& piece) {
        const Part& part = c_.part_of(t);
        if (&part == &piece) return true;
        return part.kind == Kind::ground &&
               std::any_of(part.attributes.begin(), part.attributes.end(), [&](const Attribute& a) {
                   return a.key == Attr::case_grounded && equal_ignoring_case(a.word, piece.name);
               });
    };
    const auto strapped = [&](const Part& piece) {
        return std::any_of(c_.wires.begin(), c_.wires.end(), [&](const Wire& w) {
            if (lies_on(w.a, piece) == lies_on(w.b, piece)) return false;
            const Kind other = c_.part_of(lies_on(w.a, piece) ? w.b : w.a).kind;
            return other == Kind::metal || other == Kind::ground || other == Kind::battery;
        });
    };
    const auto grounded_pole = [&](const Part& battery) {
        const auto t = std::ranges::find_if(battery.terminals, [&](TerminalId id) { return c_.at(id).role == pole; });
        return t == battery.terminals.end() ? TerminalId{} : *t;
    };
    const auto wired_to = [&](const Part& part, const auto& what) {
        return std::any_of(c_.wires.begin(), c_.wires.end(), [&](const Wire& w) {
            return (&c_.part_of(w.a) == &part && what(w.a, w.b)) || (&c_.part_of(w.b) == &part && what(w.b, w.a));
        });
    };
    // The maker straps one battery: that which starts the engine. A further one's ground is somebody's own work, so it is drawn.
    const auto inside_a_series = [&](const Part& battery) {
        return wired_to(battery, [&](TerminalId here, TerminalId there) {
            return here == grounded_pole(battery) && c_.part_of(there).kind == Kind::battery &&
                   c_.at(there).role != pole;
        });
    };
    const auto starts = [&](const Part& battery) {
        return wired_to(battery, [&](TerminalId here, TerminalId there) {
            return here != grounded_pole(battery) && c_.part_of(there).kind == Kind::starter;
        });
    };
    const Part* first = nullptr;
    for (const Part& part : c_.parts)
        if (part.kind == Kind::battery && !inside_a_series(part) && (!first || (starts(part) && !starts(*first))))
            first = &part;
    const auto makers = [&](const Part& battery) {
        return &battery == first || (battery.origin.provenance == Provenance::factory && !c_.vehicle.complete);
    };
    const auto bare = [&](const Part& battery) {
        return !wired_to(battery, [](TerminalId, TerminalId) { return true; });
    };
    for (std::size_t i = 0; i < c_.parts.size(); ++i) {
        const PartId id{i};
        const Part& part = c_.at(id);
        if (part.kind == Kind::battery && (makers(part) || (bare(part) && !c_.vehicle.complete)))
            if (const TerminalId t = grounded_pole(part); t.exists() && !wired(t)) strap(id, t, name_of(c_, t));
        if (part.kind == Kind::metal && part.terminals.front() != metal && !strapped(part) &&
            equal_ignoring_case(part.name, "engine"))
            strap(id, part.terminals.front(), part.name);
    }
}

void Reader::expand_all() {
    for (std::size_t i = 0; i < c_.parts.size(); ++i) {
        const PartId id{i};
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
            Builder builder(*this, id, {starts[k], k + 1 < starts.size() ? starts[k + 1] : life.gone});
            expand(builder);
        }
    }
    std::stable_sort(c_.primitives.begin(), c_.primitives.end(),
                     [](const Primitive& a, const Primitive& b) { return a.part < b.part; });
}

/// What somebody guessed, in one row: nobody may take a check of guesses for a check of what is there.
void Reader::list_guesses() {
    std::vector<std::string> figures, sizes;
    const auto guessed = [&](const std::string& subject, const auto& value, bool size) {
        if (value.how != Knowledge::guessed || !value.span.exists()) return;
        std::string typed(sources_.text(value.span));
        if (lower(typed).starts_with("guessed"))
            typed.erase(0, std::min(typed.size(), typed.find_first_of(" \t\n") + 1));
        (size ? sizes : figures).push_back(subject + " " + typed);
    };
    for (const Part& part : c_.parts) {
        if (part.life.gone != never) continue;
        for (const Attribute& a : part.attributes)
            if (a.life.gone == never) guessed(part.name, a.value, a.key == Attr::area);
    }
    for (std::size_t i = 0; i < c_.wires.size(); ++i) {
        const Wire& wire = c_.wires[i];
        if (wire.life.gone != never) continue;
        guessed(name_of(c_, WireId{i}), wire.area, true);
        guessed(name_of(c_, WireId{i}), wire.length, false);
        guessed(name_of(c_, WireId{i}), wire.insulation_class, false);
    }
    for (const Place& place : c_.places) guessed(place.name, place.temperature, false);
    const auto list = [&](std::vector<std::string>& all, const char* taken) {
        constexpr std::size_t most = 8;
        if (all.empty()) return;
        const std::size_t more = all.size() > most ? all.size() - most : 0;
        if (more > 0) all.resize(most);
        std::string words;
        for (const std::string& one : all) words += (words.empty() ? "" : ", ") + one;
        words = more > 0 ? words + " and " + std::to_string(more) + " more" : list_of(all);
        c_.assumptions.push_back({"you guessed:", words, taken, "take \"guessed\" away once you know"});
    };
    list(figures, "each taken as half of that to one and a half times");
    list(sizes, "each taken as one size thinner to one thicker");
}

void Reader::list_assumptions() {
    list_guesses();
    std::size_t unstated_insulation = 0, unstated_place = 0;
    for (Wire& w : c_.wires) {
        if (w.insulation_class.known()) continue;
        w.insulation_class = Stated<Celsius>::assume(Celsius{105}, "thin-wall PVC or better, usual for vehicle wire");
        if (w.life.gone == never && w.area.known()) ++unstated_insulation;
    }
    std::size_t unsaid_length = 0, unsaid_size = 0;
    for (const Wire& w : c_.wires) {
        if (w.life.gone != never || w.poisoned) continue;
        if (w.area.known() && !w.place.exists()) ++unstated_place;
        if (!w.length.known()) ++unsaid_length;
        if (!w.area.known()) ++unsaid_size;
    }
    // Within these bounds every figure that hangs on them is weighed (solve/bounds.hpp).
    if (unsaid_length > 0)
        c_.assumptions.push_back({"length of " + counted(unsaid_length, "wire") + ":", "0.1 m to 8 m",
                                  "as in a car; nobody said it", "behind a wire's size: 1.5 m"});
    if (unsaid_size > 0)
        c_.assumptions.push_back({"size of " + counted(unsaid_size, "wire") + ":", "0.5 mm2 to 6 mm2",
                                  "as in a car; nobody said it", "behind its ends: 1.5 mm2"});
    for (Place& p : c_.places)
        if (!p.temperature.known())
            if (const auto known = reference::find_place_temperature(p.name))
                p.temperature = Stated<Celsius>::assume(known->ambient, std::string(known->basis));
    if (unstated_insulation > 0)
        c_.assumptions.push_back({"insulation of " + counted(unstated_insulation, "wire") + ":", "good for 105 degC",
                                  "thin-wall PVC or better, usual for vehicle wire",
                                  "behind a wire's size: PVC 85 degC, GXL ..."});
    if (unstated_place > 0)
        c_.assumptions.push_back({counted(unstated_place, "wire") + " without a place:",
                                  std::string("30 degC around ") + (unstated_place == 1 ? "it" : "them"),
                                  "as the tables assume; under the bonnet it is hotter",
                                  "behind a wire's size: in engine-bay"});
    for (const Part& part : c_.parts) {
        if (part.life.gone != never || part.poisoned) continue;
        const auto said = [&](Attr key) {
            return std::ranges::any_of(part.attributes, [&](const Attribute& a) { return a.key == key; });
        };
        const auto wired = [&](Role role) {
            return std::ranges::any_of(part.terminals, [&](TerminalId t) {
                const auto on = wires_on_.find(t.index);
                return c_.at(t).role == role && on != wires_on_.end() && on->second > 0;
            });
        };
        if (part.kind == Kind::relay && !said(Attr::make_rating) && !said(Attr::rest_rating) &&
            (wired(Role::make) || wired(Role::rest)))
            c_.assumptions.push_back({part.name, "30 A contacts",
                                      "usual for a plug-in relay (common practice, no source)",
                                      "behind its name: 40 A"});
        if (part.kind == Kind::motor && !said(Attr::start_current) && (said(Attr::current) || said(Attr::power)))
            c_.assumptions.push_back({part.name, "3.8 times the working amps to start",
                                      "usual for a motor (common practice, no source)",
                                      "behind its amps: starts at 30 A"});
    }
    for (const Place& p : c_.places) {
        if (p.temperature.how != Knowledge::assumed) continue;
        const auto place_index = static_cast<std::size_t>(&p - c_.places.data());
        const bool used = std::any_of(c_.wires.begin(), c_.wires.end(), [&](const Wire& w) {
            return w.life.gone == never && w.place == PlaceId{place_index};
        });
        if (used)
            c_.assumptions.push_back(
                {p.name + ":", text(p.temperature.nominal), p.temperature.basis, "place " + p.name + ", 85 degC"});
    }
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
