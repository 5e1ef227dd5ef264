// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "sim/holes.hpp"
#include "tests/support/grids.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

using test::kNaN;

Ground ground_of(const Grid& grid, Field<float> z) {
    Ground ground{grid, std::move(z), Field<std::uint8_t>(grid.rows, grid.cols, 1)};
    for (std::size_t cell = 0; cell < grid.cells(); ++cell)
        ground.known[cell] = std::isnan(ground.z[cell]) ? 0 : 1;
    return ground;
}

void cut(Field<float>& z, std::int32_t row, std::int32_t col, std::int32_t rows, std::int32_t cols) {
    for (std::int32_t r = row; r < row + rows; ++r) {
        for (std::int32_t c = col; c < col + cols; ++c) z(r, c) = kNaN;
    }
}

TEST(Holes, CountsWhatIsBridgedOpenAndOutside) {
    Field<float> z(30, 30, 1.0F);
    cut(z, 0, 0, 3, 4);    // outside: reaches the edge
    cut(z, 10, 27, 2, 3);  // outside too
    cut(z, 5, 5, 2, 3);    // small
    cut(z, 7, 8, 1, 1);    // touches it only at a corner: a hole of its own
    cut(z, 15, 5, 5, 5);   // large
    Ground ground = ground_of({30, 30}, std::move(z));
    const HoleReport report = bridge_small_holes(ground, 6);
    EXPECT_EQ(report.bridged_holes, 2U);
    EXPECT_EQ(report.bridged_cells, 7U);
    EXPECT_EQ(report.open_holes, 1U);
    EXPECT_EQ(report.open_cells, 25U);
    EXPECT_EQ(report.outside_cells, 18U);
    EXPECT_EQ(ground.z(5, 5), 1.0F);
    EXPECT_EQ(ground.z(7, 8), 1.0F);
    EXPECT_EQ(ground.known(5, 5), 0) << "bridged ground is still not known";
    EXPECT_TRUE(std::isnan(ground.z(17, 7)));
    EXPECT_TRUE(std::isnan(ground.z(0, 0)));
}

TEST(Holes, RingsSpiralsAndArmsAreOneHole) {
    Field<float> z(40, 40, 2.0F);
    cut(z, 5, 5, 1, 20);  // a U lying on its back, joined only by its last row
    cut(z, 5, 5, 10, 1);
    cut(z, 5, 24, 10, 1);
    cut(z, 25, 10, 10, 1);
    cut(z, 25, 20, 10, 1);
    cut(z, 34, 10, 1, 11);
    Ground ground = ground_of({40, 40}, std::move(z));
    const HoleReport report = bridge_small_holes(ground, 100);
    EXPECT_EQ(report.bridged_holes, 2U);
    EXPECT_EQ(report.bridged_cells, 38U + 29U);
    EXPECT_EQ(report.open_cells + report.outside_cells, 0U);
}

TEST(Holes, NothingToDoAndNothingAtAll) {
    Ground whole = ground_of({5, 6}, Field<float>(5, 6, 1.0F));
    EXPECT_EQ(bridge_small_holes(whole, 9).bridged_holes, 0U);
    Ground none = ground_of({5, 6}, Field<float>(5, 6, kNaN));
    EXPECT_EQ(bridge_small_holes(none, 100).outside_cells, 30U);
}

// x² − y² solves Laplace's equation, and its five-point form exactly on cells of any shape, so the bridge
// must give the ground back to float rounding (2⁻²⁴ of 400 m is 2.4e-5 m). Far above the datum, to see that
// no digits are lost.
TEST(Holes, BridgeIsExactForASaddle) {
    const Grid grid{40, 50, 2.0, 5.0};
    const auto saddle = [](double x, double y) {
        return 400.0 + 0.1 * x + 0.002 * ((x - 50) * (x - 50) - (y - 100) * (y - 100));
    };
    const Field<float> truth = test::from_function(grid, saddle);
    Field<float> z = truth.clone();
    cut(z, 10, 12, 14, 17);
    cut(z, 24, 20, 3, 3);
    cut(z, 30, 40, 1, 6);
    Ground ground = ground_of(grid, std::move(z));
    EXPECT_EQ(bridge_small_holes(ground, 1000).bridged_holes, 2U);
    for (std::size_t cell = 0; cell < grid.cells(); ++cell) ASSERT_NEAR(ground.z[cell], truth[cell], 4e-5);
}

// A harmonic function takes its greatest and least values on the rim: no new hills, no new pits.
TEST(Holes, BridgeStaysBetweenItsRimsValues) {
    Field<float> z = test::noise(30, 30, 4, 10.0F);
    cut(z, 8, 8, 12, 12);
    Ground ground = ground_of({30, 30}, std::move(z));
    bridge_small_holes(ground, 500);
    float low = 100;
    float high = -100;
    for (std::int32_t k = 8; k < 20; ++k) {
        for (const float rim : {ground.z(7, k), ground.z(20, k), ground.z(k, 7), ground.z(k, 20)}) {
            low = std::min(low, rim);
            high = std::max(high, rim);
        }
    }
    for (std::int32_t r = 8; r < 20; ++r) {
        for (std::int32_t c = 8; c < 20; ++c) {
            ASSERT_GT(ground.z(r, c), low);
            ASSERT_LT(ground.z(r, c), high);
        }
    }
}

}  // namespace
}  // namespace lielow
