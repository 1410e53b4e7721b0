#include "support/scenario/mistakes.hpp"

#include <array>
#include <utility>

namespace loomproof::scenario {

namespace {

constexpr std::array<std::pair<MistakeKind, const char*>, 31> kinds = {{
    {MistakeKind::fuse_bypassed, "fuse bypassed"},
    {MistakeKind::fuse_at_far_end, "fuse at the far end"},
    {MistakeKind::fuse_too_large, "fuse too large"},
    {MistakeKind::wire_too_thin, "wire too thin"},
    {MistakeKind::link_too_large, "link too large"},
    {MistakeKind::coil_contact_exchanged, "coil and contact exchanged"},
    {MistakeKind::relay_diode_turned, "relay's diode turned"},
    {MistakeKind::clamp_diode_turned, "clamp diode turned"},
    {MistakeKind::terminal_doubled, "terminal doubled"},
    {MistakeKind::terminal_open, "terminal open"},
    {MistakeKind::ground_removed, "ground removed"},
    {MistakeKind::battery_ground_removed, "battery ground removed"},
    {MistakeKind::screen_loop, "screen loop"},
    {MistakeKind::cut_end_live, "cut end left live"},
    {MistakeKind::part_not_wired, "part not wired"},
    {MistakeKind::twin_colours, "twin colours"},
    {MistakeKind::hole_beyond_plug, "hole beyond the plug"},
    {MistakeKind::stale_accept, "stale accept"},
    {MistakeKind::polarity_reversed, "polarity reversed"},
    {MistakeKind::fuse_in_ground, "fuse in the ground line"},
    {MistakeKind::cool_insulation, "insulation too cool"},
    {MistakeKind::trigger_pulsed, "trigger pulsed"},
    {MistakeKind::contact_too_weak, "contact too weak"},
    {MistakeKind::holder_too_weak, "holder too weak"},
    {MistakeKind::colour_changed, "colour changed in a splice"},
    {MistakeKind::all_on_one_fuse, "both dipped beams on one fuse"},
    {MistakeKind::two_thin_wires, "two thin wires before one load"},
    {MistakeKind::ground_shared, "ground of a sensor shared with a blower"},
    {MistakeKind::fan_on_the_coil, "a fan that generates beside a coil"},
    {MistakeKind::led_on_a_watched_output, "LED lamp on a watched output"},
    {MistakeKind::diode_on_the_lamp, "diode on the charge lamp"},
}};

} // namespace

const char* word(MistakeKind kind) { return kinds[static_cast<std::size_t>(kind)].second; }

std::span<const MistakeKind> all_mistakes() {
    static const std::vector<MistakeKind> list = [] {
        std::vector<MistakeKind> all;
        all.reserve(kinds.size());
        for (const auto& [kind, name] : kinds) { all.push_back(kind); }
        return all;
    }();
    return list;
}

Plan with_mistake(const Plan& plan, const Mistake& mistake, std::vector<int>* cites) {
    Plan wrong = plan;
    std::vector<int> at = mistake.cites;
    for (const Edit& edit : mistake.edits) {
        switch (edit.what) {
        case Edit::What::replace: wrong.statements[static_cast<std::size_t>(edit.statement)] = edit.text; break;
        case Edit::What::remove: wrong.statements[static_cast<std::size_t>(edit.statement)].gone = true; break;
        case Edit::What::insert: at.push_back(wrong.statement(edit.text)); break;
        }
    }
    if (cites != nullptr) { *cites = std::move(at); }
    return wrong;
}

} // namespace loomproof::scenario
