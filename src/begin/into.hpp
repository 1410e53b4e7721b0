#pragma once
/// A form for a vehicle that has its file already: names that are free there, and its battery in place of one of the form's own.

#include "begin/fill.hpp"
#include "circuit/circuit.hpp"

#include <string>
#include <vector>

namespace loomproof::begin {

struct ForCar {
    Form form;                      ///< its text is what comes behind the end of the file, without a `loom 1`
    Answers said;                   ///< the battery, where the vehicle has one only; it is not asked then
    std::vector<std::string> notes; ///< for the person: which battery, which names became others; whole sentences
};

/// `file`: what it is called, for the notes. Where the file has jobs the form becomes one more, planned. Fails where a form cannot reckon for
/// this vehicle: other than 12 V, plus on the body.
Result<ForCar> for_car(Form, const Circuit&, const std::string& file);

} // namespace loomproof::begin
