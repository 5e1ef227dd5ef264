// SPDX-License-Identifier: Apache-2.0
#include "tools/site_wind.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/errors.hpp"
#include "sim/wind_erosion.hpp"

namespace lielow {
namespace {

std::vector<double> known_speeds(const std::vector<WeatherHour>& weather) {
    std::vector<double> speeds;
    for (const WeatherHour& hour : weather) {
        if (std::isfinite(hour.wind_speed_m_s)) speeds.push_back(hour.wind_speed_m_s);
    }
    return speeds;
}

}  // namespace

std::string wind_origin(const Site& site, const std::vector<WeatherHour>& weather) {
    if (!known_speeds(weather).empty()) return "night.weather";
    return site.night.wind_m_s ? "night.wind"
                               : "calm: neither night.wind nor a weather record with wind is given";
}

void set_wind(const Site& site, NightSetup& setup, std::vector<std::string>& notes) {
    const NightSettings& n = site.night;
    const bool recorded = !known_speeds(setup.weather).empty();
    if (recorded && n.wind_m_s)
        notes.emplace_back("night.wind isn't used: the wind of night.weather goes before it");
    if (n.wind_from_rad && (recorded || !n.wind_m_s)) {
        notes.push_back(
            fmt::format("night.wind_direction isn't used: {}",
                        recorded ? "the wind of night.weather goes before it" : "night.wind isn't given"));
    }
    if (!(n.wind_height_m > 2 * n.roughness_m)) {
        throw InputError(
            fmt::format("{}: night.wind_height must be more than twice night.roughness", site.file.string()));
    }
    setup.wind.speed_m_s = n.wind_m_s.value_or(0.0);
    setup.wind.from_rad = n.wind_from_rad.value_or(setup.wind.from_rad);
    setup.wind.height_m = n.wind_height_m;
    setup.wind.roughness_m = n.roughness_m;
    setup.wind.mixed_depth_m = n.mixed_depth_m;
}

void record_wind(const Site& site, const NightSetup& setup, const NightResult& night, PartRecord& record) {
    const WindAloft& wind = setup.wind;
    record.words.emplace_back("wind_from", wind_origin(site, setup.weather));
    std::vector<double> speeds = known_speeds(setup.weather);
    if (speeds.empty()) speeds.push_back(wind.speed_m_s);
    const auto [least, greatest] = std::minmax_element(speeds.begin(), speeds.end());
    record.figures.push_back({"wind_least_m_s", *least, {}});
    record.figures.push_back({"wind_greatest_m_s", *greatest, {}});
    if (!(*greatest > 0)) return;
    record.words.emplace_back("wind_rule",
                              "entrainment by Kato & Phillips 1969, shelter from the maximum upwind slope "
                              "(Winstral et al. 2002) by Ryan 1977");
    record.figures.push_back({"wind_height_m", wind.height_m, {}});
    record.figures.push_back({"roughness_m", wind.roughness_m, {}});
    record.figures.push_back({"mixed_depth_m", wind.mixed_depth_m, {}});
    record.figures.push_back({"greatest_friction_velocity_m_s",
                              friction_velocity(*greatest, wind.height_m, wind.roughness_m),
                              {}});
    if (speeds.size() == 1 && std::isfinite(wind.from_rad))
        record.figures.push_back({"wind_direction_deg", wind.from_rad * 180 / std::numbers::pi, {}});
    record.figures.push_back({"heat_from_aloft_k_m3", night.heat_from_aloft_k_m3, {}});
}

}  // namespace lielow
