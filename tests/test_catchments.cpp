// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>
#include <omp.h>

#include <algorithm>
#include <vector>

#include "sim/catchments.hpp"
#include "sim/errors.hpp"
#include "sim/hollows.hpp"
#include "sim/priority_flood.hpp"
#include "tests/support/flood.hpp"

namespace lielow {
namespace {

TEST(Catchments, TwoPitsAndThePassBetween) {
    const Field<float> z = test::grid_of({{9, 9, 9, 9, 9}, {9, 1, 5, 2, 8}, {9, 9, 9, 9, 9}});
    const Catchments found = find_catchments(test::grid_over(z), z);
    ASSERT_EQ(found.pit, (std::vector<std::uint32_t>{6, 8}));
    ASSERT_EQ(found.tree.size(), 1U);
    EXPECT_EQ(found.tree[0].a, 0);
    EXPECT_EQ(found.tree[0].b, 1);
    EXPECT_EQ(found.tree[0].height, 5.0F);
    EXPECT_EQ(found.tree[0].cell, 7U);
    EXPECT_EQ(found.rim_height, (std::vector<float>{9.0F, 8.0F}));
    EXPECT_EQ(found.rim_cell[1], 9U);
}

// By hand; walls above and below, open at the right end.
TEST(PriorityFlood, FillsTheStripOfThreePits) {
    const Field<float> z = test::grid_of(
        {{20, 20, 20, 20, 20, 20, 20, 20}, {10, 4, 6, 3, 5, 2, 7, 1}, {20, 20, 20, 20, 20, 20, 20, 20}});
    const Field<float> water = test::grid_of(
        {{20, 20, 20, 20, 20, 20, 20, 20}, {10, 7, 7, 7, 7, 7, 7, 1}, {20, 20, 20, 20, 20, 20, 20, 20}});
    EXPECT_TRUE(test::same(priority_flood(z), water));
}

// Barnes, Lehman & Mulla 2014 (sim/priority_flood.hpp) as the published yardstick.
TEST(Catchments, FillEqualsPriorityFloodBitForBit) {
    for (const test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        EXPECT_TRUE(test::same(test::filled(ground.z), priority_flood(ground.z)));
    }
}

TEST(Catchments, FillTurnsWithTheRaster) {
    for (const test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Field<float> straight = test::filled(ground.z);
        for (int way = 1; way < 8; ++way) {
            EXPECT_TRUE(test::same(test::filled(test::turned(ground.z, way)), test::turned(straight, way)));
        }
    }
}

TEST(Catchments, EveryCellDrainsDownToItsPit) {
    for (const test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Field<float>& z = ground.z;
        const Catchments found = find_catchments(test::grid_over(z), z);
        ASSERT_TRUE(std::is_sorted(found.pit.begin(), found.pit.end()));
        std::size_t wrong = 0;
        for (std::size_t cell = 0; cell < z.size(); ++cell) {
            const std::int32_t c = found.of_cell[cell];
            if (std::isnan(z[cell])) {
                wrong += c == -1 ? 0 : 1;
            } else {
                wrong += c >= 0 && z[found.pit[static_cast<std::size_t>(c)]] <= z[cell] ? 0 : 1;
            }
        }
        EXPECT_EQ(wrong, 0U);
        for (std::size_t c = 0; c < found.pit.size(); ++c) {
            ASSERT_EQ(found.of_cell[found.pit[c]], static_cast<std::int32_t>(c));
        }
    }
}

TEST(Catchments, TreeIsListedFromTheRootsOutward) {
    for (const test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Catchments found = find_catchments(test::grid_over(ground.z), ground.z);
        std::vector<int> as_b(found.pit.size(), 0);
        for (const Pass& pass : found.tree) ++as_b[static_cast<std::size_t>(pass.b)];
        for (const Pass& pass : found.tree) {
            ASSERT_EQ(as_b[static_cast<std::size_t>(pass.b)], 1);
            ASSERT_EQ(as_b[static_cast<std::size_t>(pass.a)], 0) << "reached before its own pass";
            ASSERT_EQ(pass.height, ground.z[pass.cell]);
            as_b[static_cast<std::size_t>(pass.b)] = 0;
        }
    }
}

TEST(Catchments, TreeSpansWhatHangsTogether) {
    Field<float> z(9, 9, 1.0F);
    for (std::int32_t k = 0; k < 9; ++k) z(4, k) = test::kNaN;
    const Catchments cut = find_catchments(test::grid_over(z), z);
    EXPECT_EQ(cut.tree.size() + 2, cut.pit.size());
    z(4, 8) = 1.0F;
    const Catchments joined = find_catchments(test::grid_over(z), z);
    EXPECT_EQ(joined.tree.size() + 1, joined.pit.size());
}

struct Everything {
    Catchments catchments;
    Hollows hollows;
    Field<float> depth;
};

Everything run_with(int threads, const Field<float>& z) {
    const int before = omp_get_max_threads();
    omp_set_num_threads(threads);
    Everything out;
    out.catchments = find_catchments(test::grid_over(z), z);
    out.hollows = find_hollows(test::grid_over(z), z, out.catchments);
    out.depth = hollow_depth(z, out.catchments, out.hollows);
    omp_set_num_threads(before);
    return out;
}

void expect_equal(const Everything& one, const Everything& many) {
    EXPECT_TRUE(std::ranges::equal(one.catchments.of_cell.all(), many.catchments.of_cell.all()));
    EXPECT_EQ(one.catchments.pit, many.catchments.pit);
    EXPECT_EQ(one.catchments.rim_cell, many.catchments.rim_cell);
    ASSERT_EQ(one.catchments.tree.size(), many.catchments.tree.size());
    for (std::size_t k = 0; k < one.catchments.tree.size(); ++k) {
        const Pass& p = one.catchments.tree[k];
        const Pass& q = many.catchments.tree[k];
        ASSERT_TRUE(p.a == q.a && p.b == q.b && p.height == q.height && p.cell == q.cell);
    }
    ASSERT_EQ(one.hollows.list.size(), many.hollows.list.size());
    for (std::size_t k = 0; k < one.hollows.list.size(); ++k) {
        const Hollow& p = one.hollows.list[k];
        const Hollow& q = many.hollows.list[k];
        ASSERT_EQ(p.volume_m3, q.volume_m3);
        ASSERT_TRUE(p.spill_cell == q.spill_cell && p.pit_cell == q.pit_cell && p.cells == q.cells);
    }
    EXPECT_TRUE(test::same(one.depth, many.depth));
}

TEST(Catchments, SameForOneAndManyThreads) {
    for (const test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Everything one = run_with(1, ground.z);
        expect_equal(one, run_with(2, ground.z));
        expect_equal(one, run_with(5, ground.z));
    }
}

TEST(Catchments, RefusesMoreCellsThanItCanNumber) {
    EXPECT_THROW(find_catchments({50000, 50000}, Field<float>()), InputError);
}

}  // namespace
}  // namespace lielow
