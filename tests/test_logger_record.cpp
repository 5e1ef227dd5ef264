// SPDX-License-Identifier: Apache-2.0
#include "io/logger_record.hpp"

#include <gtest/gtest.h>

#include "sim/errors.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::TempDir;
using testing::write_text;
using namespace std::chrono;

class Loggers : public ::testing::Test {
  protected:
    /// A night from 00:00 to 10:00 UTC, local clock five hours behind.
    LoggerRecord read(const std::string& text) {
        write_text(folder_ / "loggers.csv", text);
        const LoggerRequest request{
            folder_ / "loggers.csv", year(2026) / 4 / 18, -5 * 3600.0, {86400, 122400}};
        const std::vector<Spot> spots{{"Gate", 10, 20}, {"Pond", 30, 40}};
        return read_loggers(request, spots, utm_17());
    }
    std::string refusal(const std::string& text) {
        return complaint<InputError>([&] { read(text); });
    }
    static GeoReference utm_17() {
        GeoReference geo;
        geo.wkt = "EPSG:26917";
        return geo;
    }
    TempDir folder_;
};

TEST_F(Loggers, ReadsTimesOfEitherClockAndEitherUnit) {
    const LoggerRecord record = read(
        "time,spot,temperature_degF\n2026-04-18T20:00,Gate,50\n2026-04-19T01:30Z,Gate,41\n"
        "2026-04-18T21:00-05:00,Pond,32\n2026-04-19T00:15:30Z,Gate,\n");
    ASSERT_EQ(record.loggers.size(), 2U);
    const Logger& gate = record.loggers[0];
    EXPECT_EQ(gate.spot.name, "Gate");
    EXPECT_EQ(gate.spot.x, 10);
    ASSERT_EQ(gate.readings.size(), 2U);
    EXPECT_DOUBLE_EQ(gate.readings[0].time_s, 86400 + 3600.0);  // 20:00 at UTC-5 is 01:00 UTC
    EXPECT_DOUBLE_EQ(gate.readings[0].celsius, 10.0);
    EXPECT_DOUBLE_EQ(gate.readings[1].time_s, 86400 + 5400.0);
    EXPECT_DOUBLE_EQ(gate.readings[1].celsius, 5.0);
    EXPECT_DOUBLE_EQ(record.loggers[1].readings.at(0).time_s, 86400 + 7200.0);
    EXPECT_DOUBLE_EQ(record.loggers[1].readings.at(0).celsius, 0.0);
    EXPECT_TRUE(record.in_fahrenheit);
    EXPECT_EQ(record.missing, 1);
}

TEST_F(Loggers, UtcColumnGoesBeforeALocalOne) {
    const LoggerRecord record =
        read("time_local,time_utc,spot,temperature_degC\n2026-04-18 20:00,2026-04-19T01:00Z,Gate,3\n");
    EXPECT_DOUBLE_EQ(record.loggers.at(0).readings.at(0).time_s, 86400 + 3600.0);
}

TEST_F(Loggers, LeavesOutAndCountsWhatIsBadOrOutsideTheNight) {
    const LoggerRecord record = read(
        "spot,time,temperature_degC,flag\nGate,2026-04-19T01:00Z,3,ok\nGate,2026-04-19T02:00Z,-99,bad\n"
        "Gate,2026-04-19T03:00Z,2,drift\nGate,2026-04-18T20:00Z,15,\nGate,2026-04-19T10:00:01Z,5,0\n"
        "Pond,2026-04-19T02:00Z,2,1\n");
    ASSERT_EQ(record.loggers.size(), 1U);
    EXPECT_EQ(record.loggers[0].readings.size(), 1U);
    EXPECT_EQ(record.flagged, 3);
    EXPECT_EQ(record.outside_night, 2);
    std::string notes;
    for (const std::string& note : record.notes) notes += note + "\n";
    EXPECT_NE(notes.find("logger \"Pond\" has no good reading"), std::string::npos) << notes;
    EXPECT_NE(notes.find("3 rows left out, flagged as bad"), std::string::npos) << notes;
    EXPECT_NE(notes.find("2 rows left out, outside the night"), std::string::npos) << notes;
    EXPECT_NE(notes.find("drifting: Gate"), std::string::npos) << notes;
}

TEST_F(Loggers, PositionsInDegreesComeIntoTheGroundsCrs) {
    // On the central meridian of zone 17, 81° W, the easting is 500000 m; at 0° the northing 0 (UTM's own
    // definition, Snyder 1987, USGS Professional Paper 1395, chapter 8).
    const LoggerRecord record = read("lon,lat,time,temperature_degC\n-81,0,2026-04-19T01:00Z,3\n");
    EXPECT_NEAR(record.loggers.at(0).spot.x, 500000, 0.01);
    EXPECT_NEAR(record.loggers.at(0).spot.y, 0, 0.01);
    EXPECT_EQ(record.loggers.at(0).spot.name, "-81, 0");
}

TEST_F(Loggers, RefusesInOneLine) {
    const std::string head = "spot,time,temperature_degC\n";
    EXPECT_NE(
        refusal("x,y,spot,time,temperature_degC\n1,2,A,2026-04-19T01:00Z,3\n5,2,A,2026-04-19T02:00Z,3\n")
            .find("\"A\" is elsewhere"),
        std::string::npos);
    EXPECT_NE(refusal("time,temperature_degC\n2026-04-19T01:00Z,3\n").find("no column \"spot\""),
              std::string::npos);
    EXPECT_NE(refusal(head + "Gatee,2026-04-19T01:00Z,3\n").find("nearest name is \"Gate\""),
              std::string::npos);
    EXPECT_NE(refusal(head + "Gate,2026-04-19T01:00Z,65\n").find("degrees Fahrenheit"), std::string::npos);
    EXPECT_NE(refusal(head + "Gate,2026-04-19T01:00Z,5\nGate,2026-04-19T02:00Z,65\n")
                  .find("row 2 below the header: temperature_degC = 65 is no air temperature"),
              std::string::npos);
    EXPECT_NE(refusal(head + "Gate,2026-04-18T01:00Z,3\n").find("no good reading within the night"),
              std::string::npos);
}

}  // namespace
}  // namespace lielow
