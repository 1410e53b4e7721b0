// The comparison that all stored outputs rest on.
#include "support/stored.hpp"

#include <string>

#include <doctest/doctest.h>

using loomproof::support::first_difference;

TEST_CASE("equal texts have no first difference") {
    CHECK(first_difference("", "") == "");
    CHECK(first_difference("a\nb\n", "a\nb\n") == "");
}

TEST_CASE("the first differing line is named, and the end of a text counts as one") {
    CHECK(first_difference("a\nb\nc\n", "a\nx\ny\n") == "line 2: stored `b`, made `x`");
    CHECK(first_difference("a\n", "a\nb\n") == "line 2: stored (end), made `b`");
    CHECK(first_difference("a\nb\n", "a\n") == "line 2: stored `b`, made (end)");
    CHECK(first_difference("a\n", "a") == "line 1: stored `a`, made `a` (no newline)");
    CHECK(first_difference("a\r\n", "a\n") != "");
}
