#include "report/predict_text.hpp"

#include "base/number.hpp"
#include "report/columns.hpp"
#include "report/page.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace loomproof::report {

namespace {

using solve::Doing;

constexpr std::size_t most_told = 5;
constexpr double worth_telling = 0.3; // volts

/// As a meter shows it: "13.6", "0.10", "-12.6".
std::string meter(double volts) {
    if (std::abs(volts) < 0.005) return "0.00";
    return std::abs(volts) < 0.995 ? fmt::format("{:.2f}", volts) : fmt::format("{:.1f}", volts);
}

std::string amount(double amps) {
    if (std::abs(amps) < 0.0005) return "0";
    return figure(amps);
}

const char* lamp_word(Doing d) { return d == Doing::on ? "bright" : d == Doing::dim ? "dim" : "out"; }

std::string padded(std::string text, std::size_t width, bool right = false) {
    const std::size_t has = columns(text);
    const std::string blanks(has < width ? width - has : 0, ' ');
    return right ? blanks + text : text + blanks;
}

/// Rows of cells set under each other; columns marked `right` end under each other.
class Table {
  public:
    explicit Table(std::vector<bool> right) : right_(std::move(right)) {}
    void row(std::vector<std::string> cells) {
        for (std::string& c : cells) c = printable(c);
        rows_.push_back(std::move(cells));
    }
    std::string text(const std::string& indent) const {
        std::vector<std::size_t> width(right_.size(), 0);
        for (const auto& r : rows_)
            for (std::size_t i = 0; i < r.size(); ++i) width[i] = std::max(width[i], columns(r[i]));
        std::string out;
        for (const auto& r : rows_) {
            std::string line = indent;
            for (std::size_t i = 0; i < r.size(); ++i) line += (i == 0 ? "" : "  ") + padded(r[i], width[i], right_[i]);
            while (!line.empty() && line.back() == ' ') line.pop_back();
            out += line + "\n";
        }
        return out;
    }

  private:
    std::vector<bool> right_;
    std::vector<std::vector<std::string>> rows_;
};

std::string place_of_terminal(const Circuit& c, TerminalId t) {
    const Part& part = c.part_of(t);
    if (part.place.exists()) return c.at(part.place).name;
    return part.kind == Kind::ground ? part.label : std::string{};
}

/// "red/green, to X7:1"
std::string leads(const View& view, const solve::Prediction& p, const solve::Reading& r) {
    const Circuit& c = view.circuit();
    if (!r.wire.exists()) return {};
    const Wire& w = c.at(r.wire);
    const std::string colour = colour_words(w.colours);
    const auto& amps = p.point.wire_amps[r.wire.index];
    const double leaving = !amps ? 0 : w.a == r.terminal ? amps->si : -amps->si;
    const char* way = std::abs(leaving) < 0.0005 ? "" : leaving > 0 ? "to " : "from ";
    return colour + (colour.empty() ? "" : ", ") + way + name_of(c, w.other(r.terminal));
}

/// "W72", "K1 contact", "X7", "GND2", "fuse F20"
std::string called_briefly(const Circuit& c, EdgeRef e) {
    if (e.is_wire()) {
        const Wire& w = c.at(e.wire);
        return w.named ? name_of(c, e.wire) : "the wire from " + name_of(c, w.a) + " to " + name_of(c, w.b);
    }
    const Primitive& p = c.at(e.primitive);
    const std::string name = name_of(c, p.part);
    switch (p.element) {
    case Element::contact: return name + " contact";
    case Element::joint: return p.purpose == Purpose::mounting && c.at(p.part).kind != Kind::ground ? name + " to its metal" : name;
    default: return name;
    }
}

/// "W72 0.31, X7 0.10": what takes at least a hundredth of a volt, what is called the same together, in the order of the way.
std::string shares(const Circuit& c, const std::vector<solve::Share>& way) {
    std::vector<std::pair<std::string, double>> all;
    for (const solve::Share& s : way) {
        const std::string name = called_briefly(c, s.what);
        const auto known = std::ranges::find(all, name, &std::pair<std::string, double>::first);
        if (known == all.end())
            all.emplace_back(name, s.volts.si);
        else
            known->second += s.volts.si;
    }
    std::string out;
    for (const auto& [name, volts] : all)
        if (volts >= 0.005) out += (out.empty() ? "" : ", ") + name + " " + fmt::format("{:.2f}", volts);
    return out;
}

double sum(const std::vector<solve::Share>& way) {
    double volts = 0;
    for (const solve::Share& s : way) volts += s.volts.si;
    return volts;
}

std::string lost_text(const Circuit& c, const solve::Lost& l, const Screen& screen) {
    const Primitive& load = c.at(l.load);
    const double feed = sum(l.feed), ground = l.at_source.si - l.at_load.si - feed;
    const std::string filament = c.at(load.a).role == Role::filament ? ":" + c.at(load.a).stamp : "";
    std::string line = name_of(c, load.part) + filament + (load.purpose == Purpose::coil ? " coil" : "") + " gets " + meter(l.at_load.si) + " of " +
                       meter(l.at_source.si) + " V. " + fmt::format("Lost on the way to it {:.2f}", feed);
    if (const std::string where = shares(c, l.feed); !where.empty()) line += " (" + where + ")";
    line += fmt::format(", on the ground side {:.2f}", ground);
    if (const std::string where = shares(c, l.ground); !where.empty()) line += " (" + where + ")";
    return paragraph(screen, line + ".");
}

std::string head(const Circuit& c, const solve::Arrived& arrived, const solve::Conditions& conditions) {
    return "with " + solve::said(c, arrived.positions) + ", engine " + (conditions.engine_running ? "running" : "stopped");
}

std::string notes(const solve::Arrived& arrived, bool settled, const Screen& screen) {
    std::string out;
    for (const std::string& n : arrived.notes) out += paragraph(screen, n);
    if (!arrived.settled) out += paragraph(screen, "Nothing stays as shown: the figures hold for one moment of it.");
    if (!settled) out += paragraph(screen, "The figures could not be worked out exactly: do not rely on them.");
    return out;
}

std::string hangs_on(const Circuit& c, const std::vector<solve::NotKnown>& not_known, const Screen& screen) {
    std::vector<std::string> all;
    for (const solve::NotKnown& n : not_known) {
        const std::string name = n.wire.exists() ? name_of(c, n.wire) : name_of(c, n.part);
        all.push_back((n.what == "what it takes" ? "what " + name + " takes" : "the " + n.what + " of " + name) + " (" + n.taken + " taken)");
    }
    if (all.empty()) return {};
    return paragraph(screen, "Nobody said: " + list_of(all) + ". The figures hang on it.");
}

} // namespace

std::string predict_text(const View& view, const solve::Prediction& p, const Screen& screen, const PredictOptions& options) {
    const Circuit& c = view.circuit();
    const auto wanted = [&](PartId part) { return options.only.empty() || std::ranges::find(options.only, part) != options.only.end(); };
    // By place in the order in which places come up; what lies nowhere in particular comes first.
    std::vector<std::string> places{""};
    for (const solve::Reading& r : p.readings)
        if (const std::string place = place_of_terminal(c, r.terminal); std::ranges::find(places, place) == places.end()) places.push_back(place);
    Table table({false, false, false, true, false, true});
    table.row({"", "", "", "volts", "lamp", "amps"});
    for (const std::string& place : places) {
        bool first = true;
        for (const solve::Reading& r : p.readings) {
            if (place_of_terminal(c, r.terminal) != place || !wanted(c.at(r.terminal).part)) continue;
            table.row({first ? place : "", name_of(c, r.terminal), leads(view, p, r), r.volts ? meter(r.volts->si) : "floats", lamp_word(r.lamp), r.amps ? amount(r.amps->si) : "?"});
            first = false;
        }
    }
    std::string out = paragraph(screen, head(c, p.arrived, p.conditions)) + notes(p.arrived, p.point.settled, screen) + table.text("  ");
    const auto loss = [](const solve::Lost* l) { return l->at_source.si - l->at_load.si; };
    std::vector<const solve::Lost*> lost;
    for (const solve::Lost& l : p.lost)
        if (wanted(c.at(l.load).part)) lost.push_back(&l);
    std::ranges::stable_sort(lost, [&](const auto* a, const auto* b) { return loss(a) > loss(b); });
    std::size_t told = 0;
    for (const solve::Lost* l : lost) {
        if (options.only.empty() && (told == most_told || loss(l) < worth_telling)) break;
        out += lost_text(c, *l, screen);
        ++told;
    }
    if (told < lost.size())
        out += paragraph(screen, fmt::format("{} more {} less.", lost.size() - told, lost.size() - told == 1 ? "load loses" : "loads lose"));
    out += hangs_on(c, p.not_known, screen);
    out += paragraph(screen, "Calculated for sound wires and joints: where a meter shows something else, look there. Measure with fused leads, and keep clear of fans and belts.");
    return out;
}

std::string trace_text(const View& view, const solve::Trace& t, TerminalId from, TerminalId to, const Screen& screen) {
    const Circuit& c = view.circuit();
    std::string out = paragraph(screen, name_of(c, from) + " to " + name_of(c, to) + ", " + head(c, t.arrived, t.conditions)) + notes(t.arrived, true, screen);
    if (t.steps.empty()) return out + paragraph(screen, "Nothing leads from one to the other.");
    Table table({false, true, true, true});
    table.row({"", "volts", "lost", "amps"});
    std::optional<Volts> lost = Volts{0};
    for (const solve::TraceStep& s : t.steps) {
        if (s.over.exists()) {
            std::string what = "  " + called_briefly(c, s.over);
            if (s.over.is_wire()) {
                const Wire& w = c.at(s.over.wire);
                for (const std::string& more : {colour_words(w.colours), w.size, w.length.known() ? text(w.length.nominal) : std::string{}})
                    if (!more.empty()) what += ", " + more;
            }
            lost = lost && s.drop ? std::optional(*lost + *s.drop) : std::nullopt;
            table.row({what, "", s.open ? "open" : s.drop ? meter(s.drop->si) : "", s.open ? "" : s.amps ? amount(s.amps->si) : "?"});
        }
        table.row({name_of(c, s.at), s.volts ? meter(s.volts->si) : "floats", "", ""});
    }
    out += table.text("  ");
    if (t.broken)
        out += paragraph(screen, "The way is open with the switches so: nothing flows over it.");
    else if (lost)
        out += paragraph(screen, (t.over_load ? "Between the two lie " : "Lost on the way: ") + meter(lost->si) + " V.");
    return out + hangs_on(c, t.not_known, screen);
}

} // namespace loomproof::report
