#include "base/number.hpp"
#include "rules/called_so.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule joint_practice; // rule_list.hpp lists it

namespace {

/// More than that on one stud work loose (a reference book for boats and a marine surveyor's article, confirmed).
constexpr std::size_t most_rings = 4;

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        std::vector<PartId> taps, twisted, makers;
        for (PartId part : s_.now.parts()) {
            const Kind kind = c_.at(part).kind;
            if (kind == Kind::ground && !c_.at(part).poisoned &&
                s_.now.wires_at(c_.at(part).terminals.front()).size() > most_rings)
                say_stud(part);
            if (kind != Kind::splice || c_.at(part).poisoned) continue;
            const std::string how = s_.now.word(part, Attr::joint_type);
            if (how != "tap" && how != "twisted") continue;
            if (const auto life = hangs_on_life(part))
                say_on_life(part, how, *life);
            else
                (s_.now.is_factory(part) ? makers : how == "tap" ? taps : twisted).push_back(part);
        }
        if (!taps.empty()) say(taps, "pierces the wire", report_.findings);
        if (!twisted.empty()) say(twisted, "is only twisted", report_.findings);
        if (!makers.empty()) say(makers, "is pierced or twisted", report_.as_built);
    }

  private:
    /// Ignition, fuel, brakes, steering: by the label of a load or feed on the same wiring, as nobody says it otherwise.
    std::optional<PartId> hangs_on_life(PartId joint) const {
        std::vector<bool> seen(c_.terminals.size(), false);
        std::optional<PartId> found;
        region(s_.now, c_.at(joint).terminals, Through::what_conducts, [&](TerminalId t) {
            if (seen[t.index] || s_.reference[t.index] ||
                std::ranges::find(s_.strong_sources, t) != s_.strong_sources.end())
                return false;
            seen[t.index] = true;
            const Part& part = c_.part_of(t);
            const bool load = std::ranges::any_of(s_.now.primitives_at(t), [&](PrimitiveId p) {
                return is_load(c_.at(p)) && c_.at(p).purpose != Purpose::coil;
            });
            if (load && !found && moves_or_stops_the_car(part)) found = c_.at(t).part;
            return std::ranges::none_of(s_.now.primitives_at(t),
                                        [&](PrimitiveId p) { return c_.at(p).element == Element::protector; });
        });
        return found;
    }

    Finding start(PartId part) const {
        Finding f;
        f.rule = joint_practice.id;
        f.severity = Severity::advice;
        f.place = where_it_lies(c_, part);
        const Attribute* how = s_.now.find(part, Attr::joint_type);
        f.cites.push_back(how && how->span.exists() ? Citation{how->span, {}} : cite_part(c_, part));
        f.subjects.push_back(name_of(c_, part));
        return f;
    }

    static constexpr const char* weak =
        "It is where shop work fails first: it goes loose or corrodes, and what hangs on it comes and goes.";
    static constexpr const char* limit =
        "crimped joints, or soldered ones that are held on both sides (common practice)";
    static constexpr const char* cure = "Make it a crimped splice with a sealed sleeve.";

    void say(const std::vector<PartId>& parts, const char* what, std::vector<Finding>& out) const {
        Finding f = start(parts.front());
        for (std::size_t i = 1; i < parts.size(); ++i) {
            if (f.cites.size() < 4) f.cites.push_back(start(parts[i]).cites.front());
            f.subjects.push_back(name_of(c_, parts[i]));
        }
        f.headline = parts.size() == 1
                         ? fmt::format("The joint {} {}: a weak point.", name_of(c_, parts.front()), what)
                         : fmt::format("The joints {} are weak points: each {}.", list_of(names_of(c_, parts)), what);
        f.why = weak;
        f.limit = limit;
        f.cures.push_back({cure});
        out.push_back(std::move(f));
    }

    void say_on_life(PartId part, const std::string& how, PartId load) const {
        Finding f = start(part);
        f.severity = Severity::fault;
        f.headline = fmt::format("The joint {} is {}, and {} hangs on it.", name_of(c_, part),
                                 how == "tap" ? "a tap that pierces the wire" : "only twisted", called(c_, load));
        f.cites.push_back(cite_part(c_, load, "hangs on it"));
        f.why = std::string(weak) + " Here that stops the vehicle, or worse.";
        f.limit = limit;
        f.cures.push_back({cure});
        f.subjects.push_back(name_of(c_, load));
        report_.add(std::move(f), s_.now.is_factory(part));
    }

    void say_stud(PartId part) const {
        const std::size_t rings = s_.now.wires_at(c_.at(part).terminals.front()).size();
        Finding f;
        f.rule = joint_practice.id;
        f.severity = Severity::advice;
        f.headline = fmt::format("{} wires end at {}; a stud takes {} rings.", rings, called(c_, part), most_rings);
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, fmt::format("{} wires", rings)));
        f.why = "A stack of rings settles and works loose: then all that is grounded there shares one bad joint.";
        f.limit = "four rings on a stud, the largest at the bottom (a reference book for boats)";
        f.cures.push_back({"Use a second ground point, or a bus bar with one thick wire to this one."});
        f.subjects.push_back(name_of(c_, part));
        const bool maker = std::ranges::all_of(s_.now.wires_at(c_.at(part).terminals.front()),
                                               [&](WireId w) { return s_.now.is_factory(w); });
        report_.add(std::move(f), maker);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule joint_practice = {
    "joint-practice",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "joints that pierce or only twist wires, and too many rings on one stud",
    "a fault where ignition, fuel pump, brakes or steering hang on it; else advice",
    {
        "A joint is a tap that pierces the insulation, or twisted wires; or more than four wires end at one ground "
        "stud.",
        "Such joints are the common root of work that fails: water gets in, strands break, a stack of rings works "
        "loose.",
        "A crimped splice under a sealed sleeve; a second stud, or a bus bar.",
        "Common practice; four rings on a stud from a reference book for boats and a marine surveyor's article. What "
        "hangs on a joint is told by the texts of the parts.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1, 16 A
lamp E1 "work lamp", 55 W
lamp E2 "step lamp", 5 W
splice SP1, tap
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 2.5 mm2 red, 1 m
wire W3 from S1 to SP1, 2.5 mm2 red, 1 m
wire W4 from SP1 to E1, 2.5 mm2 red, 1 m
wire W5 from SP1 to E2, 2.5 mm2 red, 1 m
wire W6 from E1 to ground, 2.5 mm2 black, 0.3 m
wire W7 from E2 to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1, 16 A
lamp E1 "work lamp", 55 W
lamp E2 "step lamp", 5 W
splice SP1, crimp
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 2.5 mm2 red, 1 m
wire W3 from S1 to SP1, 2.5 mm2 red, 1 m
wire W4 from SP1 to E1, 2.5 mm2 red, 1 m
wire W5 from SP1 to E2, 2.5 mm2 red, 1 m
wire W6 from E1 to ground, 2.5 mm2 black, 0.3 m
wire W7 from E2 to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
