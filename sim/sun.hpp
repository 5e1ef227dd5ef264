// SPDX-License-Identifier: Apache-2.0
// Sunset and sunrise, from the solar position equations published by NOAA's Global Monitoring Laboratory
// ("NOAA Solar Calculations", after Meeus, Astronomical Algorithms, 1991): the sun's upper limb on a level
// horizon, refraction included (zenith distance 90.833°). Good to about a minute below 70° of latitude.
#pragma once

#include <optional>

namespace lielow {

struct CalendarDate {
    int year = 2000;
    int month = 1;
    int day = 1;
    bool operator==(const CalendarDate&) const = default;
};

/// A night, in seconds after 00:00 UTC of its evening's date (the date as kept at the place itself).
struct NightSpan {
    double sunset_s = 0;
    double sunrise_s = 0;
    [[nodiscard]] double length_s() const { return sunrise_s - sunset_s; }
};

/// The night that begins on the evening of `date`. Latitude in degrees north, longitude in degrees east.
/// Nothing when the sun doesn't set or doesn't rise.
std::optional<NightSpan> night_of(const CalendarDate& date, double latitude_deg, double longitude_deg);

/// Day number of a calendar date (Gregorian), counted from 2000-01-01.
long days_since_2000(const CalendarDate& date);

}  // namespace lielow
