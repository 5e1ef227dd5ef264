// SPDX-License-Identifier: Apache-2.0
#include "sim/hole_tests.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <span>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double inch = 0.0254;
constexpr double hour = 3600;
constexpr double day = 86400;

// By the formula of ILRI 16: r = 4 cm, 80 to 71 cm in 300 s gives 7.75e-4 cm/s = 0.670 m/day; the same with
// the logarithm to base 10 is 1.15 r Δlog/t.
TEST(HoleTests, Porchet) {
    const double k = porchet_conductivity(0.04, 0.80, 0.71, 300);
    EXPECT_NEAR(k * 100, 7.75e-4, 5e-7);
    EXPECT_NEAR(k * day, 0.670, 5e-4);
    EXPECT_NEAR(k, 1.15 * 0.04 * (std::log10(0.82) - std::log10(0.73)) / 300, 2e-3 * k);
}

// A percolation rate of an inch an hour is no conductivity of an inch an hour.
TEST(HoleTests, PercolationRateIsNoConductivity) {
    const double wide = porchet_conductivity(6 * inch, 12 * inch, 11 * inch, hour);
    EXPECT_NEAR(wide / inch * hour, 0.207, 5e-4);
    EXPECT_NEAR(wide * 1e6, 1.46, 5e-3);
    EXPECT_NEAR(porchet_conductivity(6 * inch, 12 * inch, 10 * inch, hour) / inch * hour, 0.429, 5e-4);
    EXPECT_NEAR(porchet_conductivity(3 * inch, 12 * inch, 11 * inch, hour) / inch * hour, 0.115, 5e-4);
}

/// The hole's own balance, stepped: water leaves by wall and bottom at unit gradient, π r² dh/dt = −K(2πrh +
/// πr²).
TEST(HoleTests, PorchetIsTheHolesOwnBalance) {
    const double k = 3e-6;
    const double r = 0.06;
    double h = 0.5;
    const int steps = 200000;
    const double dt = 6000.0 / steps;
    for (int i = 0; i < steps; ++i) {
        const double slope = -k * (2 * h / r + 1);
        const double middle = h + 0.5 * dt * slope;
        h -= dt * k * (2 * middle / r + 1);
    }
    EXPECT_NEAR(porchet_conductivity(r, 0.5, h, 6000), k, 1e-9 * k);
}

/// Readings on the exact curve give the conductivity it was drawn with, however many there are.
TEST(HoleTests, PorchetThroughSeveralReadings) {
    const double k = 3e-6;
    const double r = 0.06;
    std::vector<HoleReading> readings;
    for (const double t : {0.0, 600.0, 1500.0, 6000.0})
        readings.push_back({t, (0.5 + r / 2) * std::exp(-2 * k * t / r) - r / 2});
    EXPECT_NEAR(porchet_conductivity(r, readings), k, 1e-12 * k + 1e-18);
    EXPECT_NEAR(porchet_conductivity(r, std::span(readings).first(2)),
                porchet_conductivity(r, 0.5, readings[1].water_m, 600), 1e-15);
    const double empty = hole_emptying_time(r, 0.5, k);
    EXPECT_NEAR((0.5 + r / 2) * std::exp(-2 * k * empty / r) - r / 2, 0, 1e-12);
    readings[2].water_m = readings[1].water_m + 0.01;
    EXPECT_THROW(porchet_conductivity(r, readings), InputError) << "the water rises";
}

// van Beers 1958 (from memory), r = 4 cm, H = 100 cm, 40 cm below the table, 10 cm up in 50 s.
TEST(HoleTests, AugerHoleBelowTheTable) {
    EXPECT_NEAR(auger_hole_conductivity(0.04, 1.0, 0.40, 0.10, 50) * day, 1.2314, 1e-4);
    EXPECT_THROW(auger_hole_conductivity(0.04, 1.0, 0.40, 0.50, 50), InputError);
}

// A foot of water over ground at 30 % of its effective porosity in want: constants of Rawls, Brakensiek &
// Miller 1983, J. Hydraul. Eng. 109:62-70 (from memory); times by quadrature of Green & Ampt's law.
TEST(HoleTests, AFootOfWaterSoaksAway) {
    struct Ground {
        double k_cm_h, suction_cm, porosity, days;
    };
    for (const Ground& g : {Ground{0.65, 16.68, 0.486, 1.3415},
                            {0.34, 8.89, 0.434, 2.7832},
                            {0.10, 20.88, 0.309, 9.3751},
                            {0.03, 31.63, 0.385, 27.996}}) {
        const FallingPond pond{g.k_cm_h / 100 / hour, g.suction_cm / 100, 0.3 * g.porosity, 0.3048};
        EXPECT_NEAR(falling_pond_time(pond, 0.3048) / day, g.days, 1e-4 * g.days);
    }
}

TEST(HoleTests, FallingPondFollowsGreenAndAmpt) {
    const FallingPond pond{2e-6, 0.17, 0.1, 0.3};
    double t = 0;
    const int steps = 100000;
    for (int i = 0; i < steps; ++i) {
        const double f = 0.3 * (i + 0.5) / steps;
        t += 0.3 / steps * (f / pond.deficit) / (pond.conductivity_m_s * (0.17 + 0.3 - f + f / pond.deficit));
    }
    EXPECT_NEAR(falling_pond_time(pond, 0.3), t, 1e-8 * t);
    EXPECT_NEAR(falling_pond_soaked(pond, falling_pond_time(pond, 0.12)), 0.12, 1e-12);
    EXPECT_DOUBLE_EQ(falling_pond_soaked(pond, 1e9), 0.3);
    EXPECT_LT(falling_pond_time(pond, 0.3), 0.3 / 2e-6) << "suction helps";
    EXPECT_THROW(falling_pond_time(pond, 0.4), InputError);
    EXPECT_THROW(falling_pond_time({2e-6, 0.17, 1.0, 0.3}, 0.1), InputError);
}

}  // namespace
}  // namespace lielow
