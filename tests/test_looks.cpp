// SPDX-License-Identifier: Apache-2.0
#include "tools/looks.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "tools/compare_run.hpp"
#include "tools/looks_file.hpp"

namespace lielow {
namespace {

TEST(Looks, EveryLookHasWordsAndColours) {
    ASSERT_GT(all_looks().size(), 40U);
    for (const Look& look : all_looks()) {
        EXPECT_FALSE(look.title.empty() || look.label.empty()) << look.raster;
        EXPECT_EQ(look.ramp.has_value(), !look.classes) << look.raster;
        for (const PeopleUnits units : {PeopleUnits::us, PeopleUnits::si}) {
            const std::vector<double>& limits = look.limits(units);
            EXPECT_NE(limits.size(), 1U) << look.raster;
            for (std::size_t n = 1; n < limits.size(); ++n)
                EXPECT_LT(limits[n - 1], limits[n]) << look.raster;
        }
    }
}

TEST(Looks, StandInTheFilesOrder) {
    EXPECT_EQ(all_looks().front().raster, "siting");
    std::vector<std::string> night;
    for (const Look& look : all_looks()) {
        if (!look.groups.empty() && look.groups.front() == "night") night.push_back(look.raster);
    }
    EXPECT_EQ(night, (std::vector<std::string>{"night_offset", "night_low", "hours_below", "night_low_hour",
                                               "cold_depth", "flow_speed", "frost_hours", "loss_share"}));
}

TEST(Looks, OneLikeAnotherTakesTheRestFromIt) {
    const Look first = look_of("water_table_day1").value();
    const Look seventh = look_of("water_table_day7").value();
    EXPECT_NE(first.title, seventh.title);
    EXPECT_EQ(first.limits_si, seventh.limits_si);
    EXPECT_EQ(first.ramp->stops, seventh.ramp->stops);
    EXPECT_TRUE(look_of("upslope_area")->groups.empty());  // not what drainage_way says
}

TEST(Looks, ThresholdStandsInTheWords) {
    EXPECT_EQ(look_of("hours_below_32_degf")->title, "Hours of the night below 32 °F");
    EXPECT_EQ(look_of("hours_below_minus_2_2_degc")->label, "time below −2.2 °C");
    EXPECT_EQ(look_of("hours_below_32_degf")->raster, "hours_below_32_degf");
    EXPECT_FALSE(look_of("hours_belowish"));
    EXPECT_FALSE(look_of("dem"));
}

TEST(Looks, EveryChangeOfARemedyHasOne) {
    for (const ChangeRaster& raster : change_rasters()) {
        const auto look = look_of(std::string(raster.of) + "_change");
        ASSERT_TRUE(look) << raster.of;
        EXPECT_EQ(look->drawn, Drawn::both_ways);
        for (const PeopleUnits units : {PeopleUnits::us, PeopleUnits::si}) {
            std::vector<double> mirrored = look->limits(units);
            std::reverse(mirrored.begin(), mirrored.end());
            for (double& limit : mirrored) limit = -limit;
            EXPECT_EQ(mirrored, look->limits(units)) << raster.of;
        }
    }
}

/// picture.py reads the units of looks.toml; everything else takes them from io/people_units.
TEST(Looks, UnitsAreThoseOfPeopleUnits) {
    std::set<std::string> compared;
    for (const Look& look : all_looks()) {
        if (!look.quantity) continue;
        const std::string name = looks_file()["looks"][look.raster]["quantity"].value_or(std::string());
        for (const auto& [key, units] :
             {std::pair{"us", PeopleUnits::us}, std::pair{"si", PeopleUnits::si}}) {
            const toml::array* unit = looks_file()["units"][name][key].as_array();
            if (unit == nullptr) continue;  // a look like another
            EXPECT_EQ(unit->get(0)->value<std::string>(), std::string(people_unit(*look.quantity, units)));
            const double celsius = *look.quantity == PeopleQuantity::temperature ? 273.15 : 0;
            for (const double stored : {0.0, 1.0, 17.0}) {
                const double shown =
                    (stored - unit->get(2)->value<double>().value()) / unit->get(1)->value<double>().value();
                EXPECT_NEAR(shown, to_people(stored + celsius, *look.quantity, units), 1e-10) << name;
            }
            compared.insert(name);
        }
    }
    EXPECT_EQ(compared.size(), 10U);
}

TEST(Looks, RoundLimitsCoverTheValues) {
    EXPECT_EQ(round_limits(0, 7, 7), (std::vector<double>{0, 1, 2, 3, 4, 5, 6, 7}));
    const std::vector<double> limits = round_limits(-3.3, 12.8, 7);
    EXPECT_LE(limits.front(), -3.3);
    EXPECT_GE(limits.back(), 12.8);
    EXPECT_EQ(limits[1] - limits[0], 2);
    EXPECT_EQ(limit_text(-4), "−4");
    EXPECT_EQ(limit_text(-0.0), "0");
}

TEST(Ramps, ClassesOfASequentialRampStepEvenlyInLightness) {
    for (const char* name : {"cividis", "viridis", "plasma", "YlGnBu"}) {
        const Ramp ramp = find_ramp(name);
        ASSERT_EQ(ramp.kind, RampKind::sequential);
        const std::vector<Colour> colours = class_colours(ramp, 7);
        EXPECT_EQ(colours.front(), ramp.stops.front());
        EXPECT_EQ(colours.back(), ramp.stops.back());
        const double step = (lightness(colours.back()) - lightness(colours.front())) / 6;
        EXPECT_GT(std::abs(step), 10) << name;
        for (std::size_t n = 1; n < colours.size(); ++n)
            EXPECT_NEAR(lightness(colours[n]) - lightness(colours[n - 1]), step, 0.5)
                << name;  // bytes: a third each
    }
}

TEST(Ramps, OthersAreCutEvenlyAlongThem) {
    const Ramp blue_red = reversed(find_ramp("RdBu"));
    EXPECT_EQ(class_colours(blue_red, 11), blue_red.stops);
    const std::vector<Colour> around = class_colours(find_ramp("twilight"), 16);
    EXPECT_EQ(std::set<Colour>(around.begin(), around.end()).size(), 16U);  // the last isn't the first again
    EXPECT_EQ(colour_at(blue_red, 0.05), (Colour{19, 75, 135}));            // halfway from #053061 to #2166ac
}

TEST(Ramps, LightnessOfKnownColours) {
    EXPECT_NEAR(lightness({255, 255, 255}), 100, 1e-9);
    EXPECT_EQ(lightness({0, 0, 0}), 0);
    EXPECT_NEAR(lightness({119, 119, 119}), 50.03, 0.01);  // scikit-image's rgb2lab
}

}  // namespace
}  // namespace lielow
