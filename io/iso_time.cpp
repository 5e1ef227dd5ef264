// SPDX-License-Identifier: Apache-2.0
#include "io/iso_time.hpp"

#include <ogr_core.h>

#include "sim/errors.hpp"

namespace lielow {

double iso_seconds(const std::string& text, std::chrono::year_month_day date, double utc_offset_s) {
    // GDAL reads ISO 8601 but also what only looks like it.
    std::string t = text;
    OGRField field{};
    const bool shaped = t.size() >= 16 && t[4] == '-' && t[7] == '-' && (t[10] == 'T' || t[10] == ' ') &&
                        t[13] == ':' && t.find_first_not_of("0123456789-:T .+Z") == std::string::npos;
    if (shaped && (t.size() == 16 || t[16] != ':'))
        t.insert(16, ":00");  // without seconds GDAL overlooks a Z
    if (!shaped || OGRParseDate(t.c_str(), &field, 0) == 0)
        throw InputError("is no time in ISO 8601; write it as 2026-04-18T19:00");
    using namespace std::chrono;
    const year_month_day day(year(field.Date.Year), month(field.Date.Month),
                             std::chrono::day(field.Date.Day));
    if (!day.ok() || field.Date.Hour > 23 || field.Date.Minute > 59 || field.Date.Second > 60)
        throw InputError("is no day and time that can be");
    constexpr int greenwich = 100;  // of GDAL's flag, in quarters of an hour
    const bool zoned = field.Date.TZFlag > 1;
    const double offset = zoned ? (field.Date.TZFlag - greenwich) * 900.0 : utc_offset_s;
    const double days = static_cast<double>((sys_days(day) - sys_days(date)).count());
    return days * 86400 + field.Date.Hour * 3600.0 + field.Date.Minute * 60.0 +
           static_cast<double>(field.Date.Second) - offset;
}

}  // namespace lielow
