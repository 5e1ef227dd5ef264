// SPDX-License-Identifier: Apache-2.0
#include "sim/field_tests.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double inch = 0.0254;
constexpr double hour = 3600;

// A hole 12 in wide and filled 12 in that falls an inch in an hour: 0.207 in/h by Porchet (ILRI 16, from
// memory).
TEST(FieldTests, PercolationHole) {
    FieldTest test;
    test.radius_m = 6 * inch;
    test.water = {{0, 12 * inch}, {hour, 11 * inch}};
    const SoilFinding found = finding_of(test);
    EXPECT_NEAR(found.conductivity_m_s / inch * hour, 0.207, 5e-4);
    EXPECT_NEAR(found.rate_m_s, inch / hour, 1e-12);
    // K = 3 in · ln(15/14)/h, and 18 in of water over r/2 = 3 in take 3 in · ln(21/3)/K.
    EXPECT_NEAR(found.emptying_s / hour, std::log(7.0) / std::log(15.0 / 14.0), 1e-9);
    test.water.pop_back();
    EXPECT_THROW(finding_of(test), InputError);
}

TEST(FieldTests, AHoleWhoseWaterStandsStillIsSlowAtBest) {
    FieldTest test;
    test.radius_m = 6 * inch;
    test.water = {{0, 12 * inch}, {hour, 12 * inch}, {2 * hour, 12 * inch}};
    const SoilFinding found = finding_of(test);
    EXPECT_TRUE(found.no_fall);
    // 3 in · ln(15 in/(15 in − 1/16 in))/2 h
    EXPECT_NEAR(found.conductivity_m_s / inch * hour, 1.5 * std::log(15 / (15 - 1.0 / 16)), 1e-9);
    EXPECT_NEAR(found.rate_m_s / inch * hour, 1.0 / 32, 1e-9);
    test.water = {{0, 0}, {hour, 0}};
    EXPECT_THROW(finding_of(test), InputError) << "an empty hole says nothing";
    test.water = {{0, 12 * inch}, {hour, 14 * inch}};
    EXPECT_THROW(finding_of(test), InputError) << "water that rises isn't water that stands still";
    test.water = {{0, 12 * inch}, {hour, 11 * inch}, {2 * hour, 12 * inch}};
    EXPECT_THROW(finding_of(test), InputError) << "nor is water that was filled up";
}

TEST(FieldTests, PitByColourRootsAndTexture) {
    FieldTest test;
    test.kind = TestKind::pit;
    test.layers = {{{0, 10 * inch, "silt loam"}, false, true, false},
                   {{10 * inch, 18 * inch, "silt loam"}, false, true, false},
                   {{18 * inch, 44 * inch, "silty clay"}, true, false, false}};
    SoilFinding found = finding_of(test);
    EXPECT_EQ(found.drainage, DrainageClass::somewhat_poor);
    EXPECT_NEAR(found.gray_from_m, 18 * inch, 1e-12);
    EXPECT_NEAR(found.rooting_depth_m, 18 * inch, 1e-12);
    EXPECT_NEAR(found.rooted_water_m, 1.5 * 1.9 * inch, 1e-9) << "18 in of silt loam at 1.9 in a foot";
    EXPECT_TRUE(std::isnan(found.floor_depth_m));
    test.layers[2].restriction = true;
    found = finding_of(test);
    EXPECT_NEAR(found.floor_depth_m, 18 * inch, 1e-12);
    EXPECT_NEAR(found.available_water_m, 1.5 * 1.9 * inch, 1e-9) << "nothing below what stops roots";
}

TEST(FieldTests, PitWaterOnTheDayOfTheRainDoesNotCount) {
    FieldTest test;
    test.kind = TestKind::pit;
    test.pit_water = {{0, 0.1, true}, {1, 0.4, true}, {3, 0.7, false}, {7, NAN, false}};
    const SoilFinding found = finding_of(test);
    EXPECT_DOUBLE_EQ(found.table_depth_year_m, 0.4);
    EXPECT_DOUBLE_EQ(found.table_depth_spring_m, 0.4);
    test.pit_water = {{0, 0.1, true}, {5, NAN, true}};
    EXPECT_TRUE(std::isnan(finding_of(test).table_depth_year_m)) << "dry is no depth";
    EXPECT_EQ(finding_of(test).drainage, DrainageClass::unknown);
}

TEST(FieldTests, SamplesAndReadings) {
    FieldTest test;
    test.kind = TestKind::ph;
    test.ph = {5.0, 5.5, 6.0};
    EXPECT_NEAR(finding_of(test).ph, 5.5, 1e-12);
    test.pressures_pa = {1e6, 3e6};
    EXPECT_DOUBLE_EQ(finding_of(test).hard_share, 0.5);
    test.ph.clear();
    EXPECT_TRUE(std::isnan(finding_of(test).ph));
}

}  // namespace
}  // namespace lielow
