// SPDX-License-Identifier: Apache-2.0
// Temperature loggers of one night, from a table of comma-separated values (RFC 4180; semicolons and tabs
// too), one reading a row:
//
//     spot,time,temperature_degF,flag
//     Gate,2026-04-18T21:00,39.6,
//
//  - where: `spot` (or `logger`, `place`, `name`): one of the site's spots, or any name beside the columns x,
//  y
//    (in the ground's CRS) or lon, lat (WGS 84, degrees); without a name the position is the name.
//  - when: `time`, `time_utc` or `time_local`, ISO 8601; with Z or an offset such as -05:00, else local clock
//    time.
//  - `temperature_degF` or `temperature_degC`. An empty cell is a missing reading.
//  - `flag`, if wished: empty, 0, ok or good for a good reading; "drift" or anything else for a bad one.
// Other columns are passed over, so that spots.csv of a run can be read too.
#pragma once

#include <chrono>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "io/spots.hpp"
#include "sim/sun.hpp"

namespace lielow {

struct LoggerReading {
    double time_s = 0;  ///< after 00:00 UTC of the evening's date
    double celsius = 0;
};

struct Logger {
    Spot spot;
    std::vector<LoggerReading> readings = {};  ///< of the night, rising in time, good ones
};

struct LoggerRecord {
    std::vector<Logger> loggers;  ///< in the order they first appear; each with a reading
    bool in_fahrenheit = false;
    long flagged = 0;        ///< rows left out for their flag
    long outside_night = 0;  ///< rows left out for their time
    long missing = 0;        ///< rows without a temperature
    std::vector<std::string> notes;
};

struct LoggerRequest {
    std::filesystem::path file;
    std::chrono::year_month_day date;  ///< of the evening
    double utc_offset_s = 0;           ///< local clock time minus UTC
    NightSpan night;
};

/// Throws InputError in one line: no such file, a column missing or without its unit, a time that is none,
/// the same time twice in one logger, a temperature that can't be, one logger in two places, a name that is
/// none of the spots where no position is given, no reading within the night, readings that are plainly
/// degrees Fahrenheit under "degC" (all above 40).
LoggerRecord read_loggers(const LoggerRequest& request, std::span<const Spot> spots, const GeoReference& geo);

}  // namespace lielow
