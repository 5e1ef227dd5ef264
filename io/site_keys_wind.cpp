// SPDX-License-Identifier: Apache-2.0
// The site file's keys for the wind aloft.
#include "io/site_key_groups.hpp"

namespace lielow {

std::vector<SiteKey> night_wind_keys() {
    return {
        {.name = "night.wind",
         .kind = KeyKind::quantity,
         .dimension = Dimension::speed,
         .low = "0 m/s",
         .high = "30 m/s",
         .example = R"("4 mph" or "2 m/s")",
         .otherwise = "from weather where that has wind, else calm",
         .meaning = "wind over open ground, the same all night",
         .set = [](Site& s, const SiteValue& v) { s.night.wind_m_s = v.number; }},
        {.name = "night.wind_direction",
         .kind = KeyKind::quantity,
         .dimension = Dimension::angle,
         .low = "0 deg",
         .high = "360 deg",
         .example = R"("315 deg")",
         .otherwise = "not known: shelter is the mean of all directions",
         .meaning = "where the wind blows from, clockwise from north",
         .set = [](Site& s, const SiteValue& v) { s.night.wind_from_rad = v.number; }},
        {.name = "night.wind_height",
         .kind = KeyKind::quantity,
         .low = "1 m",
         .high = "100 m",
         .example = R"("33 ft" or "10 m")",
         .fallback = R"("10 m")",
         .meaning = "height above the ground at which the wind was measured, the weather record's too",
         .source = "height of wind instruments over open ground (WMO-No. 8, quoted from memory)",
         .set = [](Site& s, const SiteValue& v) { s.night.wind_height_m = v.number; }},
        {.name = "night.roughness",
         .kind = KeyKind::quantity,
         .low = "0.1 mm",
         .high = "0.4 m",
         .example = R"("0.1 m")",
         .fallback = R"("0.1 m")",
         .meaning = "roughness length of open ground: short grass 0.01 m, low crops 0.1 m, bushes 0.3 m",
         .source = "rough grass and low crops, the value behind ground_drag's default (roughness classes of "
                   "WMO-No. 8, quoted from memory)",
         .set = [](Site& s, const SiteValue& v) { s.night.roughness_m = v.number; }},
        {.name = "night.mixed_depth",
         .kind = KeyKind::quantity,
         .low = "10 m",
         .high = "2 km",
         .example = R"("300 ft" or "100 m")",
         .fallback = R"("100 m")",
         .meaning = "depth of the air that the wind keeps mixed above the cold air; the deeper, the less the "
                    "wind does",
         .source = "order of magnitude of windy nights on land, 50 to 200 m; a choice of this program, with "
                   "which 3 m/s keep cold air off open ground that takes 15 W/m2",
         .set = [](Site& s, const SiteValue& v) { s.night.mixed_depth_m = v.number; }},
    };
}

}  // namespace lielow
