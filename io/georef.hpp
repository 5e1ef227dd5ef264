// SPDX-License-Identifier: Apache-2.0
// Where a grid lies on the Earth. Plain data: GDAL's types stay inside io/'s .cpp files.
#pragma once

#include <array>
#include <string>

namespace lielow {

struct GeoReference {
    /// GDAL's affine transform: x = t[0] + col·t[1] + row·t[2], y = t[3] + col·t[4] + row·t[5], in the CRS's
    /// unit.
    std::array<double, 6> transform{0, 1, 0, 0, 0, -1};
    std::string wkt;               ///< horizontal CRS, WKT2:2019; projected
    double metres_per_unit = 1.0;  ///< of the CRS's axes
    double latitude_deg = 0;       ///< of the raster's centre, WGS 84
    double longitude_deg = 0;

    /// Map position of (col, row), fractional: cell (0, 0) has its centre at (0.5, 0.5).
    [[nodiscard]] std::array<double, 2> at(double col, double row) const {
        return {transform[0] + col * transform[1] + row * transform[2],
                transform[3] + col * transform[4] + row * transform[5]};
    }
};

}  // namespace lielow
