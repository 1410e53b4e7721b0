/// What the writer expects of the circuit.

#include "circuit/figures.hpp"
#include "circuit/reader.hpp"
#include "circuit/view.hpp"
#include "circuit/wish_reader.hpp"

#include "base/number.hpp"

namespace loomproof {

namespace {

constexpr const char* example = "Type: expect M2 on when S1 run";

} // namespace

/// "M2", "E1.main", "E1:main", "Z1".
bool Reader::expected_thing(Cursor& c, PartId& part, TerminalId& filament) {
    if (!c.is_word())
        return problem("text-statement-unfinished", c.span(), "What is expected is missing.", example), false;
    std::string name(c.spelled()), end;
    const Span span = c.span();
    std::optional<PartId> found = part_named(name);
    if (const std::size_t dot = name.rfind('.'); !found && dot != std::string::npos) {
        end = name.substr(dot + 1);
        found = part_named(name.substr(0, dot));
    }
    if (!found) return unknown_name(name, span), false;
    ++c.at;
    if (end.empty() && c.is_mark(':') && c.is_word(1)) {
        end = std::string(c.spelled(1));
        c.at += 2;
    }
    part = *found;
    if (end.empty()) return true;
    std::vector<std::string> filaments;
    for (TerminalId t : c_.at(part).terminals) {
        if (c_.at(t).role != Role::filament) continue;
        filaments.push_back(c_.at(t).stamp);
        if (equal_ignoring_case(c_.at(t).stamp, end)) filament = t;
    }
    if (filament.exists()) return true;
    problem("text-terminal-unknown", span, c_.at(part).name + " has no filament \"" + end + "\".",
            filaments.empty() ? "Name the whole lamp: " + c_.at(part).name
                              : "Its filaments: " + list_of(filaments) + ".");
    return false;
}

void Reader::expect(const Item& item, Cursor& c) {
    using What = Expectation::What;
    Expectation e;
    e.span = item.span();
    e.text = std::string(sources_.text(item.span()));
    const bool never_wanted = c.take("never");
    if (!expected_thing(c, e.part, e.filament)) return;
    const auto volts = [&](Stated<Volts>& to) {
        const auto read = read_figure(c, Unit::volts, out_.findings);
        if (!read)
            return problem("text-statement-unfinished", c.span(), "Volts are expected here.",
                           "Type: expect " + c_.at(e.part).name + " at least 12.8 V"),
                   false;
        to = {read->value.how,         Volts{read->value.nominal}, Volts{read->value.low},
              Volts{read->value.high}, read->value.span,           {}};
        return read->value.known();
    };
    bool ok = true;
    if (!never_wanted) c.take("is");
    if (never_wanted) {
        if (!c.take("with") && !c.take("and"))
            return problem("text-statement-unfinished", c.span(), "Never together with what?",
                           "Type: never E1.main with E1.dip");
        if (!expected_thing(c, e.other, e.other_filament)) return;
        c.take("together");
        e.what = What::never_with;
    } else if (c.take("dim")) {
        e.what = What::dim;
    } else if (c.take("on") || c.take("lit") || c.take("bright")) {
        e.what = What::on;
    } else if (c.take("off")) {
        e.what = What::off;
    } else if (c.take_words("at least")) {
        ok = volts(e.low);
        e.what = What::at_least;
    } else if (c.take("between")) {
        ok = volts(e.low) && (c.take("and") || c.take("to")) && volts(e.high);
        e.what = What::between;
    } else if (const auto range = read_range(c, Unit::volts, out_.findings)) { // "5 V to 7 V"
        const auto volts_of = [](const Stated<double>& s) {
            return Stated<Volts>{s.how, Volts{s.nominal}, Volts{s.low}, Volts{s.high}, s.span, {}};
        };
        e.low = volts_of(range->first.value);
        e.high = volts_of(range->second.value);
        ok = range->first.value.known() && range->second.value.known();
        e.what = What::between;
    } else {
        problem("text-word-unknown", c.span(), "What is expected of " + c_.at(e.part).name + " is not understood.",
                "Type: on, dim, off, at least 12.8 V, or between 5 V and 7 V");
        ok = false;
    }
    c.take_mark(',');
    if (ok && (c.take("when") || c.take("if") || c.take("while") || (!never_wanted && c.take("with"))))
        ok = read_wish(c_, c, e.when, out_.findings);
    else if (ok && c.is("after") && c.has(1)) { // "after S1 off, from running"
        const std::uint32_t start = c.at;
        Cursor end = c;
        while (!end.done() && !(end.is_mark(',') && end.is("from", 1))) ++end.at;
        ++c.at;
        const Span positions{c.tree->source, c.span().begin, c.tree->tokens[end.at - 1].end};
        c.at = c.last;
        const Span whole = c.span_from(start);
        problem("text-word-unknown", whole, "How it came into a position needs no words: every way there is tried.",
                "Type: " + line_with(item, whole, "when " + std::string(sources_.text(positions))));
        ok = false;
    } else if (ok && !c.done()) {
        if (c.token().kind != TokenKind::stray)
            problem("text-word-unknown", c.span(),
                    "\"" + std::string(c.spelled()) + "\" is not known in an expectation.", example);
        ok = false;
    }
    if (!ok) e.what = What::not_understood;
    c_.expectations.push_back(std::move(e));
}

} // namespace loomproof
