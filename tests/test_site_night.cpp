// SPDX-License-Identifier: Apache-2.0
// The site file's keys for the night, its ground cover, the crop and the station.
#include <gtest/gtest.h>

#include "io/site.hpp"
#include "support/site_file.hpp"

namespace lielow {
namespace {

using testing::ground;
using testing::setting;
using testing::SiteFile;

TEST_F(SiteFile, TheNightsLoss) {
    const Site site =
        read(ground +
             "[night]\ndew_point = \"34 degF\"\nweather = \"station.csv\"\nheat_loss = \"12 W/m2\"\n"
             "air_share = 0.4\nsky_directions = 8\n");
    EXPECT_NEAR(site.night.dew_point_k.value(), 273.15 + 2 / 1.8, 1e-9);
    EXPECT_EQ(site.night.weather.value().filename(), "station.csv");
    EXPECT_DOUBLE_EQ(site.night.heat_loss_w_m2.value(), 12);
    EXPECT_DOUBLE_EQ(site.night.air_share, 0.4);
    EXPECT_EQ(site.night.sky_directions, 8);
    EXPECT_EQ(refusal(ground + "[night]\nsky_directions = 7\n"),
              "site.toml, line 4, column 18: night.sky_directions = 7 must be 0 or an even number from 4");
    EXPECT_EQ(refusal(ground + "[night]\nsky_directions = 0\n"), "accepted");
    EXPECT_NE(refusal(ground + "[night]\nair_share = 0\n").find("out of range"), std::string::npos);
}

TEST_F(SiteFile, HowTheAirMixes) {
    const Site plain = read(ground);
    EXPECT_FALSE(plain.night.mixing_by_stability);
    EXPECT_DOUBLE_EQ(plain.night.calm_friction_velocity_m_s, 0.08);
    const Site site =
        read(ground + "[night]\nmixing_law = \"stability\"\ncalm_friction_velocity = \"10 cm/s\"\n");
    EXPECT_TRUE(site.night.mixing_by_stability);
    EXPECT_DOUBLE_EQ(site.night.calm_friction_velocity_m_s, 0.1);
    EXPECT_NE(refusal(ground + "[night]\nmixing_law = \"gradient\"\n"), "accepted");
    EXPECT_NE(refusal(ground + "[night]\ncalm_friction_velocity = \"0 m/s\"\n").find("out of range"),
              std::string::npos);
}

TEST_F(SiteFile, HowANightIsRead) {
    const Site plain = read(ground);
    ASSERT_EQ(plain.night.hours_below_k.size(), 1U);
    EXPECT_NEAR(plain.night.hours_below_k[0], 273.15, 1e-9);
    EXPECT_NEAR(plain.night.flow_height_m, 3.048, 1e-9);
    EXPECT_FALSE(plain.night.flow_hour_s);
    const Site site = read(ground + R"([night]
hours_below = "0 degC, 28 degF"
flow_height = "6 m"
flow_hour = "04:30"
[spots]
file = "spots.csv"
at = "Gate: 1, 2; Pond: 3, 4"
)");
    ASSERT_EQ(site.night.hours_below_k.size(), 2U);
    EXPECT_NEAR(site.night.hours_below_k[0], 273.15, 1e-9);
    EXPECT_NEAR(site.night.hours_below_k[1], (28 + 459.67) / 1.8, 1e-9);
    EXPECT_DOUBLE_EQ(site.night.flow_height_m, 6);
    EXPECT_EQ(site.night.flow_hour_s, 4.5 * 3600);
    EXPECT_EQ(site.spots.file, folder_ / "spots.csv");
    EXPECT_EQ(site.spots.at, "Gate: 1, 2; Pond: 3, 4");
    const auto night = [this](const std::string& line) {
        return refusal(ground + "[night]\n" + line + "\n");
    };
    EXPECT_TRUE(night(R"(hours_below = "28 ft")")
                    .starts_with("site.toml, line 4, column 15: night.hours_below: \"28 ft\" is not a "));
    EXPECT_NE(night(R"(hours_below = "32 degF, 28")").find("\"28\" has no unit"), std::string::npos);
    EXPECT_NE(night(R"(hours_below = "32 degF, 0 degC")").find("\"0 degC\" stands there twice"),
              std::string::npos);
    EXPECT_NE(night(R"(hours_below = "900 degF")").find("out of range"), std::string::npos);
    for (const char* hour : {"4 am", "24:00", "4:60", "04:5", "-1:00", "04:00:00", "4.5:00"}) {
        EXPECT_EQ(night("flow_hour = \"" + std::string(hour) + "\""),
                  "site.toml, line 4, column 13: night.flow_hour: \"" + std::string(hour) +
                      "\" is no time of day; write \"04:00\"");
    }
    EXPECT_EQ(refusal(ground + "[spots]\nat = \"A: 1, 2; A: 3, 4\"\n"),
              "site.toml, line 4, column 6: spots.at: two spots are named \"A\"; give each its own name");
}

TEST_F(SiteFile, WhatIsTuned) {
    const Site plain = read(ground);
    EXPECT_FALSE(plain.tune.records);
    EXPECT_TRUE(plain.tune.ranges.empty());
    EXPECT_EQ(plain.tune.trials, 16);
    EXPECT_EQ(plain.tune.paths, 8);
    EXPECT_EQ(plain.tune.seed, 1U);
    const Site site = read(ground + R"([tune]
records = "loggers.csv"
design = "latin"
trials = 7
seed = 3
cell = "60 ft"
sensitivity = "variance"
paths = 100
[tune.ranges]
night.mixing = ["0.02 m2/s", "0.1 m2/s"]
"night.evening_air" = ["40 degF", "50 degF"]
"night.ground_drag" = [0.01, 0.04]
)");
    EXPECT_EQ(site.tune.records->filename(), "loggers.csv");
    EXPECT_EQ(site.tune.design, TuneDesign::latin);
    EXPECT_EQ(site.tune.trials, 7);
    EXPECT_EQ(site.tune.seed, 3U);
    EXPECT_NEAR(site.tune.cell_m.value(), 18.288, 1e-9);
    EXPECT_EQ(site.tune.sensitivity, TuneSensitivity::variance);
    EXPECT_EQ(site.tune.paths, 100);
    ASSERT_EQ(site.tune.ranges.size(), 3U);  // in the order of the table of keys
    EXPECT_NEAR(site.tune.ranges[0].low, (40 + 459.67) / 1.8, 1e-9);
    EXPECT_EQ(site.tune.ranges[0].unit, "degF");
    EXPECT_EQ(site.tune.ranges[0].text, "40 degF to 50 degF");
    EXPECT_DOUBLE_EQ(site.tune.ranges[1].high, 0.1);
    EXPECT_DOUBLE_EQ(site.tune.ranges[2].high, 0.04);
    EXPECT_EQ(site.tune.ranges[2].unit, "");
}

TEST_F(SiteFile, RangesThatCantBe) {
    const auto ranges = [](const std::string& line) { return ground + "[tune.ranges]\n" + line + "\n"; };
    EXPECT_EQ(
        refusal(ranges(R"("night.mixing" = ["0.1 m2/s", "0.02 m2/s"])")),
        "site.toml, line 3, column 1: tune.ranges: night.mixing from 0.1 m2/s to 0.02 m2/s is upside down "
        "or empty; write the lesser first");
    for (const auto& [line, words] :
         {std::pair(R"("night.mixin" = ["0.1 m2/s", "0.2 m2/s"])", "nearest key that can is night.mixing"),
          std::pair(R"("night.sheets" = [5, 9])", "night.sheets can't be tuned"),
          std::pair(R"("water.stage" = ["5 ft", "9 ft"])", "water.stage can't be tuned"),
          std::pair(R"("night.mixing" = ["0.1 m2/s"])", "must be a pair"),
          std::pair(R"("night.mixing" = [0.1, 0.2])", "has no unit"),
          std::pair(R"("night.mixing" = ["0.1 m", "0.2 m"])", "night.mixing"),
          std::pair(R"("night.ground_drag" = [0.1, 2.0])", "out of range"),
          std::pair("", "tune.ranges is empty")})
        EXPECT_NE(refusal(ranges(line)).find(words), std::string::npos)
            << line << ": " << refusal(ranges(line));
}

TEST_F(SiteFile, CropAndStation) {
    const Site site = read(ground + R"([crop]
kind = "apple"
stage = "full bloom"
table = "own.toml"
damaging_share = 0.5
life = 30
tender_from = "04-12"
tender_to = "05-05"
degree_day_base = "40 degF"
tender_from_sum = "250 degF"
tender_to_sum = "250 K"
[station]
record = "station.csv"
place = "431250.0, 4512800.0"
clear_share = 0.5
)");
    EXPECT_EQ(site.crop.kind, "apple");
    EXPECT_EQ(site.crop.stage, "full bloom");
    EXPECT_EQ(site.crop.table, folder_ / "own.toml");
    EXPECT_DOUBLE_EQ(site.crop.damaging_share, 0.5);
    EXPECT_EQ(site.crop.life_years, 30);
    EXPECT_EQ(site.crop.tender_from, (MonthDay{4, 12}));
    EXPECT_EQ(site.crop.tender_to, (MonthDay{5, 5}));
    EXPECT_NEAR(site.crop.degree_day_base_k.value(), (40 + 459.67) / 1.8, 1e-9);
    EXPECT_NEAR(site.crop.tender_from_sum_k.value(), 250 / 1.8, 1e-9);
    EXPECT_NEAR(site.crop.tender_to_sum_k.value(), 250, 1e-9);
    EXPECT_EQ(site.station.record, folder_ / "station.csv");
    EXPECT_EQ(site.station.place, "431250.0, 4512800.0");
    EXPECT_DOUBLE_EQ(site.station.clear_share, 0.5);
    EXPECT_EQ(refusal(ground + "[crop]\ntender_from = \"April 12\"\n"),
              "site.toml, line 4, column 15: crop.tender_from: \"April 12\" is not a month and a day; write "
              "\"04-12\" for 12 April");
    const Site plain = read(ground);
    EXPECT_DOUBLE_EQ(plain.crop.damaging_share, 0.1);
    EXPECT_EQ(plain.crop.life_years, 20);
    EXPECT_DOUBLE_EQ(plain.station.clear_share, 1.0);
}

TEST_F(SiteFile, ClassesOfLandCover) {
    const Site site = read(ground + R"([cover.orchard]
height = "12 ft"
canopy_drag = 0.1
[cover.gravel]
code = 20
loss = 0.6
ground_drag = 0.006
)");
    ASSERT_EQ(site.cover.size(), usual_cover_classes().size() + 1);
    EXPECT_EQ(site.cover[2].name, "orchard");
    EXPECT_NEAR(site.cover[2].height_m, 3.6576, 1e-12);
    EXPECT_EQ(site.cover[2].canopy_drag, 0.1);
    EXPECT_EQ(site.cover[2].loss, usual_cover_classes()[2].loss);
    EXPECT_EQ(site.cover.back().name, "gravel");
    EXPECT_EQ(site.cover.back().code, 20);
    EXPECT_EQ(site.cover.back().ground_drag, 0.006);
    EXPECT_EQ(read(ground).cover.size(), usual_cover_classes().size());
    EXPECT_EQ(refusal(ground + "[cover.sod]\nlos = 0.5\n"),
              "site.toml, line 3, column 1: unknown key cover.sod.los; the nearest known one is loss");
    EXPECT_EQ(refusal(ground + "[cover.sod]\nloss = 5\n"),
              "site.toml, line 3, column 1: cover.sod.loss = 5 is out of range; it must lie from 0 to 1.5");
    EXPECT_EQ(
        refusal(ground + "[cover.rock]\ncode = 2\n"),
        "site.toml, line 3, column 1: cover.sod and cover.rock both have the code 2; give each its own");
    EXPECT_EQ(
        refusal(ground + "[cover.rock]\ncanopy_drag = 0.2\n"),
        "site.toml, line 3, column 1: cover.rock.canopy_drag needs a height; write height = \"13 ft\" under "
        "[cover.rock]");
    EXPECT_EQ(refusal(ground + "[cover]\nsod = 1\n"),
              "site.toml, line 3, column 1: cover.sod must be a section; write [cover.sod] and below it "
              "code, loss, "
              "ground_drag, height, canopy_drag");
}

}  // namespace
}  // namespace lielow
