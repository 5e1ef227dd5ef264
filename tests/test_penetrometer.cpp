// SPDX-License-Identifier: Apache-2.0
#include "sim/penetrometer.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace lielow {
namespace {

TEST(Penetrometer, ShareAbove300Psi) {
    constexpr double psi = 0.45359237 * 9.80665 / (0.0254 * 0.0254);  // pound-force on a square inch
    const std::vector<double> readings{100 * psi, 299 * psi, 301 * psi, 500 * psi};
    EXPECT_DOUBLE_EQ(hard_share(readings), 0.5);
    EXPECT_NEAR(root_stop_pa, 300 * psi, 1e-3);
    EXPECT_TRUE(std::isnan(hard_share({})));
}

// Common practice, no source.
TEST(Penetrometer, Practice) {
    EXPECT_EQ(loosening_by_practice(0.32), Loosening::no_benefit);
    EXPECT_EQ(loosening_by_practice(1.0 / 3), Loosening::look);
    EXPECT_EQ(loosening_by_practice(0.49), Loosening::look);
    EXPECT_EQ(loosening_by_practice(0.50), Loosening::loosen);
}

// Penn State Agronomy Facts 63 (Duiker 2002, from memory): < 30 % little to none, no; 30-50 slight, no; 50-75
// moderate, yes; > 75 severe, yes.
TEST(Penetrometer, PublishedTable) {
    EXPECT_EQ(compaction_by_table(0.29).compaction, "little to none");
    EXPECT_EQ(compaction_by_table(0.40).compaction, "slight");
    EXPECT_FALSE(compaction_by_table(0.40).subsoil);
    EXPECT_EQ(compaction_by_table(0.60).compaction, "moderate");
    EXPECT_TRUE(compaction_by_table(0.60).subsoil);
    EXPECT_EQ(compaction_by_table(0.80).compaction, "severe");
    EXPECT_EQ(compaction_by_table(1.00).compaction, "severe");
}

}  // namespace
}  // namespace lielow
