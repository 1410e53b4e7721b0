#include "draw/changes.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <map>

namespace loomproof::draw {
namespace {

// Ends that are nobody's terminal: where a wire was cut or hangs loose.
bool is_loose(const Part& part) {
    return part.kind == Kind::cut || part.kind == Kind::loose_end || part.kind == Kind::unknown_end;
}

struct Successors {
    explicit Successors(const Circuit& circuit) : of(circuit.wires.size()) {
        for (std::size_t w = 0; w < circuit.wires.size(); ++w)
            if (circuit.wires[w].cut_from.exists()) of[circuit.wires[w].cut_from.index].push_back(w);
    }
    std::vector<std::vector<std::size_t>> of;
};

} // namespace

std::vector<TakenOff> taken_off(const View& view) {
    const Circuit& circuit = view.circuit();
    const Successors successors(circuit);
    std::vector<TakenOff> out;
    for (std::size_t w = 0; w < circuit.wires.size(); ++w) {
        const loomproof::Wire& wire = circuit.wires[w];
        if (wire.life.gone > view.revision()) continue;
        const std::vector<std::size_t>& next = successors.of[w];
        for (const bool at_a : {true, false}) {
            const TerminalId from = at_a ? wire.a : wire.b, to = at_a ? wire.b : wire.a;
            const bool stays = std::any_of(next.begin(), next.end(), [&](std::size_t n) {
                return circuit.wires[n].a == from || circuit.wires[n].b == from;
            });
            const PartId part = circuit.at(from).part;
            if (stays || is_loose(circuit.at(part)) || !view.alive(part)) continue;
            TakenOff end;
            end.wire.index = static_cast<decltype(end.wire.index)>(w);
            end.from = from;
            end.to = to;
            end.revision = wire.life.gone;
            end.moved = !next.empty();
            out.push_back(end);
        }
    }
    return out;
}

std::vector<Ghost> ghosts(const View& view) {
    const Circuit& circuit = view.circuit();
    std::vector<Ghost> found;
    const auto leaves_one = [&](PartId id) {
        const Part& part = circuit.at(id);
        return part.kind != Kind::connector && part.kind != Kind::ground && part.kind != Kind::metal &&
               !is_loose(part) && part.life.gone <= view.revision();
    };
    const auto ghost_of = [&](PartId id) -> Ghost& {
        auto at = std::find_if(found.begin(), found.end(), [&](const Ghost& g) { return g.part == id; });
        if (at == found.end()) at = found.insert(found.end(), {id, circuit.at(id).life.gone, {}, {}});
        return *at;
    };
    const auto note = [&](TerminalId was, TerminalId is) {
        const PartId id = circuit.at(was).part;
        if (was == is || circuit.part_of(is).kind != Kind::loose_end || !leaves_one(id)) return;
        // Several wires that were at one terminal share one loose end.
        Ghost& ghost = ghost_of(id);
        const bool known =
            std::any_of(ghost.left.begin(), ghost.left.end(), [&](const Ghost::Left& l) { return l.is == is; });
        if (!known) ghost.left.push_back({was, is});
    };
    for (const WireId w : view.wires()) {
        const loomproof::Wire& wire = circuit.at(w);
        if (!wire.cut_from.exists()) continue;
        const loomproof::Wire& before = circuit.at(wire.cut_from);
        note(before.a, wire.a);
        note(before.b, wire.b);
    }
    const auto once_at = [&](const loomproof::Wire& wire, bool a) {
        const loomproof::Wire* piece = &wire;
        while (circuit.part_of(a ? piece->a : piece->b).kind == Kind::loose_end && piece->cut_from.exists())
            piece = &circuit.at(piece->cut_from);
        return a ? piece->a : piece->b;
    };
    const Successors successors(circuit);
    for (std::size_t w = 0; w < circuit.wires.size(); ++w) {
        const loomproof::Wire& wire = circuit.wires[w];
        if (wire.life.gone > view.revision() || !successors.of[w].empty()) continue;
        WireId id;
        id.index = static_cast<decltype(id.index)>(w);
        // An end that hung loose when the wire was taken out had been somewhere.
        const TerminalId a = once_at(wire, true), b = once_at(wire, false);
        for (const auto& [was, to] : {std::pair{a, b}, {b, a}}) {
            const PartId part = circuit.at(was).part, far = circuit.at(to).part;
            const bool together = leaves_one(part) && circuit.at(part).life.gone == wire.life.gone;
            const bool still_there = view.alive(far) && !is_loose(circuit.at(far));
            if (together && still_there) ghost_of(part).removed.push_back({id, was, to});
        }
    }
    return found;
}

std::vector<std::string> removed_in_words(const View& view) {
    const Circuit& circuit = view.circuit();
    const Successors successors(circuit);
    std::map<Revision, std::vector<std::string>> gone;
    for (const Part& part : circuit.parts) {
        if (part.life.gone > view.revision() || is_loose(part)) continue;
        std::string text = part.name + (part.label.empty() ? "" : " " + part.label);
        for (const Attribute& a : part.attributes)
            if (a.key == Attr::kept && !a.word.empty()) text += " (kept in " + a.word + ")";
        gone[part.life.gone].push_back(std::move(text));
    }
    for (std::size_t w = 0; w < circuit.wires.size(); ++w) {
        const loomproof::Wire& wire = circuit.wires[w];
        if (wire.life.gone > view.revision() || !successors.of[w].empty()) continue;
        std::vector<std::string>& names = gone[wire.life.gone];
        if (std::find(names.begin(), names.end(), wire.name) == names.end()) names.push_back(wire.name);
    }
    std::map<Revision, std::vector<std::string>> moved;
    for (const TakenOff& end : taken_off(view))
        if (end.moved) moved[end.revision].push_back(circuit.at(end.wire).name + " off " + name_of(circuit, end.from));
    std::vector<std::string> out;
    const auto say = [&](const auto& by_revision, const char* what) {
        for (const auto& [revision, names] : by_revision) {
            const bool job = revision < circuit.revisions.size() && circuit.revisions[revision].letter != 0;
            const bool planned = job && circuit.revisions[revision].status == RevisionInfo::Status::planned;
            out.push_back((job ? std::string(1, circuit.revisions[revision].letter) + " " : "") +
                          (planned ? "to be " : "") + what + list_of(names));
        }
    };
    say(gone, "removed: ");
    say(moved, "moved: ");
    return out;
}

} // namespace loomproof::draw
