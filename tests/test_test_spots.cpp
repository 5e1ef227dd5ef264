// SPDX-License-Identifier: Apache-2.0
// Spots to look at next: the rule worked out again the slow way, and what it promises.
#include "sim/test_spots.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <random>

#include "sim/soil_facts.hpp"

namespace lielow {
namespace {

constexpr float kNan = std::numeric_limits<float>::quiet_NaN();

Field<float> noise(const Grid& grid, unsigned seed) {
    std::mt19937 engine(seed);
    Field<float> field(grid.rows, grid.cols);
    for (float& v : field.all()) v = static_cast<float>(engine() % 1000) / 1000.0F;
    return field;
}

std::vector<std::uint32_t> all_cells(const Grid& grid) {
    std::vector<std::uint32_t> cells(grid.cells());
    std::iota(cells.begin(), cells.end(), 0U);
    return cells;
}

/// The rule as its header says it, every distance afresh.
std::vector<std::size_t> slow_choice(const Grid& grid, const std::vector<std::uint32_t>& candidates,
                                     const Field<float>& weight, std::vector<std::size_t> spots,
                                     const SpotRule& rule) {
    const std::size_t before = spots.size();
    const double reach = std::sqrt(static_cast<double>(candidates.size()) * grid.cell_area() / rule.count);
    for (int n = 0; n < rule.count; ++n) {
        std::vector<double> value(candidates.size(), -1);
        for (std::size_t i = 0; i < candidates.size(); ++i) {
            double nearest = 1e300;
            for (const std::size_t s : spots)
                nearest = std::min(nearest, cell_distance(grid, s, candidates[i]));
            if (nearest >= rule.least_apart_m)
                value[i] = static_cast<double>(weight[candidates[i]]) * std::min(1.0, nearest / reach);
        }
        const auto best = std::max_element(value.begin(), value.end());
        if (best == value.end() || !(*best > 0)) break;
        spots.push_back(candidates[static_cast<std::size_t>(best - value.begin())]);
    }
    return {spots.begin() + static_cast<std::ptrdiff_t>(before), spots.end()};
}

TEST(ChooseSpots, FollowsItsRule) {
    const Grid grid{9, 11, 5, 7};
    for (unsigned seed = 0; seed < 20; ++seed) {
        const Field<float> weight = noise(grid, seed);
        std::vector<std::uint32_t> candidates;
        for (const std::uint32_t cell : all_cells(grid)) {
            if (cell % 3 != 1) candidates.push_back(cell);
        }
        const std::vector<std::size_t> taken{40};
        const SpotRule rule{6, 12};
        const auto spots = choose_spots(grid, candidates, {&weight}, taken, rule);
        std::vector<std::size_t> cells;
        for (const ChosenSpot& spot : spots) cells.push_back(spot.cell);
        EXPECT_EQ(cells, slow_choice(grid, candidates, weight, taken, rule)) << seed;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            EXPECT_NE(cells[i] % 3, 1U);
            EXPECT_GE(cell_distance(grid, cells[i], 40), rule.least_apart_m);
            for (std::size_t k = 0; k < i; ++k)
                EXPECT_GE(cell_distance(grid, cells[i], cells[k]), rule.least_apart_m);
        }
    }
}

double least_distance(const Grid& grid, const std::vector<std::size_t>& cells) {
    double least = 1e300;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        for (std::size_t k = 0; k < i; ++k) least = std::min(least, cell_distance(grid, cells[i], cells[k]));
    }
    return least;
}

/// Greatest least distance of `count` cells, every choice tried.
double widest(const Grid& grid, int count, std::vector<std::size_t>& cells, std::size_t from) {
    if (static_cast<int>(cells.size()) == count) return least_distance(grid, cells);
    double best = 0;
    for (std::size_t c = from; c < grid.cells(); ++c) {
        cells.push_back(c);
        best = std::max(best, widest(grid, count, cells, c + 1));
        cells.pop_back();
    }
    return best;
}

/// Gonzalez 1985: with equal weights no worse than half of the widest spread there is. The reach lies beyond
/// it here, so that distance alone counts.
TEST(ChooseSpots, SpreadsAtLeastHalfAsWideAsCanBe) {
    for (const Grid& grid : {Grid{5, 5, 4, 4}, Grid{2, 11, 4, 4}, Grid{4, 6, 3, 9}}) {
        const Field<float> even(grid.rows, grid.cols, 1.0F);
        const auto candidates = all_cells(grid);
        for (int count = 2; count <= 4; ++count) {
            std::vector<std::size_t> cells;
            for (const ChosenSpot& spot : choose_spots(grid, candidates, {&even}, {}, {count, 0}))
                cells.push_back(spot.cell);
            std::vector<std::size_t> tried;
            const double best = widest(grid, count, tried, 0);
            const double reach = std::sqrt(static_cast<double>(grid.cells()) * grid.cell_area() / count);
            EXPECT_GE(least_distance(grid, cells), std::min(best / 2, reach)) << grid.rows << " " << count;
        }
    }
}

TEST(ChooseSpots, TellsTheClueThatWeighsMostAndTakesNothingWorthless) {
    const Grid grid{1, 4, 10, 10};
    Field<float> first(1, 4, 0.0F);
    Field<float> second(1, 4, kNan);
    first[1] = 0.5F;
    second[3] = 0.75F;
    const auto spots = choose_spots(grid, all_cells(grid), {&first, &second}, {}, {4, 0});
    ASSERT_EQ(spots.size(), 2U);
    EXPECT_EQ(spots[0].cell, 3U);
    EXPECT_EQ(spots[0].clue, 1U);
    EXPECT_DOUBLE_EQ(spots[0].weight, 0.75);
    EXPECT_EQ(spots[1].cell, 1U);
    EXPECT_EQ(spots[1].clue, 0U);
    EXPECT_TRUE(choose_spots(grid, {}, {&first}, {}, {4, 0}).empty());
}

TEST(BorderNearness, FallsOffFromBothSides) {
    const Grid grid{1, 8, 2, 2};
    Field<std::uint8_t> classes(1, 8, 0);
    for (std::size_t c = 4; c < 7; ++c) classes[c] = 2;
    classes[7] = 255;  // no ground, so no border
    const Field<float> near =
        border_nearness(grid, classes, 4, [](std::size_t, std::size_t) { return true; });
    const std::vector<float> expected{0, 0, 0.5F, 1, 1, 0.5F, 0, 0};
    for (std::size_t c = 0; c < expected.size(); ++c) EXPECT_FLOAT_EQ(near[c], expected[c]) << c;
    const Field<float> none =
        border_nearness(grid, classes, 4, [](std::size_t, std::size_t) { return false; });
    for (const float v : none.all()) EXPECT_EQ(v, 0.0F);
}

TEST(RankAmong, EqualsShareTheirRank) {
    const Grid grid{1, 6, 1, 1};
    Field<float> values(1, 6);
    for (std::size_t c = 0; c < 6; ++c) values[c] = c == 5 ? kNan : static_cast<float>(c == 1 ? 2 : c);
    const std::vector<std::uint32_t> candidates{0, 1, 2, 3, 5};  // 0, 2, 2, 3 and nothing
    const Field<float> rank = rank_among(grid, candidates, values);
    EXPECT_FLOAT_EQ(rank[0], 0);
    EXPECT_FLOAT_EQ(rank[1], 0.5F);
    EXPECT_FLOAT_EQ(rank[2], 0.5F);
    EXPECT_FLOAT_EQ(rank[3], 1);
    EXPECT_TRUE(std::isnan(rank[4]));
    EXPECT_TRUE(std::isnan(rank[5]));
}

TEST(SurveyAgainstTerrain, IsTheGapBetweenTheTwo) {
    Field<std::uint8_t> drainage(1, 3);
    drainage[0] = static_cast<std::uint8_t>(DrainageClass::excessive);
    drainage[1] = static_cast<std::uint8_t>(DrainageClass::very_poor);
    drainage[2] = static_cast<std::uint8_t>(DrainageClass::unknown);
    const Field<float> rank(1, 3, 0.75F);
    const Field<float> gap = survey_against_terrain(drainage, rank);
    EXPECT_FLOAT_EQ(gap[0], 0.75F);
    EXPECT_FLOAT_EQ(gap[1], 0.25F);
    EXPECT_TRUE(std::isnan(gap[2]));
}

TEST(ScaledToGreatest, LooksAtTheCandidatesAlone) {
    Field<float> values(1, 4);
    for (std::size_t c = 0; c < 4; ++c) values[c] = c == 0 ? kNan : static_cast<float>(c);
    const Field<float> scaled = scaled_to_greatest(std::vector<std::uint32_t>{0, 1, 2}, values);
    EXPECT_TRUE(std::isnan(scaled[0]));
    EXPECT_FLOAT_EQ(scaled[1], 0.5F);
    EXPECT_FLOAT_EQ(scaled[2], 1);
    EXPECT_FLOAT_EQ(scaled[3], 1);  // cut
}

}  // namespace
}  // namespace lielow
