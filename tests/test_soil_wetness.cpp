// SPDX-License-Identifier: Apache-2.0
#include "sim/soil_wetness.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace lielow {
namespace {

constexpr double inch = 0.0254;
constexpr double hour = 3600;

// Ladder by gray mottles (Minnesota Department of Natural Resources): well none in 40 in, moderately well 20
// to 40 in, somewhat poorly within 20 in, poorly within 10 in.
TEST(SoilWetness, LadderByGray) {
    EXPECT_EQ(class_by_gray(8 * inch, 48 * inch), DrainageClass::poor);
    EXPECT_EQ(class_by_gray(15 * inch, 48 * inch), DrainageClass::somewhat_poor);
    EXPECT_EQ(class_by_gray(30 * inch, 48 * inch), DrainageClass::moderately_well);
    EXPECT_EQ(class_by_gray(45 * inch, 48 * inch), DrainageClass::well);
    EXPECT_EQ(class_by_gray(NAN, 48 * inch), DrainageClass::well);
}

TEST(SoilWetness, ShallowPitWithoutGrayTellsNoClass) {
    EXPECT_EQ(class_by_gray(NAN, 24 * inch), DrainageClass::unknown);
    EXPECT_EQ(class_by_gray(15 * inch, 24 * inch), DrainageClass::somewhat_poor);
}

// Free water by the Soil Survey Manual (USDA Handbook 18, chapter 3): 25 to 50 cm somewhat poorly, 50 to 100
// cm moderately well, below 150 cm well. It has no class for 100 to 150 cm, where the ladder by colour has
// "well".
TEST(SoilWetness, FreeWaterAndItsGap) {
    EXPECT_EQ(class_by_free_water(0.10), DrainageClass::poor);
    EXPECT_EQ(class_by_free_water(0.30), DrainageClass::somewhat_poor);
    EXPECT_EQ(class_by_free_water(0.80), DrainageClass::moderately_well);
    EXPECT_EQ(class_by_free_water(1.25), DrainageClass::unknown);
    EXPECT_EQ(class_by_gray(1.25, 1.40), DrainageClass::well);
    EXPECT_EQ(class_by_free_water(1.60), DrainageClass::well);
}

// Common practice, no source: below 1 in/h slow, 1 to 3 in/h fit.
TEST(SoilWetness, Percolation) {
    EXPECT_EQ(percolation_class(0.9 * inch / hour), Percolation::slow);
    EXPECT_EQ(percolation_class(2.0 * inch / hour), Percolation::fit);
    EXPECT_EQ(percolation_class(3.2 * inch / hour), Percolation::fast);
}

// University of Florida: an 18 in hole empty within an hour good, within a day fair, later poor.
TEST(SoilWetness, HoleThatEmpties) {
    EXPECT_EQ(emptying_class(0.9 * hour), HoleEmptying::good);
    EXPECT_EQ(emptying_class(20 * hour), HoleEmptying::fair);
    EXPECT_EQ(emptying_class(30 * hour), HoleEmptying::poor);
}

TEST(SoilWetness, Names) {
    EXPECT_EQ(drainage_name(DrainageClass::somewhat_poor), "somewhat poorly drained");
    EXPECT_EQ(drainage_name(DrainageClass::unknown), "unknown");
}

}  // namespace
}  // namespace lielow
