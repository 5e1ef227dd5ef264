// SPDX-License-Identifier: Apache-2.0
#include "tools/night_loss.hpp"

#include <fmt/format.h>

#include "io/weather.hpp"
#include "sim/errors.hpp"
#include "tools/night_times.hpp"

namespace lielow {
namespace {

constexpr int usual_sky_directions = 16;

std::vector<WeatherHour> site_weather(const Site& site, const GeoReference& geo, const NightSpan& span,
                                      std::vector<std::string>& notes) {
    const NightSettings& n = site.night;
    const std::string file = n.weather->string();
    const StationRecord record = read_weather({*n.weather, *n.date, clock_offset_s(site, geo), n.cloud});
    auto night = hours_of_night(record, span.sunset_s, span.sunrise_s, file);
    const auto doubt = unit_doubt(night, record.air_in_fahrenheit, *n.evening_air_k,
                                  static_cast<unsigned>(n.date->month()), geo.latitude_deg);
    if (doubt) notes.push_back(fmt::format("{}: {}", file, *doubt));
    if (!record.has_cloud)
        notes.push_back(fmt::format("{} has no cloud; night.cloud = {:g} counts all night", file, n.cloud));
    for (WeatherHour& hour : night) hour.time_s -= span.sunset_s;
    return night;
}

}  // namespace

NightLoss night_loss(const Site& site, const GeoReference& geo, const NightSpan& span,
                     std::vector<std::string>& notes) {
    const NightSettings& n = site.night;
    NightLoss loss;
    if (n.heat_loss_w_m2) {
        loss.from = "night.heat_loss";
        for (const auto& [given, key] : {std::pair{n.weather.has_value(), "night.weather"},
                                         {n.dew_point_k.has_value(), "night.dew_point"}}) {
            if (given) notes.push_back(fmt::format("{} isn't used: night.heat_loss goes before it", key));
        }
    } else if (n.weather) {
        loss = {LossRule::radiation, "radiation, night.weather", site_weather(site, geo, span, notes),
                usual_sky_directions};
        if (n.dew_point_k) notes.emplace_back("night.dew_point isn't used: night.weather goes before it");
    } else if (n.dew_point_k) {
        if (*n.dew_point_k > *n.evening_air_k) {
            throw InputError(
                fmt::format("{}: night.dew_point is above night.evening_air; air can't hold that much vapour",
                            site.file.string()));
        }
        loss = {LossRule::radiation, "radiation, night.dew_point", {}, usual_sky_directions};
    } else {
        loss.from = "default constant: neither heat_loss nor dew_point nor weather is given";
    }
    loss.sky_directions = n.sky_directions.value_or(loss.sky_directions);
    return loss;
}

void set_loss(const NightLoss& loss, const NightSettings& settings, NightSetup& setup) {
    setup.loss_rule = loss.rule;
    setup.heat_loss_w_m2 = settings.heat_loss_w_m2.value_or(setup.heat_loss_w_m2);
    setup.dew_point_k = settings.dew_point_k.value_or(setup.dew_point_k);
    setup.air_share = settings.air_share;
    setup.weather = loss.weather;
}

}  // namespace lielow
