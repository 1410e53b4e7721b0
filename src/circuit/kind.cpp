#include "circuit/kind.hpp"

#include "base/words.hpp"
#include "circuit/kinds/kinds.hpp"

#include <array>

namespace loomproof {

std::span<const KindSpec> kind_table() {
    static const std::array table = {
#define LOOMPROOF_ROW(name) name##_kind,
        LOOMPROOF_KINDS(LOOMPROOF_ROW)
#undef LOOMPROOF_ROW
    };
    return table;
}

const KindSpec& spec_of(Kind kind) { return kind_table()[static_cast<std::size_t>(kind)]; }

const KindSpec* find_kind(std::string_view keyword) {
    for (const KindSpec& k : kind_table()) {
        if (!k.keyword) continue;
        if (equal_ignoring_case(k.keyword, keyword)) return &k;
        std::string_view also = k.also;
        while (!also.empty()) {
            const std::size_t blank = also.find(' ');
            if (equal_ignoring_case(also.substr(0, blank), keyword)) return &k;
            also.remove_prefix(blank == std::string_view::npos ? also.size() : blank + 1);
        }
    }
    return nullptr;
}

std::span<const AttrSpec> common_attributes(const KindSpec& kind) {
    static constexpr std::size_t of_loads = 12;
    static constexpr AttrSpec common[] = {
        {"duty continuous", Attr::duty, "runs for hours"}, // as all is calculated
        {"duty {s} in {s}", Attr::duty, "how long at a time, and how often", nullptr,
         "how warm fuses, plugs and switches on the way to {} get in the time it runs: there it is taken to run for "
         "hours"},
        {"duty cranking", Attr::duty, "only while the starter turns", nullptr,
         "how warm the wires of {} get in the time it runs: it is taken to run for hours"},
        {"continuous", Attr::duty, "", "duty continuous"},
        {"keep alive", Attr::told, "must never lose its feed"},                    // keep-alive-lost
        {"works from {V}", Attr::works_from, "the least volts at which it works"}, // too-few-volts
        {"works from {V} to {V}", Attr::works_from, ""},
        {"works down to {V}", Attr::works_from, ""},
        {"needs at least {V}", Attr::works_from, ""},
        {"at least {V}", Attr::works_from, ""},
        {"{V} to {V}", Attr::works_from, ""},
        {"from {V} to {V}", Attr::works_from, ""},
        {"restraint", Attr::restraint, "belongs to airbags or belt tensioners", "on"},
        {"in {place}", Attr::kept, "where it is"},
        {"in the {place}", Attr::kept, ""},
        {"grounded by its mounting", Attr::case_grounded, "its case is its ground", "on"},
        {"grounded by its mounting on {metal}", Attr::case_grounded, "its case is its ground", "on"},
        {"grounded by its case", Attr::case_grounded, "", "on"},
        {"grounded through its case", Attr::case_grounded, "", "on"},
        {"grounded through its mounting", Attr::case_grounded, "", "on"},
        {"earthed by its mounting", Attr::case_grounded, "", "on"},
        {"earthed by its case", Attr::case_grounded, "", "on"},
        {"earthed through its mounting", Attr::case_grounded, "", "on"},
        {"case grounded", Attr::case_grounded, "", "on"},
        {"case-grounded", Attr::case_grounded, "", "on"},
        {"case ground", Attr::case_grounded, "", "on"},
        {"stamped {word} for {word}", Attr::stamped, "what is moulded on it in place of the usual stamp"},
        {"in {word} slot {word}", Attr::slot, "the slot of a box that it sits in"},
        {"double {word}", Attr::double_terminal, "a terminal made for two wires"},
        {"kept in {text}", Attr::kept, "where it lies now"},
        {"kept in {word}", Attr::kept, "where it lies now"},
    };
    return kind.is_load ? std::span<const AttrSpec>(common) : std::span<const AttrSpec>(common).subspan(of_loads);
}

} // namespace loomproof
