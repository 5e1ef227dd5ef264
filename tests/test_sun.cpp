// SPDX-License-Identifier: Apache-2.0
// Sunset and sunrise against PyEphem 4.1.4 (Debian python3-ephem; VSOP87 theory), upper limb, 34 minutes of
// refraction.
#include <gtest/gtest.h>

#include "sim/sun.hpp"

namespace lielow {
namespace {

struct Almanac {
    CalendarDate date;
    double latitude, longitude, sunset_s, sunrise_s;
};

TEST(Sun, AgreesWithAnAstronomicalLibrary) {
    const Almanac rows[] = {
        {{2026, 4, 18}, 38.85, -81.0, 86639.62, 124908.07},
        {{2026, 9, 20}, -43.5, 172.6, 23019.28, 66100.03},
        {{2026, 1, 10}, 51.5, 0.0, 58373.74, 115310.82},
        {{2026, 5, 1}, 64.0, 26.0, 67114.55, 92789.97},
    };
    for (const Almanac& row : rows) {
        const auto night = night_of(row.date, row.latitude, row.longitude);
        ASSERT_TRUE(night.has_value());
        EXPECT_NEAR(night->sunset_s, row.sunset_s, 60) << row.latitude;
        EXPECT_NEAR(night->sunrise_s, row.sunrise_s, 60) << row.latitude;
    }
}

TEST(Sun, NoNightInThePolarDay) {
    EXPECT_FALSE(night_of({2026, 6, 21}, 75.0, 20.0).has_value());
    EXPECT_FALSE(night_of({2026, 12, 21}, 75.0, 20.0).has_value());
}

TEST(Sun, DayNumbers) {
    EXPECT_EQ(days_since_2000({2000, 1, 1}), 0);
    EXPECT_EQ(days_since_2000({2000, 3, 1}), 60);
    EXPECT_EQ(days_since_2000({2026, 4, 18}), 9604);
}

}  // namespace
}  // namespace lielow
