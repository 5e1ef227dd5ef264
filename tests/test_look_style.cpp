// SPDX-License-Identifier: Apache-2.0
#include "tools/look_style.hpp"

#include <gtest/gtest.h>

namespace lielow {
namespace {

constexpr double foot_m = 0.3048;

std::vector<std::string> labels(const RasterStyle& style) {
    std::vector<std::string> all;
    for (const StyleClass& c : style.classes) all.push_back(c.label);
    return all;
}

const StyleClass* class_of(const RasterStyle& style, double value) {
    for (const StyleClass& c : style.classes) {
        if (value >= c.from && value <= c.to) return &c;
    }
    return nullptr;
}

TEST(LookStyle, OutermostClassesOpenOnlyWhereValuesLieBeyond) {
    const Look look = look_of("fill_depth").value();
    const RasterStyle within = raster_style(look, 0, 19 * foot_m, PeopleUnits::us);
    EXPECT_EQ(labels(within), (std::vector<std::string>{"0 to 1 ft", "1 to 2 ft", "2 to 4 ft", "4 to 6 ft",
                                                        "6 to 10 ft", "10 to 15 ft", "15 to 20 ft"}));
    EXPECT_DOUBLE_EQ(within.classes[2].from, 2 * foot_m);
    EXPECT_DOUBLE_EQ(within.classes.back().to, 20 * foot_m);
    const RasterStyle beyond = raster_style(look, 0, 60 * foot_m, PeopleUnits::us);
    EXPECT_EQ(beyond.classes.back().label, "over 15 ft");
    EXPECT_DOUBLE_EQ(beyond.classes.back().to, 60 * foot_m);
    EXPECT_FALSE(beyond.by_value);
    EXPECT_EQ(beyond.title, look.title);
}

TEST(LookStyle, DryGroundLiesInNoClass) {
    const RasterStyle depth = raster_style(look_of("fill_depth").value(), 0, 3, PeopleUnits::us);
    EXPECT_EQ(class_of(depth, 0), nullptr);
    EXPECT_EQ(class_of(depth, 0.01)->label, "0 to 1 ft");
    const RasterStyle storm = raster_style(look_of("storm_depth").value(), 0, 0.25, PeopleUnits::us);
    // where a class is wide enough for the film not to count, it isn't told
    EXPECT_EQ(raster_style(look_of("storm_depth").value(), 0, 0.5, PeopleUnits::us).classes.front().label,
              "0 to 5 in");
    EXPECT_EQ(class_of(storm, 0.009), nullptr);  // a film
    EXPECT_DOUBLE_EQ(storm.classes.front().from, 0.01);
    EXPECT_EQ(storm.classes.front().label, "0.39 to 2 in");
    EXPECT_EQ(raster_style(look_of("storm_depth").value(), 0, 0.25, PeopleUnits::si).classes.front().label,
              "10 to 50 mm");
}

TEST(LookStyle, ChangesLeaveAGapAboutNought) {
    const RasterStyle change = raster_style(look_of("night_low_change").value(), -3, 0.4, PeopleUnits::us);
    EXPECT_EQ(class_of(change, 0), nullptr);
    EXPECT_EQ(class_of(change, 0.055), nullptr);
    EXPECT_EQ(class_of(change, 0.056)->label, "0.1 to 0.25 °F");
    EXPECT_EQ(change.classes.size(), 10U);
    EXPECT_EQ(change.classes.front().label, "under −2 °F");
    EXPECT_EQ(change.classes.front().from, -3);
    EXPECT_EQ(change.classes.back().label, "2 to 4 °F");
    const Colour colder = class_of(change, -2)->colour;
    const Colour warmer = class_of(change, 2)->colour;
    EXPECT_GT(colder[2], colder[0]);
    EXPECT_GT(warmer[0], warmer[2]);
    const RasterStyle stage = raster_style(look_of("fill_stage_change").value(), -0.2, 0.2, PeopleUnits::us);
    EXPECT_EQ(class_of(stage, 0), nullptr);
    EXPECT_EQ(class_of(stage, 0.02)->label, "0 to 0.1 ft");
    EXPECT_EQ(class_of(stage, -0.02)->label, "−0.1 to 0 ft");
}

TEST(LookStyle, TemperaturesAreThoseOfTheRaster) {
    const RasterStyle low = raster_style(look_of("night_low").value(), -5, -1.2, PeopleUnits::us);
    EXPECT_EQ(low.classes.front().label, "23 to 24 °F");
    EXPECT_NEAR(low.classes.front().from, -5, 1e-9);       // 23 °F
    EXPECT_EQ(class_of(low, -1.2)->label, "29 to 30 °F");  // 29.84
    EXPECT_EQ(class_of(low, -5)->colour, find_ramp("cividis").stops.front());
}

TEST(LookStyle, WithoutAUnitAndByTheCompass) {
    EXPECT_EQ(
        raster_style(look_of("wetness_index").value(), 2.5, 15.5, PeopleUnits::us).classes.front().label,
        "2 to 4");
    const RasterStyle from = raster_style(look_of("flow_from").value(), 0, 360, PeopleUnits::us);
    EXPECT_EQ(class_of(from, 100)->label, "E to ESE");
    EXPECT_EQ(from.classes.back().label, "NNW to N");
}

TEST(LookStyle, EveryValueOfEveryLookLiesInAClassOrIsNotDrawn) {
    for (const Look& look : all_looks()) {
        if (look.classes) continue;
        for (const PeopleUnits units : {PeopleUnits::us, PeopleUnits::si}) {
            const double least = look.drawn == Drawn::both_ways ? -123.4 : 0;
            const RasterStyle style = raster_style(look, least, 567.8, units);
            for (double value = least; value <= 567.8; value += 0.37) {
                const double size = look.drawn == Drawn::both_ways ? std::abs(value) : value;
                const bool blank = look.drawn != Drawn::all && size <= look.least_drawn_si();
                EXPECT_EQ(class_of(style, value) == nullptr, blank) << look.raster << " at " << value;
            }
            for (std::size_t n = 1; n < style.classes.size(); ++n)
                EXPECT_LE(style.classes[n - 1].to, style.classes[n].from) << look.raster;
        }
    }
}

TEST(LookStyle, OfAClassRaster) {
    const std::array<RasterClass, 2> classes{
        {{0, "well drained", {1, 2, 3}}, {6, "very poorly drained", {4, 5, 6}}}};
    const RasterStyle style = raster_style("Drainage", classes);
    EXPECT_TRUE(style.by_value);
    ASSERT_EQ(style.classes.size(), 2U);
    EXPECT_EQ(style.classes[1].from, 6);
    EXPECT_EQ(style.classes[1].to, 6);
    EXPECT_EQ(style.classes[1].label, "very poorly drained");
    EXPECT_EQ(style.classes[1].colour, (Colour{4, 5, 6}));
}

}  // namespace
}  // namespace lielow
