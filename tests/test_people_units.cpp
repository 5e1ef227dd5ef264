// SPDX-License-Identifier: Apache-2.0
// Exact definitions: foot 0.3048 m and inch 0.0254 m (NIST Special Publication 811, appendix B), acre 43,560
// square feet, 0 °C = 273.15 K, degrees Fahrenheit 1.8 times as many from 32.
#include "io/people_units.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace lielow {
namespace {

using enum PeopleQuantity;

TEST(PeopleUnits, UsFiguresFollowTheExactFactors) {
    EXPECT_DOUBLE_EQ(to_people(0.3048, height, PeopleUnits::us), 1.0);
    EXPECT_DOUBLE_EQ(to_people(0.0254, small_depth, PeopleUnits::us), 1.0);
    EXPECT_DOUBLE_EQ(to_people(4046.8564224, area, PeopleUnits::us), 1.0);
    EXPECT_DOUBLE_EQ(to_people(4046.8564224 * 0.3048, volume, PeopleUnits::us), 1.0);
    EXPECT_NEAR(to_people(273.15, temperature, PeopleUnits::us), 32.0, 1e-12);
    EXPECT_NEAR(to_people(373.15, temperature, PeopleUnits::us), 212.0, 1e-12);
    EXPECT_NEAR(to_people(233.15, temperature, PeopleUnits::us), -40.0, 1e-12);
    EXPECT_DOUBLE_EQ(to_people(5.0, temperature_difference, PeopleUnits::us), 9.0);
}

TEST(PeopleUnits, SiFigures) {
    EXPECT_DOUBLE_EQ(to_people(12.5, height, PeopleUnits::si), 12.5);
    EXPECT_DOUBLE_EQ(to_people(0.07, small_depth, PeopleUnits::si), 70.0);
    EXPECT_DOUBLE_EQ(to_people(25000, area, PeopleUnits::si), 2.5);
    EXPECT_DOUBLE_EQ(to_people(300, volume, PeopleUnits::si), 300.0);
    EXPECT_DOUBLE_EQ(to_people(273.15, temperature, PeopleUnits::si), 0.0);
    EXPECT_DOUBLE_EQ(to_people(5.0, temperature_difference, PeopleUnits::si), 5.0);
}

TEST(PeopleUnits, TextsCarryTheUnit) {
    EXPECT_EQ(people_text(6.096, height, PeopleUnits::us), "20.0 ft");
    EXPECT_EQ(people_text(6.096, height, PeopleUnits::si), "6.10 m");
    EXPECT_EQ(people_text(40468.564224, area, PeopleUnits::us), "10.00 acres");
    EXPECT_EQ(people_text(272.15, temperature, PeopleUnits::us), "30.2 °F");
    EXPECT_EQ(people_text(272.15, temperature, PeopleUnits::si), "-1.0 °C");
    EXPECT_EQ(people_text(-2.0, temperature_difference, PeopleUnits::us), "-3.6 °F");
}

TEST(PeopleUnits, SharesHoursAndYears) {
    EXPECT_EQ(people_text(0.437, share, PeopleUnits::us), "44 %");
    EXPECT_EQ(people_text(2.25, hours, PeopleUnits::si), "2.2 h");
    EXPECT_EQ(people_text(6.3, years, PeopleUnits::us), "6.3 years");
    EXPECT_EQ(people_text(2.25, days, PeopleUnits::us), "2.2 days");
    EXPECT_EQ(people_text(0.3048 * 0.3048 * 0.3048 * 2, discharge, PeopleUnits::us), "2.0 ft³/s");
    EXPECT_EQ(people_text(0.25, discharge, PeopleUnits::si), "0.250 m³/s");
}

TEST(PeopleUnits, NoMinusBeforeNought) {
    EXPECT_EQ(people_number(-0.001, temperature_difference, PeopleUnits::us), "0.0");
}

TEST(PeopleUnits, WhatIsNotKnownIsADash) {
    EXPECT_EQ(people_text(std::numeric_limits<double>::quiet_NaN(), height, PeopleUnits::us), "-");
    EXPECT_EQ(people_text(std::numeric_limits<double>::infinity(), height, PeopleUnits::us), "-");
}

TEST(PeopleUnits, SpeedOfAir) {
    // A mile is 5280 ft of 0.3048 m (NIST Special Publication 811, quoted from memory): 1 m/s is 2.2369 mph.
    EXPECT_EQ(people_text(1, speed, PeopleUnits::us), "2.2 mph");
    EXPECT_NEAR(to_people(0.44704, speed, PeopleUnits::us), 1, 1e-12);
    EXPECT_EQ(people_text(0.447, speed, PeopleUnits::si), "0.45 m/s");
}

}  // namespace
}  // namespace lielow
