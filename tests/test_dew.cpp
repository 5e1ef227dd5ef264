// SPDX-License-Identifier: Apache-2.0
// Dew's share against tables: FAO-56 (Allen et al. 1998), examples and annex 2, and the Smithsonian
// Meteorological Tables for ice; their figures from memory.
#include "sim/dew.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/net_longwave.hpp"

namespace lielow {
namespace {

constexpr double zero = 273.15;

TEST(Dew, PsychrometricConstantOfExample2) {
    // 1800 m: 81.8 kPa and 0.054 kPa/K; annex table 2.2, sea level: 0.067.
    EXPECT_NEAR(air_pressure_kpa(1800), 81.8, 0.05);
    EXPECT_NEAR(psychrometric_constant_kpa_k(air_pressure_kpa(1800), 290), 0.054, 5e-4);
    EXPECT_NEAR(psychrometric_constant_kpa_k(air_pressure_kpa(0), 290), 0.067, 5e-4);
}

TEST(Dew, SlopeOfTheVapourPressureCurve) {
    // Annex table 2.4, kPa/K to three digits.
    EXPECT_NEAR(ground_vapour_pressure_slope_kpa_k(zero + 1), 0.047, 5e-4);
    EXPECT_NEAR(ground_vapour_pressure_slope_kpa_k(zero + 5), 0.061, 5e-4);
    EXPECT_NEAR(ground_vapour_pressure_slope_kpa_k(zero + 10), 0.082, 5e-4);
    EXPECT_NEAR(ground_vapour_pressure_slope_kpa_k(zero + 20), 0.145, 5e-4);
}

TEST(Dew, VapourPressureOverIce) {
    // Smithsonian Meteorological Tables (after Goff & Gratch), hPa: 2.597 at −10 °C, 1.032 at −20 °C.
    EXPECT_NEAR(10 * ground_vapour_pressure_kpa(zero - 10), 2.597, 0.005);
    EXPECT_NEAR(10 * ground_vapour_pressure_kpa(zero - 20), 1.032, 0.005);
    EXPECT_NEAR(ground_vapour_pressure_kpa(zero - 1e-9), ground_vapour_pressure_kpa(zero), 1e-4);
    EXPECT_LT(ground_vapour_pressure_kpa(zero - 5), saturation_vapour_pressure_kpa(zero - 5));
}

TEST(Dew, SlopeIsTheCurvesDerivative) {
    for (const double t : {zero - 15, zero - 2, zero + 3, zero + 12}) {
        const double slope =
            (ground_vapour_pressure_kpa(t + 0.01) - ground_vapour_pressure_kpa(t - 0.01)) / 0.02;
        EXPECT_NEAR(ground_vapour_pressure_slope_kpa_k(t), slope, 1e-6 * slope + 1e-8) << t;
    }
}

TEST(Dew, NoneWhileTheGroundIsWarmerThanTheDewPoint) {
    const double e = saturation_vapour_pressure_kpa(zero + 2);
    EXPECT_EQ(sensible_share(zero + 5, zero + 9, e, 100), 1.0);
    EXPECT_EQ(sensible_share(zero + 9, zero + 9, e, 100), 1.0);
    EXPECT_NEAR(sensible_share(zero + 1.999, zero + 9, e, 100), 1.0, 1e-3);  // sets in without a leap
}

TEST(Dew, FollowsBowensRatio) {
    // 9 °C air with dew point 4 °C over ground at 1 °C: (e(4) − e(1))/(9 − 1)/γ, e from FAO-56's table 2.3,
    // 0.813 and 0.657 kPa.
    const double gamma = 0.665e-3 * 100;
    const double bowen = gamma * 8 / (0.813 - 0.657);
    EXPECT_NEAR(sensible_share(zero + 1, zero + 9, saturation_vapour_pressure_kpa(zero + 4), 100),
                bowen / (1 + bowen), 2e-3);
}

TEST(Dew, SaturatedAirCoolsByGammaOverGammaPlusDelta) {
    for (const double t : {zero - 8, zero + 4}) {
        const double share = sensible_share(t - 0.02, t, saturation_vapour_pressure_kpa(t), 95);
        EXPECT_NEAR(share, saturated_air_share(t, 95), 1e-3);
        EXPECT_NEAR(sensible_share(t, t, saturation_vapour_pressure_kpa(t) + 1e-6, 95), 1.0, 1e-12)
            << "no cooling, no dew";
    }
    EXPECT_NEAR(saturated_air_share(zero + 10, 101.3), 0.0674 / (0.0674 + 0.0822), 1e-3);
}

}  // namespace
}  // namespace lielow
