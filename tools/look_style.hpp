// SPDX-License-Identifier: Apache-2.0
// Looks as classes with fixed values, colours and texts, for style files of a GIS.
#pragma once

#include <span>
#include <string>

#include "io/raster.hpp"
#include "io/raster_style.hpp"
#include "tools/looks.hpp"

namespace lielow {

/// Classes of a raster whose values lie from `least` to `greatest` (in its own unit: °C of a temperature),
/// with the limits of its look or round ones. Where values lie beyond the limits the outermost classes reach
/// to them and say "under 2 ft" or "over 20 ft". What the look doesn't draw lies in no class. Throws
/// std::bad_optional_access for the look of a class raster.
RasterStyle raster_style(const Look& look, double least, double greatest, PeopleUnits units);

/// The style of a class raster.
RasterStyle raster_style(const std::string& title, std::span<const RasterClass> classes);

}  // namespace lielow
