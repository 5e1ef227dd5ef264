// SPDX-License-Identifier: Apache-2.0
#include "sim/auger_spots.hpp"

#include <gtest/gtest.h>

namespace lielow {
namespace {

constexpr auto well = static_cast<std::uint8_t>(DrainageClass::well);
constexpr auto somewhat_poor = static_cast<std::uint8_t>(DrainageClass::somewhat_poor);
const Grid kGrid{20, 20, 5.0, 5.0};

/// Two hollows of nine cells (225 m²) and one shallower than 6 in; ground that the survey calls well drained.
struct Place {
    Field<float> hollow{20, 20, 0.0F};
    Field<float> wetness{20, 20, 6.0F};
    SoilFacts facts;
    Place() {
        facts.drainage_class = Field<std::uint8_t>(20, 20, well);
        dig(3, 3, 0.4F);
        dig(12, 12, 0.3F);
        dig(3, 12, 0.1F);
    }
    void dig(int row, int col, float depth) {
        for (int r = row - 1; r <= row + 1; ++r) {
            for (int c = col - 1; c <= col + 1; ++c)
                hollow(r, c) = r == row && c == col ? depth : 0.8F * depth;
        }
    }
};

TEST(AugerSpots, WetByTheGroundAndDryByTheSurvey) {
    const Place place;
    const auto spots = auger_spots(kGrid, place.hollow, place.wetness, place.facts);
    ASSERT_EQ(spots.size(), 2U);
    EXPECT_EQ(spots[0].cell, kGrid.index(3, 3)) << "the deepest cell of equals in area, the first";
    EXPECT_EQ(spots[1].cell, kGrid.index(12, 12));
    EXPECT_DOUBLE_EQ(spots[0].area_m2, 225);
    EXPECT_TRUE(spots[0].hollow);
    EXPECT_FLOAT_EQ(static_cast<float>(spots[0].hollow_depth_m), 0.4F);
    EXPECT_EQ(spots[0].said, DrainageClass::well);
}

TEST(AugerSpots, NoneWhereTheSurveySaysWetOrNothing) {
    Place place;
    for (std::size_t c = 0; c < 200; ++c) place.facts.drainage_class[c] = somewhat_poor;
    for (std::size_t c = 200; c < 400; ++c) place.facts.drainage_class[c] = 255;
    EXPECT_TRUE(auger_spots(kGrid, place.hollow, place.wetness, place.facts).empty());
    EXPECT_TRUE(auger_spots(kGrid, place.hollow, place.wetness, SoilFacts{}).empty());
}

TEST(AugerSpots, ATestSettlesIt) {
    Place place;
    place.facts.test_weight = Field<float>(20, 20, 0.0F);
    for (int r = 0; r < 8; ++r) {
        for (int c = 0; c < 8; ++c) place.facts.test_weight(r, c) = 0.6F;
    }
    const auto spots = auger_spots(kGrid, place.hollow, place.wetness, place.facts);
    ASSERT_EQ(spots.size(), 1U);
    EXPECT_EQ(spots[0].cell, kGrid.index(12, 12));
}

TEST(AugerSpots, LevelGroundThatMuchDrainsThrough) {
    Place place;
    for (int c = 0; c < 20; ++c) place.wetness(17, c) = c == 9 ? 15.0F : 13.0F;
    const auto spots = auger_spots(kGrid, place.hollow, place.wetness, place.facts);
    ASSERT_EQ(spots.size(), 3U);
    EXPECT_EQ(spots[0].cell, kGrid.index(17, 9)) << "500 m2, the largest";
    EXPECT_FALSE(spots[0].hollow);
    EXPECT_FLOAT_EQ(static_cast<float>(spots[0].wetness_index), 15.0F);
}

}  // namespace
}  // namespace lielow
