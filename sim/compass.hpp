// SPDX-License-Identifier: Apache-2.0
// Directions on a raster as people name them: degrees clockwise from the map's north.
//
// Of the air, as the weather service does for wind, the direction it comes FROM is given: air on its way to
// the south-east comes from 315 degrees, the north-west (WMO-No. 8, quoted from memory).
#pragma once

#include <cmath>
#include <numbers>

namespace lielow {

/// Unit vectors of a raster's axes in map coordinates. North-up: (1, 0) and (0, −1).
struct RasterAxes {
    double x_east = 1;  ///< of a step along a row
    double x_north = 0;
    double y_east = 0;  ///< of a step down the rows
    double y_north = -1;
};

/// Bearing to which (x, y), along the rows and down them, points: 0 is north, 90 east; 0 <= bearing < 360. 0
/// for no vector at all.
inline double bearing_deg(const RasterAxes& axes, double x, double y) {
    const double east = x * axes.x_east + y * axes.y_east;
    const double north = x * axes.x_north + y * axes.y_north;
    const double bearing = std::atan2(east, north) * 180.0 / std::numbers::pi;
    const double positive = bearing < 0 ? bearing + 360.0 : bearing;
    return positive < 360.0 ? positive : 0.0;
}

/// Bearing air with this velocity comes from.
inline double comes_from_deg(const RasterAxes& axes, double x, double y) {
    return bearing_deg(axes, -x, -y);
}

inline constexpr int compass_sectors = 8;

/// Sector of 45 degrees around N, NE, E, SE, S, SW, W, NW: 0..7.
inline int compass_sector(double bearing) {
    return static_cast<int>(std::floor(bearing / 45.0 + 0.5)) % compass_sectors;
}

}  // namespace lielow
