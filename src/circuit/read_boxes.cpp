/// Fuse boxes: their rails are bus bars, and the fuses in their slots sit on them. What names other parts is looked up here too.

#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/kinds/kinds.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"

#include <algorithm>
#include <charconv>

namespace loomproof {

namespace {

constexpr const char* example = "Type: rail R1 fed from 1: F1..F6";

struct Numbered {
    std::string stem; ///< "F" of "F12"
    int number = -1;
};

Numbered numbered(std::string_view name) {
    std::size_t digits = name.size();
    while (digits > 0 && name[digits - 1] >= '0' && name[digits - 1] <= '9') --digits;
    Numbered n{std::string(name.substr(0, digits)), -1};
    std::from_chars(name.data() + digits, name.data() + name.size(), n.number);
    return n;
}

/// "F1..F6", "1..6": all of them; one name else.
std::vector<std::string> all_of(std::string_view typed) {
    const std::size_t dots = typed.find("..");
    if (dots == std::string_view::npos) return {std::string(typed)};
    const Numbered first = numbered(typed.substr(0, dots)),
                   last = numbered(typed.substr(typed.find_first_not_of('.', dots)));
    if (first.number < 0 || last.number < first.number || last.number - first.number > 200 ||
        !(last.stem.empty() || equal_ignoring_case(first.stem, last.stem)))
        return {};
    std::vector<std::string> out;
    for (int n = first.number; n <= last.number; ++n) out.push_back(first.stem + std::to_string(n));
    return out;
}

} // namespace

/// rail R1 fed from 1: F1..F6; slot 3, 20 A.
void Reader::read_box_block(PartId box, const Item& item) {
    const Tree& tree = *item.tree;
    for (std::uint32_t s = block_of(tree, item.statement); s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.done()) continue;
        const Span line = tree.head(tree.statements[s]);
        Attribute said;
        said.span = line;
        said.life.born = item.revision;
        const auto unknown = [&](const char* headline) {
            if (!c.rest_is_stray()) problem("text-word-unknown", c.span(), headline, example);
            c_.parts[box.index].poisoned = true;
        };
        if (c.take("slot")) {
            said.key = Attr::hole_rating;
            said.word = std::string(c.spelled());
            ++c.at;
            c.take_mark(',');
            const auto amps = read_figure(c, Unit::amps, out_.findings);
            if (!amps) {
                unknown("What the slot may carry is missing.");
                continue;
            }
            said.value = amps->value;
            c_.parts[box.index].attributes.push_back(std::move(said));
            continue;
        }
        if (!c.take("rail") || !c.is_word()) {
            unknown("In a box stand its rails and what its slots may carry.");
            continue;
        }
        const std::string name(c.spelled());
        const Span name_span = c.span();
        if (parts_.contains(lower(name)) || wires_.contains(lower(name))) {
            problem("text-name-twice", name_span, "Two things are called " + name + ".", "Give the rail another name.");
            c_.parts[box.index].poisoned = true;
            continue;
        }
        ++c.at;
        const PartId rail = new_part(bus_kind, name, true, name_span, item);
        c_.parts[rail.index].label = c_.at(box).label;
        c_.parts[rail.index].place = c_.at(box).place;
        said.key = Attr::rail;
        if (c.take_words("fed from")) {
            said.word = c.take_stamp() + " " + name;
        } else {
            said.word = name + " " + name;
        }
        c_.parts[box.index].attributes.push_back(std::move(said));
        c.take_mark(':');
        while (!c.done()) {
            if (c.take_mark(',') || c.take("and")) continue;
            if (!c.is_word()) {
                unknown("The fuses on this rail are expected here.");
                break;
            }
            const Span at = c.span();
            std::string typed(c.spelled());
            ++c.at;
            if ((c.is("to") || c.is_mark('.')) && c.is_word(1)) { // "F1 to F6", "F1..F6"
                typed += ".." + std::string(c.spelled(1));
                c.at += 2;
            }
            const std::vector<std::string> names = all_of(typed);
            if (names.empty()) {
                problem("text-word-unknown", at, "\"" + typed + "\" is no row of fuses.", example);
                c_.parts[box.index].poisoned = true;
            }
            for (const std::string& fuse : names)
                rails_.push_back({box, c_.at(rail).terminals.front(), fuse, at, item.revision, names.size() > 1});
        }
    }
}

/// The fuses of one revision that sit on rails: their first end has its feed. Called before wires are read, so that `to F1` is not that end.
void Reader::fill_boxes(Revision revision) {
    std::map<std::uint32_t, std::vector<std::string>> empty;
    for (const RailItem& item : rails_) {
        if (item.revision != revision) continue;
        const std::string slot = lower(c_.at(item.box).name + " " + item.item);
        std::optional<PartId> fuse = part_named(item.item);
        const bool number = item.item.find_first_not_of("0123456789") == std::string::npos;
        for (std::size_t i = 0; number && i < c_.parts.size(); ++i)
            for (const Attribute& a : c_.parts[i].attributes)
                if (a.key == Attr::slot && lower(a.word) == slot) fuse = PartId{i};
        if (!fuse) {
            if (item.of_range || number)
                empty[item.box.index].push_back(item.item);
            else
                unknown_name(item.item, item.span);
            continue;
        }
        const Part& part = c_.at(*fuse);
        if (part.kind == Kind::not_known) continue;
        if (part.kind != Kind::fuse && part.kind != Kind::breaker && part.kind != Kind::link) {
            problem("text-end-unclear", item.span, part.name + " is no fuse and no breaker.",
                    "Name the fuses that sit on this rail.");
            continue;
        }
        seated_.push_back({*fuse, item.box, item.rail});
        ++wires_on_[part.terminals.front().index];
    }
    for (const auto& [box, slots] : empty)
        c_.assumptions.push_back({c_.parts[box].name + ":",
                                  "nothing in slot" + std::string(slots.size() == 1 ? " " : "s ") + list_of(slots),
                                  "no line says what sits there", "fuse " + slots.front() + ", 15 A"});
}

/// The rails that one stud feeds are joined, and so are the fuses to their rails, as long as they are there.
void Reader::join_boxes() {
    const auto join = [&](PartId box, TerminalId a, TerminalId b) {
        Primitive p;
        p.element = Element::joint;
        p.purpose = Purpose::mounting;
        p.part = box;
        p.a = a;
        p.b = b;
        const Life& one = c_.part_of(a).life;
        const Life& other = c_.part_of(b).life;
        p.life = {std::max(one.born, other.born), std::min(one.gone, other.gone)};
        c_.primitives.push_back(p);
    };
    for (const Seated& s : seated_) join(s.box, c_.at(s.fuse).terminals.front(), s.rail);
    for (std::size_t i = 0; i < c_.parts.size(); ++i) {
        if (c_.parts[i].kind != Kind::box) continue;
        std::map<std::string, TerminalId> fed;
        for (const Attribute& a : c_.parts[i].attributes) {
            if (a.key != Attr::rail) continue;
            const std::size_t blank = a.word.find(' ');
            const TerminalId rail = c_.at(*part_named(a.word.substr(blank + 1))).terminals.front();
            if (const auto [first, fresh] = fed.emplace(lower(a.word.substr(0, blank)), rail); !fresh)
                join(PartId{i}, first->second, rail);
        }
    }
}

/// Metals that a touch lies between, slots, and what commands an output: do the names exist?
void Reader::check_names() {
    const auto metal = [&](const std::string& name) {
        if (equal_ignoring_case(name, "body")) return body(), true;
        const auto part = part_named(name);
        return part && c_.at(*part).kind == Kind::metal;
    };
    for (std::size_t i = 0; i < c_.parts.size(); ++i) {
        const std::vector<Attribute> said = c_.parts[i].attributes; // the body may be made meanwhile
        const std::string name = c_.parts[i].name;
        const bool touch = c_.parts[i].kind == Kind::touch;
        const auto poison = [&] { c_.parts[i].poisoned = true; };
        if (touch && std::ranges::none_of(said, [](const Attribute& a) { return a.key == Attr::between; })) {
            problem("text-statement-unfinished", c_.parts[i].span, "What " + name + " lies between is not said.",
                    "Type: touch " + name + " between body and trailer");
            poison();
        }
        for (const Attribute& a : said) {
            const std::size_t blank = a.word.find(' ');
            if (a.key == Attr::between) {
                if (const std::string metal_name = a.word.substr(0, blank);
                    equal_ignoring_case(metal_name, a.word.substr(blank + 1))) {
                    problem("text-end-unclear", a.span,
                            name + " lies between " + metal_name + " and " + metal_name +
                                ": that is one piece of metal.",
                            "Name the two that touch: touch " + name + " between body and trailer");
                    poison();
                    continue;
                }
                for (const std::string& end : {a.word.substr(0, blank), a.word.substr(blank + 1)}) {
                    if (metal(end)) continue;
                    problem("text-name-unknown", a.span, "There is no metal called " + end + ".",
                            "Add the line: metal " + end);
                    poison();
                }
            } else if (a.key == Attr::slot) {
                const std::string box = a.word.substr(0, blank);
                const auto part = part_named(box);
                if (!part || (c_.at(*part).kind != Kind::box && c_.at(*part).kind != Kind::not_known))
                    problem("text-name-unknown", a.span, "There is no box called " + box + ".",
                            "Add the line: box " + box + " \"where it is\"");
            } else if (a.key == Attr::driven_when) {
                const Kind kind = c_.parts[i].kind;
                const std::string how = lower(a.word.substr(0, blank));
                if ((kind == Kind::supply || kind == Kind::existing_wire) && how != "plus" && how != "live" &&
                    how != "ground") {
                    problem("text-word-unknown", a.span, "\"" + how + "\" is not known about a feed.",
                            "Type: plus when, or: ground when");
                    poison();
                    continue;
                }
                const std::string commands = a.word.substr(blank + 1);
                const std::size_t second = commands.find(' ');
                const auto part = part_named(commands.substr(0, second));
                const std::string position = commands.substr(second + 1);
                if ((kind == Kind::supply || kind == Kind::existing_wire) && is_engine_condition(commands)) continue;
                const bool known =
                    part && !c_.at(*part).controls.empty() &&
                    std::ranges::any_of(c_.at(c_.at(*part).controls.front()).positions,
                                        [&](const std::string& p) { return equal_ignoring_case(p, position); });
                if (known) continue;
                Finding f = text_problem(
                    "text-name-unknown", a.span,
                    "Nothing here is called " + commands.substr(0, second) + " and can be \"" + position + "\".",
                    "Add the line: wish " + commands.substr(0, second) + " { no* | " + position + " }");
                if (kind == Kind::supply || kind == Kind::existing_wire) // "live when ignition on"
                    f.cures.insert(f.cures.begin(),
                                   Remedy{"What is not drawn stands in quotes: " + how + " when \"" + commands + "\""});
                out_.findings.push_back(std::move(f));
                poison();
            }
        }
    }
}

} // namespace loomproof
