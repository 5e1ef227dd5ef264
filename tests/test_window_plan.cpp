// SPDX-License-Identifier: Apache-2.0
// How a night is cut into windows: within memory, and the same steps for any number of threads.
#include <gtest/gtest.h>
#include <omp.h>

#include <cstdint>

#include "sim/night_windows.hpp"

namespace lielow {
namespace {

TEST(WindowPlan, KeepsWithinMemory) {
    NightSetup s;
    s.sheets = 24;
    s.cell_m = 10;
    const NightPlan plan = plan_night(Grid{5000, 4000, 10, 10}, s);
    std::int32_t before = 0;
    for (const std::uint64_t memory : {1'000'000'000ULL, 2'000'000'000ULL, 8'000'000'000ULL}) {
        const WindowPlan w = plan_windows(s, plan, memory);
        EXPECT_EQ(w.steps, usual_block_steps);
        EXPECT_GT(w.rows, before);
        EXPECT_LE(w.memory_bytes, memory);
        before = w.rows;
    }
    EXPECT_EQ(plan_windows(s, plan, 100'000'000'000ULL).rows, 5000);
    EXPECT_LT(plan_windows(s, plan, 500'000'000ULL).steps, usual_block_steps);
}

// Where blocks are shorter than usual, too: the night's bits hang on them.
TEST(WindowPlan, ThreadsChangeNoBlock) {
    NightSetup s;
    s.sheets = 24;
    s.cell_m = 10;
    const NightPlan plan = plan_night(Grid{5000, 4000, 10, 10}, s);
    const int threads = omp_get_max_threads();
    for (const std::uint64_t memory : {560'000'000ULL, 600'000'000ULL, 1'000'000'000ULL}) {
        omp_set_num_threads(1);
        const WindowPlan one = plan_windows(s, plan, memory);
        omp_set_num_threads(24);
        const WindowPlan many = plan_windows(s, plan, memory);
        EXPECT_EQ(one.steps, many.steps) << memory;
        EXPECT_GT(one.rows, many.rows) << memory;
        EXPECT_LE(many.memory_bytes, memory);
    }
    // All rows with one thread, a part of them with many.
    const NightPlan low = plan_night(Grid{70, 4000, 10, 10}, s);
    omp_set_num_threads(1);
    const WindowPlan one = plan_windows(s, low, 360'000'000);
    omp_set_num_threads(24);
    const WindowPlan many = plan_windows(s, low, 360'000'000);
    EXPECT_EQ(one.rows, 70);
    EXPECT_LT(many.rows, 70);
    EXPECT_EQ(one.steps, many.steps);
    omp_set_num_threads(threads);
}

}  // namespace
}  // namespace lielow
