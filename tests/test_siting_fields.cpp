// SPDX-License-Identifier: Apache-2.0
// A field's areas, reasons, figures and rank; the slope of the ground.
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "sim/siting.hpp"
#include "support/siting_row.hpp"

namespace lielow {
namespace {

using namespace testing;

TEST(GroundSlope, PlaneAndHole) {
    const Grid grid{9, 12, 2, 1};
    Field<float> z(9, 12);
    for (std::int32_t r = 0; r < 9; ++r) {
        for (std::int32_t c = 0; c < 12; ++c) z(r, c) = static_cast<float>(0.03 * 2 * c + 0.04 * r);
    }
    z(4, 5) = kNan;
    const Field<float> slope = ground_slope(grid, z, 3);
    EXPECT_TRUE(std::isnan(slope(4, 5)));
    for (std::int32_t r = 0; r < 9; ++r) {
        for (std::int32_t c = 0; c < 12; ++c) {
            if (r == 4 && c == 5) continue;
            EXPECT_NEAR(static_cast<double>(slope(r, c)), 0.05, 1e-6) << r << " " << c;
        }
    }
}

/// Ten cells of 100 m2: six to plant, one with work, three not; the three lie at the east end.
TEST(FieldSiting, AreasReasonsFiguresAndPlace) {
    const Field<float> years = row({20, 20, 20, 20, 20, 20, 8, 3, 2, 4});
    const std::vector<SitingEvidence> evidence{of(frost, "loss_years", at_least(10, 5), years)};
    const SitingRule rule = necessary({frost});
    const Grid grid{1, 10, 10, 10};
    const Siting siting = judge(evidence, rule, 10);
    const std::vector<std::uint32_t> cells{0, 1, 2, 3, 4, 5, 6, 7, 8, 9};
    std::vector<float> share(10, 1);
    share[0] = 0.5F;
    const FieldSiting field = field_siting(grid, siting, evidence, rule, {cells, share});
    EXPECT_DOUBLE_EQ(field.ground_m2, 950);
    EXPECT_DOUBLE_EQ(field.area_m2[0], 550);
    EXPECT_DOUBLE_EQ(field.area_m2[1], 100);
    EXPECT_DOUBLE_EQ(field.area_m2[2], 300);
    EXPECT_DOUBLE_EQ(field.area_m2[3], 0);
    ASSERT_EQ(field.parts.size(), 3U);
    EXPECT_EQ(field.parts[2].siting, not_here);
    EXPECT_EQ(field.parts[2].reason, reason(frost));
    EXPECT_EQ(field.parts[2].figure, "loss_years");
    EXPECT_DOUBLE_EQ(field.parts[2].median, 3);
    EXPECT_GT(field.parts[2].x_offset, 0.5);
    EXPECT_DOUBLE_EQ(field.parts[2].y_offset, 0);
    EXPECT_TRUE(std::isnan(field.parts[0].median));
}

/// Frost is named, yet who mends it meets the slope on one of the two cells.
TEST(FieldSiting, OtherReasonsAreCounted) {
    const Field<float> years = row({2, 2, 20});
    const Field<float> steep = row({0.3F, 0.15F, 0});
    const std::vector<SitingEvidence> evidence{of(frost, "loss_years", at_least(5, 3), years),
                                               of(SitingFactor::slope, "slope", at_most(0.1, 0.2), steep)};
    const std::vector<std::uint32_t> cells{0, 1, 2};
    const std::vector<float> share(3, 1);
    const SitingRule rule = necessary({frost});
    const FieldSiting field =
        field_siting({1, 3, 10, 10}, judge(evidence, rule, 3), evidence, rule, {cells, share});
    ASSERT_EQ(field.parts.size(), 2U);
    EXPECT_DOUBLE_EQ(field.parts[1].also_m2[static_cast<std::size_t>(frost)], 200);
    EXPECT_DOUBLE_EQ(field.parts[1].also_m2[static_cast<std::size_t>(SitingFactor::slope)], 100);
    EXPECT_DOUBLE_EQ(field.parts[0].also_m2[static_cast<std::size_t>(SitingFactor::slope)], 0);
}

TEST(FieldSiting, WhatIsLackingAndWhatIsKnownSoFar) {
    const Field<float> years = row({20, 8, 20, 2});
    const Field<float> ph = row({kNan, kNan, 4.7F, kNan});
    const std::vector<SitingEvidence> evidence{of(frost, "loss_years", at_least(10, 5), years),
                                               of(soil_ph, "ph", {3, 4.5, 5, 6}, ph)};
    const SitingRule rule = necessary({frost, soil_ph});
    const std::vector<std::uint32_t> cells{0, 1, 2, 3};
    const std::vector<float> share(4, 1);
    const FieldSiting field =
        field_siting({1, 4, 10, 10}, judge(evidence, rule, 4), evidence, rule, {cells, share});
    EXPECT_DOUBLE_EQ(field.area_m2[3], 200);
    EXPECT_DOUBLE_EQ(field.lacking_m2[static_cast<std::size_t>(soil_ph)], 200);
    EXPECT_DOUBLE_EQ(field.lacking_m2[static_cast<std::size_t>(frost)], 0);
    EXPECT_DOUBLE_EQ(field.by_known_m2[0], 100);
    EXPECT_DOUBLE_EQ(field.by_known_m2[1], 100);
}

/// By the share, not by the acres: the second field is larger and worse.
TEST(SitingRanks, BestShareFirst) {
    const auto field = [](double to_plant, double work, double no, double open) {
        FieldSiting f;
        f.area_m2 = {to_plant, work, no, open};
        f.ground_m2 = to_plant + work + no + open;
        return f;
    };
    const std::vector<FieldSiting> fields{field(6, 1, 3, 0), field(50, 0, 50, 0), field(6, 4, 0, 0),
                                          field(0, 0, 5, 5), field(0, 0, 0, 9),   field(6, 1, 3, 0)};
    EXPECT_EQ(siting_ranks(fields), (std::vector<int>{2, 4, 1, 6, 5, 2}));
    FieldSiting promising = field(0, 0, 0, 9);
    promising.by_known_m2 = {8, 1, 0};
    EXPECT_EQ(siting_ranks({field(0, 0, 0, 9), promising}), (std::vector<int>{2, 1}));
}

}  // namespace
}  // namespace lielow
