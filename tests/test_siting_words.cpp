// SPDX-License-Identifier: Apache-2.0
#include "tools/siting_words.hpp"

#include <gtest/gtest.h>

#include "sim/siting.hpp"
#include "support/temp_dir.hpp"
#include "tools/look_clues.hpp"

namespace lielow {
namespace {

using testing::holds;
using enum SitingClass;

constexpr double acre = 4046.8564224;

SitingPart part(SitingClass siting, SitingFactor factor, double acres, const char* figure, double median,
                double east = 0, double south = 0) {
    SitingPart made;
    made.siting = siting;
    made.reason = static_cast<std::uint8_t>(static_cast<int>(factor) + 1);
    made.area_m2 = acres * acre;
    made.figure = figure;
    made.median = median;
    made.x_offset = east;
    made.y_offset = south;
    return made;
}

FieldSiting field(double to_plant, double work, double no, double open, std::vector<SitingPart> parts) {
    FieldSiting f;
    f.area_m2 = {to_plant * acre, work * acre, no * acre, open * acre};
    f.ground_m2 = (to_plant + work + no + open) * acre;
    f.parts = std::move(parts);
    return f;
}

const SitingVoice voice{"highbush blueberry", PeopleUnits::us, {}, 4.5, 0};

TEST(SitingWords, SaysWhatWhereAndWhy) {
    const FieldSiting top = field(6.2, 0.2, 1.1, 0,
                                  {part(with_work, SitingFactor::soil_wetness, 0.2, "drainage_class", 4),
                                   part(not_here, SitingFactor::frost, 1.1, "loss_years", 3.2, 0, 0.7)});
    EXPECT_EQ(
        siting_verdict(top, voice),
        "6.20 of 7.50 acres can be planted as they are; 0.20 acres need work first: drains or raised beds "
        "(soil wetness: somewhat poorly drained); 1.10 acres in the south are not for highbush blueberry "
        "(frost: about one spring in 3.2 does damage).");
}

TEST(SitingWords, SpringsBesideALimitAreNotToldAsTheLimit) {
    const auto why = [](double years) {
        const std::string said = siting_verdict(
            field(0, 0, 1, 0, {part(not_here, SitingFactor::frost, 1, "loss_years", years)}), voice);
        return said.substr(said.find('('));
    };
    EXPECT_EQ(why(2.98), "(frost: damage a little more often than one spring in 3).");
    EXPECT_EQ(why(3.02), "(frost: damage a little less often than one spring in 3).");
    EXPECT_EQ(why(3), "(frost: about one spring in 3.0 does damage).");
    EXPECT_EQ(why(2.94), "(frost: about one spring in 2.9 does damage).");
}

TEST(SitingWords, AllOfItAndNoneOfIt) {
    EXPECT_EQ(siting_verdict(field(5, 0, 0, 0, {}), voice), "all 5.00 acres can be planted as they are.");
    EXPECT_EQ(
        siting_verdict(field(0, 0, 4, 0, {part(not_here, SitingFactor::frost, 4, "loss_years", 1.2)}), voice),
        "none of 4.00 acres can be planted as it is; all 4.00 acres are not for highbush blueberry (frost: "
        "nearly every spring does damage).");
    EXPECT_EQ(siting_verdict(field(0, 0, 0, 0, {}), voice), "no ground is known here.");
}

TEST(SitingWords, NextToNoneIsNotNone) {
    const FieldSiting few =
        field(0.03, 0, 3.97, 0, {part(not_here, SitingFactor::frost, 3.97, "loss_years", 1.2)});
    EXPECT_TRUE(holds(siting_verdict(few, voice), "next to none of 4.00 acres can be planted as it is;"));
}

TEST(LookWords, DryGroundIsCalledDrier) {
    EXPECT_EQ(terrain_words(0.83), "wetter than 83 %");
    EXPECT_EQ(terrain_words(0.17), "drier than 83 %");
    EXPECT_EQ(terrain_words(0.001), "drier than 99 %") << "not wetter than 0 %";
    EXPECT_EQ(terrain_words(1), "wetter than 99 %") << "it isn't wetter than itself";
}

TEST(SitingWords, NamesWhatToFindOut) {
    FieldSiting open = field(0, 0, 0, 8, {});
    open.lacking_m2[static_cast<std::size_t>(SitingFactor::soil_ph)] = 8 * acre;
    open.by_known_m2 = {6 * acre, 1 * acre, 0};
    EXPECT_EQ(siting_verdict(open, voice),
              "of all 8.00 acres too little is known: find out soil pH (a soil test); what is known so far "
              "would let "
              "6.00 acres be planted and 1.00 acres be planted with work.");
}

TEST(SitingWords, OtherReasonsOfTheSamePart) {
    SitingPart cold = part(not_here, SitingFactor::frost, 4, "loss_years", 2.5);
    cold.also_m2[static_cast<std::size_t>(SitingFactor::frost)] = 4 * acre;
    cold.also_m2[static_cast<std::size_t>(SitingFactor::standing_water)] = 1 * acre;
    EXPECT_TRUE(
        holds(siting_verdict(field(4, 0, 4, 0, {cold}), voice),
              "(frost: about one spring in 2.5 does damage; 1.00 acres of it for standing water as well)."));
}

/// The days are counted to an end: what is wet then isn't known to be wet for just so long.
TEST(SitingWords, WetToTheEndIsToldAsSuch) {
    SitingVoice two_weeks = voice;
    two_weeks.followed_days = 14;
    const auto verdict = [&](double days) {
        return siting_verdict(
            field(4, 0, 4, 0, {part(not_here, SitingFactor::days_wet, 4, "drain_days", days)}), two_weeks);
    };
    EXPECT_TRUE(holds(verdict(13.5), "(days wet: 13.5 days after the storm until roots have air)"));
    EXPECT_TRUE(holds(verdict(14), "(days wet: roots still have no air 14 days after the storm)"));
}

/// A strip of half a percent isn't worth a sentence; the figures have it.
TEST(SitingWords, SmallPartsAreLeftToTheFigures) {
    const FieldSiting f =
        field(9.95, 0, 0.05, 0, {part(not_here, SitingFactor::frost, 0.05, "loss_years", 2)});
    EXPECT_EQ(siting_verdict(f, voice), "9.95 of 10.00 acres can be planted as they are.");
}

TEST(SitingWords, PlacesByTheCompass) {
    const auto place = [](double east, double south, const RasterAxes& axes) {
        SitingVoice turned = voice;
        turned.axes = axes;
        return siting_verdict(
            field(1, 0, 1, 0, {part(not_here, SitingFactor::frost, 1, "loss_years", 2, east, south)}),
            turned);
    };
    EXPECT_TRUE(holds(place(0.5, 0.5, {}), "in the south-east are not"));
    EXPECT_TRUE(holds(place(-0.5, 0, {}), "in the west are not"));
    EXPECT_TRUE(holds(place(0.1, 0.1, {}), "1.00 acres are not"));        // all over it
    EXPECT_TRUE(holds(place(0.5, 0, {0, 1, 1, 0}), "in the north are"));  // rows run northward
}

TEST(SitingWords, UnitsAsAskedFor) {
    SitingVoice metric = voice;
    metric.units = PeopleUnits::si;
    EXPECT_TRUE(holds(siting_verdict(field(2.4710538, 0, 0, 0, {}), metric), "all 1.00 ha can be planted"));
    EXPECT_EQ(figure_words("pond_depth", 0.3048, PeopleUnits::us),
              "12.00 in of the storm's water stay behind");
    EXPECT_EQ(figure_words("pond_depth", 0.3048, PeopleUnits::si), "305 mm of the storm's water stay behind");
}

TEST(SitingWords, LimeBelowTheBandSulfurAboveIt) {
    EXPECT_EQ(work_words(SitingFactor::soil_ph, 4.0, 4.5), "lime");
    EXPECT_EQ(work_words(SitingFactor::soil_ph, 5.5, 4.5), "sulfur");
}

/// Every figure that evidence can carry has words, and every factor its work and its test.
TEST(SitingWords, NothingIsLeftSpeechless) {
    SoilFacts soil;
    for (Field<std::uint8_t>* f : {&soil.drainage_class, &soil.flooding, &soil.ponding})
        *f = Field<std::uint8_t>(1, 1, std::uint8_t{2});
    for (Field<float>* f : {&soil.table_depth_year_m, &soil.table_depth_spring_m, &soil.floor_depth_m,
                            &soil.ph, &soil.hard_share, &soil.available_water_m})
        *f = Field<float>(1, 1, 0.5F);
    const Field<float> layer(1, 1, 0.5F);
    SitingLimitSet limits;
    limits.ph_known = true;
    std::vector<SitingLayers> cases(3);
    cases[0] = {&layer, &layer, &layer, &layer, &layer, &layer, &layer, &soil};
    cases[1].loss_share = &layer;
    cases[1].hollow_depth = &layer;
    cases[2].storm_depth = &layer;
    std::size_t seen = 0;
    for (const SitingLayers& layers : cases) {
        for (const SitingEvidence& e : siting_evidence(layers, limits)) {
            EXPECT_FALSE(figure_words(e.name, 0.5, PeopleUnits::us).empty()) << e.name;
            ++seen;
        }
    }
    EXPECT_EQ(seen, 17U);
    for (std::size_t f = 0; f < siting_factors; ++f) {
        EXPECT_FALSE(work_words(static_cast<SitingFactor>(f), 1, 2).empty());
        EXPECT_FALSE(test_words(static_cast<SitingFactor>(f)).empty());
    }
}

TEST(SitingWords, MainReasonIsThatOfMostGround) {
    EXPECT_EQ(main_reason(field(5, 2, 2, 0,
                                {part(with_work, SitingFactor::frost, 1, "", 0),
                                 part(with_work, SitingFactor::slope, 1.5, "", 0),
                                 part(not_here, SitingFactor::frost, 1, "", 0)})),
              "frost");
    EXPECT_EQ(main_reason(field(5, 0, 0, 0, {})), "none");
}

}  // namespace
}  // namespace lielow
