// SPDX-License-Identifier: Apache-2.0
// Rasters read back for the report.
#include "io/result_grid.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>

#include "support/place.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

TEST(Thinning, keeps_no_more_cells_than_asked_for) {
    EXPECT_EQ(thinning(1000, 1000, 1'000'000), 1);
    EXPECT_EQ(thinning(1001, 1000, 1'000'000), 2);
    for (const std::int32_t cols : {999, 4000, 12345}) {
        const Field<float> all(2000, cols, 0.0F);
        const auto kept = thinned(all, thinning(all.rows(), all.cols(), 1'000'000));
        EXPECT_LE(kept.size(), 1'010'000U) << cols;  // blocks cut by the edge count as one, too
    }
}

TEST(Thinning, takes_the_middle_cell_of_each_block) {
    Field<int> all(4, 7);
    for (std::size_t n = 0; n < all.size(); ++n) all[n] = static_cast<int>(n);
    const Field<int> few = thinned(all, 3);
    ASSERT_EQ(few.rows(), 2);
    ASSERT_EQ(few.cols(), 3);
    EXPECT_EQ(few(0, 0), all(1, 1));
    EXPECT_EQ(few(0, 1), all(1, 4));
    EXPECT_EQ(few(1, 2), all(3, 6));  // a block cut to one cell
}

TEST(ResultGrid, gives_back_values_label_and_gaps) {
    const testing::TempDir folder;
    const auto path = folder.path() / "cold_depth.tif";
    Field<float> values(3, 4, 1.5F);
    values(1, 2) = std::numeric_limits<float>::quiet_NaN();
    values(2, 3) = -7.25F;
    write_raster(path, testing::utm_place(2), std::move(values), {"cold_depth", "A sentence", "m"});
    const auto read = read_result_grid(path, 1);
    ASSERT_TRUE(read);
    EXPECT_EQ(read->label.name, "cold_depth");
    EXPECT_EQ(read->label.description, "A sentence");
    EXPECT_EQ(read->label.unit, "m");
    EXPECT_TRUE(read->classes.empty());
    EXPECT_TRUE(std::isnan(read->values(1, 2)));
    EXPECT_EQ(read->values(2, 3), -7.25F);
}

TEST(ResultGrid, gives_back_the_names_and_colours_of_classes) {
    const testing::TempDir folder;
    const auto path = folder.path() / "siting.tif";
    Field<std::uint8_t> values(2, 2, 0);
    values(0, 1) = 2;
    values(1, 1) = kNoClass;
    const std::array<RasterClass, 2> classes{{{0, "good", {10, 20, 30}}, {2, "bad", {200, 100, 0}}}};
    write_class_raster(path, testing::utm_place(2), std::move(values), {"siting", "Classes", ""}, classes);
    const auto read = read_result_grid(path, 1);
    ASSERT_TRUE(read);
    ASSERT_EQ(read->classes.size(), 2U);
    EXPECT_EQ(read->classes[1].value, 2);
    EXPECT_EQ(read->classes[1].name, "bad");
    EXPECT_EQ(read->classes[1].colour, (std::array<std::uint8_t, 3>{200, 100, 0}));
    EXPECT_EQ(read->values(0, 1), 2.0F);
    EXPECT_TRUE(std::isnan(read->values(1, 1)));
}

TEST(ResultGrid, is_nothing_without_a_file) {
    const testing::TempDir folder;
    EXPECT_FALSE(read_result_grid(folder.path() / "none.tif", 1));
}

}  // namespace
}  // namespace lielow
