#pragma once
/// What a person typed for an answer: read, refused with what to type instead, and taken for a figure.

#include "base/result.hpp"
#include "begin/form.hpp"
#include "circuit/figures.hpp"

#include <initializer_list>
#include <optional>
#include <string>

namespace loomproof::begin {

/// Is this answer of the kind that is asked for? The failure is what to tell the person; the value is what stands in the file.
Result<std::string> read_answer(const Ask&, const std::string& typed);

enum class Take { upper, middle };

/// The upper end of a figure ("about 2 m" -> 2.4 m) or its middle, in SI; of "60/55 W" the larger.
std::optional<double> figure_of(const std::string& answer, std::initializer_list<Unit> units, Unit* which = nullptr,
                                Take take = Take::upper);

/// "2 x 55 W", "2 lamps of 55 W", "two 55 W lamps": how many, and what one of them is. Nothing where it is not said so; "2 lamps, 110 W" may be what
/// both take together.
struct Several {
    int count = 0;
    std::string each;
};
std::optional<Several> several(const std::string& answer);

} // namespace loomproof::begin
