// SPDX-License-Identifier: Apache-2.0
// The loss of a night: its law, the flat night it drives, and its books.
#include "sim/night_forcing.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>

#include "sim/dew.hpp"
#include "sim/errors.hpp"
#include "sim/night_map.hpp"

namespace lielow {
namespace {

NightSetup radiation_night(double hours) {
    NightSetup s;
    s.duration_s = hours * 3600;
    s.evening_air_k = 282.15;
    s.loss_rule = LossRule::radiation;
    s.dew_point_k = 274.15;
    s.sample_interval_s = 1e9;
    return s;
}

std::shared_ptr<const Field<float>> share_of(Field<float> field) {
    return std::make_shared<const Field<float>>(std::move(field));
}

Ground level_ground(int rows, int cols, double cell) {
    return {{rows, cols, cell, cell}, Field<float>(rows, cols, 100.0F), Field<std::uint8_t>(rows, cols, 1)};
}

TEST(LossLaw, AtSunsetItIsTheHandbooksHour) {
    // FAO-56 (Allen et al. 1998) example 19, 02:00 to 03:00, figures from memory: 28 °C, 3.402 kPa (26.2 °C
    // dew point), Rs/Rso 0.8, net loss 0.100 MJ/(m² h); equation 46 gives the soil half of it, so the air
    // pays 0.050.
    NightSetup s = radiation_night(8);
    s.evening_air_k = 28 + 273.15;
    s.dew_point_k = 273.15 + 237.3 / (17.27 / std::log(3.402 / 0.6108) - 1);
    s.cloud = 0.3;  // 0.8 by equation 35
    EXPECT_NEAR(LossLaw(s).loss_w_m2(0, 0, 0, 1) * 3600e-6, 0.050, 3e-4);
}

TEST(LossLaw, ConstantUnlessRadiationIsAskedFor) {
    NightSetup s;
    s.cloud = 0.5;
    const LossLaw law(s);
    EXPECT_TRUE(law.is_constant());
    EXPECT_DOUBLE_EQ(law.loss_w_m2(3600, 50, 7, 1), 15 * 0.55);
    EXPECT_DOUBLE_EQ(law.loss_w_m2(3600, 50, 7, 0.8), 0.8 * 15 * 0.55);
}

TEST(LossLaw, FallsWithColdGroundDewAndCloud) {
    NightSetup s = radiation_night(8);
    const double fresh = LossLaw(s).loss_w_m2(0, 0, 0, 1);
    const double cold = LossLaw(s).loss_w_m2(0, 0, 5, 1);
    EXPECT_NEAR(fresh - cold, 0.5 * 4 * stefan_boltzmann * std::pow(279.65, 3) * 5, 0.01);
    const double net = 2 * LossLaw(s).loss_w_m2(0, 0, 12, 1) /
                       sensible_share(270.15, 282.15, saturation_vapour_pressure_kpa(274.15), 101.3);
    EXPECT_NEAR(net, net_longwave_w_m2(270.15, 282.15, saturation_vapour_pressure_kpa(274.15), 0), 1e-9);
    EXPECT_EQ(LossLaw(s).loss_w_m2(0, 0, 60, 1), 0.0);  // the sky would warm ground as cold as that
    s.cloud = 1;
    EXPECT_NEAR(LossLaw(s).loss_w_m2(0, 0, 0, 1), 0.1 * fresh, 1e-9);
}

TEST(LossLaw, WeatherIsReadBetweenItsHours) {
    NightSetup s = radiation_night(8);
    s.weather = {{.time_s = 0, .air_k = 282.15, .dew_point_k = 274.15, .cloud = 0},
                 {.time_s = 3600, .air_k = 278.15, .dew_point_k = 272.15, .cloud = 1}};
    const LossLaw law(s);
    const auto alone = [&](double air, double dew, double cloud) {
        NightSetup one = s;
        one.weather = {{.time_s = 0, .air_k = air, .dew_point_k = dew, .cloud = cloud}};
        return LossLaw(one).loss_w_m2(0, 0, 0, 1);
    };
    EXPECT_DOUBLE_EQ(law.loss_w_m2(-100, 0, 0, 1), alone(282.15, 274.15, 0));
    EXPECT_DOUBLE_EQ(law.loss_w_m2(1800, 0, 0, 1), alone(280.15, 273.15, 0.5));
    EXPECT_DOUBLE_EQ(law.loss_w_m2(7200, 0, 0, 1), alone(278.15, 272.15, 1));
    std::swap(s.weather[0], s.weather[1]);
    EXPECT_THROW(LossLaw{s}, InputError);
}

TEST(LossLaw, RefusesADewPointAboveTheAir) {
    NightSetup s = radiation_night(8);
    s.dew_point_k = s.evening_air_k + 1;
    EXPECT_THROW(LossLaw{s}, InputError);
    s.dew_point_k = 0;
    EXPECT_THROW(LossLaw{s}, InputError);
}

/// Drop at the surface of a half-space that loses b per kelvin to surroundings `deepest` colder: Carslaw &
/// Jaeger 1959, section 2.7, deepest (1 − exp(x²) erfc x) with x = b √(t/K).
double radiating_half_space(double deepest, double b, double mixing, double time) {
    const double x = b * std::sqrt(time / mixing);
    return deepest * (1 - std::exp(x * x) * std::erfc(x));
}

TEST(FlatNight, RadiatingGroundCoolsAsTheHalfSpaceDoes) {
    // The law 0.5 (σ T⁴ − sky) is bent a little; straight ones with its slope at the warmest and at the
    // coldest ground bound it, closely so under cloud, where the ground cools by little.
    for (const double cloud : {0.0, 1.0}) {
        NightSetup s = radiation_night(10);
        s.dew_point_k = 262;  // no dew
        s.cloud = cloud;
        const FlatNight flat = flat_night(s);
        const double q0 = LossLaw(s).loss_k_m_s(0, 0, 0, 1);
        const double heat = air_heat_capacity(s.evening_air_k, 0);
        double bound[2];
        for (const int end : {0, 1}) {
            const double t = s.evening_air_k - end * flat.drop_k;
            const double b = 0.5 * 4 * stefan_boltzmann * t * t * t / heat;
            bound[end] = radiating_half_space(q0 / b, b, s.mixing_m2_s, s.duration_s);
        }
        std::printf(
            "flat radiating night of 10 h, cloud %.0f: %.4f K, half-spaces %.4f and %.4f K; loss %.1f W/m2 "
            "at first, %.1f in the mean, %.1f at last\n",
            cloud, flat.drop_k, bound[0], bound[1], q0 * heat, flat.mean_loss_k_m_s * heat,
            flat.coldest_loss_k_m_s * heat);
        EXPECT_GT(flat.drop_k, bound[0]);
        EXPECT_LT(flat.drop_k, bound[1]);
        if (cloud == 1.0) {
            EXPECT_LT(bound[1] - bound[0], 0.02);
        }
        EXPECT_NEAR(flat.coldest_loss_k_m_s, LossLaw(s).loss_k_m_s(0, 0, flat.drop_k, 1), 0.01 * q0);
        EXPECT_EQ(flat.peak_loss_k_m_s, q0);
    }
}

TEST(FlatNight, ConstantLossIsTheSquareRootLaw) {
    const NightSetup s;
    const FlatNight flat = flat_night(s);
    EXPECT_DOUBLE_EQ(flat.drop_k,
                     2 * flat.mean_loss_k_m_s * std::sqrt(s.duration_s / (M_PI * s.mixing_m2_s)));
    EXPECT_EQ(flat.peak_loss_k_m_s, flat.coldest_loss_k_m_s);
}

TEST(LossFactor, IsTheBlockMeanOfSkyTimesCover) {
    const Ground ground = level_ground(4, 6, 10);
    NightSetup s = radiation_night(1);
    s.cell_m = 20;
    const NightPlan plan = plan_night(ground, s);
    Field<float> sky(4, 6, 0.8F);
    sky(0, 0) = 0.4F;
    sky(0, 1) = NAN;
    s.sky_view = share_of(std::move(sky));
    Field<float> cover(4, 6, 0.5F);
    for (int j = 0; j < 4; ++j) cover(j, 4) = cover(j, 5) = 9;
    s.cover_loss = share_of(std::move(cover));
    const Field<float> factor = loss_factor(s, plan);
    EXPECT_NEAR(factor(0, 0), 0.5 * (0.4 + 0.8 + 0.8) / 3, 1e-6);
    EXPECT_NEAR(factor(1, 1), 0.4, 1e-6);
    EXPECT_EQ(factor(0, 2), static_cast<float>(most_loss_factor));
}

NightResult run(const Ground& ground, const NightSetup& s) {
    return run_night(ground, s, plan_night(ground, s));
}

TEST(RadiationNight, FlatGroundFollowsTheHalfSpace) {
    const Ground ground = level_ground(6, 6, 20);
    NightSetup s = radiation_night(6);
    s.reference_elevation_m = 100;
    s.cell_m = 20;
    s.sheet_step_k = 0.5;
    s.plant_height_m = 0;
    const NightPlan plan = plan_night(ground, s);
    const NightResult night = run_night(ground, s, plan);
    const Field<float> deficit = map_deficit(ground,
                                             IsothermSurfaces(ground, plan, night.scale, night.ground,
                                                              night.coldest_height, &night.coldest_gradient),
                                             night.scale, 0);
    std::printf("radiating flat night of 6 h: %.3f K at the ground, superposed conduction %.3f K\n",
                deficit(3, 3), plan.flat_drop_k);
    EXPECT_NEAR(deficit(3, 3), plan.flat_drop_k, 0.5 * s.sheet_step_k);
    EXPECT_NEAR(night.heat_lost_k_m3, plan.loss_k_m_s * s.duration_s * 36 * 400, 0.02 * night.heat_lost_k_m3);
    EXPECT_NEAR(night.heat_residual(), 0, 1e-5);
    EXPECT_NEAR(night.coldest_gradient(3, 3), plan.coldest_loss_k_m_s / s.mixing_m2_s,
                0.05 * plan.coldest_loss_k_m_s / s.mixing_m2_s);
}

TEST(RadiationNight, BooksCloseWithSkyCoverDewAndWeather) {
    Ground ground = level_ground(8, 30, 20);
    Field<float> sky(8, 30, 1.0F);
    Field<float> cover(8, 30, 1.0F);
    for (int j = 0; j < 8; ++j) {
        for (int i = 0; i < 30; ++i) {
            ground.z(j, i) = static_cast<float>(100 + 10 * std::cos(2 * M_PI * (i + 0.5) / 30));
            sky(j, i) = 0.8F + 0.005F * static_cast<float>(i);
            cover(j, i) = j < 4 ? 1.0F : 0.7F;
        }
    }
    NightSetup s = radiation_night(4);
    s.reference_elevation_m = 110;
    s.cell_m = 20;
    s.sky_view = share_of(std::move(sky));
    s.cover_loss = share_of(std::move(cover));
    s.weather = {{.time_s = -600, .air_k = 282.15, .dew_point_k = 278.15, .cloud = 0},
                 {.time_s = 7000, .air_k = 277.15, .dew_point_k = 275.15, .cloud = 0.4},
                 {.time_s = 20000, .air_k = 274.15, .dew_point_k = 272.15, .cloud = 0}};
    for (const EdgeKind edges : {EdgeKind::wall, EdgeKind::far_field}) {
        s.edges = edges;
        const NightResult night = run(ground, s);
        std::printf("heat residual %.1e\n", night.heat_residual());
        EXPECT_NEAR(night.heat_residual(), 0, 1e-5);
        EXPECT_GT(night.heat_lost_k_m3, 0);
    }
}

TEST(RadiationNight, GroundThatSeesLessSkyStaysWarmer) {
    const Ground ground = level_ground(4, 4, 20);
    NightSetup s = radiation_night(4);
    s.edges = EdgeKind::wall;
    s.reference_elevation_m = 100;
    s.cell_m = 20;
    const double open = run(ground, s).heat_lost_k_m3;
    s.sky_view = share_of(Field<float>(4, 4, 0.7F));
    const double held = run(ground, s).heat_lost_k_m3;
    EXPECT_LT(held, 0.85 * open);
    EXPECT_GT(held, 0.7 * open);  // it cools less, so it goes on radiating
    s.loss_rule = LossRule::constant;
    NightSetup bare = s;
    bare.sky_view = nullptr;
    EXPECT_NEAR(run(ground, s).heat_lost_k_m3 / run(ground, bare).heat_lost_k_m3, 0.7, 1e-6);
}

TEST(RadiationNight, ThinMixingDoesNotSwing) {
    // Little mixing makes the ground answer at once: without settling, the loss would leap between refreshes.
    NightSetup s = radiation_night(3);
    s.mixing_m2_s = 0.002;
    const LossLaw law(s);
    double q = law.loss_k_m_s(0, 0, 0, 1);
    const double answer = 2 * std::sqrt(300 / (M_PI * s.mixing_m2_s));
    const double first = q;
    for (int n = 0; n < 40; ++n) {
        const double next = law.settled_loss_k_m_s(300.0 * n, 0, answer * q, 1, q, 300);
        EXPECT_LE(next, q + 1e-9) << n;
        q = next;
    }
    EXPECT_LT(q, first);
    EXPECT_NEAR(law.loss_k_m_s(0, 0, answer * q, 1), q, 0.02 * q);  // where loss and answer agree
}

}  // namespace
}  // namespace lielow
