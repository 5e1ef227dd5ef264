// SPDX-License-Identifier: Apache-2.0
// The record of a weather station: a table of comma-separated values (RFC 4180; semicolons and tabs serve as
// well), one line a record, read through GDAL. The first line names the columns, in any order, each with its
// unit in square brackets:
//
//     time,air [degF],dew point [degF],cloud [%],wind speed [mph],wind direction [deg]
//     2026-04-18T19:00,48.2,33.1,0,2.1,310
//
//  - time: ISO 8601, 2026-04-18T19:00, with seconds and with Z or an offset such as -05:00 if wished;
//  without,
//    it is local clock time.
//  - air, dew point: at the usual height of a shelter; the dew point over water, also in frost.
//  - cloud (may be left out): share of the sky, in share (0..1), % or okta.
//  - wind speed, wind direction (may be left out, or empty): where it blows from, clockwise from north.
// Other columns are passed over.
#pragma once

#include <chrono>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "sim/weather_hour.hpp"

namespace lielow {

struct WeatherRequest {
    std::filesystem::path file;
    std::chrono::year_month_day date;  ///< of the evening
    double utc_offset_s = 0;           ///< local clock time minus UTC
    double cloud_otherwise = 0;        ///< share, for a record without cloud
};

struct StationRecord {
    std::vector<WeatherHour> hours;  ///< seconds after 00:00 UTC of the date, rising
    bool has_cloud = false;
    bool air_in_fahrenheit = false;
};

/// Reads and judges a whole record. Throws InputError in one line: no such file, a missing column, a column
/// without a unit or with an unknown one, what isn't a number, a time that can't be or doesn't rise, a
/// temperature below −60 °C or above 60 °C, a dew point above the air, cloud or wind out of range.
StationRecord read_weather(const WeatherRequest& request);

/// The records that a night from `begin_s` to `end_s` needs, same zero of time: from the last at or before
/// its begin to the first at or after its end. Throws InputError (`file` names the record) when the night
/// isn't covered but for an hour at either end, or when more than three hours go without a record.
std::vector<WeatherHour> hours_of_night(const StationRecord& record, double begin_s, double end_s,
                                        const std::string& file);

/// What makes one think that the air stands in another unit than its column says: far off `evening_air_k` yet
/// near it when read in the other unit; hard frost in summer below 60 degrees of latitude; more than 45 °C at
/// night. The bounds are choices of this program, no published source. Nothing when all seems well.
std::optional<std::string> unit_doubt(const std::vector<WeatherHour>& night, bool air_in_fahrenheit,
                                      double evening_air_k, unsigned month, double latitude_deg);

}  // namespace lielow
