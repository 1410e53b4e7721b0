/// What the writer expects of the circuit.

#include "circuit/figures.hpp"
#include "circuit/reader.hpp"
#include "circuit/view.hpp"
#include "circuit/wish_reader.hpp"

#include "base/number.hpp"

#include <cmath>

namespace loomproof {

namespace {

constexpr const char* example = "Type: expect M2 on when S1 run";

} // namespace

/// "M2", "E1.main", "E1:main", "Z1"; "X3:2", a point at which volts are expected.
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
    if (end.empty() && c.is_mark(':') && c.has(1)) { // "M2:+" too
        ++c.at;
        end = c.take_stamp();
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
    if (const auto at = find_terminal(part, end)) return filament = *at, true;
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
    // "expect 12.4 V at X3:2 when S1 on": the figure first.
    Cursor figure_at = c;
    bool figure_first = false;
    if (!never_wanted &&
        (looks_like_figure(c) || c.is("between") || (c.is("at") && (c.is("least", 1) || c.is("most", 1))))) {
        Cursor end = c;
        while (!end.done() && !(end.is("at") && !end.is("least", 1) && !end.is("most", 1)) && !end.is("across") &&
               !end.is("on"))
            ++end.at;
        if (!end.done()) {
            figure_first = true;
            figure_at.last = end.at;
            c.at = end.at + 1;
        }
    }
    if (!expected_thing(c, e.part, e.filament)) return;
    const std::string thing = e.filament.exists() ? name_of(c_, e.filament) : c_.at(e.part).name;
    const auto volts = [&](Stated<Volts>& to) {
        Cursor& from = figure_first ? figure_at : c;
        const std::size_t before = out_.findings.size();
        const auto read = read_figure(from, Unit::volts, out_.findings);
        if (!read && out_.findings.size() > before) return false;
        if (!read) {
            std::vector<Finding> none;
            Cursor as_amps = from, as_ohms = from;
            if (read_figure(as_amps, Unit::amps, none) || read_figure(as_ohms, Unit::ohms, none))
                return problem(
                           "text-word-unknown", from.span(), "An expect line is judged by volts, not by amps or ohms.",
                           "Type volts: expect " + thing + " at least 12 V. Amps are shown by: loomproof predict FILE"),
                       false;
            return problem("text-statement-unfinished", from.span(), "Volts are expected here.",
                           "Type: expect " + thing + " at least 12.8 V"),
                   false;
        }
        to = {read->value.how,         Volts{read->value.nominal}, Volts{read->value.low},
              Volts{read->value.high}, read->value.span,           {}};
        return read->value.known();
    };
    bool ok = true;
    Cursor& said = figure_first ? figure_at : c; // where what is expected stands
    if (!never_wanted && !figure_first) {
        if (c.take("should") || c.take("shall") || c.take("must") || c.take("to")) {
            c.take("to");
            c.take("be");
            c.take("get");
            c.take("have");
        } else {
            (void)(c.take("is") || c.take("gets") || c.take("has") || c.take("be"));
        }
    }
    if (never_wanted) {
        if (!c.take("with") && !c.take("and"))
            return problem("text-statement-unfinished", c.span(), "Never together with what?",
                           "Type: never E1.main with E1.dip");
        if (!expected_thing(c, e.other, e.other_filament)) return;
        c.take("together");
        e.what = What::never_with;
    } else if (said.take("dim") || said.take("glows") || said.take("glowing")) {
        e.what = What::dim;
    } else if (said.take_words("pulled in") || said.take("on") || said.take("lit") || said.take("bright") ||
               said.take("running") || said.take("runs") || said.take("turning") || said.take("turns") ||
               said.take("sounds") || said.take("working") || said.take("works") || said.take("lights")) {
        e.what = What::on;
    } else if (said.take("off") || said.take("dark") || said.take("out") || said.take_words("let go") ||
               said.take("released") || said.take("stopped")) {
        e.what = What::off;
    } else if (said.take_words("at least") || said.take_words("more than") || said.take("above") || said.take("over")) {
        ok = volts(e.low);
        e.what = What::at_least;
    } else if (said.take_words("at most") || said.take_words("less than") || said.take("below") || said.take("under") ||
               said.take_words("no more than")) {
        e.low = {Knowledge::given, Volts{0}, Volts{0}, Volts{0}, {}, {}};
        ok = volts(e.high);
        e.what = What::between;
    } else if (said.take("between")) {
        ok = volts(e.low) && (said.take("and") || said.take("to")) && volts(e.high);
        e.what = What::between;
    } else if (const auto range = read_range(said, Unit::volts, out_.findings)) { // "5 V to 7 V"
        const auto volts_of = [](const Stated<double>& s) {
            return Stated<Volts>{s.how, Volts{s.nominal}, Volts{s.low}, Volts{s.high}, s.span, {}};
        };
        e.low = volts_of(range->first.value);
        e.high = volts_of(range->second.value);
        ok = range->first.value.known() && range->second.value.known();
        e.what = What::between;
    } else if (Stated<Volts> exact; looks_like_figure(said)) {
        const Span figure = said.span();
        ok = volts(exact);
        if (ok && exact.low < exact.high) { // "about 12 V"
            e.low = e.high = exact;
            e.low.nominal = exact.low;
            e.high.nominal = exact.high;
            e.what = What::between;
        } else if (ok) { // no meter shows it to the last digit
            const auto to_one_decimal = [](double v) { return text(Volts{std::round(v * 10) / 10}); };
            const std::string low = to_one_decimal(exact.nominal.si * 0.97),
                              high = to_one_decimal(exact.nominal.si * 1.03);
            problem("text-unclear-figure", figure,
                    "No reading is exactly " + text(exact.nominal) + ": say how far off it may be.",
                    "Type: expect " + thing + " between " + low + " and " + high + ", or: at least " + low);
            ok = false;
        }
    } else {
        problem("text-word-unknown", said.span(), "What is expected of " + thing + " is not understood.",
                "Type: on, dim, off, at least 12.8 V, or between 5 V and 7 V");
        ok = false;
    }
    const auto is_point = [&](TerminalId t) { return t.exists() && c_.at(t).role != Role::filament; };
    const bool of_volts = e.what == What::at_least || e.what == What::between;
    if (ok && !of_volts && (is_point(e.filament) || is_point(e.other_filament))) {
        const bool first = is_point(e.filament);
        const std::string point = name_of(c_, first ? e.filament : e.other_filament);
        problem("text-word-unknown", e.span, point + " is a point: what is on or off is a part.",
                "Name the part: " + c_.at(first ? e.part : e.other).name + ". Or say volts: expect " + point +
                    " at least 12 V");
        ok = false;
    }
    if (figure_first && ok && !said.done()) {
        problem("text-word-unknown", said.span(),
                "\"" + std::string(said.spelled()) + "\" is not known in an expectation.", example);
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
