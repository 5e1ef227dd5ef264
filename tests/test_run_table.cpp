// SPDX-License-Identifier: Apache-2.0
#include "tools/run_table.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tools/night_flow.hpp"
#include "tools/night_spots.hpp"

namespace lielow {
namespace {

/// Round figures in feet, acres and degrees Fahrenheit, worked out by hand.
Summary two_fields() {
    constexpr double acre_m2 = 4046.8564224;
    constexpr double foot_m = 0.3048;
    Summary summary;
    summary.title = "Home farm";
    summary.parts = {{"night",
                      {{"evening_air_c", 10, {}},
                       {"plant_height_m", 5 * foot_m, {}},
                       {"reference_elevation_m", 800 * foot_m, {}},
                       {"reference_low_c", 0, {}},
                       {"mean_loss_w_m2", 14.96, {}}},
                      {{"date", "2026-04-18"},
                       {"sunset", "19:05"},
                       {"sunrise", "05:40"},
                       {"clock", "UTC-5 h, from the longitude"},
                       {"loss_from", "radiation, night.dew_point"},
                       {"wind_from", "night.wind"},
                       {"reference", "highest ground inside the fields, in Top"}}},
                     {"water", {{"stage_m", 20 * foot_m, {}}, {"ground_low_point_m", 700 * foot_m, {}}}, {}}};
    const auto field = [&](const std::string& name, double acres, double low_c) {
        return FieldRecord{name,
                           acres * acre_m2,
                           {{"night_low", "degC", low_c, low_c, low_c, 1},
                            {"night_offset", "K", low_c, low_c, low_c, 1},
                            {"field_fill_depth", "m", 0, 1, 2, 1}},
                           {{"colder_by_2_degf_m2", 0.5 * acre_m2, {}},
                            {"under_water_m2", 1.25 * acre_m2, {}},
                            {"under_water_from_ground_low_m2", 0, {}}}};
    };
    summary.fields = {field("Top", 2, 0), field("Bottom", 3, -5)};
    summary.notes = {"a note"};
    summary.cautions = {"a caution"};
    return summary;
}

bool holds(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

TEST(RunReport, NightIsToldAgainstTheReferenceSpot) {
    const std::string text = run_report(two_fields(), PeopleUnits::us);
    EXPECT_TRUE(holds(text,
                      "The night of 2026-04-18: sunset 19:05, sunrise 05:40 (UTC-5 h, from the "
                      "longitude); 50.0 °F at sunset."))
        << text;
    EXPECT_TRUE(
        holds(text, "The air lost 15.0 W/m2 in the mean (radiation, night.dew_point). Wind: night.wind.\n"))
        << text;
    EXPECT_TRUE(holds(text, "in Top, at elevation 800.0 ft; its lowest is 32.0 °F.")) << text;
    EXPECT_TRUE(holds(text, "\nBottom   3.00      23.0          -9.0          -9.0                0.50\n"))
        << text;
}

TEST(RunReport, WaterSaysFromWhichLowPoint) {
    const std::string text = run_report(two_fields(), PeopleUnits::us);
    EXPECT_TRUE(holds(text, "Water pictured 20.0 ft above each field's own low point")) << text;
    EXPECT_TRUE(holds(text, "20.0 ft above the lowest point of the whole ground, 700.0 ft")) << text;
    EXPECT_TRUE(holds(text, "\nBottom   3.00          1.25                 0.00\n")) << text;
}

TEST(RunReport, AStormIsToldInAcresAndAcreFeet) {
    constexpr double acre_m2 = 4046.8564224;
    constexpr double acre_foot_m3 = acre_m2 * 0.3048;
    Summary summary = two_fields();
    PartRecord& water = summary.parts.back();
    water.figures.insert(water.figures.end(), {{"storm_m", 2.8 * 0.0254, {}},
                                               {"storm_ponded_m2", 3.25 * acre_m2, {}},
                                               {"storm_ponded_m3", 1.5 * acre_foot_m3, {}},
                                               {"storm_ponded_error_m3", 0.25 * acre_foot_m3, {}},
                                               {"ponded_from_m", 0.0254, {}},
                                               {"storm_deepest_m", 3 * 0.3048, {}}});
    water.words.emplace_back("storm_deepest_at", "501000, 4400000, in Bottom");
    std::string text = run_report(summary, PeopleUnits::us);
    EXPECT_TRUE(holds(text,
                      "After a storm of 2.80 in, 3.25 acres are ponded (at least 1.00 in deep; map "
                      "storm_depth).\nOn the ground stand 1.50 ± 0.25 acre-ft (standard error by the DEM's "
                      "heights).\n"))
        << text;
    EXPECT_TRUE(holds(text, "The deepest place is 3.0 ft under water, at 501000, 4400000, in Bottom.\n"))
        << text;
    for (NamedFigure& figure : water.figures) {
        if (figure.name == "storm_deepest_m") figure.value = 0;
        if (figure.name == "storm_ponded_error_m3") figure.value = std::nan("");
    }
    text = run_report(summary, PeopleUnits::us);
    EXPECT_TRUE(holds(text, "On the ground stand 1.50 acre-ft.\n")) << text;
    EXPECT_FALSE(holds(text, "deepest place")) << text;
}

TEST(RunReport, WithoutOutlinesThereIsOneLowPoint) {
    Summary summary = two_fields();
    summary.fields.pop_back();
    summary.fields.front().rasters.pop_back();
    const std::string text = run_report(summary, PeopleUnits::si);
    EXPECT_TRUE(holds(text, "Water pictured 6.10 m above the lowest point of the ground, 213.36 m.")) << text;
    EXPECT_FALSE(holds(text, "own low point")) << text;
}

TEST(RunReport, PartsThatDidNotRunAreNotToldOf) {
    Summary summary = two_fields();
    summary.parts.erase(summary.parts.begin());
    const std::string text = run_report(summary, PeopleUnits::us);
    EXPECT_FALSE(holds(text, "Reference spot")) << text;
    EXPECT_TRUE(text.ends_with("Note: a note\nCaution: a caution\n")) << text;
}

TEST(RunReport, WhereTheColdComesFrom) {
    const auto sides = [](std::initializer_list<double> kw) {
        std::vector<SideRecord> all;
        for (const double in : kw)
            all.push_back({std::string(compass_name(static_cast<int>(all.size()))), 0, 0, in, 0, in});
        return all;
    };
    EXPECT_EQ(cold_comes_text(sides({10, 0, 0, 0, 0, 0, 20, 70}), 50),
              "most of its cold air comes in over its NW side (70 %)");
    EXPECT_EQ(cold_comes_text(sides({30, 10, 5, 5, 5, 5, 30, 10}), 50),
              "its cold air comes in over its N (30 %), W (30 %), NE (10 %) sides");
    EXPECT_EQ(cold_comes_text(sides({40, 0, 0, 0, 0, 0, 38, 22}), 50),
              "its cold air comes in over its N (40 %), W (38 %) sides");
    EXPECT_EQ(cold_comes_text(sides({0, 0, 1, 0, 0, 0, 0, 0}), 50),
              "hardly any cold air comes in; its cold forms on it");
    Summary summary = two_fields();
    summary.fields[1].cold_comes = "most of its cold air comes in over its NW side (70 %)";
    EXPECT_TRUE(
        holds(run_report(summary, PeopleUnits::us),
              "in the mean of the night:\n  Bottom: most of its cold air comes in over its NW side (70 "
              "%).\n\n"));
    EXPECT_FALSE(holds(run_report(two_fields(), PeopleUnits::us), "Where the cold comes from"));
}

TEST(RunReport, NamedSpots) {
    Summary summary = two_fields();
    summary.spots = {{"Gate",
                      1,
                      2,
                      {{"elevation_m", 200, {}},
                       {"lowest_c", -5, {}},
                       {hours_below_name(273.15, PeopleUnits::us) + "_h", 6.25, {}},
                       {hours_below_name(271.15, PeopleUnits::us) + "_h", 2, {}},
                       {"cold_depth_at_lowest_m", 3.048, {}},
                       {"flow_at_lowest_m_s", 0.44704, {}},
                       {"flow_from_at_lowest_deg", 314, {}}},
                      {{"lowest_at", "05:10"}}}};
    const std::string text = run_report(summary, PeopleUnits::us);
    EXPECT_TRUE(holds(text, "hours below  hours below")) << text;
    EXPECT_TRUE(holds(text, "32 °F      28.4 °F")) << text;
    EXPECT_TRUE(
        holds(text, "\nGate     23.0  05:10          6.2          2.0           10.0  1.0 mph from NW\n"))
        << text;
    EXPECT_EQ(hours_below_name(255.15, PeopleUnits::si), "hours_below_minus_18_degc");
    EXPECT_EQ(hours_below_name((32.0 - 32) / 1.8 + 273.15 + 6e-14, PeopleUnits::si), "hours_below_0_degc");
}

}  // namespace
}  // namespace lielow
