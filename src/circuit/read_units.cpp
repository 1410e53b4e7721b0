/// The pins of an electronic unit, a line each: supply 1, 0.4 A; ground 2; input 49 wants plus; output 6 ground side, 1 A.

#include "circuit/figures.hpp"
#include "circuit/reader.hpp"

#include <algorithm>

namespace loomproof {

namespace {
// What may be said about each sort of pin.
constexpr AttrSpec supply_says[] = {
    {"{A}", Attr::pin_current, "what it takes"},
    {"asleep {A}", Attr::asleep, "what it takes asleep"},
    {"asleep {A} after {s}", Attr::asleep, "what it takes asleep, and when"},
    {"sleeps {A}", Attr::asleep, ""},
    {"sleeps {A} after {s}", Attr::asleep, ""},
    {"keep alive", Attr::told, "must never lose its feed", "keep alive"},
    {"works from {V}", Attr::works_from, "the least volts at which the unit works"},
};
constexpr AttrSpec input_says[] = {
    {"wants plus", Attr::pin_input, "waits for plus"},
    {"wants ground", Attr::pin_input, "waits for ground"},
    {"{ohm} to ground", Attr::input_ohms, "what is inside it", "ground"},
    {"{ohm} to plus", Attr::input_ohms, "what is inside it", "plus"},
};
/// How soon it cuts off differs from maker to maker.
constexpr const char* rides_through = "whether output {pin} of {} rides through what its load takes to start";
constexpr AttrSpec output_says[] = {
    {"ground side", Attr::ground_side, "joins its pin to ground"},
    {"plus side", Attr::plus_side, "joins its pin to plus"},
    {"ground", Attr::ground_side, "", "ground side"},
    {"plus", Attr::plus_side, "", "plus side"},
    {"low side", Attr::ground_side, "", "ground side"},
    {"high side", Attr::plus_side, "", "plus side"},
    {"low-side", Attr::ground_side, "", "ground side"},
    {"high-side", Attr::plus_side, "", "plus side"},
    {"switches ground", Attr::ground_side, "", "ground side"},
    {"switches plus", Attr::plus_side, "", "plus side"},
    {"{A}", Attr::rating, "what it may carry"},
    {"when {word} {word}", Attr::driven_when, "what commands it"},
    {"when {word} is {word}", Attr::driven_when, ""},
    {"when wish {word} is {word}", Attr::driven_when, ""},
    {"limited to {A}", Attr::limited_to, "limits or cuts off by itself there", nullptr, rides_through},
    {"cuts off at {A}", Attr::limited_to, "", nullptr, rides_through},
    {"limits at {A}", Attr::limited_to, "", nullptr, rides_through},
    {"clamped {V}", Attr::clamped, "where it takes up the kick of a coil"},
    {"pulsed {Hz}", Attr::pulsed, "switches on and off that often", nullptr,
     "how much of the time output {pin} of {} is on: it is taken to be on or off"},
    {"PWM {Hz}", Attr::pulsed, "", nullptr,
     "how much of the time output {pin} of {} is on: it is taken to be on or off"},
    {"watches {W} to {W}", Attr::watches_least, "the least and the most that it is content with"},
    {"watches the lamp {W} to {W}", Attr::watches_least, ""},
    {"watches {W}", Attr::watches_least, "the lamp that it wants to find"},
    {"watches the lamp {W}", Attr::watches_least, ""},
    {"leaks to {word} when unpowered", Attr::leaks_to, "the supply pin that it lets current into"},
    {"leaks to {word}", Attr::leaks_to, ""},
};
constexpr AttrSpec driving_says[] = {
    {"when {word} {word}", Attr::driven_when, "what commands it"},
    {"when {word} is {word}", Attr::driven_when, ""},
    {"when wish {word} is {word}", Attr::driven_when, ""},
};
const KindSpec driving{.title = "driven output", .attributes = driving_says};
const KindSpec supply_pin{.title = "supply pin", .attributes = supply_says};
const KindSpec ground_pin{.title = "ground pin"};
const KindSpec input_pin{.title = "input pin", .attributes = input_says};
const KindSpec output_pin{.title = "output pin", .attributes = output_says};
constexpr const char* example = "Type: supply 1, 0.4 A, or ground 2, input 49 wants plus, output 6 ground side, 1 A";
} // namespace

/// What was said of an output fits together: reported otherwise.
bool Reader::output_makes_sense(const std::vector<Attribute>& said) {
    bool sense = true;
    const auto wrong = [&](const Attribute& a, const char* headline, const char* cure) {
        problem("text-unclear-figure", a.span, headline, cure);
        sense = false;
    };
    const auto least = std::ranges::find(said, Attr::watches_least, &Attribute::key);
    const auto most = std::ranges::find(said, Attr::watches_most, &Attribute::key);
    for (const Attribute& a : said)
        if (a.key == Attr::pulsed && a.value.known() && !(a.value.nominal > 0))
            wrong(a, "An output that never changes is not pulsed.", "Say how often in a second: pulsed 100 Hz");
    if (least != said.end() && most != said.end() && least->value.known() && most->value.known() &&
        least->value.nominal > most->value.nominal)
        wrong(*least, "The first figure is the least that this output is content with, the second the most.",
              "Type the smaller figure first: watches 15 W to 30 W");
    return sense;
}

/// An output leaks into a supply pin of its own unit: the current that its clamp lets through while that pin has no volts.
void Reader::check_leaks(PartId id) {
    for (Attribute& a : c_.parts[id.index].attributes) {
        if (a.key != Attr::leaks_to) continue;
        const std::string to = a.word.substr(a.word.find(' ') + 1);
        const auto pin = find_terminal(id, to);
        if (pin && c_.at(*pin).role == Role::plus) continue;
        const std::string name = c_.at(id).name;
        problem("text-terminal-unknown", a.span,
                pin ? "Pin " + to + " of " + name + " is no supply pin, so that nothing is known of what leaks into it."
                    : name + " has no pin " + to + " that could be leaked into.",
                "An unpowered output lets current into a supply pin of its own unit. Type: leaks to 1 when unpowered");
        c_.parts[id.index].poisoned = true;
    }
}

void Reader::read_unit_block(PartId id, const Item& item) {
    const Tree& tree = *item.tree;
    for (std::uint32_t s = block_of(tree, item.statement); s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.done()) continue;
        const auto poison = [&] { c_.parts[id.index].poisoned = true; };
        const auto unknown = [&](const char* headline) {
            if (!c.clause_is_stray()) problem("text-word-unknown", c.span(), headline, example);
            poison();
        };
        if (c.is("drives") && c.is("when", 2)) { // "drives 6 when fan yes": said of an output in a line of its own
            ++c.at;
            const Span at = c.span();
            const std::string pin = c.take_stamp();
            const bool output_there = std::ranges::any_of(c_.at(id).attributes, [&](const Attribute& a) {
                return (a.key == Attr::plus_side || a.key == Attr::ground_side) && equal_ignoring_case(a.word, pin);
            });
            if (!output_there) {
                problem("text-terminal-unknown", at, c_.at(id).name + " has no output " + pin + " above this line.",
                        example);
                poison();
                continue;
            }
            Clauses said = ClauseReader{colours_, &out_.findings, &places_}.read(c, driving);
            if (said.poisoned) poison();
            for (Attribute& a : said.attributes) {
                a.word = pin + " " + a.word;
                a.life.born = item.revision;
                c_.parts[id.index].attributes.push_back(std::move(a));
            }
            continue;
        }
        const auto take_one = [&](std::initializer_list<const char*> words) {
            return std::ranges::any_of(words, [&](const char* w) { return c.take(w); });
        };
        const bool supply = take_one({"supply", "power", "plus", "feed"}),
                   ground = !supply && take_one({"ground", "earth", "minus"}),
                   input = !supply && !ground && take_one({"input", "signal", "sensor"});
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
        for (Attribute& a : clauses.attributes)
            if (a.key == Attr::high_end) a.key = supply ? Attr::asleep_after : Attr::watches_most;
        if (output && !output_makes_sense(clauses.attributes)) poison();
        if (input && key_of(Attr::pin_input) == clauses.attributes.end()) {
            Attribute plain;
            plain.key = Attr::pin_input;
            plain.span = tree.head(tree.statements[s]);
            clauses.attributes.push_back(plain);
        }
        for (Attribute& a : clauses.attributes) {
            if (a.key == Attr::rating) continue;                    // lies with its side
            if (a.key == Attr::told || a.key == Attr::works_from) { // holds for the whole unit
                a.life.born = item.revision;
                c_.parts[id.index].attributes.push_back(std::move(a));
                continue;
            }
            a.word = a.key == Attr::driven_when || a.key == Attr::leaks_to || a.key == Attr::input_ohms
                         ? stamp + " " + a.word
                         : stamp;
            a.life.born = item.revision;
            c_.parts[id.index].attributes.push_back(std::move(a));
        }
    }
    check_leaks(id);
}

} // namespace loomproof
