// SPDX-License-Identifier: Apache-2.0
#include "sim/ground_changes.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sim/errors.hpp"
#include "sim/hollows.hpp"
#include "tests/support/grids.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

double held(const Grid& grid, const Field<float>& z) {
    double volume = 0;
    for (const Hollow& hollow : find_hollows(grid, z, find_catchments(grid, z)).list)
        volume += hollow.volume_m3;
    return volume;
}

/// A valley falling east with walls in the north and south, cells of 2 m.
constexpr Grid kGrid{11, 40, 2, 2};
Field<float> valley() {
    Field<float> z(11, 40);
    for (std::int32_t r = 0; r < 11; ++r) {
        for (std::int32_t c = 0; c < 40; ++c)
            z(r, c) = 20 - 0.0625F * static_cast<float>(c) + (r == 0 || r == 10 ? 10.0F : 0.0F);
    }
    return z;
}

GroundChange bank(double height) {
    return {"dam", ChangeKind::bank, height, 0, 0, {{{30.5, 0.5}}, {{30.5, 10.5}}}};
}

TEST(GroundChanges, BankHoldsTheWedgeAbove) {
    Field<float> z = valley();
    ASSERT_EQ(held(kGrid, z), 0);
    change_ground(kGrid, bank(1.0), z);
    // Crest at 20 - 30/16 + 1: 16 steps of 1/16 m above the ground beneath it. Cells k = 1..15 upstream lie
    // (16 - k)/16 m below the crest, nine of them abreast: 9 · 4 m² · (1 + ... + 15)/16 m = 270 m³.
    EXPECT_DOUBLE_EQ(held(kGrid, z), 270.0);
}

TEST(GroundChanges, CulvertLetsItOut) {
    Field<float> z = valley();
    change_ground(kGrid, bank(1.0), z);
    change_ground(kGrid, {"pipe", ChangeKind::culvert, 0, 0, 0, {{{28.5, 5.5}}, {{32.5, 5.5}}}}, z);
    EXPECT_EQ(held(kGrid, z), 0);
    EXPECT_EQ(z(4, 30), 20 - 30 * 0.0625F + 1) << "the bank beside it still stands";
}

TEST(GroundChanges, ADiagonalBankDoesNotLeak) {
    for (const double shift : {0.0, 0.3, 0.5}) {
        Field<float> z(30, 30);
        for (std::int32_t r = 0; r < 30; ++r) {
            for (std::int32_t c = 0; c < 30; ++c) z(r, c) = static_cast<float>(100 - r - c);
        }
        GroundChange change{"bank", ChangeKind::bank, 50, 0, 0, {{{-1.0, 31 + shift}}, {{31 + shift, -1.0}}}};
        change_ground({30, 30, 1, 1}, change, z);
        for (std::int32_t r = 0; r + 1 < 30; ++r) {
            for (std::int32_t c = 0; c + 1 < 30; ++c) {
                const bool across =
                    z(r, c) < 101 && z(r + 1, c + 1) < 101 && z(r, c + 1) > 101 && z(r + 1, c) > 101;
                EXPECT_FALSE(across && r + c < 29 && r + c + 2 > 31) << r << ' ' << c;
            }
        }
        // The corner above fills to the crest's lowest cell: nothing slips through.
        const Grid grid{30, 30, 1, 1};
        const Catchments catchments = find_catchments(grid, z);
        EXPECT_GT(catchments.pit.size(), 1U);
    }
}

TEST(GroundChanges, WidthTakesTheCellsWhoseMiddleItCovers) {
    GroundChange change{"road", ChangeKind::bank, 1, 0, 6.0, {{{5.5, 0.5}}, {{5.5, 9.5}}}};
    const auto cells = cells_along({10, 12, 2, 2}, change);  // middles within 3 m: columns 4, 5, 6
    EXPECT_EQ(cells.size(), 30U);
    EXPECT_TRUE(
        std::all_of(cells.begin(), cells.end(), [](std::uint32_t c) { return c % 12 >= 4 && c % 12 <= 6; }));
}

TEST(GroundChanges, DitchLowersAndTileFallsEvenly) {
    Field<float> z(3, 9, 10.0F);
    change_ground({3, 9, 1, 1}, {"ditch", ChangeKind::ditch, 0, 0.5, 0, {{{0.5, 1.5}}, {{4.5, 1.5}}}}, z);
    EXPECT_EQ(z(1, 2), 9.5F);
    EXPECT_EQ(z(1, 6), 10.0F);
    Field<float> slope(3, 9, 10.0F);
    slope(1, 8) = 6.0F;
    change_ground({3, 9, 1, 1}, {"tile", ChangeKind::tile, 0, 0, 0, {{{0.5, 1.5}}, {{8.5, 1.5}}}}, slope);
    for (std::int32_t c = 0; c < 9; ++c) EXPECT_FLOAT_EQ(slope(1, c), 10 - 0.5F * static_cast<float>(c));
    EXPECT_EQ(slope(0, 4), 10.0F);
}

TEST(GroundChanges, HolesStayAndBadLinesAreRefused) {
    Field<float> z = valley();
    z(5, 30) = test::kNaN;
    change_ground(kGrid, bank(1.0), z);
    EXPECT_TRUE(std::isnan(z(5, 30)));
    const auto pipe = [](double from, double to) {
        return GroundChange{"pipe", ChangeKind::culvert, 0, 0, 0, {{{from, 4.5}}, {{to, 4.5}}}};
    };
    EXPECT_THROW(change_ground(kGrid, pipe(20.5, 10.5), z), InputError);  // uphill
    EXPECT_THROW(change_ground(kGrid, pipe(20.5, 60.5), z), InputError);  // beyond the ground
    GroundChange in_hole = pipe(20.5, 30.5);
    in_hole.line.back()[1] = 5.5;
    EXPECT_THROW(change_ground(kGrid, in_hole, z), InputError);
}

}  // namespace
}  // namespace lielow
