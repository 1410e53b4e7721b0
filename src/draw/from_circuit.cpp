#include "draw/from_circuit.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/kind.hpp"
#include "draw/changes.hpp"
#include "draw/flow.hpp"
#include "draw/functions.hpp"
#include "draw/part_symbols.hpp"
#include "draw/sheet.hpp"
#include "draw/side_tables.hpp"
#include "draw/split.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

class Converter {
  public:
    Converter(const View& view, const SketchOptions& options)
        : view_(view), circuit_(view.circuit()), options_(options), flow_(find_flow(view)) {
        sketch_.title = options.title.empty() ? circuit_.vehicle.text : options.title;
    }

    Sketch run() {
        if (options_.changes) note_changes();
        for (const PartId id : view_.parts()) add_part(id);
        for (const Ghost& ghost : ghosts_) add_ghost(ghost);
        for (const WireId id : view_.wires()) add_wire(id);
        for (const PrimitiveId id : view_.primitives()) add_mounting(id);
        for (const TakenOff& end : taken_off_) add_stub(end);
        drop_idle_bars();
        sketch_.headings = headings_of(sketch_, titles_);
        if (options_.tables) sketch_.tables = side_tables_of(view_);
        describe();
        return std::move(sketch_);
    }

  private:
    // ---- symbols

    int add(Symbol symbol) {
        std::string key = symbol.key;
        for (int n = 2; !keys_.insert(lower(key)).second; ++n) key = symbol.key + "/" + std::to_string(n);
        symbol.key = std::move(key);
        sketch_.symbols.push_back(std::move(symbol));
        return static_cast<int>(sketch_.symbols.size()) - 1;
    }

    void seat(TerminalId t, int symbol, int terminal) { ends_[t.index] = {symbol, terminal}; }

    bool wired(TerminalId t) const {
        return !view_.wires_at(t).empty() ||
               std::any_of(taken_off_.begin(), taken_off_.end(), [&](const TakenOff& end) { return end.from == t; });
    }
    bool mounted(TerminalId t) const {
        const auto& primitives = view_.primitives_at(t);
        return std::any_of(primitives.begin(), primitives.end(),
                           [&](PrimitiveId p) { return circuit_.at(p).purpose == Purpose::mounting; });
    }

    void add_part(PartId id) {
        const Part& part = circuit_.at(id);
        switch (part.kind) {
        case Kind::connector: return add_holes(id);
        case Kind::engine: // no wire ends there
        case Kind::box:
        case Kind::wish: return;
        case Kind::ground: return; // one foot for each wire, made when the wire comes
        case Kind::metal:
            if (part_is_body(id)) return;
            break;
        case Kind::cut:
        case Kind::loose_end: return add_loose(id);
        default: break;
        }
        const bool needs_wire = part.kind == Kind::splice || part.kind == Kind::bus || part.kind == Kind::unknown_end;
        if (needs_wire && std::none_of(part.terminals.begin(), part.terminals.end(),
                                       [&](TerminalId t) { return wired(t) || mounted(t); }))
            return;
        PartSymbol made = symbol_of(view_, id, [&](TerminalId t) { return wired(t) || mounted(t); });
        for (const StillToWire& open : circuit_.still_to_wire)
            for (std::size_t t = 0; t < made.seats.size(); ++t)
                if (made.seats[t] == open.terminal) made.symbol.terminals[made.terminal[t]].unwired = "to wire";
        if (options_.changes) say_old_rating(id, made.symbol);
        if (made.symbol.kind == SymbolKind::relay && options_.relays == Relays::apart)
            return add_halves(std::move(made));
        const int symbol = add(std::move(made.symbol));
        titles_[symbol] = spec_of(part.kind).title;
        for (std::size_t t = 0; t < made.seats.size(); ++t)
            seat(made.seats[t], symbol, static_cast<int>(made.terminal[t]));
    }

    // Coil and contact as two symbols that name each other.
    void add_halves(PartSymbol made) {
        Symbol coil = made.symbol, contact = std::move(made.symbol);
        coil.kind = SymbolKind::coil;
        coil.rating.clear();
        coil.contacts.clear();
        coil.terminals.resize(2);
        coil.other_halves = {{"contact", contact.key + "/contact"}};
        contact.kind = SymbolKind::contact;
        contact.key += "/contact";
        contact.terminals.erase(contact.terminals.begin(), contact.terminals.begin() + 2);
        for (Contact& c : contact.contacts)
            for (int* at : {&c.common, &c.make, &c.rest})
                if (*at >= 0) *at -= 2;
        contact.suppression = Suppression::none;
        contact.other_halves = {{"coil", coil.key}};
        const int coil_at = add(std::move(coil)), contact_at = add(std::move(contact));
        for (std::size_t t = 0; t < made.seats.size(); ++t) {
            const auto terminal = static_cast<int>(made.terminal[t]);
            seat(made.seats[t], terminal < 2 ? coil_at : contact_at, terminal < 2 ? terminal : terminal - 2);
        }
    }

    bool part_is_body(PartId id) const { return equal_ignoring_case(circuit_.at(id).name, "body"); }

    void add_holes(PartId id) {
        const Part& part = circuit_.at(id);
        for (std::size_t i = 0; i + 1 < part.terminals.size(); i += 2) {
            const TerminalId first = part.terminals[i], second = part.terminals[i + 1];
            if (!wired(first) && !wired(second)) continue;
            Symbol symbol;
            symbol.kind = SymbolKind::hole;
            symbol.name = part.name + ":" + circuit_.at(first).stamp;
            symbol.key = symbol.name;
            symbol.group = part.name;
            symbol.terminals = {{}, {}};
            const int at = add(std::move(symbol));
            seat(first, at, 0);
            seat(second, at, 1);
            if (named_plugs_.insert(id.index).second) {
                // The first hole says what and where the plug is.
                sketch_.symbols[index(at)].place = place_of(circuit_, id);
            }
        }
    }

    // A loose end with one wire is an end; with two it was joined, with more it is a splice.
    void add_loose(PartId id) {
        const Part& part = circuit_.at(id);
        for (const TerminalId t : part.terminals) {
            const std::vector<WireId>& wires = view_.wires_at(t);
            if (wires.empty() || left_behind_.contains(t.index)) continue;
            Symbol symbol;
            symbol.key = part.name;
            symbol.terminals = {{}};
            symbol.job = letter(part.origin, part.life);
            if (wires.size() == 1) {
                const loomproof::Wire& wire = circuit_.at(wires.front());
                const bool capped = wire.a == t ? wire.capped_a : wire.capped_b;
                symbol.kind = capped                   ? SymbolKind::cap
                              : part.kind == Kind::cut ? SymbolKind::cut
                                                       : SymbolKind::open_end;
                // "end of W61 where E10 was": the wire says its own name.
                const std::size_t where = part.name.find(" where ");
                if (options_.changes && capped && part.kind == Kind::cut) symbol.lines.push_back("cut");
                symbol.lines.push_back(capped ? "capped" : part.kind == Kind::cut ? "cut" : "open end");
                if (part.kind == Kind::loose_end && where != std::string::npos)
                    symbol.lines.push_back(part.name.substr(where + 1));
                symbol.place = part.place.exists() ? circuit_.at(part.place).name : "";
                seat(t, add(std::move(symbol)), 0);
                continue;
            }
            symbol.kind = wires.size() == 2 ? SymbolKind::joint : SymbolKind::splice;
            const bool marked = options_.changes && part.kind == Kind::cut && wires.size() == 2;
            if (marked) symbol.joint = JointStyle::cut;
            symbol.lines.push_back(marked ? "cut, joined" : "joined");
            if (wires.size() == 2) symbol.terminals.emplace_back();
            const int at = add(std::move(symbol));
            seat(t, at, 0);
            if (wires.size() == 2) joints_.insert(t.index);
        }
    }

    int add_foot(TerminalId t) {
        const Part& part = circuit_.part_of(t);
        Symbol symbol;
        symbol.kind = SymbolKind::foot;
        symbol.name = part.name;
        symbol.key = part.name + "/1";
        // Only a stud that can be pointed at says where it is drawn again: body metal is everywhere.
        if (part.kind == Kind::ground && part.named) symbol.group = part.name;
        symbol.terminals = {{}};
        if (part.kind == Kind::ground) {
            std::string metal = view_.word(circuit_.at(t).part, Attr::case_grounded);
            if (metal.empty() || metal == "*" || metal == "on") metal = "body";
            std::string where = part.label;
            if (part.place.exists()) where += (where.empty() ? "" : ", ") + circuit_.at(part.place).name;
            if (!equal_ignoring_case(metal, part.name)) where += (where.empty() ? "" : ", ") + metal;
            if (!where.empty()) symbol.lines.push_back(where);
        } else if (!part.label.empty()) {
            symbol.lines.push_back(part.label);
        }
        // Feet count on: GND1/1, GND1/2.
        const int number = ++feet_[part.name];
        symbol.key = part.name + "/" + std::to_string(number);
        return add(std::move(symbol));
    }

    // ---- wires

    bool is_foot(TerminalId t) const {
        const Part& part = circuit_.part_of(t);
        return part.kind == Kind::ground || (part.kind == Kind::metal && part_is_body(circuit_.at(t).part));
    }

    // Where a wire ends on the sheet; nothing where the part is not drawn.
    std::optional<End> end_of(TerminalId t) {
        if (is_foot(t)) return End{add_foot(t), 0};
        const auto found = ends_.find(t.index);
        if (found == ends_.end()) return std::nullopt;
        End end = found->second;
        // The two wires of a joint take one side each.
        if (joints_.contains(t.index)) end.terminal = joint_used_[t.index]++ % 2;
        return end;
    }

    char letter(const Origin& origin, const Life& life) const {
        return origin.provenance == Provenance::job && life.born < circuit_.revisions.size()
                   ? circuit_.revisions[life.born].letter
                   : '\0';
    }

    static std::string size_text(const loomproof::Wire& wire) {
        std::string size = wire.size;
        if (size.ends_with(" mm2")) size.erase(size.size() - 4);
        return size;
    }

    // "W31 4 RD/GN"
    static std::string label_of(const loomproof::Wire& wire) {
        std::vector<std::string> words;
        if (wire.named) words.push_back(wire.name);
        if (!size_text(wire).empty()) words.push_back(size_text(wire));
        if (!wire.colours.main.empty())
            words.push_back(wire.colours.main + (wire.colours.stripe.empty() ? "" : "/" + wire.colours.stripe));
        std::string label;
        for (const std::string& word : words) label += (label.empty() ? "" : " ") + word;
        return label;
    }

    // What feeds the battery while the engine runs is drawn like what it feeds.
    bool charges(TerminalId t) const {
        const Kind kind = circuit_.part_of(t).kind;
        return circuit_.at(t).role == Role::output && (kind == Kind::alternator || kind == Kind::dynamo);
    }

    void add_wire(WireId id) {
        const loomproof::Wire& wire = circuit_.at(id);
        // A ground foot is always below; else current decides.
        const bool forwards = is_foot(wire.a) ? false : is_foot(wire.b) || flow_.runs(wire.a, wire.b);
        const TerminalId upper = forwards ? wire.a : wire.b, lower_end = forwards ? wire.b : wire.a;
        const std::optional<End> from = end_of(upper), to = end_of(lower_end);
        if (!from || !to) return;
        Wire drawn;
        drawn.a = *from;
        drawn.b = *to;
        drawn.key = wire.named ? wire.name : "wire-" + std::to_string(id.index);
        if (wire.piece > 0) drawn.key += "/" + std::to_string(wire.piece);
        for (int n = 2; !wire_keys_.insert(lower(drawn.key)).second; ++n) drawn.key += "/" + std::to_string(n);
        drawn.either_way =
            !is_foot(lower_end) && (!flow_.flows(upper, lower_end) || charges(upper) || charges(lower_end));
        drawn.colour = {wire.colours.main, wire.colours.stripe};
        drawn.label = label_of(wire);
        drawn.hint = described(circuit_, id) + (wire.length.known() ? ", " + text(wire.length.nominal) : "");
        if (wire.length.known()) drawn.length = text(wire.length.nominal);
        drawn.mm2 = wire.area.known() ? wire.area.nominal.si * 1e6 : 0;
        if (!wire.cut_from.exists()) drawn.job = letter(wire.origin, wire.life);
        if (options_.changes) mark_change(id, drawn);
        sketch_.wires.push_back(std::move(drawn));
    }

    // ---- what the jobs changed

    void note_changes() {
        taken_off_ = taken_off(view_);
        ghosts_ = ghosts(view_);
        for (const Ghost& ghost : ghosts_)
            for (const Ghost::Left& left : ghost.left) left_behind_.insert(left.is.index);
        sketch_.shows_changes = true;
        sketch_.removed = removed_in_words(view_);
    }

    // The part as it was, in broken lines; each wire end that was left there stands before its terminal, capped or open.
    void add_ghost(const Ghost& ghost) {
        const View before(circuit_, static_cast<Revision>(ghost.gone - 1));
        const Part& part = circuit_.at(ghost.part);
        PartSymbol made = symbol_of(before, ghost.part, [&](TerminalId t) {
            return std::any_of(ghost.left.begin(), ghost.left.end(), [&](const Ghost::Left& l) { return l.was == t; });
        });
        made.symbol.key += "/removed";
        made.symbol.removed = true;
        made.symbol.is_load = false;
        made.symbol.job = ghost.gone < circuit_.revisions.size() ? circuit_.revisions[ghost.gone].letter : '\0';
        made.symbol.lines.emplace_back("taken out");
        for (const Attribute& a : part.attributes)
            if (a.key == Attr::kept && !a.word.empty()) made.symbol.lines.push_back("kept in " + a.word);
        made.symbol.place.clear();
        for (Terminal& t : made.symbol.terminals) t.unwired.clear();
        const int at = add(std::move(made.symbol));
        for (const Ghost::Left& left : ghost.left) {
            const auto seat = std::find(made.seats.begin(), made.seats.end(), left.was);
            if (seat == made.seats.end() || view_.wires_at(left.is).empty()) continue;
            add_left_end(left, before,
                         {at, static_cast<int>(made.terminal[static_cast<std::size_t>(seat - made.seats.begin())])});
        }
    }

    void add_left_end(const Ghost::Left& left, const View& before, const End& ghost) {
        const loomproof::Wire& wire = circuit_.at(view_.wires_at(left.is).front());
        Symbol end;
        end.kind = SymbolKind::joint;
        const bool capped = wire.a == left.is ? wire.capped_a : wire.capped_b;
        end.joint = capped ? JointStyle::capped : JointStyle::left_open;
        end.key = circuit_.part_of(left.is).name;
        end.lines.emplace_back(capped ? "capped" : "open end");
        end.job = sketch_.symbols[index(ghost.symbol)].job;
        end.terminals = {{}, {}};
        const End here{add(std::move(end)), 0};
        seat(left.is, here.symbol, 0);
        Wire to_ghost;
        const bool onwards = find_flow(before).runs(wire.a == left.is ? wire.b : wire.a, left.was);
        to_ghost.a = onwards ? End{here.symbol, 1} : ghost;
        to_ghost.b = onwards ? ghost : End{here.symbol, 1};
        to_ghost.key = sketch_.symbols[index(here.symbol)].key + "/ghost";
        for (int n = 2; !wire_keys_.insert(lower(to_ghost.key)).second; ++n) to_ghost.key += "/" + std::to_string(n);
        to_ghost.hint = "Here " +
                        circuit_.at(wire.cut_from.exists() ? wire.cut_from : view_.wires_at(left.is).front()).name +
                        " went to " + sketch_.symbols[index(ghost.symbol)].name + ".";
        to_ghost.mounting = true;
        to_ghost.removed = true;
        sketch_.wires.push_back(std::move(to_ghost));
    }

    // A wire of which an end was moved carries the job's letter too.
    void mark_change(WireId id, Wire& drawn) const {
        const loomproof::Wire& wire = circuit_.at(id);
        drawn.added = drawn.job != 0;
        for (const TakenOff& end : taken_off_)
            if (end.moved && wire.cut_from == end.wire) drawn.job = circuit_.revisions[end.revision].letter;
    }

    void say_old_rating(PartId id, Symbol& symbol) const {
        const Part& part = circuit_.at(id);
        Revision changed = 0;
        for (const Attribute& a : part.attributes)
            if (a.life.born > part.life.born && a.life.at(view_.revision())) changed = std::max(changed, a.life.born);
        if (changed == 0) return;
        const View before(circuit_, static_cast<Revision>(changed - 1));
        const std::string old = symbol_of(before, id, [&](TerminalId t) { return wired(t); }).symbol.rating;
        if (old == symbol.rating) return;
        symbol.lines.push_back(old.empty() ? "changed" : "was " + old);
        symbol.job = circuit_.revisions[changed].letter;
    }

    // A short dashed ghost of the wire at the terminal it was taken off.
    void add_stub(const TakenOff& end) {
        const loomproof::Wire& wire = circuit_.at(end.wire);
        const auto at = ends_.find(end.from.index);
        if (at == ends_.end() || joints_.contains(end.from.index)) return;
        Symbol stub;
        stub.kind = SymbolKind::gone;
        stub.removed = true;
        stub.key = wire.name + "/taken-off";
        const std::string far = name_of(circuit_, end.to);
        stub.lines.push_back(end.moved ? "moved away" : "taken out; led to " + far);
        stub.terminals = {{}};
        stub.job = end.revision < circuit_.revisions.size() ? circuit_.revisions[end.revision].letter : '\0';
        const auto [flow, fresh] = flows_.try_emplace(end.revision);
        if (fresh) flow->second = find_flow(View(circuit_, static_cast<Revision>(end.revision - 1)));
        const bool onwards = is_foot(end.to) || flow->second.runs(end.from, end.to);
        const End symbol{add(std::move(stub)), 0};
        Wire ghost;
        ghost.a = onwards ? at->second : symbol;
        ghost.b = onwards ? symbol : at->second;
        ghost.key = wire.name + "/taken-off";
        for (int n = 2; !wire_keys_.insert(lower(ghost.key)).second; ++n) ghost.key += "/" + std::to_string(n);
        ghost.label = label_of(wire);
        ghost.hint = described(circuit_, end.wire) + ", taken off";
        ghost.colour = {wire.colours.main, wire.colours.stripe};
        ghost.mm2 = wire.area.known() ? wire.area.nominal.si * 1e6 : 0;
        ghost.removed = true;
        sketch_.wires.push_back(std::move(ghost));
    }

    // Parts bolted to metal: a thin line to a foot, or to the bar of the engine.
    void add_mounting(PrimitiveId id) {
        const Primitive& primitive = circuit_.at(id);
        if (primitive.purpose != Purpose::mounting || circuit_.at(primitive.part).kind == Kind::ground) return;
        const std::optional<End> from = end_of(primitive.a);
        if (!from) return;
        const std::optional<End> to = end_of(primitive.b);
        if (!to) return;
        Wire line;
        // Fuses hang under their rail, and one metal lies over the other.
        const Part& part = circuit_.at(primitive.part);
        const bool downwards =
            part.kind != Kind::box && (part.kind != Kind::touch || primitive.a != part.terminals.front());
        line.a = downwards ? *from : *to;
        line.b = downwards ? *to : *from;
        line.mounting = true;
        line.key = "mounting-" + sketch_.symbols[index(from->symbol)].key;
        for (int n = 2; !wire_keys_.insert(lower(line.key)).second; ++n) line.key += "/" + std::to_string(n);
        line.hint =
            circuit_.at(primitive.part).kind == Kind::box
                ? name_of(circuit_, circuit_.at(primitive.a).part) + " sits in " + name_of(circuit_, primitive.part)
                : name_of(circuit_, primitive.part) + " is grounded by its mounting";
        sketch_.wires.push_back(std::move(line));
    }

    // Metal that nothing is tied to has no place on the sheet.
    void drop_idle_bars() {
        std::vector<int> uses(sketch_.symbols.size(), 0);
        for (const Wire& w : sketch_.wires) {
            ++uses[index(w.a.symbol)];
            ++uses[index(w.b.symbol)];
        }
        std::vector<int> moved(sketch_.symbols.size(), -1);
        std::vector<Symbol> kept;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            const bool bar = row_of(sketch_.symbols[s].kind).nature == SymbolRow::Nature::bar;
            if (bar && uses[s] == 0) continue;
            moved[s] = static_cast<int>(kept.size());
            kept.push_back(std::move(sketch_.symbols[s]));
        }
        sketch_.symbols = std::move(kept);
        std::map<int, std::string> titles;
        for (auto& [symbol, title] : titles_)
            if (moved[index(symbol)] >= 0) titles[moved[index(symbol)]] = std::move(title);
        titles_ = std::move(titles);
        for (Wire& w : sketch_.wires) {
            w.a.symbol = moved[index(w.a.symbol)];
            w.b.symbol = moved[index(w.b.symbol)];
        }
    }

    void describe() {
        for (const RevisionInfo& job : circuit_.revisions) {
            if (job.letter == 0) continue;
            const bool fitted = job.status == RevisionInfo::Status::fitted;
            sketch_.jobs.push_back(
                {job.letter, job.title, fitted ? "fitted" + (job.date.empty() ? "" : " " + job.date) : "planned"});
        }
        sketch_.description = "Circuit drawing of " + (sketch_.title.empty() ? "a vehicle" : sketch_.title) + ": " +
                              counted(sketch_.symbols.size(), "symbol") + ", " + counted(sketch_.wires.size(), "wire") +
                              ".";
    }

    const View& view_;
    const Circuit& circuit_;
    SketchOptions options_;
    Flow flow_;
    Sketch sketch_;
    std::map<std::uint32_t, End> ends_; // by terminal
    std::set<std::string> keys_, wire_keys_;
    std::set<std::uint32_t> named_plugs_, joints_;
    std::map<std::uint32_t, int> joint_used_;
    std::vector<TakenOff> taken_off_;
    std::vector<Ghost> ghosts_;
    std::set<std::uint32_t> left_behind_; // loose ends that stand at a ghost
    std::map<Revision, Flow> flows_;      // as it was before that job
    std::map<std::string, int> feet_;
    std::map<int, std::string> titles_; // by symbol: what such a part is called
};

} // namespace

Sketch sketch_of(const View& view, const SketchOptions& options) { return Converter(view, options).run(); }

namespace {
SketchOptions chosen(const Options& options) {
    return {.title = {}, .relays = options.relays, .tables = options.tables};
}
} // namespace

Result<void> remember_places(Sketch& newer, const Sketch& older) {
    const Result<Sheet> sheet = lay_out(older, {});
    if (!sheet) return failure(sheet.error());
    std::map<std::string, double> stood;
    for (const PaintedSymbol& s : sheet->symbols)
        stood[older.symbols[index(s.symbol)].key] = (s.box.left + s.box.right) / 2;
    for (Symbol& symbol : newer.symbols)
        if (const auto at = stood.find(symbol.key); at != stood.end() && symbol.kind != SymbolKind::foot)
            symbol.stood_at = at->second;
    return {};
}

Result<Drawing> draw(const View& view, const Options& options) {
    return draw(sketch_of(view, chosen(options)), options);
}

Result<std::vector<SheetDrawing>> draw_sheets(const View& view, const paper::Paper& paper, const Options& options) {
    return draw_sheets(sketch_of(view, chosen(options)), paper, options);
}

Result<SheetSet> draw_set(const View& view, const paper::Paper& paper, const Options& options) {
    return draw_set(sketch_of(view, chosen(options)), paper, options);
}

} // namespace loomproof::draw
