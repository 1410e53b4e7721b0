#include "circuit/unsaid.hpp"

#include "reference/carrying.hpp"
#include "reference/wire_sizes.hpp"

namespace loomproof {

UnsaidSize most_unsaid_size(const Circuit& c) {
    Amps largest;
    for (const Primitive& p : c.primitives)
        if (p.element == Element::protector && p.rating.known() && p.rating.nominal > largest)
            largest = p.rating.nominal;
    UnsaidSize most{SquareMetres{6e-6}, "6 mm2"};
    for (const reference::WireSize& size : reference::wire_sizes(reference::SizeSystem::metric)) {
        if (size.copper <= most.copper) continue;
        const auto carries = reference::what_a_wire_can_carry(most.copper, reference::default_insulation_class,
                                                              reference::table_ambient);
        if (carries && carries->amps >= largest) break;
        most = {size.copper, reference::spelled(size), true};
    }
    return most;
}

} // namespace loomproof
