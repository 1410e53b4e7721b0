/// The pins of an electronic unit, a line each: supply 1, 0.4 A; ground 2; input 49 wants plus; output 6 ground side, 1 A.

#include "circuit/figures.hpp"
#include "circuit/reader.hpp"

#include <algorithm>

namespace loomproof {

namespace {
// What may be said about each sort of pin.
constexpr const char* sleeps = "when {} falls asleep: it is taken to be awake";
constexpr AttrSpec supply_says[] = {
    {"{A}", Attr::pin_current, "what it takes"},
    {"asleep {A}", Attr::told, "what it takes asleep", nullptr, sleeps},
    {"asleep {A} after {s}", Attr::told, "what it takes asleep, and when", nullptr, sleeps},
};
constexpr AttrSpec input_says[] = {
    {"wants plus", Attr::pin_input, "waits for plus"},
    {"wants ground", Attr::pin_input, "waits for ground"},
    {"{ohm} to ground", Attr::told, "what is inside it", nullptr, "what flows into input {pin} of {}"},
    {"{ohm} to plus", Attr::told, "what is inside it", nullptr, "what flows out of input {pin} of {}"},
};
constexpr const char* watches = "whether {} is content with what hangs on its output {pin}";
constexpr AttrSpec output_says[] = {
    {"ground side", Attr::ground_side, "joins its pin to ground"},
    {"plus side", Attr::plus_side, "joins its pin to plus"},
    {"{A}", Attr::rating, "what it may carry"},
    {"when {word} {word}", Attr::driven_when, "what commands it"},
    {"when {word} is {word}", Attr::driven_when, ""},
    {"when wish {word} is {word}", Attr::driven_when, ""},
    {"clamped {V}", Attr::told, "where it takes up the kick of a coil", nullptr,
     "whether output {pin} of {} stands the kick of a coil"},
    {"leaks to {word}", Attr::told, "what it leaks to", nullptr, "what leaks from output {pin} of {}"},
    {"leaks to {word} when unpowered", Attr::told, "what it leaks to", nullptr, "what leaks from output {pin} of {}"},
    {"pulsed {Hz}", Attr::told, "switches on and off that often", nullptr,
     "what the pulses of output {pin} of {} do: it is taken to be on or off"},
    {"watches {W} to {W}", Attr::told, "the lamp that it wants to find", nullptr, watches},
    {"watches the lamp {W} to {W}", Attr::told, "", nullptr, watches},
};
const KindSpec supply_pin{.title = "supply pin", .attributes = supply_says};
const KindSpec ground_pin{.title = "ground pin"};
const KindSpec input_pin{.title = "input pin", .attributes = input_says};
const KindSpec output_pin{.title = "output pin", .attributes = output_says};
constexpr const char* example = "Type: supply 1, 0.4 A, or ground 2, input 49 wants plus, output 6 ground side, 1 A";
} // namespace

void Reader::read_unit_block(PartId id, const Item& item) {
    const Tree& tree = *item.tree;
    for (std::uint32_t s = tree.statements[item.statement].first_child; s != Statement::none;
         s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.done()) continue;
        const auto poison = [&] { c_.parts[id.index].poisoned = true; };
        const auto unknown = [&](const char* headline) {
            if (!c.clause_is_stray()) problem("text-word-unknown", c.span(), headline, example);
            poison();
        };
        const bool supply = c.take("supply"), ground = !supply && c.take("ground"),
                   input = !supply && !ground && c.take("input");
        const bool output = !supply && !ground && !input && c.take("output");
        if (!supply && !ground && !input && !output) {
            unknown("A pin of a unit is a supply, a ground, an input or an output.");
            continue;
        }
        const Span pin_span = c.span();
        const std::string stamp = c.take_stamp();
        if (stamp.empty()) {
            unknown("The stamp of this pin is missing.");
            continue;
        }
        if (find_terminal(id, stamp)) {
            problem("text-said-twice", pin_span, "Pin " + stamp + " is there twice.", "Keep the line that is true.");
            poison();
            continue;
        }
        add_terminal(id, {id, stamp,
                          supply   ? Role::plus
                          : ground ? Role::minus
                                   : Role::signal,
                          0, 1, supply || ground});
        const ClauseReader reader{colours_, &out_.findings, &places_};
        Clauses clauses = reader.read(c, supply ? supply_pin : ground ? ground_pin : input ? input_pin : output_pin);
        if (clauses.poisoned) poison();
        const auto key_of = [&](Attr key) { return std::ranges::find(clauses.attributes, key, &Attribute::key); };
        const auto side =
            key_of(Attr::ground_side) != clauses.attributes.end() ? key_of(Attr::ground_side) : key_of(Attr::plus_side);
        if (output && side == clauses.attributes.end()) {
            if (!clauses.poisoned)
                problem("text-word-unknown", pin_span,
                        "Whether this output joins its pin to plus or to ground is not said.", example);
            poison();
            continue;
        }
        if (output)
            if (const auto amps = key_of(Attr::rating); amps != clauses.attributes.end()) side->value = amps->value;
        if (input && key_of(Attr::pin_input) == clauses.attributes.end()) {
            Attribute plain;
            plain.key = Attr::pin_input;
            plain.span = tree.head(tree.statements[s]);
            clauses.attributes.push_back(plain);
        }
        for (Attribute& a : clauses.attributes) {
            if (a.key == Attr::rating || a.key == Attr::high_end) continue; // lies with its side
            a.word = a.key == Attr::driven_when ? stamp + " " + a.word : stamp;
            a.life.born = item.revision;
            c_.parts[id.index].attributes.push_back(std::move(a));
        }
    }
}

} // namespace loomproof
