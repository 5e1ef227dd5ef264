// SPDX-License-Identifier: Apache-2.0
// Whose limit counts: the site file's, else the crop's, else the default.
#include "tools/siting_asks.hpp"

#include <gtest/gtest.h>

#include "support/site_file.hpp"

namespace lielow {
namespace {

using testing::ground;
using testing::holds;
using testing::SiteFile;
using testing::write_text;

class SitingAsksTest : public SiteFile {
  protected:
    static std::string crop(const std::string& kind) {
        return "[crop]\nkind = \"" + kind + "\"\nstage = \"full bloom\"\n";
    }
    SitingAsks asks(const std::string& text) { return siting_asks(read(ground + text)); }
    std::string asking_refused(const std::string& text) {
        try {
            asks(text);
            return "accepted";
        } catch (const InputError& error) {
            return message_of(error);
        }
    }
};

TEST_F(SitingAsksTest, DefaultsWhereTheCropSaysNothing) {
    const SitingLimitSet limits = asks("").limits;
    EXPECT_DOUBLE_EQ(limits.loss_years.plant_from, 5);
    EXPECT_DOUBLE_EQ(limits.loss_years.work_from, 3);
    EXPECT_DOUBLE_EQ(limits.wet_days.plant_to, 1);
    EXPECT_DOUBLE_EQ(limits.wet_days.work_to, 2);
    EXPECT_DOUBLE_EQ(limits.standing_hours.work_to, 48);
    EXPECT_NEAR(limits.soil_depth.plant_from, 0.762, 1e-12);
    EXPECT_NEAR(limits.soil_depth.work_from, 0.762 - 0.3048, 1e-12);
    EXPECT_NEAR(limits.table_depth.work_from, 0.254, 1e-12);
    EXPECT_FALSE(limits.ph_known);
    for (const SitingLimits& each :
         {limits.loss_years, limits.loss_share, limits.standing_hours, limits.pond_depth, limits.wet_days,
          limits.drainage_class, limits.table_depth, limits.frequency, limits.soil_depth, limits.ph,
          limits.hard_share, limits.slope, limits.available_water})
        EXPECT_TRUE(in_order(each));
}

TEST_F(SitingAsksTest, TheCropsOwnFiguresCount) {
    const SitingLimitSet blueberry = asks(crop("highbush blueberry")).limits;
    EXPECT_NEAR(blueberry.soil_depth.plant_from, 0.508, 1e-12);
    EXPECT_NEAR(blueberry.table_depth.plant_from, 0.6, 1e-12);
    EXPECT_DOUBLE_EQ(blueberry.ph.work_from, 3.0);
    EXPECT_DOUBLE_EQ(blueberry.ph.plant_to, 5.0);
    EXPECT_DOUBLE_EQ(blueberry.ph.work_to, 6.0);
    const SitingLimitSet raspberry = asks(crop("raspberry")).limits;
    EXPECT_DOUBLE_EQ(raspberry.wet_days.plant_to, 1);  // the default: no figure of it is known
    EXPECT_DOUBLE_EQ(raspberry.wet_days.work_to, 4);
    EXPECT_DOUBLE_EQ(asks(crop("peach")).limits.wet_days.plant_to, 0.5);
}

TEST_F(SitingAsksTest, WhatIsNotKnownOfTheCropIsTold) {
    const SitingAsks asked = asks(crop("highbush blueberry"));
    ASSERT_EQ(asked.notes.size(), 2U);
    EXPECT_TRUE(holds(asked.notes[0],
                      "no figure of drainage, slope, wet time borne, wet time too long is known for"));
    EXPECT_TRUE(holds(asked.notes[1], "free depth stands in the table from memory"));
    EXPECT_TRUE(asks("").notes.empty());
}

/// No soil test would settle what nobody knows of the crop.
TEST_F(SitingAsksTest, WithoutABandPhIsNotNecessary) {
    const auto ph = static_cast<std::size_t>(SitingFactor::soil_ph);
    const SitingAsks pear = asks(crop("pear"));
    EXPECT_FALSE(pear.limits.ph_known);
    EXPECT_FALSE(pear.rule.necessary[ph]);
    EXPECT_TRUE(holds(pear.notes.front(), "pH isn't judged: no band is known for pear"));
    const SitingAsks told = asks(crop("pear") + "[siting]\nph_low = 6\nph_high = 7\n");
    EXPECT_TRUE(told.limits.ph_known);
    EXPECT_TRUE(told.rule.necessary[ph]);
}

TEST_F(SitingAsksTest, TheSiteFileGoesFirst) {
    const SitingLimitSet limits = asks(crop("peach") +
                                       "[siting]\nwet_work = \"3 days\"\nph_low = 5.5\n"
                                       "slope_plant = 0.15\nsoil_depth_work = \"10 in\"\n")
                                      .limits;
    EXPECT_DOUBLE_EQ(limits.wet_days.plant_to, 0.5);
    EXPECT_DOUBLE_EQ(limits.wet_days.work_to, 3);
    EXPECT_DOUBLE_EQ(limits.ph.plant_from, 5.5);
    EXPECT_DOUBLE_EQ(limits.ph.plant_to, 6.5);
    EXPECT_DOUBLE_EQ(limits.slope.plant_to, 0.15);
    EXPECT_NEAR(limits.soil_depth.work_from, 0.254, 1e-12);
}

/// Every limit that is told names who says so.
TEST_F(SitingAsksTest, EveryLimitHasASource) {
    for (const char* kind : {"highbush blueberry", "apple", "peach", "strawberry", "grape"}) {
        for (const SitingAsk& ask : asks(crop(kind)).told)
            EXPECT_FALSE(ask.source.empty()) << kind << ask.what;
    }
}

TEST_F(SitingAsksTest, DefaultsGiveWayButTwoWordsMustFit) {
    EXPECT_DOUBLE_EQ(asks("[siting]\nwet_plant = \"4 days\"\n").limits.wet_days.work_to, 4);
    EXPECT_DOUBLE_EQ(asks("[siting]\nyears_work = 20\n").limits.loss_years.plant_from, 20);
    EXPECT_DOUBLE_EQ(asks("[siting]\nslope_plant = 0.3\n").limits.slope.work_to, 0.3);
    EXPECT_TRUE(holds(asking_refused("[siting]\nyears_plant = 4\nyears_work = 8\n"),
                      "site.toml: siting.years_work asks for more than siting.years_plant"));
    EXPECT_TRUE(holds(asking_refused("[siting]\npond_plant = \"12 in\"\npond_work = \"1 in\"\n"),
                      "siting.pond_work"));
    EXPECT_TRUE(holds(asking_refused("[siting]\ndrainage_plant = \"poorly\"\ndrainage_work = \"well\"\n"),
                      "siting.drainage_work"));
    EXPECT_TRUE(holds(asking_refused("[siting]\nph_low = 6\nph_high = 5\n"), "siting.ph_low = 6 lies above"));
    EXPECT_TRUE(
        holds(asking_refused(crop("apple") + "[siting]\nph_high = 5\n"), "siting.ph_low = 6 lies above"));
}

TEST_F(SitingAsksTest, WrongUnitsAndNamesAreRefused) {
    EXPECT_TRUE(holds(refusal(ground + "[siting]\npond_work = \"12 h\"\n"),
                      "siting.pond_work: \"12 h\" is not a length"));
    EXPECT_TRUE(holds(refusal(ground + "[siting]\npond_work = 12\n"), "siting.pond_work = 12 has no unit"));
    EXPECT_TRUE(holds(refusal(ground + "[siting]\nwet_work = \"2 ft\"\n"), "is not a time"));
    EXPECT_TRUE(
        holds(refusal(ground + "[siting]\nslope_plant = 10\n"), "out of range; it must lie from 0 to 1"));
    EXPECT_TRUE(holds(refusal(ground + "[siting]\ndrainage_plant = \"moist\"\n"), "moderately well"));
    EXPECT_TRUE(
        holds(refusal(ground + "[siting]\nnecessary = \"frost, soil ph\"\n"), "the nearest is \"soil pH\""));
    EXPECT_TRUE(holds(refusal(ground + "[siting]\nnecessary = \"frost,\"\n"), "accepted"));
}

TEST_F(SitingAsksTest, NecessaryFactors) {
    const FactorSet usual = asks(crop("apple")).rule.necessary;
    EXPECT_EQ(usual.count(), 5U);
    EXPECT_TRUE(usual[static_cast<std::size_t>(SitingFactor::soil_ph)]);
    const FactorSet own = asks("[siting]\nnecessary = \"slope,frost\"\n").rule.necessary;
    EXPECT_EQ(own.count(), 2U);
    EXPECT_TRUE(own[static_cast<std::size_t>(SitingFactor::slope)]);
}

}  // namespace
}  // namespace lielow
