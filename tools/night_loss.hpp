// SPDX-License-Identifier: Apache-2.0
// Where the loss of a site's night comes from: a given constant, radiation, or the default.
#pragma once

#include <string>
#include <vector>

#include "io/georef.hpp"
#include "io/site.hpp"
#include "sim/night.hpp"
#include "sim/sun.hpp"

namespace lielow {

struct NightLoss {
    LossRule rule = LossRule::constant;
    std::string from;                  ///< "night.heat_loss", "radiation, night.weather" ...
    std::vector<WeatherHour> weather;  ///< times after sunset
    int sky_directions = 0;            ///< 0 = the whole sky everywhere
};

/// night.heat_loss goes before night.weather, that before night.dew_point; without any of them the default
/// constant. Reads and judges the weather record. What was left unused, or seems odd, goes to the notes.
NightLoss night_loss(const Site& site, const GeoReference& geo, const NightSpan& span,
                     std::vector<std::string>& notes);

/// Hands the loss over, the sky view apart.
void set_loss(const NightLoss& loss, const NightSettings& settings, NightSetup& setup);

}  // namespace lielow
