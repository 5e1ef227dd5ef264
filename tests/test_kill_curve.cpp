// SPDX-License-Identifier: Apache-2.0
#include "sim/kill_curve.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/extreme_fit.hpp"

namespace lielow {
namespace {

const KillCurve apple_bloom{28, 25, 0.5, 0.5};  // °F, Penn State Extension

TEST(KillCurve, GoesThroughBothPublishedTemperatures) {
    EXPECT_NEAR(killed_share(apple_bloom, 28), 0.1, 1e-15);
    EXPECT_NEAR(killed_share(apple_bloom, 25), 0.9, 1e-15);
    EXPECT_NEAR(killed_share(apple_bloom, 26.5), 0.5, 1e-15);
    for (const double share : {0.01, 0.1, 0.37, 0.9})
        EXPECT_NEAR(killed_share(apple_bloom, killing_temperature(apple_bloom, share)), share, 1e-14);
}

TEST(KillCurve, RisesAllTheWayAndStaysAShare) {
    double before = 0;
    for (double t = 200; t >= -200; t -= 0.25) {
        const double share = killed_share(apple_bloom, t);
        EXPECT_GE(share, before);
        EXPECT_LE(share, 1.0);
        before = share;
    }
    EXPECT_EQ(killed_share(apple_bloom, 5000), 0.0);
    EXPECT_EQ(killed_share(apple_bloom, -5000), 1.0);
    EXPECT_TRUE(std::isnan(killed_share(apple_bloom, NAN)));
}

/// The same curve in another scale of degrees.
TEST(KillCurve, ScaleOfDegreesDoesNotMatter) {
    const auto celsius = [](double f) { return (f - 32) / 1.8; };
    const KillCurve other{celsius(28), celsius(25)};
    for (const double f : {20.0, 24.0, 27.0, 30.0})
        EXPECT_NEAR(killed_share(other, celsius(f)), killed_share(apple_bloom, f), 1e-13);
}

/// 1.2815515655446004 is the 90 % point of the normal distribution.
TEST(KillCurve, NormalCurveThroughTheSamePointsDiffersLittle) {
    double most = 0;
    for (double t = 15; t <= 38; t += 0.01) {
        const double normal = normal_below(-(t - 26.5) / 1.5 * 1.2815515655446004);
        most = std::max(most, std::abs(normal - killed_share(apple_bloom, t)));
    }
    EXPECT_NEAR(most, 0.0109, 0.0001);  // what the header says
}

TEST(KillCurve, BandEnclosesTheShare) {
    const KillCurve petal_fall{32, 29, 4, 0.5};  // 28 to 32 °F are published
    const KilledBand band = killed_band(petal_fall, 30);
    EXPECT_LT(band.least, 0.01);
    EXPECT_NEAR(band.least, killed_share({28, 25}, 30), 1e-15);
    EXPECT_GT(band.most, killed_share(petal_fall, 30));
}

}  // namespace
}  // namespace lielow
