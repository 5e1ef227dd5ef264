// SPDX-License-Identifier: Apache-2.0
#include "sim/hours_below.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace lielow {
namespace {

TEST(HoursBelow, StraightLineCrossesWhereItMust) {
    EXPECT_DOUBLE_EQ(seconds_below(0, 3, -1, 3600), 900);
    EXPECT_DOUBLE_EQ(seconds_below(0, -1, 3, 3600), 900);
    EXPECT_DOUBLE_EQ(seconds_below(0, -1, -2, 3600), 3600);
    EXPECT_DOUBLE_EQ(seconds_below(0, 1, 2, 3600), 0);
    EXPECT_DOUBLE_EQ(seconds_below(0, 0, 0, 3600), 0) << "at the threshold is not below it";
    EXPECT_DOUBLE_EQ(seconds_below(0, 0, -1, 3600), 3600);
    EXPECT_DOUBLE_EQ(seconds_below(0, 2, 0, 3600), 0);
    EXPECT_TRUE(std::isnan(seconds_below(0, NAN, -1, 3600)));
}

Field<float> row_of(float a, float b, float c) {
    Field<float> row(1, 3);
    row(0, 0) = a, row(0, 1) = b, row(0, 2) = c;
    return row;
}

TEST(HoursBelow, SumsACosineNight) {
    // T = 4 cos(π t / 10 h): below 0 for exactly half of 10 h, below −2 for a third (arccos(−1/2) = 2π/3).
    const auto at = [](double t) { return static_cast<float>(4 * std::cos(M_PI * t / 36000)); };
    HoursBelow hours({0, -2}, row_of(at(0), 5, NAN), 0);
    for (int n = 1; n <= 40; ++n) hours.add(row_of(at(900 * n), n < 40 ? 5.0F : -5.0F, NAN), 900 * n);
    const Field<float> freezing = hours.take(0);
    const Field<float> hard = hours.take(1);
    EXPECT_NEAR(freezing(0, 0), 5, 1e-5);
    // A chord lies off by up to T'' dt²/8, which moves the crossing by that over T': π dt²/(8 sin(2π/3) 10
    // h).
    EXPECT_NEAR(hard(0, 0), 10.0 / 3, M_PI * 0.25 * 0.25 / (8 * std::sin(2 * M_PI / 3) * 10));
    EXPECT_NEAR(freezing(0, 1), 0.125, 1e-6) << "half of the last quarter of an hour";
    EXPECT_TRUE(std::isnan(freezing(0, 2)));
}

}  // namespace
}  // namespace lielow
