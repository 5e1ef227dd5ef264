// SPDX-License-Identifier: Apache-2.0
// Whole nights under wind aloft.
#include "sim/night_wind.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <numbers>

#include "sim/errors.hpp"
#include "sim/night_map.hpp"

namespace lielow {
namespace {

constexpr double from_west = 1.5 * std::numbers::pi;

/// A level bench with a round hollow 25 m deep in it, its middle in cell (15, 30).
Ground bench_with_hollow() {
    Ground ground{{30, 60, 20, 20}, Field<float>(30, 60), Field<std::uint8_t>(30, 60, 1)};
    for (int j = 0; j < 30; ++j) {
        for (int i = 0; i < 60; ++i) {
            const double r = std::hypot(i - 30.0, j - 15.0) * 20;
            ground.z(j, i) =
                static_cast<float>(125 - (r < 200 ? 12.5 * (1 + std::cos(M_PI * r / 200)) : 0.0));
        }
    }
    return ground;
}

NightSetup night_with(double wind) {
    NightSetup s;
    s.duration_s = 3 * 3600;
    s.reference_elevation_m = 125;
    s.cell_m = 20;
    s.sheets = 8;
    s.wind.speed_m_s = wind;
    s.wind.from_rad = from_west;
    return s;
}

NightResult run(const NightSetup& s) {
    const Ground ground = bench_with_hollow();
    return run_night(ground, s, plan_night(ground, s));
}

/// K m missing from a column of a state.
double cold_in(const NightResult& night, const NightState& state, int row, int col) {
    double sum = 0;
    for (const auto& height : state.isotherm_height) sum += static_cast<double>(height(row, col));
    return sum * night.scale.sheet_step;
}

bool same_states(const NightResult& a, const NightResult& b) {
    for (std::size_t n = 0; n < a.states.size(); ++n) {
        for (std::size_t k = 0; k < a.states[n].isotherm_height.size(); ++k) {
            const auto& x = a.states[n].isotherm_height[k];
            const auto& y = b.states[n].isotherm_height[k];
            if (std::memcmp(x.data(), y.data(), x.size() * sizeof(float)) != 0) return false;
        }
    }
    return a.states.size() == b.states.size();
}

double cold_over(const NightResult& night, int row, int col) {
    return cold_in(night, night.states.back(), row, col);
}

TEST(NightWind, NoWindChangesNoBit) {
    NightSetup s = night_with(0);
    s.duration_s = 3000;
    s.wind.mixed_depth_m = 30;
    NightSetup bare = s;
    bare.wind = {};
    const NightResult calm = run(s);
    EXPECT_TRUE(same_states(calm, run(bare)));
    EXPECT_EQ(calm.heat_from_aloft_k_m3, 0.0);
    s.weather = {{.time_s = 0, .wind_speed_m_s = 0}, {.time_s = 2000, .wind_speed_m_s = NAN}};
    s.wind.speed_m_s = 9;  // the record's calm goes before it
    EXPECT_TRUE(same_states(calm, run(s)));
}

struct Sunrise {
    double cold_k_m;   ///< missing from the column
    double deficit_k;  ///< at plant height
};

Sunrise sunrise(const NightSetup& s, const NightResult& night, int col) {
    const Ground ground = bench_with_hollow();
    const IsothermSurfaces surfaces(ground, night.plan, night.scale, night.ground,
                                    night.states.back().isotherm_height);
    const Field<float> deficit = map_deficit(ground, surfaces, night.scale, s.plant_height_m);
    return {cold_over(night, 15, col), static_cast<double>(deficit(15, col))};
}

TEST(NightWind, PoolSurvivesInTheShelterOnly) {
    const int in_hollow = 30, on_bench = 8;
    Sunrise hollow[3], bench[3];
    double own_loss = 0;
    int n = 0;
    for (const double wind : {0.0, 3.2, 12.0}) {
        const NightSetup s = night_with(wind);
        const NightResult night = run(s);
        hollow[n] = sunrise(s, night, in_hollow);
        bench[n] = sunrise(s, night, on_bench);
        own_loss = night.plan.loss_k_m_s * s.duration_s;
        std::printf(
            "%4.1f m/s: hollow %.1f K m, %.2f K at 1.5 m; bench %.2f K m, %.2f K; from aloft %.2f of the "
            "loss; residual %.1e\n",
            wind, hollow[n].cold_k_m, hollow[n].deficit_k, bench[n].cold_k_m, bench[n].deficit_k,
            night.heat_from_aloft_k_m3 / night.heat_lost_k_m3, night.heat_residual());
        EXPECT_NEAR(night.heat_residual(), 0, 1e-5);
        ++n;
    }
    // A light wind keeps the bench clear; what the hollow's floor has lost by itself stays there in good
    // part, though nothing drains into it any more.
    EXPECT_GT(hollow[1].cold_k_m, own_loss / 3);
    EXPECT_GT(hollow[1].deficit_k, 0.3 * hollow[0].deficit_k);
    EXPECT_LT(bench[1].cold_k_m, 0.01 * bench[0].cold_k_m);
    EXPECT_LT(bench[1].deficit_k, 0.02 * bench[0].deficit_k);
    for (const Sunrise& swept : {hollow[2], bench[2]}) {
        EXPECT_LT(swept.cold_k_m, 0.01 * bench[0].cold_k_m);
        EXPECT_LT(swept.deficit_k, 0.02 * bench[0].deficit_k);
    }
}

TEST(NightWind, StrongerWindLeavesLessCold) {
    double before = 1e30;
    for (const double wind : {0.0, 0.5, 1.5, 3.0, 5.0}) {
        NightSetup s = night_with(wind);
        s.duration_s = 2400;
        const NightResult night = run(s);
        const double cold = night.heat_in_air_k_m3;
        std::printf("%.1f m/s: %.4g K m3 missing from the air\n", wind, cold);
        EXPECT_LT(cold, before);
        before = cold;
    }
}

TEST(NightWind, BooksCloseWithEveryEdgeOrderAndHour) {
    NightSetup s = night_with(0);
    s.duration_s = 1500;
    s.wind.height_m = 2;
    s.weather = {
        {.time_s = -900, .air_k = 282, .dew_point_k = 274, .wind_speed_m_s = 0.5, .wind_from_rad = 0.3},
        {.time_s = 500, .air_k = 281, .dew_point_k = 274, .wind_speed_m_s = NAN, .wind_from_rad = NAN},
        {.time_s = 900, .air_k = 280, .dew_point_k = 274, .wind_speed_m_s = 1.8, .wind_from_rad = 2.1},
        {.time_s = 1400, .air_k = 280, .dew_point_k = 274, .wind_speed_m_s = 1.0, .wind_from_rad = NAN}};
    for (const EdgeKind edges : {EdgeKind::wall, EdgeKind::far_field, EdgeKind::open}) {
        for (const SchemeOrder order : {SchemeOrder::first, SchemeOrder::second}) {
            s.edges = edges;
            s.order = order;
            s.loss_rule = edges == EdgeKind::open ? LossRule::constant : LossRule::radiation;
            const NightResult night = run(s);
            EXPECT_NEAR(night.heat_residual(), 0, 1e-5);
            EXPECT_GT(night.heat_from_aloft_k_m3, 0);
            EXPECT_LT(night.heat_from_aloft_k_m3, night.heat_lost_k_m3);
        }
    }
}

TEST(NightWind, WeathersWindDrivesItHourByHour) {
    // Calm, then a gale in the last half hour: as calm before it, swept afterwards.
    NightSetup s = night_with(0);
    s.duration_s = 7200;
    const NightResult calm = run(s);
    s.weather = {{.time_s = 0, .wind_speed_m_s = 0, .wind_from_rad = 1},
                 {.time_s = 5400, .wind_speed_m_s = 0, .wind_from_rad = 1},
                 {.time_s = 6300, .wind_speed_m_s = 12, .wind_from_rad = 1}};
    const NightResult gale = run(s);
    const std::size_t before = 5;  // 90 minutes
    ASSERT_DOUBLE_EQ(gale.states[before].time_s, 5400);
    // The stack stops for the wind though there is none yet, so its steps differ a little.
    for (const int col : {8, 30}) {
        const double there = cold_in(calm, calm.states[before], 15, col);
        const double here = cold_in(gale, gale.states[before], 15, col);
        std::printf("before the gale, column %d: %.2f K m, %.2f in a calm night\n", col, here, there);
        EXPECT_NEAR(here, there, 0.01 * there);
    }
    EXPECT_LT(cold_over(gale, 15, 30), 0.05 * cold_over(calm, 15, 30));
}

TEST(NightWind, FlatGroundFollowsTheBalance) {
    // Level land: the air misses what the ground took less what came down, 2.5 u*³ θ/(g h), while there is
    // cold air to take it from.
    Ground flat{{6, 6, 20, 20}, Field<float>(6, 6, 100.0F), Field<std::uint8_t>(6, 6, 1)};
    NightSetup s = night_with(2.0);
    s.reference_elevation_m = 100;
    s.edges = EdgeKind::wall;
    const NightPlan plan = plan_night(flat, s);
    const NightResult night = run_night(flat, s, plan);
    const double u_star = friction_velocity(2, 10, 0.1);
    const double down = 2.5 * std::pow(u_star, 3) * s.evening_air_k / (9.81 * 100);
    std::printf("level land at 2 m/s: %.4f of the loss comes back, law %.4f\n",
                night.heat_from_aloft_k_m3 / night.heat_lost_k_m3, down / plan.loss_k_m_s);
    EXPECT_NEAR(night.heat_from_aloft_k_m3 / night.heat_lost_k_m3, down / plan.loss_k_m_s,
                0.01 * down / plan.loss_k_m_s);
}

TEST(NightWind, SameBitsForAnyNumberOfThreads) {
    NightSetup s = night_with(2.5);
    s.duration_s = 1800;
    omp_set_num_threads(1);
    const NightResult one = run(s);
    omp_set_num_threads(3);
    const NightResult three = run(s);
    EXPECT_TRUE(same_states(one, three));
    EXPECT_EQ(one.heat_from_aloft_k_m3, three.heat_from_aloft_k_m3);
}

TEST(NightWind, RefusesWhatCannotBe) {
    for (const auto spoil :
         {+[](WindAloft& w) { w.speed_m_s = -1; }, +[](WindAloft& w) { w.roughness_m = 0; },
          +[](WindAloft& w) { w.height_m = 0.15; }, +[](WindAloft& w) { w.mixed_depth_m = 0; }}) {
        NightSetup s = night_with(2);
        spoil(s.wind);
        EXPECT_THROW(run(s), InputError);
    }
}

}  // namespace
}  // namespace lielow
