// The sheet of symbols: nothing is missing, nothing lies on anything else.
#include "draw/measure.hpp"
#include "draw/symbol_sheet.hpp"
#include "draw/symbols.hpp"
#include "support/stored.hpp"

#include <doctest/doctest.h>

#include <set>

using namespace loomproof;
using namespace loomproof::draw;

TEST_CASE("every kind of symbol is on the sheet, in every form") {
    std::set<SymbolKind> kinds;
    std::set<FuseStyle> fuses;
    std::set<Operated> operated;
    std::set<Suppression> suppressions;
    std::set<JointStyle> joints;
    for (const Symbol& s : symbol_samples()) {
        kinds.insert(s.kind);
        if (s.kind == SymbolKind::fuse) fuses.insert(s.fuse);
        if (s.kind == SymbolKind::lever_switch) operated.insert(s.operated);
        if (s.kind == SymbolKind::relay) suppressions.insert(s.suppression);
        if (s.kind == SymbolKind::joint) joints.insert(s.joint);
    }
    for (int kind = 0; kind < symbol_kinds; ++kind) {
        CAPTURE(row_of(static_cast<SymbolKind>(kind)).word);
        CHECK(kinds.contains(static_cast<SymbolKind>(kind)));
        CHECK((row_of(static_cast<SymbolKind>(kind)).shape != nullptr));
    }
    CHECK(fuses.size() == 2);
    CHECK(operated.size() == 6);
    CHECK(suppressions.size() == 3);
    CHECK(joints.size() == 8);
}

TEST_CASE("the sheet of symbols is one page, and its words stand free") {
    for (const bool black_and_white : {false, true}) {
        const Drawing drawing = draw_symbols(black_and_white);
        const auto m = draw::test::measure(drawing.svg);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
        CHECK(m.outside == 0);
    }
    support::check_stored("tests/draw/pictures/symbols.svg", draw_symbols().svg);
}
