#include "report/size_text.hpp"

#include "base/number.hpp"
#include "reference/bundles.hpp"
#include "report/page.hpp"

#include <cmath>
#include <vector>

#include <fmt/core.h>

namespace loomproof::report {

namespace {

/// Volts to two digits: more would promise what no length along a loom keeps.
std::string about(Volts v) {
    if (!(v.si > 0)) return text(v);
    const double step = std::pow(10.0, std::floor(std::log10(v.si)) - 1);
    return text(Volts{std::round(v.si / step) * step});
}

std::string sentence_start(std::string words) {
    if (!words.empty() && words.front() >= 'a' && words.front() <= 'z')
        words.front() = static_cast<char>(words.front() - 'a' + 'A');
    return words;
}

using sizing::Answer;
using sizing::Asked;
using sizing::Way;
using sizing::Wire;

std::string opening(const Asked& a) {
    std::string out = a.load.empty() ? "" : sentence_start(a.load) + ": ";
    if (a.count > 1) {
        const double n = a.count;
        const std::string each = a.watts ? text(*a.watts * (1 / n)) : text(a.amps * (1 / n));
        out += fmt::format("{} x {} are {} together. ", a.count, each, a.watts ? text(*a.watts) : text(a.amps));
    }
    if (a.watts)
        out += fmt::format("{} at {} take {}: {} / {}.", text(*a.watts), text(a.volts), text(a.amps), text(*a.watts),
                           text(a.volts));
    else
        out += fmt::format("{} at {}.", text(a.amps), text(a.volts));
    switch (a.way) {
    case Way::distance:
        return out + fmt::format(" {} one way: the current also comes back, so {} of copper count.", text(a.length),
                                 text(a.copper()));
    case Way::all_in_all: return out + fmt::format(" {} of wire all in all, out and back together.", text(a.length));
    case Way::body_back:
        return out + fmt::format(" {} of wire; the way back is the body, which is not counted. A bad body strap loses "
                                 "more than any wire.",
                                 text(a.length));
    }
    return out;
}

std::string sizes(const Answer& a) {
    std::vector<std::string> names;
    for (const auto* w : {&a.metric, &a.awg})
        if (*w) names.push_back(reference::spelled((*w)->size));
    return names.empty() ? "no single wire does: split the load, or shorten the way" : list_of(names, "or");
}

std::string fuse_line(const Answer& a) {
    const std::string where =
        ", within 0.18 m of the battery's post (33 CFR 183.455, written for boats), or 1 m if the lead is sleeved";
    if (a.fuse) return fmt::format("{} {}{}", text(a.fuse->rating.rating), reference::word(a.fuse->style), where);
    return fmt::format("a bolted fuse or breaker above {}; its ratings follow no common list, and it must not be rated "
                       "above what the wire carries",
                       text(a.need.amps)) +
           where;
}

std::string why_fuse(const Answer& a) {
    if (!a.fuse) return {};
    const Amps rating = a.fuse->rating.rating;
    std::string out = fmt::format("{} are {:.0f} % of {}. For long a plug-in fuse is loaded to 80 % (common practice)",
                                  text(a.need.amps), a.need.amps / rating * 100, text(rating));
    if (a.fuse->share < sizing::fuse_habit * 0.999)
        out += fmt::format(", and to {:.0f} % at {} ({})", a.fuse->share * 100, text(a.need.place),
                           reference::cite(reference::ambient_share(a.fuse->style, rating, a.need.place)->source));
    return out + ". A motor or lamp that starts hard may need the next larger one: then the wire must carry that one.";
}

/// What was not said and was taken, in one sentence.
std::string assumed_in_short(const Asked& a) {
    std::vector<std::string> out;
    if (a.volts_assumed) out.emplace_back("12 V at the load");
    if (a.place_assumed && a.place_name.empty())
        out.emplace_back("30 degC around the wire (in an engine bay say so: in engine-bay)");
    if (a.insulation == reference::default_insulation_class) out.emplace_back("insulation for 105 degC");
    if (a.way == Way::distance) out.emplace_back("a wire back as long as the one out");
    return out.empty() ? "" : list_of(out);
}

std::string size_label(const Wire& w) { return reference::spelled(w.size); }

/// The next thinner one, where the loss decided.
std::string thinner(const Wire& w, const Answer& a) {
    if (!w.for_loss) return {};
    std::optional<Wire> below;
    for (const auto& size : reference::wire_sizes(w.size.system)) {
        if (size.name == w.size.name) break;
        if (!reference::is_sold(size)) continue;
        if (auto other = sizing::weighed(size, a.need)) below = other;
    }
    if (!below) return {};
    return fmt::format(" {} would carry it too, but lose {}.", reference::spelled(below->size), about(below->lost));
}

} // namespace

std::string arithmetic(const Wire& w, const sizing::Need& need) {
    const double warmer = reference::at_temperature(w.size.resistance_20c, w.warm) / w.size.resistance_20c;
    std::string out = reference::sentence(w.carrying);
    out += fmt::format(" {} mohm/m at 20 degC ({}) x {} for copper at {} x {} x {} = {} lost.",
                       figure(w.size.resistance_20c.si * 1e3), reference::cite(w.size.source), figure(warmer),
                       text(Celsius{static_cast<double>(static_cast<int>(w.warm.degrees + 0.5))}), text(need.copper),
                       text(need.amps), about(w.lost));
    return out;
}

bool other_table_differs(const Wire& w, Amps steady) {
    const auto row = reference::bundle_row_for(w.size.copper);
    return row && row->amps_105c < steady.si * 0.98; // as printed, both would read the same
}

std::string other_table(const Wire& w, Amps steady) {
    const auto row = reference::bundle_row_for(w.size.copper);
    if (!row) return {};
    const bool enough = !other_table_differs(w, steady);
    std::string out =
        fmt::format("in a thick bundle at 70 degC, {} carries {} A only ({})", std::string(row->awg) + " AWG",
                    figure(row->amps_105c), reference::cite(reference::bundle_source()));
    return out + (enough ? "; still enough here."
                         : fmt::format("; that is less than {}: lay this wire by itself or in a small bundle.",
                                       text(steady)));
}

std::string size_text(const Asked& a, const Answer& answer, const Screen& screen, bool all) {
    std::string out = paragraph(screen, opening(a)) + '\n';
    const auto say = [&](std::string_view label, std::string_view words) { out += labelled(screen, label, words); };
    say("wire", sizes(answer));
    if (a.count > 1)
        say("", fmt::format("one wire and fuse for all of them, up to where it divides{}",
                            a.each_assumed ? fmt::format("; where {} is what they take together, leave the count out",
                                                         a.watts ? text(*a.watts * (1.0 / a.count))
                                                                 : text(a.amps * (1.0 / a.count)))
                                           : ""));
    say("fuse", fuse_line(answer));
    if (a.starts_hard)
        say("start",
            "a motor takes several times as much while it starts: its fuse may have to be the next larger one, and "
            "the wire one that carries that fuse (common practice, no source)");
    std::vector<std::string> lost;
    for (const auto* w : {&answer.metric, &answer.awg})
        if (*w) lost.push_back(fmt::format("{} with {}", about((*w)->lost), size_label(**w)));
    const std::string why_allowed =
        !a.allowed_assumed
            ? "as you say"
            : fmt::format("for the wires{}, of the {} that may be lost in all between battery and load, out and back",
                          a.volts.si < 9 ? ": half of what is usual at 12 V"
                                         : ", FAA AC 43.13-1B table 11-6, written for aircraft",
                          text(sizing::allowed_at_12_v * (a.allowed.si / sizing::usual_loss(Volts{12}).si)));
    if (!lost.empty()) say("loses", fmt::format("{}; allowed {} ({})", list_of(lost), text(a.allowed), why_allowed));

    const std::string last = paragraph(
        screen,
        "Loomproof advises, it does not certify. Battery off (grounded post first) before you touch the wiring.");
    if (!all) {
        std::string before;
        for (const auto* w : {&answer.metric, &answer.awg})
            if (*w && other_table_differs(**w, a.amps))
                if (const std::string words = other_table(**w, a.amps); words != before)
                    say("but", sentence_start(before = words));
        say("assumed", assumed_in_short(a));
        return out + '\n' + paragraph(screen, "How it comes about, and where tables disagree: the same with --all.") +
               last;
    }

    out += "\nHow it comes about\n";
    say("fuse", why_fuse(answer));
    for (const auto* w : {&answer.metric, &answer.awg})
        if (*w) {
            std::string words = arithmetic(**w, answer.need) + thinner(**w, answer);
            if (answer.fuse)
                words += fmt::format(" It carries {} times what the fuse is rated at, so the fuse opens first.",
                                     figure((*w)->carrying.amps / answer.fuse->rating.rating, 2));
            say(size_label(**w), words);
        }

    std::string disagree;
    std::string before_it; // both wires may stand in one row of that table
    for (const auto* w : {&answer.metric, &answer.awg})
        if (*w)
            if (const std::string words = other_table(**w, a.amps); !words.empty() && words != before_it) {
                disagree += labelled(screen, "", sentence_start(words));
                before_it = words;
            }
    if (!disagree.empty()) out += "\nWhere published tables disagree\n" + disagree;

    out += "\nI assumed\n";
    std::size_t before = out.size();
    if (a.volts_assumed) say("", "12 V at the load. To change: at 13.8 V");
    if (a.place_assumed && a.place_name.empty())
        say("", "30 degC around the wire, as the table does. To change: in engine-bay, or 60 degC");
    if (!a.place_name.empty())
        say("", fmt::format("{} in the {} (common practice). To change: 85 degC", text(a.place), a.place_name));
    if (a.insulation == reference::default_insulation_class)
        say("", "insulation good for 105 degC, thin-wall PVC or better. To change: PVC 85 degC, GXL ...");
    if (a.way == Way::distance)
        say("", "a wire back as long as the one out. To change: round trip (all wire together), or body return");
    if (out.size() == before) out.resize(before - std::string("\nI assumed\n").size());
    return out + '\n' + last;
}

} // namespace loomproof::report
