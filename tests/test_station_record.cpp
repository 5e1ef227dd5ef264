// SPDX-License-Identifier: Apache-2.0
#include "io/station_record.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>

#include "sim/errors.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;
using testing::TempDir;
using testing::write_text;

class Station : public ::testing::Test {
  protected:
    StationRecord read(const std::string& text, const std::string& name = "station.csv") {
        write_text(folder_ / name, text);
        return read_station_record(folder_ / name);
    }
    std::string refusal(const std::string& text) {
        return complaint<InputError>([&] { read(text); });
    }
    TempDir folder_;
};

TEST_F(Station, ReadsLowsAndHighsInEitherUnit) {
    const StationRecord record = read(
        "date,low_degF,high (°C),remark\n2014-04-07,32,10,\"calm, "
        "clear\"\n2014-04-08,,20,\n2014-04-09,14,,x\n");
    ASSERT_EQ(record.days.size(), 3U);
    EXPECT_EQ(record.days[0].date, (CalendarDate{2014, 4, 7}));
    EXPECT_NEAR(record.days[0].low_k, 273.15, 1e-9);
    EXPECT_NEAR(record.days[0].high_k, 283.15, 1e-9);
    EXPECT_TRUE(std::isnan(record.days[1].low_k));
    EXPECT_NEAR(record.days[2].low_k, 263.15, 1e-9);
    EXPECT_TRUE(std::isnan(record.days[2].high_k));
    EXPECT_EQ(record.unit, "degF");
}

TEST_F(Station, OtherSeparatorsEndingsAndColumnOrder) {
    for (const char* separator : {";", "\t"}) {
        const StationRecord record =
            read(fmt::format("Low_degC{0}Date\r\n-1.5{0}2014-04-07\r\n", separator), "station.txt");
        EXPECT_NEAR(record.days.at(0).low_k, 271.65, 1e-9);
        EXPECT_TRUE(std::isnan(record.days[0].high_k));
    }
}

TEST_F(Station, CountsGapsButNotWinters) {
    const StationRecord record = read(
        "date,low_degC\n2014-04-07,1\n2014-04-08,\n2014-04-10,2\n2014-04-15,3\n2015-04-01,1\n2015-04-02,1\n");
    EXPECT_EQ(record.missing_days, 2 + 4);
    EXPECT_EQ(record.longest_gap, 4);
    EXPECT_EQ(record.longest_gap_after, "2014-04-10");
    ASSERT_EQ(record.notes.size(), 1U);
    EXPECT_EQ(record.notes[0], "station.csv: 6 days have no low; the longest gap is 4 days after 2014-04-10");
    EXPECT_TRUE(read("date,low_degC\n2014-04-07,1\n").notes.empty());
}

TEST_F(Station, Columns) {
    EXPECT_TRUE(holds(refusal("day,low_degF\n2014-04-07,30\n"), "has no column \"date\""));
    EXPECT_TRUE(holds(refusal("date,high_degF\n2014-04-07,30\n"), "has no column \"low_degF\""));
    EXPECT_TRUE(holds(refusal("date,low\n2014-04-07,30\n"), "call it low_degF or low_degC"));
    EXPECT_TRUE(holds(refusal("date,low_degX\n2014-04-07,30\n"), "call it low_degF or low_degC"));
}

TEST_F(Station, Days) {
    EXPECT_TRUE(
        holds(refusal("date,low_degF\n4/7/2014,30\n"), "row 1 below the header: \"4/7/2014\" is not a date"));
    EXPECT_TRUE(holds(refusal("date,low_degF\n2014-02-30,30\n"), "\"2014-02-30\" is not a date"));
    EXPECT_TRUE(
        holds(refusal("date,low_degF\n2014-04-08,30\n2014-04-07,30\n"), "2014-04-07 comes after 2014-04-08"));
    EXPECT_TRUE(
        holds(refusal("date,low_degF\n2014-04-08,30\n2014-04-08,30\n"), "2014-04-08 stands there twice"));
}

TEST_F(Station, Readings) {
    EXPECT_TRUE(holds(refusal("date,low_degF\n2014-04-08,-9999\n"),
                      "row 1 below the header: low_degF = -9999 is no air temperature"));
    EXPECT_TRUE(holds(refusal("date,low_degF\n2014-04-08,-99\n"), "-99 is no air temperature"));
    EXPECT_TRUE(
        holds(refusal("date,low_degF\n2014-04-08,cold\n"), "\"cold\" is not a number; leave it empty"));
    EXPECT_TRUE(holds(refusal("date;low_degC\n2014-04-08;1,5\n"), "\"1,5\" is not a number"));
    EXPECT_TRUE(holds(refusal("date,low_degF,high_degF\n2014-04-08,40,30\n"), "the high is below the low"));
    EXPECT_TRUE(holds(refusal("date,low_degF\n2014-04-08,\n"), "holds no low"));
}

TEST_F(Station, Files) {
    EXPECT_TRUE(holds(refusal("date,low_degF\n"), "is empty"));
    refusal("");
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_station_record(folder_ / "none.csv"); }),
                      "there is no table"));
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_station_record(folder_.path()); }), "is a folder"));
}

/// Twenty-eight days of each month with the month's mean low.
std::string year_of(const std::string& unit, const std::vector<double>& months, int first = 1) {
    std::string text = "date,low_" + unit + "\n";
    int month = first;
    for (const double low : months) {
        for (int day = 1; day <= 28; ++day) text += fmt::format("2014-{:02}-{:02},{}\n", month, day, low);
        ++month;
    }
    return text;
}

TEST_F(Station, RecordInTheOtherUnitIsRefused) {
    const std::vector<double> celsius{-5, -4, 0, 4, 9, 14, 17, 16, 12, 6, 2, -3};
    std::vector<double> fahrenheit;
    fahrenheit.reserve(celsius.size());
    for (const double c : celsius) fahrenheit.push_back(1.8 * c + 32);
    EXPECT_EQ(read(year_of("degC", celsius)).days.size(), 12U * 28);
    EXPECT_EQ(read(year_of("degF", fahrenheit)).days.size(), 12U * 28);
    EXPECT_TRUE(holds(refusal(year_of("degF", celsius)), "is 17; that looks like degC"));
    EXPECT_TRUE(holds(refusal(year_of("degC", fahrenheit)), "looks like degF"));
    // Springs alone.
    EXPECT_TRUE(holds(refusal(year_of("degF", {0, 4, 9}, 3)), "looks like degC"));
    EXPECT_TRUE(holds(refusal(year_of("degC", {32, 39, 48}, 3)), "looks like degF"));
    EXPECT_TRUE(holds(refusal(year_of("degF", {-3, -2, 2, 6, 11, 15})), "looks like degC"));  // till June
    EXPECT_TRUE(
        holds(refusal(year_of("degF", {12, 15}, 6)), "is 15; that looks like degC"));  // June and July
    EXPECT_EQ(read(year_of("degF", {25, 33, 41}, 3)).days.size(), 3U * 28);
    EXPECT_EQ(read(year_of("degF", {5, 9})).days.size(), 2U * 28);  // a cold January and February
    EXPECT_EQ(read(year_of("degC", {-4, 1, 5}, 3)).days.size(), 3U * 28);
}

TEST_F(Station, AYearInTheOtherUnitIsRefused) {
    const std::string fahrenheit = year_of("degF", {22, 25, 32, 40, 49, 57, 62, 60, 53, 42, 35, 26});
    std::string mixed = fahrenheit;
    const std::string celsius = year_of("degF", {-5, -4, 0, 4, 9, 14, 17, 16, 12, 6, 2, -3});
    mixed += celsius.substr(celsius.find('\n') + 1);
    const auto second = mixed.find("2014-01-01", mixed.find("2014-12-28"));
    for (auto at = mixed.find("2014", second); at != std::string::npos; at = mixed.find("2014", at + 1))
        mixed[at + 3] = '5';
    EXPECT_TRUE(holds(refusal(mixed), "in the warmest month of 2015 the mean of low_degF is 17"));
}

TEST(MonthAndDay, AreReadFromText) {
    EXPECT_EQ(month_day_from("04-12"), (MonthDay{4, 12}));
    EXPECT_EQ(month_day_from("02-29"), (MonthDay{2, 28}));
    for (const char* text : {"4-12", "04/12", "13-01", "04-31", "April 12", "", "2014-04-12"})
        EXPECT_TRUE(holds(complaint<InputError>([&] { month_day_from(text); }), "write \"04-12\"")) << text;
}

}  // namespace
}  // namespace lielow
