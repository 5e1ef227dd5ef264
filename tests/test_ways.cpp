// SPDX-License-Identifier: Apache-2.0
#include "sim/drainage_ways.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <cmath>
#include <numbers>
#include <numeric>

#include "sim/flow_shares.hpp"
#include "sim/upslope.hpp"
#include "tests/support/flood.hpp"
#include "tests/support/grids.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

using test::grid_of;
using test::grid_over;

constexpr FlowSplit kSplits[] = {FlowSplit::single, FlowSplit::facets, FlowSplit::contour, FlowSplit::power};

DrainDirections directions_on(const Field<float>& z, double cell_size = 1.0) {
    const Grid grid = grid_over(z, cell_size);
    return drain_directions(grid, test::filled(z));
}

// The grid of six by six cells that courses print (after Jenson, S. K., Domingue, J. O. 1988, Photogramm.
// Eng. Remote Sens. 54:1593-1600); directions and counts worked out anew by hand, and as printed.
Field<float> teaching_grid() {
    return grid_of({{78, 72, 69, 71, 58, 49},
                    {74, 67, 56, 49, 46, 50},
                    {69, 53, 44, 37, 38, 48},
                    {64, 58, 55, 22, 31, 24},
                    {68, 61, 47, 21, 16, 19},
                    {74, 53, 34, 12, 11, 12}});
}

TEST(DrainDirections, TeachingGrid) {
    // E 1, SE 2, S 4, SW 8, W 16, NW 32, N 64, NE 128, as is usual; 0 leaves the ground.
    const Field<float> printed = grid_of({{2, 2, 2, 4, 4, 8},
                                          {2, 2, 2, 4, 4, 8},
                                          {1, 1, 2, 4, 8, 4},
                                          {128, 128, 1, 2, 4, 8},
                                          {2, 2, 1, 4, 4, 4},
                                          {1, 1, 1, 1, 0, 16}});
    const float code[] = {32, 64, 128, 16, 1, 8, 4, 2, 0};
    const DrainDirections directions = directions_on(teaching_grid());
    for (std::size_t cell = 0; cell < 36; ++cell) EXPECT_EQ(code[directions.to[cell]], printed[cell]) << cell;
}

TEST(Upslope, TeachingGrid) {
    const Field<float> printed = grid_of({{0, 0, 0, 0, 0, 0},
                                          {0, 1, 1, 2, 2, 0},
                                          {0, 3, 7, 5, 4, 0},
                                          {0, 0, 0, 20, 0, 1},
                                          {0, 0, 0, 1, 24, 0},
                                          {0, 2, 4, 7, 35, 1}});
    const Field<double> area =
        upslope_area({6, 6, 3, 3}, directions_on(teaching_grid(), 3), FlowSplit::single);
    for (std::size_t cell = 0; cell < 36; ++cell) EXPECT_EQ(area[cell] / 9 - 1, printed[cell]) << cell;
}

FacetFall facet_of(std::initializer_list<std::initializer_list<float>> window) {
    return steepest_facet({3, 3, 1, 1}, surroundings(grid_of(window), 4));
}

// Worked from Tarboton's equations 1 to 6 by an independent script.
TEST(FlowShares, FacetsOfTwoWindows) {
    const FacetFall first = facet_of({{58, 55, 22}, {61, 47, 21}, {53, 34, 12}});
    EXPECT_NEAR(first.angle_rad * 180 / std::numbers::pi, 340.906508, 1e-6);
    EXPECT_NEAR(first.slope, 27.513633, 1e-6);
    const FacetFall second = facet_of({{9, 9, 9}, {9, 8, 7}, {9, 6, 5}});
    EXPECT_NEAR(second.angle_rad * 180 / std::numbers::pi, 296.565051, 1e-6);
    EXPECT_NEAR(second.slope, std::sqrt(5.0), 1e-12);
}

// Freeman's weights of the same windows by the same script; Quinn's by hand: slopes 1, 3/√2, 2 and contours
// 1/2, √2/4, 1/2 make 2 : 3 : 4, and 26, 35/√2, 13, 25/√2 make 52 : 35 : 26 : 25.
TEST(FlowShares, ManyNeighboursOfTwoWindows) {
    const Surroundings first = surroundings(grid_of({{58, 55, 22}, {61, 47, 21}, {53, 34, 12}}), 4);
    const Surroundings second = surroundings(grid_of({{9, 9, 9}, {9, 8, 7}, {9, 6, 5}}), 4);
    const auto expect = [](const Surroundings& at, FlowSplit split, std::array<double, 8> expected) {
        const auto share = flow_shares({3, 3, 1, 1}, at, split);
        for (std::size_t k = 0; k < 8; ++k) EXPECT_NEAR(share[k], expected[k], 1e-6) << k;
    };
    expect(second, FlowSplit::power, {0, 0, 0, 0, .184143, 0, .394720, .421137});
    expect(second, FlowSplit::contour, {0, 0, 0, 0, 2 / 9., 0, 4 / 9., 3 / 9.});
    expect(first, FlowSplit::power, {0, 0, .213234, 0, .325957, 0, .152064, .308744});
    expect(first, FlowSplit::contour, {0, 0, 25 / 138., 0, 52 / 138., 0, 26 / 138., 35 / 138.});
}

// A plane is its own facet: direction and slope are exact, on cells that aren't square too.
TEST(FlowShares, FacetsOfPlanesAreExact) {
    for (const double degrees : {0.0, 10.0, 30.0, 45.0, 100.0, 200.0, 337.5}) {
        for (const double dy : {1.0, 1.7}) {
            SCOPED_TRACE(degrees);
            const double angle = degrees * std::numbers::pi / 180;
            Surroundings at;
            for (std::size_t k = 0; k < 8; ++k) {
                at.around[k] = -0.02 * (kNeighbours[k].across * std::cos(angle) -
                                        kNeighbours[k].down * dy * std::sin(angle));
            }
            const FacetFall fall = steepest_facet({3, 3, 1, dy}, at);
            EXPECT_NEAR(fall.slope, 0.02, 1e-14);
            EXPECT_NEAR(std::remainder(fall.angle_rad - angle, 2 * std::numbers::pi), 0, 1e-10);
        }
    }
}

// On a plane that falls straight down the rows, and on one that falls between south and south-east (away from
// the sides), n rows drain through the n-th: exact. In the last row water runs along the ground's edge.
TEST(Upslope, PlanesByFacets) {
    constexpr std::int32_t rows = 40;
    constexpr std::int32_t cols = 120;
    for (const double fall_x : {0.0, 0.00390625, 0.0078125}) {
        SCOPED_TRACE(fall_x);
        const Field<float> z = test::plane(rows, cols, 64, fall_x, 0.0625);
        const Field<double> area = upslope_area(
            {rows, cols, 5, 5}, drain_directions({rows, cols, 5, 5}, z.clone()), FlowSplit::facets);
        for (std::int32_t r = 0; r + 1 < rows; ++r) {
            for (std::int32_t c = 60; c < cols - 1; ++c)
                ASSERT_NEAR(area(r, c), 25.0 * (r + 1), 1e-6 * area(r, c));
        }
    }
}

/// Relative error, root mean square over a ring, of the specific area a = A / width of a round hill (exact:
/// r / 2) or a funnel (exact: (R² − r²) / 2 r).
double ring_error(FlowSplit split, bool hill) {
    constexpr std::int32_t side = 161;
    constexpr double outer = 80;
    const Field<float> z = test::from_function({side, side}, [&](double x, double y) {
        const double r = std::hypot(x - 80, y - 80);
        return r > outer ? std::nan("") : (hill ? 100 - r : 100 + r);
    });
    const Grid grid = grid_over(z);
    const Field<double> area = upslope_area(grid, drain_directions(grid, z.clone()), split);
    double sum = 0;
    int count = 0;
    for (std::int32_t r = 0; r < side; ++r) {
        for (std::int32_t c = 0; c < side; ++c) {
            const double radius = std::hypot(c - 80, r - 80);
            if (radius < 30 || radius > 60) continue;
            const double exact = hill ? radius / 2 : (outer * outer - radius * radius) / (2 * radius);
            sum += std::pow(area(r, c) / exact - 1, 2);
            ++count;
        }
    }
    return std::sqrt(sum / count);
}

// Tarboton (1997) gives facets as better than the steepest of eight on the outward cone; both are measured
// here against the exact specific area and recorded.
TEST(Upslope, ConesAgainstTheExactSpecificArea) {
    double error[4][2];
    for (std::size_t s = 0; s < 4; ++s) {
        for (const bool hill : {false, true}) {
            error[s][hill] = ring_error(kSplits[s], hill);
            RecordProperty("split_" + std::to_string(s) + (hill ? "_hill" : "_funnel"),
                           std::to_string(error[s][hill]));
        }
    }
    EXPECT_LT(error[1][1], 0.3 * error[0][1]);
    EXPECT_LT(error[1][0], 0.5 * error[0][0]);
    EXPECT_LT(error[1][1], 0.2);
    EXPECT_LT(error[2][1], error[0][1]);
    EXPECT_LT(error[3][1], error[0][1]);
}

TEST(Upslope, AllGroundLeavesOnce) {
    for (test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        const Grid grid = grid_over(ground.z, 2);
        const DrainDirections directions = directions_on(ground.z, 2);
        double cells = 0;
        for (const std::uint8_t to : directions.to.all()) {
            ASSERT_NE(to, kUnset);
            cells += to == kNoGround ? 0 : 1;
        }
        for (const FlowSplit split : kSplits) {
            if (grid.cells() > 200000 && split != FlowSplit::single) continue;  // keeps the test short
            const Field<double> area = upslope_area(grid, directions, split);
            double left = 0;
            for (std::size_t cell = 0; cell < area.size(); ++cell)
                if (directions.to[cell] == kOffGround) left += area[cell];
            ASSERT_NEAR(left, 4 * cells, 1e-9 * cells);
        }
    }
}

TEST(DrainDirections, NeverUphillNeverInACircleAndTheSameForAnyThreads) {
    const int before = omp_get_max_threads();
    for (test::NamedGround& ground : test::ground_of_every_kind()) {
        SCOPED_TRACE(ground.name);
        omp_set_num_threads(1);
        const DrainDirections directions = directions_on(ground.z);
        omp_set_num_threads(3);
        const DrainDirections shared = directions_on(ground.z);
        std::size_t ends = 0;
        for (std::size_t cell = 0; cell < directions.to.size(); ++cell) {
            ASSERT_EQ(directions.to[cell], shared.to[cell]);
            const std::size_t next = next_cell(directions, cell);
            if (directions.to[cell] != kNoGround) {
                ASSERT_LE(directions.surface[next], directions.surface[cell]);
            }
            ends += next == cell ? 1U : 0U;
        }
        // Everything is reached from the ends going up, so there is no circle.
        std::vector<std::uint32_t> last;
        for (std::size_t cell = 0; cell < directions.to.size(); ++cell)
            if (next_cell(directions, cell) == cell) last.push_back(static_cast<std::uint32_t>(cell));
        const Field<std::uint8_t> reached = source_of(directions, last);
        ASSERT_EQ(last.size(), ends);
        for (const std::uint8_t r : reached.all()) ASSERT_EQ(r, 1);
    }
    omp_set_num_threads(before);
}

// Level ground between high ground in the west and a low door in the east: ways run away from the one and
// towards the other, and meet (Barnes, Lehman & Mulla 2014). By hand: nobody takes more steps than it is far.
TEST(DrainDirections, LevelGroundDrainsTowardsTheDoor) {
    Field<float> z(9, 12, 9.0F);
    for (std::int32_t r = 1; r < 8; ++r) {
        for (std::int32_t c = 1; c < 11; ++c) z(r, c) = 5.0F;
    }
    z(4, 11) = 4.0F;
    const DrainDirections directions = directions_on(z);
    for (std::int32_t r = 1; r < 8; ++r) {
        for (std::int32_t c = 1; c < 11; ++c) {
            std::size_t cell = grid_over(z).index(r, c);
            int steps = 0;
            for (; next_cell(directions, cell) != cell && steps < 100; ++steps)
                cell = next_cell(directions, cell);
            EXPECT_EQ(cell, grid_over(z).index(4, 11));
            EXPECT_EQ(steps, std::max(11 - c, std::abs(r - 4))) << r << ' ' << c;
        }
    }
    const Field<double> area = upslope_area(grid_over(z), directions, FlowSplit::single);
    EXPECT_GE(area(4, 9), 35) << "ways gather away from the walls";
}

TEST(Upslope, LargeFlatTakesLinearTime) {
    const DrainDirections directions = directions_on(Field<float>(700, 700, 1.0F));
    std::size_t out = 0;
    for (const std::uint8_t to : directions.to.all()) out += to == kOffGround ? 1U : 0U;
    EXPECT_EQ(out, 4U * 699U);
}

TEST(WetnessIndex, OfAPlaneByHand) {
    // ln(100 m / 0.02) = 8.517193, ln(10 m / 0.02) = 6.214608.
    const Field<float> z =
        test::from_function({40, 12, 10, 10}, [](double, double y) { return 500 - 0.02 * y; });
    const Grid grid{40, 12, 10, 10};
    const DrainDirections directions = drain_directions(grid, z.clone());
    const Field<float> index =
        wetness_index(grid, directions, upslope_area(grid, directions, FlowSplit::facets));
    EXPECT_NEAR(index(9, 5), 8.517193, 2e-4);  // heights are single precision
    EXPECT_NEAR(index(0, 5), 6.214608, 2e-4);
    // The slope of level ground counts as one in a thousand.
    const Field<float> level(5, 5, 1.0F);
    const DrainDirections flat = drain_directions({5, 5, 1, 1}, level.clone());
    EXPECT_NEAR(wetness_index({5, 5, 1, 1}, flat, upslope_area({5, 5, 1, 1}, flat, FlowSplit::single))(0, 0),
                std::log(1 / 0.001), 1e-5);
}

TEST(DrainageWays, OfTheTeachingGrid) {
    const Grid grid{6, 6, 1, 1};
    const DrainDirections directions = directions_on(teaching_grid());
    const Field<double> area = upslope_area(grid, directions, FlowSplit::single);
    // Cells through which 5 or more drain: (2,2) 8, (2,3) 6, (2,4) 5, (3,3) 21, (4,4) 25, (5,2) 5, (5,3) 8,
    // (5,4) 36. Both arms from the north meet in (3,3), that of the last row joins in (5,4).
    const std::vector<DrainageWay> ways = drainage_ways(grid, directions, area, 5);
    ASSERT_EQ(ways.size(), 6U);
    const auto cells = [&](std::size_t w) { return ways[w].cells; };
    using Cells = std::vector<std::uint32_t>;
    EXPECT_EQ(cells(0), (Cells{16, 21}));      // (2,4) -> (3,3)
    EXPECT_EQ(cells(1), (Cells{32, 33, 34}));  // (5,2) -> (5,3) -> (5,4)
    EXPECT_EQ(cells(2), (Cells{15, 21}));
    EXPECT_EQ(cells(3), (Cells{14, 21}));
    EXPECT_EQ(cells(4), (Cells{21, 28, 34}));
    EXPECT_EQ(cells(5), (Cells{34}));
    EXPECT_EQ(ways[0].into, 4);
    EXPECT_EQ(ways[4].into, 5);
    EXPECT_EQ(ways[5].into, -1);
    EXPECT_EQ(ways[4].order, 2);
    EXPECT_EQ(ways[1].order, 1);
    EXPECT_EQ(ways[5].order, 2);
    EXPECT_EQ(ways[4].upslope_m2, 25);
    EXPECT_NEAR(ways[4].length_m, std::sqrt(2.0) + 1, 1e-12);
    EXPECT_EQ(ways[4].fall_m, 22 - 11);
    const Field<float> height = height_above_way(directions, area, 5);
    EXPECT_EQ(height(3, 3), 0);
    EXPECT_EQ(height(1, 3), 49 - 37);
    EXPECT_EQ(height(0, 0), 78 - 44);
}

TEST(DrainageWays, HeightsAreNeverNegativeAndUnknownWhereNoWayIsReached) {
    const Field<float> z = test::fractal(120, 130, 9);
    const DrainDirections directions = directions_on(z);
    const Field<double> area = upslope_area(grid_over(z), directions, FlowSplit::single);
    const Field<float> height = height_above_way(directions, area, 200);
    std::size_t none = 0;
    for (std::size_t cell = 0; cell < height.size(); ++cell) {
        std::size_t at = cell;
        while (area[at] < 200 && next_cell(directions, at) != at) at = next_cell(directions, at);
        if (area[at] < 200) {
            ASSERT_TRUE(std::isnan(height[cell]));
            ++none;
        } else {
            ASSERT_EQ(height[cell], directions.surface[cell] - directions.surface[at]);
            ASSERT_GE(height[cell], 0);
        }
    }
    EXPECT_GT(none, 0U);
}

// 2.70 A^0.352, A in km²: Bieger et al. (2015), from memory.
TEST(DrainageWays, Width) {
    EXPECT_DOUBLE_EQ(bankfull_width_m(1e6), 2.70);
    EXPECT_NEAR(bankfull_width_m(100e6), 2.70 * 5.0582, 1e-3);
}

TEST(Upslope, SourceOfAPatch) {
    const DrainDirections directions = directions_on(teaching_grid());
    const std::vector<std::uint32_t> patch{21};
    const Field<std::uint8_t> source = source_of(directions, patch);
    int cells = 0;
    for (const std::uint8_t s : source.all()) cells += s;
    EXPECT_EQ(cells, 21);  // 20 drain in
    EXPECT_EQ(source(0, 0), 1);
    EXPECT_EQ(source(5, 0), 0);
}

}  // namespace
}  // namespace lielow
