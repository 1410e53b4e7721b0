#include "draw/from_circuit.hpp"

#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "draw/converter.hpp"
#include "draw/functions.hpp"
#include "draw/pieces.hpp"
#include "draw/sheet.hpp"
#include "draw/side_tables.hpp"
#include "draw/symbols.hpp"

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

} // namespace

Sketch Converter::run() {
    if (options_.changes) note_changes();
    for (const PartId id : view_.parts()) add_part(id);
    for (const Ghost& ghost : ghosts_) add_ghost(ghost);
    for (const WireId id : view_.wires()) add_wire(id);
    for (const Ghost& ghost : ghosts_)
        for (const Ghost::Removed& gone : ghost.removed) add_ghost_wire(ghost, gone);
    for (const PrimitiveId id : view_.primitives()) add_mounting(id);
    for (const TakenOff& end : taken_off_) add_stub(end);
    drop_idle_bars();
    say_which_pieces(sketch_);
    say_where_feeds_come_from();
    sketch_.headings = headings_of(sketch_);
    if (options_.tables) sketch_.tables = side_tables_of(view_);
    describe();
    return std::move(sketch_);
}

int Converter::add(Symbol symbol) {
    std::string key = symbol.key;
    for (int n = 2; !keys_.insert(lower(key)).second; ++n) key = symbol.key + "/" + std::to_string(n);
    symbol.key = std::move(key);
    sketch_.symbols.push_back(std::move(symbol));
    return static_cast<int>(sketch_.symbols.size()) - 1;
}

void Converter::add_part(PartId id) {
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
    made.symbol.title = spec_of(part.kind).title;
    if (made.symbol.kind == SymbolKind::relay && options_.relays == Relays::apart) return add_halves(std::move(made));
    const int symbol = add(std::move(made.symbol));
    for (std::size_t t = 0; t < made.seats.size(); ++t) seat(made.seats[t], symbol, static_cast<int>(made.terminal[t]));
}

// Coil and contact as two symbols that name each other.
void Converter::add_halves(PartSymbol made) {
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

void Converter::add_holes(PartId id) {
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
            // The first hole says what and where the plug is, and what stays free.
            sketch_.symbols[index(at)].place = place_of(circuit_, id);
            if (const std::string free = free_holes(id); !free.empty())
                sketch_.symbols[index(at)].lines.push_back(free);
        }
    }
}

// "hole 2 free"; nothing where so many are that only the table can say it.
std::string Converter::free_holes(PartId id) const {
    constexpr std::size_t most = 4;
    const Part& part = circuit_.at(id);
    std::vector<std::string> free;
    for (std::size_t i = 0; i + 1 < part.terminals.size(); i += 2)
        if (!wired(part.terminals[i]) && !wired(part.terminals[i + 1]))
            free.push_back(circuit_.at(part.terminals[i]).stamp);
    if (free.empty() || free.size() > most) return "";
    return (free.size() > 1 ? "holes " : "hole ") + list_of(free) + " free";
}

// A loose end with one wire is an end; with two it was joined, with more it is a splice.
void Converter::add_loose(PartId id) {
    const Part& part = circuit_.at(id);
    for (const TerminalId t : part.terminals) {
        const std::span<const WireId> wires = view_.wires_at(t);
        if (wires.empty() || left_behind_.contains(t.index)) continue;
        Symbol symbol;
        symbol.key = part.name;
        symbol.terminals = {{}};
        if (part.origin.provenance == Provenance::job) set_job(symbol, part.life.born);
        if (wires.size() == 1) {
            const loomproof::Wire& wire = circuit_.at(wires.front());
            const bool capped = wire.a == t ? wire.capped_a : wire.capped_b;
            symbol.kind = capped ? SymbolKind::cap : part.kind == Kind::cut ? SymbolKind::cut : SymbolKind::open_end;
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

int Converter::add_foot(TerminalId t) {
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
        symbol.metal = metal;
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

// Where a wire ends on the sheet; nothing where the part is not drawn.
std::optional<End> Converter::end_of(TerminalId t) {
    if (is_foot(t)) return End{add_foot(t), 0};
    const auto found = ends_.find(t.index);
    if (found == ends_.end()) return std::nullopt;
    End end = found->second;
    // The two wires of a joint take one side each.
    if (joints_.contains(t.index)) end.terminal = joint_used_[t.index]++ % 2;
    return end;
}

// "W31 4 RD/GN", "W31 4 RD sleeved": a verdict may hang on the sleeve, so whoever wires from the paper must read of it.
std::string Converter::label_of(const loomproof::Wire& wire, Doubts& doubts) {
    std::vector<std::string> words;
    if (wire.named) words.push_back(wire.name);
    if (std::string size = size_text(wire, doubts); !size.empty()) words.push_back(std::move(size));
    if (!wire.colours.main.empty())
        words.push_back(wire.colours.main + (wire.colours.stripe.empty() ? "" : "/" + wire.colours.stripe));
    if (wire.sleeved) words.emplace_back("sleeved");
    std::string label;
    for (const std::string& word : words) label += (label.empty() ? "" : " ") + word;
    return label;
}

void Converter::add_wire(WireId id) {
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
    drawn.key = free_key(drawn.key);
    drawn.either_way = !is_foot(lower_end) && (!flow_.flows(upper, lower_end) || charges(upper) || charges(lower_end) ||
                                               flow_.may_turn(upper, lower_end));
    drawn.mm2_without_unit = wire.size.ends_with(" mm2");
    drawn.colour = {wire.colours.main, wire.colours.stripe};
    if (wire.named) drawn.name = wire.name;
    drawn.label = label_of(wire, drawn.doubts);
    drawn.length = said(wire.length, drawn.doubts);
    drawn.hint = described(circuit_, id) + (wire.length.known() ? ", " + drawn.length : "");
    drawn.mm2 = wire.area.known() ? wire.area.nominal.si * 1e6 : 0;
    if (!wire.cut_from.exists() && wire.origin.provenance == Provenance::job) set_job(drawn, wire.life.born);
    if (options_.changes) mark_change(id, drawn);
    sketch_.wires.push_back(std::move(drawn));
}

// Parts bolted to metal: a thin line to a foot, or to the bar of the engine.
void Converter::add_mounting(PrimitiveId id) {
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
    line.key = free_key("mounting-" + sketch_.symbols[index(from->symbol)].key);
    line.hint = circuit_.at(primitive.part).kind == Kind::box
                    ? name_of(circuit_, circuit_.at(primitive.a).part) + " sits in " + name_of(circuit_, primitive.part)
                    : name_of(circuit_, primitive.part) + " is grounded by its mounting";
    // No battery and no metal is bolted on by itself: this is the strap that the reader took for granted.
    if (part.kind == Kind::battery || part.kind == Kind::metal || part.kind == Kind::engine) {
        line.assumed = true;
        line.hint = "no line of the file names a strap from " + name_of(circuit_, primitive.a) + " to " +
                    name_of(circuit_, primitive.b) + ": assumed";
    }
    sketch_.wires.push_back(std::move(line));
}

// What is live without a wire from a battery is fed over wires that nobody drew: a battery's plus without a wire is then not free.
void Converter::say_where_feeds_come_from() {
    std::vector<std::vector<bool>> wired;
    for (const Symbol& s : sketch_.symbols) wired.emplace_back(s.terminals.size(), false);
    for (const Wire& w : sketch_.wires)
        for (const End& end : {w.a, w.b}) wired[index(end.symbol)][index(end.terminal)] = true;
    bool fed = false;
    for (std::size_t s = 0; s < wired.size(); ++s) {
        const SymbolKind kind = sketch_.symbols[s].kind;
        fed = fed || ((kind == SymbolKind::supply || kind == SymbolKind::existing) && wired[s].front());
    }
    if (!fed) return;
    for (std::size_t s = 0; s < wired.size(); ++s) {
        if (sketch_.symbols[s].kind != SymbolKind::battery || wired[s].front()) continue;
        Terminal& plus = sketch_.symbols[s].terminals.front();
        if (plus.unwired != "free") continue;
        plus.unwired = "not drawn";
        plus.goes_on = true;
    }
}

// Metal that nothing is tied to has no place on the sheet.
void Converter::drop_idle_bars() {
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
    for (Wire& w : sketch_.wires) {
        w.a.symbol = moved[index(w.a.symbol)];
        w.b.symbol = moved[index(w.b.symbol)];
    }
}

void Converter::describe() {
    sketch_.vehicle = circuit_.vehicle.text;
    for (std::size_t r = 0; r <= view_.revision(); ++r) { // a later job is not in what is drawn
        const RevisionInfo& job = circuit_.revisions[r];
        if (job.status == RevisionInfo::Status::fitted && !job.date.empty()) sketch_.as_of = job.date;
        if (job.letter == 0) continue;
        const bool fitted = job.status == RevisionInfo::Status::fitted;
        sketch_.jobs.push_back({job.letter, job.title,
                                fitted ? "fitted" + (job.date.empty() ? "" : " " + job.date) : "planned, not fitted",
                                !fitted});
    }
    sketch_.description = "Circuit drawing of " + (sketch_.title.empty() ? "a vehicle" : sketch_.title) + ": " +
                          counted(sketch_.symbols.size(), "symbol") + ", " + counted(sketch_.wires.size(), "wire") +
                          ".";
}

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
