// SPDX-License-Identifier: Apache-2.0
// Worked examples of FAO-56 (Allen, Pereira, Raes & Smith 1998, Irrigation and Drainage Paper 56). Inputs and
// result of example 11 as quoted in print; the others and the places from memory.
#include "sim/net_longwave.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

namespace lielow {
namespace {

constexpr double mj_a_day = 1e6 / 86400;
/// The paper's own zero of the Celsius scale for radiation.
double kelvin(double celsius) {
    return celsius + 273.16;
}

TEST(NetLongwave, VapourPressureOfTheHandbook) {
    // Example 3 (24.5 and 15 °C) and annex table 2.3, kPa to three digits.
    EXPECT_NEAR(saturation_vapour_pressure_kpa(24.5 + 273.15), 3.075, 5e-4);
    EXPECT_NEAR(saturation_vapour_pressure_kpa(15.0 + 273.15), 1.705, 5e-4);
    EXPECT_NEAR(saturation_vapour_pressure_kpa(20.0 + 273.15), 2.338, 5e-4);
    EXPECT_NEAR(saturation_vapour_pressure_kpa(10.0 + 273.15), 1.228, 5e-4);
}

TEST(NetLongwave, Example11) {
    // Highest 25.1, lowest 19.1 °C, 2.1 kPa, Rs 14.5, Rso 18.8 MJ/(m² d): printed 3.5. Unrounded 3.534; the
    // printed factors 37.3, 0.14 and 0.69 multiply to 3.60, so the handbook didn't round on the way.
    const double loss = day_net_longwave_w_m2(kelvin(25.1), kelvin(19.1), 2.1, 14.5 / 18.8);
    EXPECT_NEAR(loss / mj_a_day, 3.5, 0.05);
    EXPECT_NEAR(loss / mj_a_day, 3.534034, 1e-5);
    EXPECT_NEAR(loss, 40.903, 1e-3);
    EXPECT_NEAR(37.3 * 0.14 * 0.69, 3.60, 5e-3);
}

TEST(NetLongwave, Examples17And18) {
    EXPECT_NEAR(day_net_longwave_w_m2(kelvin(34.8), kelvin(25.6), 2.85, 22.65 / 28.54) / mj_a_day, 3.11,
                5e-3);
    EXPECT_NEAR(day_net_longwave_w_m2(kelvin(21.5), kelvin(12.3), 1.409, 22.07 / 30.90) / mj_a_day, 3.71,
                5e-3);
}

TEST(NetLongwave, NightHourOfExample19) {
    // 02:00 to 03:00: 28 °C, 3.402 kPa, Rs/Rso 0.8: 0.100 MJ/(m² h), of which the soil pays half (equation
    // 46). The cloud that goes with Rs/Rso 0.8 by equation 35: (0.25 + 0.5 (1 − c))/0.75 = 0.8.
    const double cloud = 1 - (0.8 * 0.75 - 0.25) / 0.5;
    const double loss = net_longwave_w_m2(kelvin(28), kelvin(28), 3.402, cloud);
    EXPECT_NEAR(loss * 3600e-6, 0.100, 5e-4);
}

TEST(NetLongwave, CloudFactorIsTheHandbooks) {
    for (const double cloud : {0.0, 0.3, 1.0})
        EXPECT_NEAR(cloud_factor(cloud), 1.35 * (0.25 + 0.5 * (1 - cloud)) / 0.75 - 0.35, 1e-12);
    const double clear = net_longwave_w_m2(280, 280, 0.6, 0);
    EXPECT_NEAR(net_longwave_w_m2(280, 280, 0.6, 0.4), cloud_factor(0.4) * clear, 1e-10);
}

TEST(NetLongwave, LiesNearOtherPublishedSkies) {
    // Brutsaert (1975, Water Resources Research 11, 742-744): 1.24 (e/T)^(1/7), e in hPa. Prata (1996,
    // Quarterly Journal of the Royal Meteorological Society 122, 1127-1151): 1 − (1 + w) exp(−√(1.2 + 3 w)),
    // w = 46.5 e/T. Both from memory. Recorded: they bound what a clear sky can be trusted to.
    for (const auto& [air, dew] :
         {std::pair{0.0, 0.0}, {0.0, -5.0}, {0.0, -10.0}, {5.0, -5.0}, {10.0, 2.0}}) {
        const double t = air + 273.15;
        const double e = saturation_vapour_pressure_kpa(dew + 273.15);
        const double black = stefan_boltzmann * t * t * t * t;
        const double w = 46.5 * 10 * e / t;
        const double prata = black * (1 + w) * std::exp(-std::sqrt(1.2 + 3 * w));
        const double brutsaert = black * (1 - 1.24 * std::pow(10 * e / t, 1.0 / 7));
        const double here = net_longwave_w_m2(t, t, e, 0);
        std::printf("air %4.0f, dew point %4.0f: %.1f W/m2, Prata %.1f, Brutsaert %.1f\n", air, dew, here,
                    prata, brutsaert);
        EXPECT_LT(here, prata);
        EXPECT_LT(prata, brutsaert);
        EXPECT_GT(here, brutsaert / 1.35);
    }
}

TEST(NetLongwave, ColderGroundLosesLess) {
    // 4 σ T³ for each kelvin, Stefan's law differentiated.
    const double e = 0.7;
    const double slope = (net_longwave_w_m2(280.05, 282, e, 0) - net_longwave_w_m2(279.95, 282, e, 0)) / 0.1;
    EXPECT_NEAR(slope, 4 * stefan_boltzmann * 280 * 280 * 280, 1e-4);
}

}  // namespace
}  // namespace lielow
