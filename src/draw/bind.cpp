#include "draw/bind.hpp"

#include "draw/builder.hpp"
#include "draw/chance.hpp"
#include "draw/divide.hpp"
#include "draw/feeds.hpp"
#include "draw/kept_division.hpp"
#include "draw/legend.hpp"
#include "draw/remarks.hpp"
#include "draw/spare_tables.hpp"
#include "draw/titles.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// What the groups begin with, and how often the ordering of one sheet is begun anew.
constexpr std::size_t smallest_group = 12;
// Symbols: a sketch of more is divided more simply, for the sake of time.
constexpr std::size_t many = 200;
constexpr int sheet_starts = 24;

class Binder {
  public:
    Binder(const Sketch& sketch, const paper::Paper& paper, const Options& options)
        : sketch_(sketch),
          paper_(paper),
          options_(options),
          feeds_(feeds_of_loads(sketch)),
          lookup_(sketch),
          grounds_(sketch) {}

    Result<Bound> run() {
        if (options_.kept != nullptr && !sketch_.symbols.empty()) return as_before();
        std::vector<int> all;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) all.push_back(static_cast<int>(s));
        Grouping grouping{all};
        bool fits = false;
        if (could_fit(all.size())) {
            const Result<Trial> one = attempt(grouping, 0, full_size);
            if (!one) return failure(one.error());
            fits = one->fits();
        }
        if (!fits) {
            grouping = group(sketch_, options_.together == Together::by_job ? 0 : smallest_group);
            if (options_.together != Together::by_fuse)
                if (const Result<void> merged = gather(grouping); !merged) return failure(merged.error());
            if (const Result<void> relieved = relieve_supply(grouping); !relieved) return failure(relieved.error());
            if (const Result<void> divided = divide(grouping); !divided) return failure(divided.error());
            std::vector<Grouping> steps{grouping};
            for (const bool at_cost_of_tables : {false, true})
                if (const Result<void> merged = join(steps, at_cost_of_tables); !merged) return failure(merged.error());
            return the_best(steps);
        }
        return lay_out_all(grouping);
    }

  private:
    Result<Bound> as_before() {
        Result<KeptDivision> division = divided_as_before(
            sketch_, *options_.kept,
            [&](const Grouping& sheets, std::size_t g, const KeptSheet* stood, double least) -> Result<double> {
                const Result<Trial> trial =
                    stood == nullptr ? attempt(sheets, g, least) : try_out(sheets, g, least, stood);
                if (!trial) return failure(trial.error());
                return trial->at_most;
            });
        if (!division) return failure(division.error());
        if (const Result<void> divided = divide(division->sheets, division->first_new); !divided)
            return failure(divided.error());
        stood_ = std::move(division->stood);
        stood_.resize(division->sheets.size(), nullptr);
        return lay_out_all(division->sheets);
    }

    enum class Aim : unsigned char { to_try, to_print };
    // Of a page's height, in a trial: numbers of sheets and paths are not final yet, and a little more must do no harm.
    static constexpr double reserve = 4;
    Result<Sheet> lay_out_part(const SketchPart& part, Aim aim = Aim::to_print, double least_scale = 0,
                               double enlarged = 1) const {
        SheetOptions how{.starts = options_.starts > 0 ? options_.starts : sheet_starts,
                         .seed = options_.seed,
                         .wider_for_straightness = 0,
                         .least_scale = least_scale,
                         .pockets = aim == Aim::to_print,
                         .kept = part.stood};
        for (const bool landscape : {false, true}) {
            const Page page = page_of(paper_, landscape);
            // What stands around the circuit must not fill what a trial keeps back.
            const double kept_back = aim == Aim::to_try ? reserve : 0;
            how.pages.push_back(
                {(page.width - 2 * page.edge) / enlarged, (page.height - kept_back - 2 * page.edge) / enlarged});
        }
        return lay_out(part.sketch, how);
    }

    // Even small symbols with their words and wires take that much of a page: more of them need not be tried.
    bool could_fit(std::size_t symbols) const {
        constexpr double least = 72 * 90; // units
        const Page page = page_of(paper_, false);
        return static_cast<double>(symbols) * least < page.width * page.height;
    }

    struct Trial {
        double scale = 0;   ///< 1 = fits at full size
        double at_most = 0; ///< the same with narrow white edges
        int crossings = 0;
        double width = 0, height = 0; ///< of what is drawn, units
        std::size_t tables_left = 0;  ///< that have no room on it
        double given_up_at = 0;       ///< its scale is below that; more is not known
        bool given_up() const { return given_up_at > 0; }
        bool fits() const { return scale >= 1; }
        bool fits_barely() const { return at_most >= 1; } ///< with narrow white edges
    };
    static constexpr double full_size = 1;
    static constexpr double with_narrow_edges = 0.95; // what is no larger than that may fit with narrow edges

    // The same group was often tried before, beside others. Most are tried only to see that they are too large: gives up as soon as it is clear
    // that the scale is below the least one.
    Result<Trial> attempt(const Grouping& grouping, std::size_t g, double least_scale = 0) {
        std::vector<int> symbols = grouping[g];
        std::sort(symbols.begin(), symbols.end());
        if (const auto known = tried_.find(symbols);
            known != tried_.end() && (!known->second.given_up() || known->second.given_up_at <= least_scale))
            return known->second;
        Result<Trial> trial = try_out(grouping, g, least_scale);
        if (trial) tried_[std::move(symbols)] = *trial;
        return trial;
    }
    Result<Trial> try_out(const Grouping& grouping, std::size_t g, double least_scale,
                          const KeptSheet* stood = nullptr) const {
        const std::vector<int> symbols = sorted(grouping[g]);
        SketchPart part = cut_one(sketch_, lookup_, grouping, g);
        part.stood = stood;
        const std::string number = "Sheet 88 of 88: ";
        part.sketch.title = number + short_title(symbols, number);
        add_foot(part.sketch, grouping, g, grouping.size() > 1);
        const Result<Sheet> sheet = lay_out_part(part, Aim::to_try, least_scale);
        if (!sheet) return failure(sheet.error());
        if (sheet->given_up) return Trial{.given_up_at = least_scale};
        const auto scale = [&](bool landscape) {
            const Page page = page_of(paper_, landscape);
            return scale_on(*sheet, {page.width, page.height - reserve, page.edge});
        };
        // The foot and the tables of a narrow circuit are wider than it.
        Box circuit{sheet->width, sheet->height, 0, 0};
        for (const PaintedSymbol& s : sheet->symbols) circuit.include(s.box);
        const auto scale_with_less = [&](bool landscape) {
            const Page page = page_of(paper_, landscape);
            return scale_with_narrow_edges(*sheet, {page.width, page.height - reserve, page.edge});
        };
        return Trial{.scale = std::max(scale(false), scale(true)),
                     .at_most = std::max(scale_with_less(false), scale_with_less(true)),
                     .crossings = sheet->crossings,
                     .width = std::max(0.0, circuit.width()) + 2 * sheet_margin,
                     .height = std::max(0.0, circuit.height()),
                     .tables_left = sheet->tables_left.size()};
    }

    // Two circuits that stand side by side are about as wide as both, and as high as the higher one. Of 6116 pairs that were tried on generated
    // vehicles of 100 to 400 wires 664 had room on one page, and none of these was taken for hopeless.
    bool hopeless(const Trial& one, const Trial& other) const {
        constexpr double less = 240, title_and_foot = 60;
        const double width = one.width + other.width - less,
                     height = std::max(one.height, other.height) + title_and_foot;
        const auto too_large = [&](bool landscape) {
            const Page page = page_of(paper_, landscape);
            return width > page.width - 2 * page.edge || height > page.height - 2 * page.edge;
        };
        return too_large(false) && too_large(true);
    }

    // What a job did stands together, whichever fuse it hangs on; and so does all that is one function. The supply stays where it is.
    bool belong_together(const std::vector<int>& a, const std::vector<int>& b) const {
        if (is_supply(a) || is_supply(b)) return false;
        if (options_.together == Together::by_job) {
            const char job = job_of(sketch_, a);
            return job != 0 && job == job_of(sketch_, b);
        }
        const std::vector<std::string> one = functions_of(sketch_, a), other = functions_of(sketch_, b);
        return std::any_of(one.begin(), one.end(), [&](const std::string& f) {
            return std::find(other.begin(), other.end(), f) != other.end();
        });
    }
    bool is_supply(const std::vector<int>& symbols) const {
        return std::any_of(symbols.begin(), symbols.end(),
                           [&](int s) { return sketch_.symbols[index(s)].kind == SymbolKind::battery; });
    }

    // While they fit on a sheet: here a crossing more is worth it, but no smaller type.
    Result<void> gather(Grouping& grouping) {
        if (options_.together == Together::by_job)
            std::stable_sort(grouping.begin(), grouping.end(),
                             [&](const auto& a, const auto& b) { return rank(a) < rank(b); });
        for (std::size_t g = 0; g < grouping.size(); ++g)
            for (std::size_t next = g + 1; next < grouping.size();) {
                if (!belong_together(grouping[g], grouping[next])) {
                    ++next;
                    continue;
                }
                Grouping tried = joined(grouping, g, next);
                const Result<Trial> both = attempt(tried, g);
                if (!both) return failure(both.error());
                if (both->fits())
                    grouping = std::move(tried);
                else
                    ++next;
            }
        return {};
    }
    // The supply, then the jobs in their order, then what no job touched.
    int rank(const std::vector<int>& symbols) const {
        if (is_supply(symbols)) return 0;
        const char job = job_of(sketch_, symbols);
        return job == 0 ? 1000 : static_cast<unsigned char>(job);
    }
    // Group b comes to group a; both stand where the first of them stood.
    static Grouping joined(Grouping grouping, std::size_t a, std::size_t b) {
        grouping[a].insert(grouping[a].end(), grouping[b].begin(), grouping[b].end());
        if (b < a) std::swap(grouping[a], grouping[b]);
        grouping.erase(grouping.begin() + static_cast<std::ptrdiff_t>(std::max(a, b)));
        return grouping;
    }

    // Wires between each two groups that would be cut; a bus is drawn again instead. By group: the others.
    std::vector<std::map<std::size_t, int>> relatives(const Grouping& grouping) const {
        std::vector<std::size_t> group_of(sketch_.symbols.size(), 0);
        for (std::size_t i = 0; i < grouping.size(); ++i)
            for (const int s : grouping[i]) group_of[index(s)] = i;
        std::vector<std::map<std::size_t, int>> shared(grouping.size());
        for (const Wire& w : sketch_.wires) {
            const std::size_t a = group_of[index(w.a.symbol)], b = group_of[index(w.b.symbol)];
            if (a == b || sketch_.symbols[index(w.a.symbol)].kind == SymbolKind::bus) continue;
            ++shared[a][b];
            ++shared[b][a];
        }
        return shared;
    }

    // Two groups that may stand on one sheet, and what speaks for it.
    struct Pair {
        int wires = 0;            // that need no break then
        int common = 0;           // other groups that both feed, having no load of their own: two fuses of one lamp
        bool near_alike = false;  // one function, one job, and not far from each other in the file
        std::size_t distance = 0; // places in the file's order
        std::uint64_t chance = 0; // by name
        std::size_t a = 0, b = 0; // groups
        // What both feed is followed over a sheet less, which counts for more than a wire up to a switch.
        int worth() const { return wires + 2 * common; }
        bool operator<(const Pair& o) const {
            return std::tuple(-worth(), -common, !near_alike, distance, chance, a, b) <
                   std::tuple(-o.worth(), -o.common, !o.near_alike, o.distance, o.chance, o.a, o.b);
        }
    };

    std::vector<Pair> pairs_of(const Grouping& grouping) const {
        const std::size_t farthest = sketch_.symbols.size() > many ? 12 : grouping.size();
        constexpr std::size_t near = 4;
        constexpr std::size_t few = 4; // what more are joined with joins nobody
        std::vector<std::uint64_t> chance;
        for (const std::vector<int>& g : grouping) chance.push_back(number_of(sketch_.symbols[index(g.front())].key));
        const std::vector<std::map<std::size_t, int>> shared = relatives(grouping);
        std::vector<bool> only_feeds;
        for (const std::vector<int>& g : grouping)
            only_feeds.push_back(
                std::none_of(g.begin(), g.end(), [&](int s) { return is_for_something(sketch_.symbols[index(s)]); }));
        std::map<std::pair<std::size_t, std::size_t>, int> common;
        for (std::size_t g = 0; g < grouping.size(); ++g)
            if (shared[g].size() <= few && !is_supply(grouping[g]))
                for (const auto& [a, wires_a] : shared[g])
                    for (const auto& [b, wires_b] : shared[g])
                        if (a < b && only_feeds[a] && only_feeds[b]) ++common[{a, b}];
        std::vector<Pair> pairs;
        for (std::size_t a = 0; a < grouping.size(); ++a)
            for (std::size_t b = a + 1; b < grouping.size(); ++b) {
                const auto wires = shared[a].find(b);
                const auto both = common.find({a, b});
                Pair pair{.distance = b - a, .chance = mixed(chance[a], chance[b]), .a = a, .b = b};
                pair.wires = wires == shared[a].end() ? 0 : wires->second;
                pair.common = both == common.end() ? 0 : both->second;
                if (pair.wires == 0 && pair.common == 0 && pair.distance > farthest) continue;
                pair.near_alike = pair.distance <= near && belong_together(grouping[a], grouping[b]);
                pairs.push_back(pair);
            }
        std::sort(pairs.begin(), pairs.end());
        return pairs;
    }

    // Groups come together on a sheet as long as it holds them: first those with the most wires between them or the most that both feed, then what
    // is alike and near in the file, then neighbours there. Of equals the names decide, and no other sheet does: one wire more changes the sheet on
    // which it stands and hardly another.
    Result<void> join(std::vector<Grouping>& steps, bool at_cost_of_tables) {
        Grouping grouping = steps.back();
        std::vector<std::size_t> now(grouping.size()); // by group of the beginning: where it stands now
        for (std::size_t g = 0; g < now.size(); ++g) now[g] = g;
        for (const Pair& pair : pairs_of(grouping)) {
            const std::size_t a = std::min(now[pair.a], now[pair.b]), b = std::max(now[pair.a], now[pair.b]);
            if (a == b) continue;
            if (options_.together == Together::by_job && rank(grouping[a]) != rank(grouping[b])) continue;
            const Result<Trial> one = attempt(grouping, a, full_size), other = attempt(grouping, b, full_size);
            if (!one || !other) return failure(!one ? one.error() : other.error());
            // Circuits with several wires between them may stand one above the other, and spare their breaks at the cost of white edges.
            const bool close = pair.wires > 1;
            const auto fits = [&](const Trial& trial) { return close ? trial.fits_barely() : trial.fits(); };
            if (!fits(*one) || !fits(*other) || (!close && hopeless(*one, *other))) continue;
            Grouping tried = joined(grouping, a, b);
            const Result<Trial> both = attempt(tried, a, close ? with_narrow_edges : full_size);
            if (!both) return failure(both.error());
            const int worth_it = pair.wires / 2 + (at_cost_of_tables && sketch_.symbols.size() <= many ? 1 : 0);
            if (!fits(*both) || both->crossings > one->crossings + other->crossings + worth_it) continue;
            if (!at_cost_of_tables && both->tables_left > one->tables_left + other->tables_left) continue;
            grouping = std::move(tried);
            for (std::size_t& g : now) g = g == b ? a : g > b ? g - 1 : g;
            if (at_cost_of_tables) steps.push_back(grouping);
        }
        if (!at_cost_of_tables) steps.push_back(grouping);
        return {};
    }

    // A switch of the supply that feeds one other sheet only may stand there, where the supply's own sheet is too full.
    Result<void> relieve_supply(Grouping& grouping) {
        if (grouping.size() < 2 || !is_supply(grouping.front())) return {};
        for (const int s : std::vector<int>(grouping.front())) {
            const SymbolKind kind = sketch_.symbols[index(s)].kind;
            if (kind != SymbolKind::table_switch && kind != SymbolKind::lever_switch) continue;
            const Result<Trial> supply = attempt(grouping, 0);
            if (!supply) return failure(supply.error());
            if (supply->fits()) return {};
            const std::size_t home = only_one_fed(grouping, s);
            if (home == 0) continue;
            const Result<Trial> before = attempt(grouping, home);
            Grouping tried = grouping;
            std::erase(tried.front(), s);
            tried[home].push_back(s);
            const Result<Trial> lighter = attempt(tried, 0), fuller = attempt(tried, home);
            if (!before || !lighter || !fuller)
                return failure(!before ? before.error() : !lighter ? lighter.error() : fuller.error());
            if (std::min(lighter->scale, fuller->scale) > std::min(supply->scale, before->scale))
                grouping = std::move(tried);
        }
        return {};
    }
    // A sheet that has no room at full size is cut in two wherever both halves are larger then, again and again. One that is more than twice as
    // large as its page is cut where the fewest wires are and the halves are most alike: to lay it out would take long and tell nothing.
    Result<void> divide(Grouping& grouping, std::size_t first = 0) {
        constexpr std::size_t most_ways = 12;
        constexpr double far_too_large = 0.5;
        for (std::size_t g = first; g < grouping.size();) {
            const Result<Trial> whole = attempt(grouping, g, far_too_large);
            if (!whole) return failure(whole.error());
            Grouping best;
            double largest = whole->scale;
            if (whole->at_most < 1)
                for (const std::vector<int>& branch : branches_of(sketch_, sorted(grouping[g]), most_ways)) {
                    Grouping tried = grouping;
                    std::erase_if(tried[g], [&](int s) { return std::binary_search(branch.begin(), branch.end(), s); });
                    tried.insert(tried.begin() + static_cast<std::ptrdiff_t>(g) + 1, branch);
                    if (whole->scale < far_too_large) {
                        best = std::move(tried);
                        break;
                    }
                    // The smaller piece first: often it shows already that this is no way.
                    const Result<Trial> apart = attempt(tried, g + 1, largest);
                    if (!apart) return failure(apart.error());
                    if (apart->scale <= largest) continue;
                    const Result<Trial> rest = attempt(tried, g, largest);
                    if (!rest) return failure(rest.error());
                    const double scale = std::min(rest->scale, apart->scale);
                    if (scale <= largest) continue;
                    largest = scale;
                    best = std::move(tried);
                    if (largest >= 1) break; // the most promising that does
                }
            if (best.empty())
                ++g;
            else
                grouping = std::move(best);
        }
        return {};
    }

    // The group in which all that a symbol of the supply feeds stands; 0 where that is more than one, or none.
    std::size_t only_one_fed(const Grouping& grouping, int s) const {
        std::size_t found = 0;
        for (const Wire& w : sketch_.wires) {
            if (w.a.symbol != s) continue;
            std::size_t at = 0;
            for (std::size_t g = 0; g < grouping.size(); ++g)
                if (std::find(grouping[g].begin(), grouping[g].end(), w.b.symbol) != grouping[g].end()) at = g;
            if (at == 0 || (found != 0 && found != at)) return 0;
            found = at;
        }
        return found;
    }

    // Where circuits that came together on one sheet leave their tables to a sheet of tables, some of them stand better apart: the table with its
    // relay. The fewest sheets, then the most tables with what they speak of; of equals those that came together most.
    Result<Bound> the_best(const std::vector<Grouping>& steps) const {
        Result<Bound> best = failure("");
        std::pair<std::size_t, std::size_t> least{};
        for (auto step = steps.rbegin(); step != steps.rend(); ++step) {
            const bool first = step == steps.rbegin();
            if (!first && step->size() > least.first) break;
            if (!first && least.second == 0 && step->size() == least.first) break;
            Result<Bound> made = lay_out_all(*step);
            if (!made) return made;
            const std::pair cost{made->parts.size(), tables_away(*made)};
            if (!first && cost >= least) continue;
            least = cost;
            best = std::move(made);
        }
        return best;
    }

    Result<Bound> lay_out_all(const Grouping& grouping) const {
        Result<Bound> made = lay_out_all(grouping, false);
        if (!made) return made;
        const bool one = made->parts.size() == 1;
        if (one && !has_tables_left(*made)) {
            if (const Result<void> larger = enlarge(*made); !larger) return failure(larger.error());
            return made;
        }
        if (one) { // it needs a number now
            made = lay_out_all(grouping, true);
            if (!made) return made;
        }
        const Result<void> placed =
            place_tables(*made, paper_, [&](const SketchPart& part) { return lay_out_part(part); });
        if (!placed) return failure(placed.error());
        return made;
    }

    // A lone sheet that would leave much of its paper empty is printed larger: it is read at arm's length, by poor light.
    Result<void> enlarge(Bound& made) const {
        for (const double by : {1.4, 1.2}) {
            Result<Sheet> sheet = lay_out_part(made.parts.front(), Aim::to_print, 0, by);
            if (!sheet) return failure(sheet.error());
            const auto fits = [&](bool landscape) {
                const Page page = page_of(paper_, landscape);
                return scale_on(*sheet, {page.width / by, page.height / by, page.edge / by}) >= full_size;
            };
            if (!sheet->tables_left.empty() || !(fits(false) || fits(true))) continue;
            made.sheets.front() = std::move(*sheet);
            made.enlarged = by;
            break;
        }
        return {};
    }

    Result<Bound> lay_out_all(const Grouping& grouping, bool numbered) const {
        Bound made;
        made.parts = cut(sketch_, grouping);
        for (std::size_t p = 0; p < made.parts.size(); ++p) {
            SketchPart& part = made.parts[p];
            const bool several = numbered || made.parts.size() > 1;
            const std::string before = several && options_.together == Together::by_job ? job_title(grouping[p]) : "";
            const std::string number =
                several ? "Sheet " + std::to_string(p + 1) + " of " + std::to_string(made.parts.size()) + ": " : "";
            const std::vector<int> symbols = sorted(grouping[p]);
            if (!stood_.empty()) part.stood = stood_[p];
            // One sheet is all there is: it is called what its file is called, if that is called anything.
            const bool has_own = !several && !sketch_.title.empty();
            part.sketch.title = has_own ? sketch_.title : number + before + short_title(symbols, number + before);
            part.sketch.description = sketch_.description;
            add_foot(part.sketch, grouping, p, several);
            made.titles.push_back(has_own ? sketch_.title : before + title_of(sketch_, feeds_, symbols));
            Result<Sheet> sheet = lay_out_part(part);
            if (!sheet) return failure(sheet.error());
            made.sheets.push_back(std::move(*sheet));
        }
        return made;
    }

    void add_foot(Sketch& sheet, const Grouping& grouping, std::size_t g, bool several) const {
        if (g == 0) sheet.caution = caution;
        share_remarks(sheet, sketch_, !several);
        std::string minus_at;
        for (std::size_t at = 0; at < grouping.size(); ++at)
            if (std::find(grouping[at].begin(), grouping[at].end(), grounds_.minus) != grouping[at].end())
                minus_at = (several ? "sheet\u00A0" + std::to_string(at + 1) + ",\u00A0" : "") + path_blank;
        const bool explained = several && options_.with_contents;
        const auto legend = [&](bool black_and_white) {
            return legend_of(sheet, grounds_, minus_at, black_and_white,
                             explained ? Explains::what_is_needed : Explains::all_marks);
        };
        sheet.footnotes = legend(options_.black_and_white);
        sheet.footnotes_otherwise = legend(!options_.black_and_white);
    }

    static std::vector<int> sorted(std::vector<int> symbols) {
        std::sort(symbols.begin(), symbols.end());
        return symbols;
    }

    std::string short_title(const std::vector<int>& symbols, const std::string& before) const {
        const Page page = page_of(paper_, false);
        return short_title_of(sketch_, feeds_, symbols, before, page.width - 2 * page.edge);
    }

    // "Job B, Driving lights: "
    std::string job_title(const std::vector<int>& symbols) const {
        const char letter = is_supply(symbols) ? '\0' : job_of(sketch_, symbols);
        for (const Job& job : sketch_.jobs)
            if (letter != 0 && job.letter == letter)
                return "Job " + std::string(1, letter) + (job.planned ? " (planned), " : ", ") + job.title + ": ";
        return "";
    }

    const Sketch& sketch_;
    const paper::Paper& paper_;
    const Options& options_;
    std::vector<Feeds> feeds_;
    Lookup lookup_;
    Grounds grounds_;
    std::map<std::vector<int>, Trial> tried_; // by the group's symbols
    std::vector<const KeptSheet*> stood_;     // by sheet of the division that is printed; none: nothing is kept
};

} // namespace

Page page_of(const paper::Paper& paper, bool landscape) {
    const double u = paper::units_per_mm;
    return landscape ? Page{paper.height * u, paper.width * u, paper.margin * u}
                     : Page{paper.width * u, paper.height * u, paper.margin * u};
}

double scale_on(const Sheet& sheet, const Page& page) {
    return scale_to_fit(sheet, page.width, page.height, {page.edge, page.edge, page.edge});
}

Edges narrow_edges(const Page& page) {
    constexpr double narrow = 5 * paper::units_per_mm; // printers reach to about 4 mm from the paper's edge
    return {std::min(page.edge, narrow), std::min(page.edge, narrow), page.edge};
}

double scale_with_narrow_edges(const Sheet& sheet, const Page& page) {
    return scale_to_fit(sheet, page.width, page.height, narrow_edges(page));
}

Result<Bound> bind(const Sketch& sketch, const paper::Paper& paper, const Options& options) {
    return Binder(sketch, paper, options).run();
}

} // namespace loomproof::draw
