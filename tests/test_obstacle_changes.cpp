// SPDX-License-Identifier: Apache-2.0
#include "sim/obstacle_changes.hpp"

#include <gtest/gtest.h>

#include "sim/hollows.hpp"
#include "tests/support/grids.hpp"

namespace lielow {
namespace {

/// A valley falling east with walls in the north and south, cells of 2 m, as in test_ground_changes.
constexpr Grid kGrid{11, 40, 2, 2};
Field<float> valley() {
    Field<float> z(11, 40);
    for (std::int32_t r = 0; r < 11; ++r) {
        for (std::int32_t c = 0; c < 40; ++c)
            z(r, c) = 20 - 0.0625F * static_cast<float>(c) + (r == 0 || r == 10 ? 10.0F : 0.0F);
    }
    return z;
}

double held_with(const Obstacles& obstacles, Field<float> z = valley()) {
    for (const GroundChange& change : changes_by_obstacles(obstacles, kGrid, z))
        change_ground(kGrid, change, z);
    double volume = 0;
    for (const Hollow& hollow : find_hollows(kGrid, z, find_catchments(kGrid, z)).list)
        volume += hollow.volume_m3;
    return volume;
}

Obstacle across(ObstacleKind kind, double openness = 0) {
    return {"dam", kind, 1.0, openness, {{{{61, 1}, {61, 21}}, {}}}, {}};
}

// The wedge of 270 m³ behind a bank 1 m high, by hand in test_ground_changes.
TEST(ObstacleChanges, SolidBanksAndWallsHoldWater) {
    EXPECT_DOUBLE_EQ(held_with({{across(ObstacleKind::bank)}, {}, {}}), 270.0);
    EXPECT_DOUBLE_EQ(held_with({{across(ObstacleKind::wall)}, {}, {}}), 270.0);
    EXPECT_EQ(held_with({{across(ObstacleKind::wall, 0.1)}, {}, {}}), 0) << "not solid";
    EXPECT_EQ(held_with({{across(ObstacleKind::fence)}, {}, {}}), 0);
    EXPECT_EQ(held_with({{across(ObstacleKind::tree_belt)}, {}, {}}), 0);
}

TEST(ObstacleChanges, AGapNarrowerThanACellOpensIt) {
    Obstacle bank = across(ObstacleKind::bank);
    bank.lines[0].openings = {{10.2, 10.7, 1.0}};
    EXPECT_EQ(held_with({{bank}, {}, {}}), 0);
    bank.lines[0].openings = {{10.2, 10.7, 0.3}};
    EXPECT_EQ(held_with({{bank}, {}, {}}), 0) << "a culvert lets through whatever comes";
    bank.lines[0].openings = {{10.2, 10.7, 0.0}};
    EXPECT_DOUBLE_EQ(held_with({{bank}, {}, {}}), 270.0);
}

TEST(ObstacleChanges, ABankDrawnAsAnOutline) {
    Obstacle bank{"dam", ObstacleKind::bank, 1.0, 0, {}, {}};
    ObstacleArea area;
    area.width_m = 0.4;
    area.outline = {{{60.8, 1}, {61.2, 1}, {61.2, 21}, {60.8, 21}, {60.8, 1}}};
    bank.areas = {area};  // covers no cell by half
    EXPECT_DOUBLE_EQ(held_with({{bank}, {}, {}}), 270.0);
    bank.areas[0].openings = {{{{5 * 40 + 30}, {0.1F}}, 1.0}};
    EXPECT_EQ(held_with({{bank}, {}, {}}), 0);
}

TEST(ObstacleChanges, APassageLeadsThroughTheDemsBankWhicheverWayItIsDrawn) {
    Field<float> z = valley();
    for (std::int32_t r = 0; r < 11; ++r) z(r, 30) += 1.0F;
    EXPECT_DOUBLE_EQ(held_with({}, z.clone()), 270.0);
    EXPECT_EQ(held_with({{}, {}, {{"pipe", {{57, 11}, {65, 11}}, 1, 1}}}, z.clone()), 0);
    EXPECT_EQ(held_with({{}, {}, {{"pipe", {{65, 11}, {57, 11}}, 1, 1}}}, z.clone()), 0);
    EXPECT_DOUBLE_EQ(held_with({{}, {}, {{"pipe", {{65, 11}, {200, 11}}, 1, 1}}}, z.clone()), 270.0)
        << "one end lies outside the ground";
}

}  // namespace
}  // namespace lielow
