// SPDX-License-Identifier: Apache-2.0
#include "sim/frost_exposure.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "sim/errors.hpp"
#include "sim/night_map.hpp"

namespace lielow {
namespace {

Field<float> plane(float value) {
    return {1, 1, value};
}

FrostExposure exposure_of(const std::vector<std::pair<double, float>>& samples, double threshold = 0) {
    FrostExposure exposure(1, 1, threshold, table_exposure_s);
    for (const auto& [minutes, value] : samples) exposure.add(60 * minutes, plane(value));
    return exposure;
}

TEST(FrostExposure, HoursAreLinearBetweenSamples) {
    // Falls through 0 after a quarter of the first hour, rises through it after three quarters of the third.
    const auto exposure = exposure_of({{0, 1}, {60, -3}, {120, -3}, {180, 1}});
    EXPECT_FLOAT_EQ(exposure.hours()[0], 0.75F + 1.0F + 0.75F);
    EXPECT_EQ(exposure.lowest()[0], -3.0F);
}

/// The exact answer for T = 5 − 6 √(t/10 h), below 0 from t = 10 h · (5/6)².
TEST(FrostExposure, ConvergesToTheExactTime) {
    double before = 0;
    for (const int n : {20, 40, 80}) {
        FrostExposure exposure(1, 1, 0, table_exposure_s);
        for (int i = 0; i <= n; ++i)
            exposure.add(36000.0 * i / n,
                         plane(static_cast<float>(5 - 6 * std::sqrt(static_cast<double>(i) / n))));
        const double error = std::abs(exposure.hours()[0] - 10 * (1 - 25.0 / 36));
        EXPECT_LT(error, 0.02);
        before = error;
    }
    EXPECT_LT(before, 2e-3);
}

TEST(FrostExposure, ShortDipIsNotHeld) {
    // Below −1 for a moment only; at or below 0 for the half hour from 15 to 45 min.
    const auto dip = exposure_of({{0, 2}, {15, 0}, {30, -4}, {45, 0}, {60, 2}, {75, 2}, {90, 2}});
    EXPECT_EQ(dip.lowest()[0], -4.0F);
    EXPECT_EQ(dip.held()[0], 0.0F);
}

TEST(FrostExposure, SpellMayBeginBetweenSamples) {
    // Samples every 20 min: the spell of 30 min that ends at 60 min begins at 30, where it is 1 − 4/2 = −1.
    const auto slope = exposure_of({{0, 2}, {20, 1}, {40, -3}, {60, -3}, {80, 5}});
    EXPECT_FLOAT_EQ(slope.held()[0], -1.0F);
}

TEST(FrostExposure, ColdAtSunriseLasts) {
    const auto falling = exposure_of({{0, 4}, {15, 2}, {30, 1}, {45, -1}, {60, -2}});
    EXPECT_EQ(falling.held()[0], -2.0F);
}

TEST(FrostExposure, UnknownStaysUnknown) {
    const auto hole = exposure_of({{0, NAN}, {30, NAN}, {60, NAN}});
    EXPECT_TRUE(std::isnan(hole.hours()[0]) && std::isnan(hole.lowest()[0]) && std::isnan(hole.held()[0]));
    FrostExposure backwards(1, 1, 0, 1800);
    backwards.add(100, plane(0));
    EXPECT_THROW(backwards.add(100, plane(0)), RunError);
}

class SolvedNight : public testing::Test {
  protected:
    SolvedNight() {
        for (int j = 0; j < 24; ++j)
            for (int i = 0; i < 60; ++i)
                ground_.z(j, i) = static_cast<float>(200 + 8 * std::cos(0.1 * i) + 0.1 * j);
        ground_.known(3, 7) = 0;
        setup_.duration_s = 2 * 3600;
        setup_.reference_elevation_m = 208;
        setup_.cell_m = 20;
        night_ = run_night(ground_, setup_, plan_night(ground_, setup_));
    }
    Ground ground_{{24, 60, 10, 10}, Field<float>(24, 60), Field<std::uint8_t>(24, 60, 1)};
    NightSetup setup_;
    NightResult night_;
};

TEST_F(SolvedNight, LowestIsNearTheMapOfLows) {
    const FrostExposure exposure = night_exposure(ground_, setup_, night_, 5.0);
    Field<float> low = map_deficit(
        ground_, IsothermSurfaces(ground_, night_.plan, night_.scale, night_.ground, night_.coldest_height),
        night_.scale, setup_.plant_height_m);
    deficit_to_celsius(ground_, setup_, low);
    const Field<float> held = exposure.held();
    for (std::size_t c = 0; c < low.size(); ++c) {
        if (ground_.known[c] == 0) {
            EXPECT_TRUE(std::isnan(exposure.hours()[c]) && std::isnan(held[c]));
            continue;
        }
        EXPECT_NEAR(exposure.lowest()[c], low[c], 0.5);  // samples every 15 min, lows looked for every 5
        EXPECT_GE(held[c], exposure.lowest()[c]);
        EXPECT_GE(exposure.hours()[c], 0.0F);
        EXPECT_LE(exposure.hours()[c], 2.0001F);
    }
}

TEST_F(SolvedNight, ColderThresholdMeansFewerHours) {
    const FrostExposure warm = night_exposure(ground_, setup_, night_, 7.0);
    const FrostExposure cold = night_exposure(ground_, setup_, night_, 4.0);
    bool some = false;
    for (std::size_t c = 0; c < warm.hours().size(); ++c) {
        if (ground_.known[c] == 0) continue;
        EXPECT_GE(warm.hours()[c], cold.hours()[c]);
        some = some || warm.hours()[c] > cold.hours()[c];
    }
    EXPECT_TRUE(some);
}

TEST_F(SolvedNight, ThreadsDoNotMatter) {
    const int before = omp_get_max_threads();
    omp_set_num_threads(1);
    const FrostExposure one = night_exposure(ground_, setup_, night_, 5.0);
    omp_set_num_threads(3);
    const FrostExposure three = night_exposure(ground_, setup_, night_, 5.0);
    omp_set_num_threads(before);
    const auto same = [](float a, float b) { return a == b || (std::isnan(a) && std::isnan(b)); };
    const auto equal = [&](const Field<float>& a, const Field<float>& b) {
        return std::equal(a.all().begin(), a.all().end(), b.all().begin(), same);
    };
    EXPECT_TRUE(equal(one.hours(), three.hours()));
    EXPECT_TRUE(equal(one.held(), three.held()));
}

TEST_F(SolvedNight, StopsWhenAsked) {
    EXPECT_THROW(night_exposure(ground_, setup_, night_, 5.0, [] { return false; }), Interrupted);
}

}  // namespace
}  // namespace lielow
