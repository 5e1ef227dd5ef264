// SPDX-License-Identifier: Apache-2.0
// Rain through a storm: the NRCS shapes against what is published about them, and what is refused.
#include "sim/hyetograph.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double day = 86400;
constexpr double hour = 3600;

double share(RainShape shape, double hours) {
    return storm_of_shape(shape, 1.0, day).depth_at(hours * hour);
}

TEST(Hyetograph, TypeTwoFollowsTheClosedForm) {
    // Haan, Barfield & Hayes (1994), Design Hydrology and Sedimentology: P/P24 = 1/2 + T/24 (24.04/(2|T| +
    // 0.04))^0.75 with T = t - 12 h; it is a fit that the table leaves by less than 0.02 outside the peak.
    for (const double t : {2.0, 4.0, 6.0, 8.0, 10.0, 11.0, 11.5, 12.5, 13.0, 14.0, 16.0, 20.0, 24.0}) {
        const double from_noon = t - 12;
        const double fit = 0.5 + from_noon / 24 * std::pow(24.04 / (2 * std::abs(from_noon) + 0.04), 0.75);
        EXPECT_NEAR(share(RainShape::type_ii, t), fit, 0.016) << t;
    }
}

TEST(Hyetograph, TypeTwoFollowsAListingByHalfHours) {
    // A listing after TR-55 by half hours from 0.5 h; such listings differ by up to 0.003.
    const double listed[] = {.005, .011, .017, .023, .029, .035, .041, .048, .056,
                             .063, .072, .080, .090, .100, .111, .122, .135};
    for (int n = 0; n < 17; ++n) EXPECT_NEAR(share(RainShape::type_ii, 0.5 * (n + 1)), listed[n], 0.003) << n;
}

TEST(Hyetograph, TypeTwoBringsFortyFivePercentInItsWettestHour) {
    // "a Type II peak lies between 11.5 and 12.5 h and carries 45 % of the day's rain" (course notes on
    // TR-55).
    const MassCurve storm = storm_of_shape(RainShape::type_ii, 1.0, day);
    EXPECT_NEAR(storm.greatest_within(hour), 0.45, 0.01);
    EXPECT_NEAR(storm.depth_at(12.5 * hour) - storm.depth_at(11.5 * hour), 0.452, 0.001);
}

TEST(Hyetograph, TypeThreeIsItsOwnMirror) {
    // Types II and III were built with the wettest time in the middle of the day; III is symmetric about
    // noon.
    for (const double t : {4.0, 8.0, 10.0, 10.5, 11.0, 11.5, 12.0})
        EXPECT_NEAR(share(RainShape::type_iii, t) + share(RainShape::type_iii, 24 - t), 1, 0.0021) << t;
}

TEST(Hyetograph, ShapesOrderAsPublished) {
    // TR-55: IA is the least intense, II the most; I and IA peak before 10 h, II and III at noon.
    const auto wettest_hour = [](RainShape s) { return storm_of_shape(s, 1.0, day).greatest_within(hour); };
    EXPECT_LT(wettest_hour(RainShape::type_ia), wettest_hour(RainShape::type_i));
    EXPECT_LT(wettest_hour(RainShape::type_i), wettest_hour(RainShape::type_iii));
    EXPECT_LT(wettest_hour(RainShape::type_iii), wettest_hour(RainShape::type_ii));
    EXPECT_LT(share(RainShape::type_i, 9.5), 0.5);
    EXPECT_GT(share(RainShape::type_i, 10), 0.5);
    EXPECT_GT(share(RainShape::type_ia, 9), 0.5);
}

TEST(Hyetograph, EveryShapeBringsItsTotalAndNeverFalls) {
    for (const RainShape s : {RainShape::uniform, RainShape::type_i, RainShape::type_ia, RainShape::type_ii,
                              RainShape::type_iii}) {
        const MassCurve storm = storm_of_shape(s, 0.0762, day);
        EXPECT_EQ(storm.depth_at(day), 0.0762);
        EXPECT_EQ(storm.depth_at(2 * day), 0.0762);
        EXPECT_EQ(storm.depth_at(-1), 0);
        for (double t = 0; t < day; t += 60) ASSERT_GE(storm.depth_at(t + 60), storm.depth_at(t)) << t;
    }
}

TEST(Hyetograph, EvenRainIsLinear) {
    const MassCurve storm = storm_of_shape(RainShape::uniform, 0.05, 2 * hour);
    EXPECT_DOUBLE_EQ(storm.depth_at(0.5 * hour), 0.0125);
    EXPECT_DOUBLE_EQ(storm.peak_intensity(), 0.05 / (2 * hour));
    EXPECT_DOUBLE_EQ(storm.greatest_within(hour), 0.025);
}

TEST(Hyetograph, RefusesStormsThatCannotBe) {
    EXPECT_THROW(storm_of_shape(RainShape::uniform, 0, day), InputError);
    EXPECT_THROW(storm_of_shape(RainShape::uniform, -0.01, day), InputError);
    EXPECT_THROW(storm_of_shape(RainShape::uniform, std::nan(""), day), InputError);
    EXPECT_NO_THROW(storm_of_shape(RainShape::type_ii, 40 * 0.0254, day));  // as much has been measured
    EXPECT_THROW(storm_of_shape(RainShape::type_ii, 40 * 0.3048, day), InputError);  // feet for inches
    EXPECT_THROW(storm_of_shape(RainShape::type_ii, 0.05, 6 * hour), InputError);
    EXPECT_THROW(MassCurve({0, 600, 600}, {0, 0.01, 0.02}), InputError);
    EXPECT_THROW(MassCurve({0, 600, 1200}, {0, 0.02, 0.01}), InputError);
    EXPECT_THROW(MassCurve({60, 600}, {0, 0.02}), InputError);
}

}  // namespace
}  // namespace lielow
