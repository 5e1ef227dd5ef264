// SPDX-License-Identifier: Apache-2.0
#include "sim/soil_water.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

namespace lielow {
namespace {

constexpr double inch = 0.0254;

// University of California, drought management: inches of water in a foot of soil.
TEST(SoilWater, AvailableWaterByTexture) {
    struct Row {
        const char* texture;
        double least, most;
    };
    for (const Row& row :
         {Row{"very coarse sand", 0.40, 0.75}, Row{"sand", 0.75, 1.25}, Row{"loamy sand", 0.75, 1.25},
          Row{"sandy loam", 1.25, 1.75}, Row{"loam", 1.50, 2.30}, Row{"silt loam", 1.50, 2.30},
          Row{"clay loam", 1.75, 2.50}, Row{"silty clay loam", 1.75, 2.50},
          Row{"sandy clay loam", 1.75, 2.50}, Row{"sandy clay", 1.60, 2.50}, Row{"silty clay", 1.60, 2.50},
          Row{"clay", 1.60, 2.50}}) {
        const TextureWater* found = texture_water(row.texture);
        ASSERT_NE(found, nullptr) << row.texture;
        EXPECT_NEAR(found->least * 12, row.least, 1e-12) << row.texture;
        EXPECT_NEAR(found->most * 12, row.most, 1e-12) << row.texture;
    }
}

// Clapp & Hornberger 1978, as widely passed on in feet a day.
TEST(SoilWater, ConductivityByTexture) {
    struct Row {
        const char* texture;
        double ft_day;
    };
    for (const Row& row : {Row{"sand", 49.9}, Row{"loamy sand", 44.2}, Row{"sandy loam", 9.84},
                           Row{"silt loam", 2.04}, Row{"loam", 1.97}, Row{"sandy clay loam", 1.79},
                           Row{"clay loam", 0.694}, Row{"silty clay loam", 0.482}, Row{"sandy clay", 0.615},
                           Row{"silty clay", 0.292}, Row{"clay", 0.363}})
        EXPECT_NEAR(texture_water(row.texture)->conductivity_m_s * 86400 / 0.3048, row.ft_day,
                    5e-3 * row.ft_day)
            << row.texture;
}

TEST(SoilWater, LongestEndOfTheNameCounts) {
    EXPECT_EQ(texture_water("gravelly sandy clay loam")->name, "sandy clay loam");
    EXPECT_EQ(texture_water("fine sandy loam")->name, "sandy loam");
    EXPECT_EQ(texture_water("loamy fine sand")->name, "fine sand");
    EXPECT_EQ(texture_water("quicksand"), nullptr);
}

TEST(SoilWater, LayersAddUp) {
    const std::vector<TextureLayer> layers{{0, 0.3048, "sandy loam"}, {0.3048, 1.2, "clay loam"}};
    EXPECT_NEAR(available_water(layers, 0.6096), (1.5 + 2.125) * inch, 1e-12);
    EXPECT_TRUE(std::isnan(available_water(layers, 1.3))) << "no layer below 1.2 m";
    EXPECT_TRUE(std::isnan(available_water(std::vector<TextureLayer>{{0, 1.0, ""}}, 0.5)));
}

// FAO-56 (Allen et al. 1998), table 22, from memory: half is not general.
TEST(SoilWater, Depletion) {
    EXPECT_DOUBLE_EQ(rooting_habit("apple")->depletion, 0.50);
    EXPECT_DOUBLE_EQ(rooting_habit("grape")->depletion, 0.35);
    EXPECT_DOUBLE_EQ(rooting_habit("strawberry")->depletion, 0.20);
    EXPECT_DOUBLE_EQ(rooting_habit("strawberry")->most_m, 0.3);
    EXPECT_EQ(rooting_habit("highbush blueberry")->crop, "berry");
    EXPECT_DOUBLE_EQ(rooting_habit("sweet cherry")->most_m, 2.0);
    EXPECT_EQ(rooting_habit("pineapple"), nullptr);
}

// An acre-inch is 27,154 gallons: 43,560 ft2 of 144 in2, 231 in3 to the gallon.
TEST(SoilWater, AcreInch) {
    EXPECT_NEAR(gallons_on_an_acre(inch), 27154.29, 0.01);
    EXPECT_NEAR(gallons_on_an_acre(12 * inch), 325851.43, 0.01);
}

}  // namespace
}  // namespace lielow
