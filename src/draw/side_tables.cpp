#include "draw/side_tables.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/hole_rows.hpp"
#include "draw/faces.hpp"
#include "draw/halves.hpp"
#include "draw/said.hpp"

#include <algorithm>
#include <map>

namespace loomproof::draw {
namespace {

using Lines = std::vector<std::string>;

class Tabler {
  public:
    explicit Tabler(const View& view) : view_(view), c_(view.circuit()) {}

    std::vector<SideTable> run() {
        for (const PartId id : view_.parts()) {
            if (c_.at(id).kind == Kind::connector) add_plug(id);
            if (c_.at(id).kind == Kind::relay) add_base(id);
        }
        return std::move(tables_);
    }

  private:
    static std::string joined(std::initializer_list<std::string> words, const char* by) {
        std::string out;
        for (const std::string& word : words)
            if (!word.empty()) out += (out.empty() ? "" : by) + word;
        return out;
    }

    using CircuitWire = loomproof::Wire;
    static std::string colour_of(const CircuitWire& w) {
        return w.colours.main + (w.colours.stripe.empty() ? "" : "/" + w.colours.stripe);
    }

    // "W14 1.5 BU/WH"
    std::string said(WireId id) const {
        const CircuitWire& w = c_.at(id);
        Doubts doubts; // the wire itself says what they are
        return joined({w.named ? w.name : "", size_text(w, doubts), colour_of(w)}, " ");
    }

    // Where the wire goes: over a joint in the run, the wire behind it.
    std::string other_end(WireId id, TerminalId here) const {
        const TerminalId there = c_.at(id).other(here);
        const Part& part = c_.part_of(there);
        const std::span<const WireId> wires = view_.wires_at(there);
        if ((part.kind == Kind::cut || part.kind == Kind::loose_end) && wires.size() == 2)
            return "joined to " + name_of(c_, wires[0] == id ? wires[1] : wires[0]);
        return name_of(c_, there);
    }

    std::string title_of(PartId id) const {
        const Part& part = c_.at(id);
        return joined({part.name, part.label}, " ") + (part.place.exists() ? ", " + c_.at(part.place).name : "");
    }

    // ---- plugs

    using Half = std::vector<TerminalId>; // of one half, hole by hole

    // Other holes of the same half with a wire of the same colour.
    std::string twins(const Half& half, TerminalId here) const {
        const std::span<const WireId> wires = view_.wires_at(here);
        if (wires.empty() || c_.at(wires.front()).colours.main.empty()) return {};
        std::string holes;
        for (const TerminalId t : half) {
            if (t == here || view_.wires_at(t).empty()) continue;
            if (c_.at(view_.wires_at(t).front()).colours == c_.at(wires.front()).colours)
                holes += (holes.empty() ? "" : ", ") + c_.at(t).stamp;
        }
        return holes.empty() ? "" : "colour also in " + holes;
    }

    std::string cell(const Half& half, TerminalId t) const {
        std::string text;
        for (const WireId w : view_.wires_at(t))
            text += (text.empty() ? "" : " and ") + said(w) + ", " + other_end(w, t);
        const std::string twin = twins(half, t);
        return text.empty() ? "no wire" : text + (twin.empty() ? "" : "; " + twin);
    }

    // What somebody saw in the hole before anything was traced.
    const PlugRow* seen_in(PartId id, const std::string& hole) const {
        const auto found = std::find_if(c_.plug_rows.begin(), c_.plug_rows.end(),
                                        [&](const PlugRow& r) { return r.connector == id && r.hole == hole; });
        return found == c_.plug_rows.end() ? nullptr : &*found;
    }

    static std::string said(const PlugRow& seen) {
        return seen.colours.main + (seen.colours.stripe.empty() ? "" : "/" + seen.colours.stripe);
    }

    // Holes as they stand; nothing where nobody recorded it.
    static std::vector<std::vector<int>> rows_of(std::size_t holes, const std::string& said) {
        std::vector<std::vector<int>> rows;
        const Result<HoleRows> known = said.empty() ? failure("") : hole_rows(said, holes);
        if (!known) return rows;
        for (const std::vector<int>& row : *known) {
            rows.emplace_back();
            for (const int hole : row) rows.back().push_back(hole - 1);
        }
        return rows;
    }

    // Nothing where the rows are not recorded: holes drawn side by side would be believed.
    Face face_of(PartId id, const Half& half, const Half& other_half, bool either, Lines& twins) const {
        Face face;
        face.rows = rows_of(half.size(), view_.word(id, Attr::hole_rows));
        if (face.rows.empty()) return {};
        face.type = Face::Type::plug;
        face.latch = lower(view_.word(id, Attr::latch));
        std::map<std::string, std::vector<std::size_t>> by_colour;
        for (std::size_t i = 0; i < half.size(); ++i) {
            FacePlace place;
            place.stamp = c_.at(half[i]).stamp;
            std::string colour;
            for (const WireId w : view_.wires_at(half[i])) {
                colour = colour_of(c_.at(w));
                if (!colour.empty()) place.lines.push_back(colour);
                if (c_.at(w).named) place.lines.push_back(c_.at(w).name);
            }
            // Where nobody said which half is which, either wire may be the one that is seen.
            if (either && !view_.wires_at(half[i]).empty())
                for (const WireId w : view_.wires_at(other_half[i])) {
                    const std::string other = joined({colour_of(c_.at(w)), c_.at(w).named ? c_.at(w).name : ""}, " ");
                    const std::string one = joined({colour, c_.at(view_.wires_at(half[i]).back()).named
                                                                ? c_.at(view_.wires_at(half[i]).back()).name
                                                                : ""},
                                                   " ");
                    if (!other.empty() && other != one) place.lines.push_back("or " + other);
                }
            const PlugRow* const seen = seen_in(id, place.stamp);
            if (view_.wires_at(half[i]).empty() && seen != nullptr) {
                colour = said(*seen);
                place.lines.push_back(colour);
            }
            if (place.lines.empty()) place.lines.emplace_back(view_.wires_at(half[i]).empty() ? "free" : "wire");
            if (!colour.empty()) by_colour[colour].push_back(face.places.size());
            face.places.push_back(std::move(place));
        }
        // Letters in the order of the holes.
        std::vector<std::vector<std::size_t>> groups;
        for (const auto& [colour, holes] : by_colour)
            if (holes.size() > 1) groups.push_back(holes);
        std::sort(groups.begin(), groups.end());
        for (std::size_t g = 0; g < groups.size() && g < 26; ++g) {
            const std::string letter(1, static_cast<char>('a' + g));
            Lines holes;
            for (const std::size_t h : groups[g]) {
                face.places[h].twin = letter;
                holes.push_back(face.places[h].stamp);
            }
            twins.push_back(letter + ": same colour in " + list_of(holes) + ", tag them");
        }
        return face;
    }

    void add_plug(PartId id) {
        constexpr std::size_t most_holes = 60; // what has more is a table only
        const Part& part = c_.at(id);
        SideTable table;
        table.title = "plug " + title_of(id);
        const std::string half = view_.word(id, Attr::plus_side);
        const Halves halves = half.empty() ? halves_of(view_, id)
                                           : Halves{true, false, std::vector<bool>(part.terminals.size() / 2, false)};
        Half one, other;
        for (std::size_t i = 0; i + 1 < part.terminals.size(); i += 2) {
            one.push_back(part.terminals[i + (halves.swapped[i / 2] ? 1 : 0)]);
            other.push_back(part.terminals[i + (halves.swapped[i / 2] ? 0 : 1)]);
        }
        const auto any_wire = [&](const Half& h) {
            return std::any_of(h.begin(), h.end(), [&](TerminalId t) { return !view_.wires_at(t).empty(); });
        };
        const bool first = any_wire(one), second = any_wire(other);
        const bool seen_only =
            std::any_of(one.begin(), one.end(), [&](TerminalId t) { return seen_in(id, c_.at(t).stamp) != nullptr; });
        const std::string one_is = !half.empty()         ? half + " side"
                                   : halves.supply_known ? "towards the battery"
                                   : halves.decided      ? "one half"
                                                         : "one wire, as typed";
        const std::string other_is = !half.empty()         ? "other side"
                                     : halves.supply_known ? "away from it"
                                     : halves.decided      ? "other half"
                                                           : "the other, as typed";
        if (!first && !second && !seen_only) return;
        const std::string side = view_.word(id, Attr::wire_side), latch = view_.word(id, Attr::latch),
                          mine = view_.word(id, Attr::numbering);
        const std::string from = side.empty()                 ? ""
                                 : side.starts_with("mating") ? "seen from the mating face"
                                                              : "seen from the wire side";
        const std::string numbered = mine.empty()                             ? ""
                                     : mine.find("mine") != std::string::npos ? "numbers yours"
                                                                              : "numbers as moulded";
        const std::string shown = first && second ? (halves.supply_known || !half.empty() ? "shown: " + one_is
                                                     : halves.decided ? "shown: the half of the first column"
                                                                      : "either wire of a hole may be on this half")
                                                  : "";
        Lines twins;
        if (part.terminals.size() / 2 <= most_holes)
            table.face =
                face_of(id, first || !second ? one : other, first || !second ? other : one, !halves.decided, twins);
        if (const std::string note = joined({from, latch.empty() ? "" : "latch " + latch, numbered}, ", ");
            !note.empty())
            table.notes.push_back(note);
        const bool has_face = table.face.type != Face::Type::none;
        if (has_face && from.empty())
            table.notes.emplace_back(mine.find("mine") != std::string::npos
                                         ? "seen from which side is not recorded: go by your numbers"
                                         : "seen from which side is not recorded: go by its moulded numbers");
        if (has_face && !shown.empty()) table.notes.push_back(shown);
        if (!has_face)
            table.notes.emplace_back(part.terminals.size() / 2 > most_holes
                                         ? "too many holes to draw: by number only"
                                         : "rows not recorded: holes by number only");
        table.notes.insert(table.notes.end(), twins.begin(), twins.end());
        if (first || second) {
            table.head = {"hole"};
            if (first) table.head.push_back(second || !half.empty() ? one_is : "wire");
            if (second) table.head.push_back(first ? other_is : "wire");
        } else if (!has_face) {
            table.head = {"hole", "colour seen"};
        }
        constexpr std::size_t most_free = 12; // of a plug with more holes only what is wired is listed
        for (std::size_t i = 0; i < one.size() && !table.head.empty(); ++i) {
            const bool wired = !view_.wires_at(one[i]).empty() || !view_.wires_at(other[i]).empty();
            const PlugRow* const seen = wired ? nullptr : seen_in(id, c_.at(one[i]).stamp);
            if (!wired && seen == nullptr && one.size() > most_free) continue;
            const std::string unwired = seen == nullptr   ? "free"
                                        : first || second ? said(*seen) + ", not traced"
                                                          : said(*seen);
            table.rows.push_back({c_.at(one[i]).stamp});
            if (first || !second) table.rows.back().push_back(wired ? cell(one, one[i]) : unwired);
            if (second) table.rows.back().push_back(wired ? cell(other, other[i]) : unwired);
            if (wired) table.about.push_back(part.name + ":" + c_.at(one[i]).stamp);
        }
        tables_.push_back(std::move(table));
    }

    // ---- relays

    static const char* use_of(Role role) {
        switch (role) {
        case Role::coil_plus:
        case Role::coil_minus: return "coil";
        case Role::common: return "contact, common";
        case Role::make: return "when pulled in";
        case Role::rest: return "at rest";
        default: return "";
        }
    }

    void add_base(PartId id) {
        const Part& part = c_.at(id);
        const bool wired = std::any_of(part.terminals.begin(), part.terminals.end(),
                                       [&](TerminalId t) { return !c_.at(t).internal && !view_.wires_at(t).empty(); });
        if (!wired) return;
        SideTable table;
        table.title = title_of(id);
        table.about = {part.name};
        const std::string base = view_.word(id, Attr::footprint);
        const Face::Type type = base == "mini"    ? Face::Type::mini_base
                                : base == "micro" ? Face::Type::micro_base
                                                  : Face::Type::none;
        if (type != Face::Type::none && fits(part, type)) {
            table.title = "base of " + table.title;
            table.notes = {base + " base, seen from the wire side",
                           "drawn from memory: the numbers moulded on yours decide"};
            table.face.type = type;
            draw_base(part, table.face);
        } else {
            table.notes.push_back(!base.empty()   ? "no picture: a " + base + " base has no such terminals"
                                  : is_bolted(id) ? "bolted: no base"
                                  : may_be_bolted(id)
                                      ? "no picture: plugged in or bolted is not said (type: studs, mini or micro)"
                                      : "no picture: its base is not said (type: mini or micro)");
            list_base(part, table);
        }
        tables_.push_back(std::move(table));
    }

    // Relays for that much are made with a base and with studs (common practice, no source: above 40 A).
    bool may_be_bolted(PartId id) const {
        constexpr double most_of_a_mini = 40;
        const Stated<Amps> rating = view_.amps(id, Attr::make_rating);
        return rating.known() && rating.nominal.si > most_of_a_mini;
    }

    // Said, or for more than plug-in relays are made for (common practice, no source: 70 A).
    bool is_bolted(PartId id) const {
        constexpr double most_plugged_in = 70;
        const Part& part = c_.at(id);
        const Stated<Amps> rating = view_.amps(id, Attr::make_rating);
        return (rating.known() && rating.nominal.si > most_plugged_in) ||
               std::any_of(part.attributes.begin(), part.attributes.end(), [&](const Attribute& a) {
                   return a.key == Attr::told && a.word == "studs" && a.life.at(view_.revision());
               });
    }

    bool fits(const Part& part, Face::Type base) const {
        return std::all_of(part.terminals.begin(), part.terminals.end(),
                           [&](TerminalId t) { return c_.at(t).internal || has_place_on_base(base, c_.at(t).stamp); });
    }

    void draw_base(const Part& part, Face& face) const {
        constexpr double widest = 170; // of the words beside a blade
        for (const TerminalId t : part.terminals) {
            if (c_.at(t).internal) continue;
            FacePlace place;
            place.stamp = c_.at(t).stamp;
            const auto say = [&](const std::string& text) {
                for (std::string& line :
                     paper::broken_into_lines(text, widest, size_of(WordKind::label), weight_of(WordKind::label)))
                    place.lines.push_back(std::move(line));
            };
            for (const WireId w : view_.wires_at(t)) {
                say(said(w));
                const std::string there = other_end(w, t);
                say(there.starts_with("joined to ") ? there : "to " + there);
            }
            if (place.lines.empty()) place.lines.emplace_back("free");
            face.places.push_back(std::move(place));
        }
    }

    // By the moulded numbers: it says nothing of where a blade stands, for bases differ, and a layout taken for the wrong one burns a coil.
    void list_base(const Part& part, SideTable& table) const {
        table.head = {"number", "", "wire", "goes to"};
        for (const TerminalId t : part.terminals) {
            if (c_.at(t).internal) continue;
            std::string wires, ends;
            for (const WireId w : view_.wires_at(t)) {
                wires += (wires.empty() ? "" : " and ") + said(w);
                ends += (ends.empty() ? "" : " and ") + other_end(w, t);
            }
            table.rows.push_back({c_.at(t).stamp, use_of(c_.at(t).role), wires.empty() ? "free" : wires, ends});
        }
    }

    const View& view_;
    const Circuit& c_;
    std::vector<SideTable> tables_;
};

} // namespace

std::vector<SideTable> side_tables_of(const View& view) { return Tabler(view).run(); }

} // namespace loomproof::draw
