// SPDX-License-Identifier: Apache-2.0
// The outlines of a farm's fields out of its sites.gpkg, on the Earth's own coordinates, so that farms of
// many CRSs lie in one layer.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "io/sites_gpkg.hpp"

namespace lielow {

struct FarmOutlines {
    std::vector<std::string> names;  ///< of the fields, in the file's order
    std::vector<Wkb> fields;         ///< multipolygons, longitude and latitude in degrees, WGS 84
    Wkb farm;                        ///< all of them as one multipolygon
};

/// Throws RunError when the file isn't what a run writes.
FarmOutlines read_farm_outlines(const std::filesystem::path& sites_gpkg);

/// An outline of nothing, for a farm without results.
Wkb empty_multipolygon_wkb();

/// WGS 84 for write_sites_gpkg(); its transform means nothing.
GeoReference earth_coordinates();

}  // namespace lielow
