// SPDX-License-Identifier: Apache-2.0
#include "io/summary.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <nlohmann/json.hpp>

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;

Summary small_summary() {
    Summary summary;
    summary.version = "0.1.0";
    summary.libraries = {{"GDAL", "3.6.2"}};
    summary.title = "Home farm";
    summary.site_file = "farm.toml";
    summary.inputs = {{"ground.dem", "maps/dem.tif", {12, "ab"}}};
    summary.settings = {{"water.stage", "20 ft", "default"}};
    summary.ground.rows = 3;
    summary.ground.vertical_unit = "ft";
    summary.ground.vertical_unit_from = "band unit";
    summary.parts = {{"water", {{"stage_m", 6.096, {}}}, {{"low_point", "in the swale"}}}};
    summary.fields = {{"Top", 1000, {{"fill_stage", "m", 0.1F, 1, 2, 1}}, {{"under_water_m2", 250, {}}}}};
    summary.hollow_count = 7;
    summary.hollows = {{10, 2, 0.5, 101.25, 500001, 4400001}};
    summary.run = {{{"fill stage", 0.12345}}, 4096, 2};
    return summary;
}

TEST(Summary, HoldsEveryFigure) {
    const Json json = Json::parse(summary_json(small_summary()));
    EXPECT_EQ(json["tool"]["version"], "0.1.0");
    EXPECT_EQ(json["tool"]["libraries"]["GDAL"], "3.6.2");
    EXPECT_EQ(json["title"], "Home farm");
    EXPECT_EQ(json["inputs"][0]["file"], "maps/dem.tif");
    EXPECT_EQ(json["inputs"][0]["sha256"], "ab");
    EXPECT_EQ(json["settings"]["water.stage"]["value"], "20 ft");
    EXPECT_EQ(json["ground"]["rows"], 3);
    EXPECT_EQ(json["ground"]["vertical_unit"]["from"], "band unit");
    EXPECT_EQ(json["parts"]["water"]["stage_m"], 6.096);
    EXPECT_EQ(json["parts"]["water"]["low_point"], "in the swale");
    EXPECT_EQ(json["fields"][0]["under_water_m2"], 250.0);
    EXPECT_EQ(json["fields"][0]["rasters"]["fill_stage"]["unit"], "m");
    EXPECT_EQ(json["fields"][0]["rasters"]["fill_stage"]["greatest"], 2.0);
    EXPECT_EQ(json["hollows"]["count"], 7);
    EXPECT_EQ(json["hollows"]["largest"][0]["spill_level_m"], 101.25);
    EXPECT_EQ(json["hollows"]["largest"][0]["spill_position"]["x"], 500001.0);
    EXPECT_EQ(json["run"]["stages"][0]["time_s"], 0.123);
    EXPECT_EQ(json["run"]["threads"], 2);
}

TEST(Summary, SidesAndSpotsWhereThereAreSome) {
    Summary summary = small_summary();
    EXPECT_FALSE(Json::parse(summary_json(summary)).contains("spots"));
    EXPECT_FALSE(Json::parse(summary_json(summary))["fields"][0].contains("sides"));
    summary.fields[0].sides = {{"NW", 12, 3, 40, 10, 25}};
    summary.fields[0].cold_comes = "from the bank";
    summary.spots = {{"Gate", 500010.5, 4400020, {{"lowest_c", -2.5, {}}}, {{"lowest_at", "05:10"}}}};
    const Json json = Json::parse(summary_json(summary));
    const Json& side = json["fields"][0]["sides"]["NW"];
    EXPECT_EQ(side["air_in_m3_s"], 12.0);
    EXPECT_EQ(side["air_out_m3_s"], 3.0);
    EXPECT_EQ(side["cold_in_kw"], 40.0);
    EXPECT_EQ(side["cold_out_kw"], 10.0);
    EXPECT_EQ(side["low_cold_in_kw"], 25.0);
    EXPECT_EQ(json["fields"][0]["cold_comes"], "from the bank");
    EXPECT_EQ(json["spots"][0]["name"], "Gate");
    EXPECT_EQ(json["spots"][0]["position"]["x"], 500010.5);
    EXPECT_EQ(json["spots"][0]["lowest_c"], -2.5);
    EXPECT_EQ(json["spots"][0]["lowest_at"], "05:10");
}

TEST(Summary, SinglePrecisionIsNotSpeltOut) {
    const Json json = Json::parse(summary_json(small_summary()));
    EXPECT_EQ(json["fields"][0]["rasters"]["fill_stage"]["least"].dump(), "0.1");
}

TEST(Summary, WhatIsNotKnownIsNull) {
    Summary summary = small_summary();
    summary.fields[0].figures[0].value = std::numeric_limits<double>::quiet_NaN();
    summary.fields[0].rasters[0].greatest = std::numeric_limits<double>::infinity();
    const Json json = Json::parse(summary_json(summary));
    EXPECT_TRUE(json["fields"][0]["under_water_m2"].is_null());
    EXPECT_TRUE(json["fields"][0]["rasters"]["fill_stage"]["greatest"].is_null());
}

TEST(Summary, NamesWithBrokenTextDoNotStopIt) {
    Summary summary = small_summary();
    summary.fields[0].name = "M\xfchle";
    EXPECT_EQ(Json::parse(summary_json(summary))["fields"][0]["name"], "M\uFFFDhle");
}

TEST(Summary, SameInputsSameBytes) {
    EXPECT_EQ(summary_json(small_summary()), summary_json(small_summary()));
}

}  // namespace
}  // namespace lielow
