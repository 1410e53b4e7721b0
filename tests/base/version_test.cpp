#include "base/version.hpp"

#include <algorithm>
#include <string_view>

#include <doctest/doctest.h>

TEST_CASE("the version is three numbers with dots between them") {
    const std::string_view version = loomproof::version();
    CAPTURE(version);
    CHECK(std::ranges::count(version, '.') == 2);
    CHECK(version.find_first_not_of("0123456789.") == std::string_view::npos);
    CHECK(version.find("..") == std::string_view::npos);
    CHECK(version.front() != '.');
    CHECK(version.back() != '.');
}
