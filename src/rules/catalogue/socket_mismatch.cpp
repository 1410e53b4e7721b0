#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "rules/clearing.hpp"
#include "rules/fuse_load.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/seat.hpp"

#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule socket_mismatch; // rule_list.hpp lists it

namespace {

class Judge {
  public:
    Judge(const Study& s, Report& report) : now_(s.now), s_(s), c_(s.circuit), report_(report) {}

    void run() {
        for (PrimitiveId id : now_.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.element != Element::protector || c_.at(p.part).poisoned) continue;
            look_at(id);
            look_at_body(id);
        }
        for (PartId id : now_.parts())
            if (c_.at(id).kind == Kind::relay && !c_.at(id).poisoned) look_at_base(id);
    }

  private:
    Finding start(PartId part) const {
        Finding f;
        f.rule = socket_mismatch.id;
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, part);
        f.subjects.push_back(name_of(c_, part));
        return f;
    }

    void look_at(PrimitiveId device) {
        const PartId part = c_.at(device).part;
        const Stated<Amps> rating = c_.at(device).rating;
        const auto seat = seat_of(now_, part);
        const auto tails = tails_of(now_, part);
        if (!rating.known()) {
            if (seat || tails)
                report_.not_checked.push_back({socket_mismatch.id,
                                               fmt::format("whether {} suits {}", name_of(c_, part),
                                                           seat ? seat->words : "the tails of its holder"),
                                               fmt::format("nobody said what {} is rated at", name_of(c_, part)),
                                               "Read the number on it."});
            return;
        }
        if (seat && rating.nominal > seat->carries.nominal * 1.001) too_large_for(device, *seat, rating);
        if (tails && rating.nominal > tails->carries.amps * 1.005) too_large_for(device, *tails, rating);
    }

    /// A body that the file names, and a rating that is made in no such body.
    void look_at_body(PrimitiveId device) {
        const PartId part = c_.at(device).part;
        const Stated<Amps> rating = c_.at(device).rating;
        const Attribute* said = now_.find(part, Attr::fuse_type);
        if (c_.at(part).kind != Kind::fuse || !said || !rating.known()) return;
        const auto style = reference::find_protector(said->word);
        if (!style) return;
        const auto ratings = reference::fuse_ratings(*style);
        if (ratings.empty() || rating.low <= ratings.back().rating * 1.001) return;
        const Amps most = ratings.back().rating;
        const std::string_view body = reference::word(*style);
        Finding f = start(part);
        f.severity = Severity::advice;
        f.headline = fmt::format("{} is said to be a {} of {}, and the largest of that body is {}.",
                                 sentence_start(name_of(c_, part)), body, text(rating.nominal), text(most));
        f.cites.push_back(cite_rating(s_, device, "not made so"));
        f.cites.push_back({said->span, "up to " + text(most)});
        f.why = "Either the body or the amps are not what the file says; or what sits there follows no standard, and "
                "nobody can say what its holder stands and when it opens.";
        f.limit = fmt::format("{}, the largest {} of the series (SAE J1284, ISO 8820-3)", text(most), body);
        f.cures.push_back({fmt::format("Read the number on it and look at its body, and write down which it is: {}.",
                                       *style == reference::Protector::maxi_blade ? "bolted fuses are made for more"
                                       : rating.nominal > Amps{40}                ? "maxi blade fuses go up to 100 A"
                                                                   : "blade fuses go up to 40 A, maxi blade fuses up "
                                                                     "to 100 A")});
        f.cures.push_back({fmt::format("If there is such a fuse in it: put in one of {} or less, where its load is "
                                       "content with that; else fit a holder and a fuse made for {}.",
                                       text(most), text(rating.nominal))});
        report_.findings.push_back(std::move(f));
    }

    void too_large_for(PrimitiveId device, const Seat& seat, const Stated<Amps>& rating) {
        const PartId part = c_.at(device).part;
        Finding f = start(part);
        f.certainty = rating.low > seat.carries.high ? Certainty::certain : Certainty::possible;
        f.headline = fmt::format("A {} sits in {}, which is made for {}.", device_kind(s_, device, rating.nominal),
                                 seat.words, text(seat.carries.nominal));
        f.cites.push_back(cite_rating(s_, device, "in it"));
        f.cites.push_back({seat.said, "made for"});
        f.why = fmt::format("It lets more through than its seat stands: the blades get hot and the plastic melts, and "
                            "{} does not open, as for it nothing is wrong.",
                            name_of(c_, part));
        f.limit = fmt::format("{}, as the file says", text(seat.carries.nominal));
        f.cures.push_back({fmt::format("Put in a fuse of {} or less, if its load is content with that.",
                                       text(seat.carries.nominal))});
        f.cures.push_back({fmt::format("Move the load to a holder made for {} or more, with a fuse and wire to suit.",
                                       text(rating.nominal))});
        report_.findings.push_back(std::move(f));
    }

    void too_large_for(PrimitiveId device, const Tails& tails, const Stated<Amps>& rating) {
        const PartId part = c_.at(device).part;
        Finding f = start(part);
        f.certainty = rating.low > tails.carries.amps ? Certainty::certain : Certainty::possible;
        f.headline = fmt::format("A {} sits in a holder whose tails, {}, carry {}.",
                                 device_kind(s_, device, rating.nominal), tails.size, text(tails.carries.amps));
        f.cites.push_back(cite_rating(s_, device, "in it"));
        f.cites.push_back({tails.said, "carry " + text(tails.carries.amps)});
        f.why = fmt::format("An overload that {} lets pass for hours burns the tails before anything opens.",
                            name_of(c_, part));
        f.limit = reference::sentence(tails.carries);
        f.cures.push_back({"Fit a holder with thicker tails."});
        if (const auto fuse =
                reference::largest_fuse_up_to(style_of(s_, device, tails.carries.amps), tails.carries.amps))
            f.cures.push_back(
                {fmt::format("Put in a fuse of {} or less, if its load is content with that.", text(fuse->rating))});
        report_.findings.push_back(std::move(f));
    }

    /// The relay that is plugged in against the base that it is said to sit in.
    void look_at_base(PartId id) {
        const std::string base = now_.word(id, Attr::base_pins);
        if (base.empty()) return;
        const Attribute* fitted = now_.find(id, Attr::pins);
        const bool change_over = fitted && fitted->word == "5" && !now_.has(id, Attr::two_makes);
        if (base == "4" && change_over) {
            Finding f = start(id);
            f.headline = fmt::format("{} has five pins, and its base has no hole for the fifth, 87a.", name_of(c_, id));
            f.cites.push_back({fitted->span, "five pins"});
            f.cites.push_back({now_.find(id, Attr::base_pins)->span, "four holes"});
            f.why = "It does not go in; with its middle blade bent or broken off it may, and then it may sit askew.";
            f.cures.push_back({"Fit a relay with four pins, if nothing is meant to hang on 87a."});
            f.cures.push_back({"Fit a base with five holes."});
            report_.findings.push_back(std::move(f));
        }
        if (base != "5" || change_over || now_.has(id, Attr::two_makes)) return;
        for (TerminalId t : c_.at(id).terminals) {
            if (c_.at(t).role != Role::rest || now_.wires_at(t).empty()) continue;
            Finding f = start(id);
            f.subjects.push_back(name_of(c_, t));
            for (WireId w : now_.wires_at(t)) f.subjects.push_back(subject_of(c_, w));
            f.headline = fmt::format("A wire sits in hole 87a of the base of {}, and the relay in it has four pins: "
                                     "nothing is behind that hole.",
                                     name_of(c_, id));
            f.cites.push_back(cite_terminal(now_, t, "leads nowhere"));
            f.cites.push_back({fitted ? fitted->span : c_.at(id).span, fitted ? "four pins" : "no 5-pin relay"});
            f.why = "What hangs on it is dead, whether the relay rests or has pulled in.";
            f.cures.push_back({"Fit a change-over relay with five pins (87a in the middle)."});
            f.cures.push_back({"Take the wire out of the hole, if what hangs on it is gone."});
            report_.findings.push_back(std::move(f));
        }
    }

    const View& now_;
    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule socket_mismatch = {
    "socket-mismatch",
    Severity::fault,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a fuse above what its slot, holder or its tails carry, or above the largest of its body; a relay that does not "
    "suit "
    "its base",
    "a fault; advice where only its body is not made for so much; a danger once the load itself is more than the seat "
    "carries (part-overloaded, which is then "
    "listed "
    "under it)",
    {
        "The fuse that is in it is larger than the slot or the holder is made for, or than the holder's tails carry; "
        "or the "
        "relay that is plugged in does not have the pins that its base is wired for.",
        "A fuse protects what it sits in only as far as that carries the fuse's rating. Someone puts in a larger one "
        "after "
        "it opened once, and the next time the box melts in place of the fuse.",
        "The fuse that belongs there, or a holder, tails and wire that carry the larger one. For a relay: the one that "
        "the "
        "base is wired for.",
        "What the file says of slot and holder. Bodies: mini blade fuses are made up to 30 A, blade up to 40 A, maxi "
        "blade "
        "up to 100 A (SAE J1284, ISO 8820-3). Tails: 33 CFR 183.425 Table 5 (written for boats), smaller sizes by "
        "common "
        "practice, less what a warm place takes off.",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A, holder 20 A
lamp E1, 55 W
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to E1, 2.5 mm2 red, 1 m
wire from E1 to ground, 2.5 mm2 black, 0.5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A, holder 20 A
lamp E1, 55 W
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to E1, 2.5 mm2 red, 1 m
wire from E1 to ground, 2.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
