// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>

#include "io/georef.hpp"
#include "sim/compass.hpp"

namespace lielow {

/// Which way a raster's rows and columns run on the map. North is the map grid's.
inline RasterAxes raster_axes(const GeoReference& geo) {
    const auto& t = geo.transform;
    const double along = std::hypot(t[1], t[4]);
    const double down = std::hypot(t[2], t[5]);
    return {t[1] / along, t[4] / along, t[2] / down, t[5] / down};
}

/// Map position of a place in metres along the rows and down them.
inline std::array<double, 2> map_place(const GeoReference& geo, const Grid& fine, double x, double y) {
    return geo.at(x / fine.dx, y / fine.dy);
}

}  // namespace lielow
