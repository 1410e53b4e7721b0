/// What is said once for many: types of parts and wires, bundles, cables of several cores.

#include "circuit/figures.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"

#include <algorithm>

namespace loomproof {

/// `type H4 is a lamp, 60/55 W`, `type "GXL 14" is a wire, 14 sae, GXL`.
void Reader::type_statement(const Item& item, Cursor& c) {
    const char* example = "Type: type H4 is a lamp, 60/55 W, or: type \"GXL 14\" is a wire, 14 sae, GXL";
    const Span name_span = c.span();
    const std::string name(c.spelled());
    if (!c.is_word() && !c.is_text())
        return problem("text-statement-unfinished", name_span, "The type has no name.", example);
    ++c.at;
    if (!c.take("is"))
        return problem("text-statement-unfinished", c.span(), "What the type " + name + " is, is not said.", example);
    if (!c.take("a")) c.take("an");
    const auto twice = [&](Span first) {
        Finding f = text_problem("text-name-twice", name_span, "Two types are called " + name + ".",
                                 "Give one of them another name.");
        f.cites.push_back({first, "the first"});
        out_.findings.push_back(std::move(f));
    };
    if (c.take("wire") || c.take("cable")) {
        WireType type;
        type.name = name;
        type.span = item.span();
        std::vector<Wire> one(1);
        read_wire_clauses(c, one, false);
        type.wire = std::move(one.front());
        if (const auto [it, fresh] = wire_types_.emplace(lower(name), std::move(type)); !fresh) twice(it->second.span);
        return;
    }
    const KindSpec* kind = find_kind(c.spelled());
    if (!kind || kind->keyword == nullptr)
        return problem("text-word-unknown", c.span(), "\"" + std::string(c.spelled()) + "\" is no kind of part.",
                       example);
    ++c.at;
    const ClauseReader reader{colours_, &out_.findings, &places_, &types_};
    PartType type{kind, name, reader.read(c, *kind), item.span()};
    if (const auto [it, fresh] = types_.emplace(lower(name), std::move(type)); !fresh) twice(it->second.span);
}

bool Reader::is_cable_definition(const Cursor& from) const {
    if (!from.is("cable")) return false;
    for (Cursor c = from; !c.done(); ++c.at) {
        if (c.is("from") || c.is("to")) return false;
        if ((c.is("cores") || c.is("core")) && !c.is("of", 1)) return true;
        if (c.is_word() && c.spelled().ends_with("-core")) return true;
    }
    return false;
}

/// `bundle nose "front loom", in engine-bay, GXL`, or the same in a block; `cable CB1 "trailer", 7 cores, 1.5 mm2, 6 m { 1 white }`.
void Reader::bundle_statement(const Item& item, Cursor& c, bool cable) {
    const char* example = cable ? "Type: cable CB1, 7 cores, 1.5 mm2, 6 m" : "Type: bundle nose, in engine-bay, GXL";
    if (!c.is_word() && !c.is_text())
        return problem("text-statement-unfinished", c.span(),
                       cable ? "The cable has no name." : "The bundle has no name.", example);
    WireType type;
    type.name = std::string(c.spelled());
    type.span = item.span();
    type.holds = true;
    const Span name_span = c.span();
    ++c.at;
    if (c.is_text()) ++c.at; // what it is, for people
    c.take_mark(',');
    if (cable) {
        std::optional<FigureRead> cores;
        if (const std::string_view word = c.is_word() ? c.spelled() : std::string_view{};
            word.ends_with("-core") && word.find_first_not_of("0123456789") == word.size() - 5) { // "7-core"
            const double count = std::stod(std::string(word.substr(0, word.size() - 5)));
            cores = FigureRead{{Knowledge::given, count, count, count, c.span(), {}}, {}};
            ++c.at;
        } else {
            cores = read_figure(c, Unit::count, out_.findings);
            if (!c.take("cores") && !c.take("core")) cores.reset();
        }
        if (!cores)
            return problem("text-statement-unfinished", c.span(),
                           "How many cores the cable " + type.name + " has comes right behind its name.", example);
        type.cores = static_cast<std::size_t>(std::clamp(cores->value.nominal, 1.0, 200.0));
    }
    std::vector<Wire> one(1);
    read_wire_clauses(c, one, false);
    const Tree& tree = *item.tree;
    for (std::uint32_t s = block_of(tree, item.statement); s != Statement::none; s = tree.statements[s].next) {
        Cursor line(sources_, tree, tree.statements[s]);
        if (line.done()) continue;
        if (!cable) {
            read_wire_clauses(line, one, false);
            continue;
        }
        line.take("core");
        const std::string core(line.spelled());
        ++line.at;
        std::vector<Wire> own(1);
        read_wire_clauses(line, own, false);
        if (!type.own.emplace(lower(core), std::move(own.front())).second)
            problem("text-said-twice", tree.head(tree.statements[s]), "Core " + core + " is there twice.",
                    "Keep the line that is true.");
    }
    type.wire = std::move(one.front());
    const auto [it, fresh] = wire_types_.emplace(lower(type.name), std::move(type));
    if (fresh) return;
    Finding f = text_problem("text-name-twice", name_span, "Two things are called " + it->second.name + ".",
                             "Give one of them another name.");
    f.cites.push_back({it->second.span, "the first"});
    out_.findings.push_back(std::move(f));
}

/// At a clause of a wire: `as "GXL 14"`, `in nose`, `core 3 of CB1`. Moves behind it.
bool Reader::take_wire_type(Cursor& c, std::vector<const Wire*>& used) {
    Cursor at = c;
    std::string core;
    const bool of = at.take("core");
    if (of) {
        core = std::string(at.spelled());
        ++at.at;
        if (!at.take("of")) return false;
    } else if (!at.take("as") && !at.take("in")) {
        return false;
    }
    if (!at.is_word() && !at.is_text()) return false;
    const bool as = c.is("as");
    const auto type = wire_types_.find(lower(at.spelled()));
    if (type == wire_types_.end()) {
        if (!as && !of) return false; // a place
        std::vector<std::string> names;
        for (const auto& [key, t] : wire_types_)
            if (t.holds == of) names.push_back(t.name);
        const std::string typed(at.spelled());
        const auto near = nearest_name(typed, names);
        problem("text-name-unknown", at.span(),
                std::string(of ? "No cable" : "No type of wire") + " is called " + typed + " here.",
                near            ? "Type: " + std::string(of ? "core " + core + " of " : "as ") + "\"" + *near + "\""
                : of            ? "Say what it is in a line of its own: cable " + typed + ", 7 cores, 1.5 mm2, 6 m"
                : names.empty() ? "Read the usual ones first, at the top of the file: use \"parts/wires.loom\""
                                : "Say what it is in a line of its own: type \"" + typed + "\" is a wire, 2.5 mm2");
        c.skip_clause();
        return true;
    }
    c.at = at.at + 1;
    WireType& t = type->second;
    ++t.wires;
    if (of && !t.taken.insert(lower(core)).second)
        problem("text-said-twice", c.span_from(at.at), "Core " + core + " of " + t.name + " is two wires.",
                "Each core is one wire: name another core.");
    if (t.cores > 0 && t.wires == t.cores + 1)
        problem("text-said-twice", c.span_from(at.at),
                t.name + " has " + std::to_string(t.cores) + " cores; this is one wire more.",
                "Count the cores of the cable again, or take this wire out of it.");
    const auto own = t.own.find(lower(core));
    if (of && own != t.own.end()) used.push_back(&own->second);
    used.push_back(&t.wire);
    return true;
}

/// What the type, bundle or cable says and the wire does not.
void Reader::take_over(std::vector<Wire>& pieces, const Wire& type) {
    for (Wire& w : pieces) {
        if (!w.area.known() && w.size.empty()) {
            w.area = type.area;
            w.size = type.size;
            w.size_span = type.size_span;
            w.copper_clad = w.copper_clad || type.copper_clad;
            w.solid = w.solid || type.solid;
        }
        if (w.colours.main.empty()) w.colours = type.colours;
        if (!w.length.known() && pieces.size() == 1) w.length = type.length;
        if (!w.place.exists()) w.place = type.place;
        if (w.insulation.empty() && !w.insulation_class.known()) {
            w.insulation = type.insulation;
            w.insulation_class = type.insulation_class;
        }
        w.starter_cable = w.starter_cable || type.starter_cable;
        w.winch_cable = w.winch_cable || type.winch_cable;
        w.signal = w.signal || type.signal;
        w.screen = w.screen || type.screen;
        w.sleeved = w.sleeved || type.sleeved;
        w.bare = w.bare || type.bare;
        w.restraint = w.restraint || type.restraint;
        w.poisoned = w.poisoned || type.poisoned;
    }
}

/// `restraint W50, W51`: wires, plugs and units of airbags and belt tensioners.
void Reader::mark_restraint(const Item& item, Cursor& c) {
    if (c.done())
        problem("text-statement-unfinished", item.span(), "The wires are missing.", "Type: restraint W50, W51");
    while (!c.done()) {
        if (c.take_mark(',') || c.take("and")) continue;
        if (!c.is_word())
            return problem("text-word-unknown", c.span(), "The name of a wire is expected here.",
                           "Type: restraint W50, W51");
        if (const auto part = part_named(c.spelled()); part && !wires_.contains(lower(c.spelled()))) {
            Attribute mark;
            mark.key = Attr::restraint;
            mark.word = "on";
            mark.span = c.span();
            mark.life.born = c_.at(*part).life.born;
            c_.parts[part->index].attributes.push_back(std::move(mark));
            ++c.at;
            continue;
        }
        for (const WireId w : wires_named(c)) c_.wires[w.index].restraint = true;
    }
}

void Reader::warm_one_another() {
    for (const auto& [key, type] : wire_types_)
        if (type.holds && type.wires > 1)
            c_.not_worked_out.push_back("how warm the wires in " + type.name + " make one another");
}

} // namespace loomproof
