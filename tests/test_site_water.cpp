// SPDX-License-Identifier: Apache-2.0
// The site file's keys for water.
#include <gtest/gtest.h>

#include "io/site.hpp"
#include "sim/errors.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

class SiteWater : public ::testing::Test {
  protected:
    Site read(const std::string& water) {
        testing::write_text(folder_ / "site.toml", "[ground]\ndem = \"dem.tif\"\n[water]\n" + water + "\n");
        return read_site(folder_ / "site.toml");
    }
    std::string refusal(const std::string& water) {
        return testing::complaint<InputError>([&] { read(water); });
    }
    testing::TempDir folder_;
};

TEST_F(SiteWater, StormsAreAList) {
    const Site site = read(R"(storms = "1 in, 50 mm,0 in")");
    ASSERT_EQ(site.water.storms_m.size(), 3U);
    EXPECT_DOUBLE_EQ(site.water.storms_m[0], 0.0254);
    EXPECT_DOUBLE_EQ(site.water.storms_m[1], 0.05);
    EXPECT_DOUBLE_EQ(site.water.storms_m[2], 0.0);
    EXPECT_TRUE(testing::holds(refusal(R"(storms = "1 in, 41 in")"),
                               "line 4, column 10: water.storms: 41 in is out of range; it must lie from 0 "
                               "in to 40 in"));
}

TEST_F(SiteWater, AStormInTheWrongUnitIsAskedAbout) {
    EXPECT_TRUE(testing::holds(refusal(R"(storm = "70 in")"),
                               "water.storm = 70 in is out of range; it must lie from 0 in to 40 in; did you "
                               "mean 70 mm?"));
    EXPECT_TRUE(testing::holds(refusal(R"(storm = "2 m")"), "from 0 in to 40 in"));
    EXPECT_TRUE(testing::holds(refusal(R"(storm = "2.8")"), "has no unit"));
    EXPECT_TRUE(testing::holds(refusal("runoff_share = -0.2"), "it must lie from 0.01 to 1"));
    EXPECT_DOUBLE_EQ(read(R"(storm = "0 in")").water.storm_m.value(), 0);
    EXPECT_NEAR(read(R"(storm = "40 in")").water.storm_m.value(), 1.016, 1e-12);
}

TEST_F(SiteWater, Defaults) {
    const Site site = read("");
    EXPECT_EQ(site.water.storms_m.size(), 6U);
    EXPECT_DOUBLE_EQ(site.water.runoff_share, 1.0);
    EXPECT_DOUBLE_EQ(site.water.ponded_from_m, 0.0254);
    EXPECT_NEAR(site.water.way_area_m2, 5 * 4046.8564224, 1e-9);
    EXPECT_FALSE(site.water.storm_m.has_value());
    EXPECT_FALSE(site.water.changes.has_value());
    EXPECT_FALSE(site.ground.vertical_accuracy_m.has_value());
}

}  // namespace
}  // namespace lielow
