// SPDX-License-Identifier: Apache-2.0
#include "sim/least_squares.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

#include "sim/errors.hpp"
#include "sim/logger_fit.hpp"
#include "sim/random_numbers.hpp"

namespace lielow {
namespace {

constexpr std::array<double, 14> misra_y{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02,
                                         44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78};
constexpr std::array<double, 14> misra_x{77.6,  114.9, 141.1, 190.8, 239.9, 289.0, 332.8,
                                         378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0};

TEST(LeastSquares, CertifiedValuesOfMisra1a) {
    // NIST Statistical Reference Datasets, Misra1a: y = b1 (1 - exp(-b2 x)), certified b1 238.94212918
    // (standard deviation 2.7070075241), b2 5.5015643181e-4 (7.2668688436e-6), residual standard deviation
    // 0.10187876330; from memory, and the same by SciPy 1.10.1. Here b1 is sought in 100..400, b2 in
    // 1e-4..1e-3.
    const Residuals residuals = [](std::span<const double> p) {
        const double b1 = 100 + 300 * p[0];
        const double b2 = 1e-4 + 9e-4 * p[1];
        std::vector<double> left;
        for (std::size_t i = 0; i < misra_x.size(); ++i)
            left.push_back(b1 * (1 - std::exp(-b2 * misra_x[i])) - misra_y[i]);
        return left;
    };
    FitOptions options;
    options.step = 1e-6;
    options.tolerance = 1e-12;
    options.most_calls = 500;
    const Fit fit = fit_least_squares(residuals, std::vector<double>{0.9, 0.1}, options);
    EXPECT_TRUE(fit.settled);
    EXPECT_NEAR(100 + 300 * fit.parameters[0], 238.94212918, 2e-4);
    EXPECT_NEAR(1e-4 + 9e-4 * fit.parameters[1], 5.5015643181e-4, 5e-10);
    EXPECT_NEAR(300 * fit.standard_errors[0], 2.7070075241, 2e-3);
    EXPECT_NEAR(9e-4 * fit.standard_errors[1], 7.2668688436e-6, 5e-9);
    EXPECT_NEAR(fit.root_mean_square * std::sqrt(14.0 / 12.0), 0.10187876330, 1e-7);
    EXPECT_NEAR(fit.correlations(0, 1), -0.998776, 1e-5);  // SciPy
}

TEST(LeastSquares, StandardErrorsCoverTheTruth) {
    // Twins: y = sin(5 a x) + b with noise of 0.1; a fit's error over its standard error is a standard normal
    // number.
    double sum_of_squares = 0;
    constexpr int twins = 200;
    for (int twin = 0; twin < twins; ++twin) {
        RandomNumbers numbers({static_cast<std::uint64_t>(twin)});
        std::vector<double> y;
        for (int i = 0; i < 40; ++i) y.push_back(std::sin(5 * 0.4 * i / 40.0) + 0.7 + 0.1 * numbers.normal());
        const Residuals residuals = [&](std::span<const double> p) {
            std::vector<double> left;
            for (std::size_t i = 0; i < y.size(); ++i)
                left.push_back(std::sin(5 * p[0] * static_cast<double>(i) / 40.0) + p[1] - y[i]);
            return left;
        };
        const Fit fit = fit_least_squares(residuals, std::vector<double>{0.5, 0.5}, {});
        sum_of_squares += std::pow((fit.parameters[0] - 0.4) / fit.standard_errors[0], 2);
    }
    EXPECT_NEAR(sum_of_squares / twins, 1,
                4 * std::sqrt(2.0 / twins));  // four standard deviations of that mean
}

TEST(LeastSquares, WhatTheMeasurementsDoNotTellHasNoStandardError) {
    const Residuals residuals = [](std::span<const double> p) {
        return std::vector<double>{p[0] - 0.3, p[0] - 0.31, p[0] - 0.29, 0 * p[1]};
    };
    const Fit fit = fit_least_squares(residuals, std::vector<double>{0.5, 0.5}, {});
    EXPECT_NEAR(fit.parameters[0], 0.3, 1e-4);
    EXPECT_GT(fit.standard_errors[0], 0);
    EXPECT_TRUE(std::isnan(fit.standard_errors[1]));
}

TEST(LeastSquares, BestBeyondTheRangeEndsOnItsBound) {
    const Residuals residuals = [](std::span<const double> p) {
        return std::vector<double>{p[0] - 1.5, p[0] - 1.6, p[1] - 0.5, p[1] - 0.4};
    };
    const Fit fit = fit_least_squares(residuals, std::vector<double>{0.2, 0.2}, {});
    EXPECT_GT(fit.parameters[0], 0.998);
    EXPECT_LE(fit.parameters[0], 1);
    EXPECT_TRUE(std::isnan(fit.standard_errors[0]));
    EXPECT_NEAR(fit.parameters[1], 0.45, 1e-3);
}

TEST(LeastSquares, CallsAreCountedAndBounded) {
    int calls = 0;
    const Residuals residuals = [&](std::span<const double> p) {
        ++calls;
        return std::vector<double>{10 * (p[1] - p[0] * p[0]), 1 - p[0], 0.1};
    };
    FitOptions options;
    options.most_calls = 5;
    const Fit fit = fit_least_squares(residuals, std::vector<double>{0.1, 0.9}, options);
    EXPECT_FALSE(fit.settled);
    EXPECT_EQ(fit.calls, calls);
    EXPECT_LE(calls, 5 + (4 + 1) + 4);  // the derivatives and the step under way, and the standard errors'
}

TEST(LeastSquares, TooFewMeasurementsAreRefused) {
    const Residuals residuals = [](std::span<const double> p) { return std::vector<double>{p[0], p[1]}; };
    EXPECT_THROW(fit_least_squares(residuals, std::vector<double>{0.5, 0.5}, {}), InputError);
}

/// Share of 400 made-up records, y = exp(−3 b t) with noise whose neighbours are `correlation` alike, for
/// which the true value lies within 1.96 standard errors, widened for alike neighbours or not.
std::array<double, 2> covered(double correlation) {
    constexpr int records = 400;
    constexpr int readings = 300;
    constexpr double noise = 0.2;
    constexpr double truth = 0.45;
    const auto curve = [](double b, int i) { return std::exp(-3 * b * i / readings); };
    std::array<int, 2> within{};
    for (int record = 0; record < records; ++record) {
        RandomNumbers random({5, static_cast<std::uint64_t>(record)});
        std::vector<double> y;
        double error = noise * random.normal();
        for (int i = 0; i < readings; ++i) {
            y.push_back(curve(truth, i) + error);
            error = correlation * error + noise * std::sqrt(1 - correlation * correlation) * random.normal();
        }
        const Residuals residuals = [&](std::span<const double> p) {
            std::vector<double> left;
            for (int i = 0; i < readings; ++i)
                left.push_back(curve(p[0], i) - y[static_cast<std::size_t>(i)]);
            return left;
        };
        const Fit fit = fit_least_squares(residuals, std::vector<double>{0.7}, {});
        const Observations read{{}, Field<double>(1, readings, 0.0), Field<double>(1, readings, 0.0)};
        const double wider = widening(lag_one_correlation(read, residuals(fit.parameters)));
        const double off = std::abs(fit.parameters[0] - truth) / fit.standard_errors[0];
        within[0] += off < 1.96 ? 1 : 0;
        within[1] += off < 1.96 * wider ? 1 : 0;
    }
    return {static_cast<double>(within[0]) / records, static_cast<double>(within[1]) / records};
}

TEST(LeastSquares, WidenedStandardErrorsHoldTheTruthWhereReadingsAreAlike) {
    // 95 %, of 400 records give or take 4 times sqrt(0.95·0.05/400) = 0.011. Without widening far too sure.
    const auto [plain, widened] = covered(0.7);
    RecordProperty("covered", std::to_string(widened));
    RecordProperty("covered_not_widened", std::to_string(plain));
    EXPECT_LT(plain, 0.75);
    EXPECT_NEAR(widened, 0.95, 0.044);
}

TEST(LeastSquares, StraightLine) {
    // By hand: x 0, 1, 2, 3, y 1, 3, 2, 5: slope 1.1, intercept 1.1, squares left 2.7.
    const StraightLine line = fit_line(std::array<double, 4>{0, 1, 2, 3}, std::array<double, 4>{1, 3, 2, 5});
    EXPECT_NEAR(line.slope, 1.1, 1e-14);
    EXPECT_NEAR(line.intercept, 1.1, 1e-14);
    EXPECT_NEAR(line.root_mean_square, std::sqrt(2.7 / 4), 1e-14);
    EXPECT_EQ(fit_line(std::array<double, 2>{1, 1}, std::array<double, 2>{2, 4}).slope, 0);
}

}  // namespace
}  // namespace lielow
