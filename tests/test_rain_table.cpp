// SPDX-License-Identifier: Apache-2.0
#include "io/rain_table.hpp"

#include <gtest/gtest.h>

#include "sim/errors.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;
using testing::TempDir;
using testing::write_text;

class RainTable : public ::testing::Test {
  protected:
    MassCurve read(const std::string& text) {
        write_text(folder_ / "rain.csv", text);
        return read_rain_table(folder_ / "rain.csv");
    }
    std::string refusal(const std::string& text) {
        return complaint<InputError>([&] { read(text); });
    }
    TempDir folder_;
};

TEST_F(RainTable, ReadsEitherUnit) {
    const MassCurve inches = read("hours,rain_in\n0,0\n0.5,1\n2,1.5\n");
    EXPECT_DOUBLE_EQ(inches.total_m(), 1.5 * 0.0254);
    EXPECT_DOUBLE_EQ(inches.duration_s(), 7200);
    EXPECT_DOUBLE_EQ(inches.depth_at(900), 0.5 * 0.0254);
    const MassCurve millimetres = read("note;rain_mm;hours\nx;5;1\ny;20;3\n");
    EXPECT_DOUBLE_EQ(millimetres.depth_at(1800), 0.0025);  // begins dry at 0 h
    EXPECT_DOUBLE_EQ(millimetres.total_m(), 0.020);
}

TEST_F(RainTable, RefusesInOneLine) {
    EXPECT_TRUE(holds(refusal("hours,depth\n0,0\n1,2\n"), "rain.csv: no column rain_in or rain_mm"));
    EXPECT_TRUE(holds(refusal("time,rain_in\n0,0\n1,2\n"), "rain.csv: no column hours"));
    EXPECT_TRUE(holds(refusal("hours,rain_buckets\n0,0\n1,2\n"), "must name its unit"));
    EXPECT_TRUE(holds(refusal("hours,rain_in\n0,0\n1,\n"), "row 2: nothing under rain_in"));
    EXPECT_TRUE(holds(refusal("hours,rain_in\n0,0\n1,much\n"), "row 2"));
    EXPECT_TRUE(holds(refusal("hours,rain_in\n0,0\n2,2\n1,3\n"), "rain.csv: a storm's times must rise"));
    EXPECT_TRUE(holds(refusal("hours,rain_in\n0,0\n1,2\n2,1\n"), "must not fall"));
    EXPECT_TRUE(holds(refusal("hours,rain_in\n0,0\n24,0\n"), "brings no rain"));
    EXPECT_TRUE(holds(refusal("hours,rain_ft\n0,0\n24,40\n"), "is its unit right?"));
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_rain_table(folder_ / "none.csv"); }), "none.csv"));
}

}  // namespace
}  // namespace lielow
