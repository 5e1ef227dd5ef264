// SPDX-License-Identifier: Apache-2.0
// A thermometer's daily lows (and highs, where it has them) from a table of comma-separated values.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "sim/frost_years.hpp"

namespace lielow {

struct StationRecord {
    std::vector<StationDay> days;  ///< in order; those with a low or a high
    std::string unit;              ///< of the lows in the file, "degF"
    long missing_days = 0;  ///< between the first and the last day of each year in the record, without a low
    long longest_gap = 0;   ///< days on end
    std::string longest_gap_after;   ///< the day before it, "2014-04-07"; empty when there is none
    std::vector<std::string> notes;  ///< one line each, for people
};

/// Columns `date` (2014-04-07), `low_degF` or `low_degC`, and if you have it `high_degF` or `high_degC`; the
/// unit may also stand apart or in brackets, "low (°F)". Further columns are left alone; an empty cell is a
/// missing reading. Throws InputError in one line: no such file, empty, a column or its unit missing, a date
/// that is none, out of order or twice there, a temperature no fruit country has, a high below its low, no
/// low at all, and lows that are plainly, in the whole record or one of its years, in the other unit than the
/// header says.
StationRecord read_station_record(const std::filesystem::path& file);

/// "04-12" as month and day. Throws InputError without the key's name.
MonthDay month_day_from(std::string_view text);

}  // namespace lielow
