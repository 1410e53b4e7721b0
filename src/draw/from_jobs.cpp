// What the jobs changed: ghosts of what is gone, stubs of what was taken off, old ratings.
#include "circuit/kind.hpp"
#include "draw/converter.hpp"

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

} // namespace

void Converter::note_changes() {
    taken_off_ = taken_off(view_);
    ghosts_ = ghosts(view_);
    for (const Ghost& ghost : ghosts_) {
        for (const Ghost::Left& left : ghost.left) left_behind_.insert(left.is.index);
        // Drawn whole, not as a stub at its other end.
        for (const Ghost::Removed& gone : ghost.removed)
            std::erase_if(taken_off_, [&](const TakenOff& end) { return end.wire == gone.wire; });
    }
    sketch_.shows_changes = true;
    sketch_.removed = removed_in_words(view_);
}

// The part as it was, in broken lines; each wire end that was left there stands before its terminal, capped or open.
void Converter::add_ghost(const Ghost& ghost) {
    const View before(circuit_, static_cast<Revision>(ghost.gone - 1));
    const Part& part = circuit_.at(ghost.part);
    PartSymbol made = symbol_of(before, ghost.part, [&](TerminalId t) {
        return std::any_of(ghost.left.begin(), ghost.left.end(), [&](const Ghost::Left& l) { return l.was == t; }) ||
               std::any_of(ghost.removed.begin(), ghost.removed.end(),
                           [&](const Ghost::Removed& r) { return r.was == t; });
    });
    made.symbol.key += "/removed";
    made.symbol.removed = true;
    made.symbol.is_load = false;
    set_job(made.symbol, ghost.gone);
    made.symbol.lines.emplace_back(made.symbol.planned ? "to be taken out" : "taken out");
    for (const Attribute& a : part.attributes)
        if (a.key == Attr::kept && !a.word.empty()) made.symbol.lines.push_back("kept in " + a.word);
    made.symbol.place.clear();
    for (Terminal& t : made.symbol.terminals) t.unwired.clear();
    const int at = add(std::move(made.symbol));
    for (std::size_t t = 0; t < made.seats.size(); ++t)
        ghost_ends_[made.seats[t].index] = {at, static_cast<int>(made.terminal[t])};
    for (const Ghost::Left& left : ghost.left)
        if (const auto seat = ghost_ends_.find(left.was.index);
            seat != ghost_ends_.end() && !view_.wires_at(left.is).empty())
            add_left_end(left, before, seat->second);
}

void Converter::add_left_end(const Ghost::Left& left, const View& before, const End& ghost) {
    const loomproof::Wire& wire = circuit_.at(view_.wires_at(left.is).front());
    Symbol end;
    end.kind = SymbolKind::joint;
    const bool capped = wire.a == left.is ? wire.capped_a : wire.capped_b;
    end.joint = capped ? JointStyle::capped : JointStyle::left_open;
    end.key = circuit_.part_of(left.is).name;
    end.job = sketch_.symbols[index(ghost.symbol)].job;
    end.planned = sketch_.symbols[index(ghost.symbol)].planned;
    end.lines.push_back(std::string(end.planned ? "to be " : "") + (capped ? "capped" : "left open"));
    end.terminals = {{}, {}};
    const End here{add(std::move(end)), 0};
    seat(left.is, here.symbol, 0);
    Wire to_ghost;
    const bool onwards = find_flow(before).runs(wire.a == left.is ? wire.b : wire.a, left.was);
    to_ghost.a = onwards ? End{here.symbol, 1} : ghost;
    to_ghost.b = onwards ? ghost : End{here.symbol, 1};
    to_ghost.key = free_key(sketch_.symbols[index(here.symbol)].key + "/ghost");
    to_ghost.hint = "Here " +
                    circuit_.at(wire.cut_from.exists() ? wire.cut_from : view_.wires_at(left.is).front()).name +
                    " went to " + sketch_.symbols[index(ghost.symbol)].name + ".";
    to_ghost.mounting = true;
    to_ghost.removed = true;
    sketch_.wires.push_back(std::move(to_ghost));
}

// A wire that went with the part it led to: from the ghost to where it was.
void Converter::add_ghost_wire(const Ghost& ghost, const Ghost::Removed& gone) {
    const auto here = ghost_ends_.find(gone.was.index);
    const auto far_ghost = ghost_ends_.find(gone.to.index);
    if (here == ghost_ends_.end() || !ghost_wires_.insert(gone.wire.index).second) return;
    const std::optional<End> there =
        far_ghost != ghost_ends_.end() ? std::optional(far_ghost->second) : end_of(gone.to);
    if (!there) return;
    const bool onwards = is_foot(gone.to) || flow_before(ghost.gone).runs(gone.was, gone.to);
    Wire wire = ghost_of(gone.wire, "/removed");
    wire.hint = described(circuit_, gone.wire) + ", taken out";
    wire.a = onwards ? here->second : *there;
    wire.b = onwards ? *there : here->second;
    set_job(wire, ghost.gone);
    sketch_.wires.push_back(std::move(wire));
}

// A wire of which an end was moved carries the job's letter too.
void Converter::mark_change(WireId id, Wire& drawn) const {
    const loomproof::Wire& wire = circuit_.at(id);
    drawn.added = drawn.job != 0;
    for (const TakenOff& end : taken_off_)
        if (end.moved && wire.cut_from == end.wire) set_job(drawn, end.revision);
}

void Converter::say_old_rating(PartId id, Symbol& symbol) const {
    const Part& part = circuit_.at(id);
    Revision changed = 0;
    for (const Attribute& a : part.attributes)
        if (a.life.born > part.life.born && a.life.at(view_.revision())) changed = std::max(changed, a.life.born);
    if (changed == 0) return;
    const View before(circuit_, static_cast<Revision>(changed - 1));
    const std::string old = symbol_of(before, id, [&](TerminalId t) { return wired(t); }).symbol.rating;
    if (old == symbol.rating) return;
    symbol.lines.push_back(old.empty() ? "changed" : "was " + old);
    set_job(symbol, changed);
}

// A short dashed ghost of the wire at the terminal it was taken off.
void Converter::add_stub(const TakenOff& end) {
    const auto at = ends_.find(end.from.index);
    if (at == ends_.end() || joints_.contains(end.from.index)) return;
    Symbol stub;
    stub.kind = SymbolKind::gone;
    stub.removed = true;
    stub.key = circuit_.at(end.wire).name + "/taken-off";
    set_job(stub, end.revision);
    const std::string far = name_of(circuit_, end.to);
    stub.lines.push_back(end.moved      ? stub.planned ? "to be moved away" : "moved away"
                         : stub.planned ? "to be taken out; leads to " + far
                                        : "taken out; led to " + far);
    stub.terminals = {{}};
    const bool onwards = is_foot(end.to) || flow_before(end.revision).runs(end.from, end.to);
    const End symbol{add(std::move(stub)), 0};
    Wire ghost = ghost_of(end.wire, "/taken-off");
    ghost.a = onwards ? at->second : symbol;
    ghost.b = onwards ? symbol : at->second;
    ghost.planned = sketch_.symbols[index(symbol.symbol)].planned;
    ghost.hint = described(circuit_, end.wire) + ", taken off";
    sketch_.wires.push_back(std::move(ghost));
}

Wire Converter::ghost_of(WireId id, const char* key) {
    const loomproof::Wire& wire = circuit_.at(id);
    Wire ghost;
    ghost.key = free_key(wire.name + key);
    if (wire.named) ghost.name = wire.name;
    ghost.label = label_of(wire, ghost.doubts);
    ghost.colour = {wire.colours.main, wire.colours.stripe};
    ghost.mm2 = wire.area.known() ? wire.area.nominal.si * 1e6 : 0;
    ghost.removed = true;
    return ghost;
}

const Flow& Converter::flow_before(Revision job) {
    const auto [flow, fresh] = flows_.try_emplace(job);
    if (fresh) flow->second = find_flow(View(circuit_, static_cast<Revision>(job - 1)));
    return flow->second;
}

} // namespace loomproof::draw
