#include "findings/finding.hpp"

namespace loomproof {

const char* word(Severity severity) {
    switch (severity) {
    case Severity::danger: return "danger";
    case Severity::fault: return "fault";
    case Severity::advice: return "advice";
    case Severity::note: return "note";
    }
    return "";
}

const char* word(Certainty certainty) {
    switch (certainty) {
    case Certainty::certain: return "certain";
    case Certainty::possible: return "possible";
    case Certainty::undecided: return "undecided";
    }
    return "";
}

} // namespace loomproof
