// SPDX-License-Identifier: Apache-2.0
// The level that steady rain holds up, and the incomplete factors that find it.
#include <gtest/gtest.h>
#include <omp.h>

#include <Eigen/Dense>
#include <cmath>
#include <limits>

#include "sim/water_table.hpp"
#include "sim/water_table_ilu.hpp"
#include "tests/support/convergence.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

constexpr double day = 86400;
constexpr float none = std::numeric_limits<float>::quiet_NaN();

Soil even_soil(const Grid& grid, double conductivity_m_day, double porosity, double floor_depth) {
    Soil soil;
    soil.conductivity_m_s = Field<float>(grid.rows, grid.cols, static_cast<float>(conductivity_m_day / day));
    soil.drainable_porosity = Field<float>(grid.rows, grid.cols, static_cast<float>(porosity));
    soil.floor_depth_m = Field<float>(grid.rows, grid.cols, static_cast<float>(floor_depth));
    return soil;
}

/// Level ground, an open ditch at each end.
WaterTable between_ditches(int cols, double spacing, double conductivity_m_day, double floor_depth,
                           double ditch_depth) {
    const Grid grid{1, cols, spacing / (cols - 1), 1.0};
    GroundDrains drains;
    drains.ditch_depth_m = Field<float>(1, cols, none);
    drains.ditch_depth_m[0] = drains.ditch_depth_m[static_cast<std::size_t>(cols) - 1] =
        static_cast<float>(ditch_depth);
    return {grid, Field<float>(1, cols, 0.0F), even_soil(grid, conductivity_m_day, 0.06, floor_depth),
            drains};
}

// The ellipse of Dupuit 1863 and Forchheimer 1886 between ditches whose water stands h0 above the layer:
// h² = h0² + R/K x (L − x). On a level floor the scheme has it exactly.
TEST(SettledTable, DupuitsEllipse) {
    const double length = 30, k = 0.5, rain = 0.004;
    for (const double ditch_m : {0.0, 0.5}) {
        WaterTable table = between_ditches(31, length, k, 3.0, 3.0 - ditch_m);
        const WaterTableSettled report = table.settle(rain / day);
        ASSERT_TRUE(report.settled);
        EXPECT_LT(report.imbalance_m_s, 1e-6 * rain / day);
        double worst = 0;
        for (int i = 1; i < 30; ++i) {
            const double exact = std::sqrt(ditch_m * ditch_m + rain / k * i * (length - i));
            worst = std::max(worst, std::abs(table.thickness_m()[static_cast<std::size_t>(i)] - exact));
        }
        std::printf("ellipse over %.1f m: off by %.1e m, %d Newton steps\n", ditch_m, worst,
                    report.newton_steps);
        EXPECT_LT(worst, 1e-6);
    }
}

/// Steady thickness x metres below the divide of a sloping floor, K s (S − s') = R x, with s = s_end at the
/// lower end; Runge-Kutta up the slope, in which direction the equation forgets its start.
double on_slope(double x, double length, double slope, double rain_over_k, double s_end) {
    const int steps = 20000;
    const double dx = (x - length) / steps;
    const auto rate = [&](double at, double s) { return slope - rain_over_k * at / s; };
    double s = s_end;
    double at = length;
    for (int i = 0; i < steps; ++i, at += dx) {
        const double a = rate(at, s);
        const double b = rate(at + dx / 2, s + dx / 2 * a);
        const double c = rate(at + dx / 2, s + dx / 2 * b);
        const double d = rate(at + dx, s + dx * c);
        s += dx / 6 * (a + 2 * b + 2 * c + d);
    }
    return s;
}

double slope_error(int cols) {
    const double length = 200, slope = 0.05, k = 2.0, rain = 0.0005, s_end = 0.4;
    const double dx = length / cols;
    const Grid grid{1, cols, dx, 1.0};
    Field<float> z(1, cols);
    for (int i = 0; i < cols; ++i) z(0, i) = static_cast<float>(20 - slope * dx * (i + 0.5));
    GroundDrains drains;
    drains.ditch_depth_m = Field<float>(1, cols, none);
    drains.ditch_depth_m[static_cast<std::size_t>(cols) - 1] = static_cast<float>(3.0 - s_end);
    WaterTable table(grid, z, even_soil(grid, k, 0.06, 3.0), drains);
    EXPECT_TRUE(table.settle(rain / day).settled);
    double worst = 0;
    for (int i = cols / 4; i < cols - 1; i += cols / 16) {
        const double exact = on_slope(dx * (i + 0.5), length - dx / 2, slope, rain / k, s_end);
        worst = std::max(worst, std::abs(table.thickness_m()[static_cast<std::size_t>(i)] - exact));
    }
    return worst;
}

// Recharge over a sloping floor, the steady case of Henderson & Wooding 1964 (J. Geophys. Res. 69:1531-1540)
// and Schmid & Luthin 1964 (J. Geophys. Res. 69:1525-1529). On a steep floor the flow takes the thickness
// upstream, half a cell away: first order, off by less than half a cell's change of thickness, which is
// steepest at the lower end, S − R L/(K s) = −0.075.
TEST(SettledTable, SlopingFloor) {
    ConvergenceStudy study{"steady rain over a floor of 5 %", {}, {}};
    for (const int cols : {50, 100, 200, 400}) {
        study.add(200.0 / cols, slope_error(cols));
        EXPECT_LT(study.error.back(), study.cell.back() / 2 * 0.075);
    }
    study.print();
    EXPECT_GT(study.last_order(), 0.9);
}

// Too shallow for its ellipse: full in the middle, s² = T² − (a − x)² R/K with a = T √(K/R) beside the
// ditches, the obstacle problem in s².
TEST(SettledTable, FullGroundIsAComplementarity) {
    const double length = 40, thick = 1.0, k = 0.5, rain = 0.007;
    const int n = 160;
    WaterTable table = between_ditches(n + 1, length, k, thick, thick);
    ASSERT_TRUE(table.settle(rain / day).settled);
    const double dx = length / n;
    const double a = thick * std::sqrt(k / rain);
    double worst = 0;
    for (int i = 1; i < n; ++i) {
        const double x = std::min(i * dx, length - i * dx);
        const double exact = x < a ? std::sqrt(thick * thick - (a - x) * (a - x) * rain / k) : thick;
        worst = std::max(worst, std::abs(table.thickness_m()[static_cast<std::size_t>(i)] - exact));
    }
    std::printf("full in the middle: off by %.1e m\n", worst);
    EXPECT_LT(worst, dx * dx * rain / k);
}

// Plants: on ground without a way out the table stands where they draw what comes; between ditches over deep
// ground, where level changes are small against the depth, T h'' = E/reach (h − h*), a cosh.
TEST(SettledTable, PlantsHoldItDown) {
    const RootUptake plants{0.002 / day, 1.2};
    const Grid grid{2, 3, 5.0, 5.0};
    WaterTable closed(grid, Field<float>(2, 3, 7.0F), even_soil(grid, 1.0, 0.05, 2.0));
    ASSERT_TRUE(closed.settle(0.0005 / day, plants).settled);
    const Field<float> depths = closed.table_depth();
    for (const float depth : depths.all()) EXPECT_NEAR(depth, 1.2 * (1 - 0.25), 1e-5);

    const double length = 100, k = 0.01, deep = 400;
    const int n = 200;
    WaterTable table = between_ditches(n + 1, length, k, deep, 1.1);
    ASSERT_TRUE(table.settle(0.0005 / day, plants).settled);
    const double root = std::sqrt(0.002 / 1.2 / (k * (deep - 1)));
    double worst = 0;
    for (int i = 1; i < n; ++i) {
        const double bend = std::cosh(root * (i * length / n - length / 2)) / std::cosh(root * length / 2);
        const double exact = deep - 0.9 + (0.9 - 1.1) * bend;
        worst = std::max(worst, std::abs(table.thickness_m()[static_cast<std::size_t>(i)] - exact));
    }
    std::printf("plants between ditches: off by %.1e m of 0.2 m\n", worst);
    EXPECT_LT(worst, 1e-4);
}

WaterTable rough_table(double start_depth_m) {
    const Grid grid{40, 50, 3.0, 2.0};
    Soil soil = even_soil(grid, 1.0, 0.05, 1.5);
    for (std::size_t i = 0; i < grid.cells(); ++i) {
        soil.conductivity_m_s[i] *= i % 3 == 0 ? 30.0F : 0.3F;
        soil.floor_depth_m[i] *= i % 7 == 0 ? 0.2F : 1.0F;
    }
    WaterTable table(grid, test::fractal(40, 50, 7), soil);
    table.start(Field<float>(40, 50, static_cast<float>(start_depth_m)));
    return table;
}

TEST(SettledTable, DoesNotDependOnWhereItSetsOutAndTimeStepsStayThere) {
    WaterTable from_full = rough_table(0);
    WaterTable from_half = rough_table(0.75);
    ASSERT_TRUE(from_full.settle(0.001 / day).settled);
    ASSERT_TRUE(from_half.settle(0.001 / day).settled);
    const std::vector<double> settled(from_full.thickness_m().begin(), from_full.thickness_m().end());
    for (std::size_t i = 0; i < settled.size(); ++i)
        EXPECT_NEAR(settled[i], from_half.thickness_m()[i], 1e-6);
    const std::vector<double> rain(settled.size(), 0.001 / day);
    for (int i = 0; i < 5; ++i) ASSERT_TRUE(from_full.step(day, rain, 1.0).taken);
    for (std::size_t i = 0; i < settled.size(); ++i)
        EXPECT_NEAR(settled[i], from_full.thickness_m()[i], 1e-6);
}

TEST(SettledTable, SameBitsForAnyNumberOfThreads) {
    const auto settled = [](int threads) {
        const int before = omp_get_max_threads();
        omp_set_num_threads(threads);
        WaterTable table = rough_table(0);
        EXPECT_TRUE(table.settle(0.001 / day, {0.002 / day, 1.0}).settled);
        omp_set_num_threads(before);
        return std::vector<double>(table.thickness_m().begin(), table.thickness_m().end());
    };
    EXPECT_EQ(settled(1), settled(3));
}

// What defines ILU(0): the product of the factors is the matrix wherever the matrix has an entry.
TEST(FivePointIlu, TheFactorsGiveTheMatrixBackOnItsOwnPattern) {
    const int side = 4;
    const int n = side * side;
    Eigen::SparseMatrix<double, Eigen::RowMajor, std::int32_t> matrix(n, n);
    for (int i = 0; i < n; ++i) {
        for (const int j : {i - side, i - 1, i, i + 1, i + side}) {
            const bool near = j >= 0 && j < n && (std::abs(j - i) != 1 || i / side == j / side);
            if (near) matrix.insert(i, j) = i == j ? 5.0 + 0.1 * i : -1.0 - 0.05 * j;
        }
    }
    matrix.makeCompressed();
    FivePointIlu ilu;
    ilu.compute(matrix);
    Eigen::MatrixXd inverse(n, n);
    for (int j = 0; j < n; ++j) inverse.col(j) = ilu.solve(Eigen::VectorXd::Unit(n, j));
    const Eigen::MatrixXd product = inverse.inverse();
    double beyond = 0;
    for (int i = 0; i < n; ++i) {
        for (int j = 0; j < n; ++j) {
            const double entry = matrix.coeff(i, j);
            if (entry != 0) {
                EXPECT_NEAR(product(i, j), entry, 1e-11) << i << " " << j;
            } else {
                beyond = std::max(beyond, std::abs(product(i, j)));
            }
        }
    }
    EXPECT_GT(beyond, 0.1) << "incomplete, all the same";
}

}  // namespace
}  // namespace lielow
