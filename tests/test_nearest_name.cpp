// SPDX-License-Identifier: Apache-2.0
#include "io/nearest_name.hpp"

#include <gtest/gtest.h>

#include <array>

namespace lielow {
namespace {

TEST(EditDistance, CountsTheFourEdits) {
    EXPECT_EQ(edit_distance("cloud", "cloud"), 0U);
    EXPECT_EQ(edit_distance("clud", "cloud"), 1U);    // insert
    EXPECT_EQ(edit_distance("cloudy", "cloud"), 1U);  // delete
    EXPECT_EQ(edit_distance("clowd", "cloud"), 1U);   // replace
    EXPECT_EQ(edit_distance("clodu", "cloud"), 1U);   // swap
    EXPECT_EQ(edit_distance("", "cloud"), 5U);
    // The textbook pair of Levenshtein's distance, and the one that tells the restricted distance (3) from
    // the full one (2).
    EXPECT_EQ(edit_distance("kitten", "sitting"), 3U);
    EXPECT_EQ(edit_distance("ca", "abc"), 3U);
}

TEST(NearestName, TakesTheFirstOfEquals) {
    constexpr std::array<std::string_view, 3> known{"dem", "den", "fields"};
    EXPECT_EQ(nearest_name("deb", known), "dem");
    EXPECT_EQ(nearest_name("feilds", known), "fields");
    EXPECT_EQ(nearest_name("x", {}), "");
}

}  // namespace
}  // namespace lielow
