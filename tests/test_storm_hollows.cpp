// SPDX-License-Identifier: Apache-2.0
// A storm left long enough lies in the hollows: what it then holds is what fill-and-spill says.
#include <gtest/gtest.h>

#include "sim/catchments.hpp"
#include "sim/hollows.hpp"
#include "sim/storm_flow.hpp"
#include "tests/support/storm_case.hpp"

namespace lielow {
namespace {

Field<float> single(const Field<double>& z) {
    Field<float> out(z.rows(), z.cols());
    for (std::size_t c = 0; c < z.size(); ++c) out[c] = static_cast<float>(z[c]);
    return out;
}

/// A valley with pools, whose passes lie straight along it: hollows count diagonal neighbours as touching,
/// the flow crosses faces only, and over slanting passes the two differ by what a corner of cells holds back.
double pools(double x, double y) {
    return 100 + 0.01 * x + 0.3 * std::cos(x / 7) + 0.03 * std::abs(y - 30);
}

TEST(StormHollows, FullHollowsHoldTheirVolume) {
    StormPlan plan = small_storm({15, 35, 4.0, 4.0}, 20 * test_inch, 2.0, pools, 0.03F);
    plan.follow_s = 10 * test_hour;
    const StormResult r = run_storm<double>(plan);
    const Field<float> z = single(plan.ground);
    const Hollows hollows = find_hollows(plan.grid, z, find_catchments(plan.grid, z));
    double volume = 0;
    for (const Hollow& hollow : hollows.list) volume += hollow.volume_m3;
    ASSERT_GE(hollows.list.size(), 3U);
    RecordProperty("hollows", std::to_string(hollows.list.size()));
    RecordProperty("stored_over_full", std::to_string(r.ledger.stored / volume));
    // The last film leaves slowly.
    EXPECT_NEAR(r.ledger.stored, volume, 0.01 * volume);
}

TEST(StormHollows, ALittleWaterLiesLevelInAClosedBowl) {
    // Paraboloid z = h0 (r/a)²: V = π a² d²/(2 h0), so the depth follows from the rain.
    const double h0 = 1;
    const double a = 30;
    StormPlan plan = small_storm({30, 30, 2, 2}, 0.05, 1.0, [=](double x, double y) {
        return h0 * ((x - 30) * (x - 30) + (y - 30) * (y - 30)) / (a * a);
    });
    plan.edges = all_walls();
    plan.follow_s = 5 * test_hour;
    const StormResult r = run_storm<double>(plan);
    const double volume = 0.05 * 3600;
    const double depth = std::sqrt(2 * h0 * volume / (3.14159265358979 * a * a));
    EXPECT_NEAR(r.ledger.stored, volume, 1e-9 * volume);
    EXPECT_NEAR(r.greatest_depth(14, 14), depth, 0.02 * depth);
}

}  // namespace
}  // namespace lielow
