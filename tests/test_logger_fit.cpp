// SPDX-License-Identifier: Apache-2.0
#include "sim/logger_fit.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace lielow {
namespace {

Observations readings_of(const std::vector<std::vector<double>>& rows, double step = 900) {
    std::vector<double> moments;
    std::vector<std::vector<TimedValue>> readings;
    for (std::size_t n = 0; n < rows.front().size(); ++n) moments.push_back(step * static_cast<double>(n));
    for (const auto& row : rows) {
        readings.emplace_back();
        for (std::size_t n = 0; n < row.size(); ++n) {
            if (!std::isnan(row[n])) readings.back().push_back({moments[n], row[n]});
        }
    }
    return mean_by_moment(readings, moments);
}

TEST(LoggerFit, ReadingsBetweenMomentsAreMeans) {
    const std::vector<std::vector<TimedValue>> readings{{{-449, 4}, {60, 2}, {120, 6}, {900, 1}, {2800, 9}}};
    const std::vector<double> moments{0, 900, 1800};
    const Observations read = mean_by_moment(readings, moments);
    EXPECT_DOUBLE_EQ(read.value(0, 0), 4.0);
    EXPECT_DOUBLE_EQ(read.time_s(0, 0), (-449 + 60 + 120) / 3.0);
    EXPECT_DOUBLE_EQ(read.value(0, 1), 1.0);
    EXPECT_TRUE(std::isnan(read.value(0, 2)));  // 2800 s belongs to a moment that isn't asked for
    EXPECT_EQ(read.known(), 2U);
}

TEST(LoggerFit, DifferencesAreTakenAtTheReadingsTimes) {
    const std::vector<std::vector<TimedValue>> readings{{{300, 1}}, {{900, 5}}};
    const std::vector<double> moments{0, 900};
    const std::vector<double> times{0, 1000};
    Field<double> model(2, 2);
    model(0, 0) = 10;
    model(0, 1) = 0;
    model(1, 0) = 5;
    model(1, 1) = 5;
    const auto apart = differences(mean_by_moment(readings, moments), times, model);
    ASSERT_EQ(apart.size(), 2U);
    EXPECT_DOUBLE_EQ(apart[0], 7.0 - 1.0);
    EXPECT_DOUBLE_EQ(apart[1], 0.0);
    EXPECT_DOUBLE_EQ(value_at(times, model.row(0), -5), 10.0);
    EXPECT_DOUBLE_EQ(value_at(times, model.row(0), 5000), 0.0);
}

TEST(LoggerFit, LagOneCorrelationKeepsToOneLogger) {
    const Observations read = readings_of({{0, 0, 0, NAN, 0}, {0, 0, NAN, NAN, NAN}});
    // Pairs: 1·1, 1·1 and −1·−1; not over the gap, not from one logger to the next.
    EXPECT_DOUBLE_EQ(lag_one_correlation(read, std::vector<double>{1, 1, 1, -1, -1, -1}), 1.0);
    EXPECT_DOUBLE_EQ(lag_one_correlation(read, std::vector<double>{1, -1, 1, 1, 1, -1}), -1.0);
    EXPECT_DOUBLE_EQ(widening(0.6), 2.0);
    EXPECT_DOUBLE_EQ(widening(-0.5), 1.0);
}

TEST(LoggerFit, LineOnElevationIsThroughTheOthers) {
    const Observations read = readings_of({{1, 1}, {3, NAN}, {99, 5}});
    const std::vector<double> z{100, 110, 130};
    const Field<double> told = by_elevation(read, z);
    EXPECT_DOUBLE_EQ(told(2, 0), 7.0);  // 1 + 0.2·30: its own 99 has no part in it
    EXPECT_TRUE(std::isnan(told(2, 1)));
    EXPECT_TRUE(std::isnan(told(0, 1)));
}

/// The left-out fit of a straight line, against the normal equations of the points that stay, worked by hand:
/// points (0, 0), (1, 1), (2, 2) lie on slope 1 through 0; all four with (3, 0.2) do not.
TEST(LoggerFit, OneStepIsExactForALinearModel) {
    const std::vector<double> x{0, 1, 2, 3};
    const std::vector<double> y{0, 1, 2, 0.2};
    const Observations read = readings_of({{y[0], y[1], y[2]}, {y[3], NAN, NAN}});
    // Parameters a, b of a + b x, started from a fit that isn't theirs.
    const std::vector<double> from{0.4, 0.3};
    Field<double> jacobian(4, 2);
    std::vector<double> apart;
    for (std::int32_t i = 0; i < 4; ++i) {
        const auto at = static_cast<std::size_t>(i);
        jacobian(i, 0) = 1;
        jacobian(i, 1) = x[at];
        apart.push_back(from[0] + from[1] * x[at] - y[at]);
    }
    const std::vector<std::int32_t> both{0, 1};
    const auto without = parameters_without(read, 1, jacobian, apart, from, both);
    EXPECT_NEAR(without[0], 0.0, 1e-12);
    EXPECT_NEAR(without[1], 1.0, 1e-12);
    // With the intercept held: slope = Σ x (y − 0.4) / Σ x² = 3.8 / 5.
    const std::vector<std::int32_t> slope{1};
    const auto held = parameters_without(read, 1, jacobian, apart, from, slope);
    EXPECT_DOUBLE_EQ(held[0], 0.4);
    EXPECT_NEAR(held[1], 0.76, 1e-12);
    // One point can't tell two parameters apart: nothing moves.
    EXPECT_EQ(parameters_without(read, 0, jacobian, apart, from, both), from);
}

}  // namespace
}  // namespace lielow
