// SPDX-License-Identifier: Apache-2.0
#include "io/weather.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <string>

#include "sim/errors.hpp"
#include "tests/support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;

class Weather : public ::testing::Test {
  protected:
    StationRecord read(const std::string& text) {
        testing::write_text(folder_ / "station.csv", text);
        return read_weather(request());
    }
    WeatherRequest request() {
        using namespace std::chrono;
        return {folder_ / "station.csv", 2026y / April / 18, -5 * 3600.0, 0.25};
    }
    std::string refusal(const std::string& text) {
        return complaint<InputError>([&] { read(text); });
    }
    testing::TempDir folder_;
};

const std::string head = "time,air [degF],dew point [degF],cloud [%],wind speed [mph],wind direction [deg]\n";

TEST_F(Weather, ReadsEveryColumn) {
    const StationRecord record = read(head +
                                      "2026-04-18T19:00,50,32,50,10,270\n"
                                      "2026-04-18T20:00:30,41,30.2,0,,\n");
    ASSERT_EQ(record.hours.size(), 2U);
    EXPECT_TRUE(record.has_cloud);
    EXPECT_TRUE(record.air_in_fahrenheit);
    const WeatherHour& a = record.hours[0];
    EXPECT_DOUBLE_EQ(a.time_s, (19 + 5) * 3600.0);  // local clock, five hours behind UTC
    EXPECT_NEAR(a.air_k, 283.15, 1e-9);
    EXPECT_NEAR(a.dew_point_k, 273.15, 1e-9);
    EXPECT_DOUBLE_EQ(a.cloud, 0.5);
    EXPECT_NEAR(a.wind_speed_m_s, 4.4704, 1e-9);
    EXPECT_NEAR(a.wind_from_rad, 1.5 * std::numbers::pi, 1e-9);
    EXPECT_DOUBLE_EQ(record.hours[1].time_s, (20 + 5) * 3600.0 + 30);
    EXPECT_TRUE(std::isnan(record.hours[1].wind_speed_m_s));
}

TEST_F(Weather, ColumnsInAnyOrderUnitAndNumber) {
    const StationRecord record = read(
        "station;dew point [degC];time;air [°C];cloud [okta]\n"
        "7;-2;2026-04-19T01:00Z;3.5;2\n");
    EXPECT_FALSE(record.air_in_fahrenheit);
    EXPECT_NEAR(record.hours[0].air_k, 276.65, 1e-9);
    EXPECT_NEAR(record.hours[0].dew_point_k, 271.15, 1e-9);
    EXPECT_DOUBLE_EQ(record.hours[0].cloud, 0.25);
    EXPECT_DOUBLE_EQ(record.hours[0].time_s, 25 * 3600.0);
}

TEST_F(Weather, CloudMayBeLeftOut) {
    const StationRecord record = read("time,air [degC],dew point [degC]\n2026-04-18T19:00,5,1\n");
    EXPECT_FALSE(record.has_cloud);
    EXPECT_DOUBLE_EQ(record.hours[0].cloud, 0.25);
}

TEST_F(Weather, TimesWithAnOffset) {
    const auto time = [&](const std::string& text) {
        return read("time,air [degC],dew point [degC]\n" + text + ",5,1\n").hours[0].time_s;
    };
    EXPECT_DOUBLE_EQ(time("2026-04-18T19:00-04:00"), 23 * 3600.0);
    EXPECT_DOUBLE_EQ(time("2026-04-18T19:00+05:30"), 13.5 * 3600.0);
    EXPECT_DOUBLE_EQ(time("2026-04-18T19:00:00Z"), 19 * 3600.0);
    EXPECT_DOUBLE_EQ(time("2026-04-18 19:00"), 24 * 3600.0);
    EXPECT_DOUBLE_EQ(time("2026-03-01T00:00Z"), -48 * 86400.0);
}

TEST_F(Weather, RefusesTimesThatAreNone) {
    for (const char* text : {"04/18/2026 19:00", "2026-04-18", "2026-02-30T19:00", "2026-04-18T25:00",
                             "19:00", "2026-04-18T19:00 EST", "2026-13-18T19:00"}) {
        const std::string said = refusal("time,air [degC],dew point [degC]\n" + std::string(text) + ",5,1\n");
        EXPECT_TRUE(holds(said, "station.csv, record 1")) << text;
    }
}

TEST_F(Weather, RefusesWhatCannotBe) {
    const auto with = [&](const std::string& line) { return refusal(head + line + "\n"); };
    EXPECT_TRUE(holds(with("2026-04-18T19:00,40,45,0,,"), "dew point 45 degF is above the air's 40 degF"));
    EXPECT_TRUE(holds(with("2026-04-18T19:00,145,45,0,,"),
                      "air = 145 degF can't be; it must lie from -60 degC to 60"));
    EXPECT_TRUE(holds(with("2026-04-18T19:00,40,-80,0,,"), "dew point = -80 degF can't be"));
    EXPECT_TRUE(holds(with("2026-04-18T19:00,forty,30,0,,"), "record 1 (2026-04-18T19:00): air: "));
    EXPECT_TRUE(holds(with("2026-04-18T19:00,,30,0,,"), "has no air"));
    EXPECT_TRUE(
        holds(with("2026-04-18T19:00,40,30,101,,"), "cloud = 101 % can't be; it must lie from 0 to 100"));
    EXPECT_TRUE(holds(with("2026-04-18T19:00,40,30,clear,,"), "cloud \"clear\" is not a number"));
    EXPECT_TRUE(holds(with("2026-04-18T19:00,40,30,0,-1,"), "wind speed = -1 mph can't be"));
    EXPECT_TRUE(holds(with("2026-04-18T19:00,40,30,0,1,400"), "wind direction = 400 deg can't be"));
    EXPECT_TRUE(holds(with("2026-04-18T19:00,40,30,0,,\n2026-04-18T19:00,40,30,0,,"),
                      "record 2 (2026-04-18T19:00): has the time of the record before it"));
    EXPECT_TRUE(holds(with("2026-04-18T19:00,40,30,0,,\n2026-04-18T18:00,40,30,0,,"),
                      "record 2 (2026-04-18T18:00): doesn't come after the record before it"));
}

TEST_F(Weather, RefusesHeadsThatSayTooLittle) {
    EXPECT_TRUE(holds(refusal("time,air [degF]\n2026-04-18T19:00,40\n"),
                      "has no column \"dew point\"; its first line names: time, air"));
    EXPECT_TRUE(holds(refusal("when,air [degF],dew point [degF]\nx,40,30\n"), "has no column \"time\""));
    EXPECT_TRUE(holds(refusal("time,air,dew point [degF]\n2026-04-18T19:00,40,30\n"),
                      "the column air doesn't say its unit; head it with air [degF]"));
    EXPECT_TRUE(holds(refusal("time,air [parsec],dew point [degF]\n2026-04-18T19:00,40,30\n"),
                      "station.csv: the column air stands in [parsec]: "));
    EXPECT_TRUE(holds(refusal("time,air [degF],dew point [degF],wind speed [deg]\n2026-04-18T19:00,40,30,\n"),
                      "station.csv: the column wind speed stands in [deg]: "));
    EXPECT_TRUE(holds(refusal("time,air [degF],dew point [degF],cloud [bits]\n2026-04-18T19:00,40,30,1\n"),
                      "cloud stands in \"bits\""));
    EXPECT_TRUE(holds(refusal(head), "holds no record"));
    EXPECT_TRUE(holds(complaint<InputError>([&] {
                          WeatherRequest none = request();
                          none.file = folder_ / "none.csv";
                          read_weather(none);
                      }),
                      "no such file"));
}

StationRecord hourly(std::initializer_list<double> hours) {
    StationRecord record;
    for (const double h : hours)
        record.hours.push_back({.time_s = h * 3600, .air_k = 280, .dew_point_k = 275});
    return record;
}

TEST(HoursOfNight, TakesWhatTheNightNeeds) {
    const StationRecord record = hourly({0, 3, 18, 19, 20, 22, 24, 26, 28, 30, 31, 60});
    const auto night = hours_of_night(record, 19.5 * 3600, 29.5 * 3600, "s.csv");
    EXPECT_DOUBLE_EQ(night.front().time_s, 19 * 3600.0);
    EXPECT_DOUBLE_EQ(night.back().time_s, 30 * 3600.0);
    EXPECT_EQ(night.size(), 7U);
}

TEST(HoursOfNight, RefusesGapsAndShortRecords) {
    const auto said = [](const StationRecord& record) {
        return complaint<InputError>([&] { hours_of_night(record, 19 * 3600, 29 * 3600, "s.csv"); });
    };
    EXPECT_TRUE(
        holds(said(hourly({19, 21, 24.5, 27, 29})), "no record for 3.5 h of the night, from 2.0 h after"));
    EXPECT_TRUE(holds(said(hourly({21, 24, 27, 29})), "doesn't cover the night"));
    EXPECT_TRUE(holds(said(hourly({19, 22, 25, 27})), "doesn't cover the night"));
    EXPECT_TRUE(holds(said(hourly({1, 2, 3})), "doesn't cover the night"));
    EXPECT_TRUE(holds(said(hourly({100, 101})), "doesn't cover the night"));
    EXPECT_NO_THROW(hours_of_night(hourly({19.9, 22, 25, 28}), 19 * 3600, 29 * 3600, "s.csv"));
}

TEST(UnitDoubt, WhatSpeaksAgainstTheColumnsUnit) {
    const auto at = [](double celsius) {
        return std::vector<WeatherHour>{{.time_s = 0, .air_k = celsius + 273.15, .dew_point_k = 250}};
    };
    // 9 °C of evening air; a record of 9 taken for °F, and one of 48 °F taken for °C.
    EXPECT_TRUE(unit_doubt(at((9 - 32) / 1.8), true, 282.15, 4, 40).has_value());
    EXPECT_TRUE(unit_doubt(at(48), false, 282.15, 4, 40).has_value());
    EXPECT_FALSE(unit_doubt(at(8), true, 282.15, 4, 40).has_value());
    EXPECT_FALSE(unit_doubt(at(-15), true, 263.15, 1, 40).has_value());
    // A July low of 15 °F, at home and in the south; January the other way about.
    EXPECT_TRUE(unit_doubt(at((15 - 32) / 1.8), true, 264, 7, 40).has_value());
    EXPECT_FALSE(unit_doubt(at((15 - 32) / 1.8), true, 264, 7, -40).has_value());
    EXPECT_TRUE(unit_doubt(at((15 - 32) / 1.8), true, 264, 1, -40).has_value());
    EXPECT_FALSE(unit_doubt(at((15 - 32) / 1.8), true, 264, 7, 68).has_value());
    EXPECT_TRUE(unit_doubt(at(50), false, 310, 7, 40).has_value());
}

}  // namespace
}  // namespace lielow
