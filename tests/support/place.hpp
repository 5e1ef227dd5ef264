// SPDX-License-Identifier: Apache-2.0
// A ground in UTM zone 16N for tests.
#pragma once

#include "io/georef.hpp"
#include "support/make_raster.hpp"

namespace lielow::testing {

inline std::string wkt_of(const std::string& crs) {
    char* text = nullptr;
    crs_of(crs).exportToWkt(&text);
    const std::string wkt = text;
    CPLFree(text);
    return wkt;
}

/// North-up square cells of `cell` metres, the corner of cell (0, 0) at (500000, 4200000).
inline GeoReference utm_place(double cell) {
    GeoReference geo;
    geo.transform = {500000, cell, 0, 4200000, 0, -cell};
    geo.wkt = wkt_of("EPSG:32616");
    return geo;
}

}  // namespace lielow::testing
