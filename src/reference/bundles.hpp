#pragma once
/// What a wire can carry in the middle of a thick bundle of warm wires: the published table that disagrees most with the one for a wire by
/// itself (carrying.hpp).

#include "base/quantity.hpp"
#include "reference/source.hpp"
#include "reference/wire_sizes.hpp"

#include <optional>
#include <span>
#include <string_view>

namespace loomproof::reference {

/// One row of FAA AC 43.13-1B table 11-9: tin-plated copper, continuous, 70 degC around, 33 wires in the bundle (9 from 8 AWG up) of which a
/// fifth works at a time, thin air. Confirmed.
struct BundleRow {
    std::string_view awg;
    double amps_105c;        ///< insulation good for 105 degC
    double ohms_per_1000_ft; ///< the most, at 20 degC
};

/// From 24 AWG to 4/0. Valid for ever.
std::span<const BundleRow> bundle_rows();
Source bundle_source();

/// The row for this gauge ("12", "1/0"); nothing where the table has none.
std::optional<BundleRow> find_bundle_row(std::string_view awg);
/// The row of the thickest gauge that holds no more copper than that; nothing below 24 AWG.
std::optional<BundleRow> bundle_row_for(SquareMetres copper);

} // namespace loomproof::reference
