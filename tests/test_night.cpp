// SPDX-License-Identifier: Apache-2.0
// Whole nights on simple ground, and their reading on the DEM's own grid.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <vector>

#include "sim/errors.hpp"
#include "sim/night.hpp"
#include "sim/night_map.hpp"

namespace lielow {
namespace {

Ground ground_of(int rows, int cols, double cell,
                 const std::function<double(double x, double y)>& elevation) {
    Ground ground{{rows, cols, cell, cell}, Field<float>(rows, cols), Field<std::uint8_t>(rows, cols, 1)};
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cols; ++i)
            ground.z(j, i) = static_cast<float>(elevation((i + 0.5) * cell, (j + 0.5) * cell));
    }
    return ground;
}

/// A closed valley along y, 1.2 km wide, 27 m deep.
double valley(double x, double /*y*/) {
    return 200 + 13.5 * (1 + std::cos(2 * M_PI * x / 1200));
}

NightSetup night_setup(double hours) {
    NightSetup s;
    s.duration_s = hours * 3600;
    s.reference_elevation_m = 227;
    return s;
}

Field<float> coldest_deficit(const Ground& ground, const NightSetup& s, const NightResult& night) {
    return map_deficit(ground,
                       IsothermSurfaces(ground, night.plan, night.scale, night.ground, night.coldest_height,
                                        &night.coldest_gradient),
                       night.scale, s.plant_height_m);
}

TEST(Night, FlatGroundFollowsConduction) {
    const Ground ground = ground_of(12, 12, 20, [](double, double) { return 150.0; });
    NightSetup s = night_setup(4);
    s.reference_elevation_m = 150;
    s.cell_m = 20;
    s.sheet_step_k = 1.0;
    const NightPlan plan = plan_night(ground, s);
    const NightResult night = run_night(ground, s, plan);
    // Carslaw & Jaeger 1959 §2.9: drop at height z after t under constant loss.
    const double q = plan.loss_k_m_s, t = s.duration_s, k = s.mixing_m2_s, z = s.plant_height_m;
    const double exact = 2 * q * std::sqrt(t / (M_PI * k)) * std::exp(-z * z / (4 * k * t)) -
                         q * z / k * std::erfc(z / (2 * std::sqrt(k * t)));
    const Field<float> deficit = coldest_deficit(ground, s, night);
    const auto [least, greatest] = std::minmax_element(deficit.all().begin(), deficit.all().end());
    std::printf("flat night of 4 h: %.3f to %.3f K, conduction %.3f K\n", *least, *greatest, exact);
    EXPECT_NEAR(*least, exact, 0.25 * plan.sheet_step_k);
    EXPECT_LT(*greatest - *least, 0.01);
    EXPECT_NEAR(night.heat_residual(), 0, 1e-5);
}

TEST(Night, SaysWhenTheLadderIsTooShort) {
    const Ground ground = ground_of(6, 6, 20, [](double, double) { return 227.0; });
    NightSetup s = night_setup(4);
    s.cell_m = 20;
    s.sheet_step_k = 1.0;
    EXPECT_EQ(run_night(ground, s, plan_night(ground, s)).ladder_full_share, 0.0);
    s.sheets = 4;  // 4.5 K where conduction asks for some 8
    EXPECT_EQ(run_night(ground, s, plan_night(ground, s)).ladder_full_share, 1.0);
}

TEST(Night, ClosedValleyHoldsLevelIsotherms) {
    const Ground ground = ground_of(6, 60, 20, valley);
    NightSetup s = night_setup(3);
    s.edges = EdgeKind::wall;
    s.cell_m = 20;
    s.sheet_step_k = 1.5;
    const NightPlan plan = plan_night(ground, s);
    const NightResult night = run_night(ground, s, plan);
    const NightState& last = night.states.back();
    int compared = 0;
    for (std::size_t k = 0; k < last.isotherm_height.size(); ++k) {
        // What lies lower over the hill is the skin that drains off it, not the pool.
        if (!(last.isotherm_height[k](3, 0) > 5)) continue;
        const double over_hill = night.ground(3, 0) + static_cast<double>(last.isotherm_height[k](3, 0));
        const double over_floor = night.ground(3, 30) + static_cast<double>(last.isotherm_height[k](3, 30));
        EXPECT_NEAR(over_hill, over_floor, 0.03 * 27) << "isotherm " << k;
        ++compared;
    }
    EXPECT_GE(compared, 2);
    const Field<float> deficit = coldest_deficit(ground, s, night);
    std::printf("closed valley of 27 m, 3 h: %.2f K on the floor, %.2f K on the hill\n", deficit(3, 30),
                deficit(3, 0));
    EXPECT_GT(deficit(3, 30), deficit(3, 0) + 2.0F);
    EXPECT_NEAR(night.heat_residual(), 0, 1e-5);
}

TEST(Night, KeepsStatesAndColdestMoment) {
    const Ground ground = ground_of(6, 60, 20, valley);
    NightSetup s = night_setup(1.1);
    s.cell_m = 20;
    const NightResult night = run_night(ground, s, plan_night(ground, s));
    ASSERT_EQ(night.states.size(), 5U);  // 15, 30, 45, 60 and 66 minutes
    EXPECT_DOUBLE_EQ(night.states.front().time_s, 900);
    EXPECT_DOUBLE_EQ(night.states.back().time_s, s.duration_s);
    for (const float t : night.coldest_time_s.all()) EXPECT_LE(t, s.duration_s);
}

TEST(Night, StopsWhenAsked) {
    const Ground ground = ground_of(6, 30, 20, valley);
    NightSetup s = night_setup(5);
    s.cell_m = 20;
    EXPECT_THROW(
        run_night(ground, s, plan_night(ground, s), nullptr, [](double share) { return share < 0.3; }),
        Interrupted);
}

TEST(Night, CanopyHoldsTheAirBack) {
    // A belt of trees across a sloping channel slows what passes through it.
    const Ground ground = ground_of(10, 60, 20, [](double x, double) { return 300 - 0.03 * x; });
    NightSetup s = night_setup(1);
    s.cell_m = 20;
    s.edges = EdgeKind::open;
    const NightPlan plan = plan_night(ground, s);
    NightSurface belt;
    belt.canopy_top = Field<float>(plan.grid.rows, plan.grid.cols, 0.0F);
    belt.canopy_drag = Field<float>(plan.grid.rows, plan.grid.cols, 0.0F);
    for (int j = 0; j < plan.grid.rows; ++j) {
        for (int i = 30; i < 32; ++i) belt.canopy_top(j, i) = 12, belt.canopy_drag(j, i) = 0.2F;
    }
    const NightResult open = run_night(ground, s, plan);
    const NightResult held = run_night(ground, s, plan, &belt);
    const auto top_upslope = [](const NightResult& r) { return r.states.back().isotherm_height[0](5, 27); };
    EXPECT_LT(held.states.back().wind_x(5, 31), 0.6F * open.states.back().wind_x(5, 31));
    EXPECT_GT(top_upslope(held), top_upslope(open));
}

TEST(NightMap, CoarseNightReadsLikeTheFineOne) {
    // The error of mapping a 40 m night onto 10 m ground against a night solved at 10 m. Recorded; bound from
    // this run's purpose: half a degree in the root mean square, a quarter of what separates hill and floor
    // by far.
    const Ground ground = ground_of(12, 120, 10, valley);
    NightSetup s = night_setup(3);
    s.edges = EdgeKind::wall;
    s.sheet_step_k = 1.5;
    s.cell_m = 10;
    const Field<float> fine = coldest_deficit(ground, s, run_night(ground, s, plan_night(ground, s)));
    s.cell_m = 40;
    const Field<float> coarse = coldest_deficit(ground, s, run_night(ground, s, plan_night(ground, s)));
    double square = 0;
    double bias = 0;
    for (std::size_t c = 0; c < fine.size(); ++c) {
        const double d = static_cast<double>(coarse[c]) - static_cast<double>(fine[c]);
        square += d * d;
        bias += d;
    }
    const auto n = static_cast<double>(fine.size());
    std::printf("40 m night on 10 m ground against a 10 m night: bias %.3f K, rms %.3f K\n", bias / n,
                std::sqrt(square / n));
    EXPECT_LT(std::sqrt(square / n), 0.5);
}

TEST(NightMap, ShoreIsDrawnByTheFineGround) {
    // A level pool at 205 m on coarse cells of 40 m over a slope of 5 %: dry above, its depth below, to a
    // centimetre.
    const Ground ground = ground_of(4, 40, 10, [](double x, double) { return 200 + 0.05 * x; });
    NightPlan plan;
    plan.blocks = {4, 4};
    plan.grid = block_grid(ground.grid, plan.blocks);
    plan.sheets = 1;
    plan.sheet_step_k = 2;
    const Field<double> coarse = block_means(ground, plan.blocks);
    std::vector<Field<float>> heights;
    heights.emplace_back(plan.grid.rows, plan.grid.cols);
    for (int i = 0; i < plan.grid.cols; ++i)
        heights[0](0, i) = static_cast<float>(std::max(0.0, 205.0 - coarse(0, i)));
    const Field<float> depth =
        map_cold_depth(ground, IsothermSurfaces(ground, plan, ColumnScale{2.0, 0.3}, coarse, heights));
    for (int i = 0; i < 40; ++i) EXPECT_NEAR(depth(1, i), std::max(0.0F, 205.0F - ground.z(1, i)), 0.01) << i;
}

TEST(NightMap, DitchIsNoColderThanItsDepth) {
    // Still air whose gradient near the ground is 0.3 K/m; a ditch 3 m deep, far narrower than the coarse
    // cell, lies 3 m deeper in the same air. Isotherms that the coarse column doesn't have must not fill it.
    const Ground ground =
        ground_of(24, 24, 5, [](double x, double) { return std::abs(x - 57.5) < 1 ? 97.0 : 100.0; });
    NightPlan plan;
    plan.blocks = {8, 8};
    plan.grid = block_grid(ground.grid, plan.blocks);
    const ColumnScale scale{2.0, 0.3};
    const Field<double> coarse(plan.grid.rows, plan.grid.cols, 100.0);
    std::vector<Field<float>> heights;
    for (const float h : {20.0F, 10.0F, 4.0F, 0.0F, 0.0F, 0.0F, 0.0F})
        heights.emplace_back(plan.grid.rows, plan.grid.cols, h);
    const Field<float> deficit =
        map_deficit(ground, IsothermSurfaces(ground, plan, scale, coarse, heights), scale, 1.5);
    EXPECT_NEAR(deficit(12, 3), 5.0 + 0.3 * 2.5, 1e-4);
    EXPECT_NEAR(deficit(12, 11), deficit(12, 3) + 0.3 * 3, 1e-4);
}

TEST(NightMap, SlopeRunsOnToTheRim) {
    // An isotherm 5 m above a slope of 10 %, to the outermost cell; the last block is cut by the raster's
    // edge.
    const Ground ground = ground_of(6, 21, 5, [](double x, double y) { return 200 + 0.1 * x - 0.05 * y; });
    NightPlan plan;
    plan.blocks = {4, 8};
    plan.grid = block_grid(ground.grid, plan.blocks);
    std::vector<Field<float>> heights;
    heights.emplace_back(plan.grid.rows, plan.grid.cols, 5.0F);
    const Field<float> depth = map_cold_depth(
        ground,
        IsothermSurfaces(ground, plan, ColumnScale{2.0, 0.3}, block_means(ground, plan.blocks), heights));
    for (const float d : depth.all()) EXPECT_NEAR(d, 5.0, 1e-3);
}

TEST(NightMap, UnknownGroundStaysUnknown) {
    Ground ground = ground_of(6, 6, 10, [](double, double) { return 100.0; });
    ground.known(2, 3) = 0;
    NightSetup s = night_setup(0.5);
    const NightResult night = run_night(ground, s, plan_night(ground, s));
    EXPECT_TRUE(std::isnan(coldest_deficit(ground, s, night)(2, 3)));
}

TEST(NightPlan, StaysWithinTheWorkLimit) {
    const Ground ground =
        ground_of(400, 400, 10, [](double x, double y) { return 100 + 5 * std::sin(x / 90) + y / 100; });
    NightSetup s = night_setup(10);
    s.work_limit = 1e9;
    const NightPlan plan = plan_night(ground, s);
    EXPECT_LE(plan.expected_work, 1e9);
    EXPECT_GT(plan.blocks.rows, 1);
    s.cell_m = 10;
    EXPECT_EQ(plan_night(ground, s).blocks, (Blocks{1, 1}));
    s.heat_loss_w_m2 = 0;
    EXPECT_THROW(plan_night(ground, s), InputError);
    s = night_setup(10);
    s.mixing_m2_s = 1e-4;
    s.sheet_step_k = 0.5;
    s.sheets = 32;
    EXPECT_THROW(plan_night(ground, s), InputError);
}

TEST(NightPlanning, TakesFewerSheetsWhereThoseWouldBeTooThin) {
    const Ground ground = ground_of(6, 6, 20, [](double, double) { return 227.0; });
    NightSetup s = night_setup(1.0 / 6);
    EXPECT_EQ(plan_night(ground, s).sheets, 24);
    s.mixing_m2_s = 5e-4;
    const NightPlan plan = plan_night(ground, s);
    std::printf("weak mixing: %d sheets\n", plan.sheets);
    EXPECT_LT(plan.sheets, 24);
    EXPECT_GT(plan.sheets, 1);
    // Heat flux q through a gap h between sheets δ apart: K δ/h = q. The floor of a gap is 0.05 m.
    EXPECT_GE(s.mixing_m2_s * plan.sheet_step_k / plan.peak_loss_k_m_s, 0.1);
}

TEST(NightAir, PublishedValues) {
    // Standard atmosphere at sea level: 1.225 kg/m³ at 288.15 K.
    EXPECT_NEAR(air_heat_capacity(288.15, 0) / 1005.0, 1.225, 1e-3);
    // FAO-56 equations 35 and 39: overcast leaves Rs/Rso = 1/3 and a factor 1.35/3 - 0.35 = 0.1.
    EXPECT_NEAR(cloud_factor(1.0), 1.35 / 3 - 0.35, 1e-12);
    EXPECT_NEAR(cloud_factor(0.0), 1.0, 1e-12);
}

TEST(BlockMeans, AveragesAndFillsOutward) {
    Ground ground = ground_of(4, 6, 5, [](double x, double) { return x; });
    for (int j = 0; j < 4; ++j) ground.z(j, 4) = ground.z(j, 5) = NAN;
    const Field<double> z = block_means(ground, {2, 2});
    EXPECT_EQ(z.cols(), 3);
    EXPECT_NEAR(z(0, 0), 5.0, 1e-6);
    EXPECT_NEAR(z(0, 2), z(0, 1), 1e-6);
    Ground nothing = ground_of(2, 2, 5, [](double, double) { return NAN; });
    EXPECT_THROW(block_means(nothing, {1, 1}), InputError);
}

}  // namespace
}  // namespace lielow
