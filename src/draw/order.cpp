#include "draw/order.hpp"

#include "draw/blocks.hpp"
#include "draw/chance.hpp"
#include "draw/rows.hpp"
#include "draw/walk.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr int relay_mirror_cost = 210; // a relay the other way round must save more than two crossings
constexpr int other_mirror_cost = 10;
constexpr int right_cost = 45; // the battery at the right: as bad as four mirrored switches, better than a crossing
constexpr int all_turned_cost = 60;              // where every pair stands the other way round
constexpr int all_turned_cost_remembered = 1500; // somebody knows that drawing
constexpr int enough_flawless = 24;
constexpr std::size_t most_pieces_of_rows = 400; // the search row by row finds good orders of so many
constexpr std::size_t fewest_lines = 6, most_lines = 20;

class Search {
  public:
    Search(const Sketch& sketch, const Weave& weave, const OrderOptions& options)
        : weave_(weave),
          options_(options),
          things_(things_of(sketch, weave, options.relays_either_way)),
          walk_(walk_down(things_)),
          rows_(things_) {
        name_nodes(sketch);
        find_homes(sketch);
        rows_.keep_to(home_);
    }

    std::vector<Arrangement> run() {
        const int starts = options_.starts > 0 ? options_.starts : starts_for_size();
        int flawless = 0;
        const bool large = weave_.pieces.size() > most_pieces_of_rows;
        lines();
        for (int start = 0; start < starts; ++start) {
            if (large && start % 2 == 0) continue; // lines are the better beginnings there
            begin(start);
            note(rows_.polish());
            // Nothing crosses and nothing is mirrored: a few starts more give arrangements to choose the bends from, then it is enough.
            if (best_.front().flawless && ++flawless >= enough_flawless) break;
        }
        calm(starts);
        return std::move(best_);
    }

  private:
    // ---- the line of all blocks: first as several walks meet them, then shaken from the best so far

    void lines() {
        constexpr int most_rounds = 6;
        constexpr std::uint64_t shakes = 3;
        const auto starts =
            static_cast<int>(std::clamp(std::size_t{10000} / (weave_.pieces.size() + 1), fewest_lines, most_lines));
        const int walks = starts / 2;
        std::optional<Blocks> best;
        std::vector<bool> best_mirrored;
        int lowest = 0;
        for (int i = 0; i < starts; ++i) {
            start_ = static_cast<std::uint64_t>(2000000 + i);
            std::optional<Blocks> blocks;
            std::vector<bool> mirrored(things_.size(), false);
            if (i < walks)
                blocks.emplace(things_, home_, i == 0 ? walk_ : walk_down(things_, drawn_ranks()));
            else {
                blocks = best;
                mirrored = best_mirrored;
                for (std::uint64_t s = 0; s < shakes; ++s) blocks->shake(drawn(13 + s));
            }
            bool moved = true;
            for (int round = 0; round < most_rounds && moved; ++round) {
                moved = blocks->sift(mirrored);
                rows_.put(blocks->rows(), mirrored, false);
                note(rows_.polish());
                mirrored = rows_.mirrored();
            }
            const int cost = rows_.crossings() * crossing_cost + rows_.mirror_costs();
            if (best && cost > lowest) continue;
            lowest = cost;
            best_mirrored = std::move(mirrored);
            best = std::move(blocks);
        }
    }
    std::vector<std::uint64_t> drawn_ranks() const {
        std::vector<std::uint64_t> ranks;
        for (std::size_t n = 0; n < things_.size(); ++n) ranks.push_back(drawn(static_cast<int>(n), 12));
        return ranks;
    }

    // Takes a branch of the walk out of the best and puts it back where the walk has it, as it is, in the walk's order or the other way
    // round, and sees whether it can stay so.
    void calm(int starts) {
        for (int i = 0; i < starts; ++i) {
            start_ = static_cast<std::uint64_t>(1000000 + i);
            put_one_of_the_best(7);
            const auto root = static_cast<std::size_t>(drawn(8) % things_.size());
            const int how = i == 0 ? 1 : static_cast<int>(drawn(9) % 3);
            const int from = i == 0 ? 0 : walk_.met[root],
                      to = i == 0 ? static_cast<int>(things_.size()) : walk_.met[root] + walk_.branch[root];
            for (std::size_t r = 0; r < rows_.order().size(); ++r)
                rows_.put_row(r, replanted(rows_.order()[r], from, to, how));
            note(rows_.polish());
        }
    }
    std::vector<int> replanted(const std::vector<int>& row, int from, int to, int how) const {
        std::vector<int> branch, rest;
        for (const int n : row) (walk_.met[index(n)] >= from && walk_.met[index(n)] < to ? branch : rest).push_back(n);
        if (branch.empty()) return row;
        if (how == 1)
            std::sort(branch.begin(), branch.end(), [&](int a, int b) { return home_[index(a)] < home_[index(b)]; });
        if (how == 2) std::reverse(branch.begin(), branch.end());
        // Between those that the walk meets before and after it, as well as the row as it is allows.
        const int middle = home_[index(branch[branch.size() / 2])];
        int turned = 0, fewest = 0;
        std::size_t to_place = 0;
        for (std::size_t i = 0; i < rest.size(); ++i) {
            turned += home_[index(rest[i])] < middle ? -1 : 1;
            if (turned >= fewest) continue;
            fewest = turned;
            to_place = i + 1;
        }
        rest.insert(rest.begin() + static_cast<std::ptrdiff_t>(to_place), branch.begin(), branch.end());
        return rest;
    }

    int starts_for_size() const {
        const double size = static_cast<double>(weave_.pieces.size());
        // A start of a small sketch costs next to nothing.
        const double many = std::min(135.0, 0.27e8 / (size + 1) / (size + 1));
        return static_cast<int>(std::max(many, std::clamp(36000.0 / (size + 1), 6.0, 90.0)));
    }

    // ---- homes: the order that everything keeps to where that costs nothing

    // As the walk meets them; where an earlier drawing is known, as they stood there, and what is new near what it is wired to.
    void find_homes(const Sketch& sketch) {
        home_ = walk_.met;
        std::vector<double> place(things_.size(), -1);
        for (std::size_t n = 0; n < things_.size(); ++n)
            if (weave_.nodes[n].symbol >= 0) place[n] = sketch.symbols[index(weave_.nodes[n].symbol)].stood_at;
        remembers_ = std::any_of(place.begin(), place.end(), [](double x) { return x >= 0; });
        std::vector<int> order = walk_.order;
        if (remembers_) {
            order = by_home(things_, std::move(place), walk_.met);
            for (std::size_t i = 0; i < order.size(); ++i) home_[index(order[i])] = static_cast<int>(i);
        }
        home_rows_.resize(weave_.rows.size());
        for (const int n : order) home_rows_[index(things_[index(n)].row)].push_back(n);
    }

    // ---- chance by name

    void name_nodes(const Sketch& sketch) {
        names_.assign(things_.size(), 0);
        for (std::size_t n = 0; n < things_.size(); ++n)
            if (weave_.nodes[n].symbol >= 0) names_[n] = number_of(sketch.symbols[index(weave_.nodes[n].symbol)].key);
        // A wire's turns and passes by their place on it.
        for (std::size_t w = 0; w < weave_.chains.size(); ++w) {
            std::uint64_t place = 0;
            for (const int p : weave_.chains[w])
                for (const int n : {weave_.pieces[index(p)].upper, weave_.pieces[index(p)].lower})
                    if (weave_.nodes[index(n)].symbol < 0 && names_[index(n)] == 0)
                        names_[index(n)] = mixed(number_of(sketch.wires[w].key), ++place);
        }
    }
    // What chance gives this node at this start; `what` tells the questions apart.
    std::uint64_t drawn(int node, std::uint64_t what) const {
        return mixed(mixed(names_[index(node)], start_), what + options_.seed * 1000003);
    }
    std::uint64_t drawn(std::uint64_t what) const { return mixed(start_, what + options_.seed * 1000003); }

    // ---- starting rows

    // The first from the rows at home, every other from the best so far, the rest from home with more or less disorder.
    void begin(int start) {
        start_ = static_cast<std::uint64_t>(start);
        if (start % 2 == 0) {
            from_home(start);
            sweep(start > 0);
        } else {
            put_one_of_the_best(1);
            if (start % 32 == 3) {
                turn_all();
                sweep(false);
            } else
                shake();
        }
    }

    void put_one_of_the_best(std::uint64_t what) {
        const Arrangement& best = best_[drawn(what) % best_.size()];
        rows_.put(best.rows, best.mirrored, best.settled);
    }

    // The whole drawing the other way round, relays as they were: as good, but for the battery's side.
    void turn_all() {
        for (std::size_t r = 0; r < rows_.order().size(); ++r) {
            std::vector<int> row = rows_.order()[r];
            std::reverse(row.begin(), row.end());
            rows_.put_row(r, row);
        }
        for (std::size_t n = 0; n < things_.size(); ++n)
            if (things_[n].mirror_cost == other_mirror_cost)
                rows_.set_mirrored(static_cast<int>(n), !rows_.mirrored()[n]);
    }

    // A few nodes of one row go somewhere else in it, and the rows below follow the one above them and those above the one below.
    void shake() {
        const auto shaken = static_cast<std::size_t>(drawn(2) % rows_.order().size());
        std::vector<int> row = rows_.order()[shaken];
        const std::size_t moves = 1 + drawn(3) % 3;
        for (std::size_t i = 0; i < moves && row.size() > 1; ++i) {
            const std::size_t from = drawn(10 + 2 * i) % row.size(), to = drawn(11 + 2 * i) % row.size();
            const int moved = row[from];
            row.erase(row.begin() + static_cast<std::ptrdiff_t>(from));
            row.insert(row.begin() + static_cast<std::ptrdiff_t>(to), moved);
        }
        rows_.put_row(shaken, row);
        for (std::size_t r = shaken + 1; r < rows_.order().size(); ++r) rows_.follow(r, true);
        for (std::size_t r = shaken; r-- > 0;) rows_.follow(r, false);
    }

    void from_home(int start) {
        Rows::Order rows = home_rows_;
        std::vector<bool> mirrored(things_.size(), false);
        if (start > 0)
            for (std::vector<int>& row : rows)
                disorder(row, static_cast<double>(row.size()) * (start % 8 == 0   ? 16
                                                                 : start % 8 == 2 ? 0.15
                                                                 : start % 8 == 4 ? 0.3
                                                                                  : 1));
        if (start % 4 == 2)
            for (std::size_t n = 0; n < things_.size(); ++n)
                if (things_[n].mirror_cost == other_mirror_cost) mirrored[n] = drawn(static_cast<int>(n), 4) % 2 == 1;
        rows_.put(rows, mirrored, false);
    }

    void disorder(std::vector<int>& row, double by) {
        wanted_.clear();
        for (std::size_t i = 0; i < row.size(); ++i)
            wanted_.emplace_back(static_cast<double>(i) + by * part_of(drawn(row[i], 5)), row[i]);
        std::stable_sort(wanted_.begin(), wanted_.end(),
                         [](const auto& a, const auto& b) { return a.first < b.first; });
        for (std::size_t i = 0; i < row.size(); ++i) row[i] = wanted_[i].second;
    }

    // Barycentre sweeps, down and up in turn, with noise that fades.
    void sweep(bool noisy) {
        constexpr int sweeps = 10;
        constexpr double noise = 3.0;
        const std::size_t count = rows_.order().size();
        bool down = noisy ? drawn(6) % 2 == 0 : true;
        int unmoved = 0;
        for (int s = 0; s < sweeps && unmoved < 2; ++s, down = !down) {
            const double fade = noisy ? noise * std::max(0.0, 1.0 - s / (0.6 * sweeps)) : 0.0;
            std::function<double(int)> with_noise;
            if (fade > 0)
                with_noise = [&, s](int n) {
                    return (part_of(drawn(n, 100 + static_cast<std::uint64_t>(s))) - 0.5) * 2 * fade;
                };
            bool moved = fade > 0;
            if (down)
                for (std::size_t r = 1; r < count; ++r) moved = rows_.follow(r, true, with_noise) || moved;
            else
                for (std::size_t r = count - 1; r-- > 0;) moved = rows_.follow(r, false, with_noise) || moved;
            unmoved = moved ? 0 : unmoved + 1;
        }
    }

    // ---- what has been found

    // 0 where what should be on the left (the battery) feeds things at the very left, `right_cost` where at the very right.
    int left_penalty() const {
        double sum = 0;
        int wanted = 0;
        for (const Thing& thing : things_) {
            if (!thing.left_wanted) continue;
            for (const Touch& t : thing.below) {
                const std::size_t others = rows_.order()[index(things_[index(t.other)].row)].size() - 1;
                sum += others == 0 ? 0 : static_cast<double>(rows_.place_of(t.other)) / static_cast<double>(others);
                ++wanted;
            }
        }
        return wanted == 0 ? 0 : static_cast<int>(sum / wanted * right_cost);
    }

    void note(bool settled) {
        Arrangement found;
        const int mirrored = rows_.mirror_costs();
        found.crossings = rows_.crossings();
        found.turned = rows_.turned_pairs();
        found.flawless = found.crossings == 0 && mirrored == 0;
        found.cost = found.crossings * crossing_cost + mirrored + left_penalty() + turned_cost(found.turned);
        if (!best_.empty() && found.cost > best_.front().cost) return;
        found.rows = rows_.order();
        found.mirrored = rows_.mirrored();
        found.settled = settled;
        if (!best_.empty() && found.cost < best_.front().cost) best_.clear();
        if (std::find(best_.begin(), best_.end(), found) != best_.end()) return;
        const auto calmer = [](const Arrangement& a, const Arrangement& b) { return a.turned < b.turned; };
        best_.insert(std::upper_bound(best_.begin(), best_.end(), found, calmer), std::move(found));
        if (best_.size() > options_.keep) best_.pop_back();
    }

    int turned_cost(int turned) const {
        long long pairs = 1;
        for (const std::vector<int>& row : weave_.rows)
            pairs += static_cast<long long>(row.size()) * static_cast<long long>(row.size() - 1) / 2;
        return static_cast<int>(static_cast<long long>(turned) *
                                (remembers_ ? all_turned_cost_remembered : all_turned_cost) / pairs);
    }

    const Weave& weave_;
    const OrderOptions& options_;
    const std::vector<Thing> things_;
    const Walk walk_;
    std::vector<std::uint64_t> names_; // by node, from the keys
    std::vector<int> home_;            // by node: its rank in the order to keep to
    Rows::Order home_rows_;
    bool remembers_ = false; // an earlier drawing is known
    std::uint64_t start_ = 0;
    Rows rows_;
    std::vector<Arrangement> best_;
    std::vector<std::pair<double, int>> wanted_;
};

} // namespace

std::vector<Thing> things_of(const Sketch& sketch, const Weave& weave, bool relays_either_way) {
    std::vector<Thing> things(weave.nodes.size());
    for (std::size_t n = 0; n < things.size(); ++n) {
        const Node& node = weave.nodes[n];
        Thing& thing = things[n];
        thing.row = node.row;
        if (node.type != Node::Type::body) continue;
        const Symbol& symbol = sketch.symbols[index(node.symbol)];
        const SymbolRow& row = row_of(symbol.kind);
        thing.cells = weave.bodies[index(node.symbol)].cells;
        if (row.may_mirror)
            thing.mirror_cost = row.always_same_way && !relays_either_way ? relay_mirror_cost : other_mirror_cost;
        thing.left_wanted = symbol.kind == SymbolKind::battery;
    }
    for (std::size_t p = 0; p < weave.pieces.size(); ++p) {
        const Piece& piece = weave.pieces[p];
        const int id = static_cast<int>(p);
        const int up = seat_cell(weave, piece.upper, id, false), low = seat_cell(weave, piece.lower, id, true);
        things[index(piece.upper)].below.push_back({piece.lower, up, low});
        things[index(piece.lower)].above.push_back({piece.upper, low, up});
    }
    return things;
}

std::vector<Arrangement> arrange(const Sketch& sketch, const Weave& weave, const OrderOptions& options) {
    return Search(sketch, weave, options).run();
}

} // namespace loomproof::draw
