#include "draw/order.hpp"

#include "draw/chance.hpp"
#include "draw/walk.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr int crossing_cost = 100;
constexpr int relay_mirror_cost = 210; // a relay the other way round must save more than two crossings
constexpr int other_mirror_cost = 10;
constexpr int right_cost = 45; // the battery at the right: as bad as four mirrored switches, better than a crossing
constexpr int all_turned_cost = 60;              // where every pair stands the other way round
constexpr int all_turned_cost_remembered = 1500; // somebody knows that drawing
constexpr int enough_flawless = 24;
constexpr int places = 4096; // more columns than any symbol has

class Search {
  public:
    Search(const Sketch& sketch, const Weave& weave, const OrderOptions& options) : weave_(weave), options_(options) {
        things_.resize(weave.nodes.size());
        for (std::size_t n = 0; n < things_.size(); ++n) {
            const Node& node = weave.nodes[n];
            Thing& thing = things_[n];
            thing.row = node.row;
            if (node.type == Node::Type::body) {
                const Symbol& symbol = sketch.symbols[index(node.symbol)];
                const SymbolRow& row = row_of(symbol.kind);
                thing.cells = weave.bodies[index(node.symbol)].cells;
                if (row.may_mirror)
                    thing.mirror_cost =
                        row.always_same_way && !options.relays_either_way ? relay_mirror_cost : other_mirror_cost;
                thing.left_wanted = symbol.kind == SymbolKind::battery;
            }
        }
        for (std::size_t p = 0; p < weave.pieces.size(); ++p) {
            const Piece& piece = weave.pieces[p];
            const int id = static_cast<int>(p);
            const int up = seat_cell(weave, piece.upper, id, false), low = seat_cell(weave, piece.lower, id, true);
            things_[index(piece.upper)].below.push_back({piece.lower, up, low});
            things_[index(piece.lower)].above.push_back({piece.upper, low, up});
        }
        pos_.assign(things_.size(), 0);
        mirrored_.assign(things_.size(), false);
        name_nodes(sketch);
        rows_ = weave.rows;
        walk_order();
        find_homes(sketch);
        renumber();
    }

    std::vector<Arrangement> run() {
        const int starts = options_.starts > 0 ? options_.starts : starts_for_size();
        int flawless = 0;
        for (int start = 0; start < starts; ++start) {
            begin(start);
            if (shaken_row_ >= 0)
                sweep_outwards(static_cast<std::size_t>(shaken_row_));
            else
                sweep(start == 0 ? 0.0 : 3.0);
            polish();
            note();
            // Nothing crosses and nothing is mirrored: a few starts more give arrangements to choose the bends from, then it is enough.
            if (best_.front().flawless && ++flawless >= enough_flawless) break;
        }
        calm(starts);
        return std::move(best_);
    }

  private:
    // Takes a branch of the walk out of the best and puts it back where the walk has it, as it is, in the walk's order or the other way
    // round, and sees whether it can stay so.
    void calm(int starts) {
        for (int i = 0; i < starts; ++i) {
            start_ = static_cast<std::uint64_t>(1000000 + i);
            const Arrangement& best = best_[drawn(7) % best_.size()];
            rows_ = best.rows;
            mirrored_ = best.mirrored;
            const auto root = static_cast<std::size_t>(drawn(8) % things_.size());
            const int how = i == 0 ? 1 : static_cast<int>(drawn(9) % 3);
            const int from = i == 0 ? 0 : walk_[root],
                      to = i == 0 ? static_cast<int>(things_.size()) : walk_[root] + branch_[root];
            for (std::vector<int>& row : rows_) replant(row, from, to, how);
            renumber();
            polish();
            note();
        }
    }
    void replant(std::vector<int>& row, int from, int to, int how) {
        std::vector<int> branch, rest;
        for (const int n : row) (walk_[index(n)] >= from && walk_[index(n)] < to ? branch : rest).push_back(n);
        if (branch.empty()) return;
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
        row = std::move(rest);
    }
    int starts_for_size() const {
        const double size = static_cast<double>(weave_.pieces.size());
        // A start of a small sketch costs next to nothing.
        const double many = std::min(450.0, 0.9e8 / (size + 1) / (size + 1));
        return static_cast<int>(std::max(many, std::clamp(120000.0 / (size + 1), 6.0, 300.0)));
    }

    int cell(const Thing& thing, bool mirrored, int cell) const { return mirrored ? thing.cells - 1 - cell : cell; }
    int key(int node, int own) const {
        return pos_[index(node)] * places + cell(things_[index(node)], mirrored_[index(node)], own);
    }

    void renumber() {
        for (const std::vector<int>& row : rows_) renumber(row);
    }
    void renumber(const std::vector<int>& row) {
        for (std::size_t i = 0; i < row.size(); ++i) pos_[index(row[i])] = static_cast<int>(i);
    }

    // ---- crossings between a row and the next one

    int crossings_below(std::size_t row) {
        lines_.clear();
        for (const int n : rows_[row])
            for (const Touch& t : things_[index(n)].below)
                lines_.emplace_back(key(n, t.own_cell), key(t.other, t.other_cell));
        std::sort(lines_.begin(), lines_.end());
        // Pairs that are in order above and strictly out of order below; pieces at one terminal never cross each other.
        int count = 0;
        sorted_.clear();
        std::size_t begin = 0;
        while (begin < lines_.size()) {
            std::size_t end = begin;
            while (end < lines_.size() && lines_[end].first == lines_[begin].first) {
                const auto at = std::upper_bound(sorted_.begin(), sorted_.end(), lines_[end].second);
                count += static_cast<int>(sorted_.end() - at);
                ++end;
            }
            for (; begin < end; ++begin)
                sorted_.insert(std::upper_bound(sorted_.begin(), sorted_.end(), lines_[begin].second),
                               lines_[begin].second);
        }
        return count;
    }

    int all_crossings() {
        int sum = 0;
        for (std::size_t r = 0; r + 1 < rows_.size(); ++r) sum += crossings_below(r);
        return sum;
    }

    int mirror_costs() const {
        int sum = 0;
        for (std::size_t n = 0; n < things_.size(); ++n)
            if (mirrored_[n]) sum += things_[n].mirror_cost;
        return sum;
    }

    // ---- homes: the order that everything keeps to where that costs nothing

    // As the walk meets them; where an earlier drawing is known, as they stood there, and what is new near what it is wired to.
    void find_homes(const Sketch& sketch) {
        home_ = walk_ = met_;
        std::vector<double> place(things_.size(), -1);
        for (std::size_t n = 0; n < things_.size(); ++n)
            if (weave_.nodes[n].symbol >= 0) place[n] = sketch.symbols[index(weave_.nodes[n].symbol)].stood_at;
        remembers_ = std::any_of(place.begin(), place.end(), [](double x) { return x >= 0; });
        if (!remembers_) return;
        const std::vector<int> order = by_home(things_, std::move(place), met_);
        for (std::size_t i = 0; i < order.size(); ++i) home_[index(order[i])] = static_cast<int>(i);
        for (std::vector<int>& row : rows_)
            std::sort(row.begin(), row.end(), [&](int a, int b) { return home_[index(a)] < home_[index(b)]; });
        home_rows_ = rows_;
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

    void begin(int start) {
        start_ = static_cast<std::uint64_t>(start);
        const bool from_best = start > 0 && start % 2 == 1 && !best_.empty();
        shaken_row_ = -1;
        if (from_best) {
            const Arrangement& best = best_[drawn(1) % best_.size()];
            rows_ = best.rows;
            mirrored_ = best.mirrored;
            // The whole drawing the other way round, relays as they were: as good, but for the battery's side.
            if (start % 32 == 3) {
                for (std::vector<int>& row : rows_) std::reverse(row.begin(), row.end());
                for (std::size_t n = 0; n < things_.size(); ++n)
                    if (things_[n].mirror_cost == other_mirror_cost) mirrored_[n] = !mirrored_[n];
                noisy_ = false;
                renumber();
                return;
            }
            // Shake it: a few nodes of one row go somewhere else in it, and what hangs on them follows.
            shaken_row_ = static_cast<int>(drawn(2) % rows_.size());
            std::vector<int>& row = rows_[index(shaken_row_)];
            const std::size_t moves = 1 + drawn(3) % 3;
            for (std::size_t i = 0; i < moves && row.size() > 1; ++i) {
                const std::size_t from = drawn(10 + 2 * i) % row.size(), to = drawn(11 + 2 * i) % row.size();
                const int moved = row[from];
                row.erase(row.begin() + static_cast<std::ptrdiff_t>(from));
                row.insert(row.begin() + static_cast<std::ptrdiff_t>(to), moved);
            }
            noisy_ = false;
        } else {
            mirrored_.assign(things_.size(), false);
            if (remembers_)
                rows_ = home_rows_;
            else
                walk_order();
            // From there with more or less disorder.
            if (start > 0)
                for (std::vector<int>& row : rows_)
                    disorder(row, static_cast<double>(row.size()) * (start % 8 == 0   ? 16
                                                                     : start % 8 == 2 ? 0.15
                                                                     : start % 8 == 4 ? 0.3
                                                                                      : 1));
            if (start % 4 == 2)
                for (std::size_t n = 0; n < things_.size(); ++n)
                    if (things_[n].mirror_cost == other_mirror_cost)
                        mirrored_[n] = drawn(static_cast<int>(n), 4) % 2 == 1;
            noisy_ = start > 0;
        }
        renumber();
    }

    void disorder(std::vector<int>& row, double by) {
        wanted_.clear();
        for (std::size_t i = 0; i < row.size(); ++i)
            wanted_.emplace_back(static_cast<double>(i) + by * part_of(drawn(row[i], 5)), row[i]);
        std::stable_sort(wanted_.begin(), wanted_.end(),
                         [](const auto& a, const auto& b) { return a.first < b.first; });
        for (std::size_t i = 0; i < row.size(); ++i) row[i] = wanted_[i].second;
    }

    // The plain start: rows in the order in which a walk down the wires meets the nodes.
    void walk_order() {
        for (std::vector<int>& row : rows_) row.clear();
        Walk walk = walk_down(things_);
        for (const int n : walk.order) rows_[index(things_[index(n)].row)].push_back(n);
        met_ = std::move(walk.met);
        branch_ = std::move(walk.branch);
    }

    // ---- barycentre sweeps

    void sweep(double noise) {
        const int sweeps = 10;
        bool down = noisy_ ? drawn(6) % 2 == 0 : true;
        for (int s = 0; s < sweeps; ++s, down = !down) {
            sweep_ = static_cast<std::uint64_t>(s);
            const double fade = noisy_ ? noise * std::max(0.0, 1.0 - s / (0.6 * sweeps)) : 0.0;
            if (down)
                for (std::size_t r = 1; r < rows_.size(); ++r) sort_row(r, true, fade);
            else
                for (std::size_t r = rows_.size() - 1; r-- > 0;) sort_row(r, false, fade);
        }
    }

    // The rows below follow the one above them and those above the one below, from `row` on.
    void sweep_outwards(std::size_t row) {
        for (std::size_t r = row + 1; r < rows_.size(); ++r) sort_row(r, true, 0);
        for (std::size_t r = row; r-- > 0;) sort_row(r, false, 0);
    }

    double centre(const std::vector<Touch>& touches) const {
        double sum = 0;
        for (const Touch& t : touches) {
            const Thing& other = things_[index(t.other)];
            const int c = cell(other, mirrored_[index(t.other)], t.other_cell);
            sum += pos_[index(t.other)] + (c + 0.5) / other.cells - 0.5;
        }
        return sum / static_cast<double>(touches.size());
    }

    void sort_row(std::size_t r, bool from_above, double noise) {
        std::vector<int>& row = rows_[r];
        wanted_.clear();
        double last = 0;
        for (const int n : row) {
            const std::vector<Touch>& touches = from_above ? things_[index(n)].above : things_[index(n)].below;
            // A node without neighbours on that side stays beside the one before it.
            double place = touches.empty() ? last + 0.01 : centre(touches);
            last = place;
            if (noise > 0) place += (part_of(drawn(n, 100 + sweep_)) - 0.5) * 2 * noise;
            wanted_.emplace_back(place, n);
        }
        std::stable_sort(wanted_.begin(), wanted_.end(),
                         [](const auto& a, const auto& b) { return a.first < b.first; });
        for (std::size_t i = 0; i < row.size(); ++i) row[i] = wanted_[i].second;
        renumber(row);
    }

    // ---- exchanges, sifting, mirroring

    void fill_keys(const std::vector<int>& row) {
        if (keys_.size() < things_.size()) keys_.resize(things_.size());
        for (const int n : row) {
            Keys& keys = keys_[index(n)];
            const auto fill = [&](std::vector<int>& into, const std::vector<Touch>& touches) {
                into.clear();
                for (const Touch& t : touches) into.push_back(key(t.other, t.other_cell));
                std::sort(into.begin(), into.end());
            };
            fill(keys.above, things_[index(n)].above);
            fill(keys.below, things_[index(n)].below);
        }
    }

    static int inverted(const std::vector<int>& left, const std::vector<int>& right) {
        int count = 0;
        std::size_t smaller = 0;
        for (const int l : left) {
            while (smaller < right.size() && right[smaller] < l) ++smaller;
            count += static_cast<int>(smaller);
        }
        return count;
    }

    // Crossings of the pieces of two nodes with each other if `left` stands left of `right`, less those if it stood right.
    // Where it makes no difference, the one that the walk meets first is better on the left.
    int gain(int left, int right) const {
        constexpr int a_crossing = 4096;
        const Keys &l = keys_[index(left)], &r = keys_[index(right)];
        const int crossings = inverted(l.above, r.above) + inverted(l.below, r.below) - inverted(r.above, l.above) -
                              inverted(r.below, l.below);
        return crossings * a_crossing + (home_[index(left)] > home_[index(right)] ? 1 : -1);
    }

    bool sift_row(std::size_t r) {
        std::vector<int>& row = rows_[r];
        if (row.size() < 2) return false;
        fill_keys(row);
        bool better = false;
        const std::vector<int> nodes = row;
        for (const int n : nodes) {
            const auto at = static_cast<std::size_t>(std::find(row.begin(), row.end(), n) - row.begin());
            int best = 0, sum = 0;
            std::size_t to = at;
            for (std::size_t i = at; i-- > 0;) {
                sum -= gain(row[i], n);
                if (sum < best) {
                    best = sum;
                    to = i;
                }
            }
            sum = 0;
            for (std::size_t i = at + 1; i < row.size(); ++i) {
                sum -= gain(n, row[i]);
                if (sum < best) {
                    best = sum;
                    to = i;
                }
            }
            if (best >= 0) continue;
            better = true;
            row.erase(row.begin() + static_cast<std::ptrdiff_t>(at));
            row.insert(row.begin() + static_cast<std::ptrdiff_t>(to), n);
        }
        if (better) renumber(row);
        return better;
    }

    int crossings_around(int row) {
        int sum = 0;
        if (row > 0) sum += crossings_below(index(row) - 1);
        if (index(row) + 1 < rows_.size()) sum += crossings_below(index(row));
        return sum;
    }

    bool mirror_nodes() {
        bool better = false;
        for (std::size_t n = 0; n < things_.size(); ++n) {
            const Thing& thing = things_[n];
            if (thing.mirror_cost < 0 || thing.above.size() + thing.below.size() < 2) continue;
            const int before = crossings_around(thing.row) * crossing_cost + (mirrored_[n] ? thing.mirror_cost : 0);
            mirrored_[n] = !mirrored_[n];
            const int after = crossings_around(thing.row) * crossing_cost + (mirrored_[n] ? thing.mirror_cost : 0);
            if (after < before)
                better = true;
            else
                mirrored_[n] = !mirrored_[n];
        }
        return better;
    }

    void polish() {
        for (int round = 0; round < 12; ++round) {
            bool better = false;
            for (std::size_t r = 0; r < rows_.size(); ++r) better = sift_row(r) || better;
            for (std::size_t r = rows_.size(); r-- > 0;) better = sift_row(r) || better;
            better = mirror_nodes() || better;
            if (!better) break;
        }
    }

    // 0 where what should be on the left (the battery) feeds things at the very left, `right_cost` where at the very right.
    int left_penalty() const {
        double sum = 0;
        int wanted = 0;
        for (const Thing& thing : things_) {
            if (!thing.left_wanted) continue;
            for (const Touch& t : thing.below) {
                const std::size_t others = rows_[index(things_[index(t.other)].row)].size() - 1;
                sum += others == 0 ? 0 : static_cast<double>(pos_[index(t.other)]) / static_cast<double>(others);
                ++wanted;
            }
        }
        return wanted == 0 ? 0 : static_cast<int>(sum / wanted * right_cost);
    }

    void note() {
        Arrangement found;
        found.crossings = all_crossings();
        found.turned = turned_pairs();
        found.flawless = found.crossings == 0 && mirror_costs() == 0;
        found.cost = found.crossings * crossing_cost + mirror_costs() + left_penalty() + turned_cost(found.turned);
        if (!best_.empty() && found.cost > best_.front().cost) return;
        found.rows = rows_;
        found.mirrored = mirrored_;
        if (!best_.empty() && found.cost < best_.front().cost) best_.clear();
        if (std::find(best_.begin(), best_.end(), found) != best_.end()) return;
        const auto calmer = [](const Arrangement& a, const Arrangement& b) { return a.turned < b.turned; };
        best_.insert(std::upper_bound(best_.begin(), best_.end(), found, calmer), std::move(found));
        if (best_.size() > options_.keep) best_.pop_back();
    }

    int turned_cost(int turned) const {
        long long pairs = 1;
        for (const std::vector<int>& row : rows_)
            pairs += static_cast<long long>(row.size()) * static_cast<long long>(row.size() - 1) / 2;
        return static_cast<int>(static_cast<long long>(turned) *
                                (remembers_ ? all_turned_cost_remembered : all_turned_cost) / pairs);
    }

    int turned_pairs() {
        int count = 0;
        for (const std::vector<int>& row : rows_) {
            sorted_.clear();
            for (const int n : row) {
                const auto at = std::upper_bound(sorted_.begin(), sorted_.end(), home_[index(n)]);
                count += static_cast<int>(sorted_.end() - at);
                sorted_.insert(at, home_[index(n)]);
            }
        }
        return count;
    }

    struct Keys {
        std::vector<int> above, below;
    };

    const Weave& weave_;
    const OrderOptions& options_;
    std::vector<std::uint64_t> names_; // by node, from the keys
    std::vector<int> met_, walk_;      // when the walk meets each node
    std::vector<int> home_;            // by node: its rank in the order to keep to
    std::vector<std::vector<int>> home_rows_;
    bool remembers_ = false;  // an earlier drawing is known
    std::vector<int> branch_; // how many it meets from there on down, itself included
    std::uint64_t start_ = 0, sweep_ = 0;
    std::vector<Thing> things_;
    std::vector<std::vector<int>> rows_;
    std::vector<int> pos_;
    std::vector<bool> mirrored_;
    bool noisy_ = false;
    int shaken_row_ = -1;
    std::vector<Arrangement> best_;
    std::vector<std::pair<int, int>> lines_;
    std::vector<int> sorted_;
    std::vector<std::pair<double, int>> wanted_;
    std::vector<Keys> keys_;
};

} // namespace

std::vector<Arrangement> arrange(const Sketch& sketch, const Weave& weave, const OrderOptions& options) {
    return Search(sketch, weave, options).run();
}

} // namespace loomproof::draw
