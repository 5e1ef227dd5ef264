// SPDX-License-Identifier: Apache-2.0
// A night over ground that isn't held in memory, against the same with the whole ground, bit for bit.
#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "sim/errors.hpp"
#include "sim/night.hpp"
#include "sim/night_map.hpp"

namespace lielow {
namespace {

constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();

/// Hills, a lake and holes, one of them wider than a block.
Ground rolling_ground() {
    Ground ground{{67, 83, 5, 4}, Field<float>(67, 83), Field<std::uint8_t>(67, 83, 1)};
    for (std::int32_t j = 0; j < 67; ++j) {
        for (std::int32_t i = 0; i < 83; ++i) {
            const double z = 200 + 12 * std::sin(i / 9.0) * std::cos(j / 11.0) + 2 * std::sin((i + j) / 2.5);
            ground.z(j, i) = std::max(192.0F, static_cast<float>(z));
            if ((j >= 20 && j < 34 && i >= 30 && i < 48) || (i * 31 + j * 17) % 97 == 0) {
                ground.z(j, i) = kNothing;
                ground.known(j, i) = 0;
            }
        }
    }
    return ground;
}

NightSetup short_night(double cell_m) {
    NightSetup s;
    s.duration_s = 900;
    s.reference_elevation_m = 212;
    s.cell_m = cell_m;
    s.sheets = 6;
    return s;
}

ReadWindow<float> reader(const Field<float>& whole, std::size_t* most = nullptr) {
    return [&whole, most](const Window& w, Field<float>& values) {
        if (most != nullptr) *most = std::max(*most, w.cells());
        for (std::int32_t r = 0; r < w.rows; ++r) {
            for (std::int32_t c = 0; c < w.cols; ++c) values(r, c) = whole(w.row + r, w.col + c);
        }
    };
}

template <class T>
Field<T> cut(const Field<T>& whole, const Window& w) {
    Field<T> part(w.rows, w.cols);
    for (std::int32_t r = 0; r < w.rows; ++r) {
        for (std::int32_t c = 0; c < w.cols; ++c) part(r, c) = whole(w.row + r, w.col + c);
    }
    return part;
}

bool same_bits(float a, float b) {
    return std::bit_cast<std::uint32_t>(a) == std::bit_cast<std::uint32_t>(b) || (a != a && b != b);
}

TEST(NightUnheld, BlockMeansByStripsAreThoseOfTheWholeGround) {
    const Ground ground = rolling_ground();
    for (const Blocks blocks : {Blocks{1, 1}, Blocks{4, 3}, Blocks{7, 9}, Blocks{10, 83}, Blocks{80, 2}}) {
        const Field<double> whole = block_means(ground, blocks);
        for (const std::size_t most : {1U, 800U, 2000U, 100000U}) {
            std::size_t held = 0;
            const Field<double> strips = block_means(ground.grid, blocks, reader(ground.z, &held), most);
            ASSERT_EQ(strips.rows(), whole.rows());
            for (std::size_t c = 0; c < whole.size(); ++c) ASSERT_EQ(strips[c], whole[c]);
            EXPECT_LE(held, std::max<std::size_t>(most, static_cast<std::size_t>(blocks.rows) * 83));
        }
    }
    const Field<float> nothing(67, 83, kNothing);
    EXPECT_THROW(block_means(ground.grid, {4, 4}, reader(nothing), 1000), InputError);
}

TEST(NightUnheld, NightOverItsOwnCellsIsThatOfTheGround) {
    const Ground ground = rolling_ground();
    const NightSetup s = short_night(15);
    const NightPlan plan = plan_night(ground.grid, s);
    const NightResult whole = run_night(ground, s, plan);
    NightPlan own = plan;
    own.blocks = {1, 1};
    const NightResult cells = run_night(block_means(ground, plan.blocks), s, own);
    ASSERT_EQ(cells.steps, whole.steps);
    for (std::size_t k = 0; k < whole.coldest_height.size(); ++k) {
        for (std::size_t c = 0; c < whole.ground.size(); ++c)
            ASSERT_TRUE(same_bits(cells.coldest_height[k][c], whole.coldest_height[k][c]));
    }
}

/// Pools of cold air up to tilted levels, whose surfaces are carried past their shores on ground so rough
/// that the carried ones count.
NightResult pools(const Ground& ground, const NightPlan& plan) {
    NightResult night;
    night.scale = {1.5, 0.3};
    night.ground = block_means(ground, plan.blocks);
    night.coldest_gradient = Field<float>(plan.grid.rows, plan.grid.cols);
    for (int k = 0; k < 4; ++k) night.coldest_height.emplace_back(plan.grid.rows, plan.grid.cols);
    for (std::int32_t j = 0; j < plan.grid.rows; ++j) {
        for (std::int32_t i = 0; i < plan.grid.cols; ++i) {
            night.coldest_gradient(j, i) = static_cast<float>(0.1 + 0.02 * ((7 * i + 3 * j) % 11));
            for (int k = 0; k < 4; ++k) {
                const double level = 201 - 1.1 * k + 0.05 * i - 0.07 * j;
                night.coldest_height[static_cast<std::size_t>(k)](j, i) =
                    static_cast<float>(std::max(0.0, level - night.ground(j, i)));
            }
        }
    }
    return night;
}

/// The lowest temperature of the DEM's cells `fine`, from the night's cells around them alone.
Field<float> low_of(const Ground& ground, const NightSetup& s, const NightPlan& plan,
                    const NightResult& night, const Window& fine) {
    const Window cells = cells_around(fine, ground.grid, plan);
    std::vector<Field<float>> heights;
    for (const Field<float>& height : night.coldest_height) heights.push_back(cut(height, cells));
    const IsothermSurfaces surfaces(ground.grid, plan, night.scale, cells, cut(night.ground, cells), heights,
                                    cut(night.coldest_gradient, cells));
    const Field<float> z = cut(ground.z, fine);
    Field<float> low = map_deficit(fine, z, surfaces, night.scale, s.plant_height_m);
    deficit_to_celsius(z, s, low);
    return low;
}

std::size_t differing(const Field<float>& part, const Window& w, const Field<float>& whole) {
    std::size_t count = 0;
    for (std::int32_t r = 0; r < w.rows; ++r) {
        for (std::int32_t c = 0; c < w.cols; ++c)
            count += same_bits(part(r, c), whole(w.row + r, w.col + c)) ? 0 : 1;
    }
    return count;
}

TEST(NightUnheld, MapByStripsAndTilesIsThatOfTheWholeGround) {
    Ground ground = rolling_ground();
    std::mt19937 random(3);
    for (float& z : ground.z.all()) z += static_cast<float>(random() % 1000) * 0.012F - 6;
    for (const double cell : {4.0, 12.0, 37.0, 900.0}) {
        const NightSetup s = short_night(cell);
        const NightPlan plan = plan_night(ground.grid, s);
        const NightResult night = pools(ground, plan);
        Field<float> whole = map_deficit(ground,
                                         IsothermSurfaces(ground, plan, night.scale, night.ground,
                                                          night.coldest_height, &night.coldest_gradient),
                                         night.scale, s.plant_height_m);
        deficit_to_celsius(ground, s, whole);
        for (const auto& [rows, cols] : {std::pair{1, 83}, {67, 83}, {67, 1}, {8, 8}, {31, 13}, {64, 64}}) {
            for (std::int32_t j = 0; j < 67; j += rows) {
                for (std::int32_t i = 0; i < 83; i += cols) {
                    const Window fine{j, i, std::min(rows, 67 - j), std::min(cols, 83 - i)};
                    ASSERT_EQ(differing(low_of(ground, s, plan, night, fine), fine, whole), 0U)
                        << cell << ' ' << rows << ' ' << cols << ' ' << j << ' ' << i;
                }
            }
        }
        EXPECT_TRUE(std::isnan(whole(25, 35)));
        EXPECT_FALSE(std::isnan(whole(66, 82)));
    }
}

}  // namespace
}  // namespace lielow
