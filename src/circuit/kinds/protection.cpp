/// Fuses, fusible links, breakers.

#include "circuit/kinds/kinds.hpp"

namespace loomproof {

namespace {

constexpr TerminalSpec two_ends[] = {
    {"1", Role::end1, 1, true, "in feed"},
    {"2", Role::end2, 1, true, "out load"},
};
constexpr const char* closes_again = "how often {} closes again onto a fault, and what gets warm meanwhile";

constexpr AttrSpec fuse_attributes[] = {
    {"{A}", Attr::rating, "rating"},
    {"blade", Attr::fuse_type, "plug-in fuse"},
    {"mini", Attr::fuse_type, "small plug-in fuse"},
    {"maxi", Attr::fuse_type, "large plug-in fuse"},
    {"bolted", Attr::fuse_type, "fuse on studs"},
    {"bolt-down", Attr::fuse_type, "", "bolted"},
    {"strip", Attr::fuse_type, "", "bolted"},
    {"midi", Attr::fuse_type, "", "bolted"},
    {"mega", Attr::fuse_type, "", "bolted"},
    {"glass", Attr::fuse_type, "glass tube fuse"},
    {"{V}", Attr::voltage_at, ""},
    {"inline", Attr::sealed, "in a holder of its own in the wire"},
    {"inline holder", Attr::sealed, "", "inline"},
    {"holder {A}", Attr::hole_rating, "what its holder may carry"},
    {"inline holder {A}", Attr::hole_rating, ""},
    {"in a {A} holder", Attr::hole_rating, ""},
    {"in inline holder", Attr::sealed, "", "inline"},
    {"in an inline holder", Attr::sealed, "", "inline"},
    {"tails {size}", Attr::area, "wire of its holder"},
    {"tails {size} {m}", Attr::area, ""},
    {"breaks {A}", Attr::short_current, "what it can break"},
    {"breaking capacity {A}", Attr::short_current, ""},
    {"black", Attr::told, "", "body black"}, // as printed beside the rating; ISO 8820-3 gives each rating its own
    {"grey", Attr::told, "", "body grey"},
    {"gray", Attr::told, "", "body grey"},
    {"violet", Attr::told, "", "body violet"},
    {"purple", Attr::told, "", "body violet"},
    {"pink", Attr::told, "", "body pink"},
    {"tan", Attr::told, "", "body tan"},
    {"brown", Attr::told, "", "body brown"},
    {"red", Attr::told, "", "body red"},
    {"blue", Attr::told, "", "body blue"},
    {"yellow", Attr::told, "", "body yellow"},
    {"clear", Attr::told, "", "body clear"},
    {"natural", Attr::told, "", "body clear"},
    {"transparent", Attr::told, "", "body clear"},
    {"white", Attr::told, "", "body clear"},
    {"green", Attr::told, "", "body green"},
    {"blue-green", Attr::told, "", "body blue-green"},
    {"orange", Attr::told, "", "body orange"},
    {"slow blow", Attr::told, "", "slow", "how slowly {} opens: it is taken to open as usual ones do"},
    {"slow-blow", Attr::told, "", "slow", "how slowly {} opens: it is taken to open as usual ones do"},
};
constexpr AttrSpec link_attributes[] = {
    {"{size}", Attr::area, "size of the link's wire"},
    {"{m}", Attr::length, "length"},
    {"{A}", Attr::rating, "current, where the maker states one"},
};
constexpr AttrSpec breaker_attributes[] = {
    {"{A}", Attr::rating, "rating"},
    {"resets itself", Attr::self_reset, "closes again by itself", "on", closes_again},
    {"self-resetting", Attr::self_reset, "", "on", closes_again},
    {"resets by itself", Attr::self_reset, "", "on", closes_again},
    {"by itself", Attr::self_reset, "", "on", closes_again},
    {"by hand", Attr::self_reset, "", "off"},
    {"auto-reset", Attr::self_reset, "", "on", closes_again},
    {"automatic", Attr::self_reset, "", "on", closes_again},
    {"auto reset", Attr::self_reset, "", "on", closes_again},
    {"automatic reset", Attr::self_reset, "", "on", closes_again},
    {"reset by hand", Attr::self_reset, "stays open until somebody resets it", "off"},
    {"manual reset", Attr::self_reset, "", "off"},
    {"manual", Attr::self_reset, "", "off"},
    {"trip-free", Attr::told, "opens even while its lever is held"},
    {"breaks {A}", Attr::short_current, "what it can break"},
    {"breaking capacity {A}", Attr::short_current, ""},
    {"{V}", Attr::voltage, "what it is made for"},
};

void expand_protector(PartBuilder& b) {
    Primitive p;
    p.element = Element::protector;
    p.a = b.terminal("1");
    p.b = b.terminal("2");
    p.rating = as<Amps>(b.value(Attr::rating));
    b.add(p);
}

} // namespace

const KindSpec fuse_kind{.kind = Kind::fuse,
                         .keyword = "fuse",
                         .title = "fuse",
                         .letter = "F",
                         .example = "fuse F1 \"light bar\", 20 A",
                         .parts = "parts/fuses.loom",
                         .ends = Ends::either,
                         .terminals = two_ends,
                         .attributes = fuse_attributes,
                         .expand = expand_protector};
const KindSpec link_kind{.kind = Kind::link,
                         .keyword = "link",
                         .title = "fusible link",
                         .letter = "F",
                         .also = "fusible-link",
                         .example = "link F9, 16 sae, 0.2 m",
                         .ends = Ends::either,
                         .terminals = two_ends,
                         .attributes = link_attributes,
                         .expand = expand_protector};
const KindSpec breaker_kind{.kind = Kind::breaker,
                            .keyword = "breaker",
                            .title = "breaker",
                            .letter = "Q",
                            .also = "circuit-breaker",
                            .example = "breaker Q1, 40 A, resets itself",
                            .ends = Ends::either,
                            .terminals = two_ends,
                            .attributes = breaker_attributes,
                            .expand = expand_protector};

} // namespace loomproof
