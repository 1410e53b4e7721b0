#include "rules/fuse_load.hpp"

#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "rules/clearing.hpp"
#include "rules/fault_current.hpp"
#include "rules/loads_behind.hpp"
#include "rules/phrases.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

struct Thinnest {
    WireId wire;
    Amps carries;
};

/// Of the wires that this device alone protects.
std::optional<Thinnest> thinnest_behind(const Study& s, PrimitiveId device) {
    std::optional<Thinnest> thinnest;
    for (WireId w : s.now.wires()) {
        const Protection& p = s.protection[w.index];
        if (p.devices != std::vector{device}) continue;
        const auto carries = what_it_carries(s.circuit, w);
        if (carries && (!thinnest || carries->amps < thinnest->carries)) thinnest = Thinnest{w, carries->amps};
    }
    return thinnest;
}

bool drawn(const Circuit& c, PrimitiveId device) {
    return !c.at(c.at(device).a).internal && !c.at(c.at(device).b).internal;
}

/// What gives the feed and lets less through than this: a fuse that is not drawn, or an output that limits itself, before where the device is fed.
PrimitiveId feed_that_gives_less(const Study& s, PrimitiveId device, Amps than) {
    const TerminalId fed = fed_end(s, {{}, device});
    if (!s.live.reached(fed)) return {};
    for (EdgeRef e : s.live.path_to(fed)) {
        if (e.is_wire()) continue;
        const Primitive& p = s.circuit.at(e.primitive);
        const bool limits = (p.element == Element::protector && !drawn(s.circuit, e.primitive)) || p.limit.known();
        if (const Stated<Amps> rating = limits ? rating_of(s, e.primitive) : Stated<Amps>{};
            rating.known() && rating.nominal < than)
            return e.primitive;
    }
    return {};
}

Amps load_of(const Study& s, PrimitiveId device) { return loads_behind(s, {{}, device}, fed_end(s, {{}, device})).sum; }

} // namespace

Citation cite_rating(const Study& s, PrimitiveId device, std::string label) {
    const PartId part = s.circuit.at(device).part;
    const Attribute* rating = s.now.find(part, Attr::rating);
    if (rating && rating->value.span.exists()) return {rating->value.span, std::move(label)};
    return cite_part(s.circuit, part, std::move(label));
}

std::string protector_words(const Circuit& c, PrimitiveId device) {
    const PartId part = c.at(device).part;
    return drawn(c, device) ? name_of(c, part) : "the fuse before " + name_of(c, part);
}

std::string protector_words(const Circuit& c, const std::vector<PrimitiveId>& devices) {
    std::vector<std::string> words;
    for (PrimitiveId d : devices) words.push_back(protector_words(c, d));
    return list_of(words);
}

std::string device_kind(const Study& s, PrimitiveId device, Amps rating) {
    const Kind kind = s.circuit.at(s.circuit.at(device).part).kind;
    if (kind == Kind::link) return fmt::format("link that melts at some {}", text(rounded(rating, 2)));
    return fmt::format("{} {}", text(rating), kind == Kind::breaker ? "breaker" : "fuse");
}

std::string band_in_words(const reference::TimeBand& band) {
    const std::string from = text(rounded(band.shortest, 2));
    if (!band.longest) return fmt::format("not before {}, and no standard says how late at most", from);
    const std::string to = text(rounded(*band.longest, 2));
    return from == to ? "about " + from : fmt::format("{} to {}", from, to);
}

std::vector<Remedy> remedies_for_load(const Study& s, PrimitiveId device, Amps wanted,
                                      const std::vector<PartId>& behind) {
    const Circuit& c = s.circuit;
    const PartId part = c.at(device).part;
    std::vector<Remedy> cures;
    if (!drawn(c, device)) {
        cures.push_back({fmt::format("Take no more from {} than a signal: let it work a relay that feeds the load from "
                                     "the battery over a fuse of its own.",
                                     name_of(c, part))});
        return cures;
    }
    wanted = wanted / 1.01; // a figure that rounds to a rating is that rating
    // A small body takes no larger fuse than its series has; else what people have.
    const auto style = style_of(s, device, wanted);
    auto larger =
        style == reference::Protector::mini_blade ? reference::smallest_fuse_from(style, wanted) : std::nullopt;
    const bool other_body = style == reference::Protector::mini_blade && !larger;
    if (!larger) larger = reference::smallest_fuse_from(reference::usual_style(wanted), wanted);
    if (const PrimitiveId feed = larger ? feed_that_gives_less(s, device, larger->rating) : PrimitiveId{};
        feed.exists()) {
        const std::string gives =
            c.at(feed).element == Element::protector ? protector_words(c, feed) : name_of(c, c.at(feed).part);
        cures.push_back(
            {fmt::format("Feed {} from the battery, over a wire and {} fuse of its own: {} lets {} through, "
                         "whatever stands in {}.",
                         behind.empty() ? "the load" : list_of(names_of(c, behind)), with_article(text(larger->rating)),
                         gives, text(rating_of(s, feed).nominal), name_of(c, part))});
        return cures;
    }
    const char* body_words = larger && larger->rating.si > 40 ? " of the large size"
                             : other_body                     ? " of the regular size, with a holder for it,"
                                                              : "";
    const auto thinnest = thinnest_behind(s, device);
    const EdgeRef edge{{}, device};
    const auto weakest = weakest_behind(s, other_end(c, edge, fed_end(s, edge)), edge, part);
    const bool too_weak = larger && weakest && weakest->made_for < larger->rating * 0.995;
    const std::string stronger =
        too_weak ? fmt::format("in place of {} one that is made for {}", weakest->words, text(larger->rating)) : "";
    if (too_weak && thinnest && thinnest->carries >= larger->rating)
        cures.push_back({fmt::format(
            "A larger fuse alone would be more than {} is made for ({}): fit {} fuse{}, and {}.", weakest->words,
            text(weakest->made_for), with_article(text(larger->rating)), body_words, stronger)});
    else if (larger && thinnest && thinnest->carries >= larger->rating)
        cures.push_back({fmt::format("Put {} fuse{} in {}: the wires behind it carry that.",
                                     with_article(text(larger->rating)), body_words, name_of(c, part))});
    else if (larger && thinnest) {
        const auto size = size_that_carries(c, thinnest->wire, larger->rating);
        cures.push_back({fmt::format(
            "A larger fuse alone would leave {} unprotected, which carries {}: fit {} fuse and {}.",
            name_of(c, thinnest->wire), text(thinnest->carries), with_article(text(larger->rating)),
            (size ? reference::spelled(*size) + " or thicker all the way to the load"
                  : "thicker wire all the way to the load") +
                (too_weak ? fmt::format(", and {}, which is made for {}", stronger, text(weakest->made_for)) : ""))});
    }
    if (behind.size() > 1) cures.push_back({"Give the largest load a fuse and a wire of its own."});
    if (cures.empty()) cures.push_back({"Divide what hangs on it among several fuses."});
    return cures;
}

bool load_is_as_built(const Study& s, const Study& factory, PrimitiveId device) {
    const Circuit& c = s.circuit;
    const PartId part = c.at(device).part;
    if (!s.now.is_factory(part)) return false;
    const Stated<Amps> before = s.factory.amps(part, Attr::rating), now = s.now.amps(part, Attr::rating);
    if (before.known() != now.known() || (now.known() && now.nominal < before.nominal)) return false;
    const auto behind = hang_behind(s, {{}, device});
    if (!behind || std::ranges::any_of(*behind, [&](PartId p) { return !s.now.is_factory(p); })) return false;
    return load_of(s, device) <= load_of(factory, device);
}

} // namespace loomproof::rules
