// SPDX-License-Identifier: Apache-2.0
// Hand-made grounds whose right answer is plain from the rule: the worst factor decides.
#include "sim/siting.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <initializer_list>

#include "support/siting_row.hpp"

namespace lielow {
namespace {

using namespace testing;

constexpr double kEndless = std::numeric_limits<double>::infinity();

TEST(SitingLimits, EachLimitBelongsToTheBetterClass) {
    const SitingLimits most = at_most(24, 48);
    EXPECT_EQ(siting_class(most, 24), plant);
    EXPECT_EQ(siting_class(most, 24.001), with_work);
    EXPECT_EQ(siting_class(most, 48), with_work);
    EXPECT_EQ(siting_class(most, 48.001), not_here);
    const SitingLimits least = at_least(10, 5);
    EXPECT_EQ(siting_class(least, kEndless), plant);
    EXPECT_EQ(siting_class(least, 10), plant);
    EXPECT_EQ(siting_class(least, 9.99), with_work);
    EXPECT_EQ(siting_class(least, 5), with_work);
    EXPECT_EQ(siting_class(least, 4.99), not_here);
    EXPECT_EQ(siting_class(least, std::nan("")), unknown);
}

TEST(SitingLimits, ABandHasFourSides) {
    const SitingLimits ph{3, 4.5, 5, 6};
    for (const auto& [value, expected] :
         std::initializer_list<std::pair<double, SitingClass>>{{2.9, not_here},
                                                               {3, with_work},
                                                               {4.4, with_work},
                                                               {4.5, plant},
                                                               {5, plant},
                                                               {5.1, with_work},
                                                               {6, with_work},
                                                               {6.1, not_here}})
        EXPECT_EQ(siting_class(ph, value), expected) << value;
}

/// 5.6 kept in single precision is a little less than 5.6; it stands on the limit all the same.
TEST(SitingLimits, AFigureOnTheLimitIsOnIt) {
    EXPECT_EQ(siting_class({4, 5.6, 6.2, 7}, static_cast<double>(5.6F)), plant);
    EXPECT_EQ(siting_class({4, 5.6, 6.2, 7}, static_cast<double>(6.2F)), plant);
    EXPECT_EQ(siting_class(at_most(0.1, 0.5), static_cast<double>(0.1F)), plant);
}

TEST(SitingLimits, Order) {
    EXPECT_TRUE(in_order(at_most(1, 2)));
    EXPECT_TRUE(in_order(at_most(2, 2)));
    EXPECT_FALSE(in_order(at_most(2, 1)));
    EXPECT_TRUE(in_order(at_least(2, 1)));
    EXPECT_FALSE(in_order(at_least(1, 2)));
    EXPECT_FALSE(in_order({3, 5, 4.5, 6}));
    EXPECT_FALSE(in_order(at_most(std::nan(""), 1)));
}

TEST(Siting, TheWorstFactorDecides) {
    const Field<float> years = row({20, 7, 20, 7, 3, 3});
    const Field<float> depth = row({1, 1, 0.4F, 0.4F, 1, 0.1F});
    const std::vector<SitingEvidence> evidence{of(frost, "loss_years", at_least(10, 5), years),
                                               of(soil_depth, "floor_depth", at_least(0.5, 0.2), depth)};
    const Siting siting = judge(evidence, necessary({frost, soil_depth}), 6);
    const std::vector<std::pair<SitingClass, std::uint8_t>> expected{
        {plant, no_reason},         {with_work, reason(frost)}, {with_work, reason(soil_depth)},
        {with_work, reason(frost)},  // of equals the first
        {not_here, reason(frost)},  {not_here, reason(frost)}};
    for (std::size_t c = 0; c < expected.size(); ++c) {
        EXPECT_EQ(siting.siting[c], number(expected[c].first)) << c;
        EXPECT_EQ(siting.reason[c], expected[c].second) << c;
    }
    EXPECT_EQ(siting.of(5, soil_depth), not_here);
    EXPECT_EQ(siting.of(5, soil_ph), unknown);
}

/// The table of docs/siting.md.
TEST(Siting, WorkedExample) {
    const Field<float> years = row({8, 8, 8, 8, 8, 4, 8, 8, 2, 8});
    const Field<float> share(1, 10, 0.0F);
    SoilFacts soil;
    soil.drainage_class = classes({2, 2, 2, 2, 2, 2, 4, 2, 2, 2});
    soil.ph = row({4.8F, 4.8F, 4.8F, 4.8F, 4.8F, 4.8F, 5.5F, kNan, kNan, 6.5F});
    soil.floor_depth_m = Field<float>(1, 10, 1.0F);
    const Field<float> fine(1, 10, 0.0F);
    SitingLimitSet limits;
    limits.loss_years = at_least(5, 3);
    limits.drainage_class = at_most(3, 4);
    limits.ph = {3, 4.5, 5, 6};
    limits.ph_known = true;
    SitingLayers layers;
    layers.loss_years = &years;
    layers.loss_share = &share;
    layers.hollow_depth = layers.slope = &fine;
    layers.soil = &soil;
    const std::vector<SitingEvidence> evidence = siting_evidence(layers, limits);
    const SitingRule rule = necessary({frost, standing_water, soil_wetness, soil_depth, soil_ph});
    const Siting siting = judge(evidence, rule, 10);
    const std::vector<std::pair<SitingClass, std::uint8_t>> expected{{with_work, reason(frost)},
                                                                     {with_work, reason(soil_wetness)},
                                                                     {unknown, reason(soil_ph)},
                                                                     {not_here, reason(frost)},
                                                                     {not_here, reason(soil_ph)}};
    for (std::size_t c = 0; c < 5; ++c) {
        EXPECT_EQ(siting.siting[c], number(plant)) << c;
        EXPECT_EQ(siting.siting[c + 5], number(expected[c].first)) << c;
        EXPECT_EQ(siting.reason[c + 5], expected[c].second) << c;
    }
    const std::vector<std::uint32_t> cells{0, 1, 2, 3, 4, 5, 6, 7, 8, 9};
    const std::vector<float> whole(10, 1);
    const FieldSiting field = field_siting({1, 10, 10, 10}, siting, evidence, rule, {cells, whole});
    EXPECT_EQ(field.area_m2, (std::array<double, 4>{500, 200, 200, 100}));
}

/// The reverse order of the evidence changes nothing: the order of the factors is fixed.
TEST(Siting, TheOrderOfTheEvidenceDoesNotCount) {
    const Field<float> years = row({7, 3});
    const Field<float> depth = row({0.4F, 0.1F});
    const std::vector<SitingEvidence> evidence{of(soil_depth, "floor_depth", at_least(0.5, 0.2), depth),
                                               of(frost, "loss_years", at_least(10, 5), years)};
    const Siting siting = judge(evidence, necessary({frost}), 2);
    EXPECT_EQ(siting.reason[0], reason(frost));
    EXPECT_EQ(siting.reason[1], reason(frost));
}

TEST(Siting, UnknownStaysUnknownUnlessItIsAlreadyTooBad) {
    const Field<float> years = row({20, 7, 3, kNan, kNan});
    const Field<float> ph = row({kNan, kNan, kNan, 4.7F, 9});
    const std::vector<SitingEvidence> evidence{of(frost, "loss_years", at_least(10, 5), years),
                                               of(soil_ph, "ph", {3, 4.5, 5, 6}, ph)};
    const Siting strict = judge(evidence, necessary({frost, soil_ph}), 5);
    const std::vector<SitingClass> expected{unknown, unknown, not_here, unknown, not_here};
    const std::vector<std::uint8_t> reasons{reason(soil_ph), reason(soil_ph), reason(frost), reason(frost),
                                            reason(soil_ph)};
    for (std::size_t c = 0; c < 5; ++c) {
        EXPECT_EQ(strict.siting[c], number(expected[c])) << c;
        EXPECT_EQ(strict.reason[c], reasons[c]) << c;
    }
    EXPECT_EQ(known_siting(strict, 0), plant);
    EXPECT_EQ(known_siting(strict, 1), with_work);
    const Siting lenient = judge(evidence, necessary({frost}), 5);
    EXPECT_EQ(lenient.siting[0], number(plant));  // pH isn't necessary there
    EXPECT_EQ(lenient.siting[3], number(unknown));
}

TEST(Siting, NothingKnownIsUnknownWithoutAnythingNecessary) {
    const Siting siting = judge({}, {}, 2);
    EXPECT_EQ(siting.siting[0], number(unknown));
    EXPECT_EQ(siting.reason[0], no_reason);
    EXPECT_EQ(known_siting(siting, 1), unknown);
}

TEST(Siting, NoGroundHasNoClass) {
    Field<std::uint8_t> known(1, 2, 1);
    known[1] = 0;
    const Field<float> years = row({20, 20});
    const Siting siting =
        judge_siting({1, 2, 1, 1}, known, {of(frost, "loss_years", at_least(10, 5), years)}, {});
    EXPECT_EQ(siting.siting[1], 255);
    EXPECT_EQ(siting.reason[1], 255);
}

/// Days after the storm and the soil's own wetness stand in for one another, and each can still be the worst.
TEST(Siting, WetnessIsKnownByTheStormOrByTheSoil) {
    const Field<float> days = row({1, kNan, kNan, 9});
    const Field<float> drainage = row({kNan, 2, kNan, 2});
    const std::vector<SitingEvidence> evidence{of(days_wet, "drain_days", at_most(1, 2), days),
                                               of(soil_wetness, "drainage_class", at_most(3, 4), drainage)};
    const Siting siting = judge(evidence, necessary({soil_wetness}), 4);
    EXPECT_EQ(siting.siting[0], number(plant));
    EXPECT_EQ(siting.siting[1], number(plant));
    EXPECT_EQ(siting.siting[2], number(unknown));
    EXPECT_EQ(siting.reason[2], reason(soil_wetness));
    EXPECT_EQ(siting.siting[3], number(not_here));
    EXPECT_EQ(siting.reason[3], reason(days_wet));
}

TEST(Siting, SameBitsForOneAndSeveralThreads) {
    const Grid grid{50, 60, 2, 2};
    Field<float> a(50, 60);
    for (std::size_t c = 0; c < a.size(); ++c) a[c] = c % 7 == 0 ? kNan : static_cast<float>(c % 100);
    const std::vector<SitingEvidence> evidence{of(frost, "a", at_least(50, 20), a),
                                               of(slope, "b", at_most(70, 90), a)};
    const Field<std::uint8_t> known(50, 60, 1);
    const int before = omp_get_max_threads();
    omp_set_num_threads(1);
    const Siting one = judge_siting(grid, known, evidence, necessary({frost}));
    const Field<float> slope_by_one = ground_slope(grid, a, 5);
    omp_set_num_threads(4);
    const Siting four = judge_siting(grid, known, evidence, necessary({frost}));
    const Field<float> slope_by_four = ground_slope(grid, a, 5);
    omp_set_num_threads(before);
    EXPECT_EQ(std::memcmp(one.states.data(), four.states.data(), one.states.size() * sizeof(std::uint32_t)),
              0);
    EXPECT_EQ(std::memcmp(one.siting.data(), four.siting.data(), one.siting.size()), 0);
    EXPECT_EQ(std::memcmp(slope_by_one.data(), slope_by_four.data(), a.size() * sizeof(float)), 0);
}

SitingLimitSet limit_set() {
    SitingLimitSet limits;
    limits.loss_years = at_least(10, 5);
    limits.loss_share = at_most(0.1, 0.5);
    limits.standing_hours = at_most(24, 48);
    limits.pond_depth = at_most(0.0254, 0.3048);
    limits.wet_days = at_most(1, 2);
    limits.drainage_class = at_most(3, 4);
    limits.table_depth = at_least(0.6, 0.254);
    limits.frequency = at_most(2, 3);
    limits.soil_depth = at_least(0.508, 0.2032);
    limits.ph = {3, 4.5, 5, 6};
    limits.ph_known = true;
    limits.hard_share = at_most(0.5, 1);
    limits.slope = at_most(0.1, 0.2);
    limits.available_water = at_least(0.1, 0);
    return limits;
}

/// Where the record says "rarer than one in 100" the raster of years holds nothing: that is good ground.
TEST(SitingEvidence, RarerThanToldIsNoFrostUnknownNightIsUnknown) {
    const Field<float> years = row({kNan, 3, kNan});
    const Field<float> share = row({0.0F, 0.9F, kNan});
    SitingLayers layers;
    layers.loss_years = &years;
    layers.loss_share = &share;
    const Siting siting = judge(siting_evidence(layers, limit_set()), necessary({frost}), 3);
    EXPECT_EQ(siting.siting[0], number(plant));
    EXPECT_EQ(siting.siting[1], number(not_here));
    EXPECT_EQ(siting.siting[2], number(unknown));
    layers.loss_years = nullptr;
    const Siting by_night = judge(siting_evidence(layers, limit_set()), necessary({frost}), 3);
    EXPECT_EQ(by_night.siting[0], number(plant));
    EXPECT_EQ(by_night.siting[1], number(not_here));
    EXPECT_EQ(by_night.siting[2], number(unknown));
}

/// A storm that runs down a slope a foot deep leaves nothing behind; in a hollow it does.
TEST(SitingEvidence, RunningWaterIsNoPond) {
    const Field<float> hours = row({1, 1, 30});
    const Field<float> depth = row({0.3F, 0.3F, 0.02F});
    const Field<float> hollow = row({0, 0.2F, 0});
    SitingLayers layers;
    layers.storm_hours = &hours;
    layers.storm_depth = &depth;
    layers.hollow_depth = &hollow;
    const Siting run = judge(siting_evidence(layers, limit_set()), {}, 3);
    EXPECT_EQ(run.siting[0], number(plant));
    EXPECT_EQ(run.siting[1], number(with_work));
    EXPECT_EQ(run.siting[2], number(with_work));  // by its hours
    layers.storm_hours = nullptr;                 // then the depth is that of ponds
    EXPECT_EQ(judge(siting_evidence(layers, limit_set()), {}, 3).siting[0], number(with_work));
    layers.storm_depth = nullptr;
    EXPECT_EQ(judge(siting_evidence(layers, limit_set()), {}, 3).siting[0], number(plant));
}

/// Drainage class and both water tables together: the worst that is known; unknown only where none is.
TEST(SitingEvidence, WorstKnownWordOnWetness) {
    SoilFacts soil;
    soil.drainage_class = classes({2, 2, 255, 255, 5});
    soil.table_depth_year_m = row({1, 0.3F, kNan, kNan, kNan});
    soil.table_depth_spring_m = row({1, 1, 0.1F, kNan, kNan});
    SitingLayers layers;
    layers.soil = &soil;
    const Siting siting = judge(siting_evidence(layers, limit_set()), necessary({soil_wetness}), 5);
    const std::vector<SitingClass> expected{plant, with_work, not_here, unknown, not_here};
    for (std::size_t c = 0; c < 5; ++c) EXPECT_EQ(siting.siting[c], number(expected[c])) << c;
}

/// Water seen in a pit is a bound: deep, it says nothing; shallow, it says wet.
TEST(SitingEvidence, WaterSeenOnceMakesNoGroundDry) {
    SoilFacts soil;
    soil.table_depth_year_m = row({1, 1, 0.3F, 0.1F});
    soil.table_seen_only = classes({0, 1, 1, 1});
    SitingLayers layers;
    layers.soil = &soil;
    const Siting siting = judge(siting_evidence(layers, limit_set()), necessary({soil_wetness}), 4);
    const std::vector<SitingClass> expected{plant, unknown, with_work, not_here};
    for (std::size_t c = 0; c < 4; ++c) EXPECT_EQ(siting.siting[c], number(expected[c])) << c;
}

TEST(SitingEvidence, EveryFactOfTheSoilIsHeard) {
    const auto verdict = [](SoilFacts soil) {
        SitingLayers layers;
        layers.soil = &soil;
        const Siting siting = judge(siting_evidence(layers, limit_set()), {}, 1);
        return std::pair(static_cast<SitingClass>(siting.siting[0]), siting.reason[0]);
    };
    SoilFacts soil;
    soil.flooding = classes({4});
    EXPECT_EQ(verdict(std::move(soil)), std::pair(not_here, reason(flooding)));
    soil = {};
    soil.ponding = classes({3});
    EXPECT_EQ(verdict(std::move(soil)), std::pair(with_work, reason(standing_water)));
    soil = {};
    soil.floor_depth_m = row({0.1F});
    EXPECT_EQ(verdict(std::move(soil)), std::pair(not_here, reason(soil_depth)));
    soil = {};
    soil.ph = row({6.5F});
    EXPECT_EQ(verdict(std::move(soil)), std::pair(not_here, reason(soil_ph)));
    soil = {};
    soil.hard_share = row({0.8F});
    EXPECT_EQ(verdict(std::move(soil)), std::pair(with_work, reason(hard_soil)));
    soil = {};
    soil.available_water_m = row({0.05F});
    EXPECT_EQ(verdict(std::move(soil)), std::pair(with_work, reason(available_water)));
    soil = {};
    EXPECT_EQ(verdict(std::move(soil)).first, unknown);
}

}  // namespace
}  // namespace lielow
