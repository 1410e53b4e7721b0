/// Blocks of switches and plugs: positions and what they join, holes and what was seen in them.

#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/kinds/kinds.hpp"
#include "circuit/reader.hpp"

#include <algorithm>

namespace loomproof {

TerminalId Reader::switch_terminal(PartId id, const std::string& stamp) {
    for (TerminalId t : c_.at(id).terminals)
        if (equal_ignoring_case(c_.at(t).stamp, stamp)) return t;
    return add_terminal(id, {id, stamp, Role::contact, 0, 1, false});
}

void Reader::read_switch_block(PartId id, const Item& item) {
    const Tree& tree = *item.tree;
    const std::uint32_t first = block_of(tree, item.statement);
    bool sections = false;
    for (std::uint32_t s = first; s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (!c.is("section")) continue;
        sections = true;
        ++c.at;
        read_switch_section(id, tree, block_of(tree, s), std::string(c.spelled()));
    }
    if (!sections) read_switch_section(id, tree, first, "");
}

/// Make before break: between each two positions one more, in which it does not stay and which joins what both join.
void Reader::overlap(Control& control, std::vector<Primitive>& contacts) {
    const std::size_t n = control.positions.size();
    if (n < 2 || 2 * n - 1 > 64) return;
    std::vector<std::string> names;
    std::uint64_t springs_back = 0;
    for (std::size_t i = 0; i < n; ++i) {
        if (control.springs_back >> i & 1u) springs_back |= std::uint64_t{1} << (2 * i);
        names.push_back(control.positions[i]);
        if (i + 1 == n) break;
        springs_back |= std::uint64_t{1} << (2 * i + 1);
        names.push_back("between " + control.positions[i] + " and " + control.positions[i + 1]);
    }
    for (Primitive& p : contacts) {
        std::uint64_t closed = 0;
        for (std::size_t i = 0; i < n; ++i)
            if (p.closed_in >> i & 1u)
                closed |= (std::uint64_t{i == 0 ? 3u : 7u} << (i == 0 ? 0 : 2 * i - 1)) &
                          ((std::uint64_t{1} << (2 * n - 1)) - 1);
        p.closed_in = closed;
    }
    control.positions = std::move(names);
    control.springs_back = springs_back;
    control.rest = static_cast<std::uint8_t>(2 * control.rest);
}

/// "15R and 50", "15R, 15 and 50": moves to the next terminal that a position joins with the same one. Behind a comma only what is
/// stamped like a terminal is one: with a figure in it, up to three letters, or a stamp the switch has already.
bool Reader::takes_another(Cursor& c, PartId id) const {
    if (c.take("and") || c.take_mark('&')) return true;
    if (!c.is_mark(',') || !c.is_word(1)) return false;
    if (c.is("and", 1)) return c.at += 2, true;
    if (c.is("connects", 1) || c.is("with", 2)) return false; // a pair of its own
    const std::string_view word = c.spelled(1);
    const bool last = !c.has(2) || c.is_mark(',', 2) || c.is("and", 2) || c.is_mark('&', 2);
    const char unit = word.back(); // "10A" is what a contact carries; "49a", "15R" are terminals
    if (unit_split(word) > 0 && (unit == 'A' || unit == 'V' || unit == 'W')) return false;
    const bool stamped = (word.size() <= 3 && !c.is("on", 1) && !c.is("off", 1)) ||
                         word.find_first_of("0123456789") != std::string_view::npos ||
                         std::ranges::any_of(c_.at(id).terminals,
                                             [&](TerminalId t) { return equal_ignoring_case(c_.at(t).stamp, word); });
    if (!last || !stamped) return false;
    ++c.at;
    return true;
}

/// The whole position as it would stand, everything else in it kept: a cure that leaves out a terminal, or names another position,
/// rewires the switch when it is typed.
std::string Reader::position_cure(const Cursor& c, const Tree& tree, const Statement& statement) const {
    const Span whole = tree.head(statement);
    const std::string_view text = sources_.text(whole);
    const auto with = [&](std::uint32_t begin, std::uint32_t end, std::string_view instead) {
        return std::string(text.substr(0, begin - whole.begin)) + std::string(instead) +
               std::string(text.substr(end - whole.begin));
    };
    for (const char* word : {"spring", "springs", "sprung", "momentary", "momentarily", "returns", "return", "push"})
        if (c.is(word)) {
            Cursor end = c;
            end.skip_clause();
            return "Type: " + with(c.span().begin, end.span_from(c.at).end, "springs back");
        }
    if (c.is_word()) { // "on 1-2"
        const std::string_view word = c.spelled();
        if (const std::size_t dash = word.find('-');
            dash != std::string_view::npos && dash > 0 && dash + 1 < word.size())
            return "Type: " + with(c.span().begin, c.span().end,
                                   "connects " + std::string(word.substr(0, dash)) + " with " +
                                       std::string(word.substr(dash + 1)));
    }
    if (c.is_mark(':') && c.is_word(1) && (c.is("to", 2) || c.is("with", 2))) // "on: 1 to 2"
        return "Type: " + with(c.at > statement.first ? tree.tokens[c.at - 1].end : c.span().begin, c.span(2).end,
                               " connects " + std::string(c.spelled(1)) + " with");
    Cursor end = c;
    end.skip_clause();
    const bool behind_comma = c.at > statement.first && tree.tokens[c.at - 1].mark == ',' && c.is_word() &&
                              (end.at == c.at + 1 || c.is("and", 1));
    if (behind_comma && text.substr(0, c.span().begin - whole.begin).find(" with ") != std::string_view::npos)
        return "If " + std::string(c.spelled()) +
               " is a terminal too, type: " + with(tree.tokens[c.at - 1].begin, c.span().begin, " and ");
    return "Behind the position's name stands what it joins (connects 30 with 15 and 50) and, where it does, springs "
           "back.";
}

void Reader::read_switch_section(PartId id, const Tree& tree, std::uint32_t first, const std::string& section) {
    Control control;
    control.part = id;
    control.name = section;
    const Part& part = c_.at(id);
    for (const Attribute& a : part.attributes)
        if (a.key == Attr::thermal || a.key == Attr::temperature || (a.key == Attr::told && a.word == "opens"))
            control.type = Control::Type::sensed;
    if (part.kind == Kind::wish) control.type = Control::Type::sensed;
    std::vector<Primitive> contacts;
    bool has_rest = false;
    Stated<Amps> rating;
    for (const Attribute& a : part.attributes)
        if (a.key == Attr::rating) rating = as<Amps>(a.value);
    for (std::uint32_t s = first; s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.done()) continue;
        const auto poison = [&] { c_.parts[id.index].poisoned = true; };
        if (!c.is_word() && !c.is_text()) {
            problem("text-word-unknown", c.span(), "A position of the switch begins with its name.",
                    "Type: run connects 30 with 15");
            poison();
            continue;
        }
        if (control.positions.size() == 64) {
            problem("text-statement-unfinished", c.span(), "A switch has more than 64 positions.",
                    "Describe the part of it that matters.");
            poison();
            break;
        }
        const std::uint64_t bit = std::uint64_t{1} << control.positions.size();
        control.positions.emplace_back(c.spelled());
        ++c.at;
        if (c.take_mark('*')) {
            control.rest = static_cast<std::uint8_t>(control.positions.size() - 1);
            has_rest = true;
        }
        const auto join = [&](const std::string& from, const std::string& to) {
            const TerminalId a = switch_terminal(id, from), b = switch_terminal(id, to);
            for (Primitive& p : contacts)
                if ((p.a == a && p.b == b) || (p.a == b && p.b == a)) {
                    p.closed_in |= bit;
                    return;
                }
            Primitive p;
            p.element = Element::contact;
            p.purpose = Purpose::switch_contact;
            p.a = a;
            p.b = b;
            p.closed_in = bit;
            p.rating = rating;
            contacts.push_back(p);
        };
        while (!c.done()) {
            if (c.take_mark(',')) continue;
            if (c.take_words("springs back")) {
                control.springs_back |= bit;
                if (!c.is("to") || !c.is_word(1)) continue;
                // "springs back to run": the position before it, which is where it goes.
                const std::size_t here = control.positions.size() - 1;
                const std::string to(c.spelled(1));
                if (here > 0 && equal_ignoring_case(to, control.positions[here - 1])) {
                    c.at += 2;
                    continue;
                }
                const Span away{c.tree->source, c.span().begin, c.span(1).end};
                const Span whole = tree.head(tree.statements[s]);
                std::string line(sources_.text(whole));
                line.erase(away.begin - whole.begin, away.end - away.begin);
                while (line.ends_with(' ')) line.pop_back();
                problem("text-word-unknown", away,
                        here > 0 ? "A position springs back to the one that stands before it, " +
                                       control.positions[here - 1] + "."
                                 : "The first position cannot spring back: a position springs back to the one that "
                                   "stands before it.",
                        (here > 0 ? "If that is so, type: " : "Put the positions in their order, and type: ") + line);
                poison();
                c.skip_clause();
            } else if (c.take("connects") || c.take("joins") || (c.is_word() && c.is("with", 1))) {
                const std::string from(c.spelled());
                ++c.at;
                if (!c.take("with") && !c.take("and") && !c.take("to")) {
                    problem("text-statement-unfinished", c.span(), "What " + from + " is connected with is missing.",
                            "Type: connects " + (from.empty() ? "30" : from) + " with 15");
                    poison();
                    c.skip_clause();
                    continue;
                }
                do {
                    if (!c.is_word()) {
                        problem("text-statement-unfinished", c.span(), "A terminal is missing behind \"with\".",
                                "Type: connects " + from + " with 15 and 50");
                        poison();
                        c.skip_clause();
                        break;
                    }
                    join(from, std::string(c.spelled()));
                    ++c.at;
                } while (takes_another(c, id));
            } else {
                if (!c.clause_is_stray())
                    problem("text-word-unknown", c.span(),
                            "\"" + std::string(c.spelled()) + "\" is not known in a switch position.",
                            position_cure(c, tree, tree.statements[s]));
                poison();
                c.skip_clause();
            }
        }
    }
    if (control.positions.empty()) return;
    if (!has_rest) control.rest = 0;
    if (std::ranges::any_of(c_.at(id).attributes, [](const Attribute& a) { return a.key == Attr::overlaps; }))
        overlap(control, contacts);
    const ControlId cid{c_.controls.size()};
    c_.controls.push_back(std::move(control));
    c_.parts[id.index].controls.push_back(cid);
    for (Primitive& p : contacts) {
        p.control = cid;
        p.part = id;
        p.life = c_.at(id).life;
        c_.primitives.push_back(p);
    }
}

void Reader::read_plug_block(PartId id, const Item& item) {
    const Tree& tree = *item.tree;
    for (std::uint32_t s = block_of(tree, item.statement); s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.done()) continue;
        PlugRow row;
        row.connector = id;
        row.span = tree.head(tree.statements[s]);
        c.take("hole");
        if (!c.is_word()) {
            problem("text-word-unknown", c.span(), "A row of a plug begins with the number of its hole.",
                    "Type: 1 blue/white \"temperature sender\"");
            continue;
        }
        row.hole = std::string(c.spelled());
        ++c.at;
        c.take_mark(':');
        c.take_mark(',');
        const ClauseReader reader{colours_, &out_.findings, &places_};
        while (!c.done()) {
            if (c.take_mark(',')) continue;
            if (c.is("tag") && (c.is_word(1) || c.is_text(1))) {
                row.label += (row.label.empty() ? "tag " : "; tag ") + std::string(c.spelled(1));
                c.at += 2;
            } else if (c.is_text()) {
                row.label += (row.label.empty() ? "" : "; ") + std::string(c.spelled());
                ++c.at;
            } else if (const auto volts =
                           read_figure(c, Unit::volts, out_.findings)) { // a reading: 12 V when "ignition on"
                row.label += (row.label.empty() ? "" : "; ") + text(Volts{volts->value.nominal});
                if (c.take("when")) {
                    row.label += " when";
                    for (; c.is_word() || c.is_text(); ++c.at) row.label += " " + std::string(c.spelled());
                }
            } else if (const auto colours = reader.colour(c)) {
                row.colours = *colours;
            } else {
                const std::string word(c.spelled());
                const bool tag = !row.colours.main.empty() && word.find_first_not_of("0123456789") == std::string::npos;
                problem("text-word-unknown", c.span(),
                        "\"" + word + (tag ? "\" alone says nothing behind a colour." : "\" is no colour known here."),
                        tag ? "If it is the tag on one of two wires of that colour, type: tag " + word
                            : "Type the hole, the colour in words, and what it is in quotes.");
                break;
            }
        }
        c_.plug_rows.push_back(std::move(row));
    }
}

} // namespace loomproof
