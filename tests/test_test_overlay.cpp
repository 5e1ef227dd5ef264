// SPDX-License-Identifier: Apache-2.0
#include "sim/test_overlay.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

const Grid kGrid{1, 40, 1.0, 1.0};  // a row of metres

PlacedFinding ph_at(double x, double value) {
    PlacedFinding placed{std::array{x, 0.5}, {}, {}};
    placed.finding.ph = value;
    return placed;
}

SoilFacts with_ph(float value) {
    SoilFacts facts;
    facts.ph = Field<float>(1, 40, value);
    return facts;
}

TEST(TestOverlay, OverridesWhereItStandsAndFades) {
    SoilFacts facts = with_ph(6.0F);
    lay_tests(kGrid, std::vector{ph_at(10.5, 5.0)}, 10, facts);
    EXPECT_NEAR(facts.ph[10], 5.0, 1e-5);
    EXPECT_NEAR(facts.ph[15], 5.5, 1e-5) << "half the reach away the survey has half the say";
    EXPECT_NEAR(facts.ph[5], 5.5, 1e-5);
    EXPECT_FLOAT_EQ(facts.ph[20], 6.0F);
    EXPECT_FLOAT_EQ(facts.test_weight[10], 1.0F);
    EXPECT_NEAR(facts.test_weight[13], 0.7, 1e-6);
    EXPECT_FLOAT_EQ(facts.test_weight[25], 0.0F);
    EXPECT_TRUE(facts.floor_depth_m.empty()) << "nobody says anything of it";
}

TEST(TestOverlay, UnknownGroundTakesTheTestAlone) {
    SoilFacts facts;
    lay_tests(kGrid, std::vector{ph_at(10.5, 5.0)}, 10, facts);
    EXPECT_NEAR(facts.ph[17], 5.0, 1e-6);
    EXPECT_TRUE(std::isnan(facts.ph[21]));
}

// Weights of Franke & Nielson 1980 by hand: from 4 m and 6 m with a reach of 10 m, (6/40)² and (4/60)².
TEST(TestOverlay, TwoTestsShare) {
    SoilFacts facts;
    lay_tests(kGrid, std::vector{ph_at(10.5, 5.0), ph_at(20.5, 7.0)}, 10, facts);
    const double near = 36.0 / 1600;
    const double far = 16.0 / 3600;
    EXPECT_NEAR(facts.ph[14], (5 * near + 7 * far) / (near + far), 1e-5);
    EXPECT_NEAR(facts.ph[10], 5.0, 1e-4);
    EXPECT_NEAR(facts.ph[20], 7.0, 1e-4);
}

TEST(TestOverlay, ConductivitiesMixByTheirLogarithms) {
    SoilFacts facts;
    facts.conductivity_m_s = Field<float>(1, 40, 1e-4F);
    PlacedFinding test{std::array{10.5, 0.5}, {}, {}};
    test.finding.conductivity_m_s = 1e-6;
    lay_tests(kGrid, std::vector{test}, 10, facts);
    EXPECT_NEAR(facts.conductivity_m_s[15], 1e-5, 1e-9);
}

TEST(TestOverlay, NearestClassWins) {
    SoilFacts facts;
    facts.drainage_class = Field<std::uint8_t>(1, 40, static_cast<std::uint8_t>(DrainageClass::well));
    PlacedFinding wet{std::array{10.5, 0.5}, {}, {}};
    wet.finding.drainage = DrainageClass::poor;
    PlacedFinding dry{std::array{20.5, 0.5}, {}, {}};
    dry.finding.drainage = DrainageClass::moderately_well;
    lay_tests(kGrid, std::vector{dry, wet}, 8, facts);
    const auto at = [&](std::size_t c) { return static_cast<DrainageClass>(facts.drainage_class[c]); };
    EXPECT_EQ(at(14), DrainageClass::poor);
    EXPECT_EQ(at(16), DrainageClass::moderately_well);
    EXPECT_EQ(at(15), DrainageClass::moderately_well) << "of equals the first";
    EXPECT_EQ(at(1), DrainageClass::well);
}

// Water seen in a pit shows how shallow the table gets at least; it can't prove a survey too wet.
TEST(TestOverlay, SeenWaterOnlyRaisesTheTable) {
    SoilFacts facts;
    facts.table_depth_year_m = Field<float>(1, 40, 0.5F);
    PlacedFinding pit{std::array{10.5, 0.5}, {}, {}};
    pit.finding.table_depth_year_m = 0.9;
    lay_tests(kGrid, std::vector{pit}, 10, facts);
    EXPECT_FLOAT_EQ(facts.table_depth_year_m[10], 0.5F);
    pit.finding.table_depth_year_m = 0.2;
    lay_tests(kGrid, std::vector{pit}, 10, facts);
    EXPECT_NEAR(facts.table_depth_year_m[10], 0.2, 1e-5);
    EXPECT_TRUE(facts.table_seen_only.empty()) << "a survey speaks there";
}

// Where nobody says where the table lies, what was seen is marked as a bound.
TEST(TestOverlay, SeenWaterAloneIsMarked) {
    SoilFacts facts;
    PlacedFinding pit{std::array{10.5, 0.5}, {}, {}};
    pit.finding.table_depth_year_m = 1.5;
    lay_tests(kGrid, std::vector{pit}, 10, facts);
    ASSERT_FALSE(facts.table_seen_only.empty());
    EXPECT_EQ(facts.table_seen_only[10], 1);
    EXPECT_EQ(facts.table_seen_only[30], 0);
    EXPECT_NEAR(facts.table_depth_year_m[10], 1.5, 1e-5);
}

TEST(TestOverlay, FieldWithoutAPlaceCountsHalfAndOnlyThere) {
    SoilFacts facts = with_ph(6.0F);
    PlacedFinding test = ph_at(0, 5.0);
    test.at_m.reset();
    test.cells = {3, 4};
    lay_tests(kGrid, std::vector{test}, 10, facts);
    EXPECT_NEAR(facts.ph[3], 5.5, 1e-5);
    EXPECT_FLOAT_EQ(facts.ph[5], 6.0F);
    EXPECT_FLOAT_EQ(facts.test_weight[4], 0.5F);
}

TEST(TestOverlay, NoReachNoTests) {
    SoilFacts facts;
    EXPECT_THROW(lay_tests(kGrid, {}, 0, facts), InputError);
    lay_tests(kGrid, {}, 10, facts);
    EXPECT_TRUE(facts.test_weight.empty());
}

}  // namespace
}  // namespace lielow
