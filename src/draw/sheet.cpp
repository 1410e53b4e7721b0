#include "draw/sheet.hpp"

#include "draw/builder.hpp"
#include "draw/columns.hpp"
#include "draw/kept_places.hpp"
#include "draw/least_size.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>

namespace loomproof::draw {
namespace {

constexpr double margin = sheet_margin;
constexpr int bend_rounds = 5, few_bend_rounds = 2;
constexpr int straight_at_any_price = 1000;

} // namespace

void fill_in_path(Picture& symbol, int path) { fill_in_paths(symbol, {path}); }

void fill_in_paths(Picture& symbol, const std::vector<int>& paths) {
    const std::string blank = paths_blank(paths.size());
    std::string numbers;
    for (const int path : paths)
        if (path > 0)
            numbers += (numbers.empty() ? blank.substr(0, blank.find("88")) : ",\u00A0") + std::to_string(path);
    for (Word& word : symbol.words) {
        const std::size_t at = word.text.find(blank);
        if (at == std::string::npos) continue;
        word.text.replace(at, blank.size(), numbers);
        const auto cut_off = [&](std::string_view sign, bool front) {
            const bool there = front ? word.text.starts_with(sign) : word.text.ends_with(sign);
            if (there) word.text.erase(front ? 0 : word.text.size() - sign.size(), sign.size());
            return there;
        };
        if (numbers.empty())
            while (cut_off(",", true) || cut_off(" ", true) || cut_off("\u00A0", true) || cut_off(",", false) ||
                   cut_off(" ", false) || cut_off("\u00A0", false)) {}
        break;
    }
    std::erase_if(symbol.words, [](const Word& w) { return w.text.empty(); });
}

double scale_to_fit(const Sheet& sheet, double width, double height, const Edges& edges) {
    const double content_width = sheet.width - 2 * margin, content_height = sheet.height - 2 * margin;
    const double scale =
        std::min((width - 2 * edges.side) / content_width, (height - edges.top - edges.bottom) / content_height);
    return scale >= 1 ? 1 : std::floor(scale * 1000) / 1000;
}

bool put_on_page(Sheet& sheet, double width, double height, const Edges& edges, std::optional<double> origin) {
    const double content_width = sheet.width - 2 * margin, content_height = sheet.height - 2 * margin;
    if (content_width > width - 2 * edges.side || content_height > height - edges.top - edges.bottom) return false;
    double to_the_right = std::floor((width - content_width) / 2 - margin);
    if (origin) {
        const double least = std::floor(edges.side - margin),
                     most = std::floor(width - edges.side - content_width - margin);
        to_the_right = std::clamp(std::round(*origin - sheet.origin), least, std::max(least, most));
    }
    move(sheet, to_the_right, std::floor(edges.top - margin));
    sheet.width = width;
    sheet.height = height;
    return true;
}

namespace {

struct Candidate {
    Weave weave;
    int cost = 0; ///< of its crossings and mirrored symbols
    int slanted = 0;
    int columns = 0;

    // A crossing is worth four jogs, eight bends.
    int worth() const { return cost + 25 * slanted; }
};

// Finds the columns of an arrangement over and over, and keeps the best of all.
Result<void> try_columns(const Sketch& sketch, const Weave& woven, const Arrangement& arrangement, int rounds,
                         std::optional<Candidate>& best) {
    Weave candidate = woven;
    apply(candidate, arrangement);
    PieceWeights weights;
    for (int round = 0; round < rounds; ++round) {
        const Result<ColumnsFound> found = find_columns(sketch, candidate, weights);
        if (!found) return failure(found.error());
        Candidate now{{}, arrangement.cost, found->slanted, found->columns};
        if (!best || now.worth() < best->worth()) {
            now.weave = candidate;
            best = std::move(now);
        }
        // Another try: with texts on the other side where that frees a wire, and jogs weighing less than straight runs.
        const bool turned = turn_texts_aside(candidate);
        PieceWeights lighter = lighter_where_slanted(candidate);
        if (!turned && lighter == weights) break; // the next round finds what this one found
        weights = std::move(lighter);
    }
    return {};
}

// Each jog by itself: is there a way in which it is straight and no more others are bent than before?
Result<void> straighten(const Sketch& sketch, Candidate& best, double wider) {
    const int widest = best.columns + static_cast<int>(best.columns * wider);
    for (bool better = true; better;) {
        better = false;
        for (std::size_t p = 0; p < best.weave.pieces.size() && !better; ++p) {
            if (best.weave.pieces[p].upper_column == best.weave.pieces[p].lower_column) continue;
            PieceWeights weights = lighter_where_slanted(best.weave);
            weights[p] = straight_at_any_price;
            Weave tried = best.weave;
            for (int round = 0; round < 2 && !better; ++round) {
                const Result<ColumnsFound> found = find_columns(sketch, tried, weights);
                if (!found) return failure(found.error());
                better = found->slanted < best.slanted && found->columns <= widest;
                if (better) best = {tried, best.cost, found->slanted, found->columns};
                weights = lighter_where_slanted(tried);
            }
        }
    }
    return {};
}

} // namespace

Result<Sheet> lay_out(const Sketch& sketch, const SheetOptions& options) {
    if (sketch.symbols.empty()) return Sheet{.width = 2 * margin, .height = 2 * margin};
    // Parts that may stand in several rows decide much: where the layout library puts them, high up, far down, whichever is best. Of many wires
    // only one way is tried: high up is as good as where the library puts them, and found sooner.
    const bool large = sketch.wires.size() > 200;
    const bool may_give_up = options.least_scale > 0 && !options.pages.empty();
    const LeastNotes notes = may_give_up ? least_notes(sketch) : LeastNotes{};
    const auto too_large = [&](const Point& circuit) {
        return may_give_up && fits_none(circuit, notes, options.pages, options.least_scale);
    };
    if (options.kept != nullptr) {
        Result<std::optional<KeptPlaces>> kept = places_as_before(sketch, *options.kept);
        if (!kept) return failure(kept.error());
        if (*kept) {
            if (may_give_up && too_large(least_size(sketch, (*kept)->weave, (*kept)->columns)))
                return Sheet{.given_up = true};
            Sheet sheet = build(sketch, std::move((*kept)->weave), options.pages, options.pockets);
            sheet.kept_shift = (*kept)->shift;
            return sheet;
        }
    }
    std::vector<Weave> ways;
    for (const Lean lean : {Lean::none, Lean::low, Lean::high}) {
        if (large && lean != Lean::low) continue;
        Result<Weave> woven = weave(sketch, lean);
        if (!woven) return failure(woven.error());
        // Often there is no choice, and one way is as the other.
        const auto same = [&](const Weave& way) { return way.rows == woven->rows; };
        if (std::none_of(ways.begin(), ways.end(), same)) ways.push_back(std::move(*woven));
    }
    if (std::all_of(ways.begin(), ways.end(), [&](const Weave& way) { return too_large(least_size(way)); }))
        return Sheet{.given_up = true};
    std::optional<Candidate> best;
    for (const Weave& woven : ways) {
        const std::vector<Arrangement> arrangements = arrange(sketch, woven,
                                                              {.starts = options.starts,
                                                               .seed = options.seed,
                                                               .keep = large ? 1u : 10u,
                                                               .relays_either_way = options.relays_either_way});
        for (const Arrangement& arrangement : arrangements) {
            const Result<void> tried =
                try_columns(sketch, woven, arrangement, large ? few_bend_rounds : bend_rounds, best);
            if (!tried) return failure(tried.error());
        }
    }
    // Where the jogs are straight there may be fewer tracks, but no fewer columns.
    if (too_large({std::max(0, best->columns - 3) * column, least_size(best->weave).y})) return Sheet{.given_up = true};
    if (!large)
        if (const Result<void> done = straighten(sketch, *best, options.wider_for_straightness); !done)
            return failure(done.error());
    if (may_give_up && too_large(least_size(sketch, best->weave, best->columns))) return Sheet{.given_up = true};
    return build(sketch, std::move(best->weave), options.pages, options.pockets);
}

} // namespace loomproof::draw
