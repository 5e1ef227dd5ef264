// SPDX-License-Identifier: Apache-2.0
// The sky's share against closed forms: crossed strings for long valleys (Hottel's rule) and the uniform
// exchange inside a sphere, both in any text on radiative transfer, such as Howell, Menguc & Siegel, Thermal
// Radiation Heat Transfer.
#include "sim/sky_view.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <cmath>
#include <cstdio>
#include <cstring>
#include <functional>
#include <numeric>

#include "sim/errors.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

Field<float> elevations(const Grid& grid, const std::function<double(double x, double y)>& height) {
    Field<float> z(grid.rows, grid.cols);
    for (int j = 0; j < grid.rows; ++j) {
        for (int i = 0; i < grid.cols; ++i)
            z(j, i) = static_cast<float>(height((i + 0.5) * grid.dx, (j + 0.5) * grid.dy));
    }
    return z;
}

double mean_of(const Field<float>& f) {
    return std::accumulate(f.all().begin(), f.all().end(), 0.0) / static_cast<double>(f.size());
}

TEST(SkyView, LevelGroundSeesItAll) {
    const Grid grid{7, 9, 3, 5};
    const Field<float> flat(7, 9, 120.0F);
    const Field<float> view = sky_view(grid, flat);
    for (const float v : view.all()) EXPECT_FLOAT_EQ(v, 1.0F);
}

TEST(SkyView, SlopeSeesHalfOfOnePlusItsCosine) {
    // A plane that rises to the top, seen from a level lid's side: (1 + cos S)/2.
    const Grid grid{41, 41, 4, 3};
    const double gx = 0.3, gy = -0.2;
    const Field<float> view =
        sky_view(grid, elevations(grid, [&](double x, double y) { return gx * x + gy * y; }), 32);
    const double cosine = 1 / std::sqrt(1 + gx * gx + gy * gy);
    EXPECT_NEAR(view(20, 20), 0.5 * (1 + cosine), 1e-3);
}

/// A valley along y, level floor 40 m wide between walls that rise at once to plateaus.
double canyon(double x, double middle, double depth) {
    return std::abs(x - middle) < 20 ? 0.0 : depth;
}

TEST(SkyView, FloorOfALongValley) {
    // Horizon at β on both sides: cos β, whatever the way round the compass the valley runs.
    const Grid grid{2001, 81, 1, 1};
    for (const double depth : {5.0, 20.0}) {
        const Field<float> view =
            sky_view(grid, elevations(grid, [&](double x, double) { return canyon(x, 40.5, depth); }), 32);
        const double beta = std::atan(depth / 20.5);  // the rim's cell has its centre half a cell out
        std::printf("valley of horizon %.1f deg: %.4f, closed form %.4f\n", beta * 180 / M_PI, view(1000, 40),
                    std::cos(beta));
        EXPECT_NEAR(view(1000, 40), std::cos(beta), 0.01);
    }
}

/// V-shaped valley of slope `rise` between plateaus 100 m apart, by crossed strings from a point on its wall.
double v_valley_exact(double rise, double from_middle) {
    const double beta = std::atan(rise);
    const double half = 50;
    const double rim = rise * half;
    const double towards_rim = std::atan2(rim - rise * from_middle, half + from_middle);
    return 0.5 * (1 + std::sin(M_PI / 2 - towards_rim - beta));
}

TEST(SkyView, WallOfAVShapedValley) {
    // On a wall: own plane on one side, the far rim on the other: (1 + sin θ)/2 with θ the rim's angle from
    // the wall's normal. On long walls that is cos² β.
    const Grid grid{2001, 202, 0.5, 1};
    const double rise = 0.5;
    const Field<float> view = sky_view(
        grid, elevations(grid, [&](double x, double) { return std::min(50.0, std::abs(x - 50.5)) * rise; }),
        32);
    for (const int i : {105, 120, 140, 170}) {
        const double from_middle = (i + 0.5) * 0.5 - 50.5;
        EXPECT_NEAR(view(1000, i), v_valley_exact(rise, from_middle), 0.01) << from_middle;
    }
}

TEST(SkyView, PitWithOneHorizonAllRound) {
    // cos² β.
    const Grid grid{201, 201, 1, 1};
    const double depth = 60;
    const Field<float> view = sky_view(grid, elevations(grid, [&](double x, double y) {
                                           return std::hypot(x - 100.5, y - 100.5) < 80 ? 0.0 : depth;
                                       }));
    const double beta = std::atan(depth / 80.0);
    EXPECT_NEAR(view(100, 100), std::cos(beta) * std::cos(beta), 0.01);
}

/// Mean error of V inside a bowl that is a cap of a sphere, away from its rim.
double bowl_error(double cell, double opening, double* mean_per_map_area) {
    const double radius = 100;
    const double lid = radius * std::sin(opening);
    const double below = radius * std::cos(opening);  // of the lid under the sphere's centre
    const int side = 2 * static_cast<int>(std::ceil(1.2 * lid / cell)) + 1;
    const Grid grid{side, side, cell, cell};
    const double middle = 0.5 * side * cell;
    const auto bowl = [&](double x, double y) {
        const double r = std::hypot(x - middle, y - middle);
        return r < lid ? below - std::sqrt(radius * radius - r * r) : 0.0;
    };
    const Field<float> z = elevations(grid, bowl);
    const Field<float> view = sky_view(grid, z);
    const Field<float> per_map_area = sky_view_per_map_area(grid, z);
    double error = 0, sum = 0;
    int inside = 0, cells = 0;
    for (int j = 0; j < side; ++j) {
        for (int i = 0; i < side; ++i) {
            const double r = std::hypot((i + 0.5) * cell - middle, (j + 0.5) * cell - middle);
            if (r < lid) sum += static_cast<double>(per_map_area(j, i)), ++cells;
            if (r > 0.8 * lid) continue;
            error += std::abs(static_cast<double>(view(j, i)) - 0.5 * (1 + std::cos(opening)));
            ++inside;
        }
    }
    *mean_per_map_area = sum / cells;
    return error / inside;
}

TEST(SkyView, SphericalBowlsSeeTheSameFromEverywhere) {
    // Inside a sphere every surface sends the same to every other: V = 1 − (cap's area)/(4 π R²), (1 + cos
    // θ)/2 with the lid's rim at θ from the axis; for half a sphere 1/2. And V/cos S has the mean 1 under the
    // lid.
    for (const double opening : {M_PI / 6, M_PI / 3, M_PI / 2}) {
        double coarse_mean = 0, fine_mean = 0;
        const double coarse = bowl_error(4, opening, &coarse_mean);
        const double fine = bowl_error(1, opening, &fine_mean);
        std::printf(
            "bowl of half angle %.0f deg, V %.4f: mean error %.4f at 4 m, %.4f at 1 m; under the lid "
            "%.4f and %.4f\n",
            opening * 180 / M_PI, 0.5 * (1 + std::cos(opening)), coarse, fine, coarse_mean, fine_mean);
        EXPECT_LT(fine, 0.01);
        EXPECT_LT(fine, 0.5 * coarse);
        EXPECT_LT(std::abs(fine_mean - 1),
                  0.6 * std::abs(coarse_mean - 1));  // the rim of half a sphere is a cliff
        const double bound = opening < 1.5 ? 0.005 : 0.05;
        EXPECT_NEAR(fine_mean, 1.0, bound);
    }
}

TEST(SkyView, HorizonIsTheHighestAngleAlongTheLine) {
    // Against a search over every cell along rows and columns, on rough ground.
    const Grid grid{60, 70, 2, 3};
    const Field<float> z = test::noise(60, 70, 7);
    const Field<float> view = sky_view_per_map_area(grid, z, 4);
    const auto rise = [&](int j, int i, int dj, int di) {
        double most = 0;
        for (int n = 1; grid.contains(j + n * dj, i + n * di); ++n) {
            const double way = n * (di != 0 ? grid.dx : grid.dy);
            most = std::max(most, static_cast<double>(z(j + n * dj, i + n * di) - z(j, i)) / way);
        }
        return most;
    };
    for (int j = 1; j < 59; ++j) {
        for (int i = 1; i < 69; ++i) {
            double sum = 0;
            for (const auto& [dj, di] : {std::pair{0, 1}, {0, -1}, {1, 0}, {-1, 0}}) {
                const double g = static_cast<double>(z(j + dj, i + di) - z(j - dj, i - di)) /
                                 (2 * (di != 0 ? grid.dx : grid.dy));
                const double t = std::max(g, rise(j, i, dj, di));
                sum += 1 / (1 + t * t) - g * (M_PI / 2 - std::atan(t) - t / (1 + t * t));
            }
            ASSERT_NEAR(view(j, i), sum / 4, 2e-5) << j << ", " << i;
        }
    }
}

TEST(SkyView, UnknownGroundIsLeftOut) {
    const Grid grid{21, 21, 1, 1};
    Field<float> z(21, 21, 50.0F);
    z(10, 12) = NAN;
    const Field<float> view = sky_view(grid, z);
    EXPECT_TRUE(std::isnan(view(10, 12)));
    EXPECT_FLOAT_EQ(view(10, 11), 1.0F);
    EXPECT_NEAR(mean_of(sky_view(grid, Field<float>(21, 21, 1.0F))), 1.0, 1e-6);
}

TEST(SkyView, TurnsAndMirrorsWithTheGround) {
    // Quarter turns and mirrors leave the set of directions as it is. Sums run in another order, hence not to
    // the bit.
    const Grid grid{40, 40, 2, 2};
    const Field<float> z = test::fractal(40, 40, 3);
    Field<float> turned(40, 40);
    Field<float> mirrored(40, 40);
    for (int j = 0; j < 40; ++j) {
        for (int i = 0; i < 40; ++i) turned(i, 39 - j) = mirrored(j, 39 - i) = z(j, i);
    }
    const Field<float> here = sky_view(grid, z);
    const Field<float> there = sky_view(grid, turned);
    const Field<float> across = sky_view(grid, mirrored);
    for (int j = 0; j < 40; ++j) {
        for (int i = 0; i < 40; ++i) {
            EXPECT_NEAR(here(j, i), there(i, 39 - j), 1e-6);
            EXPECT_NEAR(here(j, i), across(j, 39 - i), 1e-6);
        }
    }
}

TEST(SkyView, SameBitsForAnyNumberOfThreads) {
    const Grid grid{150, 170, 2, 3};
    const Field<float> z = test::fractal(150, 170, 5);
    const int before = omp_get_max_threads();
    omp_set_num_threads(1);
    const Field<float> one = sky_view(grid, z);
    omp_set_num_threads(3);
    const Field<float> three = sky_view(grid, z);
    omp_set_num_threads(before);
    EXPECT_EQ(std::memcmp(one.data(), three.data(), one.size() * sizeof(float)), 0);
}

TEST(SkyView, RefusesOddDirectionsAndOtherShapes) {
    const Field<float> z(4, 4, 1.0F);
    EXPECT_THROW(sky_view({4, 4}, z, 7), InputError);
    EXPECT_THROW(sky_view({4, 4}, z, 2), InputError);
    EXPECT_THROW(sky_view({4, 5}, z), InputError);
}

}  // namespace
}  // namespace lielow
