// SPDX-License-Identifier: Apache-2.0
#include "io/site.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <numbers>
#include <set>

#include "io/site_keys.hpp"
#include "sim/errors.hpp"
#include "support/site_file.hpp"

namespace lielow {
namespace {

using testing::ground;
using testing::setting;
using testing::SiteFile;

TEST_F(SiteFile, ReadsEveryKindOfValue) {
    const Site site = read(R"(title = "Example"
units = "si"
[ground]
dem = "maps/dem.tif"
vertical_unit = "ft"
bridge_area = "0.5 acre"
[night]
date = 2026-04-18
evening_air = "48 degF"
cloud = 0.25
sheets = 12
edges = "wall"
utc_offset = "-5 h"
wind = "10 mph"
wind_direction = "270 deg"
wind_height = "6 ft"
[water]
stage = "10 ft"
)");
    EXPECT_EQ(site.title, "Example");
    EXPECT_EQ(site.units, PeopleUnits::si);
    EXPECT_EQ(site.ground.dem, folder_ / "maps/dem.tif");
    EXPECT_EQ(site.ground.vertical_unit, "ft");
    EXPECT_DOUBLE_EQ(site.ground.bridge_area_m2, 0.5 * 4046.8564224);
    using namespace std::chrono_literals;
    EXPECT_EQ(site.night.date, 2026y / 4 / 18);
    EXPECT_NEAR(site.night.evening_air_k.value(), (48 + 459.67) * 5 / 9, 1e-10);
    EXPECT_DOUBLE_EQ(site.night.cloud, 0.25);
    EXPECT_EQ(site.night.sheets, 12);
    EXPECT_EQ(site.night.edges, NightEdges::wall);
    EXPECT_DOUBLE_EQ(site.night.utc_offset_s.value(), -18000.0);
    EXPECT_NEAR(site.night.wind_m_s.value(), 4.4704, 1e-9);
    EXPECT_NEAR(site.night.wind_from_rad.value(), 1.5 * std::numbers::pi, 1e-9);
    EXPECT_NEAR(site.night.wind_height_m, 1.8288, 1e-9);
    EXPECT_DOUBLE_EQ(site.water.stage_m, 3.048);
}

TEST_F(SiteFile, DefaultsAreThoseOfTheTable) {
    const Site site = read(ground);
    EXPECT_EQ(site.title, "site");
    EXPECT_EQ(site.units, PeopleUnits::us);
    EXPECT_DOUBLE_EQ(site.water.stage_m, 20 * 0.3048);
    EXPECT_FALSE(site.night.heat_loss_w_m2.has_value());
    EXPECT_FALSE(site.night.dew_point_k.has_value());
    EXPECT_DOUBLE_EQ(site.night.air_share, 0.5);
    EXPECT_DOUBLE_EQ(site.night.mixing_m2_s, 0.04);
    EXPECT_FALSE(site.night.wind_m_s.has_value());
    EXPECT_FALSE(site.night.wind_from_rad.has_value());
    EXPECT_DOUBLE_EQ(site.night.wind_height_m, 10.0);
    EXPECT_DOUBLE_EQ(site.night.roughness_m, 0.1);
    EXPECT_DOUBLE_EQ(site.night.mixed_depth_m, 100.0);
    EXPECT_DOUBLE_EQ(site.night.ground_drag, 0.02);
    EXPECT_DOUBLE_EQ(site.night.interface_drag, 0.002);
    EXPECT_DOUBLE_EQ(site.night.plant_height_m, 1.524);
    EXPECT_DOUBLE_EQ(site.night.sheet_step_k, 0.0);
    EXPECT_EQ(site.night.sheets, 0);
    EXPECT_DOUBLE_EQ(site.night.cell_m, 0.0);
    EXPECT_EQ(site.night.reference, "highest");
    EXPECT_EQ(site.night.edges, NightEdges::far_field);
    EXPECT_FALSE(site.night.date.has_value());
    EXPECT_FALSE(site.ground.fields.has_value());
}

TEST_F(SiteFile, SettingsTellWhereTheyComeFrom) {
    const Site site = read(ground + "[water]\nstage = \"3 m\"\n");
    ASSERT_EQ(site.settings.size(), site_keys().size());
    EXPECT_EQ(setting(site, "water.stage").text, "3 m");
    EXPECT_EQ(setting(site, "water.stage").origin, "site file");
    EXPECT_EQ(setting(site, "night.mixing").text, "0.04 m2/s");
    EXPECT_EQ(setting(site, "night.mixing").origin, "default");
    EXPECT_EQ(setting(site, "ground.crs").text, "as the DEM says");
    EXPECT_EQ(setting(site, "ground.crs").origin, "not set");
}

TEST_F(SiteFile, AbsolutePathsStay) {
    EXPECT_EQ(read("[ground]\ndem = \"/data/dem.tif\"\n").ground.dem, "/data/dem.tif");
}

TEST_F(SiteFile, MissingFileAndFolder) {
    try {
        read_site(folder_ / "farm.toml");
        FAIL();
    } catch (const InputError& error) {
        EXPECT_EQ(message_of(error), "there is no site file farm.toml");
    }
    EXPECT_THROW(read_site(folder_.path()), InputError);
}

TEST_F(SiteFile, BareNumber) {
    EXPECT_EQ(refusal(ground + "[water]\nstage = 20\n"),
              R"(site.toml, line 4, column 9: water.stage = 20 has no unit; write "20 ft" or "6 m")");
    EXPECT_EQ(refusal(ground + "[water]\nstage = 20.5\n"),
              R"(site.toml, line 4, column 9: water.stage = 20.5 has no unit; write "20 ft" or "6 m")");
    EXPECT_EQ(
        refusal(ground + "[night]\nevening_air = \"48\"\n"),
        R"(site.toml, line 4, column 15: night.evening_air: "48" has no unit; write "48 degF" or "9 degC")");
}

TEST_F(SiteFile, WrongType) {
    EXPECT_EQ(refusal(ground + "[night]\ndate = \"2026-04-18\"\n"),
              "site.toml, line 4, column 8: night.date is a text, must be a date such as 2026-04-18");
    EXPECT_EQ(
        refusal(ground + "[night]\ndate = 2026-04-18T20:00:00\n"),
        "site.toml, line 4, column 8: night.date is a date with a time, must be a date such as 2026-04-18");
    EXPECT_EQ(refusal(ground + "[night]\ncloud = \"0.3\"\n"),
              "site.toml, line 4, column 9: night.cloud is a text, must be a number such as 0.3");
    EXPECT_EQ(refusal(ground + "[night]\nsheets = 2.5\n"),
              "site.toml, line 4, column 10: night.sheets is a number, must be a whole number such as 12");
    EXPECT_EQ(refusal("title = 3\n" + ground),
              R"(site.toml, line 1, column 9: title is a whole number, must be a text such as "Home farm")");
    EXPECT_EQ(refusal("units = true\n" + ground),
              R"(site.toml, line 1, column 9: units is true or false, must be a text such as "us" or "si")");
    EXPECT_EQ(refusal("[ground]\ndem = [\"a.tif\", \"b.tif\"]\n"),
              R"(site.toml, line 2, column 7: ground.dem is a list, must be a text such as "dem.tif")");
    EXPECT_EQ(refusal("[ground.dem]\nfile = \"a.tif\"\n"),
              R"(site.toml, line 1, column 1: ground.dem is a section, must be a text such as "dem.tif")");
    EXPECT_EQ(
        refusal(ground + "[water]\nstage = false\n"),
        R"(site.toml, line 4, column 9: water.stage is true or false, must be a text such as "20 ft" or "6 m")");
    EXPECT_EQ(refusal("water = 3\n" + ground),
              "site.toml, line 1, column 9: water is a section; write [water] and its keys below it");
}

TEST_F(SiteFile, UnknownKeyAndSectionWithTheNearest) {
    EXPECT_EQ(refusal(ground + "[night]\nclowd = 0.3\n"),
              "site.toml, line 4, column 9: unknown key night.clowd; the nearest known one is night.cloud");
    EXPECT_EQ(refusal("[ground]\nDEM = \"dem.tif\"\n"),
              "site.toml, line 2, column 7: unknown key ground.DEM; the nearest known one is ground.dem");
    EXPECT_EQ(refusal("stage = \"20 ft\"\n" + ground),
              "site.toml, line 1, column 9: unknown key stage; the nearest known one is water.stage");
    EXPECT_EQ(refusal(ground + "[nigth]\ncloud = 0.3\n"),
              "site.toml, line 3, column 1: unknown section [nigth]; the nearest known one is [night]");
    EXPECT_EQ(refusal("\"night.cloud\" = 0.3\n" + ground).find("site.toml, line 1, column 17: unknown key"),
              0U);
}

TEST_F(SiteFile, ReportsTheFirstMistakeOfSeveral) {
    EXPECT_EQ(refusal("units = \"uk\"\n[water]\nstage = 20\n[ground]\ndem = 4\n"),
              R"(site.toml, line 1, column 9: units = "uk" is not known; write "us" or "si")");
}

TEST_F(SiteFile, UnknownUnitAndWrongDimension) {
    EXPECT_EQ(refusal(ground + "[water]\nstage = \"20 fathomz\"\n"),
              "site.toml, line 4, column 9: water.stage: \"20 fathomz\" has the unit \"fathomz\", which is "
              "not known; write "
              "a length in ft, in, mi, m, cm, mm or km");
    EXPECT_EQ(refusal(ground + "[water]\nstage = \"12 degF\"\n"),
              "site.toml, line 4, column 9: water.stage: \"12 degF\" is not a length; write it in ft, in, "
              "mi, m, cm, mm or km");
}

TEST_F(SiteFile, DuplicateKeyAndSyntaxErrorNameTheLine) {
    EXPECT_EQ(refusal(ground + "dem = \"other.tif\"\n").find("site.toml, line 3, column "), 0U);
    EXPECT_NE(refusal(ground + "dem = \"other.tif\"\n").find("'dem'"), std::string::npos);
    EXPECT_EQ(refusal(ground + "fields = \n").find("site.toml, line 3, column "), 0U);
    EXPECT_EQ(refusal(ground + "[night]\ndate = 2026-02-30\n").find("site.toml, line 4, column "), 0U);
}

TEST_F(SiteFile, QuantityWithoutQuotes) {
    const std::string message = refusal(ground + "[water]\nstage = 20 ft\n");
    EXPECT_EQ(message.find("site.toml, line 4, column "), 0U) << message;
    EXPECT_NE(message.find(R"(; a quantity stands in quotes, such as "20 ft")"), std::string::npos)
        << message;
}

TEST_F(SiteFile, OutOfRange) {
    EXPECT_EQ(refusal(ground + "[night]\ncloud = 1.5\n"),
              "site.toml, line 4, column 9: night.cloud = 1.5 is out of range; it must lie from 0 to 1");
    EXPECT_EQ(refusal(ground + "[night]\ncloud = nan\n"),
              "site.toml, line 4, column 9: night.cloud = nan is out of range; it must lie from 0 to 1");
    EXPECT_EQ(refusal(ground + "[water]\nstage = \"2000 ft\"\n"),
              "site.toml, line 4, column 9: water.stage = 2000 ft is out of range; it must lie from 0 ft to "
              "1000 ft");
    EXPECT_EQ(refusal(ground + "[night]\nevening_air = \"200 degF\"\n"),
              "site.toml, line 4, column 15: night.evening_air = 200 degF is out of range; it must lie from "
              "-40 degC to 50 degC");
    EXPECT_NE(refusal(ground + "[night]\nheat_loss = \"-1 W/m2\"\n").find("out of range"), std::string::npos);
    EXPECT_NE(refusal(ground + "[night]\nmixing = \"0 m2/s\"\n").find("out of range"), std::string::npos);
    EXPECT_NE(refusal(ground + "[night]\ndate = 1850-04-18\n").find("out of range"), std::string::npos);
    EXPECT_EQ(refusal(ground + "[night]\nevening_air = \"122 degF\"\n"), "accepted");  // exactly 50 degC
}

TEST_F(SiteFile, MissingKeys) {
    EXPECT_EQ(refusal("title = \"x\"\n"),
              R"(site.toml: ground.dem is missing; write dem = "dem.tif" under [ground])");
    const Site site = read(ground + "[night]\ndate = 2026-04-18\n");
    EXPECT_NO_THROW(require_keys_for(site, "water"));
    try {
        require_keys_for(site, "night");
        FAIL();
    } catch (const InputError& error) {
        EXPECT_EQ(
            message_of(error),
            R"(site.toml: night.evening_air is missing; write evening_air = "48 degF" or "9 degC" under [night])");
    }
    EXPECT_EQ(refusal("[ground]\ndem = \" \"\n"),
              R"(site.toml, line 2, column 7: ground.dem is empty; write "dem.tif")");
}

TEST_F(SiteFile, GroundAround) {
    const Site site =
        read(ground + "around = \"wide.tif\"\naround_vertical_unit = \"ft\"\naround_crs = \"EPSG:4326\"\n");
    EXPECT_EQ(site.ground.around->filename(), "wide.tif");
    EXPECT_EQ(site.ground.around_vertical_unit, "ft");
    EXPECT_EQ(site.ground.around_crs, "EPSG:4326");
    EXPECT_FALSE(site.ground.vertical_unit);
    EXPECT_NE(refusal(ground + "around_vertical_unit = \"yd\"\n").find("ground.around_vertical_unit"),
              std::string::npos);
    EXPECT_FALSE(read(ground).ground.around);
}

TEST_F(SiteFile, SoilSections) {
    const Site site = read(ground +
                           "[soil]\nsurvey = \"soil.gpkg\"\n[soil.columns]\navailable_water = \"paw [mm]\"\n"
                           "[soil.words]\nMWD = \"moderately well\"\n[soil.maps]\nph = \"ph.tif\"\n");
    EXPECT_TRUE(site.soil.known());
    EXPECT_EQ(site.soil.reading.columns.at(0).column, "paw");
    EXPECT_EQ(site.soil.reading.columns.at(0).unit, "mm");
    EXPECT_EQ(site.soil.reading.words.at(0).first, "MWD");
    EXPECT_EQ(site.soil.maps.at(0).second.filename(), "ph.tif");
    EXPECT_EQ(site.soil.survey_key, "mukey");
    EXPECT_NEAR(site.soil.test_reach_m, 45.72, 1e-9);
    EXPECT_FALSE(read(ground).soil.known());
    EXPECT_NE(refusal(ground + "[soil.columns]\navailable_water = \"paw\"\n").find("must say its unit"),
              std::string::npos);
    EXPECT_NE(refusal(ground + "[soil.columns]\nwater = \"paw\"\n").find("unknown key soil.columns.water"),
              std::string::npos);
    EXPECT_NE(refusal(ground + "[soil.words]\nA = 3\n").find("must be text in quotes"), std::string::npos);
}

TEST(SiteKeys, TableIsWhole) {
    std::set<std::string_view> names;
    for (const SiteKey& key : site_keys()) {
        EXPECT_TRUE(names.insert(key.name).second) << key.name;
        EXPECT_NE(key.set, nullptr) << key.name;
        EXPECT_FALSE(key.meaning.empty()) << key.name;
        EXPECT_EQ(key.low.empty(), key.high.empty()) << key.name;
        EXPECT_EQ(key.fallback.empty(), key.source.empty())
            << key.name << ": a default has a source, and only a default";
        EXPECT_EQ(key.kind == KeyKind::choice, !key.choices.empty()) << key.name;
        EXPECT_TRUE(key.kind == KeyKind::choice || !key.example.empty()) << key.name;
        const bool is_settled = !key.fallback.empty() || !key.otherwise.empty() || key.needed_for == "run";
        EXPECT_TRUE(is_settled) << key.name << ": nothing says what happens when it is left out";
    }
}

/// docs/site-file.md is what people read before they have the program at hand.
TEST(SiteKeys, PageSaysWhatTheTableSays) {
    std::ifstream stream(LIELOW_SITE_PAGE);
    const std::string page(std::istreambuf_iterator<char>(stream), {});
    for (const SiteKey& key : site_keys()) {
        const std::string name(key.name.substr(key.name.find('.') + 1));
        const auto row = page.find("| `" + name + "` | " + std::string(key.meaning));
        ASSERT_NE(row, std::string::npos) << key.name;
        const std::string line = page.substr(row, page.find('\n', row) - row);
        for (const std::string_view part : {key.low, key.high, key.fallback, key.source})
            EXPECT_NE(line.find(part), std::string::npos) << key.name << ": " << part;
        for (const std::string_view choice : key.choices)
            EXPECT_NE(line.find(choice), std::string::npos) << key.name << ": " << choice;
    }
}

TEST(MapPosition, ReadsTwoNumbers) {
    const auto position = map_position(" 431250.5, -4512800 ");
    ASSERT_TRUE(position.has_value());
    EXPECT_DOUBLE_EQ(position->first, 431250.5);
    EXPECT_DOUBLE_EQ(position->second, -4512800.0);
    for (const char* text : {"highest", "North field", "1 2", "1,", "1,2,3", "4 acres, north"})
        EXPECT_FALSE(map_position(text)) << text;
}

}  // namespace
}  // namespace lielow
