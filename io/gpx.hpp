// SPDX-License-Identifier: Apache-2.0
// Waypoints for a handheld: GPX 1.1, longitude and latitude on WGS 84.
#pragma once

#include <array>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "io/georef.hpp"

namespace lielow {

struct Waypoint {
    std::string name;         ///< short: handhelds show few letters
    std::string description;  ///< one sentence
    double x = 0;             ///< in the ground's CRS
    double y = 0;
    double elevation_m = 0;
};

/// Longitude and latitude (WGS 84, degrees, to 1e-7: a centimetre) of a place in the ground's CRS. Throws
/// InputError when PROJ can't say.
std::array<double, 2> longitude_latitude(const GeoReference& geo, double x, double y);

/// Writes `path`, which must not exist yet (give it a path in a staging folder). Throws RunError (disk full,
/// not writable). The bytes hang on the arguments and the libraries' versions alone.
void write_gpx(const std::filesystem::path& path, const GeoReference& geo,
               std::span<const Waypoint> waypoints);

}  // namespace lielow
