// SPDX-License-Identifier: Apache-2.0
#include "tools/night_times.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <cmath>

#include "sim/errors.hpp"

namespace lielow {
double clock_offset_s(const Site& site, const GeoReference& geo) {
    return site.night.utc_offset_s.value_or(std::round(geo.longitude_deg / 15.0) * 3600.0);
}

NightSpan night_span(const Site& site, const GeoReference& geo) {
    const auto date = *site.night.date;
    const CalendarDate day{static_cast<int>(date.year()),
                           static_cast<int>(static_cast<unsigned>(date.month())),
                           static_cast<int>(static_cast<unsigned>(date.day()))};
    const auto night = night_of(day, geo.latitude_deg, geo.longitude_deg);
    if (!night) {
        throw InputError(fmt::format(
            "{}: night.date: at latitude {:.1f} the sun doesn't set and rise around {}; choose another date",
            site.file.string(), geo.latitude_deg, date_text(site)));
    }
    return *night;
}

std::string date_text(const Site& site) {
    return fmt::format("{:%F}", std::chrono::sys_days(*site.night.date));
}

std::string clock_text(const Site& site, const GeoReference& geo, double utc_s) {
    const auto minutes = static_cast<long>(std::lround((utc_s + clock_offset_s(site, geo)) / 60.0));
    const long of_day = (minutes % 1440 + 1440) % 1440;
    return fmt::format("{:02}:{:02}", of_day / 60, of_day % 60);
}

std::string clock_name(const Site& site, const GeoReference& geo) {
    return fmt::format("UTC{:+g} h, from {}", clock_offset_s(site, geo) / 3600.0,
                       site.night.utc_offset_s ? "night.utc_offset" : "the longitude");
}

}  // namespace lielow
