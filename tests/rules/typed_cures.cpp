#include "rules/typed_cures.hpp"

#include "base/words.hpp"
#include "circuit/view.hpp"
#include "rules/phrases.hpp"

#include <algorithm>
#include <regex>
#include <stdexcept>
#include <vector>

#include <fmt/core.h>

namespace loomproof::cases {

namespace {

using rules::stamp_of;

/// A text with changes noted, carried out together.
class Pen {
  public:
    Pen(const support::Run& run, const std::string& text, const Finding& finding)
        : circuit_(run.reading.circuit), now_(View::now(circuit_)), text_(text), finding_(finding) {}

    /// The thing that the finding is about first of all; of a kind, where a cure names that.
    PartId subject(const std::string& kind = {}) const {
        for (const std::string& name : finding_.subjects)
            if (const auto p = part(name); p && (kind.empty() || called(circuit_, *p).starts_with(kind + " ")))
                return *p;
        for (const std::string& name : finding_.subjects) // a terminal of it
            if (const auto p = part(name.substr(0, name.find(':')))) return *p;
        throw std::runtime_error("no part among what the finding is about");
    }

    std::optional<PartId> part(const std::string& name) const {
        for (PartId p : now_.parts())
            if (name_of(circuit_, p) == name) return p;
        return std::nullopt;
    }

    TerminalId terminal(const std::string& words) const {
        for (PartId p : now_.parts())
            for (TerminalId t : circuit_.at(p).terminals)
                if (name_of(circuit_, t) == words) return t;
        throw std::runtime_error("no terminal " + words);
    }

    TerminalId terminal(PartId p, const std::string& stamp) const {
        for (TerminalId t : circuit_.at(p).terminals)
            if (circuit_.at(t).stamp == stamp || name_of(circuit_, t) == stamp) return t;
        throw std::runtime_error("no terminal " + stamp + " on " + name_of(circuit_, p));
    }

    /// Each way in which people name a wire.
    std::vector<std::string> names(WireId w) const {
        return {called(circuit_, w), described(circuit_, w), name_of(circuit_, w)};
    }

    WireId wire(const std::string& words) const {
        for (WireId w : now_.wires())
            for (const std::string& name : names(w))
                if (name == words || "the wire " + name == words) return w;
        throw std::runtime_error("no wire called " + words);
    }

    std::vector<WireId> wires_at(TerminalId t) const {
        const auto at = now_.wires_at(t);
        return {at.begin(), at.end()};
    }
    std::vector<WireId> wires_at(PartId p) const {
        std::vector<WireId> all;
        for (TerminalId t : circuit_.at(p).terminals)
            for (WireId w : wires_at(t)) all.push_back(w);
        return all;
    }

    /// Which end of a wire is meant by "K1:30", "30", "SP1", "F1".
    TerminalId end(WireId w, const std::string& words) const {
        for (TerminalId t : {circuit_.at(w).a, circuit_.at(w).b})
            if (name_of(circuit_, t) == words || stamp_of(circuit_, t) == words || end_of(circuit_, t) == words)
                return t;
        throw std::runtime_error(name_of(circuit_, w) + " has no end at " + words);
    }

    void replace(Span span, const std::string& by) {
        if (!span.exists() || span.source != 0) throw std::runtime_error("that stands in no line of this file");
        changes_.push_back({span, by});
    }
    void move(WireId w, TerminalId from, const std::string& to) {
        const Wire& wire = circuit_.at(w);
        replace(wire.a == from ? wire.a_span : wire.b_span, to);
    }
    /// Behind a statement: "keep alive".
    void behind(Span statement, const std::string& words) {
        replace({statement.source, statement.end, statement.end}, ", " + words);
    }
    void add(const std::string& line) { lines_ += line + "\n"; }
    /// Before the statement that makes a wire.
    void add_before(WireId w, const std::string& line) {
        const Span span = circuit_.at(w).span;
        replace({span.source, span.begin, span.begin}, line + "\n");
    }

    std::string done() const {
        std::vector<Change> changes = changes_;
        std::ranges::stable_sort(changes, [](const Change& a, const Change& b) { return a.span.begin > b.span.begin; });
        std::string text = text_;
        if (!text.ends_with('\n')) text += '\n';
        for (const Change& c : changes) text.replace(c.span.begin, c.span.end - c.span.begin, c.by);
        return text + lines_;
    }

    const Circuit& circuit() const { return circuit_; }
    const View& now() const { return now_; }
    const Finding& finding() const { return finding_; }
    std::string said(Span span) const { return text_.substr(span.begin, span.end - span.begin); }

  private:
    struct Change {
        Span span;
        std::string by;
    };
    const Circuit& circuit_;
    View now_;
    const std::string& text_;
    const Finding& finding_;
    std::vector<Change> changes_;
    std::string lines_;
};

/// The size of the thickest wire at a part, as typed.
std::string thickest_at(const Pen& pen, PartId p) {
    WireId best;
    for (WireId w : pen.wires_at(p))
        if (pen.circuit().at(w).area.known() &&
            (!best.exists() || pen.circuit().at(w).area.nominal > pen.circuit().at(best).area.nominal))
            best = w;
    return best.exists() ? pen.circuit().at(best).size : "2.5 mm2";
}

void exchange(Pen& pen, TerminalId one, TerminalId other) {
    for (WireId w : pen.wires_at(one)) pen.move(w, one, name_of(pen.circuit(), other));
    for (WireId w : pen.wires_at(other)) pen.move(w, other, name_of(pen.circuit(), one));
}

/// "the black wire W11 goes from 30 to 85 and the red wire W2 goes from 85 to 30", "the red wire W7 goes to 85, the black wire W8 to 86".
void exchange_named(Pen& pen, const std::string& words) {
    static const std::regex goes(R"((?: goe?s?(?: from \S+)?|^) to ([0-9A-Za-z+-]+))");
    const PartId p = pen.subject();
    std::size_t moved = 0;
    for (WireId w : pen.wires_at(p)) {
        std::size_t at = std::string::npos, length = 0;
        for (const std::string& name : pen.names(w))
            if (at == std::string::npos) {
                at = words.find(name);
                length = name.size();
            }
        if (at == std::string::npos) continue;
        const std::string rest = words.substr(at + length);
        std::smatch found;
        if (!std::regex_search(rest, found, goes)) throw std::runtime_error("where does it go: " + rest);
        const Wire& wire = pen.circuit().at(w);
        pen.move(w, pen.circuit().at(wire.a).part == p ? wire.a : wire.b,
                 name_of(pen.circuit(), pen.terminal(p, found[1])));
        ++moved;
    }
    if (moved < 2) throw std::runtime_error("fewer than two of these wires are at " + name_of(pen.circuit(), p));
}

/// A fuse put into a wire where it begins: the largest of the usual ones up to `most`.
void fuse_into(Pen& pen, WireId w, TerminalId at, double most) {
    static const double usual[] = {1,  2,  3,  4,  5,  7.5, 10,  15,  20,  25,  30, 35,
                                   40, 50, 60, 70, 80, 100, 120, 150, 200, 250, 300};
    double rating = 0;
    for (double r : usual)
        if (r <= most) rating = r;
    if (rating <= 0) throw std::runtime_error("no fuse is that small");
    const Wire& wire = pen.circuit().at(w);
    pen.add_before(w, fmt::format("fuse F99, {} A{}\nwire W99 from {} to F99, {}, 0.1 m", rating,
                                  rating > 80   ? ", bolted"
                                  : rating > 40 ? ", maxi"
                                                : "",
                                  name_of(pen.circuit(), at), wire.size));
    pen.move(w, at, "F99");
}

/// The figure of the clause that says what a part is made for.
void made_for(Pen& pen, PartId p, const std::string& figure) {
    static const std::regex amps("[0-9.]+ (?:A|W)");
    for (Attr key : {Attr::rating, Attr::make_rating, Attr::hole_rating, Attr::power, Attr::current})
        if (const Attribute* a = pen.now().find(p, key); a && a->span.exists()) {
            pen.replace(a->span, std::regex_replace(pen.said(a->span), amps, figure));
            return;
        }
    pen.behind(pen.circuit().at(p).span, figure);
}

std::string with_reason(std::string line) {
    if (const std::size_t at = line.find("\"...\""); at != std::string::npos) line.replace(at, 5, "\"tried\"");
    return line;
}

/// A cure of a sort that can be typed asks here for what cannot be.
struct NotTyped {};

using Words = std::smatch;

/// A sort of cure: how it is said, and what is typed then.
struct Sort {
    const char* name;
    std::regex said;
    bool ends_it;
    void (*type)(Pen&, const Words&);
};

const std::vector<Sort>& sorts() {
    static const std::vector<Sort> all = {
        {"fuse",
         std::regex(
             R"(^Put an? ([0-9.]+ A) fuse(?: of the (?:large|regular) size(?:, with a holder for it,)?)? in ([A-Za-z0-9_-]+)[.:;])"),
         false, [](Pen& pen, const Words& w) { made_for(pen, pen.part(w[2]).value(), w[1]); }},
        {"size",
         std::regex(
             R"(^Use ([0-9.]+ (?:mm2|awg|sae))(?: or thicker)? for (.+?)(, and see to the others likewise)?(?:: .*)?\.$)"),
         true,
         [](Pen& pen, const Words& w) {
             const WireId named = pen.wire(w[2]);
             const Circuit& c = pen.circuit();
             for (WireId wire : pen.now().wires())
                 if (wire == named || (w[3].matched && c.at(wire).size == c.at(named).size))
                     pen.replace(c.at(wire).size_span, w[1]);
         }},
        {"exchange named", std::regex(R"(^Exchange the wires: (.+)\.$)"), true,
         [](Pen& pen, const Words& w) { exchange_named(pen, w[1]); }},
        {"exchange at", std::regex(R"(^Exchange the wires (?:on|at) (\S+) and ([^\s.:]+(?::[^\s.:]+)?)[.:].*$)"), true,
         [](Pen& pen, const Words& w) {
             const bool whole = w[1].str().find(':') != std::string::npos;
             const auto at = [&](const std::string& end) {
                 return whole ? pen.terminal(end) : pen.terminal(pen.subject(), end);
             };
             exchange(pen, at(w[1]), at(w[2]));
         }},
        {"exchange its two",
         std::regex(R"(^Exchange its two wires: what is on (\S+) goes to (\S+), and the other way round\.$)"), true,
         [](Pen& pen, const Words& w) {
             const PartId p = pen.subject();
             exchange(pen, pen.terminal(p, w[1]), pen.terminal(p, w[2]));
         }},
        {"exchange two", std::regex(R"(^Exchange (.+?) and (.+?) at ([A-Z0-9]+)[.,:].*$)"), true,
         [](Pen& pen, const Words& w) {
             const PartId p = pen.part(w[3]).value();
             const WireId one = pen.wire(w[1]), other = pen.wire(w[2]);
             const auto end = [&](WireId wire) {
                 const Wire& at = pen.circuit().at(wire);
                 if (pen.circuit().at(at.a).part == p) return at.a;
                 if (pen.circuit().at(at.b).part == p) return at.b;
                 throw std::runtime_error("not at " + name_of(pen.circuit(), p));
             };
             pen.move(one, end(one), name_of(pen.circuit(), end(other)));
             pen.move(other, end(other), name_of(pen.circuit(), end(one)));
         }},
        {"turn round", std::regex(R"(^Turn ([A-Z]+[0-9]+) round[.:].*$)"), true,
         [](Pen& pen, const Words& w) {
             const Part& p = pen.circuit().at(pen.part(w[1]).value());
             exchange(pen, p.terminals.at(0), p.terminals.at(1));
         }},
        {"off and onto",
         std::regex(R"(^Take (.+?) off (?:at )?(\S+) and put (?:it|that end) on (ground|[A-Z]+[0-9]+:?\w*)[.,].*$)"),
         true,
         [](Pen& pen, const Words& w) {
             const WireId wire = pen.wire(w[1]);
             pen.move(wire, pen.end(wire, w[2]), w[3]);
         }},
        {"move onto", std::regex(R"(^Move (the .+|W[0-9]+) off (\S+), onto (\S+?)\.$)"), true,
         [](Pen& pen, const Words& w) {
             const WireId wire = pen.wire(w[1]);
             const TerminalId from = pen.end(wire, w[2]);
             pen.move(wire, from, name_of(pen.circuit(), pen.terminal(pen.circuit().at(from).part, w[3])));
         }},
        {"put on ground", std::regex(R"(^Put (\S+) on ground(?: by a wire of its own)?\.$)"), true,
         [](Pen& pen, const Words& w) {
             const std::string words = w[1];
             const TerminalId t =
                 words.find(':') != std::string::npos ? pen.terminal(words) : pen.terminal(pen.subject(), words);
             for (WireId wire : pen.wires_at(t)) pen.move(wire, pen.circuit().at(wire).other(t), "ground");
             if (pen.wires_at(t).empty()) pen.add(fmt::format("wire from {} to ground, 1.5 mm2 black, 0.3 m", words));
         }},
        {"run to ground",
         std::regex(
             R"(^Run a wire from (\S+) to ground(?:, as thick as its feed| that carries all of them)?(, and let go of the screen at that end)?[.:].*$)"),
         true,
         [](Pen& pen, const Words& w) {
             const TerminalId t = pen.terminal(w[1]);
             for (WireId wire : pen.wires_at(t))
                 if (w[2].matched && pen.circuit().at(wire).screen) pen.move(wire, t, "nothing");
             pen.add(fmt::format("wire from {} to ground, {} black, 0.3 m", w[1].str(),
                                 thickest_at(pen, pen.circuit().at(t).part)));
         }},
        {"take off", std::regex(R"(^Take ((?:the .+|W[0-9]+).*?) off(?: at \S+?)?(?:\.|: .*)$)"), true,
         [](Pen& pen, const Words& w) {
             std::string words = w[1];
             if (words[0] == 'W' && words.find(", ") != std::string::npos) words.erase(words.find(", "));
             Span span = pen.circuit().at(pen.wire(words)).span;
             pen.replace(span, "");
         }},
        {"line",
         std::regex(R"(^.*(?:: |say so with |write |type )((?:wire from|cap|remove|accept|still to wire:) .+?)\.?$)"),
         true, [](Pen& pen, const Words& w) { pen.add(with_reason(w[1])); }},
        {"expect", std::regex(R"(^If it is meant to run(?: on| then), say so: (expect .+)$)"), true,
         [](Pen& pen, const Words& w) { pen.add(w[1]); }},
        {"type behind", std::regex("^.*(?:type|write) \"([^\"]+)\" behind (?:it|them)\\b.*$"), true,
         [](Pen& pen, const Words& w) { pen.behind(pen.circuit().at(pen.subject()).span, w[1]); }},
        {"take out of", std::regex("^.*take \"([^\"]+)\" out of the line of ([A-Z0-9]+)\\.$"), true,
         [](Pen& pen, const Words& w) {
             const Span line = pen.circuit().at(pen.part(w[2]).value()).span;
             const std::string clause = ", " + w[1].str();
             const std::size_t at = pen.said(line).find(clause);
             if (at == std::string::npos) throw std::runtime_error("it does not say " + clause);
             const auto begin = static_cast<std::uint32_t>(line.begin + at);
             pen.replace({line.source, begin, static_cast<std::uint32_t>(begin + clause.size())}, "");
         }},
        {"move the fuse", std::regex(R"(^Move ([A-Z]+[0-9]+) to within ([0-9.]+) m of (\S+?)\.$)"), true,
         [](Pen& pen, const Words& w) {
             const PartId fuse = pen.part(w[1]).value();
             const TerminalId post = pen.terminal(w[3]);
             for (WireId wire : pen.wires_at(post))
                 if (pen.circuit().at(pen.circuit().at(wire).other(post)).part == fuse) {
                     const Span span = pen.circuit().at(wire).span;
                     static const std::regex length(R"((?:about |measured )?(?:[0-9.]+|unknown) (?:m|cm|in|ft)\b)");
                     pen.replace(span, std::regex_replace(pen.said(span), length, "0.15 m"));
                     return;
                 }
             throw std::runtime_error("no single wire between the two");
         }},
        {"fit a fuse",
         std::regex(
             R"(^Fit a fuse within [0-9.]+ m of (\S+), at most ([0-9.]+) A for (.+?)(?: and more than the .+)?\.$)"),
         true,
         [](Pen& pen, const Words& w) {
             const TerminalId post = pen.terminal(w[1]);
             WireId first;
             for (const std::string& name : pen.finding().subjects)
                 for (WireId wire : pen.wires_at(post))
                     if (rules::subject_of(pen.circuit(), wire) == name) first = wire;
             const std::vector<WireId> there = pen.wires_at(post);
             if (!first.exists() && there.size() == 1) first = there.front();
             if (!first.exists()) throw NotTyped{}; // several begin there, and none of them is the one that it is about
             if (pen.circuit().at(first).cut_from.exists()) throw NotTyped{};
             fuse_into(pen, first, post, std::stod(w[2]));
         }},
        {"a fuse of its own",
         std::regex(R"(^Give (?:it|(the .+|W[0-9]+)) a fuse of its own, ([0-9.]+) A or less, where it begins\.$)"),
         true,
         [](Pen& pen, const Words& w) {
             const WireId wire = pen.wire(w[1].matched ? w[1].str() : pen.finding().subjects.front());
             fuse_into(pen, wire, pen.circuit().at(wire).a, std::stod(w[2]));
         }},
        {"made for",
         std::regex(
             R"(^Fit (?:a|an|one)(?: (shunt|relay|switch|outlet)| plug whose holes are| made)?(?: made)? for ([0-9.]+ [AW]) or more(?:\.|, (?:with studs|or let|where).*)$)"),
         true, [](Pen& pen, const Words& w) { made_for(pen, pen.subject(w[1]), w[2]); }},
        {"diode into",
         std::regex(R"(^Put a diode for ([0-9.]+) A or more into (.+), with its band towards (\S+?): it lets.*$)"),
         true,
         [](Pen& pen, const Words& w) {
             const WireId wire = pen.wire(w[2]);
             const Wire& at = pen.circuit().at(wire);
             const TerminalId to = pen.end(wire, w[3]);
             pen.add_before(wire,
                            fmt::format("diode V99, band on 2, one-way, {} A\nwire W99 from V99:2 to {}, {}, 0.1 m",
                                        w[1].str(), name_of(pen.circuit(), to), at.size));
             pen.move(wire, to, "V99:1");
         }},
    };
    return all;
}

} // namespace

std::optional<Typed> typed(const support::Run& run, const std::string& text, const Finding& finding,
                           const std::string& cure) {
    for (const Sort& sort : sorts()) {
        Words found;
        if (!std::regex_search(cure, found, sort.said)) continue;
        Pen pen(run, text, finding);
        try {
            sort.type(pen, found);
        } catch (NotTyped) { return std::nullopt; }
        return Typed{pen.done(), sort.name, sort.ends_it};
    }
    return std::nullopt;
}

std::vector<std::string> sorts_of_cures() {
    std::vector<std::string> names;
    for (const Sort& sort : sorts()) names.emplace_back(sort.name);
    return names;
}

} // namespace loomproof::cases
