/// The pins of an electronic unit, a line each: supply 1, 0.4 A; ground 2; input 49 wants plus; output 6 ground side, 1 A.

#include "circuit/figures.hpp"
#include "circuit/reader.hpp"

namespace loomproof {

namespace {
constexpr const char* example = "Type: supply 1, 0.4 A, or ground 2, input 49 wants plus, output 6 ground side, 1 A";
} // namespace

void Reader::read_unit_block(PartId id, const Item& item) {
    const Tree& tree = *item.tree;
    for (std::uint32_t s = tree.statements[item.statement].first_child; s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.done()) continue;
        const auto poison = [&] { c_.parts[id.index].poisoned = true; };
        const auto unknown = [&](const char* headline) {
            if (!c.clause_is_stray()) problem("text-word-unknown", c.span(), headline, example);
            poison();
        };
        const bool supply = c.take("supply"), ground = !supply && c.take("ground"), input = !supply && !ground && c.take("input");
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
        add_terminal(id, {id, stamp, supply ? Role::plus : ground ? Role::minus : Role::signal, 0, 1, supply || ground});
        Attribute said;
        said.word = stamp;
        said.span = tree.head(tree.statements[s]);
        said.life.born = item.revision;
        if (input) said.key = Attr::pin_input;
        if (output) {
            if (c.take_words("ground side"))
                said.key = Attr::ground_side;
            else if (c.take_words("plus side"))
                said.key = Attr::plus_side;
            else {
                unknown("Whether this output joins its pin to plus or to ground is not said.");
                continue;
            }
        }
        bool amps = false;
        while (!c.done()) {
            if (c.take_mark(',')) continue;
            if (c.is_text()) { // what it is, for people
                ++c.at;
            } else if (input && (c.take_words("wants plus") || c.take_words("wants ground"))) {
                continue;
            } else if (auto figure = supply || output ? read_figure(c, Unit::amps, out_.findings) : std::nullopt) {
                said.value = figure->value;
                amps = true;
            } else {
                unknown("This is not known about a pin.");
                c.skip_clause();
            }
        }
        if (supply) said.key = Attr::pin_current;
        if (input || output || amps) c_.parts[id.index].attributes.push_back(std::move(said));
    }
}

} // namespace loomproof
