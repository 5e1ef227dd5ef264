// SPDX-License-Identifier: Apache-2.0
// Ground by tiles against the whole ground, bit for bit.
#include <gtest/gtest.h>
#include <omp.h>

#include <bit>
#include <cmath>
#include <limits>
#include <random>

#include "sim/drain_directions.hpp"
#include "sim/errors.hpp"
#include "sim/hollows.hpp"
#include "sim/priority_flood.hpp"
#include "sim/stage.hpp"
#include "sim/tile_directions.hpp"
#include "sim/tile_levels.hpp"
#include "sim/tile_upslope.hpp"
#include "sim/upslope.hpp"

namespace lielow {
namespace {

constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();

template <class T>
ReadWindow<T> reader(const Field<T>& whole) {
    return [&whole](const Window& w, Field<T>& values) {
        for (std::int32_t r = 0; r < w.rows; ++r) {
            for (std::int32_t c = 0; c < w.cols; ++c) values(r, c) = whole(w.row + r, w.col + c);
        }
    };
}

template <class T>
void put(const Window& w, const Field<T>& values, Field<T>& whole) {
    for (std::int32_t r = 0; r < w.rows; ++r) {
        for (std::int32_t c = 0; c < w.cols; ++c) whole(w.row + r, w.col + c) = values(r, c);
    }
}

/// Waves of several lengths in steps of `step`, so that there are plateaus and hollows within hollows, and
/// `holes` of a thousand cells without a height.
Field<float> ground(std::int32_t rows, std::int32_t cols, float step, int holes, unsigned seed) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> noise(0, 1);
    const double phase = noise(random) * 6;
    Field<float> z(rows, cols);
    for (std::int32_t r = 0; r < rows; ++r) {
        for (std::int32_t c = 0; c < cols; ++c) {
            const double height = 100 + 5 * std::sin(r / 9.0 + phase) * std::cos(c / 7.0) +
                                  2 * std::sin((r + c) / 3.0) + 1.5 * noise(random);
            z(r, c) = step * std::round(static_cast<float>(height) / step);
            if (noise(random) * 1000 < holes) z(r, c) = kNothing;
        }
    }
    return z;
}

template <class T>
std::size_t differing(const Field<T>& a, const Field<T>& b) {
    std::size_t count = 0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        const bool same = a[i] == b[i] || (a[i] != a[i] && b[i] != b[i]);
        count += same ? 0 : 1;
    }
    return count;
}

Field<float> levels_by_tiles(const TileCut& cut, const Field<float>& z, const WaterSource& source) {
    const auto known = tile_border_levels(cut, reader(z), source);
    Field<float> out(z.rows(), z.cols());
    for (std::size_t t = 0; t < cut.count(); ++t) {
        const Window tile = cut.tile(t);
        const Field<float> heights = with_halo(cut.grid(), tile, 0, kNothing, reader(z));
        put(tile, finish_tile_levels(tile, heights, known[t]), out);
    }
    return out;
}

Field<std::uint8_t> directions_by_tiles(const TileCut& cut, const Field<float>& filled) {
    const FlatBorders known = flat_borders(cut, reader(filled));
    Field<std::uint8_t> to(filled.rows(), filled.cols());
    for (std::size_t t = 0; t < cut.count(); ++t)
        put(cut.tile(t), finish_tile_directions(cut, t, reader(filled), known), to);
    return to;
}

Field<double> upslope_by_tiles(const TileCut& cut, const Field<std::uint8_t>& to) {
    std::vector<TileFlow> flows;
    const auto part = [&](std::size_t t) {
        return with_halo(cut.grid(), cut.tile(t), 0, std::uint8_t{kNoGround}, reader(to));
    };
    for (std::size_t t = 0; t < cut.count(); ++t) flows.push_back(tile_flow(cut.tile(t), part(t)));
    const auto comes_in = join_tile_flows(cut, flows);
    Field<double> area(to.rows(), to.cols());
    for (std::size_t t = 0; t < cut.count(); ++t)
        put(cut.tile(t), finish_tile_upslope(cut, cut.tile(t), part(t), comes_in[t]), area);
    return area;
}

struct Case {
    std::int32_t rows, cols;
    float step;
    int holes;
};

class Tiles : public testing::TestWithParam<Case> {};

TEST_P(Tiles, EqualTheWholeGroundBitForBit) {
    const Case& of = GetParam();
    const Grid grid{of.rows, of.cols, 2.0, 1.0};
    for (const unsigned seed : {1U, 2U}) {
        const Field<float> z = ground(of.rows, of.cols, of.step, of.holes, seed);
        const Catchments catchments = find_catchments(grid, z);
        const Hollows hollows = find_hollows(grid, z, catchments);
        const Field<float> filled = filled_ground(z, catchments, hollows);
        const Field<float> published = priority_flood(z);
        const Stage stage = stage_above_low_point(z, catchments);
        const Field<float> goes_under = fill_stage(stage, catchments, z);
        const DrainDirections directions = drain_directions(grid, filled.clone());
        const Field<double> area = upslope_area(grid, directions, FlowSplit::single);
        for (const std::int32_t side : {1, 2, 3, 7, 16, 40, 53, 200}) {
            SCOPED_TRACE(side);
            const TileCut cut(grid, side);
            EXPECT_EQ(lowest_height(cut, reader(z)), stage.low_point_m);
            const Field<float> level = levels_by_tiles(cut, z, {});
            EXPECT_EQ(differing(level, filled), 0U);
            EXPECT_EQ(differing(level, published), 0U);
            Field<float> rises = levels_by_tiles(cut, z, {false, stage.low_point_m});
            for (float& v : rises.all()) v = std::isinf(v) ? kNothing : v - stage.low_point_m;
            EXPECT_EQ(differing(rises, goes_under), 0U);
            const Field<std::uint8_t> to = directions_by_tiles(cut, filled);
            EXPECT_EQ(differing(to, directions.to), 0U);
            EXPECT_EQ(differing(upslope_by_tiles(cut, to), area), 0U);
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Grounds, Tiles,
                         testing::Values(Case{61, 54, 0.001F, 0}, Case{61, 54, 1.0F, 0},
                                         Case{41, 81, 2.0F, 5}, Case{54, 41, 0.5F, 60},
                                         Case{33, 33, 5.0F, 300}, Case{1, 50, 0.5F, 20},
                                         Case{41, 1, 0.5F, 20}, Case{30, 41, 50.0F, 2}));

TEST(Tiles, OneHollowAcrossAllTilesFillsToItsOnlyNotch) {
    // A bowl 30 cells wide whose rim of 10 m has one notch at 4 m: exact by hand.
    Field<float> z(32, 32, 1.0F);
    for (std::int32_t i = 0; i < 32; ++i) z(0, i) = z(31, i) = z(i, 0) = z(i, 31) = 10.0F;
    z(17, 31) = 4.0F;
    const Field<float> level = levels_by_tiles(TileCut(Grid{32, 32}, 5), z, {});
    for (std::int32_t r = 1; r < 31; ++r) {
        for (std::int32_t c = 1; c < 31; ++c) ASSERT_EQ(level(r, c), 4.0F);
    }
    const Field<double> area =
        upslope_by_tiles(TileCut(Grid{32, 32}, 5), directions_by_tiles(TileCut(Grid{32, 32}, 5), level));
    EXPECT_GE(area(17, 31), 901.0);  // the floor and the notch; the rim's inner cells drain inward or out
}

TEST(Tiles, ThreadsChangeNoBit) {
    const Grid grid{120, 97, 1.5, 1.5};
    const Field<float> z = ground(120, 97, 0.5F, 10, 7);
    const TileCut cut(grid, 37);
    const int threads = omp_get_max_threads();
    omp_set_num_threads(1);
    const Field<float> one = levels_by_tiles(cut, z, {});
    const Field<std::uint8_t> to_one = directions_by_tiles(cut, one);
    omp_set_num_threads(5);
    const Field<float> five = levels_by_tiles(cut, z, {});
    const Field<std::uint8_t> to_five = directions_by_tiles(cut, five);
    omp_set_num_threads(threads);
    EXPECT_EQ(differing(one, five), 0U);
    EXPECT_EQ(differing(to_one, to_five), 0U);
}

TEST(Tiles, AreaOfCellsThatAreNoShortBinaryFractionIsWithinRounding) {
    const Grid grid{60, 70, 1.1, 0.7};
    const Field<float> z = priority_flood(ground(60, 70, 0.5F, 3, 3));
    const TileCut cut(grid, 17);
    const DrainDirections directions = drain_directions(grid, z.clone());
    const Field<double> whole = upslope_area(grid, directions, FlowSplit::single);
    const Field<double> tiles = upslope_by_tiles(cut, directions_by_tiles(cut, z));
    for (std::size_t i = 0; i < whole.size(); ++i) {
        if (std::isnan(whole[i])) continue;
        ASSERT_NEAR(tiles[i], whole[i], whole[i] * 4200 * std::numeric_limits<double>::epsilon());
    }
}

TEST(Tiles, GroundWithoutAHeightIsRefused) {
    const Field<float> z(5, 5, kNothing);
    EXPECT_THROW(lowest_height(TileCut(Grid{5, 5}, 2), reader(z)), InputError);
}

}  // namespace
}  // namespace lielow
