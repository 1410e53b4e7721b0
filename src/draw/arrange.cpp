// An arrangement found put into the weave.
#include "draw/order.hpp"

#include <algorithm>
#include <utility>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// Gives the pins of one terminal, from left to right, to its pieces in the order of their other ends.
void deal_pins(Weave& weave, int node, bool upper_side, const std::vector<int>& pos) {
    Node& n = weave.nodes[index(node)];
    Body& body = weave.bodies[index(n.symbol)];
    std::vector<int>& pieces = upper_side ? n.above : n.below;
    const auto own_pin = [&](int p) -> int& {
        Piece& piece = weave.pieces[index(p)];
        return upper_side ? piece.lower_pin : piece.upper_pin;
    };
    const auto other = [&](int p) {
        const Piece& piece = weave.pieces[index(p)];
        const int far = upper_side ? piece.upper : piece.lower;
        const Node& far_node = weave.nodes[index(far)];
        const int cell = seat_cell(weave, far, p, !upper_side);
        const int cells = far_node.type == Node::Type::body ? weave.bodies[index(far_node.symbol)].cells : 1;
        return std::pair(pos[index(far)], far_node.mirrored ? cells - 1 - cell : cell);
    };
    std::stable_sort(pieces.begin(), pieces.end(), [&](int a, int b) { return other(a) < other(b); });
    // Terminals in the order of their columns, pieces of each in the order just found.
    std::vector<int> pins;
    for (std::size_t i = 0; i < pieces.size(); ++i) pins.push_back(own_pin(pieces[i]));
    const auto column_of = [&](int pin) { return cell_of(body, body.pins[index(pin)], n.mirrored); };
    std::sort(pins.begin(), pins.end(), [&](int a, int b) { return column_of(a) < column_of(b); });
    std::vector<bool> given(pins.size(), false);
    std::vector<Pin> moved = body.pins;
    for (const int p : pieces) {
        const Pin& mine = body.pins[index(own_pin(p))];
        for (std::size_t i = 0; i < pins.size(); ++i) {
            const Pin& target = body.pins[index(pins[i])];
            if (given[i] || target.terminal != mine.terminal) continue;
            given[i] = true;
            moved[index(own_pin(p))].cell = target.cell;
            break;
        }
    }
    body.pins = std::move(moved);
}

} // namespace

void apply(Weave& weave, const Arrangement& arrangement) {
    weave.rows = arrangement.rows;
    std::vector<int> pos(weave.nodes.size());
    for (const std::vector<int>& row : weave.rows)
        for (std::size_t i = 0; i < row.size(); ++i) pos[index(row[i])] = static_cast<int>(i);
    for (std::size_t n = 0; n < weave.nodes.size(); ++n) weave.nodes[n].mirrored = arrangement.mirrored[n];
    for (std::size_t n = 0; n < weave.nodes.size(); ++n) {
        Node& node = weave.nodes[n];
        const int id = static_cast<int>(n);
        if (node.type == Node::Type::body) {
            deal_pins(weave, id, true, pos);
            deal_pins(weave, id, false, pos);
            continue;
        }
        const auto by_other = [&](bool upper_side) {
            return [&weave, &pos, upper_side](int a, int b) {
                const auto place = [&](int p) {
                    const Piece& piece = weave.pieces[index(p)];
                    const int far = upper_side ? piece.upper : piece.lower;
                    const Node& far_node = weave.nodes[index(far)];
                    const int cell = seat_cell(weave, far, p, !upper_side);
                    const int cells =
                        far_node.type == Node::Type::body ? weave.bodies[index(far_node.symbol)].cells : 1;
                    return std::pair(pos[index(far)], far_node.mirrored ? cells - 1 - cell : cell);
                };
                return place(a) < place(b);
            };
        };
        std::stable_sort(node.above.begin(), node.above.end(), by_other(true));
        std::stable_sort(node.below.begin(), node.below.end(), by_other(false));
    }
}

} // namespace loomproof::draw
