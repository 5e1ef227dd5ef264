// SPDX-License-Identifier: Apache-2.0
#include "sim/sensitivity.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

/// Ishigami & Homma 1990 (Proc. ISUMA '90, 398-403) with a = 7, b = 0.1, over -π..π.
double ishigami(std::span<const double> unit) {
    const auto x = [&](std::size_t i) { return std::numbers::pi * (2 * unit[i] - 1); };
    return std::sin(x(0)) + 7 * std::pow(std::sin(x(1)), 2) + 0.1 * std::pow(x(2), 4) * std::sin(x(0));
}

template <class Model>
std::vector<double> results_of(const Field<double>& design, Model model) {
    std::vector<double> results;
    for (std::int32_t row = 0; row < design.rows(); ++row) results.push_back(model(design.row(row)));
    return results;
}

TEST(VarianceIndices, IshigamiFunction) {
    // Its variance in closed form: shares 0.3139, 0.4424, 0 alone, and 0.5576, 0.4424, 0.2437 with
    // interactions.
    const double pi4 = std::pow(std::numbers::pi, 4);
    const double alone_1 = 0.5 + 0.1 * pi4 / 5 + 0.01 * pi4 * pi4 / 50;
    const double alone_2 = 49.0 / 8;
    const double with_3 = 8 * 0.01 * pi4 * pi4 / 225;
    const double all = alone_1 + alone_2 + with_3;
    double before = 1;
    for (const int trials : {256, 1024, 4096}) {
        const auto found = variance_indices(results_of(variance_design(3, trials), ishigami), 3);
        double worst = 0;
        const std::array<double, 3> first{alone_1 / all, alone_2 / all, 0};
        const std::array<double, 3> total{(alone_1 + with_3) / all, alone_2 / all, with_3 / all};
        for (std::size_t p = 0; p < 3; ++p) {
            worst = std::max(worst, std::abs(found[p].first - first[p]));
            worst = std::max(worst, std::abs(found[p].total - total[p]));
        }
        RecordProperty("worst_error_of_" + std::to_string(trials), std::to_string(worst));
        EXPECT_LT(worst,
                  before / 2);  // random samples would gain a half for four times the trials; these gain more
        before = worst;
    }
    EXPECT_LT(before, 0.003);
}

TEST(VarianceIndices, AdditiveFunctionHasNoInteractions) {
    const auto found = variance_indices(
        results_of(variance_design(2, 1024), [](std::span<const double> x) { return 3 * x[0] + 4 * x[1]; }),
        2);
    for (const std::size_t p : {0U, 1U}) {
        EXPECT_NEAR(found[p].first, p == 0 ? 0.36 : 0.64, 2e-3);
        EXPECT_NEAR(found[p].total, found[p].first, 4e-3);
    }
}

TEST(VarianceIndices, NothingChangesNothing) {
    const auto found = variance_indices(std::vector<double>(4 * 8, 2.5), 2);
    EXPECT_EQ(found[0].first, 0);
    EXPECT_EQ(found[1].total, 0);
    EXPECT_THROW(variance_indices(std::vector<double>(7, 1.0), 2), InputError);
}

TEST(ElementaryEffects, LinearFunctionGivesItsSlopes) {
    const Field<double> design = morris_design(3, 6, 4, 1);
    const auto found = elementary_effects(design, results_of(design, [](std::span<const double> x) {
                                              return 2 * x[0] - 5 * x[1] + 0 * x[2] + 1;
                                          }));
    const std::array<double, 3> slopes{2, -5, 0};
    for (std::size_t p = 0; p < 3; ++p) {
        EXPECT_NEAR(found[p].mean, slopes[p], 1e-12);
        EXPECT_NEAR(found[p].mean_absolute, std::abs(slopes[p]), 1e-12);
        EXPECT_NEAR(found[p].deviation, 0, 1e-12);
    }
}

TEST(ElementaryEffects, InteractionShowsInTheDeviation) {
    // Of x y the effect of x is y: mean and deviation of the levels 0, 1/3, 2/3, 1 that y stands on: 1/2 and
    // √(5/36).
    const Field<double> design = morris_design(2, 4000, 4, 7);
    const auto found =
        elementary_effects(design, results_of(design, [](std::span<const double> x) { return x[0] * x[1]; }));
    for (const ElementaryEffect& effect : found) {
        EXPECT_NEAR(effect.mean, 0.5, 0.02);
        EXPECT_NEAR(effect.deviation, std::sqrt(5.0 / 36), 0.02);
    }
}

TEST(ElementaryEffects, EachStepMovesOneParameterWithinItsRange) {
    const Field<double> design = morris_design(4, 50, 6, 3);
    for (std::int32_t row = 0; row < design.rows(); ++row) {
        int moved = 0;
        for (std::int32_t p = 0; p < 4; ++p) {
            EXPECT_GE(design(row, p), 0);
            EXPECT_LE(design(row, p), 1 + 1e-12);
            if (row % 5 != 0 && design(row, p) != design(row - 1, p)) ++moved;
        }
        EXPECT_EQ(moved, row % 5 == 0 ? 0 : 1);
    }
    EXPECT_THROW(morris_design(2, 2, 5, 1), InputError);
}

}  // namespace
}  // namespace lielow
