/// The windings of a starter's solenoid, where the file tells them apart: pull-in 50-motor | hold-in 50-case | cranks 180 A.

#include "circuit/figures.hpp"
#include "circuit/reader.hpp"

#include <algorithm>

namespace loomproof {

namespace {
constexpr const char* example = "Type: starter M1 { pull-in 50-motor | hold-in 50-case | cranks 180 A }";

/// The two ends of a winding, "50-motor" or "50 to motor", in small letters; the second empty where it is missing.
std::pair<std::string, std::string> take_ends(Cursor& c) {
    c.take("from");
    std::string first = lower(c.take_stamp());
    if (const std::size_t dash = first.find('-'); dash != std::string::npos)
        return {first.substr(0, dash), first.substr(dash + 1)};
    if (!c.take("to")) c.take_mark('-');
    return {std::move(first), c.is_word() ? lower(c.take_stamp()) : std::string{}};
}
} // namespace

void Reader::read_starter_block(PartId id, const Item& item) {
    const Tree& tree = *item.tree;
    const auto poison = [&] { c_.parts[id.index].poisoned = true; };
    const auto say = [&](Attr key, Span span, std::string word, const Stated<double>& value) {
        Attribute a;
        a.key = key;
        a.value = value;
        a.word = std::move(word);
        a.span = span;
        a.life.born = item.revision;
        auto& all = c_.parts[id.index].attributes;
        if (std::ranges::any_of(all, [&](const Attribute& b) { return b.key == key; })) {
            problem("text-said-twice", span, "This is said twice about the same starter.",
                    "Keep the one that is true.");
            return poison();
        }
        all.push_back(std::move(a));
    };
    for (std::uint32_t s = block_of(tree, item.statement); s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.done()) continue;
        const Span whole = tree.head(tree.statements[s]);
        const bool pull = c.take("pull-in"), hold = !pull && c.take("hold-in");
        if (!pull && !hold) {
            const Span word = c.span();
            c.take("cranks");
            if (const auto amps = read_figure(c, Unit::amps, out_.findings); amps && c.done()) {
                say(Attr::current, whole, "", amps->value);
                continue;
            }
            if (!c.rest_is_stray())
                problem("text-word-unknown", word,
                        "Of a starter its two windings and its current while cranking may be said here.", example);
            poison();
            continue;
        }
        const auto [from, to] = take_ends(c);
        const bool right = from == "50" && (pull ? to == "motor" : to == "case" || to == "31" || to == "ground");
        if (!right) {
            problem("text-end-unclear", whole,
                    pull ? "A pull-in winding lies between 50 and the motor, so that the closed contact shorts it."
                         : "A hold-in winding lies between 50 and the case, so that it holds as long as 50 is fed.",
                    example);
            poison();
            continue;
        }
        c.take_mark(',');
        Stated<double> amps, ohms;
        if (const auto figure = read_figure(c, Unit::amps, out_.findings))
            amps = figure->value;
        else if (const auto resistance = read_figure(c, Unit::ohms, out_.findings))
            ohms = resistance->value;
        if (!c.done()) {
            problem("text-word-unknown", c.span(), "Behind a winding may stand what it takes, or its ohms.",
                    std::string("Type: ") + (pull ? "pull-in 50-motor, 30 A" : "hold-in 50-case, 10 A"));
            poison();
            continue;
        }
        if ((amps.known() && !(amps.low > 0)) || (ohms.known() && !(ohms.low > 0))) {
            problem("text-unclear-figure", whole, "A winding that takes nothing, or has no ohms, is none.", example);
            poison();
            continue;
        }
        say(pull ? Attr::pull_in : Attr::hold_in, whole, "on", amps);
        if (ohms.known()) say(pull ? Attr::pull_in_ohms : Attr::hold_in_ohms, whole, "", ohms);
    }
    const auto has = [&](Attr key) {
        return std::ranges::any_of(c_.at(id).attributes, [&](const Attribute& a) { return a.key == key; });
    };
    if (c_.at(id).poisoned || has(Attr::pull_in) == has(Attr::hold_in)) return;
    problem("text-statement-unfinished", item.span(),
            std::string("The ") + (has(Attr::pull_in) ? "hold-in" : "pull-in") +
                " winding is missing: a solenoid has both, or nothing is said of them.",
            example);
    poison();
}

} // namespace loomproof
