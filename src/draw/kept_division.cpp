#include "draw/kept_division.hpp"

#include "draw/divide.hpp"
#include "draw/svg.hpp"

#include <algorithm>
#include <map>
#include <utility>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

class Division {
  public:
    Division(const Sketch& sketch, const KeptDrawing& kept, const SizeOf& size_of)
        : sketch_(sketch), kept_(kept), size_of_(size_of), lookup_(sketch), sheet_of_(sketch.symbols.size(), nowhere) {}

    Result<KeptDivision> run() {
        find_parts();
        find_feet();
        gather();
        const std::vector<std::vector<int>> new_parts = parts_that_are_new();
        for (const std::vector<int>& part : new_parts)
            if (const Result<void> placed = place(part); !placed) return failure(placed.error());
        for (std::size_t sheet = 0; sheet < out_.first_new; ++sheet)
            if (const Result<void> settled = settle(sheet); !settled) return failure(settled.error());
        return std::move(out_);
    }

  private:
    static constexpr std::size_t nowhere = static_cast<std::size_t>(-1);

    // ---- where everything stood; `sheet_of_` counts the earlier sheets at first

    void find_parts() {
        for (std::size_t k = 0; k < kept_.sheets.size(); ++k) {
            const Recalled recalled = recall(sketch_, kept_.sheets[k]);
            for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
                if (recalled.symbols[s] != nullptr && sheet_of_[s] == nowhere &&
                    !is_drawn_again(recalled.symbols[s]->id))
                    sheet_of_[s] = k;
        }
    }

    // A foot that stood on another sheet than what its wire comes from is known by the wire's name; a new one stands with its wire.
    void find_feet() {
        std::map<std::string, std::size_t> beyond_a_break; // by wire: the sheet with the foot
        for (std::size_t k = 0; k < kept_.sheets.size(); ++k) {
            std::map<std::string_view, const KeptSymbol*> by_id;
            for (const KeptSymbol& symbol : kept_.sheets[k].symbols) by_id.try_emplace(symbol.id, &symbol);
            for (const KeptWire& wire : kept_.sheets[k].wires) {
                const auto from = by_id.find(wire.from), to = by_id.find(wire.to);
                if (from != by_id.end() && to != by_id.end() &&
                    ((from->second->foot && to->second->off_sheet) || (from->second->off_sheet && to->second->foot)))
                    beyond_a_break.try_emplace(wire.id, k);
            }
        }
        for (const Wire& wire : sketch_.wires)
            for (const auto& [end, other] : {std::pair(wire.a.symbol, wire.b.symbol), {wire.b.symbol, wire.a.symbol}}) {
                if (sheet_of_[index(end)] != nowhere || sketch_.symbols[index(end)].kind != SymbolKind::foot) continue;
                const auto broken = beyond_a_break.find("w-" + id_of(wire.key));
                sheet_of_[index(end)] = broken != beyond_a_break.end() ? broken->second : sheet_of_[index(other)];
            }
    }

    void gather() {
        std::vector<std::size_t> now(kept_.sheets.size(), nowhere);
        for (std::size_t k = 0; k < kept_.sheets.size(); ++k) {
            std::vector<int> here;
            for (std::size_t s = 0; s < sheet_of_.size(); ++s)
                if (sheet_of_[s] == k) here.push_back(static_cast<int>(s));
            if (here.empty()) continue;
            now[k] = out_.sheets.size();
            out_.sheets.push_back(std::move(here));
            out_.stood.push_back(&kept_.sheets[k]);
        }
        for (std::size_t& sheet : sheet_of_)
            if (sheet != nowhere) sheet = now[sheet];
        out_.first_new = out_.sheets.size();
    }

    // ---- what is new

    // Wired to one another; each rising.
    std::vector<std::vector<int>> parts_that_are_new() const {
        std::vector<std::vector<int>> beside(sketch_.symbols.size());
        for (const Wire& wire : sketch_.wires) {
            if (sheet_of_[index(wire.a.symbol)] != nowhere || sheet_of_[index(wire.b.symbol)] != nowhere) continue;
            beside[index(wire.a.symbol)].push_back(wire.b.symbol);
            beside[index(wire.b.symbol)].push_back(wire.a.symbol);
        }
        std::vector<std::vector<int>> found;
        std::vector<bool> seen(sketch_.symbols.size(), false);
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            if (sheet_of_[s] != nowhere || seen[s]) continue;
            std::vector<int> part{static_cast<int>(s)};
            seen[s] = true;
            for (std::size_t i = 0; i < part.size(); ++i)
                for (const int next : beside[index(part[i])])
                    if (!seen[index(next)]) {
                        seen[index(next)] = true;
                        part.push_back(next);
                    }
            std::sort(part.begin(), part.end());
            found.push_back(std::move(part));
        }
        return found;
    }

    // The earlier sheets to which it is wired: those first that feed it, and of a bus, which may stand again elsewhere, last.
    std::vector<std::size_t> sheets_beside(const std::vector<int>& part) const {
        constexpr int of_a_feed = 4, of_a_wire = 3, of_a_bus = 1;
        std::map<std::size_t, int> votes;
        for (const Wire& wire : sketch_.wires) {
            const bool a = std::binary_search(part.begin(), part.end(), wire.a.symbol),
                       b = std::binary_search(part.begin(), part.end(), wire.b.symbol);
            if (a == b) continue;
            const int other = a ? wire.b.symbol : wire.a.symbol;
            const std::size_t sheet = sheet_of_[index(other)];
            if (sheet >= out_.first_new) continue;
            const bool bus = sketch_.symbols[index(other)].kind == SymbolKind::bus;
            votes[sheet] += bus ? of_a_bus : b ? of_a_feed : of_a_wire;
        }
        std::vector<std::size_t> sheets;
        for (const auto& [sheet, count] : votes) sheets.push_back(sheet);
        std::stable_sort(sheets.begin(), sheets.end(),
                         [&](std::size_t a, std::size_t b) { return votes.at(a) > votes.at(b); });
        return sheets;
    }

    Result<void> place(const std::vector<int>& part) {
        const std::vector<std::size_t> beside = sheets_beside(part);
        for (const std::size_t sheet : beside) {
            const Result<bool> room = has_room(with(sheet, part), sheet, out_.stood[sheet]);
            if (!room) return failure(room.error());
            if (!*room) continue;
            put(sheet, part);
            return {};
        }
        const auto counts = [&](int s) {
            const SymbolKind kind = sketch_.symbols[index(s)].kind;
            return kind != SymbolKind::foot && kind != SymbolKind::hole;
        };
        // A single part is no sheet of its own: it needs hardly more room than the mark that would lead to it.
        if (beside.empty() || std::count_if(part.begin(), part.end(), counts) > 1) return put_at_the_end(part);
        put(beside.front(), part);
        return {};
    }

    Result<void> put_at_the_end(const std::vector<int>& part) {
        for (std::size_t sheet = out_.first_new; sheet < out_.sheets.size(); ++sheet) {
            const Result<bool> room = has_room(with(sheet, part), sheet, nullptr);
            if (!room) return failure(room.error());
            if (!*room) continue;
            put(sheet, part);
            return {};
        }
        out_.sheets.emplace_back();
        out_.stood.push_back(nullptr);
        put(out_.sheets.size() - 1, part);
        return {};
    }

    Grouping with(std::size_t sheet, const std::vector<int>& part) const {
        Grouping sheets = out_.sheets;
        sheets[sheet].insert(sheets[sheet].end(), part.begin(), part.end());
        return sheets;
    }
    void put(std::size_t sheet, const std::vector<int>& part) {
        for (const int s : part) sheet_of_[index(s)] = sheet;
        std::vector<int>& here = out_.sheets[sheet];
        here.insert(here.end(), part.begin(), part.end());
        std::sort(here.begin(), here.end());
    }

    // ---- sheets that are too full

    static double size_before(const KeptSheet* stood) { return stood == nullptr ? 1 : std::min(1.0, stood->scale); }

    Result<bool> has_room(const Grouping& sheets, std::size_t sheet, const KeptSheet* stood) const {
        const double least = size_before(stood);
        const Result<double> size = size_of_(sheets, sheet, stood, least);
        if (!size) return failure(size.error());
        return *size >= least;
    }

    bool has_nothing_new(std::size_t sheet) const {
        const SketchPart part = cut_one(sketch_, lookup_, out_.sheets, sheet);
        const Recalled recalled = recall(part.sketch, *out_.stood[sheet]);
        const auto known = [](const auto* was) { return was != nullptr; };
        return std::all_of(recalled.symbols.begin(), recalled.symbols.end(), known) &&
               std::all_of(recalled.wires.begin(), recalled.wires.end(), known);
    }

    Result<void> settle(std::size_t sheet) {
        const KeptSheet* const stood = out_.stood[sheet];
        // A trial keeps a little room back, which what stands there already may have filled.
        constexpr double hardly_smaller = 0.97, much_smaller = 0.9;
        const double before = size_before(stood), enough = has_nothing_new(sheet) ? hardly_smaller * before : before;
        const Result<double> as_it_was = size_of_(out_.sheets, sheet, stood, 0);
        if (!as_it_was) return failure(as_it_was.error());
        if (*as_it_was >= enough) return {};
        const Result<double> fresh = size_of_(out_.sheets, sheet, nullptr, *as_it_was);
        if (!fresh) return failure(fresh.error());
        if (*fresh >= before) {
            out_.stood[sheet] = nullptr;
            return {};
        }
        const Result<bool> lighter = give_away(sheet);
        if (!lighter) return failure(lighter.error());
        if (!*lighter && *as_it_was < much_smaller * *fresh) out_.stood[sheet] = nullptr;
        return {};
    }

    // The circuit without which the others have room where they stood, else the one without which they have room at all. False: there is none.
    Result<bool> give_away(std::size_t sheet) {
        constexpr std::size_t most_ways = 12;
        const std::vector<std::vector<int>> branches = branches_of(sketch_, out_.sheets[sheet], most_ways);
        for (const KeptSheet* const stood : {out_.stood[sheet], static_cast<const KeptSheet*>(nullptr)})
            for (const std::vector<int>& branch : branches) {
                Grouping lighter = out_.sheets;
                std::erase_if(lighter[sheet],
                              [&](int s) { return std::binary_search(branch.begin(), branch.end(), s); });
                lighter.push_back(branch);
                const Result<bool> room = has_room(lighter, sheet, stood);
                if (!room) return failure(room.error());
                if (!*room) continue;
                out_.sheets[sheet] = lighter[sheet];
                out_.stood[sheet] = stood;
                if (const Result<void> placed = put_at_the_end(branch); !placed) return failure(placed.error());
                return true;
            }
        return false;
    }

    const Sketch& sketch_;
    const KeptDrawing& kept_;
    const SizeOf& size_of_;
    const Lookup lookup_;
    std::vector<std::size_t> sheet_of_; // by symbol
    KeptDivision out_;
};

} // namespace

Result<KeptDivision> divided_as_before(const Sketch& sketch, const KeptDrawing& kept, const SizeOf& size_of) {
    return Division(sketch, kept, size_of).run();
}

} // namespace loomproof::draw
