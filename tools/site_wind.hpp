// SPDX-License-Identifier: Apache-2.0
// The wind aloft of a site's night: a given one, the weather record's, or none.
#pragma once

#include <string>
#include <vector>

#include "io/site.hpp"
#include "io/summary.hpp"
#include "sim/night.hpp"

namespace lielow {

/// Where a night's wind comes from.
std::string wind_origin(const Site& site, const std::vector<WeatherHour>& weather);

/// Hands the wind over. Throws InputError for a roughness too great for the wind's height. What is left
/// unused goes to the notes.
void set_wind(const Site& site, NightSetup& setup, std::vector<std::string>& notes);

/// The wind that a night was computed with, and what it did.
void record_wind(const Site& site, const NightSetup& setup, const NightResult& night, PartRecord& record);

}  // namespace lielow
