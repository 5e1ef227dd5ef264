// SPDX-License-Identifier: Apache-2.0
#include "sim/sun.hpp"

#include <chrono>
#include <cmath>
#include <numbers>

namespace lielow {
namespace {

constexpr double degree = std::numbers::pi / 180.0;

struct SunPosition {
    double declination;       // rad
    double equation_of_time;  // minutes
};

/// Position at `days` (fractional, UTC) after 2000-01-01 00:00.
SunPosition sun_at(double days) {
    const double t = (days - 0.5) / 36525.0;  // Julian centuries from noon of 2000-01-01
    const double mean_longitude = std::fmod(280.46646 + t * (36000.76983 + t * 0.0003032), 360.0);
    const double anomaly = (357.52911 + t * (35999.05029 - 0.0001537 * t)) * degree;
    const double eccentricity = 0.016708634 - t * (0.000042037 + 0.0000001267 * t);
    const double centre = std::sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t)) +
                          std::sin(2 * anomaly) * (0.019993 - 0.000101 * t) +
                          std::sin(3 * anomaly) * 0.000289;
    const double node = (125.04 - 1934.136 * t) * degree;
    const double longitude = (mean_longitude + centre - 0.00569 - 0.00478 * std::sin(node)) * degree;
    const double mean_obliquity =
        23.0 + (26.0 + (21.448 - t * (46.815 + t * (0.00059 - t * 0.001813))) / 60.0) / 60.0;
    const double obliquity = (mean_obliquity + 0.00256 * std::cos(node)) * degree;
    const double y = std::pow(std::tan(obliquity / 2), 2);
    const double l2 = 2 * mean_longitude * degree;
    const double equation = y * std::sin(l2) - 2 * eccentricity * std::sin(anomaly) +
                            4 * eccentricity * y * std::sin(anomaly) * std::cos(l2) -
                            0.5 * y * y * std::sin(2 * l2) -
                            1.25 * eccentricity * eccentricity * std::sin(2 * anomaly);
    return {std::asin(std::sin(obliquity) * std::sin(longitude)), 4 * equation / degree};
}

/// Seconds after 00:00 UTC of the day; side -1 for sunrise, +1 for sunset.
std::optional<double> event(long day, double latitude_deg, double longitude_deg, int side) {
    const double latitude = latitude_deg * degree;
    double minutes = 720 - 4 * longitude_deg;
    for (int i = 0; i < 5; ++i) {
        const SunPosition sun = sun_at(static_cast<double>(day) + minutes / 1440.0);
        const double cosine = std::cos(90.833 * degree) / (std::cos(latitude) * std::cos(sun.declination)) -
                              std::tan(latitude) * std::tan(sun.declination);
        if (!(std::abs(cosine) <= 1)) return std::nullopt;
        minutes = 720 - 4 * longitude_deg - sun.equation_of_time + side * 4 * std::acos(cosine) / degree;
    }
    return minutes * 60;
}

}  // namespace

long days_since_2000(const CalendarDate& date) {
    using namespace std::chrono;
    const sys_days day = year{date.year} / month{static_cast<unsigned>(date.month)} /
                         std::chrono::day{static_cast<unsigned>(date.day)};
    return (day - sys_days{year{2000} / January / 1}).count();
}

std::optional<NightSpan> night_of(const CalendarDate& date, double latitude_deg, double longitude_deg) {
    const long day = days_since_2000(date);
    const auto sunset = event(day, latitude_deg, longitude_deg, +1);
    const auto sunrise = event(day + 1, latitude_deg, longitude_deg, -1);
    if (!sunset || !sunrise) return std::nullopt;
    return NightSpan{*sunset, *sunrise + 86400.0};
}

}  // namespace lielow
