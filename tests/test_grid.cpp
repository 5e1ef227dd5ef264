// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include "sim/grid.hpp"

namespace lielow {
namespace {

TEST(Grid, IndexRunsAlongRows) {
    const Grid grid{3, 5, 2.0, 4.0};
    EXPECT_EQ(grid.cells(), 15U);
    EXPECT_EQ(grid.index(2, 3), 13U);
    EXPECT_DOUBLE_EQ(grid.cell_area(), 8.0);
    EXPECT_FALSE(grid.contains(3, 0));
}

TEST(Field, CloneIsIndependent) {
    Field<float> field(2, 2, 1.5F);
    Field<float> copy = field.clone();
    copy(1, 1) = 7.0F;
    EXPECT_FLOAT_EQ(field(1, 1), 1.5F);
    EXPECT_FLOAT_EQ(copy.row(1)[1], 7.0F);
}

}  // namespace
}  // namespace lielow
