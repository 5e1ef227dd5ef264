// SPDX-License-Identifier: Apache-2.0
// How much hangs on the edges: against nights whose difference is known.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "sim/edge_choice.hpp"
#include "sim/errors.hpp"
#include "sim/night_nest.hpp"
#include "support/nest_ground.hpp"

namespace lielow {
namespace {

NightResult two_sheets(float upper, float lower) {
    NightResult night;
    night.plan.grid = {2, 3, 10, 10};
    night.scale = {1.0, 0.1};
    night.coldest_gradient = Field<float>(2, 3, 0.1F);
    night.coldest_height.emplace_back(2, 3, upper);
    night.coldest_height.emplace_back(2, 3, lower);
    return night;
}

TEST(EdgeChoice, DifferenceIsThatOfTheColumnsRead) {
    // At the lower isotherm's height the air is 1.5 steps colder, at the upper one's half a step.
    const Field<float> difference = coldest_difference(two_sheets(10, 2), two_sheets(2, 0), 2.0);
    EXPECT_NEAR(difference(1, 2), 1.0, 1e-6);
    EXPECT_EQ(coldest_difference(two_sheets(10, 2), two_sheets(10, 2), 2.0)(0, 0), 0);
    NightResult other = two_sheets(1, 1);
    other.plan.grid.cols = 4;
    EXPECT_THROW(coldest_difference(two_sheets(1, 1), other, 2.0), InputError);
}

TEST(EdgeChoice, PlacesAreFoundOnOtherCells) {
    Field<float> values(3, 3, 0.0F);
    values(1, 2) = 4;
    const Grid coarse{3, 3, 40, 40};
    const Grid farm{4, 4, 10, 10};  // begins 80 m along and 40 m down: all of it lies in cell (1, 2)
    const FieldCells field{{0, 15}, {}};
    EXPECT_EQ(mean_over(values, coarse, field, farm, 80, 40), 4);
    EXPECT_EQ(mean_over(values, coarse, field, farm, 60, 40), 2);  // its first cell lies in the one before
    EXPECT_TRUE(std::isnan(mean_over(values, coarse, {}, farm, 0, 0)));
    EXPECT_EQ(other_edges(EdgeKind::open), EdgeKind::far_field);
    EXPECT_EQ(other_edges(EdgeKind::far_field), EdgeKind::open);
    EXPECT_EQ(other_edges(EdgeKind::wall), EdgeKind::open);
}

// In the middle of a farm on wide ground the edges' choice counts for less the farther they are.
TEST(EdgeChoice, CountsForLessWithTheEdgesFartherOff) {
    const Ground wide = test::hill_ground(60, 60, 36);
    NightSetup setup;
    setup.duration_s = 1200;
    setup.cell_m = 36;
    setup.sheets = 4;
    const auto in_the_middle = [&](const Ground& ground) {
        const NightPlan plan = plan_night(ground, setup);
        const NightResult own = run_night(ground, setup, plan);
        NightSetup other = setup;
        other.edges = other_edges(setup.edges);
        const Field<float> difference =
            coldest_difference(own, run_night(ground, other, plan), setup.plant_height_m);
        const FieldCells middle{{plan.grid.index(plan.grid.rows / 2, plan.grid.cols / 2)}, {}};
        return mean_over(difference, plan.grid, middle, plan.grid, 0, 0);
    };
    const double near = in_the_middle(test::cut_out(wide, 12, 4).farm);
    const double far = in_the_middle(wide);
    std::printf("edges 216 m off: %.2f K, 1080 m off: %.2f K\n", near, far);
    EXPECT_GT(near, 0.2);
    EXPECT_LT(far, 0.5 * near);
}

}  // namespace
}  // namespace lielow
