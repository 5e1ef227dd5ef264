// SPDX-License-Identifier: Apache-2.0
#include "sim/designs.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <set>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

TEST(Designs, SobolPointsAreThoseOfAnotherLibrary) {
    // SciPy 1.10.1, scipy.stats.qmc.Sobol(20, scramble=False), points 37 and 100 of 128; this design lies
    // half a step of 1/128 higher.
    constexpr std::array<double, 20> point_37{
        0.921875, 0.640625, 0.578125, 0.921875, 0.765625, 0.296875, 0.171875, 0.796875, 0.609375, 0.171875,
        0.015625, 0.078125, 0.578125, 0.859375, 0.109375, 0.484375, 0.796875, 0.421875, 0.046875, 0.140625};
    constexpr std::array<double, 20> point_100{0.4140625, 0.2578125, 0.7734375, 0.7265625, 0.8828125,
                                               0.7421875, 0.0234375, 0.4765625, 0.6328125, 0.6953125,
                                               0.4609375, 0.6796875, 0.4765625, 0.8515625, 0.3203125,
                                               0.4921875, 0.6796875, 0.7421875, 0.8359375, 0.3359375};
    const Field<double> design = sobol_design(20, 128);
    for (std::int32_t p = 0; p < 20; ++p) {
        EXPECT_EQ(design(37, p), point_37[static_cast<std::size_t>(p)] + 1.0 / 256) << p;
        EXPECT_EQ(design(100, p), point_100[static_cast<std::size_t>(p)] + 1.0 / 256) << p;
    }
}

TEST(Designs, SobolPutsOnePointIntoEveryStratum) {
    const Field<double> design = sobol_design(20, 256);
    for (std::int32_t p = 0; p < 20; ++p) {
        std::set<int> strata;
        for (std::int32_t trial = 0; trial < 256; ++trial) {
            EXPECT_GT(design(trial, p), 0);
            EXPECT_LT(design(trial, p), 1);
            strata.insert(static_cast<int>(design(trial, p) * 256));
        }
        EXPECT_EQ(strata.size(), 256U) << p;
    }
}

TEST(Designs, LatinHypercubePutsOnePointIntoEveryStratum) {
    const Field<double> design = latin_hypercube_design(5, 37, 4);
    const Field<double> again = latin_hypercube_design(5, 37, 4);
    const Field<double> other = latin_hypercube_design(5, 37, 5);
    bool differs = false;
    for (std::int32_t p = 0; p < 5; ++p) {
        std::set<int> strata;
        for (std::int32_t trial = 0; trial < 37; ++trial) {
            strata.insert(static_cast<int>(design(trial, p) * 37));
            EXPECT_EQ(design(trial, p), again(trial, p));
            differs = differs || design(trial, p) != other(trial, p);
        }
        EXPECT_EQ(strata.size(), 37U);
        EXPECT_EQ(*strata.rbegin(), 36);
    }
    EXPECT_TRUE(differs);
}

TEST(Designs, GridHasEveryCombination) {
    const Field<double> design = grid_design(3, 3);
    ASSERT_EQ(design.rows(), 27);
    std::set<std::vector<double>> rows;
    for (std::int32_t row = 0; row < 27; ++row) rows.insert({design(row, 0), design(row, 1), design(row, 2)});
    EXPECT_EQ(rows.size(), 27U);
    EXPECT_EQ(*rows.begin(), (std::vector<double>{0, 0, 0}));
    EXPECT_EQ(*rows.rbegin(), (std::vector<double>{1, 1, 1}));
    EXPECT_EQ(design(1, 2), 0.5);
    EXPECT_EQ(grid_design(2, 1)(0, 1), 0.5);
}

TEST(Designs, RefuseWhatTheyCannotDo) {
    EXPECT_THROW(sobol_design(21, 8), InputError);
    EXPECT_THROW(sobol_design(0, 8), InputError);
    EXPECT_THROW(grid_design(7, 8), InputError);
    EXPECT_THROW(latin_hypercube_design(2, 0, 1), InputError);
}

}  // namespace
}  // namespace lielow
