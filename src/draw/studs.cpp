#include "draw/studs.hpp"

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>
#include <string>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

} // namespace

// Wherever a wire runs up or down, however short a way and however near the next one: a finger that comes down on paper finds a number.
std::vector<int> find_paths(const Sketch& sketch, const Weave& weave, const Runs& runs) {
    std::vector<int> paths;
    for (std::size_t n = 0; n < sketch.symbols.size(); ++n)
        if (!weave.nodes[n].above.empty() || !weave.nodes[n].below.empty()) paths.push_back(2 * column_of(weave, n));
    for (const Piece& piece : weave.pieces)
        for (const int at : {piece.upper_column, piece.lower_column}) paths.push_back(2 * at);
    for (const std::vector<Run>& channel : runs)
        for (const Run& run : channel)
            for (const int at : {run.from, run.to}) paths.push_back(at);
    std::sort(paths.begin(), paths.end());
    paths.erase(std::unique(paths.begin(), paths.end()), paths.end());
    return paths;
}

int path_at(const std::vector<int>& paths, int column_at) {
    int nearest = 0, distance = 0;
    for (std::size_t i = 0; i < paths.size(); ++i) {
        const int here = std::abs(paths[i] - 2 * column_at);
        if (i > 0 && here >= distance) continue;
        distance = here;
        nearest = static_cast<int>(i) + 1;
    }
    return nearest;
}

int column_of(const Weave& weave, std::size_t symbol) {
    const Node& node = weave.nodes[symbol];
    if (!node.above.empty()) return weave.pieces[index(node.above.front())].lower_column;
    if (!node.below.empty()) return weave.pieces[index(node.below.front())].upper_column;
    return node.left;
}

namespace {

constexpr std::size_t most_paths_named = 7;
constexpr double narrow_foot = 100, short_foot = 70; // words under a ground foot: "left inner wing", "as path 12"

class Feet {
  public:
    Feet(const Sketch& sketch, Weave& weave, const std::vector<int>& paths)
        : sketch_(sketch), weave_(weave), paths_(paths) {}

    void run() {
        std::map<std::string, std::vector<int>> paths;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
            if (sketch_.symbols[s].kind == SymbolKind::foot && !sketch_.symbols[s].group.empty())
                paths[sketch_.symbols[s].group].push_back(path_at(column_of(s)));
        for (auto& [stud, all] : paths) std::sort(all.begin(), all.end());
        // Where there is no room for lines that can be read, only the first foot of a stud says where it is; the others name that one. So do
        // those that stand in the first one's way.
        std::set<std::size_t> narrow;
        const auto is_repeat = [&](std::size_t s) {
            const Symbol& foot = sketch_.symbols[s];
            return foot.kind == SymbolKind::foot && !foot.group.empty() &&
                   path_at(column_of(s)) != paths[foot.group].front();
        };
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            if (sketch_.symbols[s].kind != SymbolKind::foot) continue;
            const auto [left, right] = room_under(s);
            if (left + right >= narrow_foot) continue;
            if (is_repeat(s)) {
                narrow.insert(s);
                continue;
            }
            for (const int n : weave_.rows[index(weave_.nodes[s].row)]) {
                const Node& other = weave_.nodes[index(n)];
                if (other.type == Node::Type::body && is_repeat(index(n)) &&
                    std::abs(column_of(index(n)) - column_of(s)) * column < narrow_foot)
                    narrow.insert(index(n));
            }
        }
        short_feet_ = std::move(narrow);
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            const Symbol& foot = sketch_.symbols[s];
            if (foot.kind != SymbolKind::foot || foot.group.empty()) continue;
            const int own = path_at(column_of(s));
            // The first foot of a stud says where the others are, each other one that it is the same as the first.
            const std::vector<int>& all = paths[foot.group];
            std::string note;
            if (all.size() > most_paths_named)
                note = "also at " + std::to_string(all.size() - 1) + " other paths";
            else
                for (const int path : all)
                    if (path != own)
                        note += (note.empty() ? (all.size() > 2 ? "also paths " : "also path\u00A0") : ", ") +
                                std::to_string(path);
            if (!all.empty() && own != all.front()) note = "as path\u00A0" + std::to_string(all.front());
            const auto [left, right] = room_under(s);
            Symbol shown = foot;
            // The way to another sheet stays.
            if (short_feet_.contains(s))
                std::erase_if(shown.lines,
                              [](const std::string& l) { return l.find(path_blank) == std::string::npos; });
            set_foot_note(weave_.bodies[s], shown, note, left, right);
        }
    }

  private:
    int column_of(std::size_t symbol) const { return draw::column_of(weave_, symbol); }
    int path_at(int column_at) const { return draw::path_at(paths_, column_at); }

    // How far the words under a foot may reach to either side: half the way to the next foot, beyond the outermost thing of its row as
    // far as they like.
    std::pair<double, double> room_under(std::size_t foot) const {
        constexpr double most = 95, between_words = 14;
        const int centre = column_of(foot);
        double left = most, right = most;
        for (const int n : weave_.rows[index(weave_.nodes[foot].row)]) {
            if (n == static_cast<int>(foot)) continue;
            const Node& other = weave_.nodes[index(n)];
            const bool is_foot =
                other.type == Node::Type::body && sketch_.symbols[index(other.symbol)].kind == SymbolKind::foot;
            const bool after = is_foot ? column_of(index(n)) > centre : other.left > centre;
            double away = 0;
            if (is_foot)
                away = short_feet_.contains(index(n)) ? std::abs(column_of(index(n)) - centre) * column - short_foot / 2
                                                      : std::abs(column_of(index(n)) - centre) * column / 2;
            else if (after)
                away = (other.left - left_reach(weave_, other)) * column - centre_of(centre);
            else
                away = centre_of(centre) - (other.right + right_reach(weave_, other) + 1) * column;
            double& side = after ? right : left;
            side = std::min(side, away - between_words / 2);
        }
        constexpr double least = 28; // two feet stand three columns apart
        return {std::max(least, left), std::max(least, right)};
    }

    const Sketch& sketch_;
    Weave& weave_;
    const std::vector<int>& paths_;
    std::set<std::size_t> short_feet_; // symbols
};

} // namespace

void note_studs(const Sketch& sketch, Weave& weave, const std::vector<int>& paths) { Feet(sketch, weave, paths).run(); }

} // namespace loomproof::draw
