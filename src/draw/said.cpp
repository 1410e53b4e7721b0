#include "draw/said.hpp"

#include "base/number.hpp"
#include "base/words.hpp"

namespace loomproof::draw {
namespace {

template <class Q> std::string marked_text(const Stated<Q>& value, const char* unit, Doubts& doubts) {
    return marked(value.known() ? text(value.nominal) : "", value.how, value.span, unit, doubts);
}

} // namespace

std::string marked(const std::string& text, Knowledge how, const Span& span, const std::string& unit, Doubts& doubts) {
    switch (how) {
    case Knowledge::unknown:
        if (!span.exists()) return "";
        doubts.not_known = true;
        return "? " + unit;
    case Knowledge::about:
    case Knowledge::assumed: doubts.about = true; return "~" + text;
    case Knowledge::guessed: doubts.guessed = true; return text + "?";
    case Knowledge::given:
    case Knowledge::measured:
    case Knowledge::marked: break;
    }
    return text;
}

std::string said(const Stated<Amps>& value, Doubts& doubts) { return marked_text(value, "A", doubts); }
std::string said(const Stated<Volts>& value, Doubts& doubts) { return marked_text(value, "V", doubts); }
std::string said(const Stated<Watts>& value, Doubts& doubts) { return marked_text(value, "W", doubts); }
std::string said(const Stated<Ohms>& value, Doubts& doubts) { return marked_text(value, "ohm", doubts); }
std::string said(const Stated<Metres>& value, Doubts& doubts) { return marked_text(value, "m", doubts); }

std::string in_letters_of_its_standard(std::string size) {
    for (const std::string unit : {" AWG", " SAE"})
        if (size.size() > unit.size() && equal_ignoring_case(size.substr(size.size() - unit.size()), unit))
            size.replace(size.size() - unit.size(), unit.size(), unit);
    return size;
}

std::string size_text(const loomproof::Wire& wire, Doubts& doubts) {
    std::string size = in_letters_of_its_standard(wire.size);
    if (size.ends_with(" mm2")) size.erase(size.size() - 4);
    if (size.empty() && wire.area.known()) return "";
    return marked(size, wire.area.how, wire.area.span, "mm2", doubts);
}

} // namespace loomproof::draw
