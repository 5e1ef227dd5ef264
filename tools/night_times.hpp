// SPDX-License-Identifier: Apache-2.0
// Sunset and sunrise of the night a site file asks for.
#pragma once

#include <string>

#include "io/georef.hpp"
#include "io/site.hpp"
#include "sim/sun.hpp"

namespace lielow {

/// The night that begins on night.date, which must be set. Throws InputError where the sun doesn't set and
/// rise.
NightSpan night_span(const Site& site, const GeoReference& geo);

/// night.date, which must be set, as 2026-04-18.
std::string date_text(const Site& site);

/// Clock time at the place minus UTC, s: night.utc_offset or from the longitude.
double clock_offset_s(const Site& site, const GeoReference& geo);

/// Clock time at the place, "18:59", from seconds after 00:00 UTC of the evening's date.
std::string clock_text(const Site& site, const GeoReference& geo, double utc_s);

/// Which clock that is: "UTC-5 h, from the longitude".
std::string clock_name(const Site& site, const GeoReference& geo);

}  // namespace lielow
