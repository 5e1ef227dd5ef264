// SPDX-License-Identifier: Apache-2.0
// Upwind horizons against geometry, and the share of the wind they leave.
#include "sim/wind_shelter.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <cmath>
#include <cstring>
#include <functional>
#include <numbers>

#include "sim/errors.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

constexpr double degree = std::numbers::pi / 180;

Field<float> elevations(const Grid& grid, const std::function<double(double x, double y)>& height) {
    Field<float> z(grid.rows, grid.cols);
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = 0; i < grid.cols; ++i)
            z(j, i) = static_cast<float>(height((i + 0.5) * grid.dx, (j + 0.5) * grid.dy));
    }
    return z;
}

/// Mean over the fan of seven of the slope to a straight wall `away` in front, `rise` high.
double wall_slope(double rise, double away, double off) {
    double total = 0;
    for (int k = -3; k <= 3; ++k) total += rise / away * std::cos(off + k * 5 * degree) / 7;
    return total;
}

TEST(UpwindSlope, BehindALongWall) {
    // Along a line at the angle φ to the wall's normal it stands at away/cos φ.
    const Grid grid{401, 201, 2, 2};
    const Field<float> z = elevations(grid, [](double x, double) { return x < 100 ? 10.0 : 0.0; });
    const int col = 100;                       // 201 m
    const double away = (col + 0.5) * 2 - 99;  // to the wall's last cell
    const Field<float> west = upwind_slope(grid, z, 270 * degree);
    EXPECT_NEAR(west(200, col), wall_slope(10, away, 0), 1e-3);
    EXPECT_NEAR(upwind_slope(grid, z, 240 * degree)(200, col), wall_slope(10, away, 30 * degree), 1e-3);
    EXPECT_EQ(upwind_slope(grid, z, 90 * degree)(200, col), 0.0F);  // nothing upwind
    EXPECT_EQ(west(200, 10), 0.0F);                                 // on top
}

TEST(UpwindSlope, EachQuarterOfTheCompass) {
    // One peak; only the cells downwind of it see it.
    const Grid grid{61, 61, 5, 5};
    const Field<float> z = elevations(
        grid, [](double x, double y) { return std::max(0.0, 20 - 0.5 * std::hypot(x - 152.5, y - 152.5)); });
    const struct {
        double from;
        int row, col;
    } lee[] = {{0, 50, 30}, {90, 30, 10}, {180, 10, 30}, {270, 30, 50}};
    for (const auto& here : lee) {
        const Field<float> slope = upwind_slope(grid, z, here.from * degree);
        for (const auto& there : lee) {
            const float value = slope(there.row, there.col);
            if (there.from == here.from) {
                EXPECT_GT(value, 0.1F) << here.from;
            } else {
                EXPECT_EQ(value, 0.0F) << here.from << ", " << there.from;
            }
        }
    }
}

TEST(UpwindSlope, UnknownGroundAndThreads) {
    const Grid grid{90, 70, 2, 3};
    Field<float> z = test::fractal(90, 70, 5);
    z(20, 30) = NAN;
    omp_set_num_threads(1);
    const Field<float> one = upwind_slope(grid, z, 1.1);
    omp_set_num_threads(4);
    const Field<float> four = upwind_slope(grid, z, 1.1);
    EXPECT_EQ(std::memcmp(one.data(), four.data(), one.size() * sizeof(float)), 0);
    EXPECT_TRUE(std::isnan(one(20, 30)));
    EXPECT_FALSE(std::isnan(one(20, 31)));
    EXPECT_THROW(upwind_slope({3, 3, 1, 1}, z, 0), InputError);
}

TEST(WindShare, RyansFactor) {
    // 1 − arctan(0.17 φ)/100, φ in per cent and the angle in degrees (Ryan 1977, from memory).
    EXPECT_DOUBLE_EQ(sheltered_share(0), 1.0);
    EXPECT_NEAR(sheltered_share(0.05), 1 - 0.4036, 1e-4);
    EXPECT_NEAR(sheltered_share(0.10), 1 - 0.5953, 1e-4);
    EXPECT_NEAR(sheltered_share(1e9), 0.1, 1e-6);
}

TEST(WindShare, OpenGroundHasItAllHollowsLess) {
    const Grid grid{41, 41, 10, 10};
    const Field<float> z =
        elevations(grid, [](double x, double y) { return std::hypot(x - 205, y - 205) < 80 ? 0.0 : 12.0; });
    for (const double from : {0.0, 100 * degree, std::numeric_limits<double>::quiet_NaN()}) {
        const Field<float> share = wind_share(grid, z, from);
        EXPECT_EQ(share(2, 2), 1.0F);
        EXPECT_NEAR(share(20, 20), sheltered_share(12 / 80.0), 0.03);
    }
    // Where the direction isn't known a cell by a wall has the mean of shelter and openness.
    const Field<float> step = elevations(grid, [](double x, double) { return x < 200 ? 10.0 : 0.0; });
    const float all = wind_share(grid, step, std::numeric_limits<double>::quiet_NaN())(20, 24);
    EXPECT_GT(all, wind_share(grid, step, 270 * degree)(20, 24) + 0.1F);
    EXPECT_LT(all, 0.9F);
}

}  // namespace
}  // namespace lielow
