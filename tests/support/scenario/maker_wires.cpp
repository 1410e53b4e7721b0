#include "support/scenario/maker.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

// What a place and an insulation leave of the table's figure, with a twentieth kept in hand: engine bay 70 C against class
// 105 C: sqrt(35/75); other places 30 C; classes 80 and 85 C by the narrowest ratio of the table's columns, 10/15.
constexpr double share_cool = 0.95;
constexpr double share_engine_bay = 0.64;
constexpr double share_low_class = 0.6;

// Warm copper with the lay of its strands, ohm mm2/m: more than any rule will reckon with.
constexpr double resistivity = 0.0215;

struct Look {
    const char* place;
    const char* insulation;
    double share;
};
constexpr Look looks[] = {
    {"", "", share_cool},
    {"", "", share_cool},
    {"cabin", "", share_cool},
    {"engine-bay", "", share_engine_bay},
    {"engine-bay", "GXL", share_engine_bay},
    {"engine-bay", "TXL", share_engine_bay},
    {"engine-bay", "SXL", share_engine_bay},
    {"engine-bay", "FLRY", share_engine_bay},
    {"", "105 degC", share_cool},
    {"cabin", "GPT", share_low_class},
    {"boot", "TWP", share_low_class},
    {"cabin", "PVC 85 degC", share_low_class},
    {"\"left sill\"", "", share_cool},
    {"outside", "FLRY", share_cool},
};

} // namespace

std::string Maker::colour(const std::vector<int>& plugs) {
    static constexpr const char* spellings[] = {"words", "iec", "british", "german"};
    const auto all = colours();
    const auto letters = [&](const Colour& k) -> const char* {
        switch (letters_) {
        case 1: return k.iec;
        case 2: return k.british;
        case 3: return k.german;
        default: return k.word;
        }
    };
    const auto count = static_cast<std::uint32_t>(all.size());
    std::uint32_t main = c.below(count);
    std::uint32_t stripe = c.chance(40) ? c.below(count) : main;
    const auto twin = [&](int plug) { return plug_colours_[plug].contains(main * count + stripe); };
    while (std::any_of(plugs.begin(), plugs.end(), twin)) {
        stripe = (stripe + 1) % count;
        main = stripe == 0 ? (main + 1) % count : main;
    }
    for (int plug : plugs) { plug_colours_[plug].insert(main * count + stripe); }
    plan.features.insert(std::string("colours in ") + spellings[letters_]);
    return main == stripe ? letters(all[main]) : fmt::format("{}/{}", letters(all[main]), letters(all[stripe]));
}

int Maker::wire(const End& a, const End& b, const Run& run) {
    Wire w;
    w.a = a;
    w.b = b;
    w.purpose = run.purpose;
    w.protection = run.protection;
    const Look& look = c.one_of(looks);
    w.place = look.place;
    const double length = typeable(c.between(run.low, run.high, run.high > 0.3 ? 0.1 : 0.01), plan.rule);
    w.behind_link = run.least_area > 0;
    const double protection = std::isfinite(run.protection) && !w.behind_link ? run.protection : 0;
    const double carry = std::max({protection, run.carry, run.amps * 1.4});
    const double drop_area = resistivity * length * run.amps / (run.drop * plan.volts / 12);
    w.size = &size_for(family_, carry, look.share, std::max(drop_area, run.least_area));
    w.carries = w.size->carries * look.share;
    if (*look.place != '\0') { w.more.push_back(std::string("in ") + look.place); }
    if (*look.insulation != '\0') {
        w.more.emplace_back(look.insulation);
        plan.features.insert(std::string("insulation ") + look.insulation);
    }
    if (c.chance(4)) { w.more.emplace_back("sleeved"); }
    if (run.purpose == Purpose::strap && c.chance(10)) { w.more.emplace_back("bare"); }
    w.how = run.low > 0.2 && c.chance(20) ? (c.chance(50) ? "about " : "measured ") : "";
    w.lengths = {length};
    if (!run.colour.empty()) { w.colours = {run.colour}; }
    w.named = wires_named_;
    w.name = w.named ? new_name("W") : std::string{};
    if (run.may_pass_plugs && run.colour.empty() && w.size->area <= 6 && carry <= 40 && length >= 0.3 && c.chance(15)) {
        pass_plugs(w, carry);
    }
    if (w.colours.empty()) { w.colours = {colour({})}; }
    return plan.add_wire(std::move(w), block_);
}

// Takes the run over one or two plugs. A plug is used until its holes are; no two wires in a plug look alike.
void Maker::pass_plugs(Wire& w, double carry) {
    const std::uint32_t plugs = 1 + c.below(2);
    double left = w.lengths.front();
    w.lengths.clear();
    std::vector<int> passed;
    for (std::uint32_t i = 0; i < plugs; ++i) {
        if (plug_ < 0 || plug_next_ > plug_holes_ || plug_rating_ < carry || i > 0) {
            plug_holes_ = 2 + static_cast<int>(c.below(7));
            plug_rating_ = carry <= 18 ? 18 : carry <= 25 ? 25 : 40;
            plug_ = connector(plug_holes_, plug_rating_);
            plug_next_ = 1;
        }
        passed.push_back(plug_);
        w.through.push_back(plan.end(plug_, fmt::format("{}/0", plug_next_++)));
        const double piece = typeable(std::max(0.1, std::floor(left * 5) / 10), plan.rule);
        w.lengths.push_back(piece);
        left = typeable(std::max(0.1, std::round((left - piece) * 10) / 10), plan.rule);
        plan.plug_wires[plug_].push_back(static_cast<int>(plan.wires.size()));
    }
    w.lengths.push_back(left);
    const bool changes = c.chance(40);
    for (std::size_t i = 0; i < (changes ? w.lengths.size() : 1); ++i) { w.colours.push_back(colour(passed)); }
    if (changes) { plan.features.insert("colour changes at a plug"); }
    plan.features.insert(plugs == 1 ? "through a plug" : "through two plugs");
}

End Maker::ground_end() {
    if (c.chance(40)) { return {-1, {}, "ground", plan.body}; }
    if (stud_ < 0 || stud_wires_ >= 4) {
        const int id =
            part("ground", "GND", turn(6, 89) == 0 ? std::vector<std::string>{"0.3 mohm"} : std::vector<std::string>{});
        plan.statements[static_cast<std::size_t>(plan.parts[static_cast<std::size_t>(id)].statement)].head +=
            c.chance(50) ? " on body" : "";
        plan.edge({Element::joint, plan.terminal(id, ""), plan.body, plan.parts[static_cast<std::size_t>(id)].name});
        stud_ = id;
        stud_wires_ = 0;
    }
    ++stud_wires_;
    return plan.end(stud_);
}

void Maker::to_ground(const End& from, double fuse, double amps_through) {
    Run run{Purpose::back};
    run.carry = fuse;
    run.amps = amps_through;
    run.drop = 0.04;
    run.high = 0.8;
    wire(from, ground_end(), run);
}

void Maker::strap(const End& a, const End& b) {
    Run run{Purpose::strap};
    run.carry = 150;
    run.low = 0.3;
    run.high = 0.6;
    run.may_pass_plugs = false;
    wire(a, b, run);
}

} // namespace loomproof::scenario
