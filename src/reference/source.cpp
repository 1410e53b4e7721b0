#include "reference/source.hpp"

namespace loomproof::reference {

std::string_view word(Standing standing) {
    switch (standing) {
    case Standing::confirmed: return "confirmed";
    case Standing::from_memory: return "from memory";
    case Standing::common_practice: return "common practice";
    }
    return "";
}

std::string cite(const Source& source) {
    std::string out(source.text);
    if (source.standing == Standing::from_memory) out += ", from memory";
    return out;
}

} // namespace loomproof::reference
