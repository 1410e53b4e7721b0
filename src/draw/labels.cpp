#include "draw/labels.hpp"

#include "draw/along.hpp"
#include "draw/tried_word.hpp"
#include "draw/wire_runs.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <numeric>
#include <optional>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr double gap = 3.5;          // between a wire and its own label
constexpr double clearance = 2;      // between a label and anything else
constexpr double roomy = 6;          // the clearance looked for first, so that no label stands nearer to a strange wire
constexpr double word_space = 12;    // between words that are not read together, along the line: three spaces
constexpr double read_along = 8;     // so near, two lines are taken for one label
constexpr double off_a_mark = 10;    // so near, a label is taken for what a strange wire's mark speaks of
constexpr double nearer_by = 1.5;    // by what a label is nearer to its own wire than to any other
constexpr double long_run = 260;     // 65 mm
constexpr double repeat_every = 320; // 80 mm
constexpr double short_run = 200;    // 50 mm
constexpr double clearances[] = {roomy, clearance};
constexpr double tight = 1; // between thick neighbours there is no more room than that
constexpr double not_again_within = 150;
constexpr double step = 5;

class Placer {
  public:
    Placer(const Sketch& sketch, const Route& route, Taken& taken, const Box& within, bool leaders,
           bool marks_first = false)
        : sketch_(sketch),
          route_(route),
          taken_(taken),
          within_(within),
          leaders_(leaders),
          marks_first_(marks_first),
          runs_(sketch, route),
          labelled_(sketch.wires.size()),
          length_said_(sketch.wires.size(), false),
          label_boxes_(sketch.wires.size()) {}

    Placed run() {
        if (marks_first_) place_marks();
        place_flags();
        std::vector<int> order(sketch_.wires.size());
        std::iota(order.begin(), order.end(), 0);
        std::stable_sort(order.begin(), order.end(), [&](int a, int b) { return length(a) < length(b); });
        const std::vector<bool> silent = silent_wires();
        for (const int w : order) {
            const Wire& wire = sketch_.wires[index(w)];
            if (wire.mounting || wire.label.empty() || silent[index(w)]) continue;
            place_needed(w);
        }
        if (!marks_first_) place_marks();
        for (const int w : order) place_length(w);
        keep_within_ = true;
        for (const int w : order) {
            const Wire& wire = sketch_.wires[index(w)];
            if (wire.mounting || wire.label.empty() || silent[index(w)] || to_ground(wire)) continue;
            place_repeats(w);
        }
        return std::move(placed_);
    }

    bool has_homeless_mark() const { return has_homeless_mark_; }

  private:
    double length(int wire) const { return length_of(route_.paths[index(wire)]); }
    // Labelled at both ends. What has no name is told by its colour: its size need not stand twice where one looks at both ends at once.
    bool is_long(int w) const { return length(w) > (sketch_.wires[index(w)].name.empty() ? repeat_every : long_run); }
    SymbolKind kind_at(const End& end) const { return sketch_.symbols[index(end.symbol)].kind; }
    bool to_ground(const Wire& wire) const {
        return kind_at(wire.a) == SymbolKind::foot || kind_at(wire.b) == SymbolKind::foot;
    }

    // Short pieces of a run over plugs whose other piece says the same.
    std::vector<bool> silent_wires() const {
        std::vector<std::vector<int>> at_hole(sketch_.symbols.size());
        for (std::size_t w = 0; w < sketch_.wires.size(); ++w)
            for (const End& end : {sketch_.wires[w].a, sketch_.wires[w].b})
                if (kind_at(end) == SymbolKind::hole) at_hole[index(end.symbol)].push_back(static_cast<int>(w));
        std::vector<bool> silent(sketch_.wires.size(), false);
        for (const std::vector<int>& wires : at_hole) {
            if (wires.size() != 2 || sketch_.wires[index(wires[0])].label != sketch_.wires[index(wires[1])].label)
                continue;
            const int shorter = length(wires[0]) <= length(wires[1]) ? wires[0] : wires[1];
            const int other = shorter == wires[0] ? wires[1] : wires[0];
            if (length(shorter) < short_run && !silent[index(other)]) silent[index(shorter)] = true;
        }
        return silent;
    }

    // Two labels of one wire close above each other are read as one, and as one they must be nearest to their wire.
    Box with_what_is_read_along(int w, Box box) const {
        for (const Box& other : label_boxes_[index(w)])
            if (box.left < other.right && other.left < box.right && distance(box, other) < read_along)
                box.include(other);
        return box;
    }

    // Not one above the other like two lines of one label, and not at another wire's mark: both are read together.
    bool is_apart(int w, const Box& box, bool upright) const {
        if (!upright)
            for (std::size_t i = 0; i < boxes_.size(); ++i) {
                const Box& other = boxes_[i];
                if (box.left < other.right && other.left < box.right && other.top - box.bottom < read_along &&
                    box.top - other.bottom < read_along && placed_.wire_of[i] != w && !placed_.labels[i].upright)
                    return false;
            }
        return std::none_of(placed_.flags.begin(), placed_.flags.end(), [&](const Flag& flag) {
            return flag.is_mark && flag.wire != w && distance(box, flag.box) < off_a_mark;
        });
    }

    void no_place(int w, std::string text) {
        placed_.homeless.push_back(w);
        placed_.unplaced.push_back({w, std::move(text)});
    }

    void place_flags() {
        for (std::size_t w = 0; w < sketch_.wires.size(); ++w) {
            const Wire& wire = sketch_.wires[w];
            if (wire.job == 0 || wire.mounting) continue;
            const double whole = length(static_cast<int>(w));
            constexpr double both_ends_in_one = 48; // 12 mm: two flags there would stand side by side and say the same
            // Beside a cut end, a cap or a joint, which may have a flag of its own, the label needs the middle.
            const auto flagged = [&](int symbol) {
                const Symbol& s = sketch_.symbols[index(symbol)];
                return s.kind == SymbolKind::cut || s.kind == SymbolKind::cap || s.kind == SymbolKind::joint;
            };
            if (whole < both_ends_in_one && !flagged(wire.a.symbol) && !flagged(wire.b.symbol) &&
                flag_near(static_cast<int>(w), whole / 2, whole))
                continue;
            const bool first = flag_near(static_cast<int>(w), 10, whole);
            const bool last = flag_near(static_cast<int>(w), whole - 10, whole);
            const bool enough = whole < short_run ? first || last : first && last; // a short run is seen whole
            if (!enough) no_place(static_cast<int>(w), std::string("job ") + wire.job);
        }
    }

    struct FlagSize {
        double width, height, from_wire, clear;
        // How much farther any other wire is than its own; above 0, another wire's flag keeps off too.
        double alone = 0;
    };

    // Between two wires that run side by side there is room for a slim flag only.
    bool flag_near(int w, double wish, double whole) {
        constexpr FlagSize usual{15, 16, 3, 1.5}, slim{13, 16, 1.7, 1};
        constexpr FlagSize alone{15, 16, 3, 1.5, 6}, apart{15, 16, 3, 1.5, nearer_by},
            slim_apart{13, 16, 1.7, 1, nearer_by};
        constexpr double near = 50; // farther away a flag no longer speaks for the end
        // Nearer than that to another's flag, in one gap, either may belong to either wire: then rather behind the first bend.
        constexpr double behind_the_bend = 90;
        const double farthest = std::min(behind_the_bend, std::max(whole / 2, near));
        return flag_near(w, wish, whole, farthest, alone) || flag_near(w, wish, whole, near, apart) ||
               flag_near(w, wish, whole, farthest, slim_apart) || flag_near(w, wish, whole, near, usual) ||
               flag_near(w, wish, whole, near, slim) || flag_near(w, wish, whole, std::max(whole / 2, 30.0), slim);
    }

    // From the middle of the wire outwards: it speaks of the whole wire.
    void place_marks() {
        for (std::size_t w = 0; w < sketch_.wires.size(); ++w)
            for (const std::string& mark : sketch_.wires[w].remarks)
                if (!mark_near_middle(static_cast<int>(w), mark)) {
                    no_place(static_cast<int>(w), mark);
                    has_homeless_mark_ = true;
                }
    }
    bool mark_near_middle(int w, const std::string& mark) {
        const double whole = length(w);
        // First where nobody takes it for another wire's.
        for (const auto& [clear, alone] : {std::pair{1.5, 12.0}, {1.5, 0.0}, {0.5, 0.0}}) {
            const FlagSize size{mark_width(mark), mark_height, 2, clear, alone};
            for (double away = 0; away <= whole / 2; away += 3)
                for (const double sign : {1.0, -1.0})
                    if (put_flag(w, whole / 2 + sign * away, size, mark, true)) return true;
        }
        return false;
    }

    bool flag_near(int w, double wish, double whole, double farthest, const FlagSize& size) {
        for (double away = 0; away < farthest; away += 3)
            if (put_flag(w, wish < whole / 2 ? wish + away : wish - away, size,
                         std::string(1, sketch_.wires[index(w)].job), false))
                return true;
        return false;
    }

    bool beside_strange_flag(int w, const Box& box) const {
        constexpr double read_together = 12;
        return std::any_of(placed_.flags.begin(), placed_.flags.end(),
                           [&](const Flag& flag) { return flag.wire != w && distance(box, flag.box) < read_together; });
    }

    bool beside_strange_label(int w, const Box& box) const {
        for (std::size_t i = 0; i < boxes_.size(); ++i)
            if (placed_.wire_of[i] != w && distance(box, boxes_[i]) < off_a_mark) return true;
        return false;
    }

    bool put_flag(int w, double along, const FlagSize& size, const std::string& text, bool is_mark) {
        const double width = size.width, height = size.height;
        const Wire& wire = sketch_.wires[index(w)];
        const double side = half_width(wire) - heavier_edge(wire) + size.from_wire;
        const std::optional<Stop> spot = stop_at(route_.paths[index(w)], along);
        if (!spot) return false;
        const Point& p = spot->at;
        std::vector<Box> tries;
        if (spot->upright_run) {
            tries.push_back({p.x + side, p.y - height / 2, p.x + side + width, p.y + height / 2});
            tries.push_back({p.x - side - width, p.y - height / 2, p.x - side, p.y + height / 2});
        } else {
            tries.push_back({p.x - width / 2, p.y - side - height, p.x + width / 2, p.y - side});
            tries.push_back({p.x - width / 2, p.y + side, p.x + width / 2, p.y + side + height});
        }
        for (const Box& box : tries) {
            if (!taken_.is_free(box.grown(size.clear)) || !runs_.is_nearest(w, box, std::max(nearer_by, size.alone)))
                continue;
            if (size.alone > 0 && (beside_strange_flag(w, box) || (is_mark && beside_strange_label(w, box)))) continue;
            taken_.add(box);
            placed_.flags.push_back({w, box, text, is_mark});
            return true;
        }
        return false;
    }

    // The words of a wire's length, the best first: which piece it is of stands behind it where there is room for that.
    static std::vector<std::string> lengths_of(const Wire& wire) {
        if (wire.length.empty()) return {};
        if (wire.piece.empty()) return {wire.length};
        return {wire.length + wire.piece, wire.length};
    }

    void place_needed(int w) {
        const double whole = length(w);
        const double wish = is_long(w) ? 60 : whole / 2;
        const Wire& wire = sketch_.wires[index(w)];
        const double near = to_ground(wire) ? std::min(whole, 400.0) : whole;
        // With the length behind it or below it; only where neither has room, the length stands by itself, later.
        for (const std::string& length : lengths_of(wire)) {
            const std::string all = wire.label + ", " + length;
            length_said_[index(w)] = true;
            // Where not even what lies beyond the edge or near strange labels would do, a laxer round finds nothing either.
            bool may_do[std::size(clearances)][2] = {{true, true}, {true, true}};
            const Said ways[] = {{measured(all), true, false}, {measured(wire.label), true, false, measured(length)}};
            for (const auto& [kept_in, apart] : {std::pair{true, true}, {true, false}, {false, true}, {false, false}}) {
                keep_within_ = kept_in;
                apart_ = apart;
                bool done = false;
                for (std::size_t c = 0; c < std::size(clearances) && !done; ++c)
                    for (std::size_t way = 0; way < std::size(ways) && !done; ++way) {
                        if (!may_do[c][way]) continue;
                        done = place_along(w, ways[way], wish, 0, near, clearances[c]);
                        may_do[c][way] = would_do_;
                    }
                keep_within_ = apart_ = false;
                if (done) return;
            }
            // Name here and length there are read as two wires: better a little off, together.
            constexpr double near_by = 32;
            if (place_aside(w, all, near_by)) return;
            if (place_upright(w, all, wish, 0, near, false)) return;
            length_said_[index(w)] = false;
        }
        for (const double far : {near, whole})
            for (const double clear : {roomy, clearance})
                if (place_level(w, wire.label, wish, 0, far, clear)) return;
        if (place_upright(w, wire.label, wish, 0, whole, false)) return;
        for (const std::string& length : lengths_of(wire))
            if (leaders_ && place_aside(w, wire.label + ", " + length)) {
                length_said_[index(w)] = true;
                return;
            }
        if (leaders_ && place_aside(w, wire.label)) return;
        no_place(w, wire.label);
    }

    // A length that stands alone says whose it is.
    void place_length(int w) {
        const Wire& wire = sketch_.wires[index(w)];
        if (wire.mounting || wire.length.empty() || length_said_[index(w)]) return;
        const double whole = length(w);
        const std::string& name = wire.name.empty() ? wire.label : wire.name;
        const std::string before = name.empty() ? "" : name + ", ";
        // A long line is one more to follow: rather without the words that say of which piece.
        constexpr double near_by = 48, anywhere = 140;
        for (const double farthest : {near_by, anywhere})
            for (const std::string& length : lengths_of(wire)) {
                const std::string text = before + length;
                for (const bool apart : {true, false}) {
                    apart_ = apart;
                    const bool done = std::any_of(std::begin(clearances), std::end(clearances),
                                                  [&](double clear) {
                                                      return place_level(w, text, whole / 2, 0, whole, clear, true);
                                                  }) ||
                                      place_upright(w, text, whole / 2, 0, whole, true) ||
                                      place_aside(w, text, farthest);
                    apart_ = false;
                    if (done) return;
                }
            }
        no_place(w, before + wire.length + wire.piece);
    }

    void place_repeats(int w) {
        const double whole = length(w);
        const std::string& label = sketch_.wires[index(w)].label;
        if (!is_long(w)) return;
        const int others = std::max(0, static_cast<int>(std::lround((whole - 120) / repeat_every)) - 1);
        for (int i = 1; i <= others; ++i) {
            const double wish = 60 + i * (whole - 120) / (others + 1);
            if (!place_near(w, label, wish, wish - 90, wish + 90)) ++placed_.left_out;
        }
        if (!place_near(w, label, whole - 60, whole - 200, whole)) ++placed_.left_out;
    }

    // Level words anywhere in the window first, roomy before close; then upright ones.
    bool place_near(int w, const std::string& text, double wish, double low, double high) {
        constexpr std::pair<bool, double> ways[] = {
            {true, roomy}, {true, clearance}, {false, clearance}, {false, tight}};
        bool may_do[] = {true, true, true, true};
        for (const bool apart : {true, false})
            for (std::size_t way = 0; way < std::size(ways); ++way) {
                if (!may_do[way]) continue;
                apart_ = apart;
                const bool done =
                    place_along(w, {measured(text), ways[way].first, false}, wish, low, high, ways[way].second);
                apart_ = false;
                if (done) return true;
                may_do[way] = would_do_;
            }
        return false;
    }
    bool place_level(int w, const std::string& text, double wish, double low, double high, double clear,
                     bool beside_own = false) {
        return place_along(w, {measured(text), true, beside_own}, wish, low, high, clear);
    }

    bool place_upright(int w, const std::string& text, double wish, double low, double high, bool beside_own) {
        const Said said{measured(text), false, beside_own};
        return place_along(w, said, wish, low, high, clearance) || place_along(w, said, wish, low, high, tight);
    }

    // A little off, with a line to the wire: from the middle outwards, the shortest line first.
    bool place_aside(int w, const std::string& text, double farthest = 140) {
        const double whole = length(w);
        const Text measured_text = measured(text);
        const Box at_origin = box_of(Try{&measured_text, {}, Anchor::middle, false});
        const Wire& wire = sketch_.wires[index(w)];
        const double half = half_width(wire), heavier = heavier_edge(wire);
        std::vector<Aside> places;
        for (double away = 0; away <= whole / 2; away += 12)
            for (const double sign : {1.0, -1.0}) {
                if (away == 0 && sign < 0) continue;
                const std::optional<Stop> spot = stop_at(route_.paths[index(w)], whole / 2 + sign * away);
                if (!spot) continue;
                for (const double side : {1.0, -1.0}) {
                    Point at_wire = spot->at;
                    (spot->upright_run ? at_wire.x : at_wire.y) += side * half;
                    Aside place{spot->at, at_wire, spot->upright_run, side, {}, Taken::nowhere};
                    place.room = box_of(aside(measured_text, at_origin, place, 0, 0)).grown(clearance);
                    places.push_back(place);
                }
            }
        for (const double reach : {12.0, 20.0, 32.0, 48.0, 70.0, 100.0, 140.0}) {
            if (reach > farthest) break;
            for (const double lift : {0.0, -14.0, 14.0, -30.0, 30.0, -50.0, 50.0, -80.0, 80.0})
                for (Aside& place : places)
                    if (put_aside(w, measured_text, at_origin, place, place.side * (reach - heavier), lift))
                        return true;
        }
        return false;
    }

    // A side of a place on a wire, beside which a label is tried at several distances.
    struct Aside {
        Point at, at_wire; // on its axis, at its edge
        bool upright_run;
        double side; // 1: to the right or below
        Box room;    // the label's if it stood right at the wire, and what it keeps clear of
        Box in_the_way;
    };

    // So far from the wire and so far along it. `at_origin` is the text's room when its middle stands at 0, 0.
    static Try aside(const Text& text, const Box& at_origin, const Aside& place, double reach, double lift) {
        const Point &at = place.at, &at_wire = place.at_wire;
        if (place.upright_run)
            return {&text,
                    {at_wire.x + reach, at.y + lift - (at_origin.top + at_origin.bottom) / 2},
                    place.side > 0 ? Anchor::start : Anchor::end,
                    false};
        return {&text,
                {at.x + lift, at_wire.y + reach - (place.side > 0 ? at_origin.top : at_origin.bottom)},
                Anchor::middle,
                false};
    }

    bool put_aside(int w, const Text& text, const Box& at_origin, Aside& place, double reach, double lift) {
        constexpr double from_label = 2.5;
        // Most places are taken: this much is asked of all.
        const double right = place.upright_run ? reach : lift, down = place.upright_run ? lift : reach;
        const Box& beside = place.room;
        if (!taken_.is_free({beside.left + right, beside.top + down, beside.right + right, beside.bottom + down},
                            place.in_the_way))
            return false;
        const double side = place.side;
        const Point &at = place.at, &at_wire = place.at_wire;
        const Try word = aside(text, at_origin, place, reach, lift);
        const Box room = box_of(word);
        if (!taken_.is_free_of_words(with_space(room, false))) return false;
        const Leader leader{w,
                            place.upright_run
                                ? Point{word.at.x - side * from_label, at.y + lift}
                                : Point{std::clamp(at.x, word.at.x + at_origin.left, word.at.x + at_origin.right),
                                        at_wire.y + reach - side * from_label},
                            at_wire};
        if (apart_ && !is_apart(w, room, false)) return false;
        // The line meets nothing from its wire to its label.
        const double dx = leader.at_label.x - leader.at_wire.x, dy = leader.at_label.y - leader.at_wire.y;
        const double long_way = std::hypot(dx, dy);
        std::vector<Box> line;
        for (double along = 3; along <= long_way; along += 2) {
            const Point p{leader.at_wire.x + dx * along / long_way, leader.at_wire.y + dy * along / long_way};
            line.push_back(Box{p.x, p.y, p.x, p.y}.grown(1.5));
            if (!taken_.is_free(line.back())) return false;
        }
        if (runs_.beside_another(w, leader.at_wire)) return false;
        for (const Box& box : line) taken_.add(box);
        taken_.add_word(room);
        placed_.leaders.push_back(leader);
        stays(w, word);
        return true;
    }

    static Box with_space(const Box& box, bool upright) {
        const double x = upright ? clearance : word_space, y = upright ? word_space : clearance;
        return {box.left - x, box.top - y, box.right + x, box.bottom + y};
    }

    struct Said {
        Text text;
        bool level;
        bool beside_own; ///< may stand beside another word of the same wire
        Text below{};    ///< a second line; without words there is none
    };

    bool place_along(int w, const Said& said, double wish, double low, double high, double clear) {
        would_do_ = false;
        for (double away = 0; away <= high - low; away += step) {
            for (const double sign : {1.0, -1.0}) {
                const double at = wish + sign * away;
                if (at < low || at > high || (away == 0 && sign < 0)) continue;
                // Mostly what was in the way when the wire was last gone along; what was in the way of another wire is only asked in vain.
                const std::size_t place = 2 * static_cast<std::size_t>(away / step) + (sign < 0 ? 1 : 0);
                if (place >= in_the_way_.size()) in_the_way_.resize(place + 1, {Taken::nowhere, Taken::nowhere});
                if (place_at(w, said, at, clear, in_the_way_[place])) return true;
            }
        }
        return false;
    }

    // `clear` is how far the word keeps from everything strange; from its own wire it keeps at most `gap`.
    bool place_at(int w, const Said& said, double distance, double clear, std::array<Box, 2>& in_the_way) {
        const bool level = said.level, two_lines = said.below.words != nullptr;
        const Wire& wire = sketch_.wires[index(w)];
        const std::optional<Stop> spot = stop_at(route_.paths[index(w)], distance);
        if (!spot) return false;
        const Point& p = spot->at;
        const double side = half_width(wire) + std::min(gap - heavier_edge(wire), clear) + 0.2;
        // The room of the word when it stands at 0, 0.
        const auto word = [&](Point at, Anchor anchor, bool upright) { return Try{&said.text, at, anchor, upright}; };
        if (level && spot->upright_run) {
            const Box room = box_of(word({}, Anchor::start, false));
            const double low = (room.top + room.bottom) / 2;
            const double up = two_lines ? room.height() / 2 + 1 : 0; // half a pitch
            // A second line may reach beyond the end of a short wire: it is read with the first.
            if (std::min(spot->before, spot->after) < (up > 0 ? 4 : room.height() / 2 + 3)) return false;
            const auto stacked = [&](double x, Anchor anchor, Box& first_asked) {
                const Try below{&said.below, {x, p.y - low + up}, anchor, false};
                return put(w, word({x, p.y - low - up}, anchor, false), two_lines ? &below : nullptr, clear,
                           said.beside_own, first_asked);
            };
            return stacked(p.x + side, Anchor::start, in_the_way[0]) || stacked(p.x - side, Anchor::end, in_the_way[1]);
        }
        if (level) {
            const Box room = box_of(word({}, Anchor::middle, false));
            if (std::min(spot->before, spot->after) < room.width() / 2 - 4) return false;
            if (two_lines) {
                const double pitch = room.height() + 2;
                const auto stacked = [&](double y, Box& first_asked) {
                    const Try below{&said.below, {p.x, y + pitch}, Anchor::middle, false};
                    return put(w, word({p.x, y}, Anchor::middle, false), &below, clear, said.beside_own, first_asked);
                };
                return stacked(p.y - side - room.bottom - pitch, in_the_way[0]) ||
                       stacked(p.y + side - room.top, in_the_way[1]);
            }
            return put(w, word({p.x, p.y - side - room.bottom}, Anchor::middle, false), nullptr, clear, said.beside_own,
                       in_the_way[0]) ||
                   put(w, word({p.x, p.y + side - room.top}, Anchor::middle, false), nullptr, clear, said.beside_own,
                       in_the_way[1]);
        }
        if (two_lines) return false;
        const Box room = box_of(word({}, Anchor::middle, true));
        if (!spot->upright_run || std::min(spot->before, spot->after) < room.height() / 2) return false;
        return put(w, word({p.x - side - room.right, p.y}, Anchor::middle, true), nullptr, clear, said.beside_own,
                   in_the_way[0]) ||
               put(w, word({p.x + side - room.left, p.y}, Anchor::middle, true), nullptr, clear, said.beside_own,
                   in_the_way[1]);
    }

    void stays(int w, const Try& word) {
        placed_.labels.push_back({*word.text->words, word.at, word.anchor, WordKind::label, word.upright});
        placed_.wire_of.push_back(w);
        boxes_.push_back(box_of(word));
        label_boxes_[index(w)].push_back(boxes_.back());
    }

    // The side towards the own wire is as near as it is; the others keep clear. `second` may be null.
    bool put(int w, const Try& first, const Try* second, double clear, bool beside_own, Box& in_the_way) {
        Box box = box_of(first);
        if (second != nullptr) box.include(box_of(*second));
        const double near = std::min(clear, clearance);
        Box asked = box.grown(clear);
        if (first.anchor == Anchor::start)
            asked.left = box.left - near;
        else if (first.anchor == Anchor::end)
            asked.right = box.right + near;
        else
            asked = box.grown(near);
        if (!taken_.is_free(asked, in_the_way) || !taken_.is_free_of_words(with_space(box, first.upright)))
            return false;
        // Not beside one that says the same.
        const Point middle{(box.left + box.right) / 2, (box.top + box.bottom) / 2};
        for (const Point& other : labelled_[index(w)])
            if (!beside_own && std::abs(other.x - middle.x) < not_again_within &&
                std::abs(other.y - middle.y) < not_again_within)
                return false;
        if (!runs_.is_nearest(w, with_what_is_read_along(w, box), nearer_by)) return false;
        would_do_ = true;
        if (keep_within_ && (box.left < within_.left || box.right > within_.right)) return false;
        if (apart_ && !is_apart(w, box, first.upright)) return false;
        taken_.add_word(box);
        if (!beside_own) labelled_[index(w)].push_back({(box.left + box.right) / 2, (box.top + box.bottom) / 2});
        stays(w, first);
        if (second != nullptr) stays(w, *second);
        return true;
    }

    const Sketch& sketch_;
    const Route& route_;
    Taken& taken_;
    Box within_;
    bool keep_within_ = false;
    bool apart_ = false;    // labels keep off those of other wires above and below, and off strange marks
    bool would_do_ = false; // the last search along a wire found a place that only those two forbid
    bool leaders_;
    bool marks_first_; // else behind the labels that each wire needs, farther from them
    bool has_homeless_mark_ = false;
    WireRuns runs_;
    Placed placed_;
    std::vector<std::vector<Point>> labelled_;  // by wire: where its labels stand
    std::vector<bool> length_said_;             // by wire: its length stands in a label
    std::vector<std::vector<Box>> label_boxes_; // by wire, as in placed_
    std::vector<Box> boxes_;                    // by label, as in placed_
    // By place along a wire, from the one wished for outwards, on both sides: what was in the way there.
    std::vector<std::array<Box, 2>> in_the_way_;
};

} // namespace

Placed place_labels(const Sketch& sketch, const Route& route, Taken& taken, const Box& within, bool leaders,
                    bool last) {
    if (!last) return Placer(sketch, route, taken, within, leaders).run();
    const Taken before = taken;
    Placer placer(sketch, route, taken, within, leaders);
    Placed placed = placer.run();
    if (!placer.has_homeless_mark()) return placed;
    // What is dangerous must be seen where it is: labels give way, and find their places after it.
    taken = before;
    return Placer(sketch, route, taken, within, leaders, true).run();
}

} // namespace loomproof::draw
