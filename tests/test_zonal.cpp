// SPDX-License-Identifier: Apache-2.0
#include "sim/zonal.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

namespace lielow {
namespace {

constexpr float kNan = std::numeric_limits<float>::quiet_NaN();

Field<float> values(std::initializer_list<float> list) {
    Field<float> field(1, static_cast<std::int32_t>(list.size()));
    std::copy(list.begin(), list.end(), field.data());
    return field;
}

const Grid kGrid{1, 5, 2.0, 3.0};  // cells of 6 m²

TEST(Zonal, EqualSharesGiveTheOrdinaryFigures) {
    const Field<float> field = values({5, 1, 4, 2, 3});
    const std::vector<std::uint32_t> cells{0, 1, 2, 3, 4};
    const std::vector<float> share(5, 1.0F);
    const ZonalFigures f = zonal_figures(kGrid, field, {cells, share});
    EXPECT_DOUBLE_EQ(f.least, 1.0);
    EXPECT_DOUBLE_EQ(f.median, 3.0);
    EXPECT_DOUBLE_EQ(f.greatest, 5.0);
    EXPECT_DOUBLE_EQ(f.area_m2, 30.0);
    EXPECT_DOUBLE_EQ(f.known_share, 1.0);
}

TEST(Zonal, EvenNumberTakesTheMeanOfTheMiddleTwo) {
    const Field<float> field = values({5, 1, 4, 2, 100});
    const std::vector<std::uint32_t> cells{0, 1, 2, 3};
    const std::vector<float> share(4, 0.25F);
    EXPECT_DOUBLE_EQ(zonal_figures(kGrid, field, {cells, share}).median, 3.0);
}

TEST(Zonal, SharesWeigh) {
    // Sorted: 1 (1/4), 2 (1/4), 3 (1), in all 1.5 cells, half of which lies within the cell of value 3.
    const Field<float> field = values({3, 2, 1, 0, 0});
    const std::vector<std::uint32_t> cells{0, 1, 2};
    const std::vector<float> share{1.0F, 0.25F, 0.25F};
    const ZonalFigures f = zonal_figures(kGrid, field, {cells, share});
    EXPECT_DOUBLE_EQ(f.median, 3.0);
    EXPECT_DOUBLE_EQ(f.least, 1.0);
    EXPECT_DOUBLE_EQ(f.area_m2, 9.0);
}

TEST(Zonal, CellsWithoutAValueAreLeftOutAndCounted) {
    const Field<float> field = values({kNan, 2, 8, kNan, 0});
    const std::vector<std::uint32_t> cells{0, 1, 2, 3};
    const std::vector<float> share{1.0F, 1.0F, 0.5F, 0.5F};
    const ZonalFigures f = zonal_figures(kGrid, field, {cells, share});
    EXPECT_DOUBLE_EQ(f.least, 2.0);
    EXPECT_DOUBLE_EQ(f.greatest, 8.0);
    EXPECT_DOUBLE_EQ(f.median, 2.0);
    EXPECT_DOUBLE_EQ(f.known_share, 0.5);
    EXPECT_DOUBLE_EQ(f.area_m2, 18.0);
}

TEST(Zonal, NothingKnown) {
    const Field<float> field = values({kNan, kNan, 1, 1, 1});
    const std::vector<std::uint32_t> cells{0, 1};
    const std::vector<float> share{1.0F, 1.0F};
    const ZonalFigures f = zonal_figures(kGrid, field, {cells, share});
    EXPECT_TRUE(std::isnan(f.least) && std::isnan(f.median) && std::isnan(f.greatest));
    EXPECT_EQ(f.known_share, 0.0);
    const ZonalFigures none = zonal_figures(kGrid, field, {});
    EXPECT_TRUE(std::isnan(none.median));
    EXPECT_EQ(none.area_m2, 0.0);
    EXPECT_EQ(none.known_share, 0.0);
}

TEST(Zonal, AreaWhereAConditionHolds) {
    const Field<float> field = values({-1, 0.5F, kNan, -3, -9});
    const std::vector<std::uint32_t> cells{0, 1, 2, 3};
    const std::vector<float> share{1.0F, 1.0F, 1.0F, 0.5F};
    EXPECT_DOUBLE_EQ(zonal_area(kGrid, field, {cells, share}, [](float v) { return v < 0; }), 9.0);
    EXPECT_DOUBLE_EQ(zonal_area(kGrid, field, {cells, share}, [](float v) { return !(v < 0); }), 6.0);
}

}  // namespace
}  // namespace lielow
