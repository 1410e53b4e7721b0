#include "base/number.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <charconv>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule link_too_large; // rule_list.hpp lists it

namespace {

/// Four gauge numbers are a factor of 92^(12/39) in area, 0.40 to 0.42 in the tables' own areas.
constexpr double largest_share = 0.42;
constexpr int gauge_numbers = 4;

/// "16 sae" as a number on that gauge's own ladder, where 1/0 follows 1; nothing for other sizes.
struct Gauge {
    std::string system;
    int number = 0;
};
std::optional<Gauge> gauge(const std::string& size) {
    const std::size_t blank = size.find(' ');
    if (blank == std::string::npos) return std::nullopt;
    Gauge g;
    g.system = size.substr(blank + 1);
    if (g.system != "awg" && g.system != "sae") return std::nullopt;
    const auto [end, error] = std::from_chars(size.data(), size.data() + blank, g.number);
    if (error != std::errc{}) return std::nullopt;
    if (end != size.data() + blank) g.number = 1 - g.number; // 1/0, 2/0, ...
    return g;
}

bool melts_first(const std::string& link_size, SquareMetres link, const std::string& wire_size, SquareMetres wire) {
    const auto a = gauge(link_size), b = gauge(wire_size);
    if (a && b && a->system == b->system) return a->number - b->number >= gauge_numbers;
    return link.si <= largest_share * wire.si;
}

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        for (PartId p : s_.now.parts())
            if (c_.at(p).kind == Kind::link && !c_.at(p).poisoned) look_at(p);
    }

  private:
    void look_at(PartId link) {
        say_cabin(link);
        std::vector<WireId> alone;
        std::vector<WireId> unsized;
        for (WireId w : s_.now.wires()) {
            const Protection& p = s_.protection[w.index];
            const bool less_elsewhere =
                p.at_least.si > 0 &&
                p.at_least < p.lets_through; // a fuse of unknown rating may stand in one of its ways
            if (p.unprotected || less_elsewhere || !p.perhaps_less.empty() || c_.at(w).poisoned ||
                !alone_protects(link, p))
                continue;
            (c_.at(w).area.known() ? alone : unsized).push_back(w);
        }
        const Attribute* area = s_.now.find(link, Attr::area);
        if (!area || !area->value.known()) {
            if (!alone.empty() || !unsized.empty())
                report_.not_checked.push_back(
                    {link_too_large.id, fmt::format("whether {} melts before the wires behind it", name_of(c_, link)),
                     "nobody said what size the link is", "Read the size printed on the link's insulation."});
            return;
        }
        say_unsized(link, unsized);
        if (alone.empty()) return;
        const SquareMetres of_link{area->value.nominal};
        const WireId thinnest = *std::ranges::min_element(alone, {}, [&](WireId w) { return c_.at(w).area.nominal; });
        const Wire& wire = c_.at(thinnest);
        if (melts_first(area->word, of_link, wire.size, wire.area.nominal)) return;
        std::size_t too_thin = 0;
        for (WireId w : alone)
            if (!melts_first(area->word, of_link, c_.at(w).size, c_.at(w).area.nominal)) ++too_thin;
        Finding f = finding(link, *area, thinnest, too_thin);
        const bool maker =
            s_.now.is_factory(link) && area->life.born == 0 && std::ranges::all_of(alone, [&](WireId w) {
                return s_.now.is_factory(w) || melts_first(area->word, of_link, c_.at(w).size, c_.at(w).area.nominal);
            });
        report_.add(std::move(f), maker);
    }

    /// Against every strong source; one that limits itself (alternator) may feed the wire from elsewhere.
    bool alone_protects(PartId link, const Protection& p) const {
        std::size_t protectors = 0;
        bool this_one = false;
        for (PrimitiveId d : p.devices) {
            if (c_.at(d).element != Element::protector) continue;
            ++protectors;
            this_one = this_one || c_.at(d).part == link;
        }
        return protectors == 1 && this_one;
    }

    static std::string size_words(const std::string& typed, SquareMetres area) {
        return typed.empty() ? text(area) : typed;
    }

    Finding finding(PartId link, const Attribute& area, WireId thinnest, std::size_t too_thin) const {
        const Wire& wire = c_.at(thinnest);
        const SquareMetres of_link{area.value.nominal};
        const std::string link_size = size_words(area.word, of_link),
                          wire_size = size_words(wire.size, wire.area.nominal);
        Finding f;
        f.rule = link_too_large.id;
        f.severity = Severity::danger;
        f.headline = fmt::format("The link {}, {}, is too thick for {}{} which is {}{}: it may not melt first.",
                                 name_of(c_, link), link_size, described(c_, thinnest), ",", wire_size,
                                 too_thin > 1 ? fmt::format(", and for {} more", counted(too_thin - 1, "wire")) : "");
        f.place = place_of(c_, thinnest);
        f.cites = {{area.value.span.exists() ? area.value.span : c_.at(link).span, "the link"},
                   cite_size(c_, thinnest, "thinnest wire that it alone protects")};
        f.why =
            "A link protects a wire only by melting long before it. Against a small overload it never protects at all.";
        f.limit = fmt::format("{} % of the area of the thinnest wire that it alone protects, which is four gauge "
                              "numbers (trade practice, from memory); this link has {} %",
                              figure(largest_share * 100, 2), figure(of_link / wire.area.nominal * 100, 2));
        // The fuse first: a thinner link has to feed all else that hangs on it, too.
        f.cures.push_back({fmt::format("Give {} a fuse of its own where it begins.", called(c_, thinnest))});
        if (const auto size = link_for(area.word, wire))
            f.cures.push_back(
                {fmt::format("Fit a link of {} or thinner; what hangs on it must then start and run on that.", *size)});
        f.subjects = {name_of(c_, link), subject_of(c_, thinnest)};
        return f;
    }

    /// The thickest size, counted as the link's own is, that melts first.
    static std::optional<std::string> link_for(const std::string& link_size, const Wire& wire) {
        const auto of_link = gauge(link_size);
        const std::string unit = of_link ? of_link->system : "mm2";
        const auto system = unit == "awg"   ? reference::SizeSystem::awg
                            : unit == "sae" ? reference::SizeSystem::sae
                                            : reference::SizeSystem::metric;
        std::optional<std::string> best;
        for (const reference::WireSize& size : reference::wire_sizes(system)) {
            const std::string typed = size.name + " " + unit;
            if (reference::is_sold(size) && melts_first(typed, size.copper, wire.size, wire.area.nominal)) best = typed;
        }
        return best;
    }

    void say_unsized(PartId link, const std::vector<WireId>& wires) {
        if (wires.empty()) return;
        std::vector<std::string> names;
        for (WireId w : wires) names.push_back(name_of(c_, w));
        report_.not_checked.push_back(
            {link_too_large.id, fmt::format("whether the link {} melts before {}", name_of(c_, link), list_of(names)),
             fmt::format("nobody said what size {}", names.size() == 1 ? "it is" : "they are"),
             "Read the size on the insulation, or measure the bare strands."});
    }

    void say_cabin(PartId link) {
        const PlaceId place = c_.at(link).place;
        if (!place.exists() || c_.at(place).name != "cabin") return;
        Finding f;
        f.rule = link_too_large.id;
        f.severity = Severity::danger;
        f.headline = fmt::format("The link {} lies in the cabin: when it melts it glows and drips.", name_of(c_, link));
        f.place = c_.at(place).name;
        f.cites = {{c_.at(link).span, ""}};
        f.why = "A link is a piece of wire that is meant to burn through; beside carpet and trim that starts a fire.";
        f.limit = "links belong outside the cabin (trade practice, from memory)";
        f.cures = {{"Fit a fuse in its place."}, {"Move it into the engine bay, next to the battery."}};
        f.subjects = {name_of(c_, link)};
        report_.add(std::move(f), s_.now.is_factory(link));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule link_too_large = {
    "link-too-large",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a fusible link that is too thick for a wire it alone protects, or that lies in the cabin",
    "always a danger: the wire may burn before the link",
    {
        "A fusible link alone protects a wire that is not much thicker than the link itself. The link should be four "
        "gauge numbers thinner than the "
        "thinnest wire that has no other fuse: 42 % of its area or less.",
        "A link is a short piece of wire that melts first. If the wire behind it is nearly as thin, either of them may "
        "burn. And a link never "
        "protects against an overload, only against a dead short.",
        "Fit a thinner link, or give the thin wire a fuse of its own where it begins. In the cabin use a fuse.",
        "Four gauge numbers: trade practice, from memory. No standard that can be read gives it.",
        R"(loom 1
battery, 60 Ah
link F9, 12 sae, 0.2 m
fuse F1, 15 A
load E1, 10 A
wire from battery:+ to F9, 10 sae red, 0.15 m
wire W2 from F9 to F1, 12 sae red, 3 m
wire from F1 to E1:+, 14 sae red, 1 m
wire from E1:- to ground, 14 sae black, 0.5 m
)",
        R"(loom 1
battery, 60 Ah
link F9, 16 sae, 0.2 m
fuse F1, 15 A
load E1, 10 A
wire from battery:+ to F9, 10 sae red, 0.15 m
wire W2 from F9 to F1, 12 sae red, 3 m
wire from F1 to E1:+, 14 sae red, 1 m
wire from E1:- to ground, 14 sae black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
