// SPDX-License-Identifier: Apache-2.0
// Storms on the tree of hollows against water poured parcel by parcel, in an order of its own, on small grids
// without equal heights.
#include <gtest/gtest.h>

#include <cmath>
#include <numeric>
#include <random>

#include "sim/filling_rain.hpp"
#include "sim/storm_fill.hpp"
#include "sim/tie_order.hpp"
#include "tests/support/grids.hpp"
#include "tests/support/parcels.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

using Draw = std::mt19937;

std::vector<std::size_t> shuffled(std::size_t count, Draw& draw) {
    std::vector<std::size_t> order(count);
    std::iota(order.begin(), order.end(), 0);
    for (std::size_t i = count; i > 1; --i) std::swap(order[i - 1], order[draw() % i]);
    return order;
}

/// Every height once; every third ground wavy.
Field<float> small_ground(int number, Draw& draw) {
    Field<float> z(4 + static_cast<std::int32_t>(draw() % 9), 4 + static_cast<std::int32_t>(draw() % 9));
    const auto order = shuffled(z.size(), draw);
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        const auto r = static_cast<double>(cell / static_cast<std::size_t>(z.cols()));
        const auto c = static_cast<double>(cell % static_cast<std::size_t>(z.cols()));
        const double waves = 20 * std::sin(0.9 * r + number) + 20 * std::cos(0.8 * c);
        const double own = 0.7 * static_cast<double>(order[cell]);
        z[cell] = static_cast<float>(number % 3 == 0 ? 0.1 * own + waves : own);
    }
    return z;
}

Field<float> runoff_over(const Field<float>& z, int number, Draw& draw) {
    Field<float> runoff(z.rows(), z.cols(), 0.0F);
    const float depth = (number % 4 == 0 ? 0.75F : 15.0F) * test::unit_draw(draw);
    for (float& value : runoff.all()) {
        if (number % 2 == 0 || draw() % 5 == 0) value = depth * test::unit_draw(draw);
    }
    return runoff;
}

TEST(StormParcels, TreeAndParcelsAgree) {
    Draw draw(7);
    for (int number = 0; number < 1500; ++number) {
        SCOPED_TRACE(number);
        const Field<float> z = small_ground(number, draw);
        const Grid grid = test::grid_over(z, 1.0);
        const Field<float> order = order_ties(z);
        const Catchments catchments = find_catchments(grid, z, order);
        const NestedHollows hollows = nest_hollows(grid, z, catchments, order);
        const Field<float> runoff = runoff_over(z, number, draw);
        const StormPonds ponds = fill_from_runoff(hollows, runoff_by_catchment(grid, catchments, runoff));
        const Field<float> depth = pond_depth(z, catchments, ponds);
        test::Parcels parcels(z);
        for (const std::size_t cell : shuffled(z.size(), draw))
            parcels.pour(cell, static_cast<double>(runoff[cell]));
        ASSERT_NEAR(parcels.left(), ponds.left_ground_m3, 1e-9 * (1 + ponds.left_ground_m3));
        for (std::size_t cell = 0; cell < z.size(); ++cell)
            ASSERT_NEAR(parcels.depth(cell), depth[cell], 1e-5);  // depths are single precision
    }
}

}  // namespace
}  // namespace lielow
