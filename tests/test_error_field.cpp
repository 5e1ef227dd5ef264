// SPDX-License-Identifier: Apache-2.0
// The random errors of a DEM against the covariance they shall have, and the numbers they are made of.
#include "sim/error_field.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <cmath>
#include <cstring>

#include "sim/random_numbers.hpp"

namespace lielow {
namespace {

/// Mean product of values (rows, cols) apart.
double mean_product(const Field<float>& z, std::int32_t rows, std::int32_t cols) {
    double sum = 0;
    for (std::int32_t r = 0; r + rows < z.rows(); ++r) {
        for (std::int32_t c = 0; c + cols < z.cols(); ++c)
            sum += static_cast<double>(z(r, c)) * static_cast<double>(z(r + rows, c + cols));
    }
    return sum / (static_cast<double>(z.rows() - rows) * static_cast<double>(z.cols() - cols));
}

bool same_bits(const Field<float>& a, const Field<float>& b) {
    return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(float)) == 0;
}

TEST(AverageWeights, HaveTheGaussianCorrelation) {
    const double length = 20;
    const double step = 2;
    const auto weights = average_weights(length, step);
    EXPECT_NEAR(average_correlation(weights, 0), 1, 1e-12);
    for (std::size_t lag = 1; lag < 15; ++lag) {
        const double d = static_cast<double>(lag) * step / length;
        // What is cut off beyond two lengths weighs exp(-8) of the middle.
        EXPECT_NEAR(average_correlation(weights, lag), std::exp(-d * d), 5e-4) << lag;
    }
    EXPECT_EQ(average_weights(0, step), std::vector<double>{1});
}

/// Over 60 draws the mean products must lie within 4 of their own standard errors of the exact covariance,
/// along either axis and across; cells are no squares.
TEST(ErrorField, VarianceAndCorrelogramAreThoseAskedFor) {
    const Grid grid{120, 150, 2, 3};
    const double spread = 0.1;
    const double length = 12;
    const int draws = 60;
    std::vector<Field<float>> errors;
    for (int i = 0; i < draws; ++i)
        errors.push_back(draw_error(grid, {spread, length, static_cast<std::uint64_t>(i)}));
    for (const auto& [rows, cols] :
         {std::pair{0, 0}, {0, 1}, {0, 4}, {0, 6}, {2, 0}, {4, 0}, {2, 3}, {0, 30}}) {
        double sum = 0;
        double squares = 0;
        for (const Field<float>& error : errors) {
            const double product = mean_product(error, rows, cols) / (spread * spread);
            sum += product;
            squares += product * product;
        }
        const double mean = sum / draws;
        const double standard_error = std::sqrt((squares / draws - mean * mean) / (draws - 1));
        const double d2 = std::pow(rows * grid.dy / length, 2) + std::pow(cols * grid.dx / length, 2);
        EXPECT_NEAR(mean, std::exp(-d2), 4 * standard_error) << rows << ", " << cols;
        EXPECT_LT(standard_error, 0.02);
    }
}

TEST(ErrorField, WithoutLengthCellsHaveNothingInCommon) {
    const Grid grid{300, 300, 2, 2};
    const Field<float> error = draw_error(grid, {1, 0, 7});
    const double standard_error = 1 / 300.0;
    EXPECT_NEAR(mean_product(error, 0, 0), 1, 4 * std::sqrt(2) * standard_error);
    EXPECT_NEAR(mean_product(error, 0, 1), 0, 4 * standard_error);
    EXPECT_NEAR(mean_product(error, 1, 0), 0, 4 * standard_error);
}

TEST(ErrorField, HangsOnTheSeedNotOnTheThreads) {
    const Grid grid{61, 47, 2, 2};
    omp_set_num_threads(1);
    const Field<float> one = draw_error(grid, {0.1, 15, 3});
    omp_set_num_threads(3);
    EXPECT_TRUE(same_bits(one, draw_error(grid, {0.1, 15, 3})));
    EXPECT_FALSE(same_bits(one, draw_error(grid, {0.1, 15, 4})));
    const Field<float> none = draw_error(grid, {0, 15, 3});
    for (const float e : none.all()) EXPECT_EQ(e, 0.0F);
}

/// Quantiles of the NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1 (1.960 and so on, from
/// memory, to all digits by erfc).
TEST(NormalQuantile, InvertsTheDistribution) {
    EXPECT_NEAR(normal_quantile(0.975), 1.959963984540054, 1e-13);
    EXPECT_NEAR(normal_quantile(0.5), 0, 1e-15);
    EXPECT_NEAR(normal_quantile(0.001), -3.090232306167813, 1e-13);
    for (const double p : {1e-15, 1e-9, 0.02, 0.3, 0.6, 0.999})
        EXPECT_NEAR(0.5 * std::erfc(-normal_quantile(p) / std::sqrt(2.0)) / p, 1, 1e-12) << p;
}

TEST(RandomNumbers, BelowIsEvenAndStaysBelow) {
    RandomNumbers numbers({5});
    std::vector<int> count(6);
    for (int i = 0; i < 60000; ++i) ++count.at(numbers.below(6));
    for (const int c : count) EXPECT_NEAR(c, 10000, 4 * std::sqrt(60000 * 5 / 36.0));
}

TEST(LatinHypercube, EveryPartOfEveryDimensionOnce) {
    const int runs = 37;
    const auto points = latin_hypercube(runs, 3, 11);
    ASSERT_EQ(points.size(), 37U);
    for (std::size_t d = 0; d < 3; ++d) {
        std::vector<int> hits(runs);
        for (const auto& point : points)
            ++hits.at(static_cast<std::size_t>(runs * 0.5 * std::erfc(-point[d] / std::sqrt(2.0))));
        for (const int h : hits) EXPECT_EQ(h, 1);
    }
    EXPECT_NE(points[0][0], points[0][1]);
    EXPECT_EQ(points, latin_hypercube(runs, 3, 11));
    EXPECT_NE(points, latin_hypercube(runs, 3, 12));
}

}  // namespace
}  // namespace lielow
